"""What a level book comes to: elevations, their covariance, and how well the book closes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.citation import Citation
from terrain_head.base.covariance import Covariance
from terrain_head.base.display import LIKELY
from terrain_head.leveling.book import BookFact, BookRoute, BookRow
from terrain_head.leveling.suspect import NextSight, Suspect

FloatArray = NDArray[np.float64]

_BLOCK = 250


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


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One row of the book, worked out as by hand; nan where a figure does not apply.

    Parameters
    ----------
    row
        The row of the book.
    level_m
        Elevation of the line of sight after its backsight, as read [m].
    as_read_m, by_setups_m
        Elevation of the point at this row, as read and after sharing out by rule [m].
    given
        Whether the elevation of the point was known.
    """

    row: BookRow
    level_m: float
    as_read_m: float
    by_setups_m: float
    given: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PageCheck:
    """The check of one unbroken chain: it proves the arithmetic, not the survey.

    Parameters
    ----------
    file
        Name of the book as shown.
    first_line, last_line
        Lines of the chain's first and last reading.
    sum_bs_m, sum_fs_m
        Sums of its backsights and foresights as written [m].
    first_m, last_m
        First and last elevation, as read; as worked by hand where a figure of the hand is wrong
        and both are written [m].
    holds
        Whether the sums' difference equals it.
    first_wrong_line
        First line where the figure worked by hand leaves the book's, None if none does.
    worked_m, right_m
        The hand's figure in that line and the book's, nan if none is wrong [m].
    """

    file: str
    first_line: int
    last_line: int
    sum_bs_m: float
    sum_fs_m: float
    first_m: float
    last_m: float
    holds: bool
    first_wrong_line: int | None = None
    worked_m: float = math.nan
    right_m: float = math.nan

    @property
    def last_minus_first_m(self) -> float:
        """Last elevation minus first [m]."""
        return self.last_m - self.first_m


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
        Adjusted minus observed, the latter less what was taken off for the instrument and the
        earth's curve: the book's readings, then its height differences, then known
        elevations with a standard error, each in the order of the book [m].
    s0
        A-posteriori standard deviation of unit weight; None without redundancy. Where no error
        was stated every observation has the weight 1 and it is in metres.
    degrees_of_freedom
        Redundant observations.
    reading_std_m
        Standard error of a rod reading that was used [m].
    datum
        Name of the datum: the known points it hangs on.
    assumed_datum
        Whether the first point was called 100 for want of any known elevation.
    hanging
        Points whose elevation hangs on a single reading that nothing checks: were that reading
        wrong, nothing in the book would show it.
    routes
        Routes of the book with level stations, those taped along the ground reduced.
    sheet
        The book's rows, worked out as by hand.
    page_checks
        One for each unbroken chain of set-ups.
    suspects
        Blunders that the readings betray, the largest in standard errors first.
    first_check
        The one sight that would check most where nothing is checked, else None.
    likely_factor
        Half width of the range that holds nine cases in ten, in standard errors: 1.6449, but
        Student's where the scale comes from few residuals alone.
    reading_stated
        Whether the reading error was stated; otherwise it comes from the residuals, or was taken.
    facts
        What the person must know, the reader's facts first.
    stds_of_all
        Forms the standard errors of all points at once, None where they come from `covariance_of`.
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
    routes: tuple[BookRoute, ...] = ()
    sheet: tuple[SheetRow, ...] = ()
    page_checks: tuple[PageCheck, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    first_check: NextSight | None = None
    likely_factor: float = LIKELY
    reading_stated: bool = True
    facts: tuple[BookFact, ...] = ()
    stds_of_all: Callable[[], FloatArray] | None = None

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

    def std_m(self) -> FloatArray:
        """Return the standard error of every elevation, shape (n,) [m]."""
        if self.stds_of_all is not None:
            return self.stds_of_all()
        count = len(self.names)
        blocks = [range(start, min(start + _BLOCK, count)) for start in range(0, count, _BLOCK)]
        return np.concatenate([self.covariance_of(block).std for block in blocks])

    def rise(self, start: str, end: str) -> tuple[float, float]:
        """Return how much higher `end` is than `start`, and its standard error [m]."""
        first, last = self.index(start), self.index(end)
        if first == last:
            return 0.0, 0.0
        joint = self.covariance_of([first, last])
        rise = float(self.elevation_m[last] - self.elevation_m[first])
        return rise, joint.std_of_difference(0, 1)
