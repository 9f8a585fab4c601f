"""What a pipe's course and flow ask for: velocity, summits and lows, trenches, what can shut it."""

from __future__ import annotations

from collections.abc import Iterator

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.largest_flow import largest_flows
from terrain_head.assessment.limits import (
    DELIVERY_VELOCITY,
    PRACTICE,
    TRENCH_DEEP,
    TRENCHES,
    VELOCITY,
    Limit,
)
from terrain_head.assessment.pressure_findings import cases_of
from terrain_head.base.citation import OURS
from terrain_head.base.middle import middle_of
from terrain_head.base.units import to_si
from terrain_head.formulas.fittings import fitting
from terrain_head.scheme.ends import SOURCE, seep_node
from terrain_head.scheme.gravity import given_by
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.solution import HydraulicGradeLine

RUNS_OVER_LEAST_M3_S = to_si(1.0, "L/d")
"""A trickle from tank to tank that is not worth telling; ours [m3/s]."""
_SLACK = 1 + 1e-9


def pipe_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge flow and course of every pipe but the drive pipe."""
    for name, pipe in evidence.layout.pipes.items():
        result = evidence.solution.pipes.get(name)
        if pipe.role == "drive":
            continue
        if result is not None and result.running is not None:
            yield from _velocity_findings(evidence, pipe, running=result.running)
        if not pipe.profile.between_known:
            yield Finding(
                kind="ground-unknown",
                severity="care",
                value=middle_of(pipe.length_m),
                unit="m",
                texts={
                    "start": evidence.place_of(pipe.upstream),
                    "end": evidence.place_of(pipe.downstream),
                },
                source=OURS.at("clearance and high points ask for the ground between"),
                where=Where(pipe=name),
            )
    yield from _gravity_findings(evidence)
    yield from _shutting_findings(evidence)
    yield from _tapped_findings(evidence)
    yield from _overrun_findings(evidence)
    yield from _trench_findings(evidence)


def _velocity_findings(
    evidence: Evidence, pipe: Pipe, *, running: HydraulicGradeLine
) -> Iterator[Finding]:
    """Judge the fastest of the running cases."""
    case = max(
        cases_of(evidence, pipe, running=running),
        key=lambda one: abs(middle_of(one.velocity_m_s) or 0.0),
    )
    velocity = middle_of(case.velocity_m_s)
    delivery = pipe.role == "delivery"
    limit: Limit = DELIVERY_VELOCITY if delivery else VELOCITY
    if velocity is None or abs(velocity) <= limit.value:
        return
    yield Finding(
        kind="delivery-velocity-high" if delivery else "velocity-high",
        severity="care",
        value=abs(velocity),
        limit=limit.value,
        unit="m/s",
        values=known(flow_m3_s=middle_of(case.flow_m3_s)),
        source=limit.citation,
        where=Where(pipe=pipe.name),
    )


def _gravity_findings(evidence: Evidence) -> Iterator[Finding]:
    """Compare what each pipe from the source would carry running full with what it is given."""
    seeps = {seep_node(seep) for seep in evidence.layout.parts.seeps}
    largest = largest_flows(evidence.solution)
    for name, carried in evidence.solution.gravity_capacity_m3_s.items():
        capacity, pipe = middle_of(carried), evidence.pipe(name)
        if not capacity or pipe is None or pipe.upstream not in {SOURCE, *seeps}:
            continue
        given = middle_of(given_by(evidence.layout, pipe.upstream, inflow_m3_s={}))
        if given is None:
            continue
        throttle = capacity > given * _SLACK
        most = largest.get(name)
        dips = most is not None and most.rules == "dip" and most.flow_m3_s > 0
        yield Finding(
            kind="gravity-throttle" if throttle else "gravity-limits",
            severity="care" if throttle else "fine",
            value=capacity,
            limit=given,
            unit="L/min",
            values=known(
                largest_m3_s=most.flow_m3_s if most and dips else None,
                dip_m=most.station_m if most and dips else None,
            ),
            texts={
                "from": "seep" if pipe.upstream in seeps else "source",
                "dip": (most.pipe or "") if most and dips else "",
            },
            source=OURS.at("a pipe runs full only as long as it is given what it can carry"),
            where=Where(pipe=name),
        )


def _shutting_findings(evidence: Evidence) -> Iterator[Finding]:
    for pipe in evidence.delivery_pipes:
        shutting = [name for name in pipe.run.fittings if fitting(name).can_shut]
        if shutting:
            yield Finding(
                kind="delivery-can-shut",
                severity="care",
                texts={"fittings": ", ".join(shutting)},
                source=PRACTICE,
                where=Where(pipe=pipe.name),
            )


def _tapped_findings(evidence: Evidence) -> Iterator[Finding]:
    """Warn where outlets hang on the delivery: shut, they must leave it open to the tank."""
    ends = {pipe.downstream: pipe for pipe in evidence.delivery_pipes}
    tapped = [outlet for outlet in evidence.layout.outlets if outlet.place in ends]
    if tapped:
        yield Finding(
            kind="delivery-tapped",
            severity="care",
            texts={"outlets": ", ".join(outlet.name for outlet in tapped)},
            source=PRACTICE,
            where=Where(pipe=ends[tapped[0].place].name, outlet=tapped[0].name),
        )


def _overrun_findings(evidence: Evidence) -> Iterator[Finding]:
    """Tell of tanks into which a higher one runs while nothing is drawn."""
    for name, runs in evidence.solution.runs_over_m3_s.items():
        flow = middle_of(runs)
        tank = next((one for one in evidence.layout.tanks if one.name == name), None)
        if flow is not None and flow > RUNS_OVER_LEAST_M3_S and tank is not None:
            yield Finding(
                kind="tank-runs-over",
                severity="care",
                value=flow,
                unit="L/min",
                texts={"tank": name},
                source=OURS.at("water runs from the higher of two tanks on one line"),
                where=Where(place=tank.place),
            )


def _trench_findings(evidence: Evidence) -> Iterator[Finding]:
    deepest = 0.0
    for name, pipe in evidence.layout.pipes.items():
        cover = pipe.run.cover_m.value
        deepest = max(deepest, cover)
        if pipe.role == "drive" or cover < TRENCH_DEEP.value:
            continue
        yield Finding(
            kind="trench-deep",
            severity="care",
            value=cover,
            limit=TRENCH_DEEP.value,
            unit="m",
            source=TRENCH_DEEP.citation,
            where=Where(pipe=name),
        )
    if deepest > 0:
        yield Finding(
            kind="trench",
            severity="fine",
            value=deepest,
            unit="m",
            source=TRENCHES.at("1926.651(b)"),
        )
