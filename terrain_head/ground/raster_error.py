"""How the errors of a raster's heights hang together from spot to spot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import OURS, Source
from terrain_head.ground.grid import RasterError

FloatArray = NDArray[np.float64]

OKSANEN_SARJAKOSKI = Source(
    key="oksanen-sarjakoski",
    author="Oksanen, Sarjakoski",
    title="Error propagation of DEM-based surface derivatives, abstract",
    year="no year",
)
TRIED_RANGES_M = (0.0, 30.0, 60.0, 120.0)
"""Ranges that are tried where none is known, and the worst kept [m]."""
TRIED = OKSANEN_SARJAKOSKI.at("practical ranges 0, 30, 60, 120 m")
BETWEEN_RANGE_M = 60.0
"""Range with which leveled heights bend a raster where none is known [m]."""
BETWEEN = OURS.at("its doubt is the worst of 0, 30, 60 and 120 m; rods bend it with 60 m")


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorField:
    """The errors of a raster's heights, as far as their variances and covariances go.

    Parameters
    ----------
    std_m
        Standard error of one height as read between the cells [m].
    range_m
        Distance at which the correlation of the slow part has fallen to 5 %; 0 where all of the
        error is noise of the cells [m].
    cell_share
        Share of the variance that is noise of the cells [1].
    cell_m
        Side of a cell [m].

    Notes
    -----
    ``std^2 ((1 - share) exp(-3 d / range) + share k(east / cell) k(north / cell))``. The noise of
    one cell has nothing to do with its neighbour's, but heights are read between cells, so spots
    closer than two cells share some of it: `k` is what bilinear reading leaves, averaged over where
    in its cell the first spot falls, and scaled so that it is 1 at no distance. The datum of the
    raster is not in it.

    Examples
    --------
    >>> field = ErrorField(std_m=0.5, range_m=60.0, cell_share=0.2, cell_m=2.0)
    >>> field.between(np.array([[0.0, 0.0]]), np.array([[0.0, 0.0], [20.0, 0.0]])).round(4)
    array([[0.25  , 0.0736]])
    """

    std_m: float
    range_m: float
    cell_share: float
    cell_m: float

    def between(
        self,
        first_m: FloatArray,
        second_m: FloatArray,
        *,
        first_off_m: ArrayLike = 0.0,
        second_off_m: ArrayLike = 0.0,
    ) -> FloatArray:
        """Return the covariances of the errors at two lists of spots, shape (n, m) [m2].

        Parameters
        ----------
        first_m, second_m
            Spots of the local plane, shape (n, 2) and (m, 2); one without a position shares
            nothing with any [m].
        first_off_m, second_off_m
            How far each may be off on each axis, by itself, shape () or (n,) and (m,) [m].

        Notes
        -----
        Of spots that may be off the slow part is taken at the root of the mean square of their
        distance, ``d^2 + 2 off^2 + 2 off^2``.
        """
        east = np.abs(first_m[:, None, 0] - second_m[None, :, 0])
        north = np.abs(first_m[:, None, 1] - second_m[None, :, 1])
        noise = _shared_reading(east / self.cell_m) * _shared_reading(north / self.cell_m)
        if self.range_m == 0.0:
            return np.asarray(self.std_m**2 * noise)
        off = np.reshape(np.square(first_off_m), (-1, 1)) + np.square(second_off_m)
        apart = np.sqrt(np.square(east) + np.square(north) + 2.0 * off)
        slow = np.exp(-3.0 * np.where(np.isfinite(apart), apart, np.inf) / self.range_m)
        share = self.cell_share
        return np.asarray(self.std_m**2 * ((1.0 - share) * slow + share * noise))


def _shared_reading(apart: FloatArray) -> FloatArray:
    """Return the correlation along one axis of two readings some cells apart, shape as given.

    Notes
    -----
    A linear reading weighs two neighbouring cells; the product of the weights of two readings,
    averaged over where the first falls, is the cubic B-spline. Its middle is 2/3.
    """
    apart = np.where(np.isfinite(apart), apart, 2.0)
    near = 1.0 - 1.5 * apart**2 + 0.75 * apart**3
    far = 0.25 * np.clip(2.0 - apart, 0.0, None) ** 3
    return np.asarray(np.where(apart < 1.0, near, far))


def bending_field(error: RasterError, *, cell_m: float) -> ErrorField | None:
    """Return the field with which leveled heights bend a raster, None where its error is unknown.

    Parameters
    ----------
    error
        How wrong the raster is.
    cell_m
        Side of a cell [m].
    """
    found = tried_fields(error, cell_m=cell_m, ranges_m=(BETWEEN_RANGE_M,))
    return found[0] if found else None


def tried_fields(
    error: RasterError, *, cell_m: float, ranges_m: Sequence[float] = TRIED_RANGES_M
) -> tuple[ErrorField, ...]:
    """Return the fields that the errors may be: one where the range is known, none without error.

    Parameters
    ----------
    error
        How wrong the raster is.
    cell_m
        Side of a cell [m].
    ranges_m
        Ranges that are tried where none is known [m].

    References
    ----------
    Oksanen and Sarjakoski, Error propagation of DEM-based surface derivatives: errors
    without correlation are not the worst case, so several ranges are tried.
    """
    if error.std_m is None:
        return ()
    ranges = ranges_m if error.range_m is None else (error.range_m,)
    return tuple(
        ErrorField(std_m=error.std_m, range_m=range_m, cell_share=error.cell_share, cell_m=cell_m)
        for range_m in ranges
    )
