"""High and low points of a pipe, parted into those that are sure and those that may be error."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from terrain_head.assessment.evidence import Evidence
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import GRAZIERS
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.ground.ground import Ground
from terrain_head.ground.summits import TurningStation, turning_stations
from terrain_head.scheme.layout import Pipe

LEAST_HUMP_M = 0.05
"""A hump under this is none, nor one under the pipe's bore: air slips past it; ours [m]."""
COARSER = 2.0
"""Each look along the pipe overlooks humps this many times as high as the look before."""

MOST_TURNS = 60
"""More high and low points than this along one pipe are noise: only coarser ones are told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Turns:
    """High and low points of one pipe.

    Parameters
    ----------
    sure
        Higher (or lower) than their surroundings nine times in ten.
    perhaps
        Those that may be error of the heights.
    """

    sure: tuple[TurningStation, ...]
    perhaps: tuple[TurningStation, ...]

    def count(self, kind: str) -> int:
        """Return how many are worth counting: the sure ones, or all where no error is known."""
        known = [turn for turn in self.sure if turn.kind == kind]
        unknown = [turn for turn in self.perhaps if turn.kind == kind and turn.sure is None]
        return len(known) + len(unknown)


def turns_of(pipe: Pipe, *, ground: Ground) -> Turns:
    """Return the high and low points of a pipe.

    Parameters
    ----------
    pipe
        The pipe in its place.
    ground
        The ground with its joint doubt.

    Returns
    -------
    Turns
        Both in the order of the flow; none where the ground between the ends is not known.

    Notes
    -----
    Small humps on a large one hide that the large one is sure. So the pipe is looked along again
    and again, each time overlooking humps twice as high; what is sure in any look is sure. The
    first look is the finest that finds no more than `MOST_TURNS`.
    """
    line = middle_along(pipe.pipe_m)
    bore = middle_of(pipe.inside_m)
    hysteresis = max(LEAST_HUMP_M, bore or 0.0)
    height = float(np.ptp(line))
    profile = pipe.profile
    while len(turning_stations(profile, hysteresis_m=hysteresis, elevation_m=line)) > MOST_TURNS:
        hysteresis *= COARSER
    sure: dict[int, TurningStation] = {}
    finest: tuple[TurningStation, ...] | None = None
    while finest is None or hysteresis <= height:
        turns = turning_stations(
            profile,
            hysteresis_m=hysteresis,
            elevation_m=line,
            covariance_of=ground.covariance_of,
        )
        finest = turns if finest is None else finest
        sure.update({turn.position: turn for turn in turns if turn.sure})
        hysteresis *= COARSER
    return Turns(
        sure=tuple(sure[position] for position in sorted(sure)),
        perhaps=tuple(turn for turn in finest if turn.position not in sure),
    )


def turn_findings(evidence: Evidence) -> Iterator[Finding]:
    """Tell each sure high point, for each wants its vent; the rest together, pipe by pipe."""
    for pipe in evidence.layout.pipes.values():
        if pipe.role == "drive":
            continue
        turns = turns_of(pipe, ground=evidence.ground)
        for turn in turns.sure:
            if turn.kind == "high":
                yield _finding(pipe, (turn,), sure="sure")
        maybe_high = [turn for turn in turns.perhaps if turn.kind == "high"]
        if maybe_high:
            yield _finding(pipe, maybe_high, sure="perhaps")
        low = [turn for turn in turns.sure if turn.kind == "low"]
        maybe_low = [turn for turn in turns.perhaps if turn.kind == "low"]
        if low:
            yield _finding(pipe, low, sure="sure")
        elif maybe_low:
            yield _finding(pipe, maybe_low, sure="perhaps")


def _finding(pipe: Pipe, turns: Sequence[TurningStation], *, sure: str) -> Finding:
    """Return the finding of the one that stands out most."""
    most = max(turns, key=lambda turn: turn.stands_out_m)
    high = most.kind == "high"
    return Finding(
        kind="air-high-point" if high else "water-low-point",
        severity="care" if high and sure == "sure" else "fine",
        value=most.stands_out_m,
        unit="m",
        values={"count": float(len(turns))},
        texts={"sure": sure},
        source=GRAZIERS.at("p. 29, few high and low spots; air valves and drains there"),
        where=Where(pipe=pipe.name, station_m=most.station_m),
    )
