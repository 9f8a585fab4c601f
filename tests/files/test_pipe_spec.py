"""What people write on pipes, and what is said back."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.quantities import QuantityError
from terrain_head.base.units import from_si, to_si
from terrain_head.files.pipe_spec import parse_spec
from terrain_head.scheme.parts import PipeSpec
from terrain_head.scheme.pipe_table import PIPE_TABLE, PipeSize

STEEL = "steel ASME B36.10 2 in Sch 40"
PE = "PE100 ISO 4427 32 mm SDR 11"
PVC = "PVC ASTM D1785 1-1/2 in Sch 40"


def read(value: object) -> PipeSpec:
    return parse_spec(value, where="pipe.beds.spec")[0]


def refused(value: object) -> tuple[str, str]:
    with pytest.raises(QuantityError) as raised:
        read(value)
    return raised.value.trouble.what, raised.value.trouble.write


@pytest.mark.parametrize("row", PIPE_TABLE, ids=lambda row: row.label)
def test_every_row_is_read_by_its_own_label(row: PipeSize) -> None:
    assert row.label == read(row.label).label


@pytest.mark.parametrize(
    ("written", "label"),
    [
        ("STEEL asme b36.10 2in SCH40", STEEL),
        ("2 in schedule 40 steel", STEEL),
        ("sch. 40 B36.10M 2 inch", STEEL),
        ("PVC D1785 1.5 in Sch-40", PVC),
        ('pvc 1-1/2" sch 40', PVC),
        ("1 1/2 in, PVC, Schedule 40", PVC),
        ("Sch 40 1-1/2 in PVC ASTM-D1785", PVC),
        ("PE 100 ISO 4427-2 32 mm SDR11", PE),
        ("32mm PE100 PN16", PE),
        ("PE100 32 x 3.0 mm SDR 11", PE),
        ("PE100 32x3.0 SDR 11", PE),
        ("dn32 hdpe sdr-11", PE),
        ("poly 1 in SIDR 11.5", "PE ASTM D2239 1 in SIDR 11.5"),
        ("PE ASTM D2239 1-in SIDR-15", "PE ASTM D2239 1 in SIDR 15"),
        ("galvanised steel 2 in Sch 40", "galvanized steel ASME B36.10 2 in Sch 40"),
        ('2" galv Sch 40', "galvanized steel ASME B36.10 2 in Sch 40"),
        ("2 in ASTM A53 Sch 40", STEEL),
        ("2 in black iron pipe, sch 40", STEEL),
        ("DN50 steel Sch 40", STEEL),
        ("2 in IPS steel Sch 40", STEEL),
        ("DN 50 galvanised medium", "galvanized steel EN 10255 DN 50 medium"),
        ('1" galvanised heavy', "galvanized steel EN 10255 DN 25 heavy"),
        ("EN 10255 DN25 heavy", "steel EN 10255 DN 25 heavy"),
        ("BS 1387 DN25 heavy", "steel EN 10255 DN 25 heavy"),
        ("pvc 1 in class 200", "PVC ASTM D2241 1 in SDR 21"),
        ("PVC 1 in 160 psi", "PVC ASTM D2241 1 in SDR 26"),
        ("1/2 in PVC class 315", "PVC ASTM D2241 1/2 in SDR 13.5"),
        ("1 in PE 100 psi SIDR 19", "PE4710 ASTM D2239 1 in SIDR 19"),
        ("1 in PE 80 psi SIDR 19", "PE3608 ASTM D2239 1 in SIDR 19"),
        ("1\u00bd\u2033 SDR-21 PVC IPS", "PVC ASTM D2241 1-1/2 in SDR 21"),
        (".75 in PVC Sch 40", "PVC ASTM D1785 3/4 in Sch 40"),
        ("PVC 4 Sch 80", "PVC ASTM D1785 4 in Sch 80"),
        ("three quarter pvc sch 40", "PVC ASTM D1785 3/4 in Sch 40"),
        ("63 PE100 SDR 17", "PE100 ISO 4427 63 mm SDR 17"),
        ("PE100 50mm PN10", "PE100 ISO 4427 50 mm SDR 17"),
        ("PE100 63mm PN 6", "PE100 ISO 4427 63 mm SDR 26"),
        ("16 bar 32mm PE100", PE),
        ("1600 kPa PE100 32mm", PE),
        ("PE100 32mm SDR 11 PN 16", PE),
        ("32 x 3.0 PE100", PE),
        ("PE100 \u00f832 SDR 11, 100 m roll", PE),
        ("PE100 32 mm PN 12.5", "PE100 ISO 4427 32 mm SDR 13.6"),
        ("32mm blue MDPE SDR 11", "PE80 ISO 4427 32 mm SDR 11"),
        ("PE 80 32 mm SDR 11", "PE80 ISO 4427 32 mm SDR 11"),
        ("2 in HDPE DR 11", "PE ASTM D3035 2 in DR 11"),
        ("1 in SIDR 15 PE4710", "PE4710 ASTM D2239 1 in SIDR 15"),
        ("1-1/2 in PE 3408 SIDR-15", "PE3608 ASTM D2239 1-1/2 in SIDR 15"),
        ("1 in SIDR 15 100 psi", "PE3608 ASTM D2239 1 in SIDR 15"),
        ("1 in 100# SIDR 19", "PE4710 ASTM D2239 1 in SIDR 19"),
        ("1-1/4 CTS 200 psi", "PE3608 ASTM D2737 1-1/4 in SDR 9"),
        ("1 in SDR 9 CTS PE4710, 1\" x 300' coil", "PE4710 ASTM D2737 1 in SDR 9"),
    ],
)
def test_order_case_hyphens_and_spaces_do_not_matter(written: str, label: str) -> None:
    assert label == read(written).label


@given(st.sampled_from([row.label for row in PIPE_TABLE]), st.sampled_from(["-", "  ", ", "]))
def test_any_label_is_read_in_lower_case_with_other_gaps(label: str, gap: str) -> None:
    # The hyphen of 1-1/2 is part of the size: only the gaps between words change.
    assert label == read(label.lower().replace(" ", gap)).label


def test_galvanized_steel_is_rougher_than_plain() -> None:
    rough = read("galvanized steel ASME B36.10 2 in Sch 40").roughness_m.value
    assert rough > read(STEEL).roughness_m.value
    assert "no pipe of the table" in refused("galvanized PE 1 in SIDR 15")[0]


def test_the_roughness_is_said_to_be_taken() -> None:
    spec, taken = parse_spec(PE, where="pipe.beds.spec")
    assert [value.key for value in taken] == ["pipe.beds.spec.roughness"]
    assert spec.roughness_m.value == taken[0].value_si
    assert taken[0].citation.source.key == "roughness-tables"


def test_the_print_of_american_polyethylene_gives_its_rating() -> None:
    for code, psi in (("PE4710", 125.0), ("PE3608", 100.0), ("PE3408", 100.0)):
        rating = read(f"{code} ASTM D2239 1 in SIDR 15").rating_pa
        assert rating is not None
        assert psi == pytest.approx(from_si(rating, "psi"))
    assert read("PE ASTM D2239 1 in SIDR 15").rating_pa is None
    assert "no pipe of the table" in refused(PVC.replace("PVC", "PVC PE4710"))[0]


def test_the_print_gives_the_rating_of_outside_sized_polyethylene_too() -> None:
    for written, psi in (
        ("PE4710 ASTM D3035 1 in DR 11", 200.0),
        ("PE3608 ASTM D3035 1 in DR 11", 160.0),
        ("PE4710 ASTM D2737 1 in SDR 9", 250.0),
    ):
        spec = read(written)
        assert spec.label == written
        assert spec.rating_pa is not None
        assert psi == pytest.approx(from_si(spec.rating_pa, "psi"))


def test_a_rating_beside_steel_is_taken_from_the_text() -> None:
    assert read("steel 2 in Sch 40, 300 psi").rating_pa == to_si(300.0, "psi")


def test_a_hundred_pound_inch_pipe_is_two_pipes() -> None:
    what, write = refused("1 inch black poly, 100 lb")
    assert "SIDR 15 of PE3608 or SIDR 19 of PE4710" in what
    assert "Look along the pipe" in what
    lines = write.splitlines()
    assert len(lines) == 2
    for line in lines:
        text = re.fullmatch(r'spec = "(.*)"', line)
        assert text is not None
        rating = read(text[1]).rating_pa
        assert rating is not None
        assert from_si(rating, "psi") == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("written", "said", "offered"),
    [
        ("PE100 ISO 4427 33 mm SDR 11", "no pipe of 33 mm", "32 mm SDR 11"),
        ("PE100 ISO 4427 33 mm", "no pipe of 33 mm", "32 mm SDR 11"),
        ("110mm pvc PN10", "no pipe of 110mm", "4 in Sch 40"),
        ("PVC ASTM D1785 1-1/2 in Sch 20", "'sch 20'", "1-1/2 in Sch 40"),
        ("2 in B36.10 medium", "'medium'", "2 in Sch 40"),
        ("PE100 32 mm PN 7", "none of this size bears PN 7", "32 mm SDR 11"),
        ("PVC Sch 40", "names no size", "1/2 in Sch 40"),
        ("PVC 10 Sch 40", "names no size", "1/2 in Sch 40"),
        ("PE100 32 40 SDR 11", "names no size", "20 mm"),
        ("2 in steel", "does not say which wall", "2 in Sch 40"),
        ("2 inch galvanised", "Sch 40, Sch 80, medium, heavy", "DN 50 heavy"),
        ("3/4 pvc", "Sch 40, Sch 80, SDR 13.5, SDR 17, SDR 21", "PVC ASTM D2241 3/4 in SDR 21"),
        ("32mm blue MDPE", "SDR 11, SDR 13.6, SDR 17", "PE80 ISO 4427 32 mm SDR 17"),
        ("25mm polythene", "PE100 SDR 11, PE80 SDR 11", "PE80 ISO 4427 25 mm SDR 11"),
        ("25 mm PE 100 m roll", "PE100 SDR 11, PE80 SDR 11", "PE80 ISO 4427 25 mm SDR 11"),
        ("1-1/4 CTS", "holds SDR 9", "PE ASTM D2737 1-1/4 in SDR 9"),
        ("PE 4427 32 SDR11", "SDR 11 of PE100 or SDR 11 of PE80", "PE80 ISO 4427 32 mm SDR 11"),
        ("40 mm poly SDR 9", "may be SDR 9 of PE100. Look", "PE100 ISO 4427 40 mm SDR 9"),
        ("40 x 4.5 poly", "may be SDR 9 of PE100. Look", "PE100 ISO 4427 40 mm SDR 9"),
        ("poly 63 mm PN 20", "SDR 9 of PE100: it bears about PN 20", "63 mm SDR 9"),
        (
            "heavy black poly, 1 in 100 psi",
            "SIDR 15 of PE3608 or",
            "PE4710 ASTM D2239 1 in SIDR 19",
        ),
        ("2 heavy", "does not say what pipe", "2 in"),
        ("3/4 Sch 80 PN10", "does not bear PN10", "3/4 in"),
        ("50mm PN10", "SDR 17 of PE100 or SDR 13.6 of PE80", "PE100 ISO 4427 50 mm SDR 17"),
        ("1 in 250 psi poly", "SDR 9 of PE4710 to ASTM D2737", "PE4710 ASTM D3035 1 in DR 9"),
        ("PE100 ISO 4427 32 mm", "SDR 11, SDR 13.6, SDR 17", "SDR 17"),
        ("poly 1 in", "SIDR 7, SIDR 9, SIDR 11.5, SIDR 15, SIDR 19", "SIDR 19"),
        ("poly 1 in 16 bar", "does not say which wall", "SIDR 7"),
        ("poly 1 in 37 psi", "none of this size bears 37 psi", "SIDR 7"),
        ("1 in SIDR 15 110 psi", "does not bear 110 psi", 'SIDR 15", rating = "..."'),
        ("PE100 32mm SDR 11 PN 10", "does not bear PN 10", "32 mm SDR 17"),
        ("pvc 1 in sch 40 200 psi", "does not bear 200 psi", "1 in SDR 21"),
        ("1 in", "does not say what pipe", "PVC ASTM D1785 1 in Sch 40"),
        ("copper 15 mm", "holds no copper pipe", 'material = "copper"'),
        ("3/4 cpvc", "holds no cpvc pipe", 'material = "cpvc"'),
        ("25mm LDPE", "holds no ldpe pipe", 'material = "ldpe"'),
        ("2 in bamboo PN10", "holds no bamboo pipe", 'material = "bamboo"'),
        ("PVC B36.10 2 in Sch 40", "no pipe of the table", "2 in Sch 40"),
        ("1/0 in pvc sch 40", "names no size", "1/2 in Sch 40"),
        ("", "still blank", "PE100"),
        (" ? ", "still blank", "PE100"),
        (5, "no pipe", "PE100"),
        (["PE100"], "no pipe", "PE100"),
    ],
)
def test_what_is_not_understood_is_answered_with_the_nearest(
    written: object, said: str, offered: str
) -> None:
    what, write = refused(written)
    assert said in what
    assert offered in write


@pytest.mark.parametrize(
    "written",
    ["PE100 33 mm SDR 11", "poly 1 in", "50mm PN10", "2 inch galvanised", "1 in 250 psi poly",
     "3/4 pvc", "PE 4427 32 SDR11", "half inch poly", "1 in"],
)  # fmt: skip
def test_every_offered_line_is_itself_read(written: str) -> None:
    lines = refused(written)[1].splitlines()
    texts = [match[1] for line in lines if (match := re.fullmatch(r'spec = "(.*)"', line))]
    assert texts
    for text in texts:
        assert text == read(text).label


WORDS = st.sampled_from(
    ["1", "3/4", "1-1/4", '2"', "32", "50mm", "DN 25", "in", "inch", "pvc", "poly", "PE100", "MDPE",
     "HDPE", "steel", "galvanised", "Sch 40", "SDR", "11", "DR 9", "SIDR 15", "PN10", "100 lb",
     "200 psi", "16 bar", "CTS", "IPS", "4427", "D2239", "B36.10", "10255", "medium", "x", "3.0",
     "100m", "black", "PE4710", "-", ",", "/", "\u00bd", "#", "pn", "od"]
)  # fmt: skip


@given(st.one_of(st.text(max_size=30), st.lists(WORDS, max_size=7).map(" ".join)))
def test_any_text_is_a_pipe_or_is_answered_with_what_to_write(written: str) -> None:
    try:
        spec = read(written)
    except QuantityError as error:
        trouble = error.trouble
    else:
        assert spec.citation is not None
        return
    assert trouble.what
    assert "spec = " in trouble.write


def test_a_pipe_by_its_inside() -> None:
    spec, taken = parse_spec(
        {"inside": "26 +- 0.2 mm", "rating": "16 bar", "roughness": "0.0015 mm", "material": "PE"},
        where="pipe.beds.spec",
    )
    assert spec.inside_m.value == pytest.approx(0.026)
    assert spec.inside_m.std == pytest.approx(0.0002)
    assert spec.rating_pa == to_si(16.0, "bar")
    assert spec.roughness_m.value == pytest.approx(1.5e-6)
    assert spec.inside_basis == "stated"
    assert spec.citation is None
    assert spec.rigid is False
    assert taken == ()


def test_a_pipe_by_its_inside_takes_the_roughness_of_its_material() -> None:
    spec, taken = parse_spec({"inside": "1 in", "material": "steel", "wall": "3 mm"}, where="x")
    assert spec.roughness_m.value == taken[0].value_si == pytest.approx(45e-6)
    assert taken[0].key == "x.roughness"
    assert spec.rigid is True
    assert spec.rating_pa is None
    assert spec.wall_m == pytest.approx(0.003)


@pytest.mark.parametrize(
    ("material", "left"),
    [("PE100", 0.84), ("pe 100", 0.84), ("PE", None), ("PVC", 0.572), ("steel", 1.0)],
)
def test_a_stated_rating_sinks_in_warm_water_by_its_material(
    material: str, left: float | None
) -> None:
    table = {"inside": "26 mm", "rating": "10 bar", "material": material}
    found = read({**table, "roughness": "0.0015 mm"}).rating_at(40.0)
    assert (found is None) == (left is None)
    if left is not None and found is not None:
        assert left == pytest.approx(found / 1e6, abs=1e-6)


def test_a_material_of_ones_own_needs_its_roughness() -> None:
    spec = read({"inside": "26 mm", "material": "bamboo", "roughness": "0.5 mm"})
    assert spec.material == "bamboo"
    assert spec.rigid is None
    assert "'bamboo' is not known" in refused({"inside": "26 mm", "material": "bamboo"})[0]
    assert "no material" in refused({"inside": "26 mm"})[0]


def test_a_standard_with_its_printed_rating_or_an_old_wall() -> None:
    rated = read({"standard": STEEL, "rating": "300 psi"})
    assert rated.label == STEEL
    assert rated.rating_pa == to_si(300.0, "psi")
    spec, taken = parse_spec({"standard": STEEL, "roughness": "1 mm"}, where="x")
    assert spec.roughness_m.value == pytest.approx(1e-3)
    assert taken == ()


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ({"rating": "16 bar"}, "inside diameter"),
        ({"inside": "26 mm", "colour": "black"}, "'colour'"),
        ({"inside": 26}, "no unit"),
        ({"inside": "26"}, "no unit"),
        ({"inside": "26 bar"}, "a pressure"),
        ({"inside": "0 mm", "material": "PE"}, "more than 0"),
        ({"inside": "26 mm", "roughness": "9 mm"}, "roughness"),
        ({"inside": "26 mm", "roughness": "-1 mm"}, "roughness"),
        ({"inside": "26 mm", "material": "PE", "rating": 16}, "no unit"),
        ({"inside": "26 mm", "material": "PE", "rating": "-1 bar"}, "more than 0"),
        ({"standard": STEEL, "inside": "26 mm"}, "'inside' stands beside"),
        ({"standard": 4427}, "4427"),
        ({"standard": "2 in bamboo"}, "holds no bamboo pipe"),
        ({"standard": "2 in zinc"}, "does not say what pipe"),
    ],
)
def test_a_table_that_cannot_be_is_answered(table: dict[str, object], said: str) -> None:
    what, write = refused(table)
    assert said in what
    assert write
