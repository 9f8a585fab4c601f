"""Along the slope and level: what a tape along the ground measures, and what a map shows."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def level_distance_m(slope_m: ArrayLike, *, rise_m: ArrayLike) -> FloatArray:
    """Return the level distance between two points taped along the slope.

    Parameters
    ----------
    slope_m
        Distance along the slope [m].
    rise_m
        Height difference, either sign [m].

    Returns
    -------
    FloatArray
        Level distance; nan where the rise is more than the slope is long [m].

    Examples
    --------
    >>> float(level_distance_m(5.0, rise_m=-3.0))
    4.0
    """
    slope, rise = np.asarray(slope_m, np.float64), np.asarray(rise_m, np.float64)
    square = (slope - rise) * (slope + rise)
    return np.sqrt(np.where(square < 0, np.nan, square))


def slope_length_m(level_m: ArrayLike, *, rise_m: ArrayLike) -> FloatArray:
    """Return the length along the slope between two points.

    Parameters
    ----------
    level_m
        Level distance [m].
    rise_m
        Height difference, either sign [m].

    Returns
    -------
    FloatArray
        Length along the slope [m].
    """
    return np.hypot(np.asarray(level_m, np.float64), np.asarray(rise_m, np.float64))


def slope_correction_m(slope_m: ArrayLike, *, rise_m: ArrayLike) -> FloatArray:
    """Return what must be taken off a length taped along the slope to make it level.

    Parameters
    ----------
    slope_m
        Distance along the slope [m].
    rise_m
        Height difference, either sign [m].

    Returns
    -------
    FloatArray
        Slope length minus level distance, never negative [m].

    Notes
    -----
    s - sqrt(s2 - h2), written h2 / (s + sqrt(s2 - h2)) so that no digits are lost on gentle
    slopes. The hand rule h2 / 2s is its first term.

    Examples
    --------
    >>> round(float(slope_correction_m(100.0, rise_m=20.0)), 5)
    2.02041

    References
    ----------
    US Navy, Engineering Aid Basic, NAVEDTRA 14069, no year, figure 12-15.
    """
    slope, rise = np.asarray(slope_m, np.float64), np.asarray(rise_m, np.float64)
    return rise**2 / (slope + level_distance_m(slope, rise_m=rise))
