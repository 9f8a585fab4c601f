"""Routes between two places: the cheapest, others that are really different, and the straight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

from terrain_head.search.costs import CostGround
from terrain_head.search.legs import Legs, height_at, leg_cost, straight_legs
from terrain_head.search.route_field import Cell, route_field

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

APART_SHARE = 0.05
"""Another route counts as elsewhere beyond this share of the distance of its ends; ours [1]."""
APART_CELLS = 4.0
"""And beyond so many cells; ours [1]."""
DIFFERENT = 0.4
"""The share of a route that must lie elsewhere for it to be a different one; ours [1]."""
_DEARER_NEAR = (1.0, 3.0, 9.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundRoute:
    """One route in straight legs.

    Parameters
    ----------
    corners
        Row and column of ends and bends, shape (legs + 1, 2).
    cost
        What it costs, in metres of pipe on easy level ground; infinite where it may not be [m].
    elsewhere
        The share of its length that lies apart from the routes before it [1].
    """

    corners: FloatArray
    cost: float
    elsewhere: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundRoutes:
    """What was found between two places.

    Parameters
    ----------
    routes
        The cheapest first, then others that are really different; empty where no way leads.
    straight
        The straight line.
    apart_m
        How far off counts as elsewhere [m].
    upward
        1 where the pipe goes up on the whole, -1 where it goes down [1].
    """

    routes: tuple[FoundRoute, ...]
    straight: FoundRoute
    apart_m: float
    upward: float


def find_routes(
    ground: CostGround, start: FloatArray, *, end: FloatArray, most: int = 2
) -> FoundRoutes:
    """Return the cheapest route between two spots and others that are really different.

    Parameters
    ----------
    ground
        Heights and cost factors.
    start, end
        Row and column of the two spots, need not be whole, shape (2,).
    most
        How many routes are wanted.

    Notes
    -----
    For a different one every cell near the routes found is made dearer, in steps, until the
    cheapest way keeps away from them for a good part of its length; its cost is then reckoned
    without that. Near the two ends nothing is made dearer: all routes must begin and end there.
    """
    first, last = np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)
    low, high = height_at(ground, np.stack([first, last]))
    upward = 1.0 if high >= low else -1.0
    apart = max(APART_CELLS, APART_SHARE * float(np.hypot(*(last - first))))
    straight = FoundRoute(
        corners=np.stack([first, last]),
        cost=leg_cost(ground, first, end=last, upward=upward),
        elsewhere=0.0,
    )
    routes: list[FoundRoute] = []
    near = np.zeros(ground.factor.shape, dtype=np.bool_)
    while len(routes) < most:
        found = _next_route(ground, (first, last), near=near, upward=upward, known=len(routes))
        if found is None:
            break
        routes.append(found)
        near = near | _near(found.corners, shape=near.shape, apart=apart)
    return FoundRoutes(
        routes=tuple(routes),
        straight=straight,
        apart_m=apart * ground.cell_m,
        upward=upward,
    )


def _next_route(
    ground: CostGround,
    ends: tuple[FloatArray, FloatArray],
    *,
    near: BoolArray,
    upward: float,
    known: int,
) -> FoundRoute | None:
    """Return the cheapest route that lies elsewhere than those known, None if none is found."""
    for dearer in _DEARER_NEAR if known else (0.0,):
        shunned = near & ~_round_ends(ends, near.shape) if known else near
        factor = np.where(shunned, ground.factor * (1 + dearer), ground.factor)
        legs = _cheapest(replace(ground, factor=factor), ends, upward=upward)
        if legs is None:
            return None
        elsewhere = share_elsewhere(legs.corners, near) if known else 1.0
        if elsewhere >= DIFFERENT:
            cost = route_cost(ground, legs.corners, upward=upward)
            return FoundRoute(corners=legs.corners, cost=cost, elsewhere=elsewhere)
    return None


def _cheapest(
    ground: CostGround, ends: tuple[FloatArray, FloatArray], *, upward: float
) -> Legs | None:
    start, end = (_cell(at, ground.factor.shape) for at in ends)
    cells = route_field(ground, start, upward=upward, end=end).way_to(end)
    if cells is None:
        return None
    way = cells.astype(np.float64)
    if len(way) < 2:
        way = np.stack(ends)
    way[0], way[-1] = ends
    return straight_legs(ground, way, upward=upward)


def route_cost(ground: CostGround, corners: FloatArray, *, upward: float) -> float:
    """Return the cost of a route in straight legs, infinite where one may not be laid [m].

    Parameters
    ----------
    ground
        Heights and cost factors.
    corners
        Row and column of ends and bends, shape (legs + 1, 2).
    upward
        1 where the whole pipe goes up, -1 where it goes down [1].
    """
    return sum(
        leg_cost(ground, first, end=last, upward=upward) for first, last in pairwise(corners)
    )


def share_elsewhere(corners: FloatArray, near: BoolArray) -> float:
    """Return the share of a route's length that passes over none of some cells [1].

    Parameters
    ----------
    corners
        Row and column of ends and bends, shape (legs + 1, 2).
    near
        The cells, shape (rows, columns).
    """
    under = np.concatenate(list(_cells_under(corners)))
    return float(1.0 - near[under[:, 0], under[:, 1]].mean())


def _cells_under(corners: FloatArray) -> Iterator[NDArray[np.intp]]:
    """Give the cells under each leg, in steps of about half a cell."""
    for first, last in pairwise(corners):
        steps = max(int(np.ceil(2 * np.hypot(*(last - first)))), 1)
        share = np.linspace(0.0, 1.0, steps + 1)[:, None]
        yield np.rint(first + share * (last - first)).astype(np.intp)


def _near(corners: FloatArray, *, shape: tuple[int, ...], apart: float) -> BoolArray:
    clear = np.ones(shape, dtype=np.bool_)
    for cells in _cells_under(corners):
        clear[cells[:, 0], cells[:, 1]] = False
    return np.asarray(distance_transform_edt(clear) <= apart)


def _round_ends(ends: tuple[FloatArray, FloatArray], shape: tuple[int, ...]) -> BoolArray:
    """Return the cells round the two ends that every route must pass."""
    reach = 0.12 * float(np.hypot(*(ends[1] - ends[0])))
    rows, columns = np.ogrid[: shape[0], : shape[1]]
    return np.asarray(
        np.minimum(*(np.hypot(rows - row, columns - column) for row, column in ends)) <= reach
    )


def _cell(at: FloatArray, shape: tuple[int, ...]) -> Cell:
    row, column = np.clip(np.rint(at), 0, np.array(shape) - 1).astype(int)
    return int(row), int(column)
