"""The streams of draws: always the same, even, and without anything in common."""

from __future__ import annotations

import numpy as np
import pytest

from terrain_head.assessment.streams import stream, whitened


def test_a_name_has_the_same_draws_every_time_and_another_name_has_others() -> None:
    first = stream("efficiency", draws=256, columns=3)
    assert np.array_equal(first, stream("efficiency", draws=256, columns=3))
    assert not np.array_equal(first, stream("source flow spring", draws=256, columns=3))


def test_the_draws_of_one_name_are_even() -> None:
    drawn = stream("efficiency", draws=1024)[:, 0]
    # Each of 1024 slices of equal chance holds exactly one draw.
    from scipy.special import ndtr

    assert np.array_equal(np.sort(np.floor(ndtr(drawn) * 1024)), np.arange(1024))


def test_two_names_have_nothing_in_common_not_even_their_signs() -> None:
    names = [f"pipe {n}" for n in range(12)]
    drawn = np.column_stack([stream(name, draws=1024)[:, 0] for name in names])
    for values in (drawn, np.sign(drawn), drawn**2):
        related = np.corrcoef(values, rowvar=False) - np.eye(len(names))
        assert np.abs(related).max() < 4.5 / np.sqrt(1024)


def test_a_number_of_draws_that_is_no_power_of_two_is_served() -> None:
    assert stream("efficiency", draws=1000, columns=2).shape == (1000, 2)
    assert stream("efficiency", draws=1).shape == (1, 1)


def test_whitened_draws_have_exactly_the_moments_asked_for() -> None:
    white = whitened(stream("place spring", draws=256, columns=20))
    assert np.mean(white, axis=0) == pytest.approx(np.zeros(20), abs=1e-12)
    assert white.T @ white / 256 == pytest.approx(np.eye(20), abs=1e-12)


def test_a_column_does_not_depend_on_those_after_it() -> None:
    normals = stream("place spring", draws=256, columns=20)
    assert whitened(normals[:, :5]) == pytest.approx(whitened(normals)[:, :5], abs=1e-12)
    assert np.corrcoef(normals[:, 3], whitened(normals)[:, 3])[0, 1] > 0.9


def test_with_few_draws_only_the_first_columns_are_set_right() -> None:
    normals = stream("place spring", draws=16, columns=10)
    white = whitened(normals)
    assert np.array_equal(normals[:, 7:], white[:, 7:])
    assert white[:, :7].T @ white[:, :7] / 16 == pytest.approx(np.eye(7), abs=1e-12)
    assert whitened(normals[:2]) is not None
    assert np.array_equal(normals[:2], whitened(normals[:2]))
