"""The length along the slope grows with the ground, not with the noise of the cells."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.ground.slope import evened_length, taut_length

NONE = np.zeros(401, dtype=np.bool_)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("grade", [0.0, 0.2, 0.6])
def test_cell_noise_does_not_lengthen_a_plane(seed: int, grade: float) -> None:
    """A plane with independent noise of 0.3 m in cells of 1 m: within 0.1 % of the plane's."""
    station = np.arange(401.0)
    noise = np.random.default_rng(seed).normal(0.0, 0.3, 401)
    length = evened_length(station, grade * station + noise, fixed=NONE)[-1]
    assert length == pytest.approx(400 * np.hypot(1, grade), rel=1e-3)


def test_the_noise_would_matter_from_station_to_station() -> None:
    station = np.arange(401.0)
    noise = np.random.default_rng(0).normal(0.0, 0.3, 401)
    assert taut_length(station, noise)[-1] > 400 * 1.05


@given(grade=st.floats(-1, 1), step=st.floats(0.3, 40), count=st.integers(2, 60))
def test_a_plane_keeps_its_length(grade: float, step: float, count: int) -> None:
    station = np.arange(count) * step
    fixed = np.zeros(count, dtype=np.bool_)
    length = evened_length(station, grade * station, fixed=fixed)
    assert length == pytest.approx(taut_length(station, grade * station), rel=1e-9, abs=1e-9)


def test_leveled_points_are_used_as_they_are() -> None:
    station = np.arange(41.0)
    height = np.where(station == 20, 5.0, 0.0)
    every = evened_length(station, height, fixed=np.ones(41, dtype=np.bool_))
    assert every == pytest.approx(taut_length(station, height), rel=1e-12)
    peak = evened_length(station, height, fixed=station == 20)
    assert peak[20] >= np.hypot(20, 5) - 1e-9


def test_a_hump_that_a_pipe_must_climb_keeps_its_length() -> None:
    station = np.arange(401.0)
    height = 10 * np.sin(station / 400 * 4 * np.pi) ** 2
    assert evened_length(station, height, fixed=NONE)[-1] == pytest.approx(
        taut_length(station, height)[-1], rel=2e-3
    )
