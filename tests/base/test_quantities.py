"""What a person writes becomes the right SI value, or a message that says what to write."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.display import feet_and_inches
from terrain_head.base.measured import Measured
from terrain_head.base.quantities import (
    QuantityError,
    parse_feet_inches,
    parse_quantity,
    system_written,
)
from terrain_head.base.units import UNITS, Dimension, Unit, to_si

NINE_SIX_AND_THREE_EIGHTHS = (9 * 12 + 6 + 3 / 8) * 0.0254


@pytest.mark.parametrize(
    "text",
    [
        "9 ft 6-3/8 in",
        "9ft6.375in",
        "9' 6-3/8",
        "9' 6-3/8\"",
        "9'-6 3/8\"",
        "9 feet 6 3/8 inches",
        "9′ 6-3/8″",  # noqa: RUF001 - a book prints so
        "9’ 6-3/8”",  # noqa: RUF001 - a phone writes so
        "9'6-3/8''",
        "114.375 in",
        "9.53125 ft",
        "114-3/8 in",
    ],
)
def test_feet_and_inches_in_every_way_of_writing(text: str) -> None:
    length = parse_quantity(text, Dimension.LENGTH).value
    assert length == pytest.approx(NINE_SIX_AND_THREE_EIGHTHS, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "inches"),
    [("5'", 60), ('5"', 5), ("3/8 in", 0.375), ("-2 ft 3 in", -27), ("0 ft 0 in", 0), ("9'6", 114)],
)
def test_parts_of_feet_and_inches(text: str, inches: float) -> None:
    length = parse_feet_inches(text)
    assert length == pytest.approx(inches * 0.0254)


@pytest.mark.parametrize("text", ["12", "1.5", "9 ft in", "m", "", "in", "ft"])
def test_what_is_not_feet_and_inches_is_none_of_it(text: str) -> None:
    assert parse_feet_inches(text) is None


@pytest.mark.parametrize(
    ("text", "dimension", "value", "std"),
    [
        ("46 +- 3 L/min", Dimension.FLOW, 46e-3 / 60, 3e-3 / 60),
        ("46 L/min +- 3", Dimension.FLOW, 46e-3 / 60, 3e-3 / 60),
        ("46 L/min +- 10 %", Dimension.FLOW, 46e-3 / 60, 4.6e-3 / 60),
        ("46 L/min ± 3 L/min", Dimension.FLOW, 46e-3 / 60, 3e-3 / 60),
        ("46 L/min +/- 3000 mL/min", Dimension.FLOW, 46e-3 / 60, 3e-3 / 60),
        ("312.4 +- 0.05 m", Dimension.LENGTH, 312.4, 0.05),
        ("60 /min", Dimension.BEATS, 1.0, None),
        ("72 +- 3 beats a minute", Dimension.BEATS, 1.2, 0.05),
        ("1.2 per second", Dimension.BEATS, 1.2, None),
        ("9 ft 6 in +- 1/4 in", Dimension.LENGTH, 9.5 * 0.3048, 0.25 * 0.0254),
        ("9 ft 6 in +- 1 cm", Dimension.LENGTH, 9.5 * 0.3048, 0.01),
        ("9 ft 6 in +- 10 %", Dimension.LENGTH, 9.5 * 0.3048, 0.95 * 0.3048),
        ("58 +- 4 %", Dimension.RATIO, 0.58, 0.04),
        ("50 +- 2 F", Dimension.TEMPERATURE, 10.0, 2 / 1.8),
        ("10 C +- 1.8 F", Dimension.TEMPERATURE, 10.0, 1.0),
        ("-40 F", Dimension.TEMPERATURE, -40.0, None),
        ("46 +- 5 L/min at 90 %", Dimension.FLOW, 46e-3 / 60, 5e-3 / 60 / 1.6449),
        ("0.6 m at 95 %", Dimension.LENGTH, 0.6 / 1.96, None),
        ("4 m at 90 %", Dimension.LENGTH, 4 / 1.6449, None),
        ("5 gal in 33 s", Dimension.FLOW, 5 * 231 * 0.0254**3 / 33, None),
        ("10 L in 2 min", Dimension.FLOW, 0.01 / 120, None),
        ("5 imp gal in 33 s", Dimension.FLOW, 5 * 4.54609e-3 / 33, None),
        ("10 +- 0.5 L in 20 s", Dimension.FLOW, 0.01 / 20, 0.0005 / 20),
        ("10 L in 20 +- 1 s", Dimension.FLOW, 0.01 / 20, 0.01 / 20 / 20),
        ("600 gal/day", Dimension.FLOW, 600 * 231 * 0.0254**3 / 86400, None),
        ("9 gpm", Dimension.FLOW, 9 * 231 * 0.0254**3 / 60, None),
        ("1 imp gal/min", Dimension.FLOW, 4.54609e-3 / 60, None),
        ("3 000 L", Dimension.VOLUME, 3.0, None),
        ("12 345 678 L", Dimension.VOLUME, 12345.678, None),
        ("1'200 L", Dimension.VOLUME, 1.2, None),
        ("1,234.5 m", Dimension.LENGTH, 1234.5, None),
        ("3\u202f000 L", Dimension.VOLUME, 3.0, None),
        ("\u22123 m", Dimension.LENGTH, -3.0, None),
        (".5 m", Dimension.LENGTH, 0.5, None),
        ("2e-3 m", Dimension.LENGTH, 0.002, None),
        ("60 kPa", Dimension.PRESSURE, 60_000.0, None),
        ("10 m of water", Dimension.PRESSURE, 98_066.5, None),
        ("80 %", Dimension.RATIO, 0.8, None),
        ("0.8", Dimension.RATIO, 0.8, None),
        ("10 arcsec", Dimension.ANGLE, 4.848136811e-5, None),
    ],
)
def test_a_quantity_means_its_si_value(
    text: str, dimension: Dimension, value: float, std: float | None
) -> None:
    found = parse_quantity(text, dimension)
    assert found.value == pytest.approx(value, rel=1e-9)
    assert (None if std is None else pytest.approx(std, rel=1e-9)) == found.std


@pytest.mark.parametrize(
    ("text", "dimension", "what", "write"),
    [
        ("3", Dimension.LENGTH, "has no unit; a length is wanted", "2.5 m"),
        ("3 bar", Dimension.LENGTH, "is a pressure; a length is wanted", "2.5 m"),
        ("3 furlong", Dimension.LENGTH, "'furlong' in '3 furlong' is not known", "2.5 m"),
        ("E0", Dimension.LENGTH, "does not begin with a number", "2.5 m"),
        ("three m", Dimension.LENGTH, "does not begin with a number", "2.5 m"),
        ("nan m", Dimension.LENGTH, "not a number that can be used", "2.5 m"),
        ("-inf m", Dimension.LENGTH, "not a number that can be used", "2.5 m"),
        ("1e999 m", Dimension.LENGTH, "too large", "2.5 m"),
        ("", Dimension.LENGTH, "still blank; a length is wanted", "2.5 m"),
        ("60", Dimension.BEATS, "has no unit; a number of beats is wanted", "60 /min"),
        ("60 min", Dimension.BEATS, "is a time; a number of beats is wanted", "60 /min"),
        ("?", Dimension.FLOW, "still blank; a flow is wanted", "46 L/min"),
        ("1,5 m", Dimension.LENGTH, "holds a comma", "1.5 m"),
        ("1,234 m", Dimension.LENGTH, "holds a comma", "1.234 m"),
        ("1,234,567 m", Dimension.LENGTH, "holds a comma", "2.5 m"),
        ("1 2 m", Dimension.LENGTH, "'2 m' in '1 2 m' is not known", "2.5 m"),
        ("9 ft 12 in", Dimension.LENGTH, "stay under 12", "9 ft 6-3/8 in"),
        ("9 ft 3/2 in", Dimension.LENGTH, "less than one inch", "9 ft 6-3/8 in"),
        ("63/8 in", Dimension.LENGTH, "less than one inch", "9 ft 6-3/8 in"),
        ("1/0 in", Dimension.LENGTH, "less than one inch", "9 ft 6-3/8 in"),
        ("9.5 ft 3 in", Dimension.LENGTH, "whole numbers", "9 ft 6-3/8 in"),
        ("1 +- 2 +- 3 m", Dimension.LENGTH, "more than one +-", "2.5 m"),
        ("+- 3 m", Dimension.LENGTH, "both sides", "2.5 m"),
        ("3 m +-", Dimension.LENGTH, "both sides", "2.5 m"),
        ("x +- 3 m", Dimension.LENGTH, "is not a number", "2.5 m"),
        ("3 +- x m", Dimension.LENGTH, "does not begin", "2.5 m"),
        ("3 m +- -1 m", Dimension.LENGTH, "negative", "2.5 m"),
        ("3 +- 5 %", Dimension.LENGTH, "has no unit", "2.5 m"),
        ("4 m at 91 %", Dimension.LENGTH, "'at 91 %' is not known", "2.5 m"),
        ("5 gal in 0 s", Dimension.FLOW, "more than 0 s", "5 gal in 33 s"),
        ("5 gal in 33 m", Dimension.FLOW, "is a length; a time is wanted", "46 L/min"),
    ],
)
def test_a_wrong_quantity_says_what_and_what_to_write(
    text: str, dimension: Dimension, what: str, write: str
) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, dimension)
    assert what in caught.value.trouble.what
    assert write == caught.value.trouble.write


def test_the_example_of_the_caller_is_shown() -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity("3 bar", Dimension.LENGTH, example="1.6 m")
    assert caught.value.trouble.write == "1.6 m"


@given(sixteenths=st.integers(-100_000, 100_000))
def test_feet_and_inches_come_back_as_written(sixteenths: int) -> None:
    metres = sixteenths / 16 * 0.0254
    text = feet_and_inches(metres).replace(",", "")
    assert parse_quantity(text, Dimension.LENGTH).value == pytest.approx(metres, abs=1e-9)


@given(number=st.floats(-1e6, 1e6, allow_nan=False), unit=st.sampled_from(UNITS))
def test_any_number_with_any_unit_is_read_as_that_unit(number: float, unit: Unit) -> None:
    found = parse_quantity(f"{number!r} {unit.name}", unit.dimension)
    assert found.value == pytest.approx(to_si(number, unit.name), rel=1e-12, abs=1e-300)


@given(
    number=st.floats(0.1, 1e5),
    error=st.floats(0, 1e3),
    unit=st.sampled_from(UNITS),
)
def test_an_error_is_read_the_same_on_either_side_of_the_unit(
    number: float, error: float, unit: Unit
) -> None:
    before = parse_quantity(f"{number!r} +- {error!r} {unit.name}", unit.dimension)
    behind = parse_quantity(f"{number!r} {unit.name} +- {error!r} {unit.name}", unit.dimension)
    assert before == behind
    assert error * unit.factor == before.std


def test_a_give_or_take_in_inches_is_not_one_in_feet() -> None:
    assert parse_quantity("46 +- 3 in", Dimension.LENGTH) == parse_quantity(
        "46 in +- 3 in", Dimension.LENGTH
    )
    assert parse_quantity("4 +- 1/2 in", Dimension.LENGTH).value == pytest.approx(4 * 0.0254)
    assert parse_quantity("4 +- 0 ft 6 in", Dimension.LENGTH).value == pytest.approx(4 * 0.3048)


@given(text=st.text(max_size=20), dimension=st.sampled_from(list(Dimension)))
def test_any_text_is_a_finite_quantity_or_a_quantity_error(text: str, dimension: Dimension) -> None:
    trouble = None
    value = 0.0
    try:
        value = parse_quantity(text, dimension).value
    except QuantityError as error:
        trouble = error.trouble
    assert math.isfinite(value)
    assert trouble is None or (trouble.what and trouble.write)


def test_a_measured_value_refuses_a_negative_error() -> None:
    assert Measured(value=1.0).std is None
    with pytest.raises(ValueError, match="never negative"):
        Measured(value=1.0, std=-0.1)
    with pytest.raises(ValueError, match="never negative"):
        Measured(value=1.0, std=float("nan"))


@pytest.mark.parametrize(
    ("text", "dimension", "system"),
    [
        ("8 ft", Dimension.LENGTH, "us"),
        ("9' 6-3/8", Dimension.LENGTH, "us"),
        ("2.4 +- 0.1 m", Dimension.LENGTH, "metric"),
        ("8 ft +- 2 in", Dimension.LENGTH, "us"),
        ("0.6 m at 95 %", Dimension.LENGTH, "metric"),
        ("10 gpm", Dimension.FLOW, "us"),
        ("40 L/min", Dimension.FLOW, "metric"),
        ("40 L/min +- 5 %", Dimension.FLOW, "metric"),
        ("5 gal in 33 s", Dimension.FLOW, "us"),
        ("20 L in 33 s", Dimension.FLOW, "metric"),
        ("80 %", Dimension.RATIO, "metric"),
        ("0.8", Dimension.RATIO, "metric"),
    ],
)
def test_the_units_of_a_text_are_those_it_is_parsed_in(
    text: str, dimension: Dimension, system: str
) -> None:
    assert system_written(text, dimension).name == system
    assert parse_quantity(text, dimension).value > 0
