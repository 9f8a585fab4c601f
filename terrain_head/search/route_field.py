"""The cheapest way from one cell to every other: sweeps of the front of a wave, whole at a time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.search.costs import MOVES, CostGround, piece_cost

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]
Cell = tuple[int, int]

_RIM = 2
_BESIDE, _DIAGONAL = slice(0, 4), slice(4, 8)
# So many cells deep is the front that is moved at once: deeper, more of it is moved twice.
_FRONT_CELLS = 3.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RouteField:
    """Cheapest costs from one cell.

    Parameters
    ----------
    start
        Row and column of the cell.
    cost
        Least cost to each cell, infinite where no way leads (or none was needed), shape (rows,
        columns) [1].
    came
        Which of `MOVES` ends the cheapest way to each cell, -1 where none does, shape (rows,
        columns).
    """

    start: Cell
    cost: FloatArray
    came: NDArray[np.int8]

    def way_to(self, end: Cell) -> NDArray[np.intp] | None:
        """Return the cells of the cheapest way, start first, shape (n, 2); None if there is none.

        Parameters
        ----------
        end
            Row and column of its last cell.
        """
        if not np.isfinite(self.cost[end]):
            return None
        row, column = end
        cells = [end]
        while (row, column) != self.start:
            down, across = MOVES[int(self.came[row, column])]
            row, column = row - down, column - across
            cells.append((row, column))
        return np.array(cells[::-1], dtype=np.intp)


class _Hops:
    """The sixteen hops from cells of a ground, laid out with a rim in which nothing may go."""

    def __init__(self, ground: CostGround, upward: float) -> None:
        self.ground, self.upward = ground, upward
        self.width = ground.height_m.shape[1] + 2 * _RIM
        self.height = np.pad(ground.height_m, _RIM).ravel()
        # Half of each factor: the mean of two is then their sum.
        self.factor = np.pad(0.5 * ground.factor, _RIM, constant_values=np.inf).ravel()
        self.to = np.array([row * self.width + column for row, column in MOVES])[:, None]
        between = np.array([_between(*move) for move in MOVES[4:]])
        flat = between[..., 0] * self.width + between[..., 1]
        self.first, self.second = flat[:, :1], flat[:, 1:]
        half = [0.5 * ground.cell_m * float(np.hypot(*move)) for move in MOVES[4:]]
        self.half_m = np.array(half)[:, None]

    def costs(self, cells: IndexArray) -> tuple[IndexArray, FloatArray]:
        """Return where the hops from some cells end, and what they cost, each shape (16, n)."""
        end = self.to + cells
        cost = np.empty(end.shape)
        height, factor = self.height.take(cells), self.factor.take(cells)
        to_height, to_factor = self.height.take(end), self.factor.take(end)
        cost[_BESIDE] = self._piece(
            self.ground.cell_m, to_height[_BESIDE] - height, factor + to_factor[_BESIDE]
        )
        first, second = self.first + cells, self.second + cells
        mid_height = self.height.take(first)
        mid_height += self.height.take(second)
        mid_factor = self.factor.take(first)
        mid_factor += self.factor.take(second)
        # Across a corner the middle lies between four cells: two are the ends of the hop.
        mid_height[:4] = 0.5 * (mid_height[:4] + (height + to_height[_DIAGONAL]))
        mid_factor[:4] = 0.5 * (mid_factor[:4] + (factor + to_factor[_DIAGONAL]))
        mid_height *= 0.5
        mid_factor *= 0.5
        cost[4:] = self._piece(self.half_m, mid_height - height, factor + mid_factor)
        cost[4:] += self._piece(self.half_m, to_height[4:] - mid_height, mid_factor + to_factor[4:])
        return end, cost

    def _piece(
        self, level_m: float | FloatArray, rise_m: FloatArray, factor: FloatArray
    ) -> FloatArray:
        """Return the cost of a hop, or of half of one."""
        return piece_cost(level_m, rise_m, factor=factor, ground=self.ground, upward=self.upward)


def route_field(
    ground: CostGround, start: Cell, *, upward: float = 1.0, end: Cell | None = None
) -> RouteField:
    """Return the least cost from a cell to every other, or until one is surely reached.

    Parameters
    ----------
    ground
        Heights and cost factors.
    start
        Row and column of the cell.
    upward
        1 where the whole pipe goes up, -1 where it goes down [1].
    end
        Cell that is asked for; costs beyond it are then not final. None for all cells.

    Notes
    -----
    The cells of the front whose cost lies less than a few cells' lengths over the least of it hop
    on together, all sixteen ways, in whole arrays; a cell that later turns out cheaper hops again.
    So what comes out is exact: the same as one cell after the other in order of cost (Dijkstra),
    of which it is the relative in buckets (Meyer and Sanders).

    References
    ----------
    Dijkstra, E. W. (1959). A note on two problems in connexion with graphs. Numerische Mathematik
    1, 269-271 (from memory). Meyer, U. and Sanders, P. (2003). Delta-stepping: a parallelizable
    shortest path algorithm. Journal of Algorithms 49 (1), 114-152 (from memory).
    """
    hops = _Hops(ground, upward)
    cost = np.full(hops.height.size, np.inf)
    came = np.full(cost.size, -1, dtype=np.int8)
    waiting = np.zeros(cost.size, dtype=np.bool_)
    first = (start[0] + _RIM) * hops.width + start[1] + _RIM
    last = None if end is None else (end[0] + _RIM) * hops.width + end[1] + _RIM
    front = np.array([first], dtype=np.intp)
    cost[first] = 0.0
    open_factor = ground.factor[np.isfinite(ground.factor)]
    depth = (
        _FRONT_CELLS * ground.cell_m * (float(np.median(open_factor)) if len(open_factor) else 1)
    )
    while len(front):
        costs = cost.take(front)
        least = float(costs.min())
        if last is not None and cost[last] <= least:
            break
        near = costs < least + depth
        cells, front = front[near], front[~near]
        waiting[cells] = False
        ends, way = hops.costs(cells)
        way += costs[near]
        cheaper = way < cost.take(ends)
        reached, offered = ends[cheaper], way[cheaper]
        np.minimum.at(cost, reached, offered)
        best = offered == cost[reached]
        reached, hop = reached[best], np.nonzero(cheaper)[0][best]
        came[reached] = hop
        # Of equal offers to one cell the last is kept: each cell waits once.
        reached = reached[came[reached] == hop]
        fresh = reached[~waiting[reached]]
        waiting[fresh] = True
        front = np.concatenate([front, fresh])
    shape = (-1, hops.width)
    inner = (slice(_RIM, -_RIM), slice(_RIM, -_RIM))
    return RouteField(start=start, cost=cost.reshape(shape)[inner], came=came.reshape(shape)[inner])


def _between(row: int, column: int) -> tuple[Cell, Cell]:
    """Return the two cells between which a slanting hop passes."""
    if abs(column) == 2:
        return (0, column // 2), (row, column // 2)
    if abs(row) == 2:
        return (row // 2, 0), (row // 2, column)
    return (row, 0), (0, column)
