"""The pipe table against standards, an independent library and published ratings."""

import warnings

import pytest

from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.pipe_rating import rating_by_outside_pa
from terrain_head.scheme.pipe_table import (
    MACHINERYS_HANDBOOK,
    MATERIALS,
    PE100,
    PE_CONTROLLED,
    PIPE_TABLE,
    PVC,
    STEEL,
    PipeSize,
    find_material,
)
from tests.worked_examples import WorkedExample

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from fluids.piping import nearest_pipe

SIZES = {row.label: row for row in PIPE_TABLE}


@pytest.mark.parametrize("row", STEEL, ids=lambda row: row.size)
def test_steel_equals_an_independent_library(row: PipeSize) -> None:
    """`fluids` rounds walls to 0.01 mm and outsides to 0.1 mm."""
    size = from_si(row.nominal_m, "in")
    _, inside, outside, wall = nearest_pipe(NPS=size, schedule="40")  # type: ignore[arg-type]
    assert wall == pytest.approx(row.wall_m, abs=0.006e-3)
    assert outside == pytest.approx(row.outside_m, abs=0.06e-3)
    assert inside == pytest.approx(row.inside_m, abs=0.07e-3)


@pytest.mark.parametrize(
    ("size", "inches"),
    [("1/2", "0.622"), ("3/4", "0.824"), ("1", "1.049"), ("1-1/4", "1.380"), ("1-1/2", "1.610"),
     ("2", "2.067"), ("3", "3.068"), ("4", "4.026")],
)  # fmt: skip
def test_printed_insides_of_steel(size: str, inches: str) -> None:
    row = SIZES[f"steel ASME B36.10 {size} in Sch 40"]
    example = WorkedExample(
        name=row.label,
        kind="published",
        source=row.citation,
        inputs={},
        printed={"inside": inches},
    )
    example.assert_result("inside", from_si(row.inside_m, "in"))


@pytest.mark.parametrize(
    ("size", "psi"),
    [("1/2", "600"), ("3/4", "480"), ("1", "450"), ("1-1/4", "370"), ("1-1/2", "330"),
     ("2", "280"), ("3", "260"), ("4", "220")],
)  # fmt: skip
def test_ratings_of_pvc_follow_from_wall_and_design_stress(size: str, psi: str) -> None:
    row = SIZES[f"PVC ASTM D1785 {size} in Sch 40"]
    example = WorkedExample(
        name=row.label,
        kind="published",
        source=MACHINERYS_HANDBOOK.at("p. 2770, table 13"),
        inputs={"stress": "2000"},
        printed={"rating": psi},
        looser_because={"rating": ("6", "printed to tens")},
    )
    stress = to_si(example.given("stress"), "psi")
    rating = rating_by_outside_pa(row.outside_m / row.wall_m, design_stress_pa=stress)
    example.assert_result("rating", from_si(float(rating), "psi"))
    assert row.rating_pa is not None
    assert from_si(row.rating_pa, "psi") == pytest.approx(example.result("rating"))


def test_pvc_is_narrower_on_average_than_its_least_wall_would_leave() -> None:
    for row in PVC:
        assert row.inside_basis == "average"
        assert 0 < row.outside_m - 2 * row.wall_m - row.inside_m < 0.03 * row.outside_m


def test_pe100_rows() -> None:
    assert len([row for row in PE100 if row.grade == "SDR 11"]) == 9
    assert len([row for row in PE100 if row.grade == "SDR 17"]) == 7
    for row in PE100:
        ratio = float(row.grade.split()[1])
        assert row.outside_m / row.wall_m == pytest.approx(ratio, rel=0.1)
        assert row.rating_pa is not None
        by_formula = rating_by_outside_pa(ratio, design_stress_pa=8e6)
        assert row.rating_pa == pytest.approx(float(by_formula), rel=0.001)
    assert from_si(SIZES["PE100 ISO 4427 32 mm SDR 11"].inside_m, "mm") == pytest.approx(26.0)
    assert from_si(SIZES["PE100 ISO 4427 63 mm SDR 17"].inside_m, "mm") == pytest.approx(55.4)


def test_controlled_insides_are_alike_whatever_the_wall_and_no_rating_is_assumed() -> None:
    by_size: dict[str, set[float]] = {}
    for row in PE_CONTROLLED:
        by_size.setdefault(row.size, set()).add(row.inside_m)
        assert row.rating_pa is None
        assert from_si(row.wall_m, "in") >= 0.06
    assert {size: len(insides) for size, insides in by_size.items()} == dict.fromkeys(by_size, 1)


def test_no_rating_of_steel_is_assumed() -> None:
    assert {row.rating_pa for row in STEEL} == {None}


@pytest.mark.parametrize("row", PIPE_TABLE, ids=lambda row: row.label)
def test_every_row_is_a_pipe_with_a_source(row: PipeSize) -> None:
    assert row.citation.where
    assert (row.rating_pa is None) == (row.rating_citation is None)
    assert 0 < row.inside_m < row.outside_m
    gap = row.outside_m - 2 * row.wall_m - row.inside_m
    assert gap >= -1e-12
    spec = row.spec()
    assert spec.label == row.label
    assert spec.inside_m.value == row.inside_m
    assert spec.wall_m == row.wall_m
    assert spec.rating_pa == row.rating_pa
    assert spec.citation == row.citation
    assert spec.rigid is (row.material.name == "steel")
    assert row.spec(rating_pa=2e6).rating_pa == 2e6


def test_labels_are_unique_and_say_the_row() -> None:
    assert len(SIZES) == len(PIPE_TABLE)
    assert "PE ASTM D2239 1-1/2 in SIDR 11.5" in SIZES


def test_materials_are_found_by_what_people_call_them() -> None:
    for word, name in (("Poly", "PE"), ("uPVC", "PVC"), ("galvanised  steel", "galvanized steel")):
        material = find_material(word)
        assert material is not None
        assert material.name == name
    assert find_material("bamboo") is None


def test_plastic_is_smooth_and_no_plastic_is_taken_for_concrete() -> None:
    for name in ("PE", "PVC"):
        assert from_si(MATERIALS[name].roughness_m, "mm") == pytest.approx(0.0015)
        assert not MATERIALS[name].rigid
    assert from_si(MATERIALS["steel"].roughness_m, "mm") == pytest.approx(0.045)
