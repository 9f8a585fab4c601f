"""A covariance kept as a factor is the matrix it was made of."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.covariance import Covariance


@given(seed=st.integers(0, 10_000), rank=st.integers(0, 6), held=st.integers(0, 2))
def test_the_matrix_comes_back_whatever_its_rank(seed: int, rank: int, held: int) -> None:
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(6, rank))
    root[:held] = 0.0
    matrix = root @ root.T
    covariance = Covariance.from_matrix(matrix)
    assert np.abs(covariance.matrix() - matrix).max(initial=0.0) < 1e-12
    assert covariance.std == pytest.approx(np.sqrt(np.diag(matrix)))
    assert covariance.std[:held].tolist() == [0.0] * held


def test_entries_that_are_one_and_the_same_have_no_doubt_between_them() -> None:
    same = Covariance.from_matrix(np.full((3, 3), 0.04))
    assert same.std_of_difference(0, 2) == pytest.approx(0.0, abs=1e-8)
    assert same.std_of_sum([1.0, 1.0, 1.0]) == pytest.approx(0.6)


def test_rounding_below_zero_is_cut_off() -> None:
    matrix = np.array([[1.0, 1.0], [1.0, 1.0 - 1e-16]])
    assert Covariance.from_matrix(matrix - 1e-17 * np.eye(2)).matrix() == pytest.approx(matrix)


def test_an_entry_is_taken_once() -> None:
    covariance = Covariance.independent([0.1, 0.2])
    assert covariance.take([1]).std.tolist() == [0.2]
    with pytest.raises(ValueError, match="asked for twice"):
        covariance.take([0, 0])


def test_factor_and_variances_fit_and_no_variance_is_negative() -> None:
    with pytest.raises(ValueError, match="do not fit"):
        Covariance(factor=np.zeros((2, 1)), own=np.zeros(3))
    with pytest.raises(ValueError, match="never negative"):
        Covariance(factor=np.zeros((1, 1)), own=np.array([-1.0]))
