"""What may be wrong in a level book: where, by how much, and which sight would tell more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Certainty = Literal["located", "tied", "detected only"]
"""How closely a blunder is known: to the reading; to readings that nothing tells apart; or that
there is one somewhere among all that are checked."""
MisreadingKind = Literal[
    "whole-unit", "digits-swapped", "inches-as-tenths", "tenths-as-inches", "sign", "row-swapped"
]
"""What a person may have done: a whole foot, inch, metre, decimetre or centimetre too much or too
little; two figures exchanged; inches written behind a point; tenths written as inches; the minus
of a hanging rod forgotten or set; backsight and foresight of a row exchanged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Misreading:
    """One way in which a blunder may have come about: it would close the book, no more.

    Parameters
    ----------
    kind
        What may have been done.
    readings
        Positions of the readings concerned; empty where any of those tied would do.
    meant
        What should then stand in the book, or the whole unit with its count.
    left_m
        What would be left of the blunder [m].
    """

    kind: MisreadingKind
    readings: tuple[int, ...] = ()
    meant: str = ""
    left_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class NextSight:
    """The sight that would check most, or tell most about where a blunder lies.

    Parameters
    ----------
    point
        Where to hold the rod.
    setup
        Label of the set-up from which to read it; empty where a new one is needed.
    start
        The point to read from the new set-up first; empty where `setup` says where to stand.
    checks
        How many readings it would check, or part from the others.
    """

    point: str
    setup: str = ""
    start: str = ""
    checks: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A blunder that the readings betray.

    Parameters
    ----------
    certainty
        How closely it is known.
    readings
        Positions in the book of the readings of which one is wrong, in its order.
    differences
        Positions of the height differences that tie with them.
    known
        Known points whose elevation ties with them.
    stretch
        The two points between which the readings lie; None for a single reading.
    size_m
        By how much the one reading is wrong, whichever it is, without its sign [m].
    size_std_m
        Standard error of that [m].
    strength
        The same in standard errors: at least what chance allows once in a hundred books.
    misreadings
        Ways in which it may have come about, those that fit best first.
    next_sight
        What to read to know more; None where no sight tells the readings apart any more.
    """

    certainty: Certainty
    readings: tuple[int, ...]
    size_m: float
    size_std_m: float
    strength: float
    differences: tuple[int, ...] = ()
    known: tuple[str, ...] = ()
    stretch: tuple[str, str] | None = None
    misreadings: tuple[Misreading, ...] = ()
    next_sight: NextSight | None = None
