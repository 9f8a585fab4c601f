"""The inverse of the normal matrix, solved for when asked: heights, bordered by what all share."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import SuperLU

from terrain_head.leveling.inverse import SelectedInverse, inverse_block

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cofactor:
    """Columns of the inverse of ``[[N, B], [B.T, C]]``, N sparse and C as small as what is shared.

    Parameters
    ----------
    factor
        Factors of N, None where no height is unknown.
    count
        Rows of N: the unknown heights.
    reach
        N inverse times B, shape (count, shared).
    shared
        Inverse of C - B.T N inverse B, shape (shared, shared).

    Notes
    -----
    An error that all sights share has a full column. Left in the matrix it would fill the
    factors; at its border it costs one more solution each.
    """

    factor: SuperLU | None
    count: int
    reach: FloatArray
    shared: FloatArray
    _kept: list[SelectedInverse] = field(default_factory=list)

    def solve(self, right: FloatArray) -> FloatArray:
        """Return the inverse times one or more columns, shape as `right`: (count + shared, ...)."""
        heights, common = right[: self.count], right[self.count :]
        if self.factor is not None:
            heights = np.asarray(self.factor.solve(np.ascontiguousarray(heights)))
        if not len(self.shared):
            return heights
        # Solved for the heights alone, so the shared part has to be taken off both.
        common = self.shared @ (common - self.reach.T @ right[: self.count])
        return np.concatenate([heights - self.reach @ common, common])

    def columns(self, columns: IndexArray) -> FloatArray:
        """Return columns of the inverse, 0 for those of fixed heights (-1), (count + shared, k)."""
        inside = columns >= 0
        found = np.zeros((self.count + len(self.shared), len(columns)))
        if inside.any():
            right = np.zeros((len(found), int(inside.sum())))
            right[columns[inside], np.arange(right.shape[1])] = 1.0
            found[:, inside] = self.solve(right)
        return found

    def selected(self) -> SelectedInverse | None:
        """Return the entries of N inverse where N's factors have one, None without unknowns."""
        if self.factor is None:
            return None
        if not self._kept:
            self._kept.append(SelectedInverse.of(self.factor))
        return self._kept[0]

    def block(self, columns: IndexArray) -> FloatArray:
        """Return the square block of some heights of the inverse, 0 for fixed ones, (k, k) [m2]."""
        inside = np.flatnonzero(columns >= 0)
        found = np.zeros((len(columns), len(columns)))
        if self.factor is not None and len(inside):
            reach = self.reach[columns[inside]]
            block = inverse_block(self.factor, columns[inside])
            found[np.ix_(inside, inside)] = block + reach @ self.shared @ reach.T
        return found
