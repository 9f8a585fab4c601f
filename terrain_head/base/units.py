"""The only module that knows a foot, a psi, a gallon.

Inside, everything is SI: metres, seconds, cubic metres a second, pascals, degrees Celsius,
radians, kilograms. Here stand the factors, the spellings under which people write the units, and
which unit each of the two ways of showing results uses.

References
----------
The factors are exact by definition: NIST, Guide for the Use of the International System of Units
(SP 811), 2008, appendix B (from memory); the US survey foot is 1200/3937 m, Federal Register
85 FR 62698, 2020.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

STANDARD_GRAVITY_M_S2 = 9.80665

FOOT_M = 0.3048
US_SURVEY_FOOT_M = 1200 / 3937
INCH_M = FOOT_M / 12
US_GALLON_M3 = 231 * INCH_M**3
IMPERIAL_GALLON_M3 = 4.54609e-3
POUND_KG = 0.45359237
PSI_PA = POUND_KG * STANDARD_GRAVITY_M_S2 / INCH_M**2
DAY_S = 86_400.0

# A metre of water as a pressure: 1000 kg/m3 at standard gravity, the convention of the unit.
METRE_OF_WATER_PA = 1000 * STANDARD_GRAVITY_M_S2


class Dimension(StrEnum):
    """What kind of quantity a text must hold; the value says it in words for messages."""

    LENGTH = "a length"
    AREA = "an area"
    VOLUME = "a volume"
    FLOW = "a flow"
    PRESSURE = "a pressure"
    TIME = "a time"
    TEMPERATURE = "a temperature"
    ANGLE = "an angle"
    RATIO = "a share"
    SPEED = "a speed"
    MASS = "a mass"
    BEATS = "a number of beats"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit: its printed name, dimension, factor to SI, and the ways people write it.

    ``si = value * factor + offset``.
    """

    name: str
    dimension: Dimension
    factor: float
    spellings: tuple[str, ...]
    offset: float = 0.0


def _flows() -> list[Unit]:
    """Every volume with every time: L/min, gal/day, m3/h ..."""
    volumes = [
        ("L", 1e-3, ("l", "litre", "litres", "liter", "liters")),
        ("mL", 1e-6, ("ml",)),
        ("m3", 1.0, ("m^3", "m³", "cubic metres", "cubic meters")),
        ("gal", US_GALLON_M3, ("gallon", "gallons", "us gal", "us gallons")),
        ("imp gal", IMPERIAL_GALLON_M3, ("imperial gallons", "imp gallons", "uk gal")),
        ("ft3", FOOT_M**3, ("ft^3", "cubic feet", "cu ft")),
    ]
    times = [
        ("s", 1.0, ("sec", "second")),
        ("min", 60.0, ("minute",)),
        ("h", 3600.0, ("hr", "hour")),
        ("d", DAY_S, ("day",)),
    ]
    extra = {
        ("gal", "min"): ("gpm", "us gpm"),
        ("gal", "d"): ("gpd",),
        ("gal", "h"): ("gph",),
        ("imp gal", "min"): ("igpm",),
        ("L", "min"): ("lpm",),
        ("L", "s"): ("lps",),
        ("ft3", "s"): ("cfs",),
        ("ft3", "min"): ("cfm",),
    }
    units = []
    for volume, size, volume_words in volumes:
        for time, length, time_words in times:
            spellings = [
                form
                for v in (volume, *volume_words)
                for t in (time, *time_words)
                for form in (f"{v}/{t}", f"{v} a {t}", f"{v} per {t}")
            ]
            units.append(
                Unit(
                    name=f"{volume}/{'day' if time == 'd' and 'gal' in volume else time}",
                    dimension=Dimension.FLOW,
                    factor=size / length,
                    spellings=(*spellings, *extra.get((volume, time), ())),
                )
            )
    return units


