"""Routes side by side on their ground: length, climb, summits, steep trench, what they cost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.units import UnitSystem
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import Ground, GroundProfile
from terrain_head.ground.plane import LocalPlane
from terrain_head.ground.summits import Turns
from terrain_head.search.costs import RouteRates

FloatArray = NDArray[np.float64]
RouteKind = Literal["pressure", "gravity"]

STEEP = 0.35
"""Ground steeper than this is told: a trench there is hard to dig and its fill washes out; ours
[1]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RouteOption:
    """One way to lay a pipe between two places.

    Parameters
    ----------
    name
        Name under which it is written as a route of the map; ``straight`` for the straight line.
    corners_m
        East and north of ends and bends, shape (legs + 1, 2) [m].
    cost_m
        What it costs, in metres of pipe on easy level ground; infinite where it may not go [m].
    elsewhere
        The share of its length that lies apart from the routes before it [1].
    profile
        The ground under it.
    turns
        High and low points between its ends.
    steepness
        Of the ground at each station, whichever way it falls, shape (n,) [1].
    upward
        1 where the pipe goes up on the whole, -1 where it goes down [1].
    """

    name: str
    corners_m: FloatArray
    cost_m: float
    elsewhere: float
    profile: GroundProfile
    turns: Turns
    steepness: FloatArray
    upward: float

    @property
    def legs(self) -> int:
        """How many straight legs it has."""
        return len(self.corners_m) - 1

    @property
    def may_be(self) -> bool:
        """Whether a pipe may go there at all."""
        return bool(np.isfinite(self.cost_m))

    @property
    def highest(self) -> int:
        """Station at which it is highest, counted from 0."""
        return int(np.argmax(self.profile.elevation_m))

    @property
    def lost_climb_m(self) -> float:
        """Climb that is lost again, between the high and low points worth telling [m]."""
        told = sorted(turn.position for kind in ("high", "low") for turn in self.turns.told(kind))
        at = [0, *told, len(self.profile.station_m) - 1]
        rise = np.diff(self.profile.elevation_m[at])
        return float(np.maximum(-self.upward * rise, 0.0).sum())

    def steep_stretch_m(self) -> tuple[float, float] | None:
        """Return first and last station of the steep ground, None where there is none [m]."""
        steep = np.flatnonzero(self.steepness > STEEP)
        if not len(steep):
            return None
        station = self.profile.station_m
        return float(station[steep[0]]), float(station[steep[-1]])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RouteAnswer:
    """What was found between two places of a study.

    Parameters
    ----------
    title, file
        Of the study.
    units
        How results are shown.
    start, end
        Names of the two places.
    kind
        ``pressure``, or ``gravity`` for a line that must keep falling.
    rates
        What counted.
    options
        The best route first, then others that are really different.
    straight
        The straight line, None where the ground under it is not known.
    apart_m
        How far off counts as elsewhere [m].
    cell_m
        Distance of the cells that were searched [m].
    cells
        How many were searched.
    ground
        The ground of all options.
    grid
        The raster.
    plane
        The local plane.
    """

    title: str
    file: str
    units: UnitSystem
    start: str
    end: str
    kind: RouteKind
    rates: RouteRates
    options: tuple[RouteOption, ...]
    straight: RouteOption | None
    apart_m: float
    cell_m: float
    cells: int
    ground: Ground
    grid: ElevationGrid
    plane: LocalPlane

    @property
    def shown(self) -> tuple[RouteOption, ...]:
        """The routes and, if none of them is it, the straight line."""
        if self.straight is None or any(option.legs == 1 for option in self.options):
            return self.options
        return (*self.options, self.straight)

    def highest_difference(self, other: RouteOption) -> tuple[float, float | None]:
        """Return by how much a way rises above the best at their highest, and its standard error.

        Parameters
        ----------
        other
            Another way.

        Returns
        -------
        tuple
            Height difference, and None for its standard error where that is not known [m].
        """
        best = self.options[0]
        entries = [int(way.profile.index[way.highest]) for way in (best, other)]
        if entries[0] == entries[1]:
            return 0.0, 0.0
        heights = [float(way.profile.elevation_m[way.highest]) for way in (best, other)]
        std = self.ground.covariance_of(entries).std_of_difference(0, 1)
        return heights[1] - heights[0], None if np.isnan(std) else float(std)
