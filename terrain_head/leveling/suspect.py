"""What may be wrong in a level book: where, by how much, and which sight would tell more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

Certainty = Literal["located", "tied", "detected only"]
"""How closely a blunder is known: to the reading; to readings that nothing tells apart; or that
there is one somewhere among all that are checked."""
MisreadingKind = Literal[
    "whole-unit", "digits-swapped", "inches-as-tenths", "tenths-as-inches", "sign", "row-swapped"
]
"""What a person may have done: a whole foot, inch, metre, decimetre or centimetre too much or too
little; two figures exchanged; inches written behind a point; tenths written as inches; the minus
of a hanging rod forgotten or set; backsight and foresight of a row exchanged."""
Settles = Literal["", "half", "set-up", "reading"]
"""What one more sight tells of a blunder: in which half of the readings it lies, in which set-up,
or which reading it is; empty where none is sought."""


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
    also
        Further points to read from the new set-up: points that were read from a set-up at fault,
        and so tell its two sights apart.
    settles
        What is known once it was read: in which ``half`` the blunder lies, which ``set-up`` it
        was, or which ``reading``; empty where no blunder is sought.
    """

    point: str
    setup: str = ""
    start: str = ""
    checks: int = 0
    also: tuple[str, ...] = ()
    settles: Settles = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Amended:
    """The heights without a blunder: the set-up at fault left out, or a row turned about.

    Parameters
    ----------
    how
        What is done with the readings.
    readings
        Positions in the book of the readings concerned, all of one set-up or of one row.
    change_m
        Heights then minus heights now, one per point in order of first sight; nan where the
        readings left out are all that the point's height comes from, shape (n,) [m].
    """

    how: Literal["left out", "exchanged"]
    readings: tuple[int, ...]
    change_m: FloatArray


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
    amended
        The heights without it, one for each set-up that it may lie in; empty where those are more
        than two. Other blunders of the book are then taken as amended too.
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
    amended: tuple[Amended, ...] = field(default=(), compare=False)


def apart(suspects: Sequence[Suspect]) -> tuple[Suspect, ...]:
    """Return the blunders that one slip does not explain together.

    Notes
    -----
    A row whose two sights were exchanged leaves a blunder on either side of it: one slip.
    """
    found: dict[tuple[int, ...], Suspect] = {}
    for suspect in suspects:
        found.setdefault(_rows_of(suspect) or suspect.readings, suspect)
    return tuple(found.values())


def _rows_of(suspect: Suspect) -> tuple[int, ...]:
    first = suspect.misreadings[0] if suspect.misreadings else None
    return first.readings if first is not None and first.kind == "row-swapped" else ()
