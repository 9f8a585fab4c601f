"""Many roots at once."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.scheme.bracket import root_between


@given(st.lists(st.floats(0.01, 100.0), min_size=1, max_size=8), st.floats(0.5, 5.0))
def test_roots_of_powers_with_a_kink(targets: list[float], power: float) -> None:
    wanted = np.array(targets)

    def function(x: np.ndarray) -> np.ndarray:
        return np.asarray(np.where(x < 1, x, x**power) - wanted)

    expected = [t if t < 1 else t ** (1 / power) for t in targets]
    found = root_between(function, low=0.0, high=np.full(len(targets), 2e4))
    np.testing.assert_allclose(found, expected, rtol=1e-9)


def test_an_entry_does_not_hang_on_its_neighbours() -> None:
    targets = np.array([2.0, 3e-9, 700.0])
    together = root_between(lambda x: x**3 - targets, low=np.zeros(3), high=10.0)
    alone = [
        float(root_between(lambda x, t=t: x**3 - t, low=0.0, high=10.0))  # type: ignore[misc]
        for t in targets
    ]
    assert together.tolist() == alone


def test_bounds_that_hold_no_root_give_nan_and_bounds_that_are_roots_are_taken() -> None:
    found = root_between(lambda x: x - np.array([5.0, 0.0, 2.0, math.nan]), low=np.zeros(4), high=2)
    assert np.isnan(found).tolist() == [True, False, False, True]
    assert found[1:3].tolist() == [0.0, 2.0]


def test_a_falling_function_has_its_root_too() -> None:
    assert float(root_between(lambda x: 4.0 - x * x, low=0.0, high=7.0)) == 2.0
