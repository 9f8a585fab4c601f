"""Which of many are beaten in everything by another, and are not worth showing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def unbeaten(costs: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Say which rows no other beats in everything.

    Parameters
    ----------
    costs
        Less is better, shape (n, k).

    Returns
    -------
    ndarray
        False where another is nowhere worse and somewhere better; of rows alike all stay,
        shape (n,).

    Examples
    --------
    >>> unbeaten(np.array([[1.0, 2.0], [2.0, 1.0], [2.0, 2.0]])).tolist()
    [True, True, False]
    """
    keep = np.ones(len(costs), dtype=bool)
    # Whoever beats a row comes before it in the order of the columns.
    order = np.lexsort(costs.T[::-1])
    front = np.empty((0, costs.shape[1]))
    for at in order:
        row = costs[at]
        beaten = bool(np.any(np.all(front <= row, axis=1) & np.any(front < row, axis=1)))
        keep[at] = not beaten
        if not beaten:
            front = np.vstack([front, row])
    return keep
