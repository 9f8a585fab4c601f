"""A line of sight that is not level, against printed two-peg tests."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si
from terrain_head.formulas.collimation import level_reading_m, two_peg_slope, two_peg_slope_std
from tests.worked_examples import WorkedExample

UREN_PRICE = Source(
    key="uren-price",
    author="Uren and Price",
    title="Surveying for Engineers",
    year="no year",
    obtained="read in a copy",
)
TWO_PEG_EXERCISE = Source(
    key="two-peg-exercise",
    author="unnamed",
    title="Exercise on a two-peg test with sights of 120 and 20 m",
    year="no year",
    obtained="read in a copy",
)
FIFTY_METRES = WorkedExample(
    name="pegs 50 m apart",
    kind="published",
    source=UREN_PRICE.at("problem 2.1"),
    inputs={
        "middle A": "1.283", "middle B": "0.860", "beyond A": "1.612", "beyond B": "1.219",
        "to A": "55", "to B": "5",
    },
    printed={
        "per 50 m": "-0.030", "seconds": "-124", "true A": "1.645", "true B": "1.222",
        "A less B": "0.423",
    },
)  # fmt: skip
HUNDRED_METRES = WorkedExample(
    name="pegs 100 m apart",
    kind="by hand",
    source=TWO_PEG_EXERCISE.at("its readings; results worked from them"),
    inputs={
        "middle A": "2.0", "middle B": "3.0", "beyond A": "1.50", "beyond B": "2.75",
        "to A": "120", "to B": "20",
    },
    printed={"slope": "-0.0025", "true A": "1.80", "true B": "2.80", "A less B": "-1.00"},
)  # fmt: skip
LENGTHS = st.floats(1.0, 150.0)
SLOPES = st.floats(-0.01, 0.01)


@pytest.mark.parametrize("example", [FIFTY_METRES, HUNDRED_METRES], ids=lambda one: one.name)
def test_printed_two_peg_tests(example: WorkedExample) -> None:
    given_ = example.given
    slope = two_peg_slope(
        first_m=(given_("middle A"), given_("middle B")),
        second_m=(given_("beyond A"), given_("beyond B")),
        first_sights_m=(1.0, 1.0),
        second_sights_m=(given_("to A"), given_("to B")),
    )
    true_a = level_reading_m(given_("beyond A"), distance_m=given_("to A"), slope=slope)
    true_b = level_reading_m(given_("beyond B"), distance_m=given_("to B"), slope=slope)
    computed = {
        "slope": float(slope),
        "per 50 m": float(slope) * 50,
        "seconds": from_si(float(slope), "arcsec"),
        "true A": float(true_a),
        "true B": float(true_b),
        "A less B": float(true_a - true_b),
    }
    for key in example.printed:
        example.assert_result(key, computed[key])
    assert float(true_a - true_b) == pytest.approx(given_("middle A") - given_("middle B"))


@given(SLOPES, st.tuples(LENGTHS, LENGTHS), st.tuples(LENGTHS, LENGTHS), st.floats(-2.0, 2.0))
def test_a_made_up_slope_is_found_and_taken_off(
    slope: float, first: tuple[float, float], second: tuple[float, float], rise: float
) -> None:
    """Any two set-ups of unlike balance find the slope, and the corrected readings agree."""
    assume(abs((second[0] - second[1]) - (first[0] - first[1])) > 1.0)
    sights = np.array([first, second])
    true = np.array([[1.5 + rise, 1.5], [1.2 + rise, 1.2]])
    read = true + slope * sights
    found = two_peg_slope(
        first_m=(read[0, 0], read[0, 1]),
        second_m=(read[1, 0], read[1, 1]),
        first_sights_m=first,
        second_sights_m=second,
    )
    assert slope == pytest.approx(float(found), abs=1e-12)
    level = level_reading_m(read, distance_m=sights, slope=found)
    np.testing.assert_allclose(level, true, atol=1e-9)


@given(SLOPES, st.floats(1.0, 100.0))
def test_balanced_sights_need_no_correction(slope: float, sight: float) -> None:
    readings = level_reading_m([1.8, 0.7], distance_m=[sight, sight], slope=slope)
    assert float(readings[0] - readings[1]) == pytest.approx(1.1, abs=1e-12)


def test_two_set_ups_alike_tell_nothing() -> None:
    same = {"first_sights_m": (30.0, 30.0), "second_sights_m": (20.0, 20.0)}
    assert np.isnan(two_peg_slope(first_m=(1.0, 2.0), second_m=(1.1, 2.2), **same))
    assert np.isnan(two_peg_slope_std(reading_std_m=0.001, **same))


def test_the_stated_error_of_a_two_peg_test_is_that_of_many_tests() -> None:
    draws = np.random.default_rng(7).normal(0.0, 0.002, (4, 40_000))
    sights = {"first_sights_m": (25.0, 25.0), "second_sights_m": (55.0, 5.0)}
    slopes = two_peg_slope(first_m=(draws[0], draws[1]), second_m=(draws[2], draws[3]), **sights)
    stated = float(two_peg_slope_std(reading_std_m=0.002, **sights))
    assert stated == pytest.approx(float(slopes.std()), rel=0.02)
