"""The work of a hydraulic ram: efficiency in its two published senses, and the water it lifts.

Heights count from the waste valve's outlet: the fall up to the water at the drive pipe's inlet, the
lift up to where the delivery lets go of its water, its losses added where the efficiency is meant
to be the ram's own.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def daubuisson_efficiency(
    delivered_m3_s: ArrayLike, drive_m3_s: ArrayLike, *, lift_m: ArrayLike, fall_m: ArrayLike
) -> FloatArray:
    """Return a ram's efficiency as D'Aubuisson counts it: q h / (Q H).

    Parameters
    ----------
    delivered_m3_s
        Delivered flow q [m3/s].
    drive_m3_s
        Whole flow into the ram Q, the wasted water included [m3/s].
    lift_m
        Delivery level above the ram h [m].
    fall_m
        Source level above the ram H [m].

    Returns
    -------
    FloatArray
        Efficiency [1].

    Notes
    -----
    With the wasted flow in the place of Q, as some laboratory sheets have it, the figure is too
    high: add the delivered flow first.

    Examples
    --------
    >>> round(float(daubuisson_efficiency(3.0, 30.0, lift_m=18.0, fall_m=4.0)), 6)
    0.45

    References
    ----------
    D'Aubuisson's and Rankine's efficiencies, a teaching page of civil engineering, 2025.
    """
    work = np.asarray(delivered_m3_s, np.float64) * np.asarray(lift_m, np.float64)
    return work / (np.asarray(drive_m3_s, np.float64) * np.asarray(fall_m, np.float64))


def rankine_efficiency(
    delivered_m3_s: ArrayLike, drive_m3_s: ArrayLike, *, lift_m: ArrayLike, fall_m: ArrayLike
) -> FloatArray:
    """Return a ram's efficiency as Rankine counts it: q (h - H) / ((Q - q) H).

    Parameters
    ----------
    delivered_m3_s
        Delivered flow q [m3/s].
    drive_m3_s
        Whole flow into the ram Q [m3/s].
    lift_m
        Delivery level above the ram h [m].
    fall_m
        Source level above the ram H [m].

    Returns
    -------
    FloatArray
        Efficiency: the lift counts from the source, and the wasted water pays [1].

    Examples
    --------
    >>> round(float(rankine_efficiency(3.0, 30.0, lift_m=18.0, fall_m=4.0)), 4)
    0.3889

    References
    ----------
    D'Aubuisson's and Rankine's efficiencies, a teaching page of civil engineering, 2025.
    """
    delivered, drive = np.asarray(delivered_m3_s, np.float64), np.asarray(drive_m3_s, np.float64)
    lift, fall = np.asarray(lift_m, np.float64), np.asarray(fall_m, np.float64)
    return delivered * (lift - fall) / ((drive - delivered) * fall)


def rankine_from_daubuisson(efficiency: ArrayLike, *, delivered_share: ArrayLike) -> FloatArray:
    """Return Rankine's figure for a ram whose efficiency by D'Aubuisson is known.

    Parameters
    ----------
    efficiency
        D'Aubuisson's efficiency [1].
    delivered_share
        Delivered flow by drive flow [1].

    Returns
    -------
    FloatArray
        Rankine's efficiency [1].

    Examples
    --------
    >>> round(float(rankine_from_daubuisson(0.45, delivered_share=0.1)), 4)
    0.3889
    """
    share = np.asarray(delivered_share, np.float64)
    return (np.asarray(efficiency, np.float64) - share) / (1 - share)


def delivered_flow_m3_s(
    drive_m3_s: ArrayLike, efficiency: ArrayLike, *, fall_m: ArrayLike, lift_m: ArrayLike
) -> FloatArray:
    """Return the flow that a ram lifts.

    Parameters
    ----------
    drive_m3_s
        Whole flow into the ram [m3/s].
    efficiency
        D'Aubuisson's efficiency [1].
    fall_m
        Source level above the ram [m].
    lift_m
        Delivery level above the ram; add the delivery's losses where the efficiency is the ram's
        own [m].

    Returns
    -------
    FloatArray
        Delivered flow [m3/s].

    Examples
    --------
    >>> round(float(delivered_flow_m3_s(65.0, 0.60, fall_m=10.0, lift_m=22.0)), 2)
    17.73
    """
    paid = np.asarray(drive_m3_s, np.float64) * np.asarray(fall_m, np.float64)
    return np.asarray(efficiency, np.float64) * paid / np.asarray(lift_m, np.float64)


def drive_flow_m3_s(
    delivered_m3_s: ArrayLike, efficiency: ArrayLike, *, fall_m: ArrayLike, lift_m: ArrayLike
) -> FloatArray:
    """Return the flow a ram must take in to lift a flow: the inverse of `delivered_flow_m3_s`.

    Parameters
    ----------
    delivered_m3_s
        Delivered flow [m3/s].
    efficiency
        D'Aubuisson's efficiency [1].
    fall_m
        Source level above the ram [m].
    lift_m
        Delivery level above the ram, losses as in `delivered_flow_m3_s` [m].

    Returns
    -------
    FloatArray
        Drive flow [m3/s].
    """
    work = np.asarray(delivered_m3_s, np.float64) * np.asarray(lift_m, np.float64)
    return work / (np.asarray(efficiency, np.float64) * np.asarray(fall_m, np.float64))
