"""The pipe table against standards, an independent library and published ratings."""

import warnings

import pytest

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.pipe_rating import (
    BAR_CLASSES_PA,
    PVC_DESIGN_STRESS_PA,
    pressure_class_pa,
    rating_by_inside_pa,
    rating_by_outside_pa,
)
from terrain_head.scheme.pipe_table import (
    MACHINERYS_HANDBOOK,
    MATERIALS,
    PE80,
    PE100,
    PE_CONTROLLED,
    PE_COPPER_SIZES,
    PE_IRON_SIZES,
    PIPE_TABLE,
    PVC,
    PVC_BY_RATIO,
    STEEL,
    STEEL_THREADED,
    PipeSize,
    find_material,
)
from terrain_head.scheme.pipe_table_pe_metric import computed_wall_mm
from tests.worked_examples import WorkedExample

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from fluids.piping import nearest_pipe

FLOW_DATA = Source(
    key="pvc-flow-data",
    author="various suppliers",
    title="Flow data of PVC pipe, with the insides of D1785",
    year="no year",
    obtained="read in a copy",
)
LINE_PIPE_PAGE = Source(
    key="polyethylene-size-pages",
    author="various suppliers",
    title="Sizes of polyethylene pipe to D3035 and ISO 4427",
    year="no year",
    obtained="read in a copy",
)
SIZES = {row.label: row for row in PIPE_TABLE}
INCHES = ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "3", "4")
WHOLE_TABLE = pytest.mark.parametrize("row", PIPE_TABLE, ids=lambda row: row.label)


def number(row: PipeSize) -> float:
    return float(row.grade.split()[1])


def independent(size: float, schedule: str) -> tuple[float, float, float]:
    """Return inside, outside and wall of an independent library's row, never by a material."""
    found, inside, outside, wall = nearest_pipe(NPS=size, schedule=schedule)  # type: ignore[arg-type]
    assert found == size
    return inside, outside, wall


@pytest.mark.parametrize("row", STEEL, ids=lambda row: f"{row.size} {row.grade}")
def test_steel_equals_an_independent_library(row: PipeSize) -> None:
    """`fluids` rounds walls to 0.01 mm and outsides to 0.1 mm."""
    size = from_si(row.nominal_m, "in")
    inside, outside, wall = independent(size, row.grade.removeprefix("Sch "))
    assert wall == pytest.approx(row.wall_m, abs=0.006e-3)
    assert outside == pytest.approx(row.outside_m, abs=0.06e-3)
    assert inside == pytest.approx(row.inside_m, abs=0.07e-3)


@pytest.mark.parametrize("row", STEEL_THREADED, ids=lambda row: f"{row.size} {row.grade}")
def test_threaded_steel_equals_an_independent_library(row: PipeSize) -> None:
    """`fluids` has it as BS 1387, the standard before, by the metric name of the size."""
    size = from_si(row.nominal_m, "mm")
    inside, outside, wall = independent(size, f"BS1387{row.grade.upper()}")
    assert wall == pytest.approx(row.wall_m)
    assert outside == pytest.approx(row.outside_m)
    assert inside == pytest.approx(row.inside_m)


def schedule_of(row: PipeSize) -> str:
    ratio = row.grade.split()[1].replace(".", "")
    return {
        "ASTM D1785": f"{ratio}D1785",
        "ASTM D2241": f"DR{ratio}D2241",
        "ASTM D3035": f"DR{ratio}F2619IPS",
    }[row.standard]


@pytest.mark.parametrize(
    "row", [*PVC, *PVC_BY_RATIO, *PE_IRON_SIZES], ids=lambda row: f"{row.size} {row.grade}"
)
def test_plastic_by_its_outside_equals_an_independent_library(row: PipeSize) -> None:
    """The rows of F2619 have the outsides and least walls of D3035."""
    size = from_si(row.nominal_m, "in")
    inside, outside, wall = independent(size, schedule_of(row))
    assert wall == pytest.approx(row.wall_m, abs=1e-8)
    assert outside == pytest.approx(row.outside_m, abs=1e-8)
    assert inside == pytest.approx(row.widest_inside_m, abs=1e-8)


@pytest.mark.parametrize("row", PE_COPPER_SIZES, ids=lambda row: row.size)
def test_copper_sizes_have_the_outsides_of_an_independent_library(row: PipeSize) -> None:
    _, outside, _ = independent(from_si(row.nominal_m, "in"), "DR11D2241CTS")
    assert outside == pytest.approx(row.outside_m, abs=1e-8)


