"""Where rasters lie on the globe, before any height is read."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from terrain_head.errors import InputError, Trouble
from terrain_head.files.planes import to_lonlat
from terrain_head.files.raster_files import RasterFile

FloatArray = NDArray[np.float64]

# Some kilometre: a place just beside a raster is off it, not swapped.
_SLACK_DEG = 0.01


def raster_boxes(files: Sequence[RasterFile]) -> FloatArray:
    """Return west, south, east, north of each raster, shape (files, 4) [deg].

    Parameters
    ----------
    files
        The opened rasters.
    """
    boxes = []
    for file in files:
        t, width, height = file.dataset.transform, file.dataset.width, file.dataset.height
        columns, rows = np.array([0, width, width, 0]), np.array([0, 0, height, height])
        lon, lat = to_lonlat(
            file.crs, t.c + t.a * columns + t.b * rows, t.f + t.d * columns + t.e * rows
        )
        boxes.append([lon.min(), lat.min(), lon.max(), lat.max()])
    return np.array(boxes, dtype=np.float64).reshape(-1, 4)


def refuse_swapped(
    files: Sequence[RasterFile], positions: Sequence[tuple[str, float, float]]
) -> None:
    """Raise if positions lie on a raster only with latitude and longitude swapped.

    Parameters
    ----------
    files
        The opened rasters.
    positions
        Name, longitude, latitude of each.

    Raises
    ------
    InputError
        If there are such positions; each name is told once.
    """
    boxes = raster_boxes(files)
    swapped = {
        name: (longitude, latitude)
        for name, longitude, latitude in positions
        if not _on(boxes, longitude, latitude) and _on(boxes, latitude, longitude)
    }
    if not swapped:
        return
    name, (longitude, latitude) = next(iter(swapped.items()))
    listed = ", ".join(list(swapped)[:6]) + (" ..." if len(swapped) > 6 else "")
    raise InputError(
        f"Latitude and longitude look swapped: {listed}.",
        Trouble(
            what=f"{name} is written as latitude {latitude:g}, longitude {longitude:g}, far from "
            f"{files[0].path.name}; the other way round it lies on it. Latitude comes first in "
            "lat_lon and with --from and --to; in a GeoJSON file longitude does.",
            write=f'lat_lon = "{longitude:g}, {latitude:g}"',
        ),
    )


def _on(boxes: FloatArray, longitude: float, latitude: float) -> bool:
    west, south, east, north = boxes.T
    return bool(
        np.any(
            (longitude >= west - _SLACK_DEG)
            & (longitude <= east + _SLACK_DEG)
            & (latitude >= south - _SLACK_DEG)
            & (latitude <= north + _SLACK_DEG)
        )
    )
