"""Hand-made sites for the tests of the ground: rasters that are formulas, books that are lists."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.covariance import Covariance
from terrain_head.ground.grid import ElevationGrid, Gap, RasterError
from terrain_head.ground.ground import Course, GivenPlace, Ground, MapRoute
from terrain_head.ground.survey import survey_ground
from terrain_head.leveling.book import BookRoute
from terrain_head.leveling.elevations import Elevations

FloatArray = NDArray[np.float64]
Surface = Callable[[FloatArray, FloatArray], FloatArray]
REACH_M = 500.0


def tilted(east: FloatArray, north: FloatArray) -> FloatArray:
    return np.asarray(700 + 0.1 * east + 0.05 * north)


def raster(
    surface: Surface = tilted,
    *,
    std_m: float | None = 0.5,
    range_m: float | None = 60.0,
    cell_m: float = 2.0,
    reach_m: float = REACH_M,
    hole: Callable[[FloatArray, FloatArray], NDArray[np.bool_]] | None = None,
    tells: bool = True,
) -> ElevationGrid:
    """Return a raster that knows the heights of a surface within `reach_m` of the middle."""

    def sample(east_m: ArrayLike, north_m: ArrayLike) -> FloatArray:
        east, north = np.broadcast_arrays(np.asarray(east_m, float), np.asarray(north_m, float))
        off = np.maximum(np.abs(east), np.abs(north)) > reach_m
        if hole is not None:
            off = off | hole(east, north)
        return np.where(off, np.nan, surface(east, north))

    def gap(east_m: float, north_m: float) -> Gap:
        spot = f"{north_m:.0f} N, {east_m:.0f} E"
        if max(abs(east_m), abs(north_m)) <= reach_m:
            return Gap(reason="void", file="dem.tif", side="", spot=spot)
        side = "east" if abs(east_m) > abs(north_m) else "north"
        return Gap(reason="edge", file="dem.tif", side=side, spot=spot)

    return ElevationGrid(
        sample=sample,
        cell_m=cell_m,
        error=RasterError(std_m=std_m, range_m=range_m),
        names=("dem.tif",),
        extent_m=(-reach_m, -reach_m, reach_m, reach_m),
        gap=gap if tells else None,
    )


def leveled(heights: dict[str, float], *, std_m: float = 0.01, known: str = "") -> Elevations:
    """Return elevations whose points share one error and have one of their own."""
    names, values = tuple(heights), np.array(list(heights.values()))

    def covariance_of(index: Sequence[int]) -> Covariance:
        count = len(index)
        return Covariance(factor=np.full((count, 1), std_m), own=np.full(count, std_m**2))

    nothing = np.full(len(names), np.nan)
    return Elevations(
        names=names,
        elevation_m=values,
        by_setups_m=nothing,
        as_read_m=values,
        known=np.array([name == known for name in names], dtype=np.bool_),
        covariance_of=covariance_of,
        misclosures=(),
        residuals_m=np.zeros(0),
        s0=None,
        degrees_of_freedom=0,
        reading_std_m=std_m,
        datum="nail",
        assumed_datum=False,
        hanging=(),
    )


def at(name: str, east_m: float, north_m: float, **more: float) -> GivenPlace:
    return GivenPlace(name=name, east_m=east_m, north_m=north_m, **more)


def drawn(name: str, *corners: tuple[float, float]) -> MapRoute:
    return MapRoute(name=name, corners_m=np.array(corners, dtype=np.float64))


def survey(
    *courses: Course,
    places: Sequence[GivenPlace] = (),
    routes: Sequence[MapRoute] = (),
    book_routes: Sequence[BookRoute] = (),
    elevations: Elevations | None = None,
    grid: ElevationGrid | None = None,
    needed: Sequence[str] = (),
    step_m: float | None = None,
) -> Ground:
    return survey_ground(
        places=places,
        map_routes=routes,
        book_routes=book_routes,
        courses=courses,
        elevations=elevations,
        grid=grid,
        needed=needed,
        step_m=step_m,
    )
