"""The answer to where ram and tank may stand: lettered sites, best first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.units import UnitSystem
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.plane import LocalPlane
from terrain_head.search.sites import SiteGivens, Sites

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where something may stand.

    Parameters
    ----------
    name
        Name of the place; empty for a spot of the raster.
    east_m, north_m
        Position in the local plane, nan where there is none [m].
    elevation_m
        Height of the ground [m].
    """

    name: str
    east_m: float
    north_m: float
    elevation_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SiteAnswer:
    """Sites found, best first.

    Parameters
    ----------
    title, file, units
        As in a study.
    intake
        Where the water is taken.
    rams, tanks
        Spots of the sites, one each.
    sites
        What they come to.
    givens
        What holds for all of them.
    std_m3_s
        Standard error of the water at each, nan where not known, shape (n,) [m3/s].
    chance
        Chance that the need is met, None where none is stated, shape (n,) [1].
    alike
        Whether the water of each can't be told from the first's, shape (n,).
    looked_at, would_work
        How many pairs were looked at, and how many of them would work.
    within_m
        How far from the intake was looked; None among surveyed points [m].
    along
        Route on which the ram stands, empty where none was named.
    bore_taken
        Whether the delivery's bore was taken for want of one in the study.
    grid, plane
        The raster looked at, and the local plane; None among surveyed points.
    """

    title: str
    file: str
    units: UnitSystem
    intake: Spot
    rams: tuple[Spot, ...]
    tanks: tuple[Spot, ...]
    sites: Sites
    givens: SiteGivens
    std_m3_s: FloatArray
    chance: FloatArray | None
    alike: NDArray[np.bool_]
    looked_at: int
    would_work: int
    within_m: float | None = None
    along: str = ""
    bore_taken: bool = False
    grid: ElevationGrid | None = None
    plane: LocalPlane | None = None
