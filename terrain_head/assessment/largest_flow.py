"""The most that a line may carry by itself, and what sets that: pipe, ground or source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.middle import middle_along, middle_of
from terrain_head.scheme.bracket import root_between
from terrain_head.scheme.ends import SOURCE
from terrain_head.scheme.gravity import given_by, levels_of
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.lines import Line, line_from, lines_of
from terrain_head.scheme.pipe_flow import Water, grade_line
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.supply_line import is_open

FloatArray = NDArray[np.float64]
Rules = Literal["pipe", "dip", "source"]

_SLACK = 1 + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class LargestFlow:
    """The most that a plain line carries without sucking and without emptying what feeds it.

    Parameters
    ----------
    flow_m3_s
        That flow; the line is throttled to it at its lower end [m3/s].
    free_m3_s
        What it would carry running free and full [m3/s].
    rules
        ``pipe``: friction uses up all its head; ``dip``: the hydraulic grade line comes down to
        the pipe; ``source``: no more comes.
    pipe, station_m
        Where it comes down to the pipe; None where that does not rule [m].
    """

    flow_m3_s: float
    free_m3_s: float
    rules: Rules
    pipe: str | None = None
    station_m: float | None = None


def largest_flows(solution: Solution) -> Mapping[str, LargestFlow]:
    """Return the largest flow of every plain line that runs by itself, by each of its pipes.

    Parameters
    ----------
    solution
        The scheme, solved.

    Notes
    -----
    Plain is a line that does not part: from source, seep or tank into a tank or the source, or
    from the source to one open pipe end. The water above stands at its lowest.
    """
    layout = solution.layout
    found: dict[str, LargestFlow] = {}
    if layout.values.drawn:
        return found
    for line in lines_of(layout, "gravity", "supply"):
        if line.branched or not line.bores_known or not line.roots:
            continue
        pipes = _in_order(solution, line)
        free = _free_m3_s(solution, line, pipes=pipes)
        if free is None or free <= 0 or len(pipes) != len(line.pipes):
            continue
        largest = _largest(solution, pipes, root=line.roots[0], free_m3_s=free)
        found |= {pipe.name: largest for pipe in pipes}
    return found


def _in_order(solution: Solution, line: Line) -> Sequence[Pipe]:
    return line_from(solution.layout, line.roots[0], role=line.role)


def _free_m3_s(solution: Solution, line: Line, *, pipes: Sequence[Pipe]) -> float | None:
    """Return what a line carries running free and full, None where it is not asked [m3/s]."""
    if line.role == "gravity" and not line.outlets:
        return middle_of(solution.gravity_capacity_m3_s.get(pipes[0].name))
    end = line.outlets[0] if len(line.outlets) == 1 else None
    if line.role != "supply" or line.roots[0] != SOURCE or end is None or not is_open(end):
        return None
    if not pipes or end.place != pipes[-1].downstream:
        return None
    return middle_of(solution.outlets[end.name].flow_m3_s)


def _largest(
    solution: Solution, pipes: Sequence[Pipe], *, root: str, free_m3_s: float
) -> LargestFlow:
    layout = solution.layout
    water = Water.at(layout.parts.water_temperature_c)
    level_m = np.asarray(middle_of(levels_of(layout, root)[0]))
    judged = _judged(pipes)

    def clearances(flow: FloatArray) -> list[FloatArray]:
        head_m, found = np.broadcast_to(level_m, np.shape(flow)), []
        for pipe, on in zip(pipes, judged, strict=True):
            line = grade_line(pipe, flow, upstream_head_m=head_m, water=water)
            found.append(np.where(on, line.grade_m - middle_along(pipe.pipe_m), np.inf))
            head_m = line.downstream_head_m
        return found

    def least(flow: FloatArray) -> FloatArray:
        return np.asarray(np.minimum.reduce([one.min(axis=-1) for one in clearances(flow)]))

    flow, rules = free_m3_s, "pipe"
    if float(least(np.asarray(free_m3_s))) < 0:
        still = float(least(np.asarray(0.0)))
        root_m3_s = root_between(least, low=0.0, high=free_m3_s)
        flow, rules = (float(root_m3_s) if still > 0 else 0.0), "dip"
    given = middle_of(given_by(layout, root, inflow_m3_s=_inflow(solution)))
    if given is not None and given <= flow * _SLACK:
        return LargestFlow(flow_m3_s=given, free_m3_s=free_m3_s, rules="source")
    if rules == "pipe":
        return LargestFlow(flow_m3_s=flow, free_m3_s=free_m3_s, rules="pipe")
    spots = clearances(np.asarray(flow))
    worst = int(np.argmin([spot.min() for spot in spots]))
    at = int(spots[worst].argmin())
    return LargestFlow(
        flow_m3_s=flow,
        free_m3_s=free_m3_s,
        rules="dip",
        pipe=pipes[worst].name,
        station_m=float(pipes[worst].profile.station_m[at]),
    )


def _judged(pipes: Sequence[Pipe]) -> list[NDArray[np.bool_]]:
    """Return at which stations of each pipe of a line the water must stand over it.

    Not at the line's two ends, where it is none by nature. Of a pipe whose ground between the
    ends is not known, only at its joints.
    """
    judged = [np.full(len(pipe.profile.station_m), pipe.profile.between_known) for pipe in pipes]
    for before, after in pairwise(judged):
        before[-1], after[0] = True, True
    judged[0][0], judged[-1][-1] = False, False
    return judged


def _inflow(solution: Solution) -> dict[str, FloatArray]:
    tanks = solution.tanks.items()
    return {name: one.inflow_m3_s for name, one in tanks if one.inflow_m3_s is not None}
