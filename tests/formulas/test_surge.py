"""Water hammer against printed examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.pipe_rating import PLASTICS_PIPE_INSTITUTE
from terrain_head.formulas.pipe_walls import (
    CROSSLINKED_SURGE,
    SURGE_ALLOWANCES,
    SURGE_TABLE,
    allowed_with_surge_pa,
)
from terrain_head.formulas.surge import (
    BULK_MODULUS_PA,
    ELASTIC_MODULUS_PA,
    WATER_SUPPLY_MANUAL,
    joukowsky_head_m,
    surge_pressure_pa,
    wave_return_s,
    wave_speed_by_ratio_m_s,
    wave_speed_m_s,
)
from tests.worked_examples import WorkedExample

BURIED_PIPE = Source(
    key="buried-pipe-design", author="unnamed", title="Buried Pipe Design",
    year="no year",
)  # fmt: skip


def test_wave_speed_of_a_steel_main() -> None:
    example = WorkedExample(
        name="T9",
        kind="published",
        source=WATER_SUPPLY_MANUAL.at("section 6.17.2"),
        inputs={"inside": "0.813", "wall": "5.8", "modulus": "2.1e10"},
        printed={"speed": "923.36"},
        looser_because={"speed": ("0.01", "its own rounding")},
    )
    # The page's E of 2.1e10 kgf/m2; a kilogram-force is one kilogram at standard gravity.
    speed = wave_speed_m_s(
        inside_m=example.given("inside"),
        wall_m=example.given("wall") / 1000,
        modulus_pa=example.given("modulus") * BULK_MODULUS_PA / 2.07e8,
    )
    example.assert_result("speed", float(speed))


def test_surge_of_stopped_water() -> None:
    example = WorkedExample(
        name="T10",
        kind="published",
        source=BURIED_PIPE.at("p. 220, example 4.2"),
        inputs={"speed": "1311", "stopped": "7"},
        printed={"surge": "122"},
        looser_because={"surge": ("1", "122.7, cut short on the page")},
    )
    head = joukowsky_head_m(
        to_si(example.given("stopped"), "ft/s"),
        wave_speed_m_s=to_si(example.given("speed"), "ft/s"),
    )
    # The page's own 0.43 psi a foot.
    example.assert_result("surge", 0.43 * from_si(float(head), "ft"))


@pytest.mark.parametrize(
    ("ratio", "material", "psi"),
    [("41", "PVC", "11.4"), ("32.5", "PVC", "12.8"), ("25", "PVC", "14.7"),
     ("21", "PVC", "16.0"), ("18", "PVC", "17.4"), ("21", "older PE", "8.8"),
     ("17", "older PE", "9.9"), ("13.5", "older PE", "11.3"), ("11", "older PE", "12.7"),
     ("9", "older PE", "14.3"), ("7.3", "older PE", "16.3")],
)  # fmt: skip
def test_surge_of_plastic_pipe_by_its_ratio(ratio: str, material: str, psi: str) -> None:
    """Rows printed for 1 ft/s; those of DR 51 and DR 14 are garbled in the copy."""
    example = WorkedExample(
        name=f"{material} DR {ratio}",
        kind="published",
        source=SURGE_TABLE.at(f"{material}, DR {ratio}"),
        inputs={"ratio": ratio},
        printed={"surge": psi},
        looser_because={"surge": ("0.1", "PVC DR 21 is cut short, not rounded")},
    )
    speed = wave_speed_by_ratio_m_s(example.given("ratio"), modulus_pa=ELASTIC_MODULUS_PA[material])
    surge = surge_pressure_pa(to_si(1.0, "ft/s"), wave_speed_m_s=speed, density_kg_m3=999.7)
    example.assert_result("surge", from_si(float(surge), "psi"))


@pytest.mark.parametrize(
    ("ratio", "speed", "psi"),
    [("17", "837", "11.27"), ("13.5", "951", "12.81"), ("11", "1069", "14.40"),
     ("9", "1203", "16.21")],
)  # fmt: skip
def test_surge_of_the_stiffest_polyethylene_agrees_with_its_wave_speed(
    ratio: str, speed: str, psi: str
) -> None:
    """Worked by hand from 4660 / sqrt(1 + 2 (DR - 2)) ft/s."""
    example = WorkedExample(
        name=f"PE4710 DR {ratio}",
        kind="by hand",
        source=SURGE_TABLE.at("its formula, with E 150 000 psi"),
        inputs={"ratio": ratio},
        printed={"speed": speed, "surge": psi},
        looser_because={"surge": ("0.01", "density of the water")},
    )
    wave = wave_speed_by_ratio_m_s(example.given("ratio"), modulus_pa=ELASTIC_MODULUS_PA["PE4710"])
    example.assert_result("speed", from_si(float(wave), "ft/s"))
    surge = surge_pressure_pa(to_si(1.0, "ft/s"), wave_speed_m_s=wave, density_kg_m3=999.7)
    example.assert_result("surge", from_si(float(surge), "psi"))


def test_surge_of_cross_linked_polyethylene() -> None:
    """The page's own 221 m/s would make 32.1 psi; it prints 33."""
    example = WorkedExample(
        name="cross-linked SDR 11",
        kind="published",
        source=CROSSLINKED_SURGE.at("SDR 11, 1 m/s"),
        inputs={"ratio": "11"},
        printed={"speed": "221", "surge": "33"},
        looser_because={
            "speed": ("4.4", "2 %: another modulus of water"),
            "surge": ("0.66", "2 %: the same"),
        },
    )
    modulus = ELASTIC_MODULUS_PA["cross-linked PE"]
    by_ratio = wave_speed_by_ratio_m_s(example.given("ratio"), modulus_pa=modulus)
    example.assert_result("speed", float(by_ratio))
    slender = example.given("ratio") - 2
    by_wall = wave_speed_m_s(inside_m=slender, wall_m=1.0, modulus_pa=modulus)
    example.assert_result("speed", float(by_wall))
    surge = surge_pressure_pa(1.0, wave_speed_m_s=by_wall, density_kg_m3=999.7)
    example.assert_result("surge", from_si(float(surge), "psi"))


