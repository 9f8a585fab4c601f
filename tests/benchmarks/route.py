"""The cheapest route over a raster, beside building its graph and running scipy's Dijkstra.

Run by hand: ``python tests/benchmarks/route.py``. Ground of 1 000 by 1 000 cells, sixteen hops from
each, costs that depend on the direction, two places as far from its rim as `find route` lays it
out; each job in its own process, by turns, the least of some rounds counts. The program looks for
the route, and once more for the least costs to all cells, which is what Dijkstra's gives. The graph
is built the quick way, row by row of its matrix without sorting, and by the general way (triples
put in order). Bars: the route in at most half the time and a tenth of the memory of either, and
costs alike to 1e-9 everywhere.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from terrain_head.search.costs import MOVES, CostGround, piece_cost

FloatArray = NDArray[np.float64]
SIDE, ROUNDS = 1_000, 3
START, END = (293, 293), (707, 707)
MOST_TIME, MOST_MEMORY = 0.5, 0.1
CLOSE = 1e-9


def make_ground(side: int) -> CostGround:
    """Give hills on hills, steep ground dearer, a lost metre worth three."""
    rows, columns = np.mgrid[0:side, 0:side].astype(np.float64)
    height = 300 + 30 * np.sin(rows / 90) * np.cos(columns / 70)
    height += 5 * np.sin(rows / 11 + columns / 17) + 0.02 * rows
    across, along = np.gradient(height)
    factor = 1 + 4 * (across**2 + along**2)
    return CostGround(height_m=height, factor=factor, cell_m=1.0, lost_climb=3.0)


def hop_costs(ground: CostGround, move: tuple[int, int]) -> FloatArray:
    """Return what one hop costs from every cell, infinite off the rim, shape (rows, columns)."""
    down, across = move
    rows, columns = ground.height_m.shape
    z, f = np.pad(ground.height_m, 2), np.pad(ground.factor, 2, constant_values=np.inf)

    def at(row: int, column: int) -> tuple[FloatArray, FloatArray]:
        window = (slice(2 + row, 2 + row + rows), slice(2 + column, 2 + column + columns))
        return z[window], f[window]

    first, last = at(0, 0), at(down, across)
    if abs(down) + abs(across) == 1:
        marks = [first, last]
    else:
        between = [
            at(row, column)
            for row in {int(np.floor(down / 2)), int(np.ceil(down / 2))}
            for column in {int(np.floor(across / 2)), int(np.ceil(across / 2))}
        ]
        middle = tuple(np.mean([one[part] for one in between], axis=0) for part in (0, 1))
        marks = [first, (middle[0], middle[1]), last]
    level = ground.cell_m * float(np.hypot(down, across)) / (len(marks) - 1)
    total = np.zeros((rows, columns))
    for (low, one), (high, other) in pairwise(marks):
        total += piece_cost(
            level, high - low, factor=0.5 * (one + other), ground=ground, upward=1.0
        )
    return total


def by_rows(ground: CostGround) -> FloatArray:
    """Return the least costs by Dijkstra on a matrix filled row by row, nothing sorted."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import dijkstra

    rows, columns = ground.height_m.shape
    count = rows * columns
    cost = np.empty((count, len(MOVES)))
    for n, move in enumerate(MOVES):
        cost[:, n] = hop_costs(ground, move).ravel()
    steps = np.array([row * columns + column for row, column in MOVES], dtype=np.int32)
    end = np.arange(count, dtype=np.int32)[:, None] + steps
    inside = np.isfinite(cost)
    begin = np.concatenate([[0], np.cumsum(inside.sum(axis=1))]).astype(np.int32)
    graph = csr_array((cost[inside], end[inside], begin), shape=(count, count))
    found = dijkstra(graph, indices=START[0] * columns + START[1])
    return np.asarray(found).reshape(rows, columns)


