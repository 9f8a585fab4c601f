"""High and low points stand out by the hysteresis on both sides, whichever way one walks."""

from __future__ import annotations

import time
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.covariance import Covariance
from terrain_head.ground.ground import GroundProfile, Origin
from terrain_head.ground.summits import (
    look_along,
    turning_points,
    turning_stations,
)

heights = st.lists(st.integers(-50, 50), min_size=3, max_size=60, unique=True).map(
    lambda values: np.array(values, dtype=np.float64)
)


def profile_of(height: np.ndarray, *, between_known: bool = True) -> GroundProfile:
    count = len(height)
    return GroundProfile(
        name="p",
        route="p",
        index=np.arange(count),
        station_m=np.linspace(0.0, 10.0 * (count - 1), count),
        east_m=np.full(count, np.nan),
        north_m=np.full(count, np.nan),
        elevation_m=height,
        std_m=np.full(count, 0.1),
        origin=np.full(count, Origin.LEVELED, dtype=np.int8),
        along_m=np.linspace(0.0, 10.0 * (count - 1), count),
        corner=np.ones(count, dtype=np.bool_),
        between_known=between_known,
    )


@given(height=heights, hysteresis_m=st.floats(0.1, 30))
def test_walked_backwards_the_same_points_turn(height: np.ndarray, hysteresis_m: float) -> None:
    highs, lows = turning_points(height, hysteresis_m=hysteresis_m)
    back_highs, back_lows = turning_points(height[::-1], hysteresis_m=hysteresis_m)
    last = len(height) - 1
    assert highs.tolist() == sorted(last - back_highs)
    assert lows.tolist() == sorted(last - back_lows)


@given(height=heights, hysteresis_m=st.floats(0.1, 30))
def test_upside_down_highs_are_lows(height: np.ndarray, hysteresis_m: float) -> None:
    highs, lows = turning_points(height, hysteresis_m=hysteresis_m)
    under_lows, under_highs = turning_points(-height, hysteresis_m=hysteresis_m)
    assert highs.tolist() == under_highs.tolist()
    assert lows.tolist() == under_lows.tolist()


@given(height=heights, hysteresis_m=st.floats(0.1, 30))
def test_they_take_turns_and_stand_out_on_both_sides(
    height: np.ndarray, hysteresis_m: float
) -> None:
    turns = turning_stations(profile_of(height), hysteresis_m=hysteresis_m)
    assert all(a.kind != b.kind for a, b in pairwise(turns))
    assert all(turn.stands_out_m >= hysteresis_m for turn in turns[1:-1])
    assert all(turn.sure is None for turn in turns)


@pytest.mark.parametrize(
    ("height", "high", "low"),
    [
        ([0, 3, 1, 4, 0], [1, 3], [2]),
        ([5, 4, 3, 2, 1], [], []),
        ([0, 2, 2, 2, 0], [1], []),
        ([2, 0, 0, 2], [], [1]),
        ([1, 1, 1, 1], [], []),
        ([0, 0.4, 0.1, 5, 4.7, 6], [], []),
    ],
)
def test_by_hand(height: list[float], high: list[int], low: list[int]) -> None:
    highs, lows = turning_points(height, hysteresis_m=0.5)
    assert highs.tolist() == high
    assert lows.tolist() == low


def test_a_difference_below_its_error_is_only_perhaps() -> None:
    profile = profile_of(np.array([0.0, 2.0, 1.8, 6.0, 0.0]))

    def joint(index: Sequence[int]) -> Covariance:
        return Covariance.independent(np.full(len(index), 0.3))

    turns = turning_stations(profile, hysteresis_m=0.1, covariance_of=joint)
    assert [(t.kind, t.position, t.sure) for t in turns] == [
        ("high", 1, False),
        ("low", 2, False),
        ("high", 3, True),
    ]
    assert turns[1].before_m == pytest.approx(0.2)
    assert turns[1].after_m == pytest.approx(4.2)


def test_an_unknown_error_leaves_it_open() -> None:
    profile = profile_of(np.array([0.0, 2.0, 0.0]))

    def joint(index: Sequence[int]) -> Covariance:
        return Covariance.independent(np.full(len(index), np.nan))

    (turn,) = turning_stations(profile, hysteresis_m=0.1, covariance_of=joint)
    assert turn.sure is None


def test_a_pipe_over_the_ground_has_its_own_turns() -> None:
    profile = profile_of(np.array([0.0, 5.0, 0.0, 5.0, 0.0]))
    draws = np.array([[0.0, 1.0, 2.0, 1.0, 0.0], [0.0, 1.0, 2.0, 1.0, 0.0]])
    turns = look_along(profile)
    assert (len(turns.told("high")), len(turns.told("low"))) == (2, 1)
    assert [turn.position for turn in look_along(profile, elevation_m=draws).told("high")] == [2]


def test_a_hump_lower_than_the_bore_of_the_pipe_is_none() -> None:
    profile = profile_of(np.array([0.0, 5.0, 4.94, 9.0]))
    assert [turn.position for turn in look_along(profile).told("high")] == [1]
    assert look_along(profile, bore_m=0.05).told("high") != ()
    assert look_along(profile, bore_m=0.07).told("high") == ()


def test_of_what_may_be_error_only_the_greatest_is_shown_where_nothing_is_sure() -> None:
    profile = profile_of(np.array([0.0, 3.0, 2.8, 3.2, 2.8, 4.0]))

    def joint(index: Sequence[int]) -> Covariance:
        return Covariance.independent(np.full(len(index), 0.5))

    turns = look_along(profile, covariance_of=joint)
    assert turns.told("high") == turns.told("low") == ()
    assert [(turn.kind, turn.position) for turn in turns.shown()] == [("high", 3), ("low", 4)]
    unknown = look_along(profile)
    assert len(unknown.told("high")) == len(unknown.told("low")) == 2
    assert unknown.shown() == unknown.perhaps


def test_where_nothing_is_known_between_nothing_turns() -> None:
    profile = profile_of(np.array([0.0, 5.0, 0.0]), between_known=False)
    assert turning_stations(profile, hysteresis_m=0.1) == ()


def test_a_million_stations_take_no_time() -> None:
    """Bare differences take some milliseconds, a search by prominence many seconds."""
    height = np.cumsum(np.random.default_rng(3).normal(0, 0.1, 1_000_000))
    begin = time.perf_counter()
    highs, _ = turning_points(height, hysteresis_m=0.3)
    assert time.perf_counter() - begin < 3.0
    assert len(highs) > 100