@pytest.mark.parametrize(
    ("code", "rating", "recurring", "occasional"),
    [("PE4710", "200", "300", "400"), ("PE3608", "160", "240", "320")],
)
def test_polyethylene_bears_surge_beyond_its_class(
    code: str, rating: str, recurring: str, occasional: str
) -> None:
    example = WorkedExample(
        name=f"{code} DR 11",
        kind="published",
        source=PLASTICS_PIPE_INSTITUTE.at(f"{code}, DR 11, with surge"),
        inputs={"rating": rating},
        printed={"recurring": recurring, "occasional": occasional},
    )
    daily, rare = allowed_with_surge_pa(example.given("rating"), allowance=SURGE_ALLOWANCES["PE"])
    example.assert_result("recurring", daily)
    example.assert_result("occasional", rare)


def test_the_rating_of_pvc_holds_no_surge() -> None:
    assert allowed_with_surge_pa(1e6, allowance=SURGE_ALLOWANCES["PVC"]) == (1e6, 1e6)


@given(st.floats(3.0, 60.0), st.floats(1e8, 3e11))
def test_both_forms_of_the_wave_speed_agree_but_for_their_water(
    ratio: float, modulus: float
) -> None:
    """The manual's water is 1425 m/s and 2.03 GPa, the surge table's 1420 m/s and 2.07 GPa."""
    by_ratio = float(wave_speed_by_ratio_m_s(ratio, modulus_pa=modulus))
    by_wall = float(wave_speed_m_s(inside_m=ratio - 2, wall_m=1.0, modulus_pa=modulus))
    assert by_ratio == pytest.approx(by_wall, rel=0.015)


@given(st.floats(0.01, 0.3), st.floats(0.001, 0.02), st.sampled_from(sorted(ELASTIC_MODULUS_PA)))
def test_waves_run_faster_in_stiffer_and_thicker_walls(
    inside: float, wall: float, material: str
) -> None:
    modulus = ELASTIC_MODULUS_PA[material]
    speed = wave_speed_m_s(inside_m=inside, wall_m=wall, modulus_pa=modulus)
    assert speed < 1425
    assert wave_speed_m_s(inside_m=inside, wall_m=1.1 * wall, modulus_pa=modulus) > speed
    assert wave_speed_m_s(inside_m=inside, wall_m=wall, modulus_pa=1.1 * modulus) > speed
    held = wave_speed_m_s(inside_m=inside, wall_m=wall, modulus_pa=modulus, restraint=0.91)
    assert held > speed


def test_the_wave_returns_after_twice_the_length() -> None:
    """600 m of polyethylene at 326 m/s: 3.68 s."""
    assert float(wave_return_s(600.0, wave_speed_m_s=326.0)) == pytest.approx(3.68, abs=0.005)
