"""The variances of all heights at once: entries of an inverse that is never formed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array
from scipy.sparse.linalg import SuperLU, spsolve_triangular

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
        parent_of = _parents(lower)
        waiting = np.bincount(parent_of[parent_of >= 0], minlength=count).tolist()
        parents, inverse_pivot = parent_of.tolist(), (1.0 / pivot).tolist()
        nothing = np.zeros(0)
        fronts: dict[int, tuple[NDArray[np.int32], FloatArray]] = {}
        for column in range(count - 1, -1, -1):
            first, last = starts[column] + 1, starts[column + 1]
            variance, block, found = inverse_pivot[column], nothing, nothing
            if first < last:
                held, multiple = rows[first:last], values[first:last]
                parent = parents[column]
                inside, block = fronts[parent]
                at = inside.searchsorted(held)
                block = block[at[:, None], at]
                found = -(block @ multiple)
                variance -= float(multiple @ found)
                entries[first:last] = found
                waiting[parent] -= 1
                if not waiting[parent]:
                    del fronts[parent]
            diagonal[column] = variance
            if waiting[column]:
                front = np.empty((last - first + 1, last - first + 1))
                front[0, 0] = variance
                front[0, 1:] = front[1:, 0] = found
                front[1:, 1:] = block
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


def inverse_block(factor: SuperLU, columns: IndexArray) -> FloatArray:
    """Return the square block of some columns of the inverse of a symmetric matrix.

    Parameters
    ----------
    factor
        Factors of the matrix, its pivots taken on the diagonal.
    columns
        The columns, shape (k,).

    Returns
    -------
    numpy.ndarray
        The block, shape (k, k) [m2].

    Notes
    -----
    With A = L D L^T and E the chosen columns of the identity it is X^T D^-1 X with L X = E. A
    column of X has entries only on its way to the root, from each pivot to the first row below it
    in L, so no other part of L is looked at.
    """
    lower = csc_array(factor.L)
    lower.sort_indices()
    place = np.asarray(factor.perm_c, dtype=np.intp)[columns]
    above = _parents(lower).tolist()
    way: set[int] = set()
    for start in place.tolist():
        node = start
        while node >= 0 and node not in way:
            way.add(node)
            node = above[node]
    nodes = np.array(sorted(way), dtype=np.intp)
    right = np.zeros((len(nodes), len(columns)))
    right[np.searchsorted(nodes, place), np.arange(len(columns))] = 1.0
    part = csc_array(lower[:, nodes][nodes])
    found = spsolve_triangular(part, right, lower=True, unit_diagonal=True)
    return np.asarray((found / factor.U.diagonal()[nodes, None]).T @ found)


def _parents(lower: csc_array) -> IndexArray:
    """Return the first row below the diagonal of each column of a factor, -1 for none, (n,)."""
    begin = lower.indptr
    parent = np.full(len(begin) - 1, -1, dtype=np.intp)
    below = np.diff(begin) > 1
    parent[below] = lower.indices[begin[:-1][below] + 1]
    return parent
