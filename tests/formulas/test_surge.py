"""Water hammer against printed examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.hydrostatics import pressure_from_head_pa
from terrain_head.formulas.surge import (
    BULK_MODULUS_PA,
    ELASTIC_MODULUS_PA,
    WATER_SUPPLY_MANUAL,
    joukowsky_head_m,
    wave_return_s,
    wave_speed_m_s,
)
from tests.worked_examples import WorkedExample

BURIED_PIPE = Source(
    key="buried-pipe-design", author="unnamed", title="Buried Pipe Design",
    year="no year",
)  # fmt: skip
SURGE_TABLE = Source(
    key="plastic-surge-table", author="unnamed", title="Surge in plastic pipe, psi for 1 ft/s",
    year="no year", obtained="read in a copy",
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
    ("ratio", "modulus_psi", "psi"),
    [("41", "400000", "11.4"), ("32.5", "400000", "12.8"), ("25", "400000", "14.7"),
     ("21", "400000", "16.0"), ("18", "400000", "17.4"), ("21", "115000", "8.8"),
     ("17", "115000", "9.9"), ("13.5", "115000", "11.3"), ("11", "115000", "12.7"),
     ("9", "115000", "14.3"), ("7.3", "115000", "16.3")],
)  # fmt: skip
def test_surge_of_plastic_pipe_by_its_ratio(ratio: str, modulus_psi: str, psi: str) -> None:
    example = WorkedExample(
        name=f"DR {ratio}",
        kind="published",
        source=SURGE_TABLE.at(f"E {modulus_psi} psi, DR {ratio}"),
        inputs={"ratio": ratio, "modulus": modulus_psi},
        printed={"surge": psi},
        looser_because={"surge": (str(0.02 * float(psi)), "another modulus of water, 300 000 psi")},
    )
    speed = wave_speed_m_s(
        inside_m=example.given("ratio") - 2,
        wall_m=1.0,
        modulus_pa=to_si(example.given("modulus"), "psi"),
    )
    head = joukowsky_head_m(to_si(1.0, "ft/s"), wave_speed_m_s=speed)
    surge = pressure_from_head_pa(head, density_kg_m3=999.7)
    example.assert_result("surge", from_si(float(surge), "psi"))


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
