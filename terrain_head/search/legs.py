"""A way from cell to cell made into a few straight legs that a person can peg out and dig."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.search.costs import CostGround, piece_cost

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

DEARER = 0.05
"""How much dearer straight legs may be than the best way found, to have fewer corners; ours [1]."""
DEEPER_M = 0.3
"""How much deeper than elsewhere the trench of a gravity line may be along a leg; ours [m]."""
_MOST_CORNERS = 64
_MOST_LEGS = 24


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Legs:
    """Straight legs along the ground.

    Parameters
    ----------
    corners
        Row and column of ends and bends, shape (legs + 1, 2).
    cost
        What they cost, in metres of pipe on easy level ground [m].
    """

    corners: FloatArray
    cost: float


def leg_cost(ground: CostGround, start: ArrayLike, *, end: ArrayLike, upward: float = 1.0) -> float:
    """Return the cost of one straight leg over the ground under it, infinite where it may not go.

    Parameters
    ----------
    ground
        Heights and cost factors.
    start, end
        Row and column of its ends, need not be whole, shape (2,).
    upward
        1 where the whole pipe goes up, -1 where it goes down [1].

    Notes
    -----
    The leg is cut wherever it passes a line through the middles of the cells or one between them:
    no cell it passes over, however briefly, is overlooked. Heights are bilinear. A gravity line
    falls by its least grade from the beginning on; where the ground does not fall as fast the
    trench gets deeper, by `DEEPER_M` at most, and at the end of the leg it is as shallow as before.

    Examples
    --------
    >>> flat = CostGround(height_m=np.zeros((9, 9)), factor=np.ones((9, 9)), cell_m=2.0)
    >>> round(leg_cost(flat, (0, 0), end=(3.0, 4.0)), 9)
    10.0
    """
    first, last = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
    share = _cuts(first, last)
    at = first + share[:, None] * (last - first)
    middle = 0.5 * (at[1:] + at[:-1])
    under = np.rint(middle).astype(np.intp)
    rows, columns = ground.factor.shape
    if np.any(under < 0) or np.any(under >= (rows, columns)):
        return np.inf
    factor = ground.factor[under[:, 0], under[:, 1]]
    if not np.isfinite(factor).all():
        return np.inf
    level = np.diff(share) * float(np.hypot(*(last - first))) * ground.cell_m
    height = height_at(ground, at)
    if ground.least_grade is None:
        rise = np.diff(height)
        return float(piece_cost(level, rise, factor=factor, ground=ground, upward=upward).sum())
    return _falling_cost(ground, level, factor=factor, height=height)


def _falling_cost(
    ground: CostGround, level: FloatArray, *, factor: FloatArray, height: FloatArray
) -> float:
    """Return the cost of a leg of a gravity line, its trench deeper where the ground holds up."""
    grade = ground.least_grade or 0.0
    along = np.concatenate([[0.0], np.cumsum(level)])
    lifted = height + grade * along
    deeper = lifted - np.minimum.accumulate(lifted)
    if deeper.max() > DEEPER_M or deeper[-1] > 1e-9:
        return np.inf
    pipe = height - deeper
    return float((np.hypot(level, np.diff(pipe)) * factor).sum())


def height_at(ground: CostGround, at: FloatArray) -> FloatArray:
    """Return bilinear heights, the outermost middles of cells going on level beyond [m].

    Parameters
    ----------
    ground
        Heights.
    at
        Rows and columns, shape (n, 2).
    """
    most = np.array(ground.height_m.shape) - 1
    held = np.clip(at, 0, most)
    low = np.minimum(held.astype(np.intp), np.maximum(most - 1, 0))
    part = held - low
    high = np.minimum(low + 1, most)
    z = ground.height_m
    upper = z[low[:, 0], low[:, 1]] * (1 - part[:, 1]) + z[low[:, 0], high[:, 1]] * part[:, 1]
    lower = z[high[:, 0], low[:, 1]] * (1 - part[:, 1]) + z[high[:, 0], high[:, 1]] * part[:, 1]
    return np.asarray(upper * (1 - part[:, 0]) + lower * part[:, 0])


def _cuts(first: FloatArray, last: FloatArray) -> FloatArray:
    """Return the shares of a leg at which it passes a line of the grid or one half way between."""
    shares = [np.array([0.0, 1.0])]
    for begin, finish in zip(first, last, strict=True):
        low, high = sorted((2 * begin, 2 * finish))
        lines = 0.5 * np.arange(np.floor(low) + 1, np.ceil(high))
        if len(lines):
            shares.append((lines - begin) / (finish - begin))
    cut = np.unique(np.concatenate(shares))
    # Two lines passed at one spot are one cut: a piece of rounding noise has no length.
    keep = np.diff(cut, append=2.0) > 1e-9
    keep[0] = True
    cut = cut[keep]
    cut[-1] = 1.0
    return cut


def straight_legs(ground: CostGround, way: FloatArray, *, upward: float = 1.0) -> Legs | None:
    """Return the fewest straight legs that are hardly dearer than the best along a way.

    Parameters
    ----------
    ground
        Heights and cost factors.
    way
        Rows and columns of the cells of a way, its true ends first and last, shape (n, 2).
    upward
        1 where the whole pipe goes up, -1 where it goes down [1].

    Returns
    -------
    Legs or None
        None where not even the way itself can be laid in legs.

    Notes
    -----
    Corners are cells of the way. Of all ways to choose them the cheapest is found for one leg, two
    legs and so on; the first that is at most `DEARER` over the cheapest of all is taken.
    """
    thinned = np.unique(np.linspace(0, len(way) - 1, min(len(way), _MOST_CORNERS)).astype(np.intp))
    chosen = _passable(ground, way, chosen=thinned.tolist(), upward=upward)
    if chosen is None:
        return None
    corners = way[chosen]
    count = len(corners)
    legs = np.full((count, count), np.inf)
    for i in range(count - 1):
        for j in range(i + 1, count):
            legs[i, j] = leg_cost(ground, corners[i], end=corners[j], upward=upward)
    return _fewest(corners, legs)


def _passable(
    ground: CostGround, way: FloatArray, *, chosen: list[int], upward: float
) -> list[int] | None:
    """Return corners so dense that a leg leads from each to the next, None if none are."""
    held = [chosen[0]]
    todo = chosen[:0:-1]
    while todo:
        first, last = held[-1], todo[-1]
        if np.isfinite(leg_cost(ground, way[first], end=way[last], upward=upward)):
            held.append(todo.pop())
        elif last - first > 1:
            todo.append((first + last) // 2)
        else:
            return None
    return held


def _fewest(corners: FloatArray, legs: FloatArray) -> Legs:
    """Return the fewest legs within the allowance, by the best cost for each number of legs."""
    count = len(corners)
    best = np.full(count, np.inf)
    best[0] = 0.0
    totals, earlier = [], []
    for _ in range(count - 1):
        through = best[:, None] + legs
        before = np.argmin(through, axis=0)
        best = through[before, np.arange(count)]
        totals.append(float(best[-1]))
        earlier.append(before)
        if len(totals) >= _MOST_LEGS and np.isfinite(min(totals)):
            break
    allowed = (1 + DEARER) * min(totals)
    number = next(n for n, total in enumerate(totals) if total <= allowed)
    at = [count - 1]
    for before in earlier[number::-1]:
        at.append(int(before[at[-1]]))
    return Legs(corners=corners[at[::-1]], cost=totals[number])
