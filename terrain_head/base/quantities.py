"""From what a person writes, ``46 +- 3 L/min`` or ``9 ft 6-3/8 in``, to a measured SI value."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from terrain_head.base.display import LIKELY
from terrain_head.base.feet_inches import marked
from terrain_head.base.measured import Measured
from terrain_head.base.units import (
    METRIC,
    US,
    Dimension,
    Unit,
    UnitSystem,
    find_units,
    is_customary,
    unit_names,
    unit_of,
)

_NUMBER = (
    r"[+-]?(?:\d{1,3}(?:[ _']\d{3})+(?!\d)|\d{1,3}(?:,\d{3})+(?=\.\d)|\d+)?"
    r"(?:[.,]\d+|(?<=\d)[.,](?!\d))?(?:[eE][+-]?\d+)?"
)
_STEP = re.compile(r"\+-|\+/-|±")
_AT = re.compile(r"^(?P<body>.*?)\s+at\s+(?P<level>\d+(?:\.\d+)?)\s*%\s*$")
_TIMED = re.compile(r"^(?P<volume>.+?)\s+in\s+(?P<time>[\d.]+\s*[^\d\s].*)$")

# Signs that phones and typesetters put in the place of plain ones.
_PLAIN = str.maketrans(
    {
        "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u2212": "-", "\u2011": "-",
        "\u2032": "'", "\u2019": "'", "\u2018": "'",
        "\u2033": '"', "\u201d": '"', "\u201c": '"',
    }
)  # fmt: skip

# Two-sided normal quantiles; a range "at 90 %" holds nine cases in ten.
_QUANTILES = {50.0: 0.6745, 68.0: 0.9945, 90.0: LIKELY, 95.0: 1.9600, 99.0: 2.5758}


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
    >>> parse_quantity("80 %", Dimension.RATIO).value
    0.8
    """
    raw = text.translate(_PLAIN).strip()
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
    value, error = halves[0].strip(), halves[1].strip()
    if not value or not error:
        raise QuantityError(f"{text!r} wants a number on both sides of +-.", example)
    return _with_error(value, error, dimension, example)


def system_written(text: str, dimension: Dimension) -> UnitSystem:
    """Return the system of units in which a quantity is written.

    Parameters
    ----------
    text
        As for `parse_quantity`, which takes it.
    dimension
        The kind of quantity that it is.

    Returns
    -------
    UnitSystem
        Of a timed filling that of its volume; metric where the text says no unit.

    Examples
    --------
    >>> system_written("5 gal in 33 s", Dimension.FLOW).name
    'us'
    >>> system_written("46 +- 3 L/min", Dimension.FLOW).name
    'metric'
    """
    raw = text.translate(_PLAIN).strip()
    spread = _AT.match(raw)
    if spread is not None:
        return system_written(spread["body"], dimension)
    if dimension is Dimension.FLOW and (timed := _TIMED.match(raw)) is not None:
        return system_written(timed["volume"], Dimension.VOLUME)
    for half in _STEP.split(raw):
        if dimension is Dimension.LENGTH and marked(half.strip()) is not None:
            return US
        unit = unit_of(_split(half.strip())[1], dimension)
        if unit is not None:
            return US if is_customary(unit) else METRIC
    return METRIC


def parse_feet_inches(text: str) -> float | None:
    """Return a length written in feet, inches and fractions [m], or None if it is not one.

    Inches stay under 12 where feet stand before them, a fraction stays under 1.

    Raises
    ------
    QuantityError
        If it is written so but the inches reach 12 or the fraction reaches 1.
    """
    return _feet_inches(text.translate(_PLAIN).strip())


def _feet_inches(text: str) -> float | None:
    written = marked(text)
    if written is None:
        return None
    if not written.fraction_holds:
        raise QuantityError(f"{text!r}: the fraction must be less than one inch.", "9 ft 6-3/8 in")
    if not written.inches_hold:
        raise QuantityError(f"{text!r}: inches beside feet stay under 12.", "9 ft 6-3/8 in")
    return written.length_m


def _number_and_unit(text: str, dimension: Dimension, example: str) -> tuple[float, Unit]:
    number_text, word = _split(text)
    if not number_text.strip("+-"):
        if _NOT_FINITE.match(text):
            raise QuantityError(f"{text!r} is not a number that can be used.", example)
        raise QuantityError(f"{text!r} does not begin with a number.", example)
    number = _number(number_text, word, example)
    if not word:
        if dimension is Dimension.RATIO:
            return number, _BARE
        raise QuantityError(f"{text!r} has no unit; {dimension.value} is wanted.", example)
    return number, _unit(text, word, dimension, example)


_NOT_FINITE = re.compile(r"^[+-]?(?:nan|inf|infinity)\b", re.IGNORECASE)
_BARE = Unit(name="1", dimension=Dimension.RATIO, factor=1.0, spellings=())


