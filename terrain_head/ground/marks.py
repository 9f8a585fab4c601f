"""What a mark that stands some metres off does to the height read under it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from terrain_head.ground.grid import ElevationGrid

FloatArray = NDArray[np.float64]

SPOTS = 233
_GOLDEN_TURN = np.pi * (3.0 - np.sqrt(5.0))


def spots_around(count: int) -> FloatArray:
    """Return spots that stand for a normal error of 1 on each axis, shape (count, 2) [1].

    Parameters
    ----------
    count
        How many [1].

    Notes
    -----
    Spot `k` has the radius below which ``(k + 1/2) / count`` of all errors lie, each a golden turn
    on from the one before; radii are scaled so that the mean square on an axis is 1.

    Examples
    --------
    >>> spots = spots_around(500)
    >>> bool(np.allclose((spots**2).mean(), 1.0)), bool(np.abs(spots.mean(axis=0)).max() < 0.02)
    (True, True)
    """
    number = np.arange(count)
    radius = np.sqrt(-2.0 * np.log1p(-(number + 0.5) / count))
    radius *= np.sqrt(2.0 / np.square(radius).mean())
    turn = number * _GOLDEN_TURN
    return np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])


def mark_std(
    points_m: FloatArray, position_std_m: FloatArray, *, grid: ElevationGrid | None
) -> FloatArray:
    """Return the standard error of heights read at marks, for their being misplaced, (n,) [m].

    Parameters
    ----------
    points_m
        Where the marks are, shape (n, 2) [m].
    position_std_m
        Standard error of each on each axis, nan where it has none, shape (n,) [m].
    grid
        The raster, None without one.

    Returns
    -------
    FloatArray
        0 for what is no mark or has no height.

    Notes
    -----
    The ground around a mark is read at spots that stand for where the place may be; the root of
    the mean square of the heights there, less the mark's own, is the error. On a plane that is
    slope times position error; on a bank, in a gully or under a knoll the slope at the mark alone
    would say too much or too little. Spots without a height are left out.
    """
    std = np.zeros(len(points_m))
    marked = np.flatnonzero((position_std_m > 0) & np.isfinite(points_m[:, 0]))
    if grid is None or not len(marked):
        return std
    east, north = points_m[marked, 0], points_m[marked, 1]
    off = spots_around(SPOTS)[None, :, :] * position_std_m[marked, None, None]
    around = grid.sample(east[:, None] + off[..., 0], north[:, None] + off[..., 1])
    rise = around - grid.sample(east, north)[:, None]
    told = np.isfinite(rise)
    squares = np.where(told, np.square(np.nan_to_num(rise)), 0.0).sum(axis=1)
    std[marked] = np.sqrt(squares / np.maximum(told.sum(axis=1), 1))
    return std
