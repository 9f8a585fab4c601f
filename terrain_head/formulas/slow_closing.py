"""Water hammer of a valve that is shut slowly: how little it raises, and how long that takes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Source

FloatArray = NDArray[np.float64]

SLOW_CLOSING = Source(
    key="slow-closing",
    author="various texts on water hammer",
    title="Michaud's rule for valves shut slowly",
    year="no year",
    obtained="read in a copy",
)
MICHAUD = SLOW_CLOSING.at("full hammer by the wave's return and the time of closing")


def slow_surge_pa(
    full_pa: ArrayLike, *, wave_return_s: ArrayLike, closing_s: ArrayLike
) -> FloatArray:
    """Return the pressure that water raises when it is stopped in a given time.

    Parameters
    ----------
    full_pa
        What it raises when it is stopped at once [Pa].
    wave_return_s
        Time in which a pressure wave runs to the open water and back [s].
    closing_s
        Time in which the valve is shut, evenly [s].

    Returns
    -------
    FloatArray
        The full hammer, less in the proportion of the wave's return to the closing where that is
        longer [Pa].

    Examples
    --------
    >>> slow_surge_pa(200.0, wave_return_s=2.0, closing_s=[0.0, 2.0, 8.0])
    array([200., 200.,  50.])

    References
    ----------
    Various texts on water hammer, Michaud's rule for valves shut slowly, no year (read in a copy).
    """
    back = np.asarray(wave_return_s, np.float64)
    longer = np.maximum(np.asarray(closing_s, np.float64), back)
    share = np.divide(back, longer, out=np.ones(longer.shape), where=longer > 0)
    return np.asarray(np.asarray(full_pa, np.float64) * share)


def least_closing_s(
    full_pa: ArrayLike, *, wave_return_s: ArrayLike, spare_pa: ArrayLike
) -> FloatArray:
    """Return the quickest closing that raises no more than there is room for.

    Parameters
    ----------
    full_pa
        What a stop at once raises [Pa].
    wave_return_s
        Time in which a pressure wave runs to the open water and back [s].
    spare_pa
        What the pipe bears over the pressure of still water [Pa].

    Returns
    -------
    FloatArray
        0 where a stop at once is borne; infinite where nothing is spare [s].

    Examples
    --------
    >>> least_closing_s(200.0, wave_return_s=2.0, spare_pa=[300.0, 50.0, 0.0])
    array([ 0.,  8., inf])
    """
    full, spare = np.asarray(full_pa, np.float64), np.asarray(spare_pa, np.float64)
    back = np.asarray(wave_return_s, np.float64)
    full, spare, back = np.broadcast_arrays(full, spare, back)
    slow = np.divide(full * back, spare, out=np.full(full.shape, np.inf), where=spare > 0)
    return np.where(full <= spare, 0.0, slow)
