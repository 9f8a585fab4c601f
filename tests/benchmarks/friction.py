"""The friction factor of a million pipes, beside an independent library, in one run.

Run by hand from the root of the repository::

    python tests/benchmarks/friction.py

`fluids` is given a part of the million and its time is extrapolated; the line says so.
"""

from __future__ import annotations

import sys
import time
import warnings
from collections.abc import Callable

import fluids.vectorized
import numpy as np

from terrain_head.formulas.friction_factor import friction_factor

COUNT = 1_000_000
PART = 100_000
REPEATS = 5
WANTED_RATIO = 20.0


def best_seconds(job: Callable[[], object]) -> float:
    """Return the least of several timings."""
    times = []
    for _ in range(REPEATS):
        begin = time.perf_counter()
        job()
        times.append(time.perf_counter() - begin)
    return min(times)


def main() -> int:
    """Measure both side by side and print the ratios; 1 if the nearer one is under 20."""
    draw = np.random.default_rng(7)
    re = 10 ** draw.uniform(np.log10(4000), 8, COUNT)
    rough = 10 ** draw.uniform(-7, np.log10(0.05), COUNT)
    part_re, part_rough = re[:PART], rough[:PART]
    ours = best_seconds(lambda: friction_factor(re, rough))
    out = sys.stdout.write
    out(f"terrain_head friction_factor, {COUNT} values: {1e3 * ours:.1f} ms\n")
    ratios = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)
        for name in ("friction_factor", "Colebrook"):
            theirs = getattr(fluids.vectorized, name)
            seconds = best_seconds(lambda: theirs(part_re, part_rough)) * COUNT / PART  # noqa: B023
            ratios.append(seconds / ours)
            out(
                f"fluids.vectorized.{name}: {1e3 * seconds:.0f} ms, extrapolated from {PART} "
                f"values; {ratios[-1]:.0f} times ours\n"
            )
        exact = theirs(part_re, part_rough)
    apart = np.max(np.abs(friction_factor(part_re, part_rough) / exact - 1))
    out(f"greatest difference from Colebrook: {apart:.1e} of the value\n")
    return int(min(ratios) < WANTED_RATIO)


if __name__ == "__main__":
    raise SystemExit(main())
