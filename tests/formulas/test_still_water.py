"""Heads, tanks and weights: printed rules, limits, facts of the trade."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import COMMON_PRACTICE, Source
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.hydrostatics import head_from_pressure_m, pressure_from_head_pa
from terrain_head.formulas.loads import water_mass_kg, weight_n
from terrain_head.formulas.storage import fill_time_s, upright_volume_m3
from terrain_head.formulas.water import density_kg_m3
from tests.worked_examples import WorkedExample

PRESSURE_SHEET = Source(
    key="bc-590-304-5",
    author="British Columbia Ministry of Agriculture",
    title="Factsheet 590.304-5",
    year="2006",
)
DRIP_SHEET = Source(
    key="kentucky-ho-120",
    author="Rowell, Jacobsen, University of Kentucky",
    title="HO-120",
    year="no year",
)
TANK_TABLE = Source(
    key="tank-gallons-table",
    author="unnamed",
    title="Gallons in upright round tanks",
    year="no year",
    obtained="read in a copy",
)
# The trade's water of 62.4 lb/ft3.
TRADE_WATER = to_si(62.4, "lb") / to_si(1.0, "ft3")


def psi(head_ft: float) -> float:
    pressure = pressure_from_head_pa(to_si(head_ft, "ft"), density_kg_m3=TRADE_WATER)
    return from_si(float(pressure), "psi")


def test_a_foot_of_water_and_a_psi() -> None:
    example = WorkedExample(
        name="feet and psi",
        kind="published",
        source=PRESSURE_SHEET.at("conversions"),
        inputs={},
        printed={"psi in a foot": "0.433", "feet in a psi": "2.31"},
    )
    example.assert_result("psi in a foot", psi(1.0))
    head = head_from_pressure_m(to_si(1.0, "psi"), density_kg_m3=TRADE_WATER)
    example.assert_result("feet in a psi", from_si(float(head), "ft"))


def test_water_above_a_field() -> None:
    example = WorkedExample(
        name="W1",
        kind="published",
        source=DRIP_SHEET.at("pressure by height"),
        inputs={"height": "25"},
        printed={"pressure": "10.9"},
        looser_because={"pressure": ("0.1", "the page divides by 2.3")},
    )
    example.assert_result("pressure", psi(example.given("height")))


@given(st.floats(-10.0, 200.0), st.floats(958.0, 1000.0))
def test_head_and_pressure_turn_into_each_other(head: float, density: float) -> None:
    pressure = pressure_from_head_pa(head, density_kg_m3=density)
    back = float(head_from_pressure_m(pressure, density_kg_m3=density))
    assert back == pytest.approx(head, abs=1e-12)


def test_gallons_of_an_upright_tank() -> None:
    example = WorkedExample(
        name="10 ft by 10 ft",
        kind="published",
        source=TANK_TABLE.at("10 ft by 10 ft"),
        inputs={"diameter": "10", "depth": "10"},
        printed={"gallons": "5875"},
    )
    volume = upright_volume_m3(
        to_si(example.given("diameter"), "ft"), depth_m=to_si(example.given("depth"), "ft")
    )
    example.assert_result("gallons", from_si(float(volume), "gal"))


def test_facts_of_the_trade() -> None:
    """Common practice, no source: each is what anyone in the trade knows by heart."""
    assert str(COMMON_PRACTICE.at("")) == "common practice, no source"
    year = to_si(1.0, "gal/min") * to_si(365.0, "d")
    assert from_si(year, "gal") == pytest.approx(526_000, abs=500)
    gallon = water_mass_kg(to_si(1.0, "gal"), density_kg_m3=density_kg_m3(10.0))
    assert 8.0 < from_si(float(gallon), "lb") < 8.5
    tank = upright_volume_m3(to_si(4.0, "ft"), depth_m=to_si(5.0, "ft"))
    assert 450 < from_si(float(tank), "gal") < 500


def test_fill_time() -> None:
    times = fill_time_s([1.0, 1.0, np.nan, 1.0, 0.0], flow_m3_s=[0.1, 0.0, 0.1, np.nan, 0.5])
    np.testing.assert_array_equal(times, [10.0, np.inf, np.nan, np.nan, 0.0])
    assert float(fill_time_s(1.0, flow_m3_s=-0.1)) == np.inf


@given(st.floats(0.1, 20.0), st.floats(0.0, 10.0))
def test_twice_the_width_holds_four_times_the_water(diameter: float, depth: float) -> None:
    once = float(upright_volume_m3(diameter, depth_m=depth))
    assert float(upright_volume_m3(2 * diameter, depth_m=depth)) == pytest.approx(4 * once)


def test_the_weight_of_a_thousand_gallons_is_the_printed_one() -> None:
    """8.34 lb a gallon: 1000 gal are 8 340 lb; on its base it presses as its own depth of water."""
    volume = to_si(1000.0, "gal")
    mass = float(water_mass_kg(volume, density_kg_m3=TRADE_WATER))
    assert from_si(mass, "lb") == pytest.approx(8340, abs=5)
    area = volume / 2.0
    pressure = float(pressure_from_head_pa(2.0, density_kg_m3=TRADE_WATER))
    assert float(weight_n(mass)) / area == pytest.approx(pressure)
