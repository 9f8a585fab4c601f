"""The ground of the sample ``hill_farm_both``: made from formulas, nowhere on earth.

Run as a script it writes the raster anew; a test compares it with the file in the sample.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import rasterio
from numpy.typing import NDArray
from rasterio.transform import from_origin

WEST, NORTH = 512_400.0, 5_243_900.0
CELL_M = 2.0
ROWS, COLUMNS = 160, 210
CRS = "EPSG:32633"
NODATA = -9999.0
DATUM_OFFSET_M = 541.30
"""Height of the raster's zero ground above the book's."""
PLACES = {
    "seep": (92.0, 78.0),
    "ram": (82.0, 60.0),
    "shelf": (262.0, 212.0),
    "barn": (214.0, 126.0),
    "garden": (168.0, 112.0),
    "trough": (300.0, 150.0),
}
"""Places of the sample, metres east and north of the raster's south-west corner."""


def true_elevation_m(
    east_m: NDArray[np.float64], north_m: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the invented ground on the datum of the level book, in metres."""
    x, y = east_m, north_m
    slope = 96.0 + 0.062 * x + 0.115 * y
    stream = -5.5 * np.exp(-(((x - 0.9 * y - 40.0) / 42.0) ** 2))
    knoll = 9.0 * np.exp(-(((x - 262.0) / 46.0) ** 2) - (((y - 214.0) / 40.0) ** 2))
    roll = 1.1 * np.sin(x / 23.0) * np.cos(y / 31.0)
    return np.asarray(slope + stream + knoll + roll)


def raster() -> NDArray[np.float32]:
    """Return the raster: the ground on another datum, with the errors of an airborne survey."""
    rng = np.random.default_rng(20_311)
    east = (np.arange(COLUMNS) + 0.5) * CELL_M
    north = (ROWS - np.arange(ROWS) - 0.5) * CELL_M
    x, y = np.meshgrid(east, north)
    waves = np.zeros_like(x)
    for _ in range(12):
        heading, phase = rng.uniform(0, 2 * np.pi), rng.uniform(0, 2 * np.pi)
        length = rng.uniform(50, 160)
        waves += np.cos((x * np.cos(heading) + y * np.sin(heading)) * 2 * np.pi / length + phase)
    error = 0.22 * waves / waves.std() + rng.normal(0, 0.06, x.shape)
    return np.asarray(true_elevation_m(x, y) + DATUM_OFFSET_M + error, dtype=np.float32)


def write(path: Path) -> None:
    """Write the raster as a tiled GeoTIFF."""
    with rasterio.open(
        path, "w", driver="GTiff", width=COLUMNS, height=ROWS, count=1, dtype="float32",
        crs=CRS, transform=from_origin(WEST, NORTH, CELL_M, CELL_M), nodata=NODATA,
        tiled=True, blockxsize=64, blockysize=64, compress="deflate", predictor=3,
    ) as target:  # fmt: skip
        target.write(np.round(raster(), 2), 1)
        target.units = ("metre",)


if __name__ == "__main__":
    write(Path(__file__).parents[1] / "sample_surveys" / "hill_farm_both" / "hill.tif")
