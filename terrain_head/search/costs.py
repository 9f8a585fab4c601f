"""What it costs to lay a pipe from one cell to the next: length, steepness, climb lost, fall kept.

Costs are in metres of pipe on easy level ground, so that a person can judge them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.ndimage import convolve1d

from terrain_head.base.citation import OURS, Citation
from terrain_head.ground.slope import EVENING_M

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

MOVES = (
    (0, 1), (0, -1), (1, 0), (-1, 0),
    (1, 1), (1, -1), (-1, 1), (-1, -1),
    (1, 2), (1, -2), (-1, 2), (-1, -2), (2, 1), (2, -1), (-2, 1), (-2, -1),
)  # fmt: skip
"""Rows and columns of the sixteen hops from a cell: beside, across the corner, and between."""

LOST_CLIMB = 10.0
"""What a metre of climb that is lost again costs, in metres of pipe [1]."""
TWICE_AT = 0.5
"""Steepness of the ground at which a metre of trench costs twice that on the level [1]."""
LEAST_GRADE = 0.005
"""The least fall of a line that must keep falling, where none is stated [1]."""
RATES_TAKEN: Citation = OURS.at(
    "a metre of lost climb costs as much as 10 m of pipe; a trench twice as much on ground of 50 %"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteRates:
    """What counts in the choice of a route.

    Parameters
    ----------
    lost_climb
        Metres of pipe that a metre of lost climb is worth [1].
    twice_at
        Steepness of the ground at which trenching costs twice as much [1].
    least_grade
        Fall that every step of a gravity line must have at least; None for a pressure pipe [1].
    """

    lost_climb: float = LOST_CLIMB
    twice_at: float = TWICE_AT
    least_grade: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CostGround:
    """The ground of a search: square cells, a height and a cost factor at the middle of each.

    Parameters
    ----------
    height_m
        Heights, shape (rows, columns) [m].
    factor
        What a metre of pipe costs there, 1 on easy ground, infinite where none may go, shape
        (rows, columns) [1].
    cell_m
        Distance of two neighbours [m].
    lost_climb
        Cost of a metre that is climbed in vain [1].
    least_grade
        Fall that every step must have at least, None for a pressure pipe [1].

    Notes
    -----
    Climb is lost where a pipe that goes up on the whole goes down, or one that goes down on the
    whole goes up: from end to end it adds up to the climb after a fall, with a summit before each,
    and is the same whichever way the pipe is walked.
    """

    height_m: FloatArray
    factor: FloatArray
    cell_m: float
    lost_climb: float = LOST_CLIMB
    least_grade: float | None = None


def cost_ground(
    height_m: ArrayLike,
    *,
    cell_m: float,
    rates: RouteRates,
    keep_off: ArrayLike | None = None,
    cover: ArrayLike | None = None,
) -> CostGround:
    """Return the ground of a search from its heights.

    Parameters
    ----------
    height_m
        Heights at the middles of the cells, nan where there is none, shape (rows, columns) [m].
    cell_m
        Distance of two neighbours [m].
    rates
        What counts.
    keep_off
        Cells where no pipe may go, shape (rows, columns).
    cover
        What a metre costs for what stands or lies there, 1 where nothing does, shape (rows,
        columns) [1].

    Examples
    --------
    >>> slope = np.arange(5.0)[:, None] * np.ones(5)
    >>> float(cost_ground(slope, cell_m=2.0, rates=RouteRates()).factor[2, 2])
    2.0
    """
    height = evened_heights(np.asarray(height_m, dtype=np.float64), cell_m=cell_m)
    known = np.isfinite(height)
    factor = 1.0 + (steepness(height, cell_m=cell_m) / rates.twice_at) ** 2
    if cover is not None:
        factor = factor * np.asarray(cover, dtype=np.float64)
    barred = ~known if keep_off is None else ~known | np.asarray(keep_off, dtype=np.bool_)
    return CostGround(
        height_m=np.where(known, height, 0.0),
        factor=np.where(barred, np.inf, factor),
        cell_m=cell_m,
        lost_climb=rates.lost_climb,
        least_grade=rates.least_grade,
    )


def evened_heights(height_m: FloatArray, *, cell_m: float) -> FloatArray:
    """Return heights averaged over what a pipe in its trench spans, nan where there was none [m].

    Parameters
    ----------
    height_m
        Heights, nan where there is none, shape (rows, columns) [m].
    cell_m
        Distance of two neighbours [m].

    Notes
    -----
    The triangle is the one over which the length along the slope is taken. Beyond the rim the
    ground goes on as its own mirror image upside down, so that a plane stays a plane.
    """
    reach = math.floor(EVENING_M / cell_m)
    if reach < 2 or not np.isfinite(height_m).any():
        return np.array(height_m)
    weights = reach - np.abs(np.arange(1.0 - reach, reach))
    wide = np.pad(height_m, reach, mode="reflect", reflect_type="odd")
    known = np.isfinite(wide)
    middle = float(wide[known].mean())
    total = np.where(known, wide - middle, 0.0)
    share = known.astype(np.float64)
    for axis in (0, 1):
        total = np.asarray(convolve1d(total, weights, axis=axis, mode="constant"))
        share = np.asarray(convolve1d(share, weights, axis=axis, mode="constant"))
    evened = np.full(wide.shape, np.nan)
    evened[known] = total[known] / share[known] + middle
    return evened[reach:-reach, reach:-reach]


def steepness(height_m: FloatArray, *, cell_m: float) -> FloatArray:
    """Return how steep the ground is, whichever way it falls; 0 where that is not known [1].

    Parameters
    ----------
    height_m
        Heights, nan where there is none, shape (rows, columns), two each at least [m].
    cell_m
        Distance of two neighbours [m].
    """
    rise_row, rise_column = np.gradient(height_m, cell_m)
    return np.asarray(np.nan_to_num(np.hypot(rise_row, rise_column), nan=0.0))


def piece_cost(
    level_m: ArrayLike, rise_m: FloatArray, *, factor: FloatArray, ground: CostGround, upward: float
) -> FloatArray:
    """Return the cost of short straight pieces, infinite where a gravity line would not fall.

    Parameters
    ----------
    level_m
        Level length [m].
    rise_m
        Height of the end less that of the beginning [m].
    factor
        Mean cost factor of both [1].
    ground
        What a lost metre costs, and whether the line must keep falling.
    upward
        1 where the whole pipe goes up, -1 where it goes down [1].

    Examples
    --------
    >>> flat = CostGround(height_m=np.zeros((2, 2)), factor=np.ones((2, 2)), cell_m=1.0)
    >>> piece_cost(3.0, np.array([4.0, -4.0]), factor=np.ones(2), ground=flat, upward=1.0)
    array([ 5., 45.])
    """
    level = np.asarray(level_m, dtype=np.float64)
    cost = np.sqrt(level * level + rise_m * rise_m)
    cost *= factor
    if ground.least_grade is not None:
        cost[rise_m > -ground.least_grade * level] = np.inf
    elif ground.lost_climb:
        cost += ground.lost_climb * np.maximum(-upward * rise_m, 0.0)
    return cost