PRINTED_INSIDES = {
    "steel ASME B36.10 {} in Sch 40": (
        "0.622", "0.824", "1.049", "1.380", "1.610", "2.067", "3.068", "4.026"),
    "PVC ASTM D1785 {} in Sch 40": (
        ".608", ".810", "1.033", "1.364", "1.592", "2.049", "3.042", "3.998"),
    "PVC ASTM D1785 {} in Sch 80": (
        ".528", ".724", ".935", "1.256", "1.476", "1.913", "2.864", "3.786"),
    "PE ASTM D3035 {} in DR 11": (
        ".688", ".860", "1.075", "1.358", "1.554", "1.943", "2.864", "3.682"),
    "PE ASTM D3035 {} in DR 9": (
        ".654", ".816", "1.023", "1.292", "1.478", "1.847", "2.722", "3.500"),
}  # fmt: skip
PRINTED_BY = {"steel": None, "PVC": FLOW_DATA, "PE": LINE_PIPE_PAGE}


@pytest.mark.parametrize(
    ("label", "inches"),
    [
        (label.format(size), inches)
        for label, insides in PRINTED_INSIDES.items()
        for size, inches in zip(INCHES, insides, strict=True)
    ],
)
def test_printed_insides(label: str, inches: str) -> None:
    row = SIZES[label]
    page = PRINTED_BY[row.name]
    example = WorkedExample(
        name=label,
        kind="published",
        source=row.citation if page is None else page.at(label),
        inputs={},
        printed={"inside": inches},
    )
    example.assert_result("inside", from_si(row.inside_m, "in"))


@pytest.mark.parametrize(
    ("size", "inches"),
    [("3/4", ".681"), ("1", ".875"), ("1-1/4", "1.069"), ("1-1/2", "1.264"), ("2", "1.653")],
)
def test_copper_sizes_keep_seven_ninths_of_their_outside(size: str, inches: str) -> None:
    row = SIZES[f"PE ASTM D2737 {size} in SDR 9"]
    example = WorkedExample(
        name=row.label,
        kind="by hand",
        source=row.citation,
        inputs={},
        printed={"inside": inches},
    )
    example.assert_result("inside", from_si(row.inside_m, "in"))


PRINTED_WALLS = {
    "11": {"20": "16.0", "25": "20.4", "32": "26.0", "40": "32.6", "50": "40.8", "63": "51.4",
           "75": "61.4", "90": "73.6", "110": "90.0"},
    "17": {"32": "28.0", "40": "35.2", "50": "44.0", "63": "55.4", "75": "66.0", "90": "79.2",
           "110": "96.8"},
}  # fmt: skip


@pytest.mark.parametrize("name", ["PE100", "PE80"])
@pytest.mark.parametrize(
    ("ratio", "outside", "inside"),
    [(ratio, *pair) for ratio, insides in PRINTED_WALLS.items() for pair in insides.items()],
)
def test_printed_sizes_of_metric_polyethylene(
    name: str, ratio: str, outside: str, inside: str
) -> None:
    """Two copies agree; the inside is the outside less two of their walls."""
    row = SIZES[f"{name} ISO 4427 {outside} mm SDR {ratio}"]
    example = WorkedExample(
        name=row.label,
        kind="published",
        source=LINE_PIPE_PAGE.at(f"{outside} mm, SDR {ratio}"),
        inputs={},
        printed={"inside": inside},
    )
    example.assert_result("inside", from_si(row.inside_m, "mm"))
    wall = computed_wall_mm(float(outside), float(ratio))
    assert wall == pytest.approx(from_si(row.wall_m, "mm"), abs=0.1001)


HANDBOOK_RATINGS = {
    "40": ("600", "480", "450", "370", "330", "280", "260", "220"),
    "80": ("850", "690", "630", "520", "470", "400", "370", "320"),
}


@pytest.mark.parametrize(
    ("schedule", "size", "psi"),
    [
        (schedule, *pair)
        for schedule, ratings in HANDBOOK_RATINGS.items()
        for pair in zip(INCHES, ratings, strict=True)
    ],
)
def test_ratings_of_pvc_follow_from_wall_and_design_stress(
    schedule: str, size: str, psi: str
) -> None:
    row = SIZES[f"PVC ASTM D1785 {size} in Sch {schedule}"]
    example = WorkedExample(
        name=row.label,
        kind="published",
        source=MACHINERYS_HANDBOOK.at("p. 2770, table 13"),
        inputs={},
        printed={"rating": psi},
        looser_because={"rating": ("6", "printed to tens")},
    )
    rating = rating_by_outside_pa(row.outside_m / row.wall_m, design_stress_pa=PVC_DESIGN_STRESS_PA)
    example.assert_result("rating", from_si(float(rating), "psi"))
    assert row.rating_pa is not None
    assert from_si(row.rating_pa, "psi") == pytest.approx(float(psi))


@pytest.mark.parametrize(
    ("ratio", "psi"), [(13.5, 315), (17, 250), (21, 200), (26, 160), (32.5, 125), (41, 100)]
)
def test_pvc_by_ratio_bears_its_class_whatever_its_size(ratio: float, psi: float) -> None:
    rows = [row for row in PVC_BY_RATIO if row.ratio == ratio]
    assert {round(from_si(row.rating_pa or 0.0, "psi"), 6) for row in rows} == {psi}
    for row in rows:
        assert row.rating_citation is not None
        assert row.rating_citation.obtained == "computed"
        assert row.wall_m >= 0.98 * row.outside_m / ratio
        assert from_si(row.wall_m, "in") >= 0.0599


