"""Where still water passes a pipe's rating, and where open tanks on the way would break it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.upstream import line_down_to
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.lines import lines_of
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.solution import Solution

FloatArray = NDArray[np.float64]

_STEPS = 600
"""Spots looked at along a pipe, besides its stations."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A spot on a pipe: the pipe's name, its station and the ground there [m]."""

    pipe: str
    station_m: float
    ground_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakPressure:
    """What breaks the pressure of still water on the way to a pipe.

    Parameters
    ----------
    over_from
        Where still water first passes what the pipe bears.
    tanks
        Where open tanks stand, in the order of flow: as few as keep every stretch within its
        rating, each as high as it may. None where no tank on the way does.
    costs_m
        Running head that they take off all that lies beyond, together, the upper tank low; None
        where the flow is not known [m].
    """

    over_from: Spot
    tanks: tuple[Spot, ...] | None
    costs_m: float | None


def break_pressure_of(solution: Solution, pipe: Pipe) -> BreakPressure | None:
    """Return where tanks would break the pressure on a pipe that still water strains.

    Parameters
    ----------
    solution
        The scheme, solved.
    pipe
        One of its pipes.

    Returns
    -------
    BreakPressure or None
        None where the pipe bears its still water, where its rating or the ground along the way is
        not known, on a drive or delivery pipe, and in a ring, which no one spot cuts in two.

    Notes
    -----
    Below an open tank still water stands no higher than the ground at the tank. A tank must get
    its water: the hydraulic grade line at the running flow lies over the ground there, and below
    it, lowered by what the tank gives away, over the pipe.
    """
    if pipe.role in {"drive", "delivery"}:
        return None
    held = next((one for one in lines_of(solution.layout, pipe.role) if one.holds(pipe)), None)
    result = solution.pipes.get(pipe.name)
    level = None if result is None else middle_of(result.static_m)
    way = line_down_to(solution.layout, pipe)
    if held is None or not held.tree or level is None:
        return None
    if any(one.spec is None or not one.profile.between_known for one in way):
        return None
    along = _along(solution, way)
    own = along.over(level, first=int(np.flatnonzero(along.part == len(way) - 1)[0]))
    if own is None:
        return None
    found = _tanks(along, level)
    return BreakPressure(
        over_from=along.spot(own),
        tanks=None if found is None else tuple(along.spot(at) for at in found[0]),
        costs_m=None if found is None else found[1],
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Along:
    """Spots along pipes one after another: which pipe, station, heights, what each bears [m]."""

    names: tuple[str, ...]
    part: NDArray[np.intp]
    station_m: FloatArray
    ground_m: FloatArray
    pipe_m: FloatArray
    bears_m: FloatArray
    grade_m: FloatArray

    def spot(self, at: int) -> Spot:
        return Spot(
            pipe=self.names[int(self.part[at])],
            station_m=float(self.station_m[at]),
            ground_m=float(self.ground_m[at]),
        )

    def over(self, level_m: float, *, first: int) -> int | None:
        """Return the first spot from one onward that still water of a level strains."""
        over = np.flatnonzero(level_m - self.pipe_m[first:] > self.bears_m[first:])
        return first + int(over[0]) if len(over) else None


def _along(solution: Solution, way: tuple[Pipe, ...]) -> _Along:
    water_c = solution.layout.parts.water_temperature_c
    metre_pa = float(Water.at(water_c).pressure_pa(1.0))
    stations, grounds, pipes, bears, grades, parts = [], [], [], [], [], []
    for number, pipe in enumerate(way):
        profile = pipe.profile
        spots = np.union1d(
            profile.station_m, np.linspace(profile.station_m[0], profile.station_m[-1], _STEPS)
        )
        result = solution.pipes.get(pipe.name)
        running = None if result is None else result.running
        rating = None if pipe.spec is None else pipe.spec.rating_at(water_c)
        line = np.full(len(profile.station_m), np.nan)
        line = line if running is None else middle_along(running.grade_m)
        stations.append(spots)
        grounds.append(np.interp(spots, profile.station_m, middle_along(profile.elevation_m)))
        pipes.append(np.interp(spots, profile.station_m, middle_along(pipe.pipe_m)))
        grades.append(np.interp(spots, profile.station_m, line))
        bears.append(np.full(len(spots), np.inf if rating is None else rating / metre_pa))
        parts.append(np.full(len(spots), number, np.intp))
    return _Along(
        names=tuple(pipe.name for pipe in way),
        part=np.concatenate(parts),
        station_m=np.concatenate(stations),
        ground_m=np.concatenate(grounds),
        pipe_m=np.concatenate(pipes),
        bears_m=np.concatenate(bears),
        grade_m=np.concatenate(grades),
    )


def _tanks(along: _Along, level_m: float) -> tuple[list[int], float | None] | None:
    """Return the spots of the tanks and the running head they take off, None where none do [m].

    Notes
    -----
    Each tank stands as low as it may where another must follow, the last one as high as it may.
    """
    known = bool(np.all(np.isfinite(along.grade_m)))
    tanks: list[int] = []
    given_m, first = 0.0, 0
    while (over := along.over(level_m, first=first)) is not None:
        spots = np.arange(first + 1, over)
        ground = along.ground_m[spots]
        # What the pipe below climbs to, and how low the tank must stand for it to bear.
        climbs = _from_behind(along.pipe_m, np.maximum)[spots + 1]
        bears = _from_behind(along.pipe_m + along.bears_m, np.minimum)[spots + 1]
        fits = (ground < level_m) & (ground >= climbs)
        if known:
            # The last spot is an open end or a tank, where nothing is left by nature.
            left = _from_behind((along.grade_m - along.pipe_m)[:-1], np.minimum)
            left = np.append(left, np.inf)[spots + 1]
            cost = along.grade_m[spots] - ground
            fits &= (cost >= given_m) & (cost <= left)
        if not fits.any():
            return None
        last = fits & (ground <= bears)
        chosen = (
            np.where(last, ground, -np.inf).argmax()
            if last.any()
            else np.where(fits, ground, np.inf).argmin()
        )
        first, level_m = int(spots[chosen]), float(ground[chosen])
        given_m = float(along.grade_m[first] - level_m) if known else 0.0
        tanks.append(first)
    return tanks, given_m if known else None


def _from_behind(values: FloatArray, which: np.ufunc) -> FloatArray:
    """Return the greatest (or least) value from each spot to the end."""
    return np.asarray(which.accumulate(values[::-1])[::-1])