_PLAIN: tuple[tuple[str, Dimension, float, tuple[str, ...]], ...] = (
    ("m", Dimension.LENGTH, 1.0, ("metre", "metres", "meter", "meters")),
    ("cm", Dimension.LENGTH, 0.01, ("centimetre", "centimetres", "centimeter", "centimeters")),
    ("mm", Dimension.LENGTH, 1e-3, ("millimetre", "millimetres", "millimeter", "millimeters")),
    ("km", Dimension.LENGTH, 1e3, ("kilometre", "kilometres", "kilometer", "kilometers")),
    ("ft", Dimension.LENGTH, FOOT_M, ("foot", "feet", "'")),
    ("ftUS", Dimension.LENGTH, US_SURVEY_FOOT_M, ("us survey foot", "us survey feet", "ft us")),
    ("in", Dimension.LENGTH, INCH_M, ("inch", "inches", '"')),
    ("mi", Dimension.LENGTH, 5280 * FOOT_M, ("mile", "miles")),
    ("yd", Dimension.LENGTH, 3 * FOOT_M, ("yard", "yards")),
    ("m2", Dimension.AREA, 1.0, ("m^2", "m²", "square metres", "square meters")),
    ("ft2", Dimension.AREA, FOOT_M**2, ("ft^2", "sq ft", "square feet")),
    ("ha", Dimension.AREA, 1e4, ("hectare", "hectares")),
    ("acre", Dimension.AREA, 43_560 * FOOT_M**2, ("acres", "ac")),
    ("L", Dimension.VOLUME, 1e-3, ("l", "litre", "litres", "liter", "liters")),
    ("mL", Dimension.VOLUME, 1e-6, ("ml",)),
    ("m3", Dimension.VOLUME, 1.0, ("m^3", "m³", "cubic metres", "cubic meters")),
    ("gal", Dimension.VOLUME, US_GALLON_M3, ("gallon", "gallons", "us gal", "us gallons")),
    (
        "imp gal",
        Dimension.VOLUME,
        IMPERIAL_GALLON_M3,
        ("imperial gallons", "imp gallons", "uk gal"),
    ),
    ("ft3", Dimension.VOLUME, FOOT_M**3, ("ft^3", "cubic feet", "cu ft")),
    ("Pa", Dimension.PRESSURE, 1.0, ("pa", "pascal")),
    ("kPa", Dimension.PRESSURE, 1e3, ("kpa",)),
    ("MPa", Dimension.PRESSURE, 1e6, ("mpa",)),
    ("bar", Dimension.PRESSURE, 1e5, ("bars",)),
    ("mbar", Dimension.PRESSURE, 100.0, ("millibar",)),
    ("psi", Dimension.PRESSURE, PSI_PA, ("pounds per square inch", "lb/in2", "lbf/in2")),
    (
        "m of water",
        Dimension.PRESSURE,
        METRE_OF_WATER_PA,
        ("m water", "metres of water", "meters of water", "m head", "m of head", "mwc", "mh2o"),
    ),
    (
        "ft of water",
        Dimension.PRESSURE,
        METRE_OF_WATER_PA * FOOT_M,
        ("ft water", "feet of water", "ft head", "ft of head", "feet of head"),
    ),
    ("s", Dimension.TIME, 1.0, ("sec", "second", "seconds")),
    ("min", Dimension.TIME, 60.0, ("minute", "minutes")),
    ("h", Dimension.TIME, 3600.0, ("hr", "hour", "hours")),
    ("d", Dimension.TIME, DAY_S, ("day", "days")),
    ("rad", Dimension.ANGLE, 1.0, ("radian", "radians")),
    ("deg", Dimension.ANGLE, math.pi / 180, ("degree", "degrees", "°")),
    ("arcmin", Dimension.ANGLE, math.pi / 10_800, ("arc minutes", "minutes of arc")),
    ("arcsec", Dimension.ANGLE, math.pi / 648_000, ("arc seconds", "seconds of arc", "arcseconds")),
    ("%", Dimension.RATIO, 0.01, ("percent", "per cent", "pct")),
    ("m/s", Dimension.SPEED, 1.0, ("metres a second",)),
    ("ft/s", Dimension.SPEED, FOOT_M, ("fps", "feet a second")),
    ("kg", Dimension.MASS, 1.0, ("kilogram", "kilograms")),
    ("t", Dimension.MASS, 1e3, ("tonne", "tonnes")),
    ("lb", Dimension.MASS, POUND_KG, ("lbs", "pound", "pounds")),
    ("ton", Dimension.MASS, 2000 * POUND_KG, ("tons", "short tons")),
    (
        "/min",
        Dimension.BEATS,
        1 / 60,
        ("a minute", "per minute", "beats/min", "beats a minute", "beats per minute"),
    ),
    ("/s", Dimension.BEATS, 1.0, ("a second", "per second", "beats/s", "beats a second")),
)


