"""What a person reads: units of the two systems, digits that follow the doubt."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.display import (
    Quantity,
    decimals_for,
    feet_and_inches,
    grouped,
    in_unit,
    show,
    unit_for,
)
from terrain_head.base.json_units import JSON_UNITS, json_measured, json_spread, json_unit
from terrain_head.base.measured import Measured
from terrain_head.base.quantities import parse_quantity
from terrain_head.base.units import METRIC, US, Dimension, UnitSystem, find_units, to_si

INCHES = UnitSystem(name="us", feet="inches")
QUANTITIES: tuple[Quantity, ...] = get_args(Quantity)


@pytest.mark.parametrize(
    ("value", "quantity", "system", "std", "printed"),
    [
        (2.406, "height", METRIC, None, "2.41 m"),
        (2.406, "height", METRIC, 0.2, "2.4 m"),
        (2.406, "height", METRIC, 3.0, "2.4 m"),
        (24.06, "height", METRIC, 12.0, "24 m"),
        (2.406, "height", US, None, "7.89 ft"),
        (2.406, "height", INCHES, None, "7 ft 10-3/4 in"),
        (2.406, "reading", INCHES, None, "7 ft 10-3/4 in"),
        (2.406, "height", INCHES, 0.01, "7 ft 11 in"),
        (2.406, "height", INCHES, 0.4, "8 ft 0 in"),
        (2.406, "height", INCHES, 1.0, "8 ft"),
        (14.1, "length", INCHES, None, "46 ft 3 in"),
        (412.4, "length", METRIC, None, "412 m"),
        (0.0779, "bore", METRIC, None, "77.9 mm"),
        (0.0525018, "bore", US, None, "2.067 in"),
        (46e-3 / 60, "flow", METRIC, None, "46.0 L/min"),
        (to_si(940, "gal/day"), "per_day", US, None, "940 gal/day"),
        (to_si(9405, "gal/day"), "per_day", US, None, "9,400 gal/day"),
        (3.004 / 86400, "per_day", METRIC, None, "3 000 L/d"),
        (87_563.0, "pressure", US, None, "12.7 psi"),
        (90_000.0, "pressure", METRIC, None, "0.90 bar"),
        (10.0, "temperature", US, None, "50 F"),
        (10.0, "temperature", US, 0.3, "50 F"),
        (0.58, "share", METRIC, 0.04, "58 %"),
        (-0.001, "height", METRIC, None, "0.00 m"),
    ],
)
def test_a_value_is_shown_in_its_unit_with_the_digits_that_its_doubt_leaves(
    value: float, quantity: Quantity, system: UnitSystem, std: float | None, printed: str
) -> None:
    assert printed == str(show(value, quantity, system, std=std))


@pytest.mark.parametrize("system", [METRIC, US], ids=["metric", "us"])
@pytest.mark.parametrize("quantity", QUANTITIES)
def test_every_quantity_has_a_unit_that_is_known(quantity: Quantity, system: UnitSystem) -> None:
    assert find_units(unit_for(quantity, system))


def test_us_gallons_are_printed_gal() -> None:
    assert unit_for("volume", US) == "gal"
    assert unit_for("flow", US) == "gal/min"


@given(
    value=st.floats(-1e4, 1e4),
    quantity=st.sampled_from(["height", "bore", "flow", "pressure", "volume", "temperature"]),
    system=st.sampled_from([METRIC, US]),
)
def test_what_is_shown_reads_back_to_within_half_its_last_digit(
    value: float, quantity: Quantity, system: UnitSystem
) -> None:
    shown = show(value, quantity, system, decimals=3)
    dimension = find_units(shown.unit)[0].dimension
    if quantity == "volume":
        dimension = Dimension.VOLUME
    back = parse_quantity(str(shown).replace(",", ""), dimension).value
    half = 0.5e-3 * (to_si(1.0, shown.unit) - to_si(0.0, shown.unit))
    assert abs(back - value) <= half * (1 + 1e-6) + 1e-9


@given(metres=st.floats(-1e5, 1e5), std=st.one_of(st.none(), st.floats(0, 10)))
def test_feet_and_inches_are_right_to_half_the_last_part(metres: float, std: float | None) -> None:
    text = feet_and_inches(metres, std=std).replace(",", "")
    part = 0.0254 / 16 if std is None or std < 0.25 * 0.0254 else 0.0254
    for foot, step in ((1, 6), (3, 12)):
        if std is not None and std >= 0.3048 * foot * (1 - 1e-12):
            part = 0.0254 * step
    back = parse_quantity(text, Dimension.LENGTH).value
    assert abs(back - metres) <= part / 2 + 1e-9


@given(std=st.floats(1e-6, 1e6), usual=st.integers(-2, 4))
def test_never_more_decimals_than_usual_nor_than_the_doubt_leaves(std: float, usual: int) -> None:
    decimals = decimals_for(std, usual)
    assert decimals <= usual
    assert decimals == usual or std >= 10.0**-decimals * (1 - 1e-9)


@pytest.mark.parametrize("std", [None, 0.0, float("nan"), float("inf")])
def test_without_a_doubt_the_usual_decimals_stand(std: float | None) -> None:
    assert decimals_for(std, 2) == 2


def test_thousands_are_set_off_in_the_way_of_the_country() -> None:
    assert grouped(1_234_460, -2) == "1,234,500"
    assert grouped(1234.5, 1, thousands=" ") == "1 234.5"
    assert grouped(-0.4, 0) == "0"


def test_in_unit_is_the_number_that_show_rounds() -> None:
    assert in_unit(2.406, "height", US) == pytest.approx(7.893701, abs=1e-6)


@pytest.mark.parametrize(
    ("value", "unit", "printed"),
    [
        (2.5, "m", 2.5),
        (1.2, "m/s", 1.2),
        (2.2, "m3", 2.2),
        (1 / 86400, "m3/d", 1.0),
        (1e-3 / 60, "L/min", 1.0),
        (60_000.0, "kPa", 60.0),
        (3600.0, "s", 3600.0),
        (1814.0, "kg", 1814.0),
        (3.141592653589793, "deg", 180.0),
        (10.0, "C", 10.0),
        (0.58, "1", 0.58),
    ],
)
def test_json_units(value: float, unit: str, printed: float) -> None:
    assert json_unit(value, unit) == pytest.approx(printed, rel=1e-15)
    assert json_spread(value, unit) == pytest.approx(printed, rel=1e-15)
    assert unit in JSON_UNITS


def test_a_unit_that_no_document_knows_is_refused() -> None:
    with pytest.raises(ValueError, match="no unit of the JSON documents"):
        json_unit(1.0, "ft")
    with pytest.raises(ValueError, match="no unit of the JSON documents"):
        json_spread(1.0, "psi")


def test_a_measurement_in_json_is_null_where_it_is_unknown() -> None:
    assert json_measured(None, "m") is None
    assert json_measured(Measured(value=60_000.0, std=2_000.0), "kPa") == {
        "value": 60.0,
        "unit": "kPa",
        "std": 2.0,
    }
