"""One datum: the raster is moved onto the known heights, and bent to them where they are near."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.ground.courses import Path
from terrain_head.ground.fusion import Agreement, Fusion, agreement_of
from terrain_head.ground.grid import RasterError
from terrain_head.ground.raster_error import ErrorField, bending_field, tried_fields

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

NOTICED = 0.1
"""A raster height is called fused where the known heights near it take away this share of the
variance of the raster's error, or more; our choice [1]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hold:
    """Places that hold the raster on the datum: those with a known and a raster height.

    Parameters
    ----------
    entry
        Their entries in the ground, shape (m,).
    known_minus_raster_m
        Known minus raster height at each, shape (m,) [m].
    """

    entry: IndexArray
    known_minus_raster_m: FloatArray

    def __len__(self) -> int:
        return len(self.entry)

    @property
    def even(self) -> FloatArray:
        """Weights that move a raster height by the mean of all, shape (m,) [1]."""
        return np.full(len(self), 1 / max(len(self), 1))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moved:
    """How the raster follows the places that hold it.

    Parameters
    ----------
    even
        Weights of those places in the one constant by which the raster is moved, shape (m,) [1].
    weights
        The same for the moved height of each entry of the ground, shape (n, m) [1].
    fused
        Whether the known heights near an entry bend the raster noticeably there, shape (n,).
    fields
        What the raster's errors may be; none where nothing is known of them.
    agreement
        Whether raster and rod agree within their errors, None where that can't be said.
    """

    even: FloatArray
    weights: FloatArray
    fused: BoolArray
    fields: tuple[ErrorField, ...] = ()
    agreement: Agreement | None = None


def fuse(
    hold: Hold, *, points_m: FloatArray, given_m2: FloatArray, error: RasterError, cell_m: float
) -> Moved | None:
    """Return the raster fused with the known heights, None where nothing is known of its error.

    Parameters
    ----------
    hold
        The places that hold it.
    points_m
        Positions of all entries of the ground, shape (n, 2) [m].
    given_m2
        Covariance of known minus raster height that the raster's own errors have no part in; nan
        where a known height has no known error, shape (m, m) [m2].
    error
        How wrong the raster is.
    cell_m
        Side of its cell [m].

    Notes
    -----
    A height stated without an error counts as exact while the raster is bent. Where the rods prove
    the raster worse than claimed (chi-square, 5 %), its error is multiplied by the root of
    chi-square over the degrees of freedom, and never made smaller; heights are not touched by that.
    """
    field = bending_field(error, cell_m=cell_m)
    fields = tried_fields(error, cell_m=cell_m)
    count = len(points_m)
    if field is None:
        return None
    if not len(hold):
        return Moved(
            even=hold.even,
            weights=np.zeros((count, 0)),
            fused=np.zeros(count, dtype=np.bool_),
            fields=fields,
        )
    fusion = Fusion(
        points_m=points_m[hold.entry],
        known_minus_raster_m=hold.known_minus_raster_m,
        given_m2=np.nan_to_num(given_m2),
        field=field,
    )
    agreement = None
    if not np.isnan(given_m2).any():
        agreement = agreement_of(fusion, fields=fields)
        fields = tuple(replace(one, std_m=one.std_m * agreement.worse_by) for one in fields)
    weights, share = fusion.follow(points_m)
    return Moved(
        even=fusion.even,
        weights=weights,
        fused=share >= NOTICED,
        fields=fields,
        agreement=agreement,
    )


def spread(
    hold: Hold,
    *,
    points_m: FloatArray,
    named: int,
    paths: Sequence[Path],
    of_path: Sequence[IndexArray],
    beside: Sequence[list[tuple[float, int]]],
) -> Moved:
    """Return the raster moved and spread along the routes: the rule where its error is not known.

    Parameters
    ----------
    hold
        The places that hold it.
    points_m
        Positions of all entries of the ground, shape (n, 2) [m].
    named
        How many of them are places; they come first.
    paths, of_path
        The routes, and the entries of their stations.
    beside
        Holding places that stand beside each route: station and number among those that hold.
    """
    rule = Spread(hold, len(points_m))
    rule.settle(np.arange(named))
    for path, entry, near in zip(paths, of_path, beside, strict=True):
        rule.along(entry, path.station_m, near)
    nowhere = np.zeros(len(points_m), dtype=np.bool_)
    return Moved(even=hold.even, weights=rule.weights, fused=nowhere)


class Spread:
    """Weights with which each entry's raster height follows the places that hold it.

    The moved height of an entry is its raster height plus its weights times what is known minus
    raster at the holding places. At a holding place all weight is its own, so nothing is left
    over there; elsewhere each place carries the same, which is the one constant. Between, along a
    route, weights run straight from the one to the other: no step anywhere.

    Parameters
    ----------
    hold
        The places that hold.
    count
        Number of entries of the ground.
    """

    def __init__(self, hold: Hold, count: int) -> None:
        self.weights = np.tile(hold.even, (count, 1))
        self.settled = np.zeros(count, dtype=np.bool_)
        self.weights[hold.entry] = np.eye(len(hold))
        self.settled[hold.entry] = True

    def settle(self, entries: IndexArray) -> None:
        """Fix the weights of entries (named places) as they stand."""
        self.settled[entries] = True

    def along(
        self, entries: IndexArray, station_m: ArrayLike, beside: list[tuple[float, int]]
    ) -> None:
        """Spread the weights along a route.

        Parameters
        ----------
        entries
            Entries of its stations, shape (n,).
        station_m
            Their stations, rising, shape (n,) [m].
        beside
            Holding places that stand beside the route: station and number among those that hold.

        Notes
        -----
        Entries that an earlier route shares keep what they were given there: they are knots here.
        """
        station = np.asarray(station_m, dtype=np.float64)
        here = self.settled[entries]
        knots = np.concatenate([station[here], [at for at, _ in beside]])
        own = np.eye(self.weights.shape[1])[[number for _, number in beside]]
        values = np.concatenate([self.weights[entries[here]], own])
        order = np.argsort(knots, kind="stable")
        knots, values = knots[order], values[order]
        free = entries[~here]
        if len(knots) and len(free):
            at = np.clip(station[~here], knots[0], knots[-1])
            after = np.clip(np.searchsorted(knots, at), 1, max(len(knots) - 1, 1))
            after = np.minimum(after, len(knots) - 1)
            before = np.maximum(after - 1, 0)
            span = knots[after] - knots[before]
            part = np.divide(at - knots[before], span, out=np.zeros_like(at), where=span > 0)
            self.weights[free] = values[before] + (values[after] - values[before]) * part[:, None]
        self.settled[free] = True
