"""How many bare interpreters the start of the command costs; run by hand.

``python tests/benchmarks/start.py``
"""

from __future__ import annotations

import subprocess
import sys
import time


def best_s(command: list[str], *, repeats: int = 15) -> float:
    """Return the least time of several runs [s]."""
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        subprocess.run(command, capture_output=True, check=True)
        times.append(time.perf_counter() - begin)
    return min(times)


if __name__ == "__main__":
    bare = best_s([sys.executable, "-c", "pass"])
    start = best_s([sys.executable, "-m", "terrain_head", "--help"])
    print(f"bare {1e3 * bare:.1f} ms, --help {1e3 * start:.1f} ms, ratio {start / bare:.2f}")  # noqa: T201 - a script
