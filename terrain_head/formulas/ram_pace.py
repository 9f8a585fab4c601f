"""How fast a ram beats for its water: the mean velocity of a beat, and the beats it allows.

Both are of a stiff column that starts each beat from rest and is stopped without loss at the
delivery valve, as in `terrain_head.formulas.ram_cycle`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def mean_by_steady(closing_share: ArrayLike, *, fall_m: ArrayLike, head_m: ArrayLike) -> FloatArray:
    """Return the mean velocity over a beat, by the steady velocity.

    Parameters
    ----------
    closing_share
        Velocity at which the waste valve shuts, by the steady velocity; under 1 [1].
    fall_m
        Fall on the drive pipe [m].
    head_m
        Delivery head above the ram, losses included; more than the fall [m].

    Returns
    -------
    FloatArray
        Mean velocity by steady velocity [1].

    Notes
    -----
    From rest, no loss at the delivery valve, no recoil. The mean is never less than half of the
    velocity at which the valve shuts: that velocity is at most twice the mean.

    Examples
    --------
    >>> round(float(mean_by_steady(0.6, fall_m=3.0, head_m=30.0)), 4)
    0.32
    """
    share, way, time = _parts(closing_share, fall_m=fall_m, head_m=head_m)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(share == 0, 0.0, way / time)


def quickness(closing_share: ArrayLike, *, fall_m: ArrayLike, head_m: ArrayLike) -> FloatArray:
    """Return the number that a measured beat gives of its own: L Vmean / (g H T).

    Parameters
    ----------
    closing_share
        Velocity at which the waste valve shuts, by the steady velocity; under 1 [1].
    fall_m
        Fall on the drive pipe [m].
    head_m
        Delivery head above the ram, losses included; more than the fall [m].

    Returns
    -------
    FloatArray
        Length times mean velocity, by g, fall and time of a beat [1].

    Notes
    -----
    It falls as the share grows, from (h - H) / (2 h) toward 0: with length, flow, fall and beats
    known, the share is known. Beats quicker than its greatest value allows fit no column that
    starts from rest.
    """
    share, way, time = _parts(closing_share, fall_m=fall_m, head_m=head_m)
    at_rest = np.asarray(fall_m, np.float64) / np.asarray(head_m, np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(share == 0, 0.5 * (1 - at_rest), way / time**2)


def _parts(
    closing_share: ArrayLike, *, fall_m: ArrayLike, head_m: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the closing share, and way and time of a beat in its own units of both."""
    share, fall, head = (np.asarray(x, np.float64) for x in (closing_share, fall_m, head_m))
    stopping = fall / (head - fall)
    way = 0.5 * (stopping * share**2 - np.log1p(-(share**2)))
    return share, np.asarray(way), np.asarray(np.arctanh(share) + stopping * share)