def _all_units() -> list[Unit]:
    units = [
        Unit(name=name, dimension=dimension, factor=factor, spellings=spellings)
        for name, dimension, factor, spellings in _PLAIN
    ]
    units.append(
        Unit(
            name="C",
            dimension=Dimension.TEMPERATURE,
            factor=1.0,
            spellings=("°c", "deg c", "celsius"),
        )
    )
    units.append(
        Unit(
            name="F",
            dimension=Dimension.TEMPERATURE,
            factor=5 / 9,
            offset=-160 / 9,
            spellings=("°f", "deg f", "fahrenheit"),
        )
    )
    return units + _flows()


UNITS: tuple[Unit, ...] = tuple(_all_units())
_CUSTOMARY = frozenset(
    {"ft", "ft2", "ft3", "ftUS", "in", "mi", "yd", "acre", "gal", "psi", "lb", "ton", "F"}
)
_EXACT = {unit.name: unit for unit in UNITS}
_LOOSE: dict[str, list[Unit]] = {}
for _unit in UNITS:
    for _word in {_unit.name.lower(), *_unit.spellings}:
        _LOOSE.setdefault(_word.lower(), []).append(_unit)


def find_units(word: str) -> list[Unit]:
    """Return every unit that a word may mean, the one spelled exactly so first; none if unknown.

    Examples
    --------
    >>> [unit.name for unit in find_units("gpm")]
    ['gal/min']
    >>> find_units("furlong")
    []
    """
    folded = " ".join(word.split())
    exact = _EXACT.get(folded)
    loose = _LOOSE.get(folded.lower(), [])
    return ([exact] if exact else []) + [unit for unit in loose if unit is not exact]


def unit_of(word: str, dimension: Dimension) -> Unit | None:
    """Return the unit of one dimension that a word means, or None."""
    return next((unit for unit in find_units(word) if unit.dimension is dimension), None)


def is_customary(unit: Unit) -> bool:
    """Say whether a unit is one of feet, gallons, pounds and their like, not of metres.

    Examples
    --------
    >>> [is_customary(unit) for unit in (*find_units("gpm"), *find_units("L/min"))]
    [True, False]
    """
    return not _CUSTOMARY.isdisjoint(unit.name.replace("/", " ").split())


def unit_names(dimension: Dimension) -> list[str]:
    """Return the printed names of the units of a dimension, the usual ones first."""
    return [unit.name for unit in UNITS if unit.dimension is dimension]


def to_si(value: float, name: str) -> float:
    """Return a value given in a unit named exactly, in SI.

    Examples
    --------
    >>> to_si(1.0, "ft")
    0.3048
    """
    unit = _EXACT[name]
    return value * unit.factor + unit.offset


def from_si(value: float, name: str) -> float:
    """Return an SI value in the unit named exactly."""
    unit = _EXACT[name]
    return (value - unit.offset) / unit.factor


def spread_from_si(std: float, name: str) -> float:
    """Return a standard error (or another difference) given in SI, in the unit named exactly.

    Examples
    --------
    >>> round(spread_from_si(1.0, "F"), 6)
    1.8
    """
    return std / _EXACT[name].factor


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitSystem:
    """How results are shown.

    Parameters
    ----------
    name
        ``metric`` or ``us``.
    feet
        With ``us``: ``tenths`` (7.9 ft) or ``inches`` (7 ft 11 in).
    """

    name: Literal["metric", "us"] = "metric"
    feet: Literal["tenths", "inches"] = "tenths"


METRIC = UnitSystem()
US = UnitSystem(name="us")
