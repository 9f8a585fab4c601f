"""The best tank cell for each ram spot: whole blocks of cells are passed over unseen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

SIDE = 20
"""Rows and columns of one block."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TankCells:
    """Cells on which a tank may stand, rows from south to north.

    Parameters
    ----------
    height_m
        Heights, nan where no tank may stand, shape (rows, columns) [m].
    west_m, south_m
        Middle of the first cell in the local plane [m].
    cell_m
        Distance of two neighbours [m].
    """

    height_m: FloatArray
    west_m: float
    south_m: float
    cell_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Blocks:
    lowest_m: FloatArray
    west_m: FloatArray
    east_m: FloatArray
    south_m: FloatArray
    north_m: FloatArray
    columns: int


def best_cells(
    cells: TankCells, spots_m: FloatArray, *, within_m: float, grade: float
) -> IndexArray:
    """Return the cell that is best reached from each spot.

    Parameters
    ----------
    cells
        Where a tank may stand.
    spots_m
        East, north and height of each ram spot, shape (n, 3) [m].
    within_m
        Greatest plan distance from spot to tank [m].
    grade
        Metres of height that a metre of pipe counts as, its friction [1].

    Returns
    -------
    IndexArray
        Row times columns plus column, -1 where no cell is above the spot and near enough; of
        cells alike the first, shape (n,).

    Notes
    -----
    Least ``height + grade x length``, the length straight in space. A block's lowest cell and
    nearest edge bound it from below; blocks are looked into in the order of their bounds until
    no other can hold a better cell. The arithmetic of a cell is that of `scan_cells`, so that the
    answers are the same.
    """
    blocks = _blocks_of(cells)
    return np.array(
        [_best(cells, blocks, spot, within_m=within_m, grade=grade) for spot in spots_m],
        dtype=np.intp,
    )


def scan_cells(
    cells: TankCells, spots_m: FloatArray, *, within_m: float, grade: float
) -> IndexArray:
    """Return the same as `best_cells` by looking at every cell; the yardstick of the other.

    Parameters
    ----------
    cells
        Where a tank may stand.
    spots_m
        East, north and height of each ram spot, shape (n, 3) [m].
    within_m
        Greatest plan distance from spot to tank [m].
    grade
        Metres of height that a metre of pipe counts as [1].
    """
    rows, columns = (slice(0, side) for side in cells.height_m.shape)
    found = []
    for spot in spots_m:
        value = _values(cells, rows, columns, spot=spot, within_m=within_m, grade=grade)
        at = int(np.argmin(value))
        found.append(at if np.isfinite(value.ravel()[at]) else -1)
    return np.array(found, dtype=np.intp)


def _blocks_of(cells: TankCells) -> _Blocks:
    rows, columns = cells.height_m.shape
    down, across = -(-rows // SIDE), -(-columns // SIDE)
    padded = np.full((down * SIDE, across * SIDE), np.inf)
    padded[:rows, :columns] = np.where(np.isnan(cells.height_m), np.inf, cells.height_m)
    lowest = padded.reshape(down, SIDE, across, SIDE).min(axis=(1, 3))
    row, column = (axis.ravel() for axis in np.indices((down, across)))
    reach = (SIDE - 1) * cells.cell_m
    west = cells.west_m + column * SIDE * cells.cell_m
    south = cells.south_m + row * SIDE * cells.cell_m
    return _Blocks(
        lowest_m=lowest.ravel(), west_m=west, east_m=west + reach, south_m=south,
        north_m=south + reach, columns=across,
    )  # fmt: skip


def _best(
    cells: TankCells, blocks: _Blocks, spot: FloatArray, *, within_m: float, grade: float
) -> int:
    east = np.maximum(np.maximum(blocks.west_m - spot[0], spot[0] - blocks.east_m), 0.0)
    north = np.maximum(np.maximum(blocks.south_m - spot[1], spot[1] - blocks.north_m), 0.0)
    away = np.sqrt(east * east + north * north)
    # A hair below, so that rounding never passes over a cell that is as good.
    bound = np.maximum(blocks.lowest_m, spot[2]) + grade * away
    far = (away > within_m + 1e-6) | np.isinf(blocks.lowest_m)
    bound = np.where(far, 0.0, bound)
    bound = np.where(far, np.inf, bound - 1e-9 * (1.0 + np.abs(bound)))
    best, at = np.inf, -1
    width = cells.height_m.shape[1]
    for block in np.argsort(bound, kind="stable"):
        if bound[block] > best or np.isinf(bound[block]):
            break
        row, column = divmod(int(block), blocks.columns)
        rows = slice(row * SIDE, (row + 1) * SIDE)
        columns = slice(column * SIDE, (column + 1) * SIDE)
        value = _values(cells, rows, columns, spot=spot, within_m=within_m, grade=grade)
        first = int(np.argmin(value))
        inside_row, inside_column = divmod(first, value.shape[1])
        cell = (rows.start + inside_row) * width + columns.start + inside_column
        found = float(value[inside_row, inside_column])
        if found < best or (found == best and np.isfinite(found) and cell < at):
            best, at = found, cell
    return at


def _values(
    cells: TankCells,
    rows: slice,
    columns: slice,
    *,
    spot: FloatArray,
    within_m: float,
    grade: float,
) -> FloatArray:
    """Return what each cell counts as, infinite where it can't be the tank's [m]."""
    height = cells.height_m[rows, columns]
    row = np.arange(rows.start, rows.start + height.shape[0])
    column = np.arange(columns.start, columns.start + height.shape[1])
    east = cells.west_m + column * cells.cell_m - spot[0]
    north = cells.south_m + row * cells.cell_m - spot[1]
    plan2 = (east * east)[None, :] + (north * north)[:, None]
    rise = height - spot[2]
    value = height + grade * np.sqrt(plan2 + rise * rise)
    return np.where((rise > 0) & (plan2 <= within_m * within_m), value, np.inf)