def test_pvc_is_narrower_on_average_than_its_least_wall_would_leave() -> None:
    for row in PVC:
        assert row.inside_basis == "average"
        assert 0 < row.widest_inside_m - row.inside_m < 0.03 * row.outside_m


@pytest.mark.parametrize("row", [*PE100, *PE80], ids=lambda row: row.label)
def test_metric_polyethylene_bears_its_class(row: PipeSize) -> None:
    stress = to_si({"PE100": 8.0, "PE80": 6.4}[row.name], "MPa")
    rating = rating_by_outside_pa(number(row), design_stress_pa=stress)
    assert row.rating_pa == pressure_class_pa(rating, classes_pa=BAR_CLASSES_PA)
    assert row.outside_m / row.wall_m == pytest.approx(number(row), rel=0.1)
    assert row.citation.obtained == (
        "read in a copy" if row.grade in {"SDR 11", "SDR 17"} else "computed"
    )


def test_the_weaker_polyethylene_of_one_size_and_wall_bears_less() -> None:
    for row in PE80:
        strong = SIZES[row.label.replace("PE80", "PE100")]
        assert (strong.inside_m, strong.wall_m) == (row.inside_m, row.wall_m)
        assert strong.rating_pa is not None
        assert row.rating_pa is not None
        assert row.rating_pa < strong.rating_pa


def test_controlled_insides_are_alike_whatever_the_wall_and_no_rating_is_assumed() -> None:
    by_size: dict[str, set[float]] = {}
    for row in PE_CONTROLLED:
        by_size.setdefault(row.size, set()).add(row.inside_m)
        assert row.rating_pa is None
        assert from_si(row.wall_m, "in") >= 0.06
    assert {size: len(insides) for size, insides in by_size.items()} == dict.fromkeys(by_size, 1)


def test_american_polyethylene_bears_what_its_printed_code_says() -> None:
    by_inside = SIZES["PE ASTM D2239 1 in SIDR 15"]
    assert {code: round(from_si(pa, "psi")) for code, pa in by_inside.ratings_pa.items()} == {
        "PE4710": 125,
        "PE3608": 100,
    }
    by_outside = SIZES["PE ASTM D3035 1 in DR 11"]
    assert {code: round(from_si(pa, "psi")) for code, pa in by_outside.ratings_pa.items()} == {
        "PE4710": 200,
        "PE3608": 160,
    }
    assert by_outside.most_pa == by_outside.ratings_pa["PE4710"]
    assert by_outside.spec(code="PE3608").label == "PE3608 ASTM D3035 1 in DR 11"
    assert by_outside.spec(code="PE3608").rating_pa == by_outside.ratings_pa["PE3608"]
    assert by_outside.spec(code="PE3608", rating_pa=1e6).rating_pa == 1e6
    assert by_outside.spec().rating_pa is None


@pytest.mark.parametrize("row", [row for row in PIPE_TABLE if row.codes], ids=lambda row: row.label)
def test_printed_codes_are_only_where_a_ratio_gives_the_rating(row: PipeSize) -> None:
    assert row.rating_pa is None
    relation = rating_by_inside_pa if "SIDR" in row.grade else rating_by_outside_pa
    strongest = relation(number(row), design_stress_pa=to_si(1000.0, "psi"))
    assert row.most_pa == pytest.approx(float(strongest))


def test_steel_has_the_metric_name_of_its_size_beside_the_inches() -> None:
    schedules = SIZES["steel ASME B36.10 1-1/4 in Sch 40"]
    series = SIZES["steel EN 10255 DN 32 medium"]
    assert schedules.other_sizes_m == (series.nominal_m,)
    assert series.other_sizes_m == (schedules.nominal_m,)


def test_no_rating_of_steel_is_assumed() -> None:
    assert {row.most_pa for row in (*STEEL, *STEEL_THREADED)} == {None}


@WHOLE_TABLE
def test_every_row_is_a_pipe_with_a_source(row: PipeSize) -> None:
    assert row.citation.where
    assert (row.rating_pa is None) == (row.rating_citation is None)
    assert 0 < row.inside_m < row.outside_m
    gap = row.outside_m - 2 * row.wall_m - row.inside_m
    assert gap >= -1e-12
    assert (gap > 1e-6) == (row.inside_basis == "average")
    assert row.citation.obtained != "read"
    assert (row.derating is None) == row.material.rigid
    spec = row.spec()
    assert spec.label == row.label
    assert spec.inside_m.value == row.inside_m
    assert spec.wall_m == row.wall_m
    assert spec.rating_pa == row.rating_pa
    assert spec.citation == row.citation
    assert spec.rigid is (row.material.name == "steel")
    assert row.spec(rating_pa=2e6).rating_pa == 2e6
    assert spec.derating is row.derating
    assert spec.rating_at(10.0) == row.rating_pa


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