def _split(text: str) -> tuple[str, str]:
    match = re.match(rf"^({_NUMBER})\s*(.*)$", text, re.DOTALL)
    if match is None or match[1].lstrip("+-")[:1] in {"e", "E"}:
        return "", text
    return match[1], match[2].strip()


def _unit(text: str, word: str, dimension: Dimension, example: str) -> Unit:
    unit = unit_of(word, dimension)
    if unit is not None:
        return unit
    if dimension is Dimension.LENGTH and re.match(r"(?:ft|feet|foot|')\s*[\d.]", word):
        raise QuantityError(f"{text!r}: feet beside inches are whole numbers.", "9 ft 6-3/8 in")
    others = find_units(word)
    if others:
        raise QuantityError(
            f"{text!r} is {others[0].dimension.value}; {dimension.value} is wanted.", example
        )
    known = ", ".join(unit_names(dimension)[:8])
    raise QuantityError(f"the unit {word!r} in {text!r} is not known. Known: {known}.", example)


def _number(text: str, word: str, example: str) -> float:
    cleaned = re.sub(r"[\s_']", "", text)
    if "," in cleaned and "." in cleaned:
        cleaned = cleaned.replace(",", "")  # 1,234.5 can be read one way only
    if "," in cleaned:
        point = cleaned.replace(",", ".")
        raise QuantityError(
            f"{text!r} holds a comma. Write a point for decimals and nothing for thousands.",
            f"{point} {word}".strip() if _plain_number(point) and word[:1] != "," else example,
        )
    value = float(cleaned)
    if not math.isfinite(value):
        raise QuantityError(f"{text!r} is too large to be used.", example)
    return value


def _plain_number(text: str) -> bool:
    return re.fullmatch(r"[+-]?\d*\.\d+", text) is not None


def _si(number: float, unit: Unit) -> float:
    return number * unit.factor + unit.offset


def _with_error(value_text: str, error_text: str, dimension: Dimension, example: str) -> Measured:
    own: Unit | None = None
    if dimension is Dimension.LENGTH and (length := _feet_inches(value_text)) is not None:
        value = length
    else:
        number_text, word = _split(value_text)
        if not number_text.strip("+-"):
            raise QuantityError(f"{value_text!r} is not a number.", example)
        number = _number(number_text, word, example)
        if word:
            own = _unit(value_text, word, dimension, example)
        elif _share_of(error_text, dimension) is None:
            error, unit = _error(error_text, dimension, example, own=None)
            return Measured(value=_si(number, unit), std=error)
        else:
            raise QuantityError(
                f"{value_text!r} has no unit; {dimension.value} is wanted.", example
            )
        value = _si(number, own)
    if (share := _share_of(error_text, dimension)) is not None:
        return Measured(value=value, std=abs(value) * share)
    return Measured(value=value, std=_error(error_text, dimension, example, own=own)[0])


def _share_of(error_text: str, dimension: Dimension) -> float | None:
    """Return a give-or-take written as a share of the value, None if it is not."""
    if dimension in {Dimension.RATIO, Dimension.TEMPERATURE}:
        return None
    match = re.fullmatch(r"(\d+(?:\.\d+)?)\s*%", error_text)
    return None if match is None else float(match[1]) / 100


def _error(
    text: str, dimension: Dimension, example: str, *, own: Unit | None
) -> tuple[float, Unit]:
    """Return a give-or-take in SI (no offset: it is a difference), and its unit."""
    if dimension is Dimension.LENGTH and (length := _feet_inches(text)) is not None:
        written = marked(text)
        error, unit = length, _INCH if written is None or written.feet is None else _FOOT
    elif own is not None and not _split(text)[1]:
        number = _number_and_unit(f"{text} {own.name}", dimension, example)[0]
        error, unit = number * own.factor, own
    else:
        number, unit = _number_and_unit(text, dimension, example)
        error = number * unit.factor
    if error < 0:
        raise QuantityError(f"the give-or-take in {text!r} is negative.", example)
    return error, unit


_FOOT = find_units("ft")[0]
_INCH = find_units("in")[0]


def _stated_spread(body: str, level: float, dimension: Dimension, example: str) -> Measured:
    if level not in _QUANTILES:
        known = ", ".join(f"{key:g} %" for key in _QUANTILES)
        raise QuantityError(f"'at {level:g} %' is not known. Known: {known}.", example)
    stated = parse_quantity(body, dimension, example=example)
    if stated.std is not None:
        return Measured(value=stated.value, std=stated.std / _QUANTILES[level])
    return Measured(value=stated.value / _QUANTILES[level])


def _quotient(volume: Measured, time: Measured) -> Measured:
    if time.value <= 0:
        raise QuantityError("the time of a timed filling must be more than 0 s.", "5 gal in 33 s")
    value = volume.value / time.value
    if volume.std is None and time.std is None:
        return Measured(value=value)
    own = (volume.std or 0.0) / time.value
    return Measured(value=value, std=math.hypot(own, value * (time.std or 0.0) / time.value))


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
    Dimension.BEATS: "60 /min",
}
