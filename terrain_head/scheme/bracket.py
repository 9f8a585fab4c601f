"""The root of many rising or falling functions at once, each between its own bounds."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

_MOST_STEPS = 200
_CLOSE = 4 * np.finfo(np.float64).eps


def root_between(
    function: Callable[[FloatArray], FloatArray], *, low: ArrayLike, high: ArrayLike
) -> FloatArray:
    """Return where a continuous function is zero, entry by entry.

    Parameters
    ----------
    function
        Takes and returns arrays of the shape of the answer, entry by entry.
    low, high
        Bounds, broadcast against each other, in the unit of the answer [any].

    Returns
    -------
    FloatArray
        A root of each entry, nan where its bounds hold no change of sign [any].

    Notes
    -----
    Chandrupatla's method: an inverse quadratic step where it is safe, else a halving, so a kink
    between two regimes of flow costs steps but never the root. An entry's answer does not depend
    on its neighbours.

    Examples
    --------
    >>> root_between(lambda x: x * x - np.array([4.0, 9.0]), low=0.0, high=[10.0, 10.0])
    array([2., 3.])

    References
    ----------
    T. R. Chandrupatla, A new hybrid quadratic/bisection algorithm, Advances in Engineering
    Software 28, 1997 (from memory).
    """
    x1, x2 = (np.array(x) for x in np.broadcast_arrays(np.asarray(low, float), high))
    f1, f2 = np.asarray(function(x1)), np.asarray(function(x2))
    shape = np.broadcast_shapes(x1.shape, f1.shape)
    x1, x2, f1, f2 = (np.array(np.broadcast_to(x, shape)) for x in (x1, x2, f1, f2))
    root = np.where(f1 == 0, x1, np.where(f2 == 0, x2, np.nan))
    open_ = np.isnan(root) & (np.sign(f1) * np.sign(f2) < 0)
    step = np.full(shape, 0.5)
    for _ in range(_MOST_STEPS):
        if not open_.any():
            break
        x = x1 + step * (x2 - x1)
        f = np.asarray(function(x))
        same = np.sign(f) == np.sign(f1)
        x3, f3 = np.where(same, x1, x2), np.where(same, f1, f2)
        x2, f2 = np.where(same, x2, x1), np.where(same, f2, f1)
        x1, f1 = x, f
        best = np.where(np.abs(f1) < np.abs(f2), x1, x2)
        width = np.abs(x2 - x1)
        least = _CLOSE * np.abs(best)
        done = open_ & ((width <= least) | (f1 == 0))
        root = np.where(done, best, root)
        open_ &= ~done
        step = _next_step((x1, x2, x3), (f1, f2, f3), 0.5 * least, width)
    return np.asarray(root)


def _next_step(
    x: tuple[FloatArray, FloatArray, FloatArray],
    f: tuple[FloatArray, FloatArray, FloatArray],
    least: FloatArray,
    width: FloatArray,
) -> FloatArray:
    (x1, x2, x3), (f1, f2, f3) = x, f
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        xi = (x1 - x2) / (x3 - x2)
        phi = (f1 - f2) / (f3 - f2)
        curved = f1 / (f2 - f1) * f3 / (f2 - f3) + (x3 - x1) / (x2 - x1) * f1 / (f3 - f1) * f2 / (
            f3 - f2
        )
        safe = (phi**2 < xi) & ((1 - phi) ** 2 < 1 - xi) & np.isfinite(curved)
        edge = np.where(width > 0, least / width, 0.5)
    return np.asarray(np.clip(np.where(safe, curved, 0.5), edge, 1 - edge))
