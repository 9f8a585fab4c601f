"""A profile over a large raster, beside the bare decoding of the blocks it touches.

Run by hand: ``python tests/benchmarks/raster_profile.py``. It makes a raster of 12 000 by 12 000
cells in a temporary folder, reads 100 000 points on its diagonal, and decodes the same blocks with
nothing else, each in its own process, by turns; the least of some rounds counts. Bars: at most 1.5
times the bare decoding, and memory in proportion to the blocks touched, not to the raster.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import rasterio
from rasterio import Affine
from rasterio.windows import Window

SIDE, BLOCK, POINTS, ROUNDS = 12_000, 256, 100_000, 5
WEST, NORTH = 420_000.0, 5_160_000.0
MOST_TIMES = 1.5


def make_raster(path: Path) -> None:
    """Write a hilly raster of 1 m cells, tiled and deflated, strip of blocks by strip."""
    rng = np.random.default_rng(12_000)
    columns = np.arange(SIDE)
    with rasterio.open(
        path, "w", driver="GTiff", width=SIDE, height=SIDE, count=1, dtype="float32",
        crs="EPSG:26915", transform=Affine(1, 0, WEST, 0, -1, NORTH), tiled=True,
        blockxsize=BLOCK, blockysize=BLOCK, compress="deflate", nodata=-999999.0,
    ) as out:  # fmt: skip
        for top in range(0, SIDE, BLOCK):
            rows = np.arange(top, min(top + BLOCK, SIDE))[:, None]
            cells = 300 + 40 * np.sin(rows / 900) * np.cos(columns / 700)
            cells = cells + rng.normal(0, 0.05, cells.shape)
            out.write(cells.astype(np.float32), 1, window=Window(0, top, SIDE, len(rows)))
        out.units = ("metre",)


def peak_mb() -> float:
    """Return the most memory this process has held [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def read_profile(path: Path) -> dict[str, float]:
    """Read the points as the program does; the raster is opened before the clock starts."""
    from terrain_head.files.planes import PlaneTransform, read_crs
    from terrain_head.files.raster_files import open_rasters
    from terrain_head.files.rasters import lay_rasters
    from terrain_head.ground.grid import RasterError
    from terrain_head.ground.plane import LocalPlane

    transform = PlaneTransform(LocalPlane(latitude=46.54, longitude=-93.96))
    inset = np.linspace(2.0, SIDE - 2.0, POINTS)
    crs = read_crs("EPSG:26915")
    east, north = transform.from_crs(crs, WEST + inset, NORTH - inset)
    error = RasterError(std_m=None, range_m=None)
    before = peak_mb()
    with open_rasters([path], unit=None, crs=None) as files:
        grid = lay_rasters(files, error=error, plane=transform).on_demand()
        begin = time.perf_counter()
        heights = grid.sample(east, north)
        seconds = time.perf_counter() - begin
    assert np.isfinite(heights).all()
    return {"seconds": seconds, "memory_mb": peak_mb() - before}


def touched() -> list[tuple[int, int]]:
    """Return the blocks that the diagonal needs: at a corner of four blocks all four."""
    last = (SIDE - 1) // BLOCK
    along = [(n, n) for n in range(last + 1)]
    beside = [(n, n + 1) for n in range(last)] + [(n + 1, n) for n in range(last)]
    return sorted(along + beside)


def decode_bare(path: Path) -> dict[str, float]:
    """Decode the blocks on the diagonal, and nothing else."""
    with rasterio.open(path) as dataset:
        windows = [
            Window(c * BLOCK, r * BLOCK, min(BLOCK, SIDE - c * BLOCK), min(BLOCK, SIDE - r * BLOCK))
            for r, c in touched()
        ]
        before = peak_mb()
        begin = time.perf_counter()
        kept = [dataset.read(1, window=window) for window in windows]
        seconds = time.perf_counter() - begin
    assert len(kept) == len(windows)
    return {"seconds": seconds, "memory_mb": peak_mb() - before}


JOBS = {"profile": read_profile, "bare": decode_bare}


def main() -> int:
    """Run both by turns and print what they cost; the exit code says whether the bars hold."""
    if len(sys.argv) == 3:
        print(json.dumps(JOBS[sys.argv[1]](Path(sys.argv[2]))))  # noqa: T201 - a script
        return 0
    costs: dict[str, list[dict[str, float]]] = {name: [] for name in JOBS}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.tif"
        make_raster(path)
        for _ in range(ROUNDS):
            for name, found in costs.items():
                done = subprocess.run(
                    [sys.executable, __file__, name, str(path)],
                    check=True, capture_output=True, text=True,
                )  # fmt: skip
                found.append(json.loads(done.stdout))
    least = {name: min(cost["seconds"] for cost in found) for name, found in costs.items()}
    memory = {name: min(cost["memory_mb"] for cost in found) for name, found in costs.items()}
    times = least["profile"] / least["bare"]
    touched_mb = len(touched()) * BLOCK**2 * 4 / 1e6
    print(  # noqa: T201 - a script
        f"profile {least['profile'] * 1e3:.0f} ms, bare decoding {least['bare'] * 1e3:.0f} ms: "
        f"{times:.2f} times\n"
        f"memory: profile {memory['profile']:.0f} MB, bare {memory['bare']:.0f} MB; "
        f"blocks touched {touched_mb:.0f} MB, whole raster {SIDE**2 * 4 / 1e6:.0f} MB"
    )
    return int(times > MOST_TIMES or memory["profile"] > 4 * touched_mb)


if __name__ == "__main__":
    sys.exit(main())
