"""A thousand made-up surveys with known truth, held against what is promised of the doubt.

Run by hand from the root of the repository::

    python -m tests.benchmarks.simulated_surveys
"""

from __future__ import annotations

import sys
import time

import numpy as np

from tests.ground.simulated import (
    RESULTS,
    held,
    observed_over_reported,
    root_mean_square,
    surveyed,
)

COUNT = 1000
SPARSE, SPARSE_COUNT = (0.3, 0.15, 0.05), 150
"""Chances that the rod stood on a peg, which stand 10 m apart; only told, not judged."""


def main() -> int:
    """Print the figures; return 1 if one is out of its limits."""
    begin = time.perf_counter()
    surveys = [surveyed(number) for number in range(COUNT)]
    good = True
    print(f"{COUNT} surveys in {time.perf_counter() - begin:.0f} s")  # noqa: T201
    for result in RESULTS:
        share, ratio = held(surveys, result), observed_over_reported(surveys, result)
        good &= 0.875 <= share <= 0.925 and abs(ratio - 1) <= 0.10
        print(f"{result:8} held {share:.3f}  observed/reported {ratio:.3f}")  # noqa: T201
    fused = np.array([one.fused_m for one in surveys])
    moved = np.array([one.moved_m for one in surveys])
    straight = root_mean_square([one.straight_m for one in surveys])
    worst = float((fused / moved).max())
    good &= root_mean_square(fused) < min(root_mean_square(moved), straight) and worst <= 1.05
    print(  # noqa: T201
        f"profile: fused {root_mean_square(fused):.3f} m, raster {root_mean_square(moved):.3f} m, "
        f"straight {straight:.3f} m; worst of one survey {worst:.3f}"
    )
    for share in SPARSE:
        few = [surveyed(number, pegs_rodded=share) for number in range(SPARSE_COUNT)]
        fused, moved = (np.array([getattr(s, key) for s in few]) for key in ("fused_m", "moved_m"))
        over = fused / moved
        print(  # noqa: T201
            f"rod on {share:.2f} of the pegs: fused {root_mean_square(fused):.3f} m, "
            f"raster {root_mean_square(moved):.3f} m; better in {np.mean(over < 1):.2f}, "
            f"worse by over 5 % in {np.mean(over > 1.05):.3f}, worst {over.max():.2f}"
        )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
