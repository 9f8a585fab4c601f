"""From SI to what a person reads: units of the two systems, digits that follow the doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from terrain_head.base.units import UnitSystem, from_si, spread_from_si

Quantity = Literal[
    "height", "length", "bore", "flow", "per_day", "volume", "pressure", "speed", "mass", "area",
    "temperature", "time", "share", "water_column", "reading",
]  # fmt: skip
"""What is shown. ``height`` and ``length`` are metres or feet, ``bore`` millimetres or inches,
``flow`` litres or US gallons a minute, ``per_day`` litres or US gallons a day (from m3/s),
``pressure`` bar or psi, ``water_column`` metres or feet of head, ``reading`` a rod reading."""

LIKELY = 1.6449
"""Half width of the range that holds nine cases in ten, in standard errors of a normal error."""

_UNIT: dict[str, dict[str, tuple[str, int]]] = {
    "metric": {
        "height": ("m", 2), "length": ("m", 0), "bore": ("mm", 1), "flow": ("L/min", 1),
        "per_day": ("L/d", -1), "volume": ("L", -1), "pressure": ("bar", 2), "speed": ("m/s", 2),
        "mass": ("kg", -1), "area": ("m2", 2), "temperature": ("C", 0), "time": ("s", 0),
        "share": ("%", 0), "water_column": ("m", 1), "reading": ("m", 3),
    },
    "us": {
        "height": ("ft", 2), "length": ("ft", 0), "bore": ("in", 3), "flow": ("gal/min", 2),
        "per_day": ("gal/day", -1), "volume": ("gal", -1), "pressure": ("psi", 1),
        "speed": ("ft/s", 1), "mass": ("lb", -1), "area": ("ft2", 1), "temperature": ("F", 0),
        "time": ("s", 0), "share": ("%", 0), "water_column": ("ft", 1), "reading": ("ft", 2),
    },
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A number as text and its unit as text."""

    number: str
    unit: str

    def __str__(self) -> str:
        """Return number and unit; feet with inches hold their units already."""
        return f"{self.number} {self.unit}".rstrip()


def unit_for(quantity: Quantity, system: UnitSystem) -> str:
    """Return the unit in which a quantity is shown."""
    return _UNIT[system.name][quantity][0]


def in_unit(value_si: float, quantity: Quantity, system: UnitSystem) -> float:
    """Return an SI value in the unit in which it is shown."""
    return from_si(value_si, unit_for(quantity, system))


def decimals_for(std: float | None, usual: int) -> int:
    """Return how many decimals are worth printing: as many as show the doubt's first digit.

    Parameters
    ----------
    std
        Standard error in the unit shown; None where it is not known.
    usual
        Decimals where the doubt is not known, and the most that are printed.

    Examples
    --------
    >>> decimals_for(0.4, 2), decimals_for(0.03, 2), decimals_for(None, 2), decimals_for(37.0, 0)
    (1, 2, 2, -1)
    """
    if std is None or std <= 0 or not math.isfinite(std):
        return usual
    return min(-math.floor(math.log10(std)), usual)


def decimals_of(value: float, *, std: float | None, usual: int) -> int:
    """Return how many decimals of a value are worth printing beside its doubt.

    Parameters
    ----------
    value
        The value in the unit shown.
    std
        Its standard error in that unit; None where it is not known.
    usual
        Decimals where the doubt is not known, and the most that are printed.

    Notes
    -----
    As many as show the doubt's first digit, but two digits at least of the value or of half its
    nine-in-ten range, whichever is greater: 2.545 +- 2.0 stays 2.5.

    Examples
    --------
    >>> decimals_of(2.545, std=1.2, usual=2), decimals_of(28.3, std=1.5, usual=2)
    (1, 0)
    """
    if std is None or std <= 0 or not math.isfinite(std):
        return usual
    size = max(abs(value), LIKELY * std)
    two = 1 - math.floor(math.log10(size)) if math.isfinite(size) else usual
    return min(max(decimals_for(std, usual), two), usual)


