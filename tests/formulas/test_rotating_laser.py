"""A rotating laser's cone and tilt: what its check tells, and how its error grows."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.rotating_laser import (
    LASER_CHECKS,
    cone_rise_std_m,
    half_turn_tilt,
    tilt_error_m,
    tilt_rise_std_m,
    whole_tilt,
)
from tests.worked_examples import WorkedExample

SIGHTS = st.floats(1.0, 200.0)
TILTS = st.floats(0.0, 1e-3)
DIRECTIONS = st.floats(0.0, 2 * math.pi)


def test_six_millimetres_of_spread_are_three_of_error() -> None:
    example = WorkedExample(
        name="20 m",
        kind="published",
        source=LASER_CHECKS.at("3 mm at 20 m shows as 6 mm"),
        inputs={"distance": "20", "spread": "6"},
        printed={"error": "3"},
    )
    distance, spread = example.given("distance"), to_si(example.given("spread"), "mm")
    tilt = half_turn_tilt(1.2 + spread, 1.2, distance_m=distance)
    error = tilt_error_m(distance, tilt=tilt, direction_rad=0.0)
    example.assert_result("error", from_si(float(error), "mm"))


@pytest.mark.parametrize(("seconds", "millimetres"), [("10", "1.45"), ("20", "2.9"), ("30", "4.4")])
def test_figures_of_a_box_at_thirty_metres(seconds: str, millimetres: str) -> None:
    example = WorkedExample(
        name=f"{seconds} arcsec",
        kind="by hand",
        source=LASER_CHECKS.at("an angle over 30 m"),
        inputs={"seconds": seconds},
        printed={"error": millimetres},
    )
    angle = to_si(example.given("seconds"), "arcsec")
    error = tilt_error_m(30.0, tilt=angle, direction_rad=0.0)
    example.assert_result("error", from_si(float(error), "mm"))


@given(TILTS, DIRECTIONS, SIGHTS, st.floats(-1e-3, 1e-3))
def test_a_half_turn_on_both_axes_finds_the_tilt_whatever_the_cone(
    tilt: float, direction: float, sight: float, cone: float
) -> None:
    axes = []
    for turned in (0.0, math.pi / 2):
        error = float(tilt_error_m(sight, tilt=tilt, direction_rad=direction - turned))
        first, second = 1.3 + cone * sight + error, 1.3 + cone * sight - error
        axes.append(half_turn_tilt(first, second, distance_m=sight))
    assert tilt == pytest.approx(float(whole_tilt(axes[0], across=axes[1])), abs=1e-12)


@given(SIGHTS, SIGHTS, st.floats(1e-6, 1e-3), DIRECTIONS)
def test_the_error_of_a_rise_is_that_over_all_directions_of_the_tilt(
    back: float, ahead: float, tilt: float, between: float
) -> None:
    ways = np.linspace(0.0, 2 * math.pi, 360, endpoint=False)
    errors = tilt_error_m(back, tilt=tilt, direction_rad=ways) - tilt_error_m(
        ahead, tilt=tilt, direction_rad=ways - between
    )
    std = float(tilt_rise_std_m(back, ahead, tilt=tilt, between_rad=between))
    assert std == pytest.approx(math.sqrt(float(np.mean(errors**2))), rel=1e-6, abs=1e-15)
    assert std <= float(tilt_rise_std_m(back, ahead, tilt=tilt)) * (1 + 1e-12)


@given(SIGHTS, TILTS)
def test_both_sights_the_same_way_cancel_a_tilt_and_opposite_ones_add_it(
    sight: float, tilt: float
) -> None:
    assert 0 == float(tilt_rise_std_m(sight, sight, tilt=tilt, between_rad=0.0))
    opposite = float(tilt_rise_std_m(sight, sight, tilt=tilt))
    assert opposite == pytest.approx(tilt * 2 * sight / math.sqrt(2), rel=1e-12)


@given(SIGHTS, SIGHTS, TILTS)
def test_a_cone_cancels_in_balanced_sights_and_grows_with_the_imbalance(
    back: float, ahead: float, cone: float
) -> None:
    assert 0 == float(cone_rise_std_m(back, back, cone_std=cone))
    one = float(cone_rise_std_m(back, ahead, cone_std=cone))
    assert one == float(cone_rise_std_m(ahead, back, cone_std=cone))
    assert float(cone_rise_std_m(2 * back, 2 * ahead, cone_std=cone)) == pytest.approx(2 * one)
