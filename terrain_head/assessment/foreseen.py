"""What a measurement not made yet would tell, foreseen from draws made already."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.drawn import HIGH, LOW, SURE

FloatArray = NDArray[np.float64]

OUTCOMES, WITHIN = 128, 1024
"""How many outcomes of the measurement are tried, and on how many draws each is judged; ours."""
LEAST_PART = 0.01
"""A measurement that explains less of a variance than this explains nothing: the noise of the
draws is that large; ours [1]."""
_FEWEST = 64
_STILL = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreseen:
    """What a measurement is expected to tell of one result.

    Parameters
    ----------
    narrower
        By what part its nine-in-ten range shrinks, over all outcomes [1].
    known
        In what part of the cases one then knows, nine times in ten, whether the need is met [1].
    """

    narrower: float
    known: float


NOTHING = Foreseen(narrower=0.0, known=0.0)
"""What a measurement tells that has nothing to do with the result."""


def foreseen(
    result: FloatArray, measured: FloatArray, *, std: FloatArray, errors: FloatArray, wanted: float
) -> Foreseen:
    """Return what measuring some quantities is expected to tell of a result.

    Parameters
    ----------
    result
        Draws of the result, nan where it has no figure, which counts as not met; shape (draws,)
        [any].
    measured
        The same draws of the quantities that would be measured, shape (draws, m) [any].
    std
        Standard errors of the measurements, shape (m,) [any].
    errors
        Standard normal draws for their errors, shape (draws, m) [1].
    wanted
        What the result must come to [any].

    Returns
    -------
    Foreseen
        `NOTHING` where the quantities explain less than `LEAST_PART` of the variance.

    Notes
    -----
    The result is split into a curve of second degree in the quantities, by least squares, and what
    is left, which the measurement does not touch. Every outcome of the measurement is one draw of
    the quantities with one draw of the errors; under it all other draws are moved by the gain
    C (C + R)^-1 times what they miss the outcome by, C and R being the covariances of quantities
    and errors, and judged again. For normal quantities and a curve that fits this is the exact
    posterior; skewed quantities and corners are smoothed over. A draw without a figure stays
    without, whatever is read.

    Examples
    --------
    A result that is measured without error is known in every case:

    >>> from terrain_head.assessment.streams import stream
    >>> fall, errors = stream("fall", draws=512), stream("rod", draws=512)
    >>> told = foreseen(fall[:, 0], fall, std=np.zeros(1), errors=errors, wanted=0.0)
    >>> told.known, round(told.narrower, 6)
    (1.0, 1.0)

    References
    ----------
    H. Raiffa, R. Schlaifer, Applied Statistical Decision Theory, 1961, on preposterior analysis
    (from memory).
    """
    has_figure = np.isfinite(result)
    spread = measured.std(axis=0)
    moves = spread > _STILL * np.maximum(np.abs(measured.mean(axis=0)), _STILL)
    if has_figure.sum() < _FEWEST or not moves.any() or np.ptp(result[has_figure]) == 0:
        return NOTHING
    quantity = (measured[:, moves] - measured[:, moves].mean(axis=0)) / spread[moves]
    missed = errors[:, moves] * (std[moves] / spread[moves])
    terms = _terms(quantity)
    curve = np.linalg.lstsq(terms[has_figure], result[has_figure], rcond=None)[0]
    left = (result - terms @ curve)[has_figure]
    freedom = max(len(left) - terms.shape[1], 1)
    if np.sum(left**2) / freedom > (1 - LEAST_PART) * np.var(result[has_figure], ddof=1):
        return NOTHING
    covariance = np.atleast_2d(np.cov(quantity, rowvar=False))
    noise = np.diag((std[moves] / spread[moves]) ** 2)
    gain = covariance @ np.linalg.pinv(covariance + noise, hermitian=True)
    readings = quantity + missed
    inner = np.arange(max(len(result) - WITHIN, 0), len(result))
    outcomes = readings[_evenly(_on_curve(readings @ gain.T, curve)), None, :]
    moved = quantity[inner] + (outcomes - readings[inner]) @ gain.T
    after = (result - terms @ curve)[inner] + _on_curve(moved, curve)
    chance = np.mean(np.nan_to_num(after, nan=-np.inf) >= wanted, axis=1)
    known = np.mean((chance >= SURE) | (chance <= 1 - SURE))
    with_figure = has_figure[inner]
    low, high = np.quantile(after[:, with_figure], [LOW, HIGH], axis=1)
    before = np.quantile(result[inner][with_figure], [LOW, HIGH])
    narrower = 1 - np.mean(high - low) / (before[1] - before[0])
    return Foreseen(narrower=float(np.clip(narrower, 0.0, 1.0)), known=float(known))


def _evenly(expected: FloatArray) -> NDArray[np.intp]:
    """Return draws whose expected results stand evenly among those of all draws."""
    count = min(OUTCOMES, len(expected))
    ranks = (np.arange(count) + 0.5) * len(expected) / count
    return np.argsort(expected, kind="stable")[ranks.astype(np.intp)]


def _terms(quantity: FloatArray) -> FloatArray:
    """Return the terms of a curve of second degree, shape (..., terms)."""
    first, second = np.triu_indices(quantity.shape[-1])
    return np.concatenate(
        [
            np.ones((*quantity.shape[:-1], 1)),
            quantity,
            quantity[..., first] * quantity[..., second],
        ],
        axis=-1,
    )


def _on_curve(quantity: FloatArray, curve: NDArray[np.floating]) -> FloatArray:
    """Return ``_terms(quantity) @ curve`` without forming the terms."""
    count = quantity.shape[-1]
    square = np.zeros((count, count))
    square[np.triu_indices(count)] = curve[1 + count :]
    return np.asarray(
        curve[0] + quantity @ curve[1 : 1 + count] + ((quantity @ square) * quantity).sum(axis=-1)
    )
