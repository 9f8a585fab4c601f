"""The joint doubt of several numbers, positive semidefinite by construction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Covariance:
    """A covariance matrix kept as a factor and a diagonal: ``factor @ factor.T + diag(own)``.

    Parameters
    ----------
    factor
        What the entries share, shape (n, k), in the unit of the entries [m].
    own
        Variance that each entry has for itself, shape (n,) [m2].

    Examples
    --------
    >>> shared = Covariance(factor=np.array([[0.3], [0.3]]), own=np.array([0.01, 0.01]))
    >>> round(shared.std_of_difference(0, 1), 4)
    0.1414
    """

    factor: FloatArray
    own: FloatArray

    def __post_init__(self) -> None:
        factor = np.array(self.factor, dtype=np.float64)
        own = np.array(self.own, dtype=np.float64)
        if factor.ndim != 2 or own.shape != (factor.shape[0],):
            raise ValueError(f"factor (n, k) and own (n,) do not fit: {factor.shape}, {own.shape}")
        if np.any(own < 0):
            raise ValueError("a variance is never negative")
        factor.flags.writeable = False
        own.flags.writeable = False
        object.__setattr__(self, "factor", factor)
        object.__setattr__(self, "own", own)

    def __len__(self) -> int:
        return len(self.own)

    @classmethod
    def from_matrix(cls, matrix: ArrayLike) -> Covariance:
        """Return the covariance of a symmetric matrix, its rounding noise below zero cut off.

        Notes
        -----
        A matrix that has a triangular root takes that: some ten times sooner than its eigenvalues,
        which serve only one that is singular but for rounding.
        """
        symmetric = np.asarray(matrix, dtype=np.float64)
        used = np.diag(symmetric) != 0.0
        factor = np.zeros((len(symmetric), int(used.sum())))
        try:
            factor[used] = np.linalg.cholesky(symmetric[np.ix_(used, used)])
        except np.linalg.LinAlgError:
            return cls._from_eigenvalues(symmetric)
        return cls(factor=factor, own=np.zeros(len(symmetric)))

    @classmethod
    def _from_eigenvalues(cls, symmetric: FloatArray) -> Covariance:
        values, vectors = np.linalg.eigh((symmetric + symmetric.T) / 2)
        keep = values > max(values.max(initial=0.0), 0.0) * 1e-14
        factor = vectors[:, keep] * np.sqrt(values[keep])
        return cls(factor=factor, own=np.zeros(len(symmetric)))

    @classmethod
    def independent(cls, std: ArrayLike) -> Covariance:
        """Return the covariance of entries that share nothing, from their standard errors."""
        own = np.square(np.asarray(std, dtype=np.float64))
        return cls(factor=np.zeros((len(own), 0)), own=own)

    @property
    def std(self) -> FloatArray:
        """Standard error of each entry, shape (n,) [m]."""
        return np.asarray(np.sqrt(np.square(self.factor).sum(axis=1) + self.own))

    def matrix(self) -> FloatArray:
        """Return the whole matrix, shape (n, n) [m2]."""
        return np.asarray(self.factor @ self.factor.T + np.diag(self.own))

    def take(self, index: ArrayLike) -> Covariance:
        """Return the joint covariance of the entries asked for; each at most once."""
        chosen = np.asarray(index, dtype=np.intp)
        if len(np.unique(chosen)) != len(chosen):
            raise ValueError("an entry is asked for twice: its own variance would be counted apart")
        return Covariance(factor=self.factor[chosen], own=self.own[chosen])

    def std_of_difference(self, first: int, second: int) -> float:
        """Return the standard error of entry `first` minus entry `second` [m]."""
        if first == second:
            return 0.0
        shared = self.factor[first] - self.factor[second]
        return float(np.sqrt(shared @ shared + self.own[first] + self.own[second]))

    def std_of_sum(self, weights: ArrayLike) -> float:
        """Return the standard error of a weighted sum of the entries, weights of shape (n,) [m]."""
        w = np.asarray(weights, dtype=np.float64)
        shared = w @ self.factor
        return float(np.sqrt(shared @ shared + np.square(w) @ self.own))
