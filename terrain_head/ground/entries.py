"""One entry for every place and every spot of the site, and what none of them may lack."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np
from numpy.typing import NDArray

from terrain_head.errors import GroundError, InputError, TerrainHeadError, Trouble, together
from terrain_head.ground.courses import Path
from terrain_head.ground.coverage import not_covered, place_not_covered
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.places import Places, missing_heights

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Entries:
    """Every place and station once: positions, and the entries of each path's stations."""

    points_m: FloatArray
    of_path: tuple[IndexArray, ...]


def join_entries(places: Places, paths: Sequence[Path]) -> Entries:
    """Give each place and each spot of the plane one entry, the places first."""
    named = len(places.names)
    spots = np.concatenate([places.points_m, *(path.points_m for path in paths)]) + 0.0
    keys = spots[:, 0] + 1j * spots[:, 1]
    unique, first, back = np.unique(keys, return_index=True, return_inverse=True)
    stations = np.sort(first[(first >= named) & np.isfinite(unique)])
    number = np.full(len(spots), -1, dtype=np.intp)
    number[:named] = np.arange(named)
    number[stations] = named + np.arange(len(stations))
    entry = number[first[back]]
    of_path, begin = [], named
    for path in paths:
        own = entry[begin : begin + len(path.place)]
        of_path.append(np.where(path.place >= 0, path.place, own))
        begin += len(path.place)
    return Entries(
        points_m=np.concatenate([places.points_m, spots[stations]]), of_path=tuple(of_path)
    )


def heights_of(grid: ElevationGrid | None, points_m: FloatArray) -> FloatArray:
    """Return raster heights at points, nan where there is none, shape (n,) [m]."""
    heights = np.full(len(points_m), np.nan)
    placed = np.isfinite(points_m[:, 0])
    if grid is not None and placed.any():
        heights[placed] = grid.sample(points_m[placed, 0], points_m[placed, 1])
    return heights


def without_heightless(
    places: Places, paths: Sequence[Path], *, grid: ElevationGrid | None, needed: Sequence[str]
) -> tuple[Places, list[Path]]:
    """Leave out the places that have no height and that nothing needs.

    Raises
    ------
    InputError
        If a place that is needed is not there.
    GroundError
        If one that is needed has no height.
    """
    has = np.isfinite(places.height_m) | np.isfinite(heights_of(grid, places.points_m))
    wanted = np.zeros(len(has), dtype=np.bool_)
    for path in paths:
        wanted[path.place[path.place >= 0]] = True
    for name in needed:
        index = places.find(name)
        if index is None:
            near = get_close_matches(name, places.names, n=3)
            hint = f"Nearest: {', '.join(near)}. " if near else ""
            raise InputError(
                f"There is no place called {name!r}.",
                Trouble(what=f"{hint}Places known: {', '.join(places.names[:12]) or 'none'}."),
            )
        wanted[index] = True
    lacking = np.flatnonzero(wanted & ~has)
    placed = [int(n) for n in lacking if grid is not None and places.placed(int(n))]
    bare = [places.names[n] for n in lacking if int(n) not in placed]
    wrong: list[TerrainHeadError] = []
    if bare:
        wrong.append(missing_heights(bare))
    on_path = {int(n) for path in paths if not path.rod for n in path.place}
    for n in placed:
        if n not in on_path and grid is not None:
            wrong.append(place_not_covered(places.names[n], places.points_m[n], grid=grid))
    if wrong:
        raise together(wrong)
    keep = has | wanted
    number = np.cumsum(keep) - 1
    renamed = [
        replace(path, place=np.where(path.place >= 0, number[path.place], -1)) for path in paths
    ]
    return places.take(np.flatnonzero(keep)), renamed


def refuse_gaps(
    paths: Sequence[Path], entries: Entries, *, lacking: BoolArray, grid: ElevationGrid
) -> None:
    """Raise unless every station that needs the raster has a height.

    Raises
    ------
    GroundError
        For each path that leaves the raster or crosses a void.
    """
    wrong: list[TerrainHeadError] = [
        not_covered(path, lacking[entry], grid=grid)
        for path, entry in zip(paths, entries.of_path, strict=True)
        if not path.rod and lacking[entry].any()
    ]
    if wrong:
        raise together(wrong)


def refuse_two_datums(
    places: Places, *, known: BoolArray, raster: BoolArray, grid: ElevationGrid
) -> None:
    """Raise unless all wanted heights are of one kind (called where nothing holds the raster)."""
    if not (known.any() and raster.any()):
        return
    leveled = [name for name, is_known in zip(places.names, known, strict=False) if is_known]
    read_off = [name for name, is_raster in zip(places.names, raster, strict=False) if is_raster]
    level = f"level {read_off[0]} too" if read_off else "level one place that is on the map"
    raise GroundError(
        "Level book and raster have no place in common: their heights can't be compared.",
        Trouble(
            what=f"Known by rod or stated: {', '.join(leveled[:6])}. Only on the raster "
            f"{grid.names[0]}: {', '.join(read_off[:6]) or 'the routes'}. One place must have "
            f"both: {level}, or mark {leveled[0]} on the map where the raster lies."
        ),
    )


def wanted_entries(places: Places, entries: Entries, needed: Sequence[str]) -> BoolArray:
    """Say which entries a course or a need asks for."""
    wanted = np.zeros(len(entries.points_m), dtype=np.bool_)
    for entry in entries.of_path:
        wanted[entry] = True
    wanted[[n for n in map(places.find, needed) if n is not None]] = True
    return wanted
