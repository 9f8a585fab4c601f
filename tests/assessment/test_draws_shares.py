"""Shares of a doubt, against models whose shares are known in closed form."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtr

from terrain_head.assessment.shares import Shares, shares_of
from terrain_head.assessment.streams import stream

FloatArray = NDArray[np.float64]

CAUSES = ("one", "two", "three")


def shares(
    formula: Callable[[FloatArray], Mapping[str, FloatArray]], *, draws: int = 4096
) -> Shares:
    """Return the shares of three standard normal causes in the results of a formula."""
    by_stream = np.stack(
        [
            np.column_stack([stream(f"{cause}{again}", draws=draws)[:, 0] for cause in CAUSES])
            for again in ("", " again")
        ]
    )

    def model(rows: NDArray[np.intp], anew: NDArray[np.bool_]) -> Mapping[str, FloatArray]:
        return formula(np.where(anew, by_stream[1, rows], by_stream[0, rows]))

    return shares_of(model, CAUSES, draws=draws)


def test_shares_of_a_sum_are_the_variances_of_its_terms() -> None:
    found = shares(lambda x: {"sum": 3 * x[:, 0] + 2 * x[:, 1] + x[:, 2]})
    expected = [9 / 14, 4 / 14, 1 / 14]
    for by_cause in (found.shapley, found.alone, found.whole):
        assert list(by_cause["sum"].values()) == pytest.approx(expected, abs=0.02)


def test_shares_of_the_ishigami_function() -> None:
    """Sin x1 + 7 sin^2 x2 + 0.1 x3^4 sin x1 on (-pi, pi): the usual trial of such methods.

    Its variance parts are V1 = (1 + b pi^4/5)^2 / 2, V2 = a^2/8, V13 = 8 b^2 pi^8 / 225 (T.
    Ishigami, T. Homma, An importance quantification technique in uncertainty analysis for computer
    models, 1990, from memory; integrated again by hand); a Shapley effect takes half of V13.
    """
    a, b = 7.0, 0.1
    first = (1 + b * np.pi**4 / 5) ** 2 / 2
    second, both = a**2 / 8, 8 * b**2 * np.pi**8 / 225
    total = first + second + both

    def formula(x: FloatArray) -> Mapping[str, FloatArray]:
        u = np.pi * (2 * ndtr(x) - 1)
        sine = np.sin(u[:, 0])
        return {"y": sine + a * np.sin(u[:, 1]) ** 2 + b * u[:, 2] ** 4 * sine}

    found = shares(formula, draws=16_384)
    expected = np.array([first + both / 2, second, both / 2]) / total
    assert list(found.shapley["y"].values()) == pytest.approx(expected, abs=0.02)
    alone = np.array([first, second, 0.0]) / total
    assert list(found.alone["y"].values()) == pytest.approx(alone, abs=0.03)
    whole = np.array([first + both, second, both]) / total
    assert list(found.whole["y"].values()) == pytest.approx(whole, abs=0.03)


def test_shares_add_up_and_a_cause_that_moves_nothing_has_none() -> None:
    found = shares(lambda x: {"y": np.exp(x[:, 0]) * (2 + x[:, 2])}, draws=256).shapley["y"]
    assert sum(found.values()) == pytest.approx(1.0, abs=1e-15)
    assert found["two"] == 0.0
    assert min(found.values()) >= 0.0


def test_a_shapley_effect_lies_between_the_first_order_and_the_total_share() -> None:
    found = shares(lambda x: {"y": (1 + x[:, 0]) * (1 + x[:, 1]) + x[:, 2]})
    for cause in CAUSES:
        least, most = found.alone["y"][cause], found.whole["y"][cause]
        assert least - 0.03 <= found.shapley["y"][cause] <= most + 0.03
    assert found.whole["y"]["one"] > found.alone["y"]["one"] + 0.1


def test_what_does_not_vary_or_has_no_figure_is_left_out() -> None:
    found = shares(
        lambda x: {
            "still": np.zeros(()),
            "gap": np.where(x[:, 0] > 2, np.nan, x[:, 0]),
            "y": x[:, 1],
        },
        draws=256,
    )
    assert list(found.shapley) == ["y"]
    assert found.shapley["y"] == {"one": 0.0, "two": 1.0, "three": 0.0}


def test_swapped_draws_are_those_with_one_cause_drawn_anew() -> None:
    found = shares(lambda x: {"y": x[:, 0] + x[:, 1]}, draws=256)
    one, anew = stream("one", draws=256)[:, 0], stream("one again", draws=256)[:, 0]
    two = stream("two", draws=256)[:, 0]
    assert np.array_equal(anew + two, found.swapped["one"]["y"])
    assert np.array_equal(one + two, found.swapped["three"]["y"])
