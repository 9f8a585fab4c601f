"""How sure the elevations are, once the residuals are seen."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import chdtri, stdtrit

from terrain_head.base.display import LIKELY
from terrain_head.leveling.allowable import READING_STD_M
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.network import Solved
from terrain_head.leveling.weights import Weights

WORSE_THAN_CLAIMED = 0.05
"""Chance at which readings of the stated error would disagree by more; below it the doubt grows."""
NINE_IN_TEN = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """What the covariance is scaled by, s0, and the reading error that was used [m].

    `likely_factor` is how many standard errors hold nine cases in ten.
    """

    scale: float
    s0: float | None
    reading_std_m: float
    likely_factor: float = LIKELY


def doubt_of(book: LevelBook, solved: Solved, *, weights: Weights) -> Doubt:
    """Return the scale of the covariance, from what was stated and what the residuals say.

    Notes
    -----
    Stated errors are multiplied by s0 only where chi-square finds the readings worse than claimed.
    Where none was stated s0 is the scale, but never less than the rounding of the readings; nine
    cases in ten are then wider than 1.645 standard errors, by Student's distribution with as many
    degrees of freedom: 6.3 of them where one closing is all there is.
    """
    freedom = solved.degrees_of_freedom
    chi_square = solved.chi_square
    s0 = math.sqrt(chi_square / freedom) if freedom > 0 else None
    if weights.stated:
        worse = s0 is not None and chi_square > float(chdtri(freedom, WORSE_THAN_CLAIMED))
        scale = s0 if worse and s0 is not None else 1.0
        return Doubt(scale=scale, s0=s0, reading_std_m=weights.base_m * scale)
    rounding = rounding_m(book)
    scale = max(READING_STD_M if s0 is None else s0, rounding)
    factor = LIKELY
    if s0 is not None and scale > 0:
        student = -float(stdtrit(freedom, (1 - NINE_IN_TEN) / 2))
        factor = max(student * s0, LIKELY * rounding) / scale
    return Doubt(scale=scale, s0=s0, reading_std_m=scale, likely_factor=factor)


def rounding_m(book: LevelBook) -> float:
    """Return the standard error of the readings' own rounding [m].

    The finest figure counts: a spreadsheet writes 1.500 as 1.5.
    """
    finest = min((reading.step_m for reading in book.readings), default=0.0)
    return finest / math.sqrt(12.0)
