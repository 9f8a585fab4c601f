"""Elevation rasters: read where the site needs them, never moved or resampled."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.files.planes import PlaneTransform, flat, spot_words
from terrain_head.files.raster_blocks import Mosaic, Tile, Watch
from terrain_head.files.raster_files import RasterFile
from terrain_head.files.raster_seams import seam_heights
from terrain_head.ground.grid import ElevationGrid, Gap, RasterError

FloatArray = NDArray[np.float64]


class RasterSet:
    """The opened rasters of a site, read as long as their files are open.

    Parameters
    ----------
    mosaics
        Rasters grouped by the grid they share, in the order listed.
    error
        How wrong their heights are.
    plane
        The local plane.
    """

    def __init__(
        self, mosaics: Sequence[Mosaic], *, error: RasterError, plane: PlaneTransform
    ) -> None:
        self._mosaics = tuple(mosaics)
        self._error = error
        self._plane = plane

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the files."""
        return tuple(tile.name for mosaic in self._mosaics for tile, _, _ in mosaic.tiles)

    @property
    def cell_m(self) -> float:
        """Shorter side of the finest cell, on the ground at the middle of the site [m]."""
        return min(_cell_side(mosaic, self._plane) for mosaic in self._mosaics)

    def read_along(self, east_m: ArrayLike, north_m: ArrayLike) -> ElevationGrid:
        """Return the heights under these very points: only the blocks they touch are read.

        Parameters
        ----------
        east_m, north_m
            Points of the local plane, shape (n,) [m].
        """
        for mosaic in self._mosaics:
            mosaic.read_under(east_m, north_m)
        return self._grid(
            np.asarray(east_m, dtype=np.float64), np.asarray(north_m, dtype=np.float64)
        )

    def read_site(
        self, east_m: ArrayLike, north_m: ArrayLike, *, margin_m: float, most_cells: float
    ) -> ElevationGrid | None:
        """Return the heights of the whole box around these points, None if that is too much.

        Parameters
        ----------
        east_m, north_m
            Points of the local plane, shape (n,) [m].
        margin_m
            How far the box reaches beyond them [m].
        most_cells
            The most cells that are worth keeping.
        """
        east, north = np.asarray(east_m, dtype=np.float64), np.asarray(north_m, dtype=np.float64)
        west, right = east.min() - margin_m, east.max() + margin_m
        south, top = north.min() - margin_m, north.max() + margin_m
        if (right - west) * (top - south) / self.cell_m**2 > most_cells:
            return None
        steps = np.linspace(0.0, 1.0, 9)
        across, up = west + (right - west) * steps, south + (top - south) * steps
        box_east, box_north = (axis.ravel() for axis in np.meshgrid(across, up))
        for mosaic in self._mosaics:
            mosaic.read_box(box_east, box_north)
        return self._grid(box_east, box_north)

    def on_demand(self, *, watch: Watch = iter) -> ElevationGrid:
        """Return a grid that reads a block when a height in it is first asked for.

        It serves as long as the files are open; what was read serves on.

        Parameters
        ----------
        watch
            Goes through the blocks as they are read (a progress bar).
        """
        for mosaic in self._mosaics:
            mosaic.watch = watch
        return self._grid(np.zeros(1), np.zeros(1), reading=True)

    def _grid(
        self, east_m: FloatArray, north_m: FloatArray, *, reading: bool = False
    ) -> ElevationGrid:
        def sample(east_m: ArrayLike, north_m: ArrayLike) -> FloatArray:
            east, north = np.broadcast_arrays(
                np.asarray(east_m, dtype=np.float64), np.asarray(north_m, dtype=np.float64)
            )
            heights = np.full(east.shape, np.nan)
            for mosaic in self._mosaics:
                open_still = np.isnan(heights)
                if not open_still.any():
                    break
                heights[open_still] = mosaic.heights(
                    east[open_still], north[open_still], reading=reading
                )
            open_still = np.isnan(heights)
            if len(self._mosaics) > 1 and open_still.any():
                heights[open_still] = seam_heights(
                    self._mosaics, east[open_still], north_m=north[open_still], plane=self._plane
                )
            return heights

        return ElevationGrid(
            sample=sample,
            cell_m=self.cell_m,
            error=self._error,
            names=self.names,
            extent_m=(
                float(east_m.min()),
                float(north_m.min()),
                float(east_m.max()),
                float(north_m.max()),
            ),
            gap=self._gap,
        )

    def _gap(self, east_m: float, north_m: float) -> Gap:
        longitude, latitude = self._plane.to_lonlat(east_m, north_m)
        spot = spot_words(float(latitude), float(longitude))
        nearest: tuple[float, Gap] | None = None
        for mosaic in self._mosaics:
            row, column = (float(v) for v in mosaic.rows_columns(east_m, north_m))
            for tile, tile_row, tile_column in mosaic.tiles:
                up, left = tile_row - row, tile_column - column
                down = row - (tile_row + tile.dataset.height - 1)
                right = column - (tile_column + tile.dataset.width - 1)
                beyond = max(up, left, down, right)
                if beyond <= 0:
                    block = (
                        int(row // mosaic.store.shape[0]),
                        int(column // mosaic.store.shape[1]),
                    )
                    return Gap(
                        reason="void" if block in mosaic.store else "unread",
                        file=tile.name,
                        side="",
                        spot=spot,
                    )
                if nearest is None or beyond < nearest[0]:
                    side = _side(mosaic, {(-1, 0): up, (0, -1): left, (1, 0): down, (0, 1): right})
                    gap = Gap(reason="edge", file=tile.name, side=side, spot=spot)
                    nearest = (beyond, gap)
        assert nearest is not None
        return nearest[1]


def _side(mosaic: Mosaic, beyond: dict[tuple[int, int], float]) -> str:
    rows, columns = max(beyond, key=lambda way: beyond[way])
    across = mosaic.transform.a * columns + mosaic.transform.b * rows
    up = mosaic.transform.d * columns + mosaic.transform.e * rows
    if abs(across) > abs(up):
        return "east" if across > 0 else "west"
    return "north" if up > 0 else "south"


def _cell_side(mosaic: Mosaic, plane: PlaneTransform) -> float:
    """Return the shorter side of a cell on the ground at the middle of the site [m]."""
    row, column = (float(v) for v in mosaic.rows_columns(0.0, 0.0))
    if not np.isfinite(row) or not np.isfinite(column):
        row, column = 0.0, 0.0
    columns, rows = np.array([0.0, 1.0, 0.0]) + column, np.array([0.0, 0.0, 1.0]) + row
    t = mosaic.transform
    x, y = t.c + t.a * columns + t.b * rows, t.f + t.d * columns + t.e * rows
    east, north = plane.from_crs(mosaic.crs, x, y)
    return float(np.hypot(east[1:] - east[0], north[1:] - north[0]).min())


def lay_rasters(
    files: Sequence[RasterFile], *, error: RasterError, plane: PlaneTransform
) -> RasterSet:
    """Lay opened rasters under the local plane, tiles side by side or one over the other.

    Parameters
    ----------
    files
        The rasters; where two hold a height the first listed gives it.
    error
        How wrong their heights are.
    plane
        The local plane.
    """
    mosaics: list[Mosaic] = []
    for file in files:
        tile = Tile.of(file.dataset, path=file.path, crs=flat(file.crs), factor=file.factor)
        if not any(mosaic.join(tile) for mosaic in mosaics):
            mosaics.append(Mosaic(tile, plane))
    return RasterSet(mosaics, error=error, plane=plane)
