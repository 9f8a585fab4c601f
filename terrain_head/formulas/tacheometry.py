"""Distance and height from the two outer hairs: stadia on a rod held upright."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

MULTIPLIER = 100.0
"""Distance over intercept of nearly every instrument; its own figure stands in its lid [1]."""


def stadia_distance_m(
    intercept_m: ArrayLike,
    *,
    elevation_rad: ArrayLike = 0.0,
    multiplier: float = MULTIPLIER,
    additive_m: float = 0.0,
) -> FloatArray:
    """Return the level distance of an upright rod.

    Parameters
    ----------
    intercept_m
        Upper hair's reading less lower hair's [m].
    elevation_rad
        Angle of the middle hair's line over the level, negative downhill [rad].
    multiplier
        Distance over intercept of the instrument [1].
    additive_m
        Constant of the instrument, zero in those with inside focusing [m].

    Returns
    -------
    FloatArray
        Level distance [m].

    Notes
    -----
    K s cos2 + C cos.

    Examples
    --------
    >>> float(stadia_distance_m(0.425))
    42.5

    References
    ----------
    IIT Roorkee, NPTEL web course 105107122, Surveying, no year, module 7, equations 23.3 to 23.5.
    """
    angle = np.asarray(elevation_rad, np.float64)
    along = multiplier * np.asarray(intercept_m, np.float64) * np.cos(angle) + additive_m
    return along * np.cos(angle)


def stadia_rise_m(
    intercept_m: ArrayLike,
    *,
    elevation_rad: ArrayLike,
    multiplier: float = MULTIPLIER,
    additive_m: float = 0.0,
) -> FloatArray:
    """Return how much higher the middle hair meets the rod than the instrument's axis stands.

    Parameters
    ----------
    intercept_m
        Upper hair's reading less lower hair's [m].
    elevation_rad
        Angle of the middle hair's line over the level, negative downhill [rad].
    multiplier
        Distance over intercept of the instrument [1].
    additive_m
        Constant of the instrument, zero in those with inside focusing [m].

    Returns
    -------
    FloatArray
        Height of the middle reading over the axis; add the height of the axis over its own point
        and take off the middle reading for the rise from point to point [m].

    Notes
    -----
    K s sin cos + C sin.

    References
    ----------
    IIT Roorkee, NPTEL web course 105107122, Surveying, no year, module 7, equations 23.3 to 23.5.
    """
    angle = np.asarray(elevation_rad, np.float64)
    along = multiplier * np.asarray(intercept_m, np.float64) * np.cos(angle) + additive_m
    return along * np.sin(angle)
