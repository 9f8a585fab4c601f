"""High and low points of a pipe, parted into those that are sure and those that may be error."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from terrain_head.assessment.evidence import Evidence
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import GRAZIERS
from terrain_head.base.middle import middle_of
from terrain_head.ground.ground import Ground
from terrain_head.ground.summits import TurningStation, Turns, look_along
from terrain_head.scheme.layout import Pipe


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
    """
    return look_along(
        pipe.profile,
        elevation_m=pipe.pipe_m,
        bore_m=middle_of(pipe.inside_m),
        covariance_of=ground.covariance_of,
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
