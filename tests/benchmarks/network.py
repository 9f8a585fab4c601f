"""A net of 1 000 pipes, one step of the solver beside one bare sparse factorisation, in one run.

Run by hand from the root of the repository::

    python -m tests.benchmarks.network
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from terrain_head.scheme.heads import Net, solve_heads
from tests.scheme.invented_nets import Drawing

PIPES, ACROSS, REPEATS = 1000, 22, 9
MOST_FACTORISATIONS = 5.0


def net_of_streets() -> Net:
    """Return a grid of about 1 000 pipes with taps at most corners and two tanks."""
    drawing = Drawing(1)
    draw = drawing.random
    for number in range(ACROSS * ACROSS):
        tank = number in {0, ACROSS * ACROSS - 1}
        drawing.node(
            fixed=float(60 - number / 100) if tank else float("nan"),
            drawn=10 ** draw.uniform(-6, -4),
        )
    for row in range(ACROSS):
        for column in range(ACROSS):
            here = row * ACROSS + column
            if column + 1 < ACROSS:
                drawing.pipe(here, here + 1)
            if row + 1 < ACROSS:
                drawing.pipe(here, here + ACROSS)
    while len(drawing.links) < PIPES:
        first, second = draw.choice(ACROSS * ACROSS, 2, replace=False)
        drawing.pipe(int(first), int(second))
    return drawing.net()


def best_seconds(job: Callable[[], object]) -> float:
    """Return the least of several timings."""
    times = []
    for _ in range(REPEATS):
        begin = time.perf_counter()
        job()
        times.append(time.perf_counter() - begin)
    return min(times)


def main() -> int:
    """Measure both and print the ratio; 1 if a step costs more than 5 factorisations."""
    net = net_of_streets()
    found = solve_heads(net)
    start, end = np.asarray(net.start), np.asarray(net.end)
    count = int(max(start.max(), end.max())) + 1
    ones = np.ones(start.size)
    row, column = np.concatenate([start, end, start, end]), np.concatenate([start, end, end, start])
    matrix = sparse.coo_array(
        (np.concatenate([ones, ones, -ones, -ones]), (row, column)), shape=(count, count)
    ).tocsc()[1:, 1:]
    bare = best_seconds(lambda: splu(matrix))
    step = best_seconds(lambda: solve_heads(net)) / found.iterations
    ratio = step / bare
    sys.stdout.write(
        f"{start.size} pipes, {count} nodes: {found.iterations} steps of {1e3 * step:.2f} ms\n"
        f"one bare sparse factorisation: {1e3 * bare:.2f} ms; a step is {ratio:.1f} of them\n"
        f"largest imbalance: {float(found.largest_imbalance_m3_s):.1e} m3/s\n"
    )
    return int(ratio > MOST_FACTORISATIONS)


if __name__ == "__main__":
    raise SystemExit(main())
