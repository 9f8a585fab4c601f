"""The heights that were leveled or stated, and their joint doubt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.covariance import Covariance
from terrain_head.leveling.elevations import Elevations

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownHeights:
    """Which entries of a ground are leveled or stated, and how well they are known.

    Parameters
    ----------
    leveled
        Each entry's position in the level book's points, -1 where none, shape (n,).
    known
        Whether the entry's elevation is leveled or stated, shape (n,).
    stated_std_m
        Standard error of a stated elevation, nan where not known, shape (n,) [m].
    elevations
        What the level book came to, None without one.
    """

    leveled: IndexArray
    known: NDArray[np.bool_]
    stated_std_m: FloatArray
    elevations: Elevations | None

    def covariance_of(self, entries: IndexArray) -> Covariance:
        """Return the joint covariance of known entries; own variance nan where not known.

        Parameters
        ----------
        entries
            Entries of the ground, all of them known, shape (k,).
        """
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
