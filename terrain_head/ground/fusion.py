"""Raster and rod fused: a raster's heights, given the leveled heights that stand on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve
from scipy.stats import chi2

from terrain_head.ground.raster_error import ErrorField

FloatArray = NDArray[np.float64]

_LEAST_VARIANCE_M2 = 1e-12
_CHUNK = 4_000
LEAST_AGREEMENT = 0.05
"""Chance below which what is left over is no longer taken for chance [1]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fusion:
    """A raster conditioned on the places whose height is known.

    Parameters
    ----------
    points_m
        Spots of the places that hold the raster, shape (m, 2) [m].
    known_minus_raster_m
        Known minus raster height at each, shape (m,) [m].
    given_m2
        Covariance of those differences that the raster's own errors have no part in: that of the
        known heights, and of marks that are not where the rod stood, shape (m, m) [m2].
    field
        The raster's own errors.

    Notes
    -----
    Height at a spot is raster plus one unknown constant (the datum) less the raster's error there.
    The differences at the holding places are that constant less the error at them. Generalised
    least squares gives the constant; the error elsewhere follows as the best linear estimate
    (a Gaussian process with an unknown mean; kriging to a geographer):
    ``weights = c' S^-1 + (1 - c' S^-1 1) g'``, with `S` the covariance of the differences, `c`
    that between the spot and the places, ``g = S^-1 1 / (1' S^-1 1)`` the weights of the constant.
    The weights of a spot sum to 1, so a constant added to the raster changes nothing.

    Examples
    --------
    >>> fusion = Fusion(
    ...     points_m=np.array([[0.0, 0.0], [90.0, 0.0]]),
    ...     known_minus_raster_m=np.array([100.2, 99.8]),
    ...     given_m2=np.zeros((2, 2)),
    ...     field=ErrorField(std_m=0.3, range_m=60.0, cell_share=0.1, cell_m=1.0),
    ... )
    >>> spots = np.array([[0.0, 0.0], [20.0, 0.0], [45.0, 0.0], [900.0, 0.0]])
    >>> weights, share = fusion.follow(spots)
    >>> (weights @ fusion.known_minus_raster_m).round(3)
    array([100.2  , 100.061, 100.   , 100.   ])
    >>> share.round(2)
    array([1.  , 0.11, 0.02, 0.  ])
    """

    points_m: FloatArray
    known_minus_raster_m: FloatArray
    given_m2: FloatArray
    field: ErrorField

    def __len__(self) -> int:
        return len(self.points_m)

    def _covariance(self, field: ErrorField) -> FloatArray:
        """Return the covariance of the differences at the holding places, shape (m, m) [m2]."""
        return field.between(self.points_m, self.points_m) + self.given_m2

    def solve(self, right: FloatArray) -> FloatArray:
        """Return the inverse of the differences' covariance times vectors, shape as given.

        Parameters
        ----------
        right
            Vectors, shape (m,) or (m, n) [1].
        """
        covariance = self._covariance(self.field)
        # Two places on one spot of the raster, leveled without error, would make it singular.
        covariance[np.diag_indices(len(self))] += _LEAST_VARIANCE_M2
        return np.asarray(cho_solve(cho_factor(covariance), right))

    @property
    def even(self) -> FloatArray:
        """Weights of the places in the constant, shape (m,) [1]."""
        leaning = self.solve(np.ones(len(self)))
        return np.asarray(leaning / leaning.sum())

    @property
    def shift_m(self) -> float:
        """The constant by which the raster is moved [m]."""
        return float(self.even @ self.known_minus_raster_m)

    @property
    def left_over_m(self) -> FloatArray:
        """Known height minus moved raster at each place, shape (m,) [m]."""
        return np.asarray(self.known_minus_raster_m - self.shift_m)

    def shift_std_m(self, field: ErrorField) -> float:
        """Return the standard error of the constant, were the raster's errors such a field [m]."""
        even = self.even
        return float(np.sqrt(np.maximum(even @ self._covariance(field) @ even, 0.0)))

    def follow(self, spots_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return how heights at spots follow the holding places.

        Parameters
        ----------
        spots_m
            Spots of the local plane, shape (n, 2) [m].

        Returns
        -------
        tuple
            Weights of what is known minus raster at the places, shape (n, m); and which share of
            the variance of the raster's error the places take away, shape (n,) [1].
        """
        even, least = self.even, max(self.field.std_m**2, _LEAST_VARIANCE_M2)
        weights = np.empty((len(spots_m), len(self)))
        share = np.empty(len(spots_m))
        for first in range(0, len(spots_m), _CHUNK):
            part = slice(first, first + _CHUNK)
            shared = self.field.between(spots_m[part], self.points_m)
            leaning = self.solve(shared.T).T
            weights[part] = leaning + (1.0 - leaning.sum(axis=1))[:, None] * even
            share[part] = (leaning * shared).sum(axis=1) / least
        return weights, share


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """Whether raster and rod differ by no more than their errors explain.

    Parameters
    ----------
    chi_square
        Weighted sum of the squares of what is left over [1].
    degrees_of_freedom
        Places that hold the raster, less one for the constant.
    chance
        Chance of so much or more being left over, were the errors as claimed [1].
    """

    chi_square: float
    degrees_of_freedom: int
    chance: float

    @property
    def holds(self) -> bool:
        """Whether the raster is as good as claimed, as far as the rod can tell."""
        return self.chance >= LEAST_AGREEMENT

    @property
    def worse_by(self) -> float:
        """By what the claimed error is too small: 1 unless it is proven so, never less [1]."""
        if self.holds or not self.degrees_of_freedom:
            return 1.0
        return float(np.sqrt(max(self.chi_square / self.degrees_of_freedom, 1.0)))


def agreement_of(fusion: Fusion, *, fields: tuple[ErrorField, ...]) -> Agreement:
    """Return how well a raster agrees with the rod, under that of some fields that favours it most.

    Parameters
    ----------
    fusion
        The raster and its holding places.
    fields
        What the raster's errors may be.

    Notes
    -----
    With the constant estimated under each field, the sum of the weighted squares is chi-square
    distributed with one degree less than places, were the errors normal and as large as claimed.
    """
    found = [_agreement(fusion, field) for field in fields]
    return max(found, key=lambda one: one.chance)


def _agreement(fusion: Fusion, field: ErrorField) -> Agreement:
    under = Fusion(
        points_m=fusion.points_m,
        known_minus_raster_m=fusion.known_minus_raster_m,
        given_m2=fusion.given_m2,
        field=field,
    )
    left_over = under.left_over_m
    squares = float(left_over @ under.solve(left_over))
    freedom = len(fusion) - 1
    chance = float(chi2.sf(squares, freedom)) if freedom else 1.0
    return Agreement(chi_square=squares, degrees_of_freedom=freedom, chance=chance)
