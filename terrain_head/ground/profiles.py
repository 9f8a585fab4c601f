"""A ground profile along each path, once heights are settled."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.names import heading
from terrain_head.base.units import from_si
from terrain_head.errors import GroundError, Trouble
from terrain_head.ground.courses import Path
from terrain_head.ground.doubt import GroundDoubt
from terrain_head.ground.ground import GroundProfile, Origin
from terrain_head.ground.slope import evened_length, taut_length

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]
OriginArray = NDArray[np.int8]
BoolArray = NDArray[np.bool_]


def profile_of(
    path: Path,
    entry: IndexArray,
    *,
    points_m: FloatArray,
    height_m: FloatArray,
    origin: OriginArray,
    doubt: GroundDoubt,
) -> GroundProfile:
    """Return the profile of a path, heights between known points filled in straight."""
    station = path.station_m
    open_still = origin[entry] == Origin.INTERPOLATED
    fill = entry[open_still & np.isnan(height_m[entry])]
    if len(fill):
        settled = np.isfinite(height_m[entry])
        height_m[fill] = np.interp(
            station[np.isnan(height_m[entry])], station[settled], height_m[entry[settled]]
        )
    height = height_m[entry]
    if path.route is None:
        station, along = _by_length(path, height)
    elif np.any(_from_raster(origin[entry])):
        along = evened_length(station, height, fixed=~_from_raster(origin[entry]))
    else:
        along = taut_length(station, height)
    way = slice(None, None, -1) if path.turned else slice(None)
    index = entry[way]
    return GroundProfile(
        name=path.course.name,
        route=path.route,
        index=index,
        station_m=station[-1] - station[way] if path.turned else station,
        east_m=points_m[index, 0],
        north_m=points_m[index, 1],
        elevation_m=height[way],
        std_m=doubt.std_of(index),
        origin=origin[index],
        along_m=along[-1] - along[way] if path.turned else along,
        corner=path.corner[way],
        between_known=_ground_between(path, origin[entry]),
    )


def _ground_between(path: Path, origin: OriginArray) -> bool:
    """Say whether anything is known of the ground between the ends."""
    if path.rod:
        return path.route is not None
    return bool(np.any(_from_raster(origin)) or np.any(origin[1:-1] != Origin.INTERPOLATED))


def _from_raster(origin: OriginArray) -> BoolArray:
    return np.asarray((origin == Origin.RASTER) | (origin == Origin.FUSED))


def _by_length(path: Path, height_m: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return station and slope length of a path known by its taped length alone."""
    taped, rise = path.course.length_m or 0.0, float(height_m[-1] - height_m[0])
    if taped <= abs(rise):
        raise GroundError(
            f'Pipe "{path.course.name}" is {taped:.2f} m ({from_si(taped, "ft"):.1f} ft) long, but '
            f"its ends differ by {abs(rise):.2f} m ({from_si(abs(rise), 'ft'):.1f} ft) in height.",
            Trouble(
                what="A pipe is longer than the height between its ends. Is the length in "
                "another unit, or a height wrong?",
                write=f"{heading('pipe', path.course.name)}\nlength = the whole length, as taped",
            ),
        )
    plan = float(np.sqrt(taped**2 - rise**2))
    return np.array([0.0, plan]), np.array([0.0, taped])
