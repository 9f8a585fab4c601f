"""Sentences about a level book: what the reader and the reduction saw."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from terrain_head.assessment.finding import Severity
from terrain_head.base.display import show
from terrain_head.base.units import UnitSystem, from_si
from terrain_head.leveling.book import BookFact

_Teller = Callable[[BookFact, UnitSystem], str]


def _where(fact: BookFact) -> str:
    line = "" if fact.line is None else f"line {fact.line}"
    return ", ".join(part for part in (fact.file or "", line) if part)


def _unknown_column(fact: BookFact, units: UnitSystem) -> str:
    del units
    return f'{fact.file}: the column "{fact.texts["heading"]}" is not known and was not read.'


def _looks_like_inches(fact: BookFact, units: UnitSystem) -> str:
    del units
    written = fact.texts["written"]
    feet, _, inches = written.partition(".")
    return (
        f"No reading has more than 11 behind its point. If {written} ({_where(fact)}) means "
        f"{feet} ft {int(inches)} in, write the heading as bs [ft-in] and the reading as "
        f"{feet}-{int(inches)}. It was read as {written} ft."
    )


def _long_reading(fact: BookFact, units: UnitSystem) -> str:
    length = show(fact.values["reading_m"], "height", units)
    return (
        f"{_where(fact)}: the reading {fact.texts['written']} on {fact.point} is {length}, longer "
        "than a rod. Is the unit right?"
    )


def _names_alike(fact: BookFact, units: UnitSystem) -> str:
    del units
    return (
        f'"{fact.texts["other"]}" and "{fact.point}" are taken as two points. If they are one, '
        "spell them alike."
    )


def _never_read(fact: BookFact, units: UnitSystem) -> str:
    del units
    return f"{fact.point} stands on route {fact.texts['route']} but was never read."


def _first_point(fact: BookFact, units: UnitSystem) -> str:
    del units
    unit = fact.texts["unit"]
    value = from_si(fact.values["elevation_m"], unit)
    return (
        f"No elevation is known, so {fact.point} was called {value:.0f} {unit}. Differences "
        "between points are not touched by that."
    )


def _reading_error(fact: BookFact, units: UnitSystem) -> str:
    del units
    return (
        "How well the rod can be read was not stated. Where the closing or the doubt needs it, "
        f"{from_si(fact.values['reading_std_m'], 'mm'):g} mm a reading was taken (our own figure); "
        'say yours with --reading-error "1.5 mm".'
    )


def _without_distance(fact: BookFact, units: UnitSystem) -> str:
    del units
    return (
        f"{fact.values['count']:.0f} readings have no distance: the error of the line of sight "
        "was left out for them."
    )


def _rod_direct(fact: BookFact, units: UnitSystem) -> str:
    del units
    if fact.texts["rod"] == "direct":
        return (
            "With the readings taken the other way the book would close. Perhaps the rod's "
            "figures grow from the foot up after all: leave --rod direct away."
        )
    return (
        "With the readings taken the other way the book would close. If the rod's figures are "
        "greater where the ground is higher, add --rod direct."
    )


def _leg_level(fact: BookFact, units: UnitSystem) -> str:
    del units
    return (
        f"{fact.point}: the taped leg that ends here was taken as level, for want of an elevation."
    )


_TELLERS: Mapping[str, tuple[Severity, _Teller]] = MappingProxyType(
    {
        "rod-seems-direct": ("care", _rod_direct),
        "looks-like-feet-inches": ("care", _looks_like_inches),
        "long-reading": ("care", _long_reading),
        "names-alike": ("care", _names_alike),
        "point-never-read": ("care", _never_read),
        "unknown-column": ("care", _unknown_column),
        "leg-taken-level": ("care", _leg_level),
        "sights-without-distance": ("fine", _without_distance),
        "first-point-called-100": ("fine", _first_point),
        "reading-error-taken": ("fine", _reading_error),
    }
)
FACT_KINDS = tuple(_TELLERS)
"""Every kind of fact, the most important for the person first."""


def tell(fact: BookFact, units: UnitSystem) -> str:
    """Return the sentences that tell a fact.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC
    >>> print(tell(BookFact(kind="unknown-column", file="a.csv", texts={"heading": "sky"}), METRIC))
    a.csv: the column "sky" is not known and was not read.
    """
    return _TELLERS[fact.kind][1](fact, units)


def severity(fact: BookFact) -> Severity:
    """Return how grave a fact is."""
    return _TELLERS[fact.kind][0]


def by_weight(facts: tuple[BookFact, ...]) -> list[BookFact]:
    """Return facts, the most important first, those of one kind as they were."""
    return sorted(facts, key=lambda fact: FACT_KINDS.index(fact.kind))
