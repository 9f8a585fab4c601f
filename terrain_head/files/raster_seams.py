"""Seams between rasters of two grids: heights straight across, from one's edge to the other's."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from terrain_head.files.planes import PlaneTransform
from terrain_head.files.raster_blocks import Mosaic

FloatArray = NDArray[np.float64]

# Beyond this share of the two half cells a gap lies between the rasters: nothing is known there.
_ABUTTING = 1.02


def seam_heights(
    mosaics: Sequence[Mosaic], east_m: FloatArray, *, north_m: FloatArray, plane: PlaneTransform
) -> FloatArray:
    """Return heights between the outermost centres of two rasters that abut.

    Parameters
    ----------
    mosaics
        The rasters, those of one grid together; what was read of them.
    east_m, north_m
        Points that no raster gives a height by itself, shape (n,) [m].
    plane
        The local plane.

    Returns
    -------
    numpy.ndarray
        Heights, nan where the point lies on no seam, shape (n,) [m].

    Notes
    -----
    Between the outermost centres of one grid and those of the other there is a strip of two half
    cells. There the height runs straight from the nearest spot on the one's rim of centres to the
    nearest on the other's.
    """
    heights = np.full(east_m.shape, np.nan)
    rims = [_rim(mosaic, east_m, north_m, plane) for mosaic in mosaics]
    for first, (height, away, half) in enumerate(rims):
        for other_height, other_away, other_half in rims[first + 1 :]:
            apart = away + other_away
            on_seam = np.isnan(heights) & (apart <= _ABUTTING * (half + other_half)) & (apart > 0)
            share = away[on_seam] / apart[on_seam]
            heights[on_seam] = height[on_seam] * (1 - share) + other_height[on_seam] * share
    return heights


def _rim(
    mosaic: Mosaic, east_m: FloatArray, north_m: FloatArray, plane: PlaneTransform
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the height on the nearest tile's rim, how far off it is, and half a cell that way."""
    row, column = mosaic.rows_columns(east_m, north_m)
    nearest = np.full(row.shape, np.inf)
    rim_row, rim_column = row.copy(), column.copy()
    for tile, top, left in mosaic.tiles:
        held_row = np.clip(row, top, top + tile.dataset.height - 1)
        held_column = np.clip(column, left, left + tile.dataset.width - 1)
        beyond = np.maximum(np.abs(row - held_row), np.abs(column - held_column))
        nearer = beyond < nearest
        nearest[nearer] = beyond[nearer]
        rim_row[nearer], rim_column[nearer] = held_row[nearer], held_column[nearer]
    t = mosaic.transform
    x = t.c + t.a * (rim_column + 0.5) + t.b * (rim_row + 0.5)
    y = t.f + t.d * (rim_column + 0.5) + t.e * (rim_row + 0.5)
    rim_east, rim_north = plane.from_crs(mosaic.crs, x, y)
    away = np.hypot(rim_east - east_m, rim_north - north_m)
    half = np.divide(away, 2 * nearest, out=np.zeros_like(away), where=nearest > 0)
    return mosaic.store.bilinear(rim_row, rim_column), away, half
