"""Levels read both ways across a stream: a near and a far rod from each bank."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.formulas.sighting import curvature_m

FloatArray = NDArray[np.float64]


def reciprocal_rise_m(
    *, from_start_m: tuple[ArrayLike, ArrayLike], from_end_m: tuple[ArrayLike, ArrayLike]
) -> FloatArray:
    """Return how much higher the end is than the start, read from both banks.

    Parameters
    ----------
    from_start_m, from_end_m
        Readings at the start and at the end, in this order, with the instrument close to the
        start and close to the end [m]. The near reading may be the instrument's height over
        the point.

    Returns
    -------
    FloatArray
        Height of the end over the start [m].

    Notes
    -----
    The mean of what the two banks tell. Whatever is the same in both long sights falls out:
    the slope of the line of sight, curvature, and refraction that has not changed meanwhile.

    Examples
    --------
    >>> round(float(reciprocal_rise_m(from_start_m=(1.225, 1.375), from_end_m=(0.850, 0.500))), 3)
    0.1
    """
    return (_rise(from_start_m) + _rise(from_end_m)) / 2


def far_reading_error_m(
    *, from_start_m: tuple[ArrayLike, ArrayLike], from_end_m: tuple[ArrayLike, ArrayLike]
) -> FloatArray:
    """Return by how much each long sight reads too high.

    Parameters
    ----------
    from_start_m, from_end_m
        Readings at the start and at the end, in this order, with the instrument close to the
        start and close to the end [m].

    Returns
    -------
    FloatArray
        The slope of the line of sight, curvature and refraction together [m].
    """
    return (_rise(from_end_m) - _rise(from_start_m)) / 2


def slope_of_long_sight(
    error_m: ArrayLike, *, distance_m: ArrayLike, refraction: ArrayLike
) -> FloatArray:
    """Return the slope of the line of sight that is left of the error of a long sight.

    Parameters
    ----------
    error_m
        By how much the long sight reads too high [m].
    distance_m
        Length of the long sight, above zero [m].
    refraction
        Part of the curvature that refraction takes back [1].

    Returns
    -------
    FloatArray
        Rise of the line of sight over its length [1].

    Notes
    -----
    error = slope x distance + (1 - refraction) x curvature; one of slope and refraction must
    be known for the other.
    """
    distance = np.asarray(distance_m, np.float64)
    earth = (1 - np.asarray(refraction, np.float64)) * curvature_m(distance)
    return (np.asarray(error_m, np.float64) - earth) / distance


def refraction_of_long_sight(
    error_m: ArrayLike, *, distance_m: ArrayLike, slope: ArrayLike
) -> FloatArray:
    """Return the refraction that is left of the error of a long sight.

    Parameters
    ----------
    error_m
        By how much the long sight reads too high [m].
    distance_m
        Length of the long sight, above zero [m].
    slope
        Rise of the line of sight over its length, as a two-peg test gives it [1].

    Returns
    -------
    FloatArray
        Part of the curvature that refraction takes back; only worth its digits where the
        curvature is much more than a reading's error, some hundreds of metres [1].

    Examples
    --------
    >>> round(float(refraction_of_long_sight(0.040, distance_m=780, slope=0.0)), 2)
    0.16
    """
    distance = np.asarray(distance_m, np.float64)
    bent = np.asarray(error_m, np.float64) - np.asarray(slope, np.float64) * distance
    return 1 - bent / curvature_m(distance)


def _rise(readings_m: tuple[ArrayLike, ArrayLike]) -> FloatArray:
    """Return how much higher the end seems: a smaller reading is a higher point."""
    start, end = readings_m
    return np.asarray(start, np.float64) - np.asarray(end, np.float64)
