"""Ratings of plastic pipe against published ones."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.pipe_rating import (
    BAR_CLASSES_PA,
    DESIGN_STRESS_PA,
    ISO_DESIGN_STRESS_PA,
    PLASTICS_PIPE_INSTITUTE,
    PSI_CLASSES_PA,
    pressure_class_pa,
    rating_by_inside_pa,
    rating_by_outside_pa,
)
from tests.worked_examples import WorkedExample

RATING_PAGES = Source(
    key="polyethylene-rating-pages",
    author="various suppliers",
    title="Pressure ratings of polyethylene pipe",
    year="no year",
    obtained="read in a copy",
)


@pytest.mark.parametrize(
    ("code", "ratio", "psi"),
    [("PE4710", "7", "333"), ("PE4710", "9", "250"), ("PE4710", "11", "200"),
     ("PE4710", "13.5", "160"), ("PE4710", "17", "125"), ("PE3608", "11", "160")],
)  # fmt: skip
def test_american_polyethylene_by_its_outside(code: str, ratio: str, psi: str) -> None:
    example = WorkedExample(
        name=f"{code} DR {ratio}",
        kind="published",
        source=PLASTICS_PIPE_INSTITUTE.at(f"DR {ratio}"),
        inputs={"ratio": ratio},
        printed={"rating": psi},
    )
    rating = rating_by_outside_pa(example.given("ratio"), design_stress_pa=DESIGN_STRESS_PA[code])
    example.assert_result("rating", from_si(float(rating), "psi"))


@pytest.mark.parametrize(
    ("ratio", "bar"),
    [("7.4", "25"), ("9", "20"), ("11", "16"), ("13.6", "12.5"), ("17", "10"), ("21", "8"),
     ("26", "6.3"), ("33", "5"), ("41", "4")],
)  # fmt: skip
def test_the_class_of_pe100_is_its_rating_rounded_down_to_the_series(ratio: str, bar: str) -> None:
    example = WorkedExample(
        name=f"PE100 SDR {ratio}",
        kind="published",
        source=RATING_PAGES.at(f"PE100 SDR {ratio}"),
        inputs={"ratio": ratio},
        printed={"class": bar},
    )
    rating = rating_by_outside_pa(
        example.given("ratio"), design_stress_pa=ISO_DESIGN_STRESS_PA["PE100"]
    )
    found = pressure_class_pa(rating, classes_pa=BAR_CLASSES_PA)
    example.assert_result("class", from_si(float(found), "bar"))


def test_no_class_stands_under_the_least_and_none_over_the_greatest() -> None:
    found = pressure_class_pa([1e5, to_si(2.5, "bar"), 9e6], classes_pa=BAR_CLASSES_PA)
    assert np.isnan(found[0])
    assert found[1:].tolist() == [BAR_CLASSES_PA[0], BAR_CLASSES_PA[-1]]


@given(st.floats(to_si(50.0, "psi"), 5e6), st.sampled_from([BAR_CLASSES_PA, PSI_CLASSES_PA]))
def test_a_class_is_never_more_than_the_rating_nor_two_steps_under_it(
    rating: float, classes: tuple[float, ...]
) -> None:
    found = float(pressure_class_pa(rating, classes_pa=classes))
    assert found in classes
    assert found <= rating * 1.000001
    assert rating < 1.3 * found or found == classes[-1]


@pytest.mark.parametrize(
    ("ratio", "printed", "right"),
    [("7", "250", ""), ("9", "200", ""), ("11.5", "160", ""), ("15", "100", "125"),
     ("19", "80", "100")],
)  # fmt: skip
def test_one_page_mixes_two_materials(ratio: str, printed: str, right: str) -> None:
    """Its first three ratings are those of PE4710, its last two those of PE3608."""
    example = WorkedExample(
        name=f"SIDR {ratio}",
        kind="published",
        source=RATING_PAGES.at(f"SIDR {ratio}"),
        inputs={"ratio": ratio},
        printed={"rating": printed},
        errata={"rating": right} if right else {},
    )
    by_code = {
        code: from_si(
            float(rating_by_inside_pa(example.given("ratio"), design_stress_pa=stress)), "psi"
        )
        for code, stress in DESIGN_STRESS_PA.items()
    }
    example.assert_result("rating", by_code["PE4710"])
    if right:
        assert by_code["PE3608"] == pytest.approx(float(printed))


@pytest.mark.parametrize(
    ("ratio", "psi"), [("7", 200), ("9", 160), ("11.5", 128), ("15", 100), ("19", 80)]
)
def test_the_weaker_polyethylene_by_its_inside(ratio: str, psi: float) -> None:
    rating = rating_by_inside_pa(float(ratio), design_stress_pa=DESIGN_STRESS_PA["PE3608"])
    assert psi == pytest.approx(from_si(float(rating), "psi"))


@given(st.floats(2.0, 60.0), st.floats(1e6, 2e7))
def test_a_wall_bears_the_same_by_its_inside_and_its_outside(ratio: float, stress: float) -> None:
    """SIDR + 2 is the diameter ratio of the same pipe."""
    inside = float(rating_by_inside_pa(ratio, design_stress_pa=stress))
    outside = float(rating_by_outside_pa(ratio + 2, design_stress_pa=stress))
    assert inside == pytest.approx(outside)
