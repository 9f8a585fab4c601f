"""Amounts that screens and pictures must say with the same digits."""

from __future__ import annotations

import math

from terrain_head.base.display import Quantity, grouped, in_unit, show, thousands_mark, unit_for
from terrain_head.base.units import UnitSystem, to_si


def stand_amount(metres: float, units: UnitSystem) -> str:
    """Return the height of a stand, rounded up: to 0.1 m, half a foot, or a whole inch.

    Parameters
    ----------
    metres
        The height [m].
    units
        How results are shown.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, US
    >>> stand_amount(1.829, METRIC), stand_amount(4.16, US)
    ('1.9 m', '14 ft')
    >>> stand_amount(4.15, UnitSystem(name="us", feet="inches"))
    '13 ft 8 in'
    """
    step = {"metric": 0.1, "us": to_si(0.5, "ft")}[units.name]
    if units.feet == "inches":
        step = to_si(1.0, "in")
    whole = math.ceil(metres / step - 1e-6) * step
    return str(show(whole, "height", units, decimals=1)).replace(".0 ft", " ft")


def length_amount(metres: float, units: UnitSystem) -> str:
    """Return a length along the ground or a pipe; one below ten units keeps a decimal.

    Parameters
    ----------
    metres
        The length [m].
    units
        How results are shown; inches would say more than is known.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, US
    >>> length_amount(16.5, METRIC), length_amount(2.0, US)
    ('16 m', '6.6 ft')
    """
    tenths = UnitSystem(name=units.name)
    short = abs(in_unit(metres, "length", tenths)) < 10
    return str(show(metres, "length", tenths, decimals=1 if short else None))


def flow_amount(m3_s: float, units: UnitSystem) -> str:
    """Return a flow a minute, three significant digits; a decimal that is nought is left out.

    Parameters
    ----------
    m3_s
        The flow [m3/s].
    units
        How results are shown.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, US
    >>> flow_amount(2e-4, METRIC), flow_amount(2e-4, US)
    ('12 L/min', '3.17 gal/min')
    """
    number = significant(in_unit(m3_s, "flow", units), 3, most=2, thousands=thousands_mark(units))
    number = number.rstrip("0").rstrip(".") if "." in number else number
    return f"{number} {unit_for('flow', units)}"


def pressure_amount(pascals: float, units: UnitSystem) -> str:
    """Return a pressure in bar or psi; a great one has a decimal less.

    Parameters
    ----------
    pascals
        The pressure [Pa].
    units
        How results are shown.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, US
    >>> pressure_amount(87_600.0, METRIC), pressure_amount(1_400_000.0, US)
    ('0.88 bar', '203 psi')
    """
    number = in_unit(pascals, "pressure", units)
    great = abs(number) >= (10 if units.name == "metric" else 100)
    usual = 2 if units.name == "metric" else 1
    return str(show(pascals, "pressure", units, decimals=usual - great))


def day_amount(m3_s: float, units: UnitSystem) -> str:
    """Return water a day, two significant digits: its doubt allows no more.

    Parameters
    ----------
    m3_s
        The flow [m3/s].
    units
        How results are shown.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC
    >>> day_amount(3.102e-5, METRIC)
    '2 700 L/d'
    """
    return f"{_two_digits(m3_s, 'per_day', units)} {unit_for('per_day', units)}"


def _two_digits(value_si: float, quantity: Quantity, units: UnitSystem) -> str:
    mark = thousands_mark(units)
    return significant(in_unit(value_si, quantity, units), 2, most=0, thousands=mark)


def significant(value: float, digits: int, *, most: int, thousands: str = ",") -> str:
    """Return a number to some significant digits, never more than `most` decimals.

    Parameters
    ----------
    value
        The number, in whatever unit it is shown in.
    digits
        Significant digits.
    most
        The most decimals.
    thousands
        What sets thousands off, as for `terrain_head.base.display.grouped`.

    Examples
    --------
    >>> significant(3683.0, 2, most=0), significant(2.557, 3, most=2), significant(0.0, 2, most=1)
    ('3,700', '2.56', '0.0')
    """
    if value == 0 or not math.isfinite(value):
        return grouped(value, most, thousands=thousands)
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    return grouped(value, min(decimals, most), thousands=thousands)


def decimals_of_range(low: float, high: float) -> int:
    """Return how many decimals show the width of a range with two digits, one for a great first.

    Parameters
    ----------
    low, high
        Its ends in the unit shown.

    Examples
    --------
    >>> decimals_of_range(770.0, 1120.0), decimals_of_range(1600.0, 4700.0)
    (-1, -2)
    """
    half = (high - low) / 2
    if half <= 0 or not math.isfinite(half):
        return 2
    power = math.floor(math.log10(half))
    return 1 - power if half < 1.995 * 10.0**power else -power
