"""The variances of all heights at once: entries of an inverse that is never formed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array
from scipy.sparse.linalg import SuperLU

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SelectedInverse:
    """Entries of the inverse of a symmetric matrix where its triangular factor has one.

    Parameters
    ----------
    place
        Place of each row of the matrix among the pivots, shape (n,).
    diagonal
        Diagonal of the inverse in the order of the pivots, shape (n,) [m2].
    keys
        Column times n plus row of each entry below the diagonal, rising, shape (entries,).
    values
        The entries, shape (entries,) [m2].
    """

    place: IndexArray
    diagonal: FloatArray
    keys: IndexArray
    values: FloatArray

    @classmethod
    def of(cls, factor: SuperLU) -> SelectedInverse:
        """Return the entries from the factors of a matrix, its pivots taken on the diagonal.

        Notes
        -----
        With A = L D L^T the inverse Z obeys Z = D^-1 L^-1 + (I - L^T) Z. Read from the last
        column back, each entry of Z that lies where L has one needs only such entries again: those
        of a column lie in the rows of its parent, the column of its first entry below the diagonal.
        So the work grows with the readings of a book, where solving for every column grows with
        their square.

        References
        ----------
        K. Takahashi, J. Fagan, M. Chin, Formation of a sparse bus impedance matrix and its
        application to short circuit study, 1973 (from memory).
        """
        lower = csc_array(factor.L)
        lower.sort_indices()
        pivot = factor.U.diagonal()
        count = len(pivot)
        begin, rows, values = lower.indptr, lower.indices, lower.data
        # Plain slices of views are what the loop spends its time on.
        starts = begin.tolist()
        below = np.ones(len(rows), dtype=bool)
        below[begin[:-1]] = False
        diagonal = np.zeros(count)
        entries = np.zeros(len(rows))
        children = np.zeros(count, dtype=np.intp)
        has_parent = np.diff(begin) > 1
        np.add.at(children, rows[begin[:-1][has_parent] + 1], 1)
        waiting = children.tolist()
        fronts: dict[int, tuple[NDArray[np.int32], FloatArray]] = {}
        for column in range(count - 1, -1, -1):
            first, last = starts[column] + 1, starts[column + 1]
            held = rows[first:last]
            front = np.empty((last - first + 1, last - first + 1))
            if first == last:
                variance = 1.0 / pivot[column]
            else:
                parent = int(held[0])
                inside, block = fronts[parent]
                at = np.searchsorted(inside, held)
                block = block[at[:, None], at]
                found = -(block @ values[first:last])
                variance = 1.0 / pivot[column] - values[first:last] @ found
                entries[first:last] = found
                front[1:, 1:] = block
                front[0, 1:] = front[1:, 0] = found
                waiting[parent] -= 1
                if not waiting[parent]:
                    del fronts[parent]
            diagonal[column] = front[0, 0] = variance
            if waiting[column]:
                fronts[column] = (rows[first - 1 : last], front)
        keys = np.repeat(np.arange(count), np.diff(begin)) * count + rows
        # The factors are of the matrix with its columns put into a better order.
        return cls(
            place=np.asarray(factor.perm_c, dtype=np.intp),
            diagonal=diagonal,
            keys=keys[below],
            values=entries[below],
        )

    def variances(self) -> FloatArray:
        """Return the diagonal of the inverse, shape (n,) [m2]."""
        return self.diagonal[self.place]

    def of_pairs(self, first: IndexArray, second: IndexArray) -> FloatArray:
        """Return entries of the inverse where the matrix itself has one.

        Parameters
        ----------
        first, second
            Row and column of each entry, not on the diagonal, shape (k,).

        Returns
        -------
        numpy.ndarray
            The entries, shape (k,) [m2].
        """
        one, other = self.place[first], self.place[second]
        keys = np.minimum(one, other) * len(self.place) + np.maximum(one, other)
        return self.values[np.searchsorted(self.keys, keys)]
