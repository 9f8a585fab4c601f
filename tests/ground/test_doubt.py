"""The joint doubt of leveled, stated and raster heights."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.ground.grid import CELL_SHARE
from terrain_head.ground.ground import Course, Ground
from tests.ground.sites import at, drawn, leveled, raster, survey

STD, RANGE = 0.5, 60.0


def site(
    *,
    std_m: float | None = STD,
    range_m: float | None = RANGE,
    rod: bool = False,
    mark: float = 0.0,
) -> Ground:
    more = {"position_std_m": mark} if mark else {}
    return survey(
        Course(name="p", start="a", end="b"),
        Course(name="q", start="b", end="c"),
        places=[at("a", 0.0, 0.0, **more), at("b", 40.0, 0.0, **more), at("c", 40.0, 90.0, **more)],
        elevations=leveled({"a": 100.0, "b": 103.0}) if rod else None,
        grid=raster(std_m=std_m, range_m=range_m),
    )


def test_near_points_share_their_error() -> None:
    """Difference variance 2 s^2 (1 - (1 - share) exp(-3 d / range)), d = 40 m."""
    expected = STD * np.sqrt(2 * (1 - (1 - CELL_SHARE) * np.exp(-3 * 40 / RANGE)))
    assert site().std_of_difference("a", "b") == pytest.approx(expected, rel=1e-9)
    assert site().std_of_difference("a", "A") == 0.0


def test_without_a_range_and_without_a_rod_neighbours_are_independent_at_worst() -> None:
    for range_m in (None, 0.0):
        assert site(range_m=range_m).std_of_difference("a", "b") == pytest.approx(STD * 2**0.5)


def test_an_unknown_error_is_unknown_and_never_nought() -> None:
    ground = site(std_m=None)
    assert ground.std_of_difference("a", "b") is None
    assert np.isnan(ground.profiles["p"].std_m).all()
    assert ground.shift is None


def test_with_the_rod_raster_heights_carry_the_doubt_of_the_datum() -> None:
    """One raster height far from two leveled places: its own error and that of their mean."""
    ground = site(rod=True, range_m=0.0)
    c = ground.place("c")
    # c = r(c) + mean(k - r): raster variance s^2 (1 + 1/2); known 0.01^2 (shared) + 0.01^2 / 2.
    expected = np.sqrt(STD**2 * 1.5 + 0.01**2 * 1.5)
    assert ground.covariance_of([c]).std[0] == pytest.approx(expected, rel=1e-9)
    assert ground.shift is not None
    shift_std = np.sqrt(STD**2 / 2 + 0.01**2 * 1.5)
    assert ground.shift.shift_std_m == pytest.approx(shift_std, rel=1e-9)
    assert ground.std_of_difference("a", "b") == pytest.approx(0.01 * 2**0.5, rel=1e-9)


def test_an_unknown_error_leaves_the_leveled_heights_their_own() -> None:
    ground = site(rod=True, std_m=None)
    a, c = ground.place("a"), ground.place("c")
    joint = ground.covariance_of([a, c])
    assert joint.std[0] == pytest.approx(0.01 * 2**0.5)
    assert np.isnan(joint.std[1])
    assert ground.shift is not None
    assert ground.shift.shift_std_m is None


@given(rod=st.booleans(), range_m=st.sampled_from([None, 10.0, 60.0, 500.0]))
@settings(max_examples=8, deadline=None)
def test_it_is_positive_semidefinite_and_agrees_with_the_profile(
    *, rod: bool, range_m: float | None
) -> None:
    ground = site(rod=rod, range_m=range_m)
    for profile in ground.profiles.values():
        joint = ground.covariance_of([int(entry) for entry in profile.index])
        if range_m is None:
            # Each station's own is that of the range that is worst for it.
            assert np.all(joint.std <= profile.std_m + 1e-7)
        else:
            assert joint.std == pytest.approx(profile.std_m, rel=1e-6, abs=1e-7)
        assert np.linalg.eigvalsh(joint.matrix()).min() > -1e-10


def test_a_mark_placed_by_phone_adds_its_error_times_the_slope() -> None:
    """Slope of the plane: 0.1 east, 0.05 north."""
    ground = site(range_m=None, mark=3.0)
    slope = np.hypot(0.1, 0.05)
    expected = np.sqrt(STD**2 + (3.0 * slope) ** 2)
    assert ground.covariance_of([0]).std[0] == pytest.approx(expected, rel=0.003)
    assert ground.profiles["p"].std_m[0] == pytest.approx(expected, rel=0.003)


def test_an_entry_is_asked_for_once() -> None:
    with pytest.raises(ValueError, match="twice"):
        site().covariance_of([1, 1])


def test_a_stated_height_without_an_error_leaves_what_hangs_on_it_unknown() -> None:
    ground = survey(
        Course(name="p", start="a", end="b"),
        places=[at("a", 0.0, 0.0, stated_elevation_m=90.0), at("b", 40.0, 0.0)],
        grid=raster(),
    )
    assert np.isnan(ground.covariance_of([0, 1]).std).all()
    assert np.isnan(ground.profiles["p"].std_m).all()
    assert ground.shift is not None
    assert ground.shift.shift_std_m is None


def test_heights_between_rod_points_were_not_measured() -> None:
    ground = survey(
        Course(name="p", start="a", end="b", route="over"),
        places=[at("a", -100.0, 20.0), at("b", 150.0, -60.0)],
        routes=[drawn("over", (-100.0, 20.0), (30.0, 90.0), (150.0, -60.0))],
        elevations=leveled({"a": 100.0, "b": 103.0}),
    )
    bend = int(ground.profiles["p"].index[1])
    assert np.isnan(ground.covariance_of([0, bend]).std).tolist() == [False, True]
