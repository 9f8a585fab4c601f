"""One least-squares problem: every reading, difference and uncertain benchmark at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array, hstack
from scipy.sparse.linalg import splu

from terrain_head.base.covariance import Covariance
from terrain_head.leveling.cofactor import Cofactor

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
    shared_m
        What one standard error of each error that several observations share adds to each of
        them; left out, they share none, shape (m, shared) [m].
    worst_m
        Standard error of each observation beyond `std_m` that no residual is believed to show:
        it is left out of the weights and counted in the covariance of the heights; left out,
        none, shape (m,) [m].

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
    shared_m: FloatArray = field(default_factory=lambda: np.zeros((0, 0)))
    worst_m: FloatArray = field(default_factory=lambda: np.zeros(0))

    def solve(self) -> Solved:
        """Return the heights that least squares gives.

        Notes
        -----
        Minimises the sum of squared residuals over their variances (Gauss-Markov model). Every
        part of the network must hold a fixed or an observed height. An error that observations
        share is an unknown too, observed beforehand as 0 with the standard error 1.
        """
        unknown = np.isnan(self.fixed_m)
        column = np.where(unknown, np.cumsum(unknown) - 1, -1)
        count = int(unknown.sum())
        observations = len(self.observed_m)
        height = np.where(unknown, 0.0, self.fixed_m)
        design = self._design(column, count)
        shared_m = self.shared_m if self.shared_m.size else np.zeros((observations, 0))
        shared = np.zeros(shared_m.shape[1])
        weight = 1.0 / np.square(self.std_m)
        weighted = (design.T * weight).tocsc()
        cofactor = _bordered(weighted, design, shared_m=shared_m, weight=weight)
        # The second step takes away what rounding left of the first.
        for _ in range(2 if count or len(shared) else 0):
            left = -self._residuals(height, shared_m @ shared)
            right = np.concatenate([weighted @ left, shared_m.T @ (weight * left) - shared])
            step = cofactor.solve(right)
            height[unknown] += step[:count]
            shared += step[count:]
        residual = self._residuals(height, shared_m @ shared)
        return Solved(
            height_m=height,
            residual_m=residual,
            shared=shared,
            chi_square=float(weight @ np.square(residual) + shared @ shared),
            degrees_of_freedom=observations - count,
            column=column,
            heights_design=design,
            shared_m=shared_m,
            weight=weight,
            worst_m=self.worst_m if self.worst_m.size else np.zeros(observations),
            cofactor=cofactor,
        )

    def _design(self, column: IndexArray, count: int) -> csc_array:
        rows = np.arange(len(self.observed_m))
        plus = column[self.plus]
        minus = np.where(self.minus >= 0, column[self.minus], -1)
        row = np.concatenate([rows[plus >= 0], rows[minus >= 0]])
        col = np.concatenate([plus[plus >= 0], minus[minus >= 0]])
        sign = np.concatenate([np.ones((plus >= 0).sum()), -np.ones((minus >= 0).sum())])
        return csc_array(coo_array((sign, (row, col)), shape=(len(rows), count)))

    def _residuals(self, height: FloatArray, added: FloatArray) -> FloatArray:
        below = np.where(self.minus >= 0, height[self.minus], 0.0)
        return np.asarray(height[self.plus] - below + added - self.observed_m)


def _bordered(
    weighted: csc_array, design: csc_array, *, shared_m: FloatArray, weight: FloatArray
) -> Cofactor:
    """Return the inverse of the normal matrix, what is shared at its border."""
    count, wide = design.shape[1], shared_m.shape[1]
    factor = None
    if count:
        factor = splu(
            csc_array(weighted @ design),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
    border = np.asarray(weighted @ shared_m)
    reach = border if factor is None or not wide else np.asarray(factor.solve(border))
    corner = np.eye(wide) + shared_m.T @ (weight[:, None] * shared_m) - border.T @ reach
    return Cofactor(
        factor=factor,
        count=count,
        reach=reach,
        shared=np.linalg.inv(corner),
    )


_BLOCK = 250


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """Heights by least squares.

    Parameters
    ----------
    height_m
        Heights, shape (n,) [m].
    residual_m
        Adjusted minus observed, shape (m,) [m].
    shared
        What the errors that observations share came to, in their standard errors, shape
        (shared,).
    chi_square
        Sum of the squared residuals over their variances, and of the squared shared errors.
    degrees_of_freedom
        Observations that a second look could have spared.
    column
        Place of each height among the unknowns, -1 where it was fixed, shape (n,).
    heights_design, shared_m
        How each observation depends on the unknown heights, shape (m, unknowns), and on the
        shared errors, shape (m, shared) [m].
    weight
        One over the variance of each observation, shape (m,).
    worst_m
        Standard error of each observation that is counted in the covariance only, (m,) [m].
    cofactor
        Solves with the normal matrix of heights and shared errors.
    """

    height_m: FloatArray
    residual_m: FloatArray
    shared: FloatArray
    chi_square: float
    degrees_of_freedom: int
    column: IndexArray
    heights_design: csc_array
    shared_m: FloatArray
    weight: FloatArray
    worst_m: FloatArray
    cofactor: Cofactor

    @property
    def design(self) -> csc_array:
        """How each observation depends on heights and shared errors, (m, unknowns + shared)."""
        if not self.shared_m.shape[1]:
            return self.heights_design
        return csc_array(hstack([self.heights_design, csc_array(self.shared_m)]))

    def covariance(self, index: Sequence[int], *, scale: float = 1.0) -> Covariance:
        """Return the joint covariance of chosen heights, that of the weights times `scale` squared.

        Parameters
        ----------
        index
            Positions of the heights.
        scale
            How much worse the observations proved than claimed.
        """
        columns = self.column[np.asarray(index, dtype=np.intp)]
        block = self.cofactor.block(columns) * scale**2
        if self.worst_m.any():
            hang = self._hanging(columns)
            block += hang.T @ hang
        return Covariance.from_matrix(block)

    def _hanging(self, columns: IndexArray) -> FloatArray:
        """Return what the worst of each observation does to some heights, shape (m, k) [m]."""
        onto = self._onto(self.cofactor.columns(columns))
        return np.asarray((self.worst_m * self.weight)[:, None] * onto)

    def _onto(self, found: FloatArray) -> FloatArray:
        heights = self.heights_design.shape[1]
        return np.asarray(self.heights_design @ found[:heights] + self.shared_m @ found[heights:])

    def stds_m(self, *, scale: float = 1.0) -> FloatArray:
        """Return the standard error of every height, 0 where fixed, shape (n,) [m]."""
        std = np.zeros(len(self.height_m))
        selected = self.cofactor.selected()
        if selected is None:
            return std
        reach = self.cofactor.reach
        variance = selected.variances() + ((reach @ self.cofactor.shared) * reach).sum(axis=1)
        variance *= scale**2
        if self.worst_m.any():
            for start in range(0, len(variance), _BLOCK):
                some = np.arange(start, min(start + _BLOCK, len(variance)))
                variance[some] += np.square(self._hanging(some)).sum(axis=0)
        free = self.column >= 0
        std[free] = np.sqrt(variance[self.column[free]])
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
        adjusted = self._adjusted_variance()
        beside = self.shared_m - self.heights_design @ self.cofactor.reach
        adjusted += ((beside @ self.cofactor.shared) * beside).sum(axis=1)
        return np.maximum(np.square(std_m) - adjusted, 0.0)

    def _adjusted_variance(self) -> FloatArray:
        """Return the variance of each adjusted observation without shared errors, (m,) [m2]."""
        adjusted = np.zeros(len(self.residual_m))
        selected = self.cofactor.selected()
        if selected is None or not self.heights_design.nnz:
            return adjusted
        rows = self.heights_design.tocsr()
        ends = np.diff(rows.indptr)
        one, two = np.flatnonzero(ends >= 1), np.flatnonzero(ends == 2)
        held = rows.indices.astype(np.intp)
        last = held[rows.indptr[two] + 1]
        variance = selected.variances()
        adjusted[one] = variance[held[rows.indptr[one]]]
        pairs = selected.of_pairs(held[rows.indptr[two]], last)
        adjusted[two] += variance[last] - 2.0 * pairs
        return adjusted

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
        covariance = -self._onto(self.cofactor.solve(row))
        covariance[observation] += std_m[observation] ** 2
        return covariance
