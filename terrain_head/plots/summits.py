"""High and low points worth naming on a drawing: those that stand out of what is not known."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


def turning_points(height_m: FloatArray, *, least_m: float) -> tuple[list[int], list[int]]:
    """Return the high and the low points of a line between its two ends.

    A high point counts if the line falls by at least `least_m` on both sides before it rises
    above that point again; low points likewise. Highs and lows take turns.

    Parameters
    ----------
    height_m
        Height at each station, shape (n,) [m].
    least_m
        Smallest difference that counts [m].

    Returns
    -------
    tuple of list of int
        Stations of the high points, stations of the low points.

    Examples
    --------
    >>> turning_points(np.array([0.0, 3.0, 2.9, 3.1, 1.0, 4.0]), least_m=0.5)
    ([3], [4])
    """
    step = np.sign(np.diff(height_m))
    moving = np.flatnonzero(step)
    turns = moving[1:][step[moving[1:]] != step[moving[:-1]]] if len(moving) else moving
    chosen = [0, *(int(i) for i in turns), len(height_m) - 1]
    highs: list[int] = []
    lows: list[int] = []
    top = bottom = chosen[0]
    rising: bool | None = None
    for i in chosen[1:]:
        if height_m[i] > height_m[top]:
            top = i
        if height_m[i] < height_m[bottom]:
            bottom = i
        if rising is not False and height_m[top] - height_m[i] >= least_m:
            if rising or height_m[top] - height_m[0] >= least_m:
                highs.append(top)
            rising, bottom, top = False, i, i
        elif rising is not True and height_m[i] - height_m[bottom] >= least_m:
            if rising is False or height_m[0] - height_m[bottom] >= least_m:
                lows.append(bottom)
            rising, bottom, top = True, i, i
    return highs, lows
