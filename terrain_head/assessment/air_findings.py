"""High points where air gathers and low points that hold water, and what belongs there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import CLEARANCE, GRAZIERS
from terrain_head.assessment.turns import turns_of
from terrain_head.base.citation import Source
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.ground.summits import TurningStation
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.solution import Solution

FAIR_GEYER_OKUN = Source(
    key="fair-geyer-okun",
    author="G. M. Fair, J. C. Geyer, D. A. Okun",
    title="Water and Wastewater Engineering",
    year="no year",
)
HIGH_ADVICE = GRAZIERS.at("p. 29, few high and low spots; air valves and drains there")
LOW_ADVICE = FAIR_GEYER_OKUN.at(
    "p. 187, blowoffs at low points, best two valves in series, not straight into a sewer"
)
VENT_MOST_M = 3.0
"""The highest stand-pipe that is told as a vent; ours [m]."""

Belongs = Literal["air valve", "tap or air valve", "open vent", "lower pipe", "drain"]
"""``air valve``: one that works by itself, for air comes with every beat of the ram. ``tap or air
valve``: air comes in while the line is filled. ``open vent``: a stand-pipe that reaches over still
water. ``lower pipe``: the pipe sucks there, and a valve would let air in. ``drain``: at a low
point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """What belongs at a high or a low point.

    Parameters
    ----------
    belongs
        What to put there.
    clearance_m
        Least head over the pipe there while water runs; None where not known [m].
    """

    belongs: Belongs
    clearance_m: float | None


def spot_at(solution: Solution, pipe: Pipe, *, turn: TurningStation) -> Spot:
    """Return what belongs at a turn of a pipe.

    Parameters
    ----------
    solution
        The scheme, solved.
    pipe
        One of its pipes.
    turn
        A high or a low point of it.

    Notes
    -----
    A delivery pipe fills from its low end and is fed air by the ram's snifter at every beat. Any
    other line fills from above, and traps what air stands behind each high point: it is let out
    there while it fills. Water running down behind a high point drags the air a little past it.
    """
    result = solution.pipes.get(pipe.name)
    cases = list(solution.by_group.get(pipe.name, {}).values())
    if not cases and result is not None and result.running is not None:
        cases = [result.running]
    heads = [float(middle_along(case.pressure_head_m)[turn.position]) for case in cases]
    clearance = min(heads, default=None)
    if turn.kind == "low":
        return Spot(belongs="drain", clearance_m=clearance)
    if clearance is not None and clearance < 0:
        return Spot(belongs="lower pipe", clearance_m=clearance)
    if pipe.role == "delivery":
        return Spot(belongs="air valve", clearance_m=clearance)
    level = None if result is None else middle_of(result.static_m)
    near = level is not None and level - turn.elevation_m <= VENT_MOST_M
    return Spot(belongs="open vent" if near else "tap or air valve", clearance_m=clearance)


def turn_findings(evidence: Evidence) -> Iterator[Finding]:
    """Tell each sure high point, for each wants its vent; the rest together, pipe by pipe."""
    for pipe in evidence.layout.pipes.values():
        if pipe.role == "drive":
            continue
        turns = turns_of(pipe, ground=evidence.ground)
        for turn in turns.sure:
            if turn.kind == "high":
                yield _finding(evidence, pipe, turns=(turn,), sure="sure")
        maybe_high = [turn for turn in turns.perhaps if turn.kind == "high"]
        if maybe_high:
            yield _finding(evidence, pipe, turns=maybe_high, sure="perhaps")
        low = [turn for turn in turns.sure if turn.kind == "low"]
        maybe_low = [turn for turn in turns.perhaps if turn.kind == "low"]
        if low:
            yield _finding(evidence, pipe, turns=low, sure="sure")
        elif maybe_low:
            yield _finding(evidence, pipe, turns=maybe_low, sure="perhaps")


def _finding(
    evidence: Evidence, pipe: Pipe, *, turns: Sequence[TurningStation], sure: str
) -> Finding:
    """Return the finding of the one that stands out most."""
    most = max(turns, key=lambda turn: turn.stands_out_m)
    high = most.kind == "high"
    spot = spot_at(evidence.solution, pipe, turn=most)
    clearance = spot.clearance_m
    close = clearance is not None and 0 <= clearance < CLEARANCE.value
    return Finding(
        kind="air-high-point" if high else "water-low-point",
        severity="care" if high and sure == "sure" else "fine",
        value=most.stands_out_m,
        unit="m",
        values=known(count=float(len(turns)), clearance_m=clearance if high and close else None),
        texts={"sure": sure, "belongs": spot.belongs},
        source=HIGH_ADVICE if high else LOW_ADVICE,
        where=Where(pipe=pipe.name, station_m=most.station_m),
    )
