"""Which observations of a network stand out, and which of them nothing tells apart."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri, stdtr

from terrain_head.leveling.network import Solved

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

FALSE_ALARM = 0.01
"""Chance that a book without a blunder is said to have one; ours."""
SURE = 3.0
"""An observation is cleared where a blunder in it explains the residuals worse than one in the
worst by the square of this; once in some seven hundred times the guilty one is cleared; ours."""
AKIN = 0.5
"""Correlation of two statistics from which on a blunder in one may be taken for one in the other;
ours."""
MOST = 5
"""The most blunders that are looked for in one book; ours."""
_NOTHING = 1e-7  # part of an observation's variance below which nothing checks it
_SAME = 1e-6
_EXACT = 1e-6  # a book that closes to the last figure still leaves what rounding leaves
_REST_TELLS = 3
_PART = 4  # where the residuals give the scale no more than this part of them is left out
_WORSE = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """What is taken for the error of an observation of unit weight before the residuals are seen.

    Parameters
    ----------
    std
        Standard error of unit weight: about 1 where errors were stated, else metres.
    worth
        How many redundant observations that claim is worth; inf where it was stated.
    """

    std: float
    worth: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outlier:
    """A blunder among the observations of a network.

    Parameters
    ----------
    tied
        Observations of which one is wrong, in their order, shape (k,).
    size_m
        By how much each is wrong if it is that one, observed minus true, shape (k,) [m].
    size_std_m
        Standard error of the size of the one that fits best [m].
    strength
        Size over its standard error.
    everything
        Whether no checked observation is cleared.
    """

    tied: IndexArray
    size_m: FloatArray
    size_std_m: float
    strength: float
    everything: bool


def outliers(solved: Solved, std_m: FloatArray, *, claim: Claim) -> tuple[Outlier, ...]:
    """Return the observations that stand out, the worst first.

    Parameters
    ----------
    solved
        The adjusted network.
    std_m
        Standard errors of its observations, shape (m,) [m].
    claim
        How far they are believed.

    Returns
    -------
    tuple of Outlier
        At most five.

    Notes
    -----
    The statistic of an observation is its residual over the residual's own standard error. The
    worst is given a free error of its own, which is the same as leaving it out, and the search
    goes on; the last step that chance does not explain is the number of blunders, so that one
    blunder does not hide another. Observations whose statistics are fully correlated have the
    same statistic and are one test: the level is shared among as many tests as there are different
    statistics. Where no error was stated, the claim and the residuals that are left give the
    scale together, by Student's distribution.

    References
    ----------
    W. Baarda, A Testing Procedure for Use in Geodetic Networks, 1968 (from memory): the statistic
    and its correlation. B. Rosner, Percentage Points for a Generalized ESD Many-Outlier Procedure,
    1983 (from memory): the number of blunders from the last step that stands out.
    """
    freedom = solved.degrees_of_freedom
    if freedom < 1:
        return ()
    first = _Standing.of(solved, std_m)
    tests = _tests(first, solved)
    columns: list[tuple[int, FloatArray]] = []
    scales: list[float] = []
    found = 0
    now = first
    while now.freedom > 0 and len(columns) < MOST and now.checked.any():
        worst = now.worst
        column = solved.residual_cofactor(worst, std_m)
        columns.append((worst, column))
        statistic = math.sqrt(now.squares[worst])
        now = first.without(columns)
        scale, dof = _scale(now, claim)
        scales.append(scale)
        enough = math.isinf(dof) or len(columns) <= max(1, first.freedom // _PART)
        if enough and 2.0 * float(_tail(statistic / scale, dof)) * tests <= FALSE_ALARM:
            found = len(columns)
    chosen = columns[:found]
    return tuple(
        _outlier(
            first.without([*chosen[:place], *chosen[place + 1 :]]),
            first.without([*chosen[:place], *chosen[place + 1 :], chosen[place]]),
            worst,
            scale=scales[found - 1],
        )
        for place, (worst, _) in enumerate(chosen)
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Standing:
    """Residuals, their variances and the sum of squares, some observations left out."""

    residual_m: FloatArray
    own_m2: FloatArray
    variance_m2: FloatArray
    chi_square: float
    freedom: int

    @classmethod
    def of(cls, solved: Solved, std_m: FloatArray) -> _Standing:
        variance = np.square(std_m)
        return cls(
            residual_m=solved.residual_m,
            own_m2=solved.residual_variance_m2(std_m),
            variance_m2=variance,
            chi_square=solved.chi_square,
            freedom=solved.degrees_of_freedom,
        )

    @property
    def checked(self) -> NDArray[np.bool_]:
        return np.asarray(self.own_m2 > _NOTHING * self.variance_m2)

    @property
    def squares(self) -> FloatArray:
        """Squared statistics, 0 where nothing checks, shape (m,)."""
        checked = self.checked
        squares = np.zeros(len(checked))
        squares[checked] = np.square(self.residual_m[checked]) / self.own_m2[checked]
        return squares

    @property
    def worst(self) -> int:
        return int(np.argmax(self.squares))

    def without(self, columns: list[tuple[int, FloatArray]]) -> _Standing:
        """Return how all stands once some observations are left out."""
        residual, own = self.residual_m.copy(), self.own_m2.copy()
        chi_square, freedom = self.chi_square, self.freedom
        used: list[tuple[int, FloatArray, float]] = []
        for at, raw in columns:
            column = raw.copy()
            for _, other, pivot in used:
                column -= other * (other[at] / pivot)
            pivot = float(column[at])
            if pivot <= _NOTHING * self.variance_m2[at]:
                continue
            chi_square -= float(residual[at] ** 2 / pivot)
            residual -= column * (residual[at] / pivot)
            own -= np.square(column) / pivot
            freedom -= 1
            used.append((at, column, pivot))
        return _Standing(
            residual_m=residual,
            own_m2=own,
            variance_m2=self.variance_m2,
            chi_square=max(chi_square, 0.0),
            freedom=freedom,
        )


def _tests(standing: _Standing, solved: Solved) -> int:
    """Return how many different statistics there are.

    Observations that tie have the same statistic whatever was observed, and others differ where
    something at random was: readings rounded to a millimetre would agree by chance.
    """
    checked = standing.checked
    if not checked.any():
        return 1
    std = np.sqrt(standing.variance_m2)
    anything = std * np.random.default_rng(1).normal(size=len(std))
    right = np.asarray(solved.design.T @ (anything / standing.variance_m2))
    residual = np.asarray(solved.design @ solved.cofactor.solve(right)) - anything
    values = np.sort(np.abs(residual[checked]) / np.sqrt(standing.own_m2[checked]))
    return 1 + int(np.sum(np.diff(values) > _SAME))


def _scale(rest: _Standing, claim: Claim) -> tuple[float, float]:
    """Return the standard error of unit weight and its degrees of freedom, from what is left."""
    left = rest.chi_square
    if math.isfinite(claim.worth):
        dof = claim.worth + rest.freedom
        if dof <= 0:
            return math.inf, 1.0
        return max(math.sqrt((claim.worth * claim.std**2 + left) / dof), _EXACT), dof
    if rest.freedom >= _REST_TELLS and left > claim.std**2 * float(chdtri(rest.freedom, _WORSE)):
        return math.sqrt(left / rest.freedom), float(rest.freedom)
    return claim.std, math.inf


def _tail(ratio: float, dof: float) -> float:
    if math.isinf(dof):
        return 0.5 * math.erfc(ratio / math.sqrt(2.0))
    return float(stdtr(dof, -ratio))


def _outlier(standing: _Standing, without: _Standing, worst: int, *, scale: float) -> Outlier:
    squares, checked = standing.squares, standing.checked
    top = float(squares[worst])
    # What leaving the worst out takes of a residual's variance is its squared correlation with it.
    left = np.divide(without.own_m2, standing.own_m2, out=np.ones(len(checked)), where=checked)
    akin = 1.0 - left >= AKIN**2
    tied = np.flatnonzero(checked & akin & (top - squares <= (SURE * scale) ** 2))
    factor = standing.variance_m2[tied] / standing.own_m2[tied]
    std = scale * float(standing.variance_m2[worst] / math.sqrt(standing.own_m2[worst]))
    return Outlier(
        tied=tied,
        size_m=-standing.residual_m[tied] * factor,
        size_std_m=std,
        strength=math.sqrt(top) / scale,
        everything=len(tied) == int(checked.sum()),
    )
