"""The ground of a site: heights settled on one datum, and a profile along every pipe's course."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from terrain_head.errors import GroundError, InputError, TerrainHeadError, together
from terrain_head.ground.courses import JOIN_TOLD_M, CourseFinder, Path
from terrain_head.ground.datum import Hold, Moved, fuse, spread
from terrain_head.ground.doubt import GroundDoubt
from terrain_head.ground.entries import (
    Entries,
    heights_of,
    join_entries,
    refuse_gaps,
    refuse_two_datums,
    wanted_entries,
    without_heightless,
)
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import (
    Course,
    DatumShift,
    GivenPlace,
    Ground,
    MapRoute,
    Origin,
    StatedBeside,
)
from terrain_head.ground.known_heights import KnownHeights
from terrain_head.ground.marks import mark_std
from terrain_head.ground.places import SAME_HEIGHT_M, Places, gather_places
from terrain_head.ground.profiles import profile_of
from terrain_head.ground.stationing import Line, nearest_spot
from terrain_head.leveling.book import BookRoute
from terrain_head.leveling.elevations import Elevations

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]
OriginArray = NDArray[np.int8]


def survey_ground(
    *,
    places: Sequence[GivenPlace],
    map_routes: Sequence[MapRoute],
    book_routes: Sequence[BookRoute],
    courses: Sequence[Course],
    elevations: Elevations | None,
    grid: ElevationGrid | None,
    needed: Sequence[str] = (),
    step_m: float | None = None,
) -> Ground:
    """Return the ground of a site: every place, and the stations of every course, on one datum.

    Parameters
    ----------
    places
        Places as the study and the maps give them, the study's first.
    map_routes, book_routes
        Routes of the maps and of the level book. Where both have one of the same name the book's
        is taken if it has points between the ends of the pipe.
    courses
        Where the pipes go, those of all choices; a stretch that two share is settled by the first.
    elevations
        What the level book came to, None without one.
    grid
        Raster heights, None without a raster.
    needed
        Places whose height is wanted although no course ends there.
    step_m
        The most between two stations on a raster; None for the side of its cell [m].

    Returns
    -------
    Ground
        Places whose height is nowhere to be had and that nothing needs are left out, and so is
        the profile of a course that has neither route nor length nor the positions of its ends.

    Raises
    ------
    InputError
        If a place or route named is not there, or a place has two known elevations.
    GroundError
        If a course can't be laid, leaves the raster or crosses a void, a height is missing, or
        book and raster share no place.

    Notes
    -----
    Heights: leveled, else stated, else the raster's. Known heights (leveled or stated) make the
    datum; the raster is moved onto it by one constant, from what is known minus raster at the
    places that have both, and bent to them where they are near (`terrain_head.ground.fusion`).
    Where nothing is known of the raster's error the constant is the mean, and what is left over at
    such a place is spread along each route from place to place, without steps; one within 2 m of a
    route counts as standing on it.

    Stations on a raster stand at every bend and at most a cell apart; without a raster at bends
    and rod points alone, and heights between are straight from one to the next.
    """
    gathered = gather_places(places, elevations)
    if step_m is None and grid is not None:
        step_m = grid.cell_m
    finder = CourseFinder(
        gathered,
        map_routes=map_routes,
        book_routes=book_routes,
        step_m=step_m if grid is not None else None,
    )
    paths = _all_paths(finder, courses)
    named, paths = without_heightless(finder.places, paths, grid=grid, needed=needed)
    entries = join_entries(named, paths)
    points, count = entries.points_m, len(entries.points_m)
    known = np.isfinite(_padded(named.height_m, count, np.nan))
    height = _padded(named.height_m, count, np.nan)
    raster_m = heights_of(grid, points)
    raster = ~known & np.isfinite(raster_m)
    both = np.flatnonzero(known & np.isfinite(raster_m))
    hold = Hold(entry=both, known_minus_raster_m=height[both] - raster_m[both])
    if grid is not None:
        refuse_gaps(paths, entries, lacking=~known & ~raster, grid=grid)
        if not len(hold):
            wanted = wanted_entries(named, entries, needed)
            refuse_two_datums(named, known=known & wanted, raster=raster & wanted, grid=grid)
    heights = KnownHeights(
        leveled=_padded(named.leveled, count, -1),
        known=known,
        stated_std_m=_padded(named.stated_std_m, count, np.nan),
        elevations=elevations,
    )
    marks = mark_std(named.points_m, named.position_std_m, grid=grid)
    mark_std_m = _padded(marks, count, 0.0)
    moved = _moved(
        hold, heights=heights, mark_std_m=mark_std_m, entries=entries, paths=paths, grid=grid,
        named=len(named.names),
    )  # fmt: skip
    height[raster] = (raster_m + moved.weights @ hold.known_minus_raster_m)[raster]
    doubt = GroundDoubt(
        heights=heights,
        raster=raster,
        mark_std_m=mark_std_m,
        points_m=points,
        weights=moved.weights,
        hold=hold,
        fields=moved.fields,
        names=named.names,
        position_std_m=_padded(np.nan_to_num(named.position_std_m), count, 0.0),
    )
    origin = _origins(doubt, fused=moved.fused)
    profiles = {
        path.course.name: profile_of(
            path, entry, points_m=points, height_m=height, origin=origin, doubt=doubt
        )
        for path, entry in zip(paths, entries.of_path, strict=True)
    }
    return Ground(
        names=named.names,
        east_m=points[:, 0],
        north_m=points[:, 1],
        elevation_m=height,
        origin=origin,
        covariance_of=doubt,
        profiles=profiles,
        datum=_datum(elevations, known, grid),
        marked=doubt.marked if np.any(mark_std_m > 0) else None,
        shift=_shift(named, doubt, moved),
        joins=tuple(join for path in paths for join in path.joins),
        placed_by_route=tuple(finder.placed_by_route),
        stated_beside=_stated_beside(named, heights),
    )


def _moved(
    hold: Hold,
    *,
    heights: KnownHeights,
    mark_std_m: FloatArray,
    entries: Entries,
    paths: Sequence[Path],
    grid: ElevationGrid | None,
    named: int,
) -> Moved:
    """Return how the raster follows the holding places: fused, or spread along the routes."""
    points = entries.points_m
    if grid is not None:
        given = heights.covariance_of(hold.entry).matrix()
        given += np.diag(np.square(mark_std_m[hold.entry]))
        fused = fuse(hold, points_m=points, given_m2=given, error=grid.error, cell_m=grid.cell_m)
        if fused is not None:
            return fused
    return spread(
        hold,
        points_m=points,
        named=named,
        paths=paths,
        of_path=entries.of_path,
        beside=[_beside(path, hold, points) for path in paths],
    )


def _origins(doubt: GroundDoubt, *, fused: BoolArray) -> OriginArray:
    """Return where each elevation comes from, shape (n,)."""
    known = doubt.heights.known
    origin = np.full(len(known), Origin.INTERPOLATED, dtype=np.int8)
    origin[doubt.raster] = Origin.RASTER
    origin[doubt.raster & fused] = Origin.FUSED
    origin[known] = Origin.STATED
    origin[doubt.heights.leveled >= 0] = Origin.LEVELED
    return origin


def _padded(values: NDArray[Any], count: int, fill: float) -> NDArray[Any]:
    """Return values of the places, continued over the stations."""
    whole = np.full(count, fill, dtype=values.dtype)
    whole[: len(values)] = values
    return whole


def _datum(elevations: Elevations | None, known: BoolArray, grid: ElevationGrid | None) -> str:
    if elevations is not None:
        return elevations.datum
    if known.any() or grid is None:
        return "the stated heights"
    return f"the heights of {grid.names[0]}"


def _shift(places: Places, doubt: GroundDoubt, moved: Moved) -> DatumShift | None:
    hold = doubt.hold
    if not len(hold) or not doubt.raster.any():
        return None
    std = doubt.shift_std_m(moved.even)
    shift = float(moved.even @ hold.known_minus_raster_m)
    return DatumShift(
        shift_m=shift,
        shift_std_m=std if np.isfinite(std) else None,
        places=tuple(places.names[n] for n in hold.entry),
        left_over_m=tuple((hold.known_minus_raster_m - shift).tolist()),
        agreement=moved.agreement,
    )


def _stated_beside(places: Places, heights: KnownHeights) -> tuple[StatedBeside, ...]:
    """Return the leveled places for which the study states another height."""
    apart = places.stated_m - places.height_m
    index = np.flatnonzero((places.leveled >= 0) & (np.abs(apart) > SAME_HEIGHT_M))
    std = np.hypot(heights.covariance_of(index).std, np.nan_to_num(places.stated_std_m[index]))
    return tuple(
        StatedBeside(
            place=places.names[entry],
            stated_minus_leveled_m=float(apart[entry]),
            std_m=float(std[n]) if np.isfinite(std[n]) else None,
        )
        for n, entry in enumerate(index)
    )


def _all_paths(finder: CourseFinder, courses: Sequence[Course]) -> list[Path]:
    """Find every path that can be told, or raise all that is wrong with all of them."""
    paths: list[Path] = []
    wrong: list[TerrainHeadError] = []
    for course in courses:
        try:
            path = finder.path(course)
        except (InputError, GroundError) as error:
            wrong.append(error)
        else:
            paths += [] if path is None else [path]
    if wrong:
        raise together(wrong)
    return paths


def _beside(path: Path, hold: Hold, points_m: FloatArray) -> list[tuple[float, int]]:
    """Return the holding places that stand beside a path: station, number among them."""
    if path.rod:
        return []
    line = Line(points_m=path.points_m, station_m=path.station_m, corner=path.corner)
    found = []
    for number, entry in enumerate(hold.entry):
        foot = nearest_spot(line, points_m[entry])
        if 0.0 < foot.gap_m <= JOIN_TOLD_M:
            found.append((foot.station_m, number))
    return found
