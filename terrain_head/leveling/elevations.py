"""What a level book comes to: elevations, their covariance, and how well the book closes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.citation import Citation
from terrain_head.base.covariance import Covariance

FloatArray = NDArray[np.float64]


class CovarianceSource(Protocol):
    """Forms the joint covariance of the points asked for, and of no more."""

    def __call__(self, index: Sequence[int]) -> Covariance:
        """Return the covariance of the points with these positions in the list of names."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Misclosure:
    """What a run of levels was out by where it came to a known elevation.

    Parameters
    ----------
    start, end
        The known points; the same name for a loop.
    computed_minus_known_m
        Elevation carried through the run, unadjusted, minus the known one [m].
    allowable_m
        The most that this instrument and these set-ups explain, nine times in ten [m].
    setups
        Number of set-ups of the run.
    length_m
        Length of the run where all sight distances are written, else None [m].
    rule
        How `allowable_m` came about, or the published rule.
    holds
        Whether the misclosure is within it.
    """

    start: str
    end: str
    computed_minus_known_m: float
    allowable_m: float
    setups: int
    length_m: float | None
    rule: str
    citation: Citation
    holds: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Elevations:
    """Elevations of the points of one or more level books, by least squares.

    Parameters
    ----------
    names
        Points in order of first sight.
    elevation_m
        Adjusted elevations, shape (n,) [m].
    by_setups_m
        Elevations by the hand rule (misclosure shared by set-ups, or by distance), nan where the
        rule does not apply, shape (n,) [m].
    as_read_m
        Elevations carried through the book unadjusted, nan where not reached, shape (n,) [m].
    known
        Whether the elevation was given, shape (n,).
    covariance_of
        Forms the joint covariance of chosen points.
    misclosures
        One for each run that came to a known elevation.
    residuals_m
        Adjusted minus observed, one per observation, in the order of the book [m].
    s0
        A-posteriori standard deviation of unit weight; None without redundancy.
    degrees_of_freedom
        Redundant observations.
    reading_std_m
        Standard error of a rod reading that was used [m].
    datum
        Name of the datum: the known points it hangs on.
    assumed_datum
        Whether the first point was called 100 for want of any known elevation.
    hanging
        Points whose elevation hangs on a single reading that nothing checks.
    """

    names: tuple[str, ...]
    elevation_m: FloatArray
    by_setups_m: FloatArray
    as_read_m: FloatArray
    known: NDArray[np.bool_]
    covariance_of: CovarianceSource
    misclosures: tuple[Misclosure, ...]
    residuals_m: FloatArray
    s0: float | None
    degrees_of_freedom: int
    reading_std_m: float
    datum: str
    assumed_datum: bool
    hanging: tuple[str, ...]

    def index(self, name: str) -> int:
        """Return the position of a point in the list of names.

        Raises
        ------
        KeyError
            If the book has no such point.
        """
        try:
            return self.names.index(name)
        except ValueError:
            raise KeyError(name) from None

    def of(self, name: str) -> float:
        """Return the adjusted elevation of a point [m]."""
        return float(self.elevation_m[self.index(name)])

    def rise(self, start: str, end: str) -> tuple[float, float]:
        """Return how much higher `end` is than `start`, and its standard error [m]."""
        first, last = self.index(start), self.index(end)
        if first == last:
            return 0.0, 0.0
        joint = self.covariance_of([first, last])
        rise = float(self.elevation_m[last] - self.elevation_m[first])
        return rise, joint.std_of_difference(0, 1)
