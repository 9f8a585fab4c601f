"""Curvature, refraction and slope against printed rows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.distances import level_distance_m, slope_correction_m, slope_length_m
from terrain_head.formulas.sighting import (
    CURVATURE_RULES,
    REFRACTION_GEODETIC,
    curvature_and_refraction_m,
    curvature_m,
    sight_std_m,
)
from tests.leveling.books import NAVEDTRA_14069
from tests.worked_examples import WorkedExample

CIVIL_NOTES = Source(
    key="civil-notes", author="a teaching page", title="Curvature and refraction examples",
    year="no year",
)  # fmt: skip


def test_one_kilometre() -> None:
    example = WorkedExample(
        name="1 km",
        kind="published",
        source=CURVATURE_RULES.at("metres at one kilometre"),
        inputs={"distance": "1000"},
        printed={"curvature": "0.0785", "refraction": "0.0112", "combined": "0.0673"},
    )
    distance = example.given("distance")
    curve, both = float(curvature_m(distance)), float(curvature_and_refraction_m(distance))
    example.assert_result("curvature", curve)
    example.assert_result("refraction", curve - both)
    example.assert_result("combined", both)


def test_a_thousand_feet() -> None:
    example = WorkedExample(
        name="1000 ft",
        kind="published",
        source=CIVIL_NOTES.at("0.021 ft at 1000 ft"),
        inputs={"distance": "1000"},
        printed={"combined": "0.021"},
    )
    correction = curvature_and_refraction_m(to_si(example.given("distance"), "ft"))
    example.assert_result("combined", from_si(float(correction), "ft"))


@pytest.mark.parametrize(
    ("distance", "kind", "metres"),
    [("900", "curvature", "0.064"), ("2500", "curvature", "0.49"), ("700", "refraction", "0.0055"),
     ("1500", "refraction", "0.0252")],
)  # fmt: skip
def test_examples_of_a_teaching_page(distance: str, kind: str, metres: str) -> None:
    example = WorkedExample(
        name=f"{kind} at {distance} m",
        kind="published",
        source=CIVIL_NOTES.at(f"{distance} m"),
        inputs={"distance": distance},
        printed={kind: metres},
    )
    curve = curvature_m(example.given("distance"))
    computed = {
        "curvature": curve,
        "refraction": curve - curvature_and_refraction_m(example.given("distance")),
    }
    example.assert_result(kind, float(computed[kind]))


@pytest.mark.parametrize(
    ("distance", "millimetres"),
    [("30", "0.06"), ("50", "0.17"), ("100", "0.67"), ("200", "2.7"), ("300", "6.1"),
     ("500", "16.8"), ("1000", "67.3")],
)  # fmt: skip
def test_a_table_by_hand(distance: str, millimetres: str) -> None:
    example = WorkedExample(
        name=f"{distance} m",
        kind="by hand",
        source=CURVATURE_RULES.at("0.0673 d2"),
        inputs={"distance": distance},
        printed={"combined": millimetres},
    )
    correction = curvature_and_refraction_m(example.given("distance"))
    example.assert_result("combined", from_si(float(correction), "mm"))


def test_the_other_refraction_gives_the_other_textbook_figure() -> None:
    """0.0675 m at one kilometre and 0.5735 ft at one mile with 0.14, by hand."""
    kilometre = curvature_and_refraction_m(1000.0, refraction=REFRACTION_GEODETIC)
    assert float(kilometre) == pytest.approx(0.0675, abs=5e-5)
    mile = curvature_and_refraction_m(to_si(1.0, "mi"), refraction=REFRACTION_GEODETIC)
    assert from_si(float(mile), "ft") == pytest.approx(0.5735, abs=2e-4)


@given(st.floats(0.0, 500.0), st.floats(0.0, 0.01), st.floats(0.0, 1e-3))
def test_a_sight_is_never_surer_than_its_reading_or_its_tilt(
    distance: float, reading: float, angle: float
) -> None:
    std = float(sight_std_m(distance, reading_std_m=reading, angle_std_rad=angle))
    assert max(reading, angle * distance) <= std * (1 + 1e-12)
    assert std <= (reading + angle * distance) * (1 + 1e-12)


@pytest.mark.parametrize(
    ("slope", "rise", "exact"),
    [("100", "5", "0.12508"), ("100", "10", "0.50126"), ("100", "20", "2.02041"),
     ("300", "30", "1.50377")],
)  # fmt: skip
def test_slope_corrections(slope: str, rise: str, exact: str) -> None:
    """The rule is the manual's, the digits by hand; the manual's own first term is close."""
    example = WorkedExample(
        name=f"{slope} by {rise}",
        kind="by hand",
        source=NAVEDTRA_14069.at("figure 12-15"),
        inputs={"slope": slope, "rise": rise},
        printed={"correction": exact},
    )
    length, height = example.given("slope"), example.given("rise")
    correction = float(slope_correction_m(length, rise_m=height))
    example.assert_result("correction", correction)
    first_term = height**2 / (2 * length)
    two_terms = first_term + height**4 / (8 * length**3)
    assert first_term <= two_terms <= correction
    assert correction - two_terms < 5e-4


@given(st.floats(0.1, 1000.0), st.floats(-100.0, 100.0))
def test_slope_and_level_turn_into_each_other(level: float, rise: float) -> None:
    slope = slope_length_m(level, rise_m=rise)
    assert float(level_distance_m(slope, rise_m=rise)) == pytest.approx(level, rel=1e-9, abs=1e-6)
    correction = float(slope_correction_m(slope, rise_m=rise))
    assert correction == pytest.approx(float(slope) - level, abs=1e-6)
    assert correction >= 0


def test_a_rise_greater_than_the_slope_is_nan() -> None:
    assert np.isnan(level_distance_m(3.0, rise_m=5.0))
    assert np.isnan(slope_correction_m(3.0, rise_m=5.0))
