"""Ratings of plastic pipe against published ones."""

import pytest

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.pipe_rating import (
    DESIGN_STRESS_PA,
    PLASTICS_PIPE_INSTITUTE,
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
def test_pe100_by_its_outside(ratio: str, bar: str) -> None:
    """8 MPa; the classes are the rounded ones of a preferred series."""
    example = WorkedExample(
        name=f"PE100 SDR {ratio}",
        kind="published",
        source=RATING_PAGES.at(f"PE100 SDR {ratio}"),
        inputs={"ratio": ratio},
        printed={"rating": bar},
        looser_because={"rating": (str(0.02 * float(bar)), "rounded to a class")},
    )
    rating = rating_by_outside_pa(example.given("ratio"), design_stress_pa=to_si(8.0, "MPa"))
    example.assert_result("rating", from_si(float(rating), "bar"))


@pytest.mark.parametrize(
    ("ratio", "printed", "code"),
    [("7", "250", "PE4710"), ("9", "200", "PE4710"), ("11.5", "160", "PE4710"),
     ("15", "100", "PE3608"), ("19", "80", "PE3608")],
)  # fmt: skip
def test_one_page_mixes_two_materials(ratio: str, printed: str, code: str) -> None:
    """Its first three ratings are those of one material, its last two those of another."""
    example = WorkedExample(
        name=f"SIDR {ratio}",
        kind="published",
        source=RATING_PAGES.at(f"SIDR {ratio}"),
        inputs={"ratio": ratio},
        printed={"rating": printed},
    )
    by_code = {
        name: from_si(
            float(rating_by_inside_pa(example.given("ratio"), design_stress_pa=stress)), "psi"
        )
        for name, stress in DESIGN_STRESS_PA.items()
    }
    example.assert_result("rating", by_code[code])
    other = "PE3608" if code == "PE4710" else "PE4710"
    assert abs(by_code[other] - example.result("rating")) > 15
