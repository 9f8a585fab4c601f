"""One datum: the raster is moved onto the known heights, and what is left over is spread."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]


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

    @property
    def shift_m(self) -> float:
        """The one constant by which the raster is moved [m]."""
        return float(self.even @ self.known_minus_raster_m)


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
