"""Whether the pipes beside the ram bear its full blow: a stuck delivery valve, a shut delivery.

While the delivery valve works each beat puts no more than the delivery head on the drive pipe; that
is judged with the other ratings. Here the valve sticks, or the delivery pipe is shut.
"""

from __future__ import annotations

from collections.abc import Iterator

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import Limit
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.formulas.fittings import fitting
from terrain_head.formulas.pipe_rating import PLASTICS_PIPE_INSTITUTE
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.ram_cycle import RamCycle, cycle_of

OCCASIONAL = Limit(
    value=2.0,
    citation=PLASTICS_PIPE_INSTITUTE.at("occasional surge, twice the pressure class"),
)
"""The most that a source read here lets a blow reach of a rating: polyethylene, and seldom [1]."""


def hammer_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge drive and delivery pipe against the ram's full blow."""
    found = cycle_of(evidence.solution)
    head = None if found is None else middle_of(found.cycle.hammer_most_m)
    if found is None or head is None:
        return
    if evidence.drive is not None:
        yield from _drive_findings(evidence, evidence.drive, found, head_m=head)
    for pipe in evidence.delivery_pipes:
        yield from _delivery_findings(evidence, pipe, head_m=head)


def _drive_findings(
    evidence: Evidence, pipe: Pipe, found: RamCycle, *, head_m: float
) -> Iterator[Finding]:
    """Judge the drive pipe with the delivery valve stuck.

    Notes
    -----
    Over the rating it wants care; over twice the rating it is a stop.
    """
    rating = _bears_pa(evidence, pipe)
    pressure = evidence.pressure_pa(head_m)
    if pipe.spec is None or rating is None or pressure <= rating:
        return
    yield Finding(
        kind="drive-pipe-hammer",
        severity="stop" if pressure > OCCASIONAL.value * rating else "care",
        value=pressure,
        limit=rating,
        unit="kPa",
        values=known(
            head_m=head_m,
            closing_m_s=middle_of(found.cycle.closing_most_m_s),
            wave_m_s=middle_of(found.drive.wave_m_s),
        ),
        texts={"spec": pipe.spec.label, "wave": found.wave_origin or ""},
        source=OCCASIONAL.citation,
        where=Where(pipe=pipe.name),
    )


def _delivery_findings(evidence: Evidence, pipe: Pipe, *, head_m: float) -> Iterator[Finding]:
    """Judge a delivery pipe that is shut while the ram beats: it is pumped up to the full blow."""
    rating = _bears_pa(evidence, pipe)
    valve = middle_of(evidence.layout.valve_level_m)
    if rating is None or valve is None or pipe.spec is None:
        return
    heights = middle_along(pipe.pipe_m)
    lowest = int(heights.argmin())
    pressure = evidence.pressure_pa(valve + head_m - float(heights[lowest]))
    if pressure <= rating:
        return
    shutting = [
        name
        for one in evidence.delivery_pipes
        for name in one.run.fittings
        if fitting(name).can_shut
    ]
    yield Finding(
        kind="delivery-dead-ended",
        severity="care" if shutting else "fine",
        value=pressure,
        limit=rating,
        unit="kPa",
        values={"head_m": head_m},
        texts={"spec": pipe.spec.label, "fittings": ", ".join(dict.fromkeys(shutting))},
        source=pipe.spec.citation,
        where=Where(pipe=pipe.name, station_m=float(pipe.profile.station_m[lowest])),
    )


def _bears_pa(evidence: Evidence, pipe: Pipe) -> float | None:
    """Return what a pipe bears in its water, None where that is not known [Pa]."""
    spec = pipe.spec
    return None if spec is None else spec.rating_at(evidence.layout.parts.water_temperature_c)
