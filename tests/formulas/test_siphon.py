"""Air pressure by height against a printed table, and what it leaves a siphon."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.base.units import from_si
from terrain_head.errors import RangeError
from terrain_head.formulas.siphon import (
    COLUMN_BREAKS,
    PRACTICAL,
    PRACTICAL_M,
    breaking_head_m,
    siphon_limit_m,
    standard_pressure_pa,
)
from tests.worked_examples import WorkedExample

ATMOSPHERE_TABLE = Source(
    key="standard-atmosphere-table",
    author="unnamed",
    title="Standard atmospheric data for altitude, table in SI units",
    year="no year",
    obtained="read in a copy",
)
TABLE = WorkedExample(
    name="standard atmosphere",
    kind="published",
    source=ATMOSPHERE_TABLE.at("pressure column"),
    inputs={},
    printed={
        "-304.8": "105048.5", "-152.0": "103186.9", "0": "101325.3", "304.8": "97733.2",
        "609.6": "94209.9", "914.4": "90824.6", "1524.0": "84322.9", "2133.6": "78193.4",
        "3048.0": "69692.2", "4572.0": "57198.9", "6096.0": "46594.7", "9144.0": "30136.9",
    },
    looser_because=dict.fromkeys(
        ("-304.8", "-152.0", "0", "304.8", "609.6", "914.4", "1524.0", "2133.6", "3048.0",
         "4572.0", "6096.0", "9144.0"),
        ("60", "turned from psi with three decimals, heights taken as geopotential"),
    ),
)  # fmt: skip


@pytest.mark.parametrize("height", TABLE.printed)
def test_pressure_of_the_standard_atmosphere(height: str) -> None:
    TABLE.assert_result(height, float(standard_pressure_pa(float(height))))


def test_a_column_breaks_and_a_siphon_fails_at_sea_level_where_it_is_printed() -> None:
    printed = WorkedExample(
        name="siphon",
        kind="published",
        source=COLUMN_BREAKS,
        inputs={},
        printed={"breaks ft": "34", "practical m": "8"},
        looser_because={"practical m": ("0.1", "26 ft, rounded on the page")},
    )
    breaks = from_si(float(breaking_head_m(0.0, temperature_c=4.0)), "ft")
    printed.assert_result("breaks ft", breaks)
    limit = float(siphon_limit_m(0.0, temperature_c=4.0))
    printed.assert_result("practical m", limit)
    assert limit == PRACTICAL_M
    assert "26 ft" in PRACTICAL.where


@given(
    lower=st.floats(0, 10_000),
    climb=st.floats(1, 1_000),
    warm=st.floats(0, 40),
)
def test_the_higher_the_place_the_less_a_siphon_bears(
    lower: float, climb: float, warm: float
) -> None:
    low, high = siphon_limit_m([lower, lower + climb], temperature_c=warm)
    assert 0 <= high <= low
    assert low <= breaking_head_m(lower, temperature_c=warm)


def test_it_falls_by_about_a_metre_for_a_thousand() -> None:
    limits = siphon_limit_m(np.arange(4) * 1000.0, temperature_c=10.0)
    assert np.all((0.9 < -np.diff(limits)) & (-np.diff(limits) < 1.2))


@pytest.mark.parametrize("height", [-5_001.0, 11_001.0])
def test_no_air_is_told_beyond_the_even_part(height: float) -> None:
    with pytest.raises(RangeError, match="air"):
        standard_pressure_pa(height)
