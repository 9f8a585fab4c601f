"""One least-squares problem: every reading, difference and uncertain benchmark at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import SuperLU, splu

from terrain_head.base.covariance import Covariance
from terrain_head.leveling.inverse import inverse_diagonal, inverse_of_pairs

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Network:
    """Observed differences between heights, some of them held fixed.

    Parameters
    ----------
    plus, minus
        Each observation is height `plus` minus height `minus`; `minus` is -1 where the height
        itself was observed, shape (m,).
    observed_m
        The observations, shape (m,) [m].
    std_m
        Their standard errors, shape (m,) [m].
    fixed_m
        Heights held fixed, nan for the unknown ones, shape (n,) [m].

    Examples
    --------
    A point between two benchmarks, one reading each way from the same set-up:

    >>> net = Network(
    ...     plus=np.array([3, 3, 3]), minus=np.array([0, 1, 2]),
    ...     observed_m=np.array([1.0, 2.0, 1.53]), std_m=np.ones(3),
    ...     fixed_m=np.array([100.0, 99.02, np.nan, np.nan]),
    ... )
    >>> net.solve().height_m.round(3).tolist()
    [100.0, 99.02, 99.48, 101.01]
    """

    plus: IndexArray
    minus: IndexArray
    observed_m: FloatArray
    std_m: FloatArray
    fixed_m: FloatArray

    def solve(self) -> Solved:
        """Return the heights that least squares gives.

        Notes
        -----
        Minimises the sum of squared residuals over their variances (Gauss-Markov model). Every
        part of the network must hold a fixed or an observed height.
        """
        unknown = np.isnan(self.fixed_m)
        column = np.where(unknown, np.cumsum(unknown) - 1, -1)
        count = int(unknown.sum())
        height = np.where(unknown, 0.0, self.fixed_m)
        design = self._design(column, count)
        weight = 1.0 / np.square(self.std_m)
        if count == 0:
            factor = None
        else:
            weighted = (design.T * weight).tocsc()
            factor = splu(
                csc_array(weighted @ design),
                permc_spec="MMD_AT_PLUS_A",
                diag_pivot_thresh=0.0,
                options={"SymmetricMode": True},
            )
            # The second step takes away what rounding left of the first.
            for _ in range(2):
                height[unknown] += factor.solve(weighted @ -self._residuals(height))
        return Solved(
            height_m=height,
            residual_m=self._residuals(height),
            degrees_of_freedom=len(self.observed_m) - count,
            column=column,
            design=design,
            cofactor=_Cofactor(factor=factor, count=count),
        )

    def _design(self, column: IndexArray, count: int) -> csc_array:
        rows = np.arange(len(self.observed_m))
        plus = column[self.plus]
        minus = np.where(self.minus >= 0, column[self.minus], -1)
        row = np.concatenate([rows[plus >= 0], rows[minus >= 0]])
        col = np.concatenate([plus[plus >= 0], minus[minus >= 0]])
        sign = np.concatenate([np.ones((plus >= 0).sum()), -np.ones((minus >= 0).sum())])
        return csc_array(coo_array((sign, (row, col)), shape=(len(rows), count)))

    def _residuals(self, height: FloatArray) -> FloatArray:
        below = np.where(self.minus >= 0, height[self.minus], 0.0)
        return np.asarray(height[self.plus] - below - self.observed_m)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cofactor:
    """Columns of the inverse normal matrix, solved for when asked."""

    factor: SuperLU | None
    count: int

    def __call__(self, columns: IndexArray) -> FloatArray:
        """Return the square block of these columns of the inverse, shape (k, k) [m2]."""
        block = np.zeros((len(columns), len(columns)))
        inside = columns >= 0
        if self.factor is None or not inside.any():
            return block
        chosen = columns[inside]
        right = np.zeros((self.count, len(chosen)))
        right[chosen, np.arange(len(chosen))] = 1.0
        block[np.ix_(inside, inside)] = self.factor.solve(right)[chosen]
        return block

    def diagonal(self) -> FloatArray:
        """Return the diagonal of the inverse, shape (unknowns,) [m2]."""
        return np.zeros(0) if self.factor is None else inverse_diagonal(self.factor)

    def pairs(self, first: IndexArray, second: IndexArray) -> FloatArray:
        """Return entries of the inverse for pairs that were observed together, shape (k,) [m2]."""
        if self.factor is None:
            return np.zeros(len(first))
        return inverse_of_pairs(self.factor, first, second)

    def solve(self, right: FloatArray) -> FloatArray:
        """Return the inverse times a column, shape (unknowns,)."""
        return right if self.factor is None else np.asarray(self.factor.solve(right))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """Heights by least squares.

    Parameters
    ----------
    height_m
        Heights, shape (n,) [m].
    residual_m
        Adjusted minus observed, shape (m,) [m].
    degrees_of_freedom
        Observations that a second look could have spared.
    column
        Place of each height among the unknowns, -1 where it was fixed, shape (n,).
    design
        How each observation depends on the unknowns, shape (m, unknowns).
    cofactor
        Forms a block of the inverse of the normal matrix.
    """

    height_m: FloatArray
    residual_m: FloatArray
    degrees_of_freedom: int
    column: IndexArray
    design: csc_array
    cofactor: _Cofactor

    def covariance(self, index: Sequence[int], *, scale: float = 1.0) -> Covariance:
        """Return the joint covariance of chosen heights, times the square of `scale`."""
        columns = self.column[np.asarray(index, dtype=np.intp)]
        return Covariance.from_matrix(self.cofactor(columns) * scale**2)

    def stds_m(self, *, scale: float = 1.0) -> FloatArray:
        """Return the standard error of every height times `scale`, 0 where fixed, (n,) [m]."""
        std = np.zeros(len(self.height_m))
        free = self.column >= 0
        std[free] = scale * np.sqrt(self.cofactor.diagonal()[self.column[free]])
        return std

    def residual_variance_m2(self, std_m: FloatArray) -> FloatArray:
        """Return the variance of each residual, 0 where nothing checks it.

        Parameters
        ----------
        std_m
            Standard errors of the observations, shape (m,) [m].

        Returns
        -------
        numpy.ndarray
            Variances, shape (m,) [m2].

        Notes
        -----
        The variance of a residual is that of its observation less that of the adjusted one.
        """
        if not self.design.nnz:
            return np.square(std_m)
        rows = self.design.tocsr()
        ends = np.diff(rows.indptr)
        first = rows.indices[np.minimum(rows.indptr[:-1], rows.nnz - 1)]
        last = rows.indices[np.maximum(rows.indptr[1:] - 1, 0)]
        one, two = np.flatnonzero(ends >= 1), np.flatnonzero(ends == 2)
        entries = self.cofactor.pairs(
            np.concatenate([first[one], last[two], first[two]]).astype(np.intp),
            np.concatenate([first[one], last[two], last[two]]).astype(np.intp),
        )
        adjusted = np.zeros(len(std_m))
        adjusted[one] = entries[: len(one)]
        adjusted[two] += entries[len(one) : len(one) + len(two)]
        adjusted[two] -= 2.0 * entries[len(one) + len(two) :]
        return np.maximum(np.square(std_m) - adjusted, 0.0)

    def residual_cofactor(self, observation: int, std_m: FloatArray) -> FloatArray:
        """Return the covariance of all residuals with that of one observation, (m,) [m2].

        Parameters
        ----------
        observation
            Position of the observation.
        std_m
            Standard errors of the observations, shape (m,) [m].
        """
        row = self.design.tocsr()[[observation]].toarray().ravel()
        covariance = -np.asarray(self.design @ self.cofactor.solve(row))
        covariance[observation] += std_m[observation] ** 2
        return covariance
