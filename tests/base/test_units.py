"""The unit table against two independent tables, and its spellings against itself."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj.database import get_units_map
from scipy import constants

from terrain_head.base.units import (
    METRE_OF_WATER_PA,
    UNITS,
    Dimension,
    Unit,
    find_units,
    from_si,
    spread_from_si,
    to_si,
    unit_names,
    unit_of,
)

# scipy.constants holds the exact definitions of the Guide for the Use of the International System
# of Units (independent code); the conventional column of water is 1000 kg/m3 at standard gravity.
INDEPENDENT = {
    "ft": constants.foot,
    "in": constants.inch,
    "mi": constants.mile,
    "yd": constants.yard,
    "acre": constants.acre,
    "ha": constants.hectare,
    "L": constants.liter,
    "gal": constants.gallon_US,
    "imp gal": constants.gallon_imp,
    "psi": constants.psi,
    "bar": constants.bar,
    "m of water": 1000 * constants.g,
    "ft of water": 1000 * constants.g * constants.foot,
    "min": constants.minute,
    "h": constants.hour,
    "d": constants.day,
    "deg": constants.degree,
    "arcmin": constants.arcmin,
    "arcsec": constants.arcsec,
    "lb": constants.pound,
    "ton": constants.short_ton,
    "t": constants.metric_ton,
    "gal/min": constants.gallon_US / constants.minute,
    "imp gal/day": constants.gallon_imp / constants.day,
    "ft3/s": constants.foot**3,
}


@pytest.mark.parametrize("name", INDEPENDENT)
def test_a_factor_agrees_with_an_independent_table(name: str) -> None:
    assert to_si(1.0, name) == pytest.approx(INDEPENDENT[name], rel=1e-14)


def test_the_survey_foot_agrees_with_the_table_of_the_projections_library() -> None:
    table = get_units_map(auth_name="EPSG", category="linear")
    survey_foot = table["US survey foot"].conv_factor
    assert to_si(1.0, "ftUS") == pytest.approx(survey_foot, rel=1e-15)


def test_the_survey_foot_is_two_millionths_longer_than_the_foot() -> None:
    ratio = to_si(1.0, "ftUS") / to_si(1.0, "ft")
    assert ratio == pytest.approx(1.000002000004, abs=1e-12)


def test_a_pound_per_square_inch_is_some_two_and_a_third_feet_of_water() -> None:
    # common practice, no source: 2.31 ft/psi and 0.433 psi/ft
    assert to_si(1.0, "psi") / to_si(1.0, "ft of water") == pytest.approx(2.31, abs=0.005)
    assert to_si(1.0, "ft of water") / to_si(1.0, "psi") == pytest.approx(0.433, abs=0.001)


def test_a_gallon_a_minute_round_the_clock_is_half_a_million_gallons_a_year() -> None:
    # common practice, no source: about 526 000 US gallons a year
    a_year = from_si(to_si(1.0, "gal/min"), "gal/day") * 365.25
    assert a_year == pytest.approx(526_000, rel=1e-3)


def test_a_metre_of_water_is_the_column_of_the_convention() -> None:
    assert METRE_OF_WATER_PA == 9806.65


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.name)
def test_every_spelling_finds_its_unit(unit: Unit) -> None:
    for spelling in (unit.name, *unit.spellings, unit.name.upper()):
        if spelling == "ML":
            continue
        found = unit_of(spelling, unit.dimension)
        assert found is not None
        assert unit.name == found.name, spelling


def test_no_spelling_means_two_units_of_one_dimension() -> None:
    seen: dict[tuple[str, Dimension], str] = {}
    for unit in UNITS:
        for spelling in {unit.name.lower(), *(word.lower() for word in unit.spellings)}:
            key = (spelling, unit.dimension)
            assert unit.name == seen.setdefault(key, unit.name), key


def test_a_word_of_two_dimensions_gives_both() -> None:
    dimensions = {unit.dimension for unit in find_units("min")}
    assert {Dimension.TIME} == dimensions
    assert Dimension.LENGTH is find_units("m")[0].dimension


@pytest.mark.parametrize("dimension", list(Dimension))
def test_each_dimension_has_units_and_a_name(dimension: Dimension) -> None:
    assert unit_names(dimension)
    assert dimension.value.startswith(("a ", "an "))


@given(value=st.floats(-1e9, 1e9), unit=st.sampled_from(UNITS))
def test_to_si_and_back_is_the_same_number(value: float, unit: Unit) -> None:
    back = from_si(to_si(value, unit.name), unit.name)
    assert back == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(low=st.floats(-1e4, 1e4), spread=st.floats(0, 1e4), unit=st.sampled_from(UNITS))
def test_a_spread_is_the_difference_of_two_values(low: float, spread: float, unit: Unit) -> None:
    high = from_si(low + spread, unit.name) - from_si(low, unit.name)
    assert high == pytest.approx(
        spread_from_si(spread, unit.name), rel=1e-6, abs=1e-6 / unit.factor
    )


def test_freezing_and_boiling_water_in_both_temperatures() -> None:
    assert to_si(32.0, "F") == pytest.approx(0.0, abs=1e-12)
    assert to_si(212.0, "F") == pytest.approx(100.0)
    assert from_si(10.0, "F") == pytest.approx(50.0)