def by_triples(ground: CostGround) -> FloatArray:
    """Return the least costs by Dijkstra on a matrix made of triples: from, to, cost."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    rows, columns = ground.height_m.shape
    cells = np.arange(rows * columns, dtype=np.int32).reshape(rows, columns)
    first, last, cost = [], [], []
    for move in MOVES:
        price = hop_costs(ground, move)
        inside = np.isfinite(price)
        first.append(cells[inside])
        last.append(cells[inside] + np.int32(move[0] * columns + move[1]))
        cost.append(price[inside])
    triples = (np.concatenate(cost), (np.concatenate(first), np.concatenate(last)))
    graph = coo_array(triples, shape=(rows * columns,) * 2).tocsr()
    del first, last, cost, triples
    found = dijkstra(graph, indices=START[0] * columns + START[1])
    return np.asarray(found).reshape(rows, columns)


def by_sweeps(ground: CostGround) -> FloatArray:
    """Return the least costs as the program finds them."""
    from terrain_head.search.route_field import route_field

    return route_field(ground, START).cost


def by_route(ground: CostGround) -> FloatArray:
    """Return the cost of the route alone, as the program looks for it, its way walked back."""
    from terrain_head.search.route_field import route_field

    field = route_field(ground, START, end=END)
    assert field.way_to(END) is not None
    return np.asarray(field.cost[END])


JOBS = {"route": by_route, "sweeps": by_sweeps, "rows": by_rows, "triples": by_triples}


def peak_mb() -> float:
    """Return the most memory this process has held [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def held_mb() -> float:
    """Return the memory this process holds now [MB]."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 2**20


def one_job(name: str, path: Path) -> dict[str, float]:
    """Do one job and keep its costs; libraries and ground stand before the clock starts."""
    import scipy.sparse.csgraph  # noqa: F401 - loaded before the clock starts

    import terrain_head.search.route_field  # noqa: F401 - likewise

    ground = make_ground(SIDE)
    before = held_mb()
    begin = time.perf_counter()
    cost = JOBS[name](ground)
    seconds = time.perf_counter() - begin
    memory = peak_mb() - before
    np.save(path, cost)
    return {"seconds": seconds, "memory_mb": memory}


def main() -> int:
    """Run all by turns and print what they cost; the exit code says whether the bars hold."""
    if len(sys.argv) == 3:
        print(json.dumps(one_job(sys.argv[1], Path(sys.argv[2]))))  # noqa: T201 - a script
        return 0
    told: dict[str, list[dict[str, float]]] = {name: [] for name in JOBS}
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(ROUNDS):
            for name, found in told.items():
                path = str(Path(folder) / f"{name}.npy")
                done = subprocess.run(
                    [sys.executable, __file__, name, path],
                    check=True, capture_output=True, text=True,
                )  # fmt: skip
                found.append(json.loads(done.stdout))
        costs = {name: np.load(Path(folder) / f"{name}.npy") for name in JOBS}
    apart = max(float(np.abs(costs["sweeps"] - costs[name]).max()) for name in ("rows", "triples"))
    time_s = {name: min(one["seconds"] for one in found) for name, found in told.items()}
    memory = {name: min(one["memory_mb"] for one in found) for name, found in told.items()}
    for name in JOBS:
        print(  # noqa: T201 - a script
            f"{name:<8} {time_s[name]:6.2f} s {memory[name]:6.0f} MB   the route takes "
            f"{time_s['route'] / time_s[name]:.2f} of its time, "
            f"{memory['route'] / memory[name]:.2f} of its memory"
        )
    apart = max(apart, abs(float(costs["route"]) - float(costs["rows"][END])))
    print(f"costs apart by {apart:.1e} at most")  # noqa: T201 - a script
    return int(
        apart > CLOSE
        or time_s["route"] > MOST_TIME * min(time_s["rows"], time_s["triples"])
        or memory["route"] > MOST_MEMORY * min(memory["rows"], memory["triples"])
    )


if __name__ == "__main__":
    sys.exit(main())
