"""Levels read both ways across a stream, against printed examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.formulas.reciprocal import (
    far_reading_error_m,
    reciprocal_rise_m,
    refraction_of_long_sight,
    slope_of_long_sight,
)
from terrain_head.formulas.sighting import (
    curvature_and_refraction_m,
    curvature_m,
    farthest_sight_m,
)
from tests.worked_examples import WorkedExample

TEACHING_PAGES = Source(
    key="reciprocal-teaching-pages",
    author="two teaching pages",
    title="A dumpy level at two pegs, true difference 0.770 m",
    year="no year",
)
EXERCISES = Source(
    key="reciprocal-exercises",
    author="unnamed",
    title="Exercises on levels across a river",
    year="no year",
    obtained="read in a copy",
)
PEGS = WorkedExample(
    name="two pegs",
    kind="published",
    source=TEACHING_PAGES.at("instrument heights 1.490 and 1.540 m"),
    inputs={"A from A": "1.490", "B from A": "2.195", "A from B": "0.705", "B from B": "1.540"},
    printed={"fall": "0.770"},
)
RIVER = WorkedExample(
    name="a river",
    kind="by hand",
    source=EXERCISES.at("its readings; results worked from them"),
    inputs={
        "A from A": "1.225", "B from A": "1.375", "A from B": "0.850", "B from B": "0.500",
        "elevation A": "626.155",
    },
    printed={"elevation B": "626.255", "far error": "0.250"},
)  # fmt: skip
LONG = WorkedExample(
    name="780 m",
    kind="by hand",
    source=EXERCISES.at("earth's diameter 12 740 km; results worked from its readings"),
    inputs={
        "A from A": "1.472", "B from A": "1.835", "A from B": "1.213", "B from B": "1.496",
        "distance": "780", "diameter": "12740000",
    },
    printed={
        "fall": "0.323", "far error": "0.040", "curvature": "0.0478", "refraction": "0.16",
        "sight of 3 mm": "211",
    },
)  # fmt: skip


@pytest.mark.parametrize("example", [PEGS, RIVER, LONG], ids=lambda one: one.name)
def test_printed_readings_from_both_banks(example: WorkedExample) -> None:
    given_ = example.given
    from_a = (given_("A from A"), given_("B from A"))
    from_b = (given_("A from B"), given_("B from B"))
    rise = float(reciprocal_rise_m(from_start_m=from_a, from_end_m=from_b))
    error = float(far_reading_error_m(from_start_m=from_a, from_end_m=from_b))
    computed = {"fall": -rise, "far error": error}
    if "elevation A" in example.inputs:
        computed["elevation B"] = given_("elevation A") + rise
    if "distance" in example.inputs:
        distance = given_("distance")
        computed["curvature"] = float(curvature_m(distance, radius_m=given_("diameter") / 2))
        computed["refraction"] = float(
            refraction_of_long_sight(error, distance_m=distance, slope=0.0)
        )
        computed["sight of 3 mm"] = float(farthest_sight_m(0.003))
    for key in example.printed:
        example.assert_result(key, computed[key])


@given(
    st.floats(-3.0, 3.0), st.floats(-1e-3, 1e-3), st.floats(0.0, 0.3), st.floats(20.0, 1500.0)
)  # fmt: skip
def test_a_made_up_stream_gives_back_its_rise_slope_and_refraction(
    rise: float, slope: float, refraction: float, distance: float
) -> None:
    earth = float(curvature_and_refraction_m(distance, refraction=refraction))
    error = slope * distance + earth
    from_start, from_end = (1.5, 1.5 - rise + error), (1.4 + rise + error, 1.4)
    found = float(reciprocal_rise_m(from_start_m=from_start, from_end_m=from_end))
    assert rise == pytest.approx(found, abs=1e-12)
    long = float(far_reading_error_m(from_start_m=from_start, from_end_m=from_end))
    assert error == pytest.approx(long, abs=1e-12)
    again = float(slope_of_long_sight(long, distance_m=distance, refraction=refraction))
    assert slope == pytest.approx(again, abs=1e-10)
    bent = float(refraction_of_long_sight(long, distance_m=distance, slope=slope))
    assert refraction == pytest.approx(bent, abs=1e-9 / float(curvature_m(distance)))


@given(st.floats(0.0, 1.0), st.floats(0.0, 0.5))
def test_the_farthest_sight_has_the_error_asked_for(error: float, refraction: float) -> None:
    sight = farthest_sight_m(error, refraction=refraction)
    back = float(curvature_and_refraction_m(sight, refraction=refraction))
    assert error == pytest.approx(back, rel=1e-12)
