"""From what a person writes, ``46 +- 3 L/min`` or ``9 ft 6-3/8 in``, to a measured SI value."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from terrain_head.base.measured import Measured
from terrain_head.base.units import Dimension, Unit, find_units, to_si, unit_names, unit_of

_NUMBER = r"[+-]?(?:\d[\d  _']*\d|\d)?(?:[.,]\d+|(?<=\d)[.,])?(?:[eE][+-]?\d+)?"
_STEP = re.compile(r"\+-|\+/-|±")
_AT = re.compile(r"^(?P<body>.*?)\s+at\s+(?P<level>\d+(?:\.\d+)?)\s*%\s*$")
_TIMED = re.compile(r"^(?P<volume>.+?)\s+in\s+(?P<time>[\d.]+\s*[^\d\s].*)$")
_FEET_INCHES = re.compile(
    r"""^(?P<sign>-)?\s*
    (?:(?P<feet>\d+)\s*(?:ft|feet|foot|'|′)\s*)?
    (?:
        (?P<inches>\d+(?:\.\d+)?)?
        (?:(?:\s*-\s*|\s+)?(?P<num>\d+)\s*/\s*(?P<den>\d+))?
        \s*(?P<mark>in|inch|inches|"|″|'')?
    )?\s*$""",
    re.VERBOSE,
)

# Two-sided normal quantiles; a range "at 90 %" holds nine cases in ten.
_QUANTILES = {50.0: 0.6745, 68.0: 0.9945, 90.0: 1.6449, 95.0: 1.9600, 99.0: 2.5758}


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityTrouble:
    """What is wrong with a text, and what to write instead."""

    what: str
    write: str


class QuantityError(ValueError):
    """A text that is not the quantity asked for."""

    def __init__(self, what: str, write: str = "") -> None:
        super().__init__(what)
        self.trouble = QuantityTrouble(what=what, write=write)


def parse_quantity(text: str, dimension: Dimension, *, example: str = "") -> Measured:
    """Return the measured SI value that a text states.

    Parameters
    ----------
    text
        Number, perhaps ``+-`` and its standard error, and unit; ``at 95 %`` may end it, and then
        the whole is a spread that is turned into one standard error (used for stated errors).
    dimension
        The kind of quantity that is wanted.
    example
        A right spelling to show when the text is wrong; one is made up otherwise.

    Returns
    -------
    Measured
        Value and standard error (None where the text states none), in SI.

    Raises
    ------
    QuantityError
        If the text has no number, no unit, a unit of another kind, or is not finite.

    Examples
    --------
    >>> round(parse_quantity("9 ft 6-3/8 in", Dimension.LENGTH).value, 6)
    2.905125
    >>> parse_quantity("80 %", Dimension.RATIO)
    Measured(value=0.8, std=None)
    """
    raw = text.strip()
    example = example or _EXAMPLES[dimension]
    if not raw or raw in {"?", "-"}:
        raise QuantityError(f"{text!r} is still blank; {dimension.value} is wanted.", example)
    spread = _AT.match(raw)
    if spread is not None:
        return _stated_spread(spread["body"], float(spread["level"]), dimension, example)
    if dimension is Dimension.FLOW and (timed := _TIMED.match(raw)) is not None:
        volume = parse_quantity(timed["volume"], Dimension.VOLUME, example=example)
        time = parse_quantity(timed["time"], Dimension.TIME, example=example)
        return _quotient(volume, time)
    if dimension is Dimension.LENGTH and (length := _feet_inches(raw)) is not None:
        return Measured(value=length)
    halves = _STEP.split(raw)
    if len(halves) > 2:
        raise QuantityError(f"{text!r} holds more than one +-.", example)
    if len(halves) == 1:
        number, unit = _number_and_unit(raw, dimension, example)
        return Measured(value=_si(number, unit))
    return _with_error(halves[0].strip(), halves[1].strip(), dimension, example)


def parse_feet_inches(text: str) -> float | None:
    """Return a length written in feet, inches and fractions [m], or None if it is not one.

    Inches stay under 12 where feet stand before them, a fraction stays under 1.

    Raises
    ------
    QuantityError
        If it is written so but the inches reach 12 or the fraction reaches 1.
    """
    return _feet_inches(text.strip())


def _feet_inches(text: str) -> float | None:
    match = _FEET_INCHES.match(text)
    if match is None or not (match["feet"] or match["mark"]):
        return None
    if not (match["inches"] or match["num"]) and match["feet"] is None:
        return None
    plain_feet = match["feet"] is not None and not (match["inches"] or match["num"])
    feet = float(match["feet"] or 0)
    inches = float(match["inches"] or 0)
    if match["num"]:
        if int(match["den"]) == 0 or int(match["num"]) >= int(match["den"]):
            raise QuantityError(
                f"{text!r}: the fraction must be less than one inch.", "9 ft 6-3/8 in"
            )
        inches += int(match["num"]) / int(match["den"])
    if match["feet"] is not None and inches >= 12:
        raise QuantityError(f"{text!r}: inches beside feet stay under 12.", "9 ft 6-3/8 in")
    sign = -1.0 if match["sign"] else 1.0
    if plain_feet:
        return sign * to_si(feet, "ft")
    return sign * to_si(feet * 12 + inches, "in")


def _number_and_unit(text: str, dimension: Dimension, example: str) -> tuple[float, Unit]:
    match = re.match(rf"^({_NUMBER})\s*(.*)$", text)
    if match is None or not match[1].strip("+-"):
        if text.lower().lstrip("+-") in {"nan", "inf", "infinity"}:
            raise QuantityError(f"{text!r} is not a number that can be used.", example)
        raise QuantityError(f"{text!r} does not begin with a number.", example)
    number = _number(match[1], example)
    word = match[2].strip()
    if not word:
        if dimension is Dimension.RATIO:
            return number, Unit(name="1", dimension=dimension, factor=1.0, spellings=())
        raise QuantityError(f"{text!r} has no unit; {dimension.value} is wanted.", example)
    unit = unit_of(word, dimension)
    if unit is None:
        others = find_units(word)
        if others:
            raise QuantityError(
                f"{text!r} is {others[0].dimension.value}; {dimension.value} is wanted.", example
            )
        known = ", ".join(unit_names(dimension)[:8])
        raise QuantityError(f"the unit {word!r} in {text!r} is not known. Known: {known}.", example)
    return number, unit


def _number(text: str, example: str) -> float:
    cleaned = re.sub(r"[\s _']", "", text)
    if "," in cleaned:
        raise QuantityError(
            f"{text!r} holds a comma. Write a point for decimals and nothing for thousands.",
            example,
        )
    try:
        value = float(cleaned)
    except ValueError:
        raise QuantityError(f"{text!r} is not a number.", example) from None
    if not math.isfinite(value):
        raise QuantityError(f"{text!r} is too large to be used.", example)
    return value


def _si(number: float, unit: Unit) -> float:
    return number * unit.factor + unit.offset


def _with_error(value_text: str, error_text: str, dimension: Dimension, example: str) -> Measured:
    error, unit = _number_and_unit(error_text, dimension, example)
    if error < 0:
        raise QuantityError(f"the give-or-take in {error_text!r} is negative.", example)
    if (length := _feet_inches(value_text)) is not None and dimension is Dimension.LENGTH:
        return Measured(value=length, std=error * unit.factor)
    match = re.match(rf"^{_NUMBER}$", value_text)
    if match is not None and value_text.strip("+-"):
        return Measured(value=_si(_number(value_text, example), unit), std=error * unit.factor)
    number, own_unit = _number_and_unit(value_text, dimension, example)
    return Measured(value=_si(number, own_unit), std=error * unit.factor)


def _stated_spread(body: str, level: float, dimension: Dimension, example: str) -> Measured:
    if level not in _QUANTILES:
        known = ", ".join(f"{key:g} %" for key in _QUANTILES)
        raise QuantityError(f"'at {level:g} %' is not known. Known: {known}.", example)
    spread = parse_quantity(body, dimension, example=example)
    return Measured(value=spread.value / _QUANTILES[level])


def _quotient(volume: Measured, time: Measured) -> Measured:
    if time.value <= 0:
        raise QuantityError("the time of a timed filling must be more than 0 s.", "5 gal in 33 s")
    value = volume.value / time.value
    if volume.std is None and time.std is None:
        return Measured(value=value)
    relative = math.hypot(
        (volume.std or 0.0) / volume.value if volume.value else 0.0, (time.std or 0.0) / time.value
    )
    return Measured(value=value, std=abs(value) * relative)


_EXAMPLES = {
    Dimension.LENGTH: "2.5 m",
    Dimension.AREA: "300 m2",
    Dimension.VOLUME: "2.2 m3",
    Dimension.FLOW: "46 L/min",
    Dimension.PRESSURE: "60 kPa",
    Dimension.TIME: "33 s",
    Dimension.TEMPERATURE: "10 C",
    Dimension.ANGLE: "10 arcsec",
    Dimension.RATIO: "80 %",
    Dimension.SPEED: "1.5 m/s",
    Dimension.MASS: "40 kg",
}
