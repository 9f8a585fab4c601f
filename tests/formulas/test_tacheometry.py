"""Stadia on an upright rod, against printed digits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.tacheometry import stadia_distance_m, stadia_rise_m
from tests.leveling.books import NPTEL_SURVEYING
from tests.worked_examples import WorkedExample

STADIA_PAGE = Source(
    key="stadia-page",
    author="a teaching page",
    title="Stadia reduction, worked example",
    year="no year",
)
FOUR_DEGREES = WorkedExample(
    name="4 degrees uphill",
    kind="published",
    source=STADIA_PAGE.at("multiplier 100; its rise printed, its distance worked from the inputs"),
    inputs={"intercept": "0.865", "degrees": "4", "minutes": "0"},
    printed={"rise": "6.019236616", "distance": "86.07909"},
    looser_because={"rise": ("1e-9", "its tenth digit is cut off, not rounded")},
)
EIGHT_DEGREES = WorkedExample(
    name="8 degrees 42 minutes downhill, feet",
    kind="by hand",
    source=NPTEL_SURVEYING.at("module 7, equations 23.3 to 23.5, on hairs at 8.50 and 6.21 ft"),
    inputs={"top": "8.50", "bottom": "6.21", "degrees": "-8", "minutes": "-42"},
    printed={"distance": "223.76", "rise": "-34.24"},
)
INTERCEPTS = st.floats(0.01, 4.0)
ANGLES = st.floats(-1.2, 1.2)


@pytest.mark.parametrize(
    ("example", "unit"), [(FOUR_DEGREES, "m"), (EIGHT_DEGREES, "ft")],
    ids=lambda one: getattr(one, "name", one),
)  # fmt: skip
def test_printed_reductions(example: WorkedExample, unit: str) -> None:
    angle = to_si(example.given("degrees"), "deg") + to_si(example.given("minutes"), "arcmin")
    if "intercept" in example.inputs:
        intercept = example.given("intercept")
    else:
        intercept = example.given("top") - example.given("bottom")
    seen = to_si(intercept, unit)
    distance = float(stadia_distance_m(seen, elevation_rad=angle))
    rise = float(stadia_rise_m(seen, elevation_rad=angle))
    example.assert_result("distance", from_si(distance, unit))
    example.assert_result("rise", from_si(rise, unit))


@given(INTERCEPTS, ANGLES, st.floats(0.0, 0.5))
def test_rise_over_distance_is_the_slope_of_the_sight(
    intercept: float, angle: float, additive: float
) -> None:
    distance = stadia_distance_m(intercept, elevation_rad=angle, additive_m=additive)
    rise = stadia_rise_m(intercept, elevation_rad=angle, additive_m=additive)
    assert float(rise / distance) == pytest.approx(np.tan(angle), rel=1e-12, abs=1e-15)


@given(INTERCEPTS, ANGLES)
def test_looking_down_mirrors_looking_up(intercept: float, angle: float) -> None:
    up = stadia_rise_m(intercept, elevation_rad=angle)
    down = stadia_rise_m(intercept, elevation_rad=-angle)
    assert float(up) == -float(down)
    level = stadia_distance_m(intercept)
    assert float(stadia_distance_m(intercept, elevation_rad=angle)) <= float(level)
