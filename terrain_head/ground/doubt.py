"""The joint doubt of the ground: what was leveled, stated, and read off a raster."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.covariance import Covariance
from terrain_head.ground.datum import Hold
from terrain_head.ground.grid import RasterError
from terrain_head.leveling.elevations import Elevations

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

_CHUNK = 20_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroundDoubt:
    """Forms the covariance of the entries of a ground that are asked for.

    Parameters
    ----------
    leveled
        Each entry's position in the level book's points, -1 where none, shape (n,).
    known
        Whether the entry's elevation is leveled or stated, shape (n,).
    raster
        Whether it is read off the raster, shape (n,).
    stated_std_m
        Standard error of a stated elevation, nan where not known, shape (n,) [m].
    mark_std_m
        Height error that a misplaced mark makes in a raster height, shape (n,) [m].
    points_m
        Positions, shape (n, 2) [m].
    weights
        How each raster entry follows the places that hold the raster, shape (n, m) [1].
    hold
        Those places.
    elevations
        What the book came to.
    error
        How wrong the raster is.

    Notes
    -----
    A moved raster height is ``r(x) + sum_j w_j (k_j - r(x_j))``: linear in the raster's errors at
    the point and at the holding places, and in the errors of the known heights. Raster errors are
    one correlated field, ``std^2 exp(-3 d / range)``, independent where no range is known; the
    doubt of the datum is in the terms of the holding places. Heights between rod points were not
    measured: their doubt is unknown (nan).
    """

    leveled: IndexArray
    known: NDArray[np.bool_]
    raster: NDArray[np.bool_]
    stated_std_m: FloatArray
    mark_std_m: FloatArray
    points_m: FloatArray
    weights: FloatArray
    hold: Hold
    elevations: Elevations | None
    error: RasterError

    def __call__(self, index: Sequence[int]) -> Covariance:
        """Return the joint covariance of these entries; own variance nan where not known."""
        asked = np.asarray(index, dtype=np.intp)
        if len(np.unique(asked)) != len(asked):
            raise ValueError("an entry is asked for twice")
        is_raster = self.raster[asked]
        unknown = ~(self.known[asked] | is_raster)
        if not is_raster.any() or self.error.std_m is None:
            known = self._known(asked[self.known[asked]])
            factor = np.zeros((len(asked), known.factor.shape[1]))
            own = np.full(len(asked), np.nan)
            factor[self.known[asked]] = known.factor
            own[self.known[asked]] = known.own
            return Covariance(factor=factor, own=own)
        joint = self._joint(asked)
        matrix = joint.matrix()
        own = np.where(unknown, np.nan, 0.0)
        bad = np.isnan(np.diag(matrix))
        matrix[bad, :] = matrix[:, bad] = 0.0
        own[bad] = np.nan
        return Covariance(factor=Covariance.from_matrix(matrix).factor, own=own)

    def _known(self, entries: IndexArray) -> Covariance:
        """Return the covariance of leveled and stated entries."""
        which = self.leveled[entries]
        in_book = which >= 0
        own = np.square(self.stated_std_m[entries])
        factor = np.zeros((len(entries), 0))
        if self.elevations is not None and in_book.any():
            book = self.elevations.covariance_of([int(n) for n in which[in_book]])
            factor = np.zeros((len(entries), book.factor.shape[1]))
            factor[in_book] = book.factor
            own[in_book] = book.own
        return Covariance(factor=factor, own=own)

    def _joint(self, asked: IndexArray) -> _Linear:
        """Return the asked entries as weighted sums of independent groups of errors."""
        asked_known = asked[self.known[asked]]
        knowns = np.union1d(asked_known, self.hold.entry)
        count, holds = len(asked), len(self.hold)
        on_known = np.zeros((count, len(knowns)))
        on_field = np.zeros((count, count + holds))
        of_hold = np.searchsorted(knowns, self.hold.entry)
        rows = np.flatnonzero(self.raster[asked])
        w = self.weights[asked[rows]]
        on_known[rows[:, None], of_hold[None, :]] = w
        on_field[rows, rows] = 1.0
        on_field[rows, count:] = -w
        direct = np.flatnonzero(self.known[asked])
        on_known[direct, np.searchsorted(knowns, asked[direct])] = 1.0
        at = np.concatenate([asked, self.hold.entry])
        field = self._field(at, at) + np.diag(np.square(self.mark_std_m[at]))
        return _Linear(
            parts=((on_known, self._known(knowns).matrix()), (on_field, field)),
        )

    def _field(self, first: IndexArray, second: IndexArray) -> FloatArray:
        """Return the covariance of the raster's errors between two lists of entries [m2]."""
        std = self.error.std_m or 0.0
        a, b = self.points_m[first], self.points_m[second]
        apart = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
        if self.error.range_m is None:
            return np.asarray(std**2 * (apart == 0.0))
        near = np.where(np.isfinite(apart), apart, np.inf)
        if self.error.range_m == 0.0:
            return np.asarray(std**2 * (near == 0.0))
        return np.asarray(std**2 * np.exp(-3.0 * near / self.error.range_m))

    def shift_std_m(self) -> float:
        """Return the standard error of the mean by which the raster was moved, nan if unknown."""
        held, even = self.hold.entry, self.hold.even
        if self.error.std_m is None:
            return float("nan")
        at_hold = self._field(held, held) + np.diag(np.square(self.mark_std_m[held]))
        return float(np.sqrt(even @ (at_hold + self._known(held).matrix()) @ even))

    def std_of(self, index: ArrayLike) -> FloatArray:
        """Return the standard error of many entries without their joint covariance, (n,) [m]."""
        asked = np.asarray(index, dtype=np.intp)
        std = np.full(len(asked), np.nan)
        known = self.known[asked]
        if known.any():
            unique, back = np.unique(asked[known], return_inverse=True)
            std[known] = self._known(unique).std[back]
        rows = np.flatnonzero(self.raster[asked])
        if self.error.std_m is None or not len(rows):
            return std
        held = self.hold.entry
        at_hold = self._field(held, held) + np.diag(np.square(self.mark_std_m[held]))
        at_hold += self._known(held).matrix()
        for first in range(0, len(rows), _CHUNK):
            part = rows[first : first + _CHUNK]
            w = self.weights[asked[part]]
            own = self.error.std_m**2 + np.square(self.mark_std_m[asked[part]])
            shared = (w * self._field(asked[part], held)).sum(axis=1)
            carried = ((w @ at_hold) * w).sum(axis=1)
            std[part] = np.sqrt(np.maximum(own - 2 * shared + carried, 0.0))
        return std


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Linear:
    """Weighted sums of groups of errors that have nothing to do with each other."""

    parts: tuple[tuple[FloatArray, FloatArray], ...]

    def matrix(self) -> FloatArray:
        return np.asarray(
            np.sum([_sandwich(weights, covariance) for weights, covariance in self.parts], axis=0)
        )


def _sandwich(weights: FloatArray, covariance: FloatArray) -> FloatArray:
    """Return the covariance of weighted sums; nan where a used error is not known."""
    lost = np.isnan(np.diag(covariance))
    clean = np.where(np.isnan(covariance), 0.0, covariance)
    result = weights @ clean @ weights.T
    hurt = np.any(weights[:, lost] != 0.0, axis=1)
    result[hurt, hurt] = np.nan
    return np.asarray(result)
