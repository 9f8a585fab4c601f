"""The variances of all heights at once: entries of an inverse that is never formed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array
from scipy.sparse.linalg import SuperLU

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]


def inverse_diagonal(factor: SuperLU) -> FloatArray:
    """Return the diagonal of the inverse of a symmetric matrix, from its factors.

    Parameters
    ----------
    factor
        Factors of a symmetric positive definite matrix, its pivots taken on the diagonal.

    Returns
    -------
    numpy.ndarray
        Diagonal of the inverse, shape (n,) [m2].
    """
    diagonal, _ = _read_back(factor)
    # The factors are of the matrix with its columns put into a better order.
    return diagonal[factor.perm_c]


def inverse_of_pairs(factor: SuperLU, first: IndexArray, second: IndexArray) -> FloatArray:
    """Return entries of the inverse of a symmetric matrix where the matrix itself has one.

    Parameters
    ----------
    factor
        Factors of a symmetric positive definite matrix, its pivots taken on the diagonal.
    first, second
        Row and column of each entry; those of the diagonal may be among them, shape (k,).

    Returns
    -------
    numpy.ndarray
        The entries, shape (k,) [m2].
    """
    diagonal, columns = _read_back(factor)
    place = factor.perm_c
    pairs = zip(place[first].tolist(), place[second].tolist(), strict=True)
    return np.array(
        [
            diagonal[one] if one == other else columns[min(one, other)][max(one, other)]
            for one, other in pairs
        ]
    )


def _read_back(factor: SuperLU) -> tuple[FloatArray, list[dict[int, float]]]:
    """Return the diagonal of the inverse, and its entries where the factor has one.

    Notes
    -----
    With A = L D L^T the inverse Z obeys Z = D^-1 L^-1 + (I - L^T) Z. Read from the last column
    back, each entry of Z that lies where L has one needs only such entries again, so the work
    grows with the readings of a book, where solving for every column grows with their square.

    References
    ----------
    K. Takahashi, J. Fagan, M. Chin, Formation of a sparse bus impedance matrix and its application
    to short circuit study, 1973 (from memory).
    """
    lower = csc_array(factor.L)
    lower.sort_indices()
    pivot = factor.U.diagonal()
    count = len(pivot)
    begin, rows, values = lower.indptr, lower.indices, lower.data
    diagonal = np.zeros(count)
    columns: list[dict[int, float]] = [{} for _ in range(count)]
    for column in range(count - 1, -1, -1):
        below = slice(begin[column] + 1, begin[column + 1])
        held = rows[below].tolist()
        block = np.empty((len(held), len(held)))
        for at, row in enumerate(held):
            block[at, at] = diagonal[row]
            own = columns[row]
            for other in range(at + 1, len(held)):
                block[at, other] = block[other, at] = own[held[other]]
        found = -block @ values[below]
        columns[column] = dict(zip(held, found.tolist(), strict=True))
        diagonal[column] = 1.0 / pivot[column] - values[below] @ found
    return diagonal, columns
