"""A line of sight that is not level, though the instrument says so: found and taken off."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def two_peg_slope(
    *,
    first_m: tuple[ArrayLike, ArrayLike],
    second_m: tuple[ArrayLike, ArrayLike],
    first_sights_m: tuple[ArrayLike, ArrayLike],
    second_sights_m: tuple[ArrayLike, ArrayLike],
) -> FloatArray:
    """Return the slope of the line of sight from a two-peg test.

    Parameters
    ----------
    first_m, second_m
        Readings on the two pegs, in the same order, from each of the two set-ups [m].
    first_sights_m, second_sights_m
        Lengths of these sights [m].

    Returns
    -------
    FloatArray
        Rise of the line of sight over its length, negative where it falls; nan where the two
        set-ups are alike in balance and so tell nothing [1].

    Notes
    -----
    The two set-ups see one height difference, so what they differ by is the slope times the
    change of balance. The first set-up need not stand in the middle. Curvature and refraction
    are left in: below 1 mm up to 100 m.

    Examples
    --------
    >>> round(float(two_peg_slope(
    ...     first_m=(1.283, 0.860), first_sights_m=(25, 25),
    ...     second_m=(1.612, 1.219), second_sights_m=(55, 5),
    ... )), 6)
    -0.0006
    """
    change = _difference(second_m) - _difference(first_m)
    balance = _difference(second_sights_m) - _difference(first_sights_m)
    return np.divide(change, np.where(balance == 0, np.nan, balance))


def two_peg_slope_std(
    *,
    reading_std_m: ArrayLike,
    first_sights_m: tuple[ArrayLike, ArrayLike],
    second_sights_m: tuple[ArrayLike, ArrayLike],
) -> FloatArray:
    """Return how well a two-peg test gives the slope of the line of sight.

    Parameters
    ----------
    reading_std_m
        Standard error of each of the four readings [m].
    first_sights_m, second_sights_m
        Lengths of the sights to the two pegs from each set-up [m].

    Returns
    -------
    FloatArray
        Standard error of the slope; nan where the two set-ups are alike in balance [1].

    Notes
    -----
    Four independent readings: twice the error of one, over the change of balance.
    """
    balance = np.abs(_difference(second_sights_m) - _difference(first_sights_m))
    return np.divide(
        2 * np.asarray(reading_std_m, np.float64), np.where(balance == 0, np.nan, balance)
    )


def level_reading_m(reading_m: ArrayLike, *, distance_m: ArrayLike, slope: ArrayLike) -> FloatArray:
    """Return what a level line of sight would have read.

    Parameters
    ----------
    reading_m
        Reading of the rod [m].
    distance_m
        Length of the sight [m].
    slope
        Rise of the line of sight over its length, negative where it falls [1].

    Returns
    -------
    FloatArray
        Reading less what the sloping line added [m].

    Examples
    --------
    >>> round(float(level_reading_m(1.612, distance_m=55, slope=-0.0006)), 3)
    1.645
    """
    added = np.asarray(slope, np.float64) * np.asarray(distance_m, np.float64)
    return np.asarray(reading_m, np.float64) - added


def _difference(pair: tuple[ArrayLike, ArrayLike]) -> FloatArray:
    """Return the first less the second."""
    one, other = pair
    return np.asarray(one, np.float64) - np.asarray(other, np.float64)
