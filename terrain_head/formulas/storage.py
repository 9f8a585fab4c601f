"""An upright tank: what it holds and how long it takes to fill."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


def upright_volume_m3(diameter_m: ArrayLike, *, depth_m: ArrayLike) -> FloatArray:
    """Return the water in an upright round tank.

    Parameters
    ----------
    diameter_m
        Inside diameter [m].
    depth_m
        Depth of the water [m].

    Returns
    -------
    FloatArray
        Volume [m3].

    Notes
    -----
    In feet and US gallons this is the trade's 5.875 d2 h.

    Examples
    --------
    >>> round(float(upright_volume_m3(1.5, depth_m=2.0)), 5)
    3.53429
    """
    diameter, depth = np.asarray(diameter_m, np.float64), np.asarray(depth_m, np.float64)
    return np.pi / 4 * diameter**2 * depth


def fill_time_s(volume_m3: ArrayLike, *, flow_m3_s: ArrayLike) -> FloatArray:
    """Return how long a steady flow takes to fill a volume.

    Parameters
    ----------
    volume_m3
        Volume to be filled [m3].
    flow_m3_s
        Flow into it less all that is drawn meanwhile [m3/s].

    Returns
    -------
    FloatArray
        Time; infinite where nothing flows in [s].
    """
    volume, flow = np.broadcast_arrays(
        np.asarray(volume_m3, np.float64), np.asarray(flow_m3_s, np.float64)
    )
    never = np.full(volume.shape, np.inf)
    never[np.isnan(volume) | np.isnan(flow)] = np.nan
    return np.asarray(np.divide(volume, flow, out=never, where=flow > 0))
