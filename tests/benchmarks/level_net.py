"""A large net of levels, beside the bare factorisation of its normal equations, in one run.

Run by hand from the root of the repository::

    python -m tests.benchmarks.level_net

The whole adjustment is all that `reduce_book` does (hand rule, page checks, least squares with the
instrument's slope as an unknown of every sight, the search for blunders), the joint covariance of
300 points, and the standard errors of all of them. The bare factorisation knows nothing of the
slope, which would fill it.
"""

from __future__ import annotations

import sys
import time
import tracemalloc
from collections.abc import Callable

import numpy as np
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import SuperLU, splu

from terrain_head.leveling.book import BookRow, KnownElevation, LevelBook, Reading, SetUp
from terrain_head.leveling.elevations import Elevations
from terrain_head.leveling.instrument import Instrument
from terrain_head.leveling.reduce import reduce_book

SIDE = 100
SETUPS = 7_500
SIGHTS = 4
ASKED = 300
REPEATS = 3
WANTED_RATIO = 25.0
READING_STD_M = 0.001
SLOPE = 5e-5


def net() -> LevelBook:
    """Return a net of 10 000 points on rolling ground, 7 500 set-ups of four sights each."""
    draw = np.random.default_rng(11)
    ground = np.cumsum(draw.normal(0.0, 0.1, (SIDE, SIDE)), axis=0)
    inside = SIDE - 1
    # The rim first, so that every point is read; then whatever the draw gives.
    spots = np.arange(inside * inside)
    rim = (spots % inside % 2 == 0) & (spots // inside % 2 == 0)
    order = np.concatenate([spots[rim], draw.permutation(spots[~rim])])[:SETUPS]
    readings: list[Reading] = []
    setups: list[SetUp] = []
    rows: list[BookRow] = []
    for number, spot in enumerate(np.sort(order).tolist()):
        first = len(readings)
        for place in range(SIGHTS):
            row, column = spot // inside + place // 2, spot % inside + place % 2
            length = float(draw.uniform(10.0, 50.0))
            error = SLOPE * length + float(draw.normal(0.0, READING_STD_M))
            name, line = f"{row}/{column}", len(rows) + 2
            back, ahead = not place, place == SIGHTS - 1
            readings.append(
                Reading(
                    setup=number,
                    point=name,
                    kind="bs" if back else "fs" if ahead else "is",
                    written="",
                    reading_m=10.0 - float(ground[row, column]) + error,
                    distance_m=length,
                    line=line,
                )
            )
            here = len(readings) - 1
            rows.append(
                BookRow(
                    file=0,
                    line=line,
                    point=name,
                    back=here if back else None,
                    between=None if back or ahead else here,
                    ahead=here if ahead else None,
                )
            )
        setups.append(
            SetUp(
                label=str(number + 1),
                readings=tuple(range(first, first + SIGHTS)),
                back=first,
                ahead=first + SIGHTS - 1,
            )
        )
    return LevelBook(
        files=("net.csv",),
        readings=tuple(readings),
        setups=tuple(setups),
        rows=tuple(rows),
        known=(KnownElevation(point="0/0", elevation_m=float(ground[0, 0])),),
        reading_std_m=READING_STD_M,
        instrument=Instrument(kind="optical level", accuracy=SLOPE),
    )


def normal_equations(book: LevelBook) -> csc_array:
    """Return the normal matrix of the heights of points and set-ups, made apart from our code."""
    names = {name: place for place, name in enumerate(book.points)}
    fixed = names[book.known[0].point]
    point = np.array([names[one.point] for one in book.readings])
    setup = np.array([one.setup for one in book.readings]) + len(names)
    place = np.arange(len(point))
    row, column = np.concatenate([place, place]), np.concatenate([point, setup])
    sign = np.concatenate([-np.ones(len(point)), np.ones(len(point))]) / READING_STD_M
    design = csc_array(coo_array((sign, (row, column))))
    keep = np.delete(np.arange(design.shape[1]), fixed)
    free = design[:, keep]
    return csc_array(free.T @ free)


def factorised(normal: csc_array) -> SuperLU:
    """Return the factors of a symmetric matrix."""
    return splu(
        normal,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )


def whole(book: LevelBook) -> Elevations:
    """Adjust, and ask for what a study asks for."""
    found = reduce_book(book)
    found.covariance_of(range(0, len(found.names), len(found.names) // ASKED)[:ASKED])
    found.std_m()
    return found


def best_seconds(job: Callable[[], object]) -> float:
    """Return the least of several timings, of this process alone."""
    times = []
    for _ in range(REPEATS):
        begin = time.process_time()
        job()
        times.append(time.process_time() - begin)
    return min(times)


def main() -> int:
    """Measure both side by side and print their ratio; 1 if it is over 25."""
    book = net()
    normal = normal_equations(book)
    out = sys.stdout.write
    out(f"{len(book.points)} points, {len(book.readings)} readings, {ASKED} covariances\n")
    bare = best_seconds(lambda: factorised(normal))
    ours = best_seconds(lambda: whole(book))
    tracemalloc.start()
    found = whole(book)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    entries = factorised(normal).nnz
    out(f"bare factorisation of {normal.shape[0]} unknowns: {1e3 * bare:.0f} ms\n")
    out(f"whole adjustment: {1e3 * ours:.0f} ms, {ours / bare:.1f} times as long\n")
    out(
        f"memory at its height: {peak / 2**20:.0f} MiB, {peak / entries:.0f} bytes for each entry "
        f"of the factors; a full matrix would take {8 * normal.shape[0] ** 2 / 2**20:.0f} MiB\n"
    )
    out(f"s0 {found.s0:.3f}, blunders found {len(found.suspects)}\n")
    return int(ours / bare > WANTED_RATIO)


if __name__ == "__main__":
    raise SystemExit(main())
