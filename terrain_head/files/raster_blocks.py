"""Rasters that share a grid are one mosaic; its blocks are read when they are first needed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import CRS
from rasterio.enums import ColorInterp, MaskFlags
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
_SAME_MARK = 2e-6
# No land lies lower or higher [m] (the Dead Sea's shore -430, Everest 8 849; from memory): what
# stands there is somebody's mark for nothing, said in the file or not.
LOWEST_M, HIGHEST_M = -500.0, 9000.0
_HALF_TURN_DEG = 180.0


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
    scale, offset
        What turns a stored number into a height in that unit.
    mark
        Least and greatest stored number that means "no height", None without such a mark.
    masked
        Whether a mask besides says where heights are.
    cover
        Number of the layer that is 0 where there is no height, None without one.
    limits
        Least and greatest stored number that can be the height of land.
    """

    dataset: DatasetReader
    name: str
    path: Path
    crs: CRS
    factor: float

    scale: float = 1.0
    offset: float = 0.0
    mark: tuple[float, float] | None = None
    masked: bool = False
    cover: int | None = None
    limits: tuple[float, float] = (LOWEST_M, HIGHEST_M)

    @classmethod
    def of(cls, dataset: DatasetReader, *, path: Path, crs: CRS, factor: float) -> Tile:
        """Return the tile of an opened raster."""
        nodata, flags = dataset.nodata, dataset.mask_flag_enums[0]
        colours = dataset.colorinterp
        mark = None
        scale, offset = float(dataset.scales[0]) or 1.0, float(dataset.offsets[0])
        low, high = sorted((m / factor - offset) / scale for m in (LOWEST_M, HIGHEST_M))
        if nodata is not None and low <= nodata <= high:
            # A file that rounded its own mark for "nothing" still means it.
            mark = (nodata - _SAME_MARK * abs(nodata), nodata + _SAME_MARK * abs(nodata))
        return cls(
            dataset=dataset,
            name=path.name,
            path=path,
            crs=crs,
            factor=factor,
            scale=scale,
            offset=offset,
            mark=mark,
            limits=(low, high),
            masked=MaskFlags.per_dataset in flags,
            cover=next((n for n in dataset.indexes if colours[n - 1] == ColorInterp.alpha), None),
        )

    @property
    def kind(self) -> np.dtype[Any]:
        """Type in which its heights lose nothing."""
        own = np.dtype(self.dataset.dtypes[0])
        as_they_are = (self.factor, self.scale, self.offset) == (1.0, 1.0, 0.0)
        small = own == np.float32 or (own.kind in "iu" and own.itemsize < 4)
        return np.dtype(np.float32 if small and as_they_are else np.float64)

    def read_into(self, room: NDArray[np.floating], window: Window) -> None:
        """Read the heights of a window, nan where the file holds none [m]."""
        if self.dataset.dtypes[0] == room.dtype.name:
            self.dataset.read(1, window=window, out=room)
        else:
            room[...] = self.dataset.read(1, window=window)
        if self.masked:
            room[self.dataset.read_masks(1, window=window) == 0] = np.nan
        if self.cover is not None:
            room[self.dataset.read(self.cover, window=window) == 0] = np.nan
        low, high = float(room.min()), float(room.max())
        least, most = self.limits
        if not (low >= least and high <= most):
            room[~((room >= least) & (room <= most))] = np.nan
            low, high = -np.inf, np.inf
        if self.mark is not None and self.mark[0] <= high and self.mark[1] >= low:
            room[(room >= self.mark[0]) & (room <= self.mark[1])] = np.nan
        if (self.scale, self.offset, self.factor) != (1.0, 0.0, 1.0):
            room *= self.scale * self.factor
            room += self.offset * self.factor


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
        middle = self.transform @ (tile.dataset.width / 2, tile.dataset.height / 2)
        self._middle_x = float(middle[0])
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
        if self.crs.is_geographic and np.any(np.abs(x - self.transform.c) > _HALF_TURN_DEG):
            # A raster may count its longitudes from 0 to 360.
            x = self._middle_x + (x - self._middle_x + 180) % 360 - 180
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
        wanted = [block for block in blocks if block not in self.store and any(self._parts(*block))]
        if not wanted:
            return
        kind = np.result_type(*(tile.kind for tile, _, _ in self.tiles))
        rooms = self.store.reserve(wanted, kind=kind)
        for room, block in zip(rooms, self.watch(wanted), strict=True):
            self._fill(room, *block)

    def _parts(
        self, block_row: int, block_column: int
    ) -> Iterator[tuple[Tile, Window, tuple[slice, slice]]]:
        """Give each tile under a block, the window of the tile, and where it goes in the block."""
        height, width = self.store.shape
        top, left = block_row * height, block_column * width
        for tile, row, column in self.tiles:
            low, high = max(top, row), min(top + height, row + tile.dataset.height)
            near, far = max(left, column), min(left + width, column + tile.dataset.width)
            if low < high and near < far:
                window = Window(near - column, low - row, far - near, high - low)
                yield tile, window, (slice(low - top, high - top), slice(near - left, far - left))

    def _fill(self, room: NDArray[np.floating], block_row: int, block_column: int) -> None:
        """Read one block; where tiles lie on each other the first that holds a height gives it."""
        parts = list(self._parts(block_row, block_column))
        tile, window, where = parts[0]
        if room[where].shape == room.shape:
            tile.read_into(room, window)
            parts = parts[1:]
        else:
            room[...] = np.nan
        for tile, window, where in parts:
            void = np.isnan(room[where])
            if void.any():
                heights = np.empty(void.shape, dtype=room.dtype)
                tile.read_into(heights, window)
                room[where][void] = heights[void]

    def heights(
        self, east_m: ArrayLike, north_m: ArrayLike, *, reading: bool = False
    ) -> FloatArray:
        """Return bilinear heights at points of the local plane, nan where there is none [m].

        Parameters
        ----------
        east_m, north_m
            The points [m].
        reading
            Whether blocks that were not read yet are read now.
        """
        row, column = self.rows_columns(east_m, north_m)
        if reading:
            self._read(self.store.blocks_under(*self._inside(row, column)))
        return self.store.bilinear(row, column)


def _block_shape(dataset: DatasetReader) -> tuple[int, int]:
    rows, columns = dataset.block_shapes[0]
    if all(_LEAST_BLOCK <= side <= _MOST_BLOCK for side in (rows, columns)):
        return rows, columns
    # Strips: some rows of them at a time, and not the whole width of a wide raster.
    return min(max(rows, _LEAST_BLOCK), 256), min(dataset.width, 512)
