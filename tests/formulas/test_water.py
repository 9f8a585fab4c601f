"""Density, viscosity and vapour pressure of water."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si, to_si
from terrain_head.errors import RangeError
from terrain_head.formulas.fittings import TECHNICAL_PAPER_410
from terrain_head.formulas.water import (
    FAO_56,
    density_kg_m3,
    dynamic_viscosity_pa_s,
    kinematic_viscosity_m2_s,
    vapour_pressure_pa,
)
from tests.worked_examples import WorkedExample

MAURER = Source(
    key="maurer-hydraulics",
    author="E. Maurer",
    title="Hydraulics and Water Resources: Examples Using R",
    year="2024",
)

# The teaching text prints viscosities up to 4 % off the ones in general use.
ROWS = [
    WorkedExample(
        name=f"water at {celsius} C",
        kind="published",
        source=MAURER.at("table of water properties"),
        inputs={"temperature": celsius},
        printed={"density": density, "viscosity": viscosity},
        looser_because={
            "viscosity": (f"{0.04 * float(viscosity)}", "an approximate fit in the teaching text"),
            "density": ("0.07", "printed from a coarser table"),
        },
    )
    for celsius, density, viscosity in (
        ("0", "999.9", "1.734"),
        ("5", "1000", "1.501"),
        ("10", "999.7", "1.311"),
        ("15", "999.1", "1.154"),
        ("20", "998.2", "1.023"),
        ("25", "997.1", "0.9135"),
    )
]


@pytest.mark.parametrize("example", ROWS, ids=lambda example: example.name)
def test_printed_rows(example: WorkedExample) -> None:
    celsius = example.given("temperature")
    example.assert_result("density", float(density_kg_m3(celsius)))
    example.assert_result("viscosity", 1e6 * float(kinematic_viscosity_m2_s(celsius)))


def test_ten_degrees_are_the_water_taken_where_nothing_is_said() -> None:
    assert f"{float(density_kg_m3(10.0)):.1f}" == "999.7"
    assert f"{1e6 * float(kinematic_viscosity_m2_s(10.0)):.3f}" == "1.307"


def test_sixty_fahrenheit_of_a_worked_problem() -> None:
    example = WorkedExample(
        name="water at 60 F",
        kind="published",
        source=TECHNICAL_PAPER_410.at("problem 7.19, water at 60 F"),
        inputs={"temperature": "60"},
        printed={"density": "62.364", "viscosity": "1.1"},
        looser_because={"density": ("0.01", "density of a real supply against pure water")},
    )
    celsius = to_si(example.given("temperature"), "F")
    pounds_per_cubic_foot = from_si(float(density_kg_m3(celsius)), "lb") * to_si(1.0, "ft3")
    example.assert_result("density", pounds_per_cubic_foot)
    example.assert_result("viscosity", 1e3 * float(dynamic_viscosity_pa_s(celsius)))


def test_vapour_pressure_of_a_worked_day() -> None:
    example = WorkedExample(
        name="mean of the extremes",
        kind="published",
        source=FAO_56.at("example 18, es"),
        inputs={"highest": "21.5", "lowest": "12.3"},
        printed={"mean": "1.997"},
    )
    both = vapour_pressure_pa([example.given("highest"), example.given("lowest")])
    example.assert_result("mean", float(both.mean()) / 1e3)


@given(st.floats(0.0, 59.0), st.floats(0.01, 1.0))
def test_warmer_water_is_thinner_and_steams_more(celsius: float, step: float) -> None:
    assert dynamic_viscosity_pa_s(celsius) > dynamic_viscosity_pa_s(celsius + step)
    assert vapour_pressure_pa(celsius) < vapour_pressure_pa(celsius + step)


def test_water_is_densest_at_four_degrees() -> None:
    celsius = np.linspace(0.0, 60.0, 6001)
    assert celsius[np.argmax(density_kg_m3(celsius))] == pytest.approx(3.98, abs=0.02)


@pytest.mark.parametrize("celsius", [-0.1, 60.1, [10.0, 99.0]])
def test_beyond_the_range_is_an_error_that_names_the_temperature(
    celsius: float | list[float],
) -> None:
    with pytest.raises(RangeError, match=r"(-0.1|60.1|99) C"):
        density_kg_m3(celsius)


def test_nan_stays_nan() -> None:
    assert np.isnan(kinematic_viscosity_m2_s([np.nan, 10.0])).tolist() == [True, False]
