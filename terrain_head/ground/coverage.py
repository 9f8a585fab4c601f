"""Where a raster gives no height along a course: said exactly, never bridged."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.display import station_words
from terrain_head.base.units import METRIC, US
from terrain_head.errors import GroundError, Trouble
from terrain_head.ground.courses import STRAIGHT, Path
from terrain_head.ground.grid import ElevationGrid

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
_JUST_PAST_M = 20.0
NO_HEIGHT_MADE_UP = "Nothing was computed. No height was made up."


def not_covered(path: Path, missing: BoolArray, *, grid: ElevationGrid) -> GroundError:
    """Return the error for a course that leaves the raster or crosses a void.

    Parameters
    ----------
    path
        The course.
    missing
        Stations without a height, in the path's own order, shape (n,).
    grid
        The raster.
    """
    points, station = path.points_m, path.station_m
    corner = path.corner
    if path.turned:
        points, corner, missing = points[::-1], corner[::-1], missing[::-1]
        station = station[-1] - station[::-1]
    first = int(np.argmax(missing))
    line = _line_words(path)
    gap = None if grid.gap is None else grid.gap(float(points[first, 0]), float(points[first, 1]))
    file = gap.file if gap is not None else grid.names[0]
    spot = f" That spot is {gap.spot}." if gap is not None else ""
    if gap is not None and gap.reason == "unread":
        return GroundError(
            f"Heights along {line} were not read.",
            Trouble(
                what=f"{_where(station, corner, first)} the ground was not read when the study "
                f"was opened.{spot} Open it again."
            ),
            file=file,
        )
    covered = f"It covers the first {station[first - 1]:.0f} m. " if first else ""
    if first == 0 and gap is not None and gap.reason == "edge":
        return GroundError(
            f"{file} does not reach the beginning of {line}.",
            Trouble(
                what=f"The line begins beyond the {gap.side} edge of the raster.{spot} Is the spot "
                "right? If it is, fetch the tile that holds it and list both.",
                write=f'dem = ["{file}", "the_next.tif"]',
            ),
            file=file,
            left_alone=NO_HEIGHT_MADE_UP,
        )
    last = station[max(first - 1, 0)]
    left = station[-1] - last
    if gap is None or gap.reason == "void":
        length = station[_run_end(missing, first)] - last
        long = f" for {length:.0f} m" if length >= 1 else ""
        return GroundError(
            f"{file} has a hole on {line}.",
            Trouble(
                what=f"{covered}{_where(station, corner, first)} it holds no heights{long}.{spot}"
            ),
            Trouble(
                what="Go round the hole with the route, list a second raster that covers it behind "
                "the first, or read the rod along that stretch.",
                write=f'dem = ["{file}", "the_other.tif"]',
            ),
            file=file,
            left_alone=NO_HEIGHT_MADE_UP,
        )
    goes_on = f"; the line goes on for {left:.0f} m" if left >= 1 else ""
    return GroundError(
        f"{file} does not reach along the whole of {line}.",
        Trouble(
            what=f"{covered}{_where(station, corner, first)} the raster ends at its {gap.side} "
            f"edge{goes_on}.{spot}"
        ),
        Trouble(
            what=f"Fetch the next tile to the {gap.side} and list both, or read the rod along that "
            "stretch.",
            write=f'dem = ["{file}", "the_next.tif"]',
        ),
        file=file,
        left_alone=NO_HEIGHT_MADE_UP,
    )


def place_not_covered(name: str, point_m: FloatArray, *, grid: ElevationGrid) -> GroundError:
    """Return the error for a single place that the raster gives no height."""
    gap = None if grid.gap is None else grid.gap(float(point_m[0]), float(point_m[1]))
    file = gap.file if gap is not None else grid.names[0]
    spot = f" ({gap.spot})" if gap is not None else ""
    beyond = gap is not None and gap.reason == "edge"
    why = f"beyond the {gap.side} edge of" if gap is not None and beyond else "in a hole of"
    return GroundError(
        f"{file} gives no height at {name}.",
        Trouble(
            what=f"{name}{spot} lies {why} the raster. Is it marked at the right spot? Fetch the "
            "tile that holds it and list both, or level it.",
            write=f'dem = ["{file}", "the_next.tif"]',
        ),
        file=file,
        left_alone=NO_HEIGHT_MADE_UP,
    )


def _line_words(path: Path) -> str:
    course = path.course
    if path.route == STRAIGHT:
        return f"the straight line from {course.start} to {course.end}"
    of = "" if path.route == course.name else f' of pipe "{course.name}"'
    return f'route "{path.route}"{of}'


def _run_end(missing: BoolArray, first: int) -> int:
    after = np.flatnonzero(~missing[first:])
    return first + int(after[0]) if len(after) else len(missing) - 1


def _where(station: FloatArray, corner: BoolArray, index: int) -> str:
    """Say where a station is: ``At 0+212 (6+96 in feet), just past the second bend,``."""
    bends = np.flatnonzero(corner[1:index]) + 1
    at_m = float(station[max(index - 1, 0)])
    last = f"{station_words(at_m, METRIC)} ({station_words(at_m, US)} in feet)"
    if not len(bends):
        return f"At {last}"
    number = len(bends)
    bend = f"the {_ORDINALS[number - 1]} bend" if number <= len(_ORDINALS) else f"bend {number}"
    near = station[index] - station[bends[-1]] <= _JUST_PAST_M
    return f"At {last}, {'just past' if near else 'past'} {bend},"