def show(
    value_si: float,
    quantity: Quantity,
    system: UnitSystem,
    *,
    std: float | None = None,
    decimals: int | None = None,
) -> Shown:
    """Return an SI value as a person reads it.

    Parameters
    ----------
    value_si
        The value, SI.
    quantity
        What it is.
    system
        How results are shown.
    std
        Its standard error, SI: digits that the doubt swallows are not printed.
    decimals
        Overrides the number of decimals; negative rounds to tens or hundreds.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, US
    >>> print(show(2.406, "height", METRIC), "|", show(2.406, "height", US))
    2.41 m | 7.89 ft
    >>> print(show(2.406, "height", UnitSystem(name="us", feet="inches")))
    7 ft 10-3/4 in
    """
    unit, usual = _UNIT[system.name][quantity]
    if unit == "ft" and system.feet == "inches" and quantity in {"height", "length", "reading"}:
        denominator = {"length": 1, "height": 16 if std is not None else 8}.get(quantity, 16)
        return Shown(number=feet_and_inches(value_si, std=std, denominator=denominator), unit="")
    value = from_si(value_si, unit)
    spread = None if std is None else spread_from_si(std, unit)
    places = decimals if decimals is not None else decimals_of(value, std=spread, usual=usual)
    return Shown(number=grouped(value, places, thousands=thousands_mark(system)), unit=unit)


def thousands_mark(system: UnitSystem) -> str:
    """Return what sets thousands off: a comma in US units, a blank in metric ones."""
    return "," if system.name == "us" else " "


def grouped(value: float, decimals: int, *, thousands: str = ",") -> str:
    """Return a number rounded to some decimals, thousands set off.

    Parameters
    ----------
    value
        The number, in whatever unit it is shown in.
    decimals
        Decimals that are kept; negative rounds to tens or hundreds.
    thousands
        What sets thousands off: a comma in the US way, a blank in the metric way, where a comma
        would be read as a decimal sign.

    Examples
    --------
    >>> grouped(12345.6, -2), grouped(-0.0001, 2), grouped(1234.5, 1, thousands=" ")
    ('12,300', '0.00', '1 234.5')
    """
    rounded = round(value, decimals)
    if rounded == 0:
        rounded = 0.0
    return f"{rounded:,.{max(decimals, 0)}f}".replace(",", thousands)


def station_words(station_m: float, units: UnitSystem) -> str:
    """Return a station as it is written on stakes: metric 0+125 (metres), US 1+25 (feet).

    Parameters
    ----------
    station_m
        Level distance from the start of the line [m].
    units
        How results are shown.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, US
    >>> station_words(212.0, METRIC), station_words(212.0, US), station_words(999.7, METRIC)
    ('0+212', '6+96', '1+000')
    """
    size, digits = (100, 2) if units.name == "us" else (1000, 3)
    whole = round(in_unit(station_m, "length", units))
    full, rest = divmod(abs(whole), size)
    return f"{'-' if whole < 0 else ''}{full}+{rest:0{digits}d}"


def feet_and_inches(metres: float, *, std: float | None = None, denominator: int = 16) -> str:
    """Return a length in feet, inches and a binary fraction of an inch.

    Parameters
    ----------
    metres
        The length [m].
    std
        Its standard error: from a quarter inch upward inches are whole, from a foot upward half
        feet are, and from three feet upward whole feet [m].
    denominator
        The finest fraction of an inch.

    Examples
    --------
    >>> feet_and_inches(2.905125), feet_and_inches(2.905125, std=0.5), feet_and_inches(-0.1)
    ('9 ft 6-3/8 in', '9 ft 6 in', '-0 ft 3-15/16 in')
    """
    step = inch_step(std, denominator=denominator)
    inches = round(abs(from_si(metres, "in")) / step) * step
    sign = "-" if metres < 0 and inches else ""
    feet, rest = divmod(inches, 12)
    if step >= 12:
        return f"{sign}{grouped(int(feet), 0)} ft"
    whole, fraction = divmod(rest, 1)
    text = f"{int(whole)}"
    if fraction:
        text += f"-{fraction.numerator}/{fraction.denominator}"
    return f"{sign}{grouped(int(feet), 0)} ft {text} in"


def inch_step(std_m: float | None, *, denominator: int = 16) -> Fraction:
    """Return the part of an inch, or so many inches, to which a height with this doubt is shown.

    Parameters
    ----------
    std_m
        Its standard error; None where it is not known [m].
    denominator
        The finest fraction of an inch.

    Examples
    --------
    >>> inch_step(0.001), inch_step(0.1), inch_step(0.5), inch_step(2.0)
    (Fraction(1, 16), Fraction(1, 1), Fraction(6, 1), Fraction(12, 1))
    """
    off = 0.0 if std_m is None else spread_from_si(std_m, "in")
    if off < _WHOLE_INCHES:
        return Fraction(1, denominator)
    return Fraction(1 if off < _HALF_FEET else 6 if off < _WHOLE_FEET else 12)


_WHOLE_INCHES, _HALF_FEET, _WHOLE_FEET = 0.25, 12.0, 36.0
"""Standard errors [in] from which less than an inch, an inch, half a foot is not worth saying."""
