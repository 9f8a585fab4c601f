"""What a doubt is owed to: the share of each independent cause in the variance of a result."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import comb

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IndexArray = NDArray[np.intp]

Model = Callable[[IndexArray, BoolArray], Mapping[str, FloatArray]]
"""From draws (rows,) and, for each cause, whether it is drawn anew (rows, causes), to results."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shares:
    """Shares of the causes in the variance of each result.

    Parameters
    ----------
    shapley
        By result and cause; they add up to 1 [1].
    alone, whole
        First-order share (what goes if only this cause were known) and total share (what stays
        if all others were known), by result and cause [1].
    unswapped, swapped
        By result its draws, and by cause, then result, its draws with that cause alone drawn anew,
        shape (draws,).
    """

    shapley: Mapping[str, Mapping[str, float]]
    alone: Mapping[str, Mapping[str, float]]
    whole: Mapping[str, Mapping[str, float]]
    unswapped: Mapping[str, FloatArray]
    swapped: Mapping[str, Mapping[str, FloatArray]]


def shares_of(model: Model, causes: Sequence[str], *, draws: int) -> Shares:
    """Return the Shapley effects of independent causes by pick-freeze.

    Parameters
    ----------
    model
        Called once, with every draw under every set of causes drawn anew.
    causes
        Names of the causes.
    draws
        How many draws.

    Returns
    -------
    Shares
        Without results that do not vary or have no figure in some draw.

    Notes
    -----
    Half the mean square of what a result changes when a set of causes is drawn anew, c(S), is the
    variance left if all other causes were known. The Shapley effect of a cause is the mean, over
    the orders in which causes may be learnt, of what c gains when the cause joins; c of all
    causes is the variance itself, so the effects add up to it. A cause that moves nothing has
    exactly 0. Noise of few draws may carry an effect below 0: it is cut there.

    References
    ----------
    E. Song, B. L. Nelson, J. Staum, Shapley effects for global sensitivity analysis: theory and
    computation, SIAM/ASA Journal on Uncertainty Quantification 4, 2016 (from memory).
    M. J. W. Jansen, Analysis of variance designs for model output, Computer Physics
    Communications 117, 1999 (from memory).
    """
    count = len(causes)
    sets = (np.arange(2**count)[:, None] >> np.arange(count)) & 1 == 1
    results = model(
        np.tile(np.arange(draws), len(sets)), np.repeat(np.asarray(sets), draws, axis=0)
    )
    shapley: dict[str, dict[str, float]] = {}
    alone: dict[str, dict[str, float]] = {}
    whole: dict[str, dict[str, float]] = {}
    kept: dict[str, FloatArray] = {}
    for name, flat in results.items():
        values = np.broadcast_to(flat, (draws * len(sets),)).reshape(len(sets), draws)
        cost = np.mean(np.square(values - values[0]), axis=1) / 2
        if not np.isfinite(cost).all() or cost[-1] <= 0:
            continue
        kept[name] = values
        gains = _gains(cost, count)
        total = sum(gains)
        shapley[name] = dict(zip(causes, (gain / total for gain in gains), strict=True))
        every = len(sets) - 1
        alone[name] = {c: 1 - cost[every ^ (1 << i)] / cost[every] for i, c in enumerate(causes)}
        whole[name] = {c: cost[1 << i] / cost[every] for i, c in enumerate(causes)}
    swapped = {
        cause: {name: values[1 << i] for name, values in kept.items()}
        for i, cause in enumerate(causes)
    }
    unswapped = {name: values[0] for name, values in kept.items()}
    return Shares(shapley=shapley, alone=alone, whole=whole, unswapped=unswapped, swapped=swapped)


def _gains(cost: FloatArray, count: int) -> list[float]:
    """Return the Shapley value of each cause in the game whose value is the cost, never below 0."""
    sets = np.arange(len(cost))
    size = np.array([int(one).bit_count() for one in sets])
    weight = np.array([1 / (count * comb(count - 1, k)) for k in range(count)])
    gains = []
    for i in range(count):
        without = sets[(sets >> i) & 1 == 0]
        gain = cost[without | (1 << i)] - cost[without]
        gains.append(max(float(np.sum(weight[size[without]] * gain)), 0.0))
    return gains
