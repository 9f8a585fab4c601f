"""Rasters that share a grid are one mosaic; its blocks are read when they are first needed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import CRS
from rasterio.enums import MaskFlags
from rasterio.io import DatasetReader
from rasterio.windows import Window

from terrain_head.files.planes import PlaneTransform
from terrain_head.ground.blocks import BlockStore

FloatArray = NDArray[np.float64]
Watch = Callable[[Sequence[tuple[int, int]]], Iterable[tuple[int, int]]]
"""Goes through blocks as they are read, so that a person can see how far it is."""

_LEAST_BLOCK, _MOST_BLOCK = 64, 1024
# Tiles of one product agree on their grid to rounding: a hundredth of a cell tells it.
_SAME_GRID = 0.01


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tile:
    """One raster file, opened and judged.

    Parameters
    ----------
    dataset
        The opened raster.
    name
        Name of the file, as a person knows it.
    path
        Where it lies.
    crs
        Level part of its coordinate system.
    factor
        Metres per unit of its heights.
    """

    dataset: DatasetReader
    name: str
    path: Path
    crs: CRS
    factor: float

    def read(self, window: Window) -> NDArray[np.floating]:
        """Return the heights of a window, nan where the file holds none [m]."""
        data = self.dataset
        cells = data.read(1, window=window)
        kind = np.float64 if cells.dtype.itemsize > 4 or cells.dtype.kind in "iu" else np.float32
        heights = cells.astype(kind) if cells.dtype != kind else cells
        scale, offset = data.scales[0], data.offsets[0]
        flags = data.mask_flag_enums[0]
        if MaskFlags.all_valid not in flags:
            heights[data.read_masks(1, window=window) == 0] = np.nan
        if not np.isfinite(heights.sum()):
            heights[~np.isfinite(heights)] = np.nan
        if (scale, offset) != (1.0, 0.0):
            heights = heights.astype(np.float64) * scale + offset
        metres = heights if self.factor == 1.0 else heights.astype(np.float64) * self.factor
        return np.asarray(metres)


class Mosaic:
    """Rasters of one grid, the first listed on top, and the blocks of them that were read.

    Parameters
    ----------
    tile
        The raster that gives the grid; others join by `join`.
    plane
        The local plane.
    """

    def __init__(self, tile: Tile, plane: PlaneTransform) -> None:
        self.crs = tile.crs
        self.transform = tile.dataset.transform
        self._inverse = ~self.transform
        self._plane = plane
        self.tiles: list[tuple[Tile, int, int]] = [(tile, 0, 0)]
        self.store = BlockStore(_block_shape(tile.dataset))
        self.watch: Watch = iter

    def join(self, tile: Tile) -> bool:
        """Take a raster in if it lies on this grid; say whether it does."""
        if tile.crs != self.crs:
            return False
        own, other = self.transform, tile.dataset.transform
        linear = np.array([own.a, own.b, own.d, own.e])
        drift = np.abs(np.array([other.a, other.b, other.d, other.e]) - linear).max()
        span = max(tile.dataset.width, tile.dataset.height)
        if drift * span > _SAME_GRID * np.abs(linear).max():
            return False
        column, row = self._cell_corner(other.c, other.f)
        if max(abs(column - round(column)), abs(row - round(row))) > _SAME_GRID:
            return False
        self.tiles.append((tile, round(row), round(column)))
        return True

    def _cell_corner(self, x: float, y: float) -> tuple[float, float]:
        inverse, dx, dy = self._inverse, x - self.transform.c, y - self.transform.f
        return inverse.a * dx + inverse.b * dy, inverse.d * dx + inverse.e * dy

    def rows_columns(self, east_m: ArrayLike, north_m: ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Return the row and column of points of the local plane, whole at cell centres."""
        x, y = self._plane.to_crs(self.crs, east_m, north_m)
        dx, dy = x - self.transform.c, y - self.transform.f
        inverse = self._inverse
        return inverse.d * dx + inverse.e * dy - 0.5, inverse.a * dx + inverse.b * dy - 0.5

    def read_under(self, east_m: ArrayLike, north_m: ArrayLike) -> None:
        """Read the blocks that heights at these points need and that were not read yet."""
        row, column = self.rows_columns(east_m, north_m)
        self._read(self.store.blocks_under(*self._inside(row, column)))

    def read_box(self, east_m: FloatArray, north_m: FloatArray) -> None:
        """Read every block under the box around these points."""
        row, column = self.rows_columns(east_m, north_m)
        height, width = self.store.shape
        low, high, left, right = self._limits()
        rows = np.clip([np.nanmin(row) - 1, np.nanmax(row) + 1], low, high - 1) // height
        columns = np.clip([np.nanmin(column) - 1, np.nanmax(column) + 1], left, right - 1) // width
        self._read(
            [
                (r, c)
                for r in range(int(rows[0]), int(rows[1]) + 1)
                for c in range(int(columns[0]), int(columns[1]) + 1)
            ]
        )

    def _inside(self, row: FloatArray, column: FloatArray) -> tuple[FloatArray, FloatArray]:
        low, high, left, right = self._limits()
        good = (row > low - 1) & (row < high) & (column > left - 1) & (column < right)
        return np.where(good, row, np.nan), np.where(good, column, np.nan)

    def _limits(self) -> tuple[int, int, int, int]:
        low = min(row for _, row, _ in self.tiles)
        left = min(column for _, _, column in self.tiles)
        high = max(row + tile.dataset.height for tile, row, _ in self.tiles)
        right = max(column + tile.dataset.width for tile, _, column in self.tiles)
        return low, high, left, right

    def _read(self, blocks: Sequence[tuple[int, int]]) -> None:
        wanted = [block for block in blocks if block not in self.store]
        if not wanted:
            return
        cells = [self._read_block(*block) for block in self.watch(wanted)]
        kept = [
            (block, read) for block, read in zip(wanted, cells, strict=True) if read is not None
        ]
        if kept:
            self.store.add([block for block, _ in kept], np.stack([read for _, read in kept]))

    def _read_block(self, block_row: int, block_column: int) -> NDArray[np.floating] | None:
        height, width = self.store.shape
        top, left = block_row * height, block_column * width
        block: NDArray[np.floating] | None = None
        for tile, tile_row, tile_column in self.tiles:
            first_row, last_row = (
                max(top, tile_row),
                min(top + height, tile_row + tile.dataset.height),
            )
            first_col = max(left, tile_column)
            last_col = min(left + width, tile_column + tile.dataset.width)
            if first_row >= last_row or first_col >= last_col:
                continue
            window = Window(
                first_col - tile_column, first_row - tile_row,
                last_col - first_col, last_row - first_row,
            )  # fmt: skip
            part = np.s_[first_row - top : last_row - top, first_col - left : last_col - left]
            if block is not None and not np.isnan(block[part]).any():
                continue
            heights = tile.read(window)
            if block is None:
                if heights.shape == (height, width):
                    block = heights
                    continue
                block = np.full((height, width), np.nan, dtype=heights.dtype)
            block = block.astype(np.promote_types(block.dtype, heights.dtype), copy=False)
            block[part] = np.where(np.isnan(block[part]), heights, block[part])
        return block

    def heights(self, east_m: ArrayLike, north_m: ArrayLike) -> FloatArray:
        """Return bilinear heights at points of the local plane, nan where there is none [m]."""
        return self.store.bilinear(*self.rows_columns(east_m, north_m))


def _block_shape(dataset: DatasetReader) -> tuple[int, int]:
    rows, columns = dataset.block_shapes[0]
    if all(_LEAST_BLOCK <= side <= _MOST_BLOCK for side in (rows, columns)):
        return rows, columns
    # Strips: some rows of them at a time, and not the whole width of a wide raster.
    return min(max(rows, _LEAST_BLOCK), 256), min(dataset.width, 512)
