"""The joint doubt of the ground: what was leveled, stated, and read off a raster."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.covariance import Covariance
from terrain_head.ground.datum import Hold
from terrain_head.ground.ground import MarkedDoubt
from terrain_head.ground.known_heights import KnownHeights
from terrain_head.ground.raster_error import ErrorField

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

_CHUNK = 20_000
_MOST_TELLING = 200


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroundDoubt:
    """Forms the covariance of the entries of a ground that are asked for.

    Parameters
    ----------
    heights
        Which entries are leveled or stated, and how well.
    raster
        Whether an entry is read off the raster, shape (n,).
    mark_std_m
        Height error that a misplaced mark makes in a raster height, shape (n,) [m].
    points_m
        Positions, shape (n, 2) [m].
    weights
        How each raster entry follows the places that hold the raster, shape (n, m) [1].
    hold
        Those places.
    fields
        What the raster's errors may be: one where their range is known, several where it is not,
        none where nothing is known.
    names
        Names of the places; they are the first entries.
    position_std_m
        How far marks may stand off on each axis, 0 for what is no mark, shape (n,) [m].

    Notes
    -----
    A moved raster height is ``r(x) + sum_j w_j (k_j - r(x_j))``: linear in the raster's errors at
    the point and at the holding places, and in the errors of the known heights, whatever the
    weights; the doubt of the datum is in the terms of the holding places. Heights between rod
    points were not measured: their doubt is unknown (nan).

    A mark that stands off adds what the ground rises from it to its place; and the raster is as
    wrong as it is at the place, so two places share less of its error than their marks would
    (`ErrorField.between`). At a holding place it is the raster under the mark that counts.

    Where several ranges are tried and two entries are asked for, that is kept which is worst for
    their height difference. For more it is the one that is worst for all height differences of the
    site's places together, so that what is drawn hangs neither on which stations are asked for nor
    on how many.
    """

    heights: KnownHeights
    raster: NDArray[np.bool_]
    mark_std_m: FloatArray
    points_m: FloatArray
    weights: FloatArray
    hold: Hold
    fields: tuple[ErrorField, ...]
    names: tuple[str, ...]
    position_std_m: FloatArray

    def __call__(self, index: Sequence[int]) -> Covariance:
        """Return the joint covariance of these entries; own variance nan where not known."""
        asked = np.asarray(index, dtype=np.intp)
        if len(np.unique(asked)) != len(asked):
            raise ValueError("an entry is asked for twice")
        known = self.heights.known[asked]
        if not self.fields or not self.raster[asked].any():
            given = self.heights.covariance_of(asked[known])
            factor = np.zeros((len(asked), given.factor.shape[1]))
            own = np.full(len(asked), np.nan)
            factor[known] = given.factor
            own[known] = given.own
            return Covariance(factor=factor, own=own)
        matrix = self._worst(asked)
        own = np.where(known | self.raster[asked], 0.0, np.nan)
        bad = np.isnan(np.diag(matrix))
        matrix[bad, :] = matrix[:, bad] = 0.0
        own[bad] = np.nan
        return Covariance(factor=Covariance.from_matrix(matrix).factor, own=own)

    def at_worst(self, index: Sequence[int]) -> GroundDoubt:
        """Return the doubt under the one range that is worst for these entries, for all that asks.

        Parameters
        ----------
        index
            Entries whose height differences matter.
        """
        if len(self.fields) < 2:
            return self
        asked = np.asarray(index, dtype=np.intp)
        worst = max(self.fields, key=lambda field: self._unevenness(asked, field))
        return replace(self, fields=(worst,))

    def _worst(self, asked: IndexArray) -> FloatArray:
        worst = self.at_worst(self._telling(asked).tolist())
        return self._matrix(asked, worst.fields[0])

    def _telling(self, asked: IndexArray) -> IndexArray:
        """Return the entries by which a range is judged."""
        if len(asked) <= 2:
            return asked
        site = np.union1d(np.flatnonzero(self.raster[: len(self.names)]), self.hold.entry)
        return site[:_MOST_TELLING] if len(site) > 1 else asked

    def _unevenness(self, asked: IndexArray, field: ErrorField) -> float:
        """Return the summed variance of all height differences among entries [m2]."""
        matrix = self._matrix(asked, field)
        told = ~np.isnan(np.diag(matrix))
        matrix = matrix[np.ix_(told, told)]
        if len(matrix) == 1:
            return float(matrix[0, 0])
        return float(len(matrix) * np.trace(matrix) - matrix.sum())

    def _matrix(self, asked: IndexArray, field: ErrorField) -> FloatArray:
        """Return the asked entries' covariance as that of weighted sums of independent errors."""
        known = self.heights.known[asked]
        knowns = np.union1d(asked[known], self.hold.entry)
        count, holds = len(asked), len(self.hold)
        on_known = np.zeros((count, len(knowns)))
        on_field = np.zeros((count, count + holds))
        of_hold = np.searchsorted(knowns, self.hold.entry)
        rows = np.flatnonzero(self.raster[asked])
        w = self.weights[asked[rows]]
        on_known[rows[:, None], of_hold[None, :]] = w
        on_field[rows, rows] = 1.0
        on_field[rows, count:] = -w
        direct = np.flatnonzero(known)
        on_known[direct, np.searchsorted(knowns, asked[direct])] = 1.0
        at = np.concatenate([asked, self.hold.entry])
        off_m = np.concatenate([self.position_std_m[asked], np.zeros(holds)])
        given = _sandwich(on_known, self.heights.covariance_of(knowns).matrix())
        return np.asarray(given + _sandwich(on_field, self._errors(at, field, off_m=off_m)))

    def _errors(self, entries: IndexArray, field: ErrorField, *, off_m: FloatArray) -> FloatArray:
        """Return the covariance of raster heights as read at entries, marks included [m2]."""
        spots = self.points_m[entries]
        marks = np.diag(np.square(self.mark_std_m[entries]))
        errors = field.between(spots, spots, first_off_m=off_m, second_off_m=off_m)
        # Each is where it is, however far that is from its mark.
        errors[np.diag_indices(len(entries))] = field.std_m**2
        return np.asarray(errors + marks)

    def _at_hold(self, field: ErrorField) -> FloatArray:
        """Return the covariance of what is known minus raster at the holding places [m2]."""
        held = self.hold.entry
        errors = self._errors(held, field, off_m=np.zeros(len(held)))
        return errors + self.heights.covariance_of(held).matrix()

    def marked(self, index: Sequence[int]) -> MarkedDoubt:
        """Return the joint covariance of these entries with what the marks add apart from it.

        Parameters
        ----------
        index
            Entries of the ground, each once.
        """
        asked = np.asarray(index, dtype=np.intp)
        marks = np.flatnonzero(self.mark_std_m > 0)
        follow = np.zeros((len(asked), len(marks)))
        rows = np.flatnonzero(self.raster[asked])
        follow[rows] = asked[rows, None] == marks
        held = np.equal.outer(self.hold.entry, marks)
        follow[rows] -= self.weights[asked[rows]] @ held
        by_mark = follow * self.mark_std_m[marks]
        moved = np.flatnonzero(np.any(by_mark != 0.0, axis=0))
        rightly = replace(self, mark_std_m=np.zeros_like(self.mark_std_m))
        return MarkedDoubt(
            unmoved=rightly(index),
            names=tuple(self.names[entry] for entry in marks[moved]),
            by_mark_m=by_mark[:, moved],
        )

    def shift_std_m(self, even: FloatArray) -> float:
        """Return the standard error of the constant that moved the raster, nan if unknown [m].

        Parameters
        ----------
        even
            Weights of the holding places in it, shape (m,) [1].
        """
        if not self.fields:
            return float("nan")
        found = [even @ self._at_hold(field) @ even for field in self.fields]
        return float(np.sqrt(np.max(found)))

    def std_of(self, index: ArrayLike) -> FloatArray:
        """Return the standard error of many entries without their joint covariance, (n,) [m].

        Parameters
        ----------
        index
            Entries of the ground, shape (n,).

        Notes
        -----
        Where several ranges are tried, each entry's is that of the range which is worst for it.
        """
        asked = np.asarray(index, dtype=np.intp)
        std = np.full(len(asked), np.nan)
        known = self.heights.known[asked]
        if known.any():
            unique, back = np.unique(asked[known], return_inverse=True)
            std[known] = self.heights.covariance_of(unique).std[back]
        rows = np.flatnonzero(self.raster[asked])
        if self.fields and len(rows):
            std[rows] = np.max([self._std(asked[rows], field) for field in self.fields], axis=0)
        return std

    def _std(self, entries: IndexArray, field: ErrorField) -> FloatArray:
        """Return the standard error of raster entries under one range, shape (n,) [m]."""
        at_hold = self._at_hold(field)
        held = self.points_m[self.hold.entry]
        std = np.empty(len(entries))
        for first in range(0, len(entries), _CHUNK):
            part = entries[first : first + _CHUNK]
            w = self.weights[part]
            own = field.std_m**2 + np.square(self.mark_std_m[part])
            off = self.position_std_m[part]
            errors = field.between(self.points_m[part], held, first_off_m=off)
            shared = (w * errors).sum(axis=1)
            carried = ((w @ at_hold) * w).sum(axis=1)
            std[first : first + _CHUNK] = np.sqrt(np.maximum(own - 2 * shared + carried, 0.0))
        return std


def _sandwich(weights: FloatArray, covariance: FloatArray) -> FloatArray:
    """Return the covariance of weighted sums; nan where a used error is not known."""
    lost = np.isnan(np.diag(covariance))
    clean = np.where(np.isnan(covariance), 0.0, covariance)
    result = weights @ clean @ weights.T
    hurt = np.any(weights[:, lost] != 0.0, axis=1)
    result[hurt, hurt] = np.nan
    return np.asarray(result)
