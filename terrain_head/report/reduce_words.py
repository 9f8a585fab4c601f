"""Sentences about a level book: what the reader and the reduction saw."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Literal

from terrain_head.assessment.book_facts import FACT_SEVERITY, FACTS_TOLD_OTHERWISE
from terrain_head.assessment.finding import Severity
from terrain_head.base.display import LIKELY, show
from terrain_head.base.units import UnitSystem, from_si, to_si
from terrain_head.leveling.book import BookFact
from terrain_head.report.speech import Speech
from terrain_head.report.told import Told

Asked = Literal["command", "study"]
"""Who hears it: who gave options to a command, or who wrote a study file."""

_Teller = Callable[[BookFact, UnitSystem, Asked], Told]


def _where(fact: BookFact) -> str:
    line = "" if fact.line is None else f"line {fact.line}"
    return ", ".join(part for part in (fact.file or "", line) if part)


def _unknown_column(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units, asked
    return Told(
        fact=f'The column "{fact.texts["heading"]}" of {fact.file} is not known and was not read.',
        cure="See that its heading is spelled right, if it matters.",
    )


def _looks_like_inches(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units, asked
    written = fact.texts["written"]
    feet, _, inches = written.partition(".")
    return Told(
        fact="No reading has more than 11 behind its point.",
        cure=(
            f"If {written} ({_where(fact)}) means {feet} ft {int(inches)} in, write the heading "
            f"as bs [ft-in] and the reading as {feet}-{int(inches)}. It was read as {written} ft."
        ),
    )


def _long_reading(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del asked
    length = show(fact.values["reading_m"], "height", units)
    return Told(
        fact=(
            f"The reading {fact.texts['written']} on {fact.point} ({_where(fact)}) is {length}, "
            "longer than a rod."
        ),
        cure="See that the unit is right.",
    )


def _names_alike(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units, asked
    return Told(
        fact=f'The names "{fact.texts["other"]}" and "{fact.point}" are taken as two points.',
        cure="If they are one, spell them alike.",
    )


def _never_read(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units, asked
    return Told(
        fact=f"On route {fact.texts['route']} the point {fact.point} was never read.",
        cure="Read the rod there, or take the point off the route.",
    )


def _first_point(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units, asked
    unit = fact.texts["unit"]
    value = from_si(fact.values["elevation_m"], unit)
    return Told(
        fact=f"No elevation is known, so {fact.point} was called {value:.0f} {unit}.",
        cure="Differences between points are not touched by that.",
    )


def _reading_error(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units
    write = {
        "command": '--reading-error "1.5 mm"',
        "study": 'level_error = { reading = "1.5 mm" } under [ground]',
    }[asked]
    return Told(
        fact=(
            "How well the rod can be read was not stated. Where the closing or the doubt needs "
            f"it, {from_si(fact.values['reading_std_m'], 'mm'):g} mm a reading was taken (our own "
            "figure);"
        ),
        cure=f"say yours with {write}.",
    )


def _height_error(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del asked
    many = fact.values["count"] > 1
    std = Speech(units=units).small(fact.values["height_std_m"])
    way = fact.texts["way"]
    how = f"by {way}" if way else "otherwise than with the rod, in no way that is known here,"
    return Told(
        fact=(
            f"How sure the {'heights' if many else 'height'} had {how} {'are' if many else 'is'} "
            f"was not stated: {'at most ' if many and way else ''}{std} was taken, one standard "
            "error;"
        ),
        cure="write yours under give_or_take.",
    )


def _without_distance(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units, asked
    count = round(fact.values["count"])
    have = "reading has" if count == 1 else "readings have"
    return Told(
        fact=(
            f"{count} {have} no distance: the error of the line of sight was left out for "
            f"{'it' if count == 1 else 'them'}."
        ),
        cure="",
    )


def _tilt(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units, asked
    count = round(fact.values["count"])
    return Told(
        fact=(
            f"Of {count} {'sight' if count == 1 else 'sights'} nobody wrote which way "
            f"{'it' if count == 1 else 'they'} went and which way the laser's head faced: the "
            "laser's tilt was taken at its worst."
        ),
        cure="Write them into the book (bs_dist, bs_dir, fs_dist, fs_dir, head).",
    )


def _collimation(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del asked
    say = Speech(units=units)
    sight = to_si(100.0, "ft") if units.name == "us" else 30.0
    slope, std = fact.values["slope"], fact.values["slope_std"]
    return Told(
        fact=(
            f"By the two-peg test the line of sight {'falls' if slope < 0 else 'rises'} "
            f"{say.small(abs(slope) * sight)} in {show(sight, 'length', units)}, give or take "
            f"{say.small(LIKELY * std * sight)}. That was taken off the readings."
        ),
        cure="",
    )


def _rod_direct(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units
    closes = "With the readings taken the other way the book would close."
    option = {"command": "--rod direct", "study": 'rod = "direct" under [ground]'}[asked]
    if fact.texts["rod"] == "direct":
        cure = f"Perhaps the rod's figures grow from the foot up after all: leave {option} away."
    else:
        add = {"command": "add", "study": "write"}[asked]
        cure = f"If the rod's figures are greater where the ground is higher, {add} {option}."
    return Told(fact=closes, cure=cure)


def _leg_level(fact: BookFact, units: UnitSystem, asked: Asked) -> Told:
    del units, asked
    return Told(
        fact=(
            f"The taped leg that ends at {fact.point} was taken as level, for want of an elevation."
        ),
        cure="Read the rod at both its ends.",
    )


_TELLERS: Mapping[str, _Teller] = MappingProxyType(
    {
        "rod-seems-direct": _rod_direct,
        "looks-like-feet-inches": _looks_like_inches,
        "long-reading": _long_reading,
        "names-alike": _names_alike,
        "point-never-read": _never_read,
        "unknown-column": _unknown_column,
        "leg-taken-level": _leg_level,
        "sights-without-distance": _without_distance,
        "tilt-at-its-worst": _tilt,
        "collimation-taken-off": _collimation,
        "first-point-called-100": _first_point,
        "reading-error-taken": _reading_error,
        "height-error-taken": _height_error,
    }
)
FACT_KINDS = (*FACT_SEVERITY, *FACTS_TOLD_OTHERWISE)
"""Every kind of fact, the most important for the person first."""


def tell(fact: BookFact, units: UnitSystem) -> str:
    """Return the sentences that tell a fact to who gave the command.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC
    >>> print(tell(BookFact(kind="names-alike", point="TP1", texts={"other": "TP 1"}), METRIC))
    The names "TP 1" and "TP1" are taken as two points. If they are one, spell them alike.
    """
    return str(tell_apart(fact, units, asked="command"))


def tell_apart(fact: BookFact, units: UnitSystem, *, asked: Asked) -> Told:
    """Return what a fact is and what to do about it.

    Parameters
    ----------
    fact
        A fact of a known kind.
    units
        How its numbers are shown.
    asked
        What to write is said as an option of the command or as a key of the study.
    """
    return _TELLERS[fact.kind](fact, units, asked)


def severity(fact: BookFact) -> Severity:
    """Return how grave a fact is."""
    return FACT_SEVERITY.get(fact.kind, "fine")


def by_weight(facts: tuple[BookFact, ...]) -> list[BookFact]:
    """Return facts, the most important first, those of one kind as they were."""
    return sorted(facts, key=lambda fact: FACT_KINDS.index(fact.kind))
