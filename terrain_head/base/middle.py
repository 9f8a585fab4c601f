"""The middle of a value that may be drawn many times: the draws stand along the first axis."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray


def middle(values: ArrayLike) -> float:
    """Return the middle of a value or of its draws, nan where it is not known.

    Parameters
    ----------
    values
        A value, or one per draw, shape () or (draws,).

    Examples
    --------
    >>> middle(2.5), middle([1.0, 2.0, 9.0])
    (2.5, 2.0)
    """
    array = np.asarray(values, dtype=np.float64)
    return float(array) if array.ndim == 0 else float(np.median(array))


def middle_of(values: ArrayLike | None) -> float | None:
    """Return the middle of a value or of its draws, None where it is not known.

    Parameters
    ----------
    values
        A value, or one per draw, shape () or (draws,); nan and infinity count as not known.

    Examples
    --------
    >>> middle_of([2.0, 4.0, 9.0]), middle_of(None), middle_of(float("nan"))
    (4.0, None, None)
    """
    value = np.nan if values is None else middle(values)
    return value if np.isfinite(value) else None


def middle_along(values: ArrayLike) -> NDArray[np.float64]:
    """Return the middle at each station of a line, or the values where there are no draws.

    Parameters
    ----------
    values
        Along a line, shape (n,) or (draws, n).

    Examples
    --------
    >>> middle_along([[1.0, 2.0], [3.0, 6.0], [4.0, 4.0]]).tolist()
    [3.0, 4.0]
    """
    array = np.asarray(values, dtype=np.float64)
    return array if array.ndim < 2 else np.asarray(np.median(array, axis=0))
