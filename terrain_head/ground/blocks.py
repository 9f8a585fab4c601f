"""Blocks of cells as they were read, and bilinear heights between their centres."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]
Span = tuple[int, int]

# A row or column this near a whole number is that number: rounding noise of the projection then
# never asks for a cell beyond the last one. A millionth of a cell.
_SNAP = 1e-6
# So many points at a time stay in the processor's own memory: twice as fast as all at once.
_PIECE = 16_384


class BlockStore:
    """Cells of one regular grid, kept in the blocks that were read; every other cell is void.

    Rows grow one way and columns the other way of the grid, whole numbers at cell centres. A block
    holds ``shape`` cells; block (0, 0) begins at row 0, column 0, and blocks may lie on both sides
    of it.

    Parameters
    ----------
    shape
        Rows and columns of one block.

    Examples
    --------
    >>> store = BlockStore((2, 2))
    >>> store.add([(0, 0)], np.array([[[1.0, 2.0], [3.0, 4.0]]]))
    >>> store.bilinear(0.5, 0.5), store.bilinear(0.5, 1.5)
    (array(2.5), array(nan))
    """

    def __init__(self, shape: tuple[int, int]) -> None:
        self.shape = shape
        self._cells: NDArray[np.floating] = np.full((1, *shape), np.nan, dtype=np.float32)
        self._slots: dict[Span, int] = {}
        self._table: IndexArray = np.zeros((1, 1), dtype=np.intp)
        self._corner: Span = (0, 0)

    def __len__(self) -> int:
        return len(self._slots)

    def __contains__(self, block: Span) -> bool:
        return block in self._slots

    @property
    def nbytes(self) -> int:
        """Memory of the cells [byte]."""
        return self._cells.nbytes

    def blocks_under(self, row: ArrayLike, column: ArrayLike) -> list[Span]:
        """Return the blocks that bilinear heights at these points need, each once, in order.

        Parameters
        ----------
        row, column
            Points in rows and columns of the grid; nan ones need none.
        """
        rows, columns = np.ravel(row), np.ravel(column)
        found = {
            block
            for piece in _pieces(len(rows))
            for block in self._blocks_under(rows[piece], columns[piece])
        }
        return sorted(found)

    def _blocks_under(self, row: FloatArray, column: FloatArray) -> list[Span]:
        height, width = self.shape
        low_row, _, high_row = _split(row)
        low_column, _, high_column = _split(column)
        good = (low_row > _NOWHERE) & (low_column > _NOWHERE)
        rows = np.stack([low_row[good] // height, high_row[good] // height])
        columns = np.stack([low_column[good] // width, high_column[good] // width])
        if not rows.size:
            return []
        low, left = int(rows.min()), int(columns.min())
        across = int(columns.max()) - left + 1
        # Neighbours on a line mostly lie in one block: only where it changes is looked at.
        keys = [(r - low) * across + (c - left) for r in rows for c in columns]
        found = np.unique(np.concatenate([key[np.r_[True, key[1:] != key[:-1]]] for key in keys]))
        return [(int(key // across) + low, int(key % across) + left) for key in found]

    def reserve(self, blocks: list[Span], *, kind: np.dtype[Any]) -> NDArray[np.floating]:
        """Make room for blocks and return it, to be filled at once.

        Parameters
        ----------
        blocks
            Their places, at least one; none of them may be there already.
        kind
            Type of their heights; the store keeps the finer of it and its own.

        Returns
        -------
        numpy.ndarray
            Room for the heights, nan where void, shape (blocks, rows, columns) [m].
        """
        before = len(self._cells)
        grown = np.empty(
            (before + len(blocks), *self.shape), dtype=np.promote_types(self._cells.dtype, kind)
        )
        grown[:before] = self._cells
        self._slots.update({block: before + n for n, block in enumerate(blocks)})
        self._cells = grown
        self._tabulate()
        return grown[before:]

    def add(self, blocks: list[Span], cells: NDArray[np.floating]) -> None:
        """Keep blocks that were read.

        Parameters
        ----------
        blocks
            Their places, at least one; none of them may be there already.
        cells
            Heights, nan where void, shape (blocks, rows, columns) [m].
        """
        self.reserve(blocks, kind=cells.dtype)[...] = cells

    def _tabulate(self) -> None:
        keys = np.array(list(self._slots), dtype=np.intp)
        self._corner = (int(keys[:, 0].min()) - 1, int(keys[:, 1].min()) - 1)
        size = keys.max(axis=0) - np.array(self._corner) + 2
        table = np.zeros(tuple(size), dtype=np.intp)
        at = keys - np.array(self._corner)
        table[at[:, 0], at[:, 1]] = list(self._slots.values())
        self._table = table

    def bilinear(self, row: ArrayLike, column: ArrayLike) -> FloatArray:
        """Return heights between cell centres, nan unless every cell needed has one [m].

        Parameters
        ----------
        row, column
            Points in rows and columns of the grid, of one shape.

        Notes
        -----
        A point on a row or column of centres needs no cell beyond it: the outermost centres are
        the edge of what is known.
        """
        rows, columns = np.broadcast_arrays(
            np.asarray(row, dtype=np.float64), np.asarray(column, dtype=np.float64)
        )
        heights = np.empty(rows.size)
        flat_rows, flat_columns = rows.ravel(), columns.ravel()
        for piece in _pieces(rows.size):
            heights[piece] = self._bilinear(flat_rows[piece], flat_columns[piece])
        return heights.reshape(rows.shape)

    def _bilinear(self, row: FloatArray, column: FloatArray) -> FloatArray:
        low_row, part_row, high_row = _split(row)
        low_column, part_column, high_column = _split(column)
        left, right = (self._placed(at, axis=1) for at in (low_column, high_column))
        upper, lower = (
            _between(self._cells_at(at, left), self._cells_at(at, right), part_column)
            for at in (self._placed(low_row, axis=0), self._placed(high_row, axis=0))
        )
        return _between(upper, lower, part_row)

    def _placed(self, at: IndexArray, *, axis: int) -> tuple[IndexArray, IndexArray]:
        """Return where rows (or columns) stand in the table of blocks, and in their block."""
        block, inside = np.divmod(at, self.shape[axis])
        # The rim of the table is slot 0, the block of nothing.
        return np.clip(block - self._corner[axis], 0, self._table.shape[axis] - 1), inside

    def _cells_at(
        self, row: tuple[IndexArray, IndexArray], column: tuple[IndexArray, IndexArray]
    ) -> FloatArray:
        """Return the heights of cells, nan where none was read or the cell is void [m]."""
        slot = self._table[row[0], column[0]]
        flat = (slot * self.shape[0] + row[1]) * self.shape[1] + column[1]
        return np.asarray(self._cells.reshape(-1)[flat], dtype=np.float64)


_NOWHERE = -(2**40)


def _pieces(count: int) -> Iterator[slice]:
    return (slice(start, start + _PIECE) for start in range(0, count, _PIECE))


def _between(first: FloatArray, second: FloatArray, part: FloatArray) -> FloatArray:
    return np.asarray(first + (second - first) * part)


def _split(value: FloatArray) -> tuple[IndexArray, FloatArray, IndexArray]:
    """Return the whole number below, the part above it, and the whole number above if needed."""
    known = np.where(np.abs(value) < -_NOWHERE, value, 2.0 * _NOWHERE)
    near = np.rint(known)
    settled = np.where(np.abs(known - near) < _SNAP, near, known)
    low = np.floor(settled)
    part = settled - low
    below = low.astype(np.intp)
    return below, part, below + (part > 0)
