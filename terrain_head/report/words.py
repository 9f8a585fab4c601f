"""Sentences: what is said of findings, of values taken and of questions not asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from terrain_head.assessment.finding import Finding
from terrain_head.base.amounts import significant
from terrain_head.base.units import UnitSystem, from_si
from terrain_head.report import (
    finding_words_air,
    finding_words_book,
    finding_words_drive,
    finding_words_ground,
    finding_words_ram,
    finding_words_rating,
    finding_words_safety,
    finding_words_surge,
    finding_words_water,
)
from terrain_head.report.speech import Speech, duration
from terrain_head.report.told import Sayer, Told
from terrain_head.scheme.parts import Taken

FINDING_WORDS: Mapping[str, Sayer] = {
    **finding_words_ram.WORDS,
    **finding_words_drive.WORDS,
    **finding_words_water.WORDS,
    **finding_words_air.WORDS,
    **finding_words_surge.WORDS,
    **finding_words_rating.WORDS,
    **finding_words_ground.WORDS,
    **finding_words_book.WORDS,
    **finding_words_safety.WORDS,
}
"""What is said of each kind of finding; a test holds it against the list of kinds."""


def told(finding: Finding, *, units: UnitSystem) -> Told:
    """Return what is said of a finding: the fact and the cure.

    Parameters
    ----------
    finding
        A finding of a known kind.
    units
        How its numbers are shown.

    Raises
    ------
    KeyError
        If nothing is written for its kind.
    """
    return FINDING_WORDS[finding.kind](finding, Speech(units=units))


def finding_text(finding: Finding, *, units: UnitSystem) -> str:
    """Return one or two plain sentences: the number, its limit and what to do.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC
    >>> print(finding_text(Finding(kind="book-unchecked", severity="care"), units=METRIC))
    You did not come back to a known point, so nothing checks the level book. One more reading on
    the first point would check it all.
    """
    return str(told(finding, units=units))


def finding_source_text(finding: Finding) -> str:
    """Return where the limit of a finding is published; empty where it has no source."""
    return "" if finding.source is None else str(finding.source)


def value_text(value_si: float, unit: str, *, units: UnitSystem, key: str = "") -> str:
    """Return an SI value of a record as a person reads it.

    Parameters
    ----------
    value_si
        The value, SI.
    unit
        JSON unit that says what it is.
    units
        How it is shown.
    key
        Its key in the study: a bore or a roughness is shown in fine units.
    """
    say = Speech(units=units)
    if unit == "m":
        return _length_text(value_si, say, key=key)
    sayers: Mapping[str, Callable[[float], str]] = {
        "kPa": say.pressure,
        "L/min": say.flow,
        "m3/d": say.per_day,
        "m3": say.volume,
        "kg": say.mass,
        "C": say.temperature,
        "s": duration,
        "m/s": lambda speed: say.say(speed, "speed"),
        "1": say.share if any(word in key for word in _SHARES) else lambda x: f"{x:g}",
    }
    return sayers[unit](value_si)


_SHARES = ("share", "efficiency")


def _length_text(metres: float, say: Speech, *, key: str) -> str:
    if "roughness" in key:
        if say.units.name == "us":
            return f"{_two_digits(from_si(metres, 'in'))} in"
        return f"{_two_digits(from_si(metres, 'mm'))} mm"
    if any(word in key for word in ("inside", "diameter", "wall", "bore")):
        return say.bore(metres)
    if key.endswith("level_error"):
        unit = "ft" if say.units.name == "us" else "mm"
        return f"{from_si(metres, unit):.2g} {unit}"
    return say.small(metres)


def _two_digits(number: float) -> str:
    """Return a small number to two significant digits, never as a power of ten."""
    text = significant(number, 2, most=7)
    return text.rstrip("0").rstrip(".") if "." in text else text


def taken_text(taken: Taken, units: UnitSystem) -> str:
    """Return what was taken for want of the person's own value.

    Examples
    --------
    >>> from terrain_head.base.citation import OURS
    >>> from terrain_head.base.units import METRIC
    >>> cool = Taken(key="water.temperature", value_si=10.0, unit="C", citation=OURS.at("cool"))
    >>> print(taken_text(cool, METRIC))
    water.temperature: 10 C
    """
    if taken.value_si is None:
        return f"{taken.key}: {taken.word}"
    value = value_text(taken.value_si, taken.unit, units=units, key=taken.key)
    word = f" ({taken.word})" if taken.word else ""
    return f"{taken.key}: {value}{word}"
