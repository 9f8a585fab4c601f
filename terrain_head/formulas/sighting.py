"""A level line of sight over the round earth, and how well it can be read."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import OURS, Source

FloatArray = NDArray[np.float64]

EARTH_RADIUS_M = 6_371_000.0
REFRACTION_ONE_SEVENTH = 1 / 7
REFRACTION_GEODETIC = 0.14

CURVATURE_RULES = Source(
    key="curvature-and-refraction-rules",
    author="several teaching pages",
    title="Curvature 0.0785 and refraction 0.0112 metres at one kilometre",
    year="no year",
)
EARTH_RADIUS = OURS.at("mean earth radius 6371 km for the curvature of a sight")


def curvature_m(distance_m: ArrayLike, *, radius_m: float = EARTH_RADIUS_M) -> FloatArray:
    """Return how far the level surface falls below a level line of sight.

    Parameters
    ----------
    distance_m
        Distance of the rod from the instrument [m].
    radius_m
        Radius of the earth [m].

    Returns
    -------
    FloatArray
        Always positive: the reading is too high by it [m].

    Notes
    -----
    d2 / 2R, 0.0785 m at one kilometre.
    """
    return np.asarray(distance_m, np.float64) ** 2 / (2 * radius_m)


def curvature_and_refraction_m(
    distance_m: ArrayLike, *, refraction: float = REFRACTION_ONE_SEVENTH
) -> FloatArray:
    """Return by how much a rod reading is too high: subtract it from the reading.

    Parameters
    ----------
    distance_m
        Distance of the rod from the instrument [m].
    refraction
        Part of the curvature that refraction takes back; 1/7 in most textbooks, 0.14 in
        others [1].

    Returns
    -------
    FloatArray
        Curvature less refraction, positive [m].

    Notes
    -----
    Equal sights back and ahead cancel it. 0.0673 m at one kilometre, 0.0205 ft at 1000 ft.

    Examples
    --------
    >>> round(float(curvature_and_refraction_m(1000.0)), 4)
    0.0673
    """
    return (1 - refraction) * curvature_m(distance_m)


def farthest_sight_m(
    error_m: ArrayLike, *, refraction: float = REFRACTION_ONE_SEVENTH
) -> FloatArray:
    """Return the sight at which curvature and refraction come to an error.

    Parameters
    ----------
    error_m
        Error that one reading may have from them, not negative [m].
    refraction
        Part of the curvature that refraction takes back, below 1 [1].

    Returns
    -------
    FloatArray
        Length of the sight [m].

    Examples
    --------
    >>> round(float(farthest_sight_m(0.003)))
    211
    """
    error = np.asarray(error_m, np.float64)
    return np.sqrt(2 * EARTH_RADIUS_M * error / (1 - refraction))


def sight_std_m(
    distance_m: ArrayLike, *, reading_std_m: ArrayLike, angle_std_rad: ArrayLike
) -> FloatArray:
    """Return the standard error of one rod reading.

    Parameters
    ----------
    distance_m
        Distance of the rod from the instrument [m].
    reading_std_m
        Standard error of reading the rod [m].
    angle_std_rad
        Standard error of the line of sight's slope [rad].

    Returns
    -------
    FloatArray
        Both together, as independent errors add [m].

    Examples
    --------
    >>> float(sight_std_m(40.0, reading_std_m=0.003, angle_std_rad=1e-4))
    0.005
    """
    tilt = np.asarray(angle_std_rad, np.float64) * np.asarray(distance_m, np.float64)
    return np.hypot(np.asarray(reading_std_m, np.float64), tilt)
