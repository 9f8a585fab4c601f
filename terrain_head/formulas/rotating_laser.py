"""A rotating laser's plane that is no plane, or not level: its cone and its tilt."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Source

FloatArray = NDArray[np.float64]

LASER_CHECKS = Source(
    key="rotating-laser-checks",
    author="several trade guides",
    title="Check of a rotating laser by a half turn, on both axes",
    year="no year",
)
OPPOSITE_RAD = math.pi
"""Back and ahead in opposite directions, where a tilt adds up the most [rad]."""


def half_turn_tilt(first_m: ArrayLike, second_m: ArrayLike, *, distance_m: ArrayLike) -> FloatArray:
    """Return a laser's tilt along one line from readings before and after half a turn of its head.

    Parameters
    ----------
    first_m, second_m
        Readings of one rod before and after the instrument was turned half round [m].
    distance_m
        Distance of the rod, above zero [m].

    Returns
    -------
    FloatArray
        Rise over distance towards the rod in the first position [1].

    Notes
    -----
    The two readings lie apart by twice the error; their mean is free of the tilt, not of the
    cone. The other axis needs its own two readings: `whole_tilt`.

    Examples
    --------
    >>> round(float(half_turn_tilt(1.206, 1.200, distance_m=20)) * 20, 4)
    0.003
    """
    spread = np.asarray(first_m, np.float64) - np.asarray(second_m, np.float64)
    return spread / (2 * np.asarray(distance_m, np.float64))


def whole_tilt(along: ArrayLike, *, across: ArrayLike) -> FloatArray:
    """Return the steepest slope of the laser's plane from its two axes.

    Parameters
    ----------
    along, across
        Tilt along two lines at a right angle [1].

    Returns
    -------
    FloatArray
        Never negative [1].
    """
    return np.hypot(np.asarray(along, np.float64), np.asarray(across, np.float64))


def tilt_error_m(distance_m: ArrayLike, *, tilt: ArrayLike, direction_rad: ArrayLike) -> FloatArray:
    """Return what a tilted plane adds to a reading.

    Parameters
    ----------
    distance_m
        Distance of the rod [m].
    tilt
        Steepest slope of the plane [1].
    direction_rad
        Angle between the sight and the plane's way up [rad].

    Returns
    -------
    FloatArray
        Positive where the plane stands too high [m].
    """
    slope = np.asarray(tilt, np.float64) * np.cos(np.asarray(direction_rad, np.float64))
    return slope * np.asarray(distance_m, np.float64)


def tilt_rise_std_m(
    back_m: ArrayLike,
    ahead_m: ArrayLike,
    *,
    tilt: ArrayLike,
    between_rad: ArrayLike = OPPOSITE_RAD,
) -> FloatArray:
    """Return the standard error of a rise from a tilt whose direction nobody knows.

    Parameters
    ----------
    back_m, ahead_m
        Lengths of the two sights [m].
    tilt
        Steepest slope of the plane [1].
    between_rad
        Angle between the two sights; left out, they lie in opposite directions, the worst [rad].

    Returns
    -------
    FloatArray
        Standard error over all directions of the tilt, alike likely [m].

    Notes
    -----
    tilt x |back - ahead as arrows| / sqrt(2): it grows with the distance between the two rods,
    however long the sights, and is nothing where both stand in one place.

    Examples
    --------
    >>> bool(tilt_rise_std_m(30.0, 30.0, tilt=5e-5, between_rad=0.0) == 0)
    True
    """
    back, ahead = np.asarray(back_m, np.float64), np.asarray(ahead_m, np.float64)
    half = np.asarray(between_rad, np.float64) / 2
    apart = np.hypot((back - ahead) * np.cos(half), (back + ahead) * np.sin(half))
    return np.abs(np.asarray(tilt, np.float64)) * apart / math.sqrt(2)


def cone_rise_std_m(back_m: ArrayLike, ahead_m: ArrayLike, *, cone_std: ArrayLike) -> FloatArray:
    """Return the standard error of a rise from a plane that is really a cone.

    Parameters
    ----------
    back_m, ahead_m
        Lengths of the two sights [m].
    cone_std
        Standard error of the slope that the light has in every direction [1].

    Returns
    -------
    FloatArray
        Grows with the difference of the two sights and is nothing where they balance [m].
    """
    balance = np.asarray(back_m, np.float64) - np.asarray(ahead_m, np.float64)
    return np.abs(balance) * np.asarray(cone_std, np.float64)
