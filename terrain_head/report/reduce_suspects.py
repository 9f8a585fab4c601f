"""Words for a blunder that a level book betrays: which reading, how sure, what to read next."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.units import UnitSystem
from terrain_head.leveling.book import LevelBook, Reading
from terrain_head.leveling.elevations import Elevations
from terrain_head.leveling.suspect import Amended, Misreading, NextSight, Suspect, apart
from terrain_head.report.reduce_differences import Difference, differences, say_rise
from terrain_head.report.told import Told

FloatArray = NDArray[np.float64]
Amount = Callable[[float], str]
"""Shows a length in the unit of the screen."""
_MOST = 2
_MOST_SLIPS = 3
MOST_READINGS = 6
"""The most readings of a blunder that are listed one by one."""
_MOST_CHANGES = 2
_SIDES = {"bs": "back", "is": "between", "fs": "ahead"}
_SHOWS = 0.0005  # of a difference that changes the last figure printed [m]


def nothing_stands_out(elevations: Elevations) -> str:
    """Return what is said of a book that closes and in which no reading stands out."""
    text = "Nothing stands out."
    if elevations.degrees_of_freedom == 1:
        text += (
            " With one loop, an error that cancels within it can't be seen, nor which "
            "reading is at fault; a second way home would show it."
        )
    return text


def say_suspects(book: LevelBook, suspects: Sequence[Suspect], amount: Amount) -> Told:
    """Return what is said of the readings that may be wrong, and what would settle it.

    Parameters
    ----------
    book
        The level book.
    suspects
        At least one blunder that it betrays.
    amount
        Shows a length with its unit.
    """
    slips = apart(suspects)
    said = [say_suspect(book, suspect, amount) for suspect in slips[:_MOST]]
    facts = [one.fact for one in said]
    more = len(slips) - len(said)
    if more > 0:
        facts.append(f"{more} more {'is' if more == 1 else 'are'} wrong.")
    first = said[0].cure
    return Told(
        fact=" ".join(facts),
        cure=f"One at a time. {first} Then work it out again." if len(slips) > 1 else first,
    )


def say_suspect(book: LevelBook, suspect: Suspect, amount: Amount) -> Told:
    """Return the sentences about one blunder: what, how sure, how it came about, what to do."""
    row = _row_turned(suspect)
    if row is not None and suspect.certainty != "detected only":
        return Told(fact=_turned(book, row), cure=_turn_back(book, row))
    parts = [_where(book, suspect, amount)]
    parts += _slips(book, suspect)
    cure = _next(suspect)
    lines = sorted({book.readings[i].line for slip in suspect.misreadings for i in slip.readings})
    if lines and suspect.certainty != "located" and cure:
        look = f"line {lines[0]}" if len(lines) == 1 else f"lines {_and(lines)}"
        cure = f"Compare {look} with your notes. If that is not it: {cure[:1].lower()}{cure[1:]}"
    return Told(fact=" ".join(parts), cure=cure)


def say_amended(elevations: Elevations, book: LevelBook, units: UnitSystem) -> str:
    """Return how the answer would change without the blunder, blank where that is not known.

    Parameters
    ----------
    elevations
        What the book comes to.
    book
        The level book.
    units
        How heights are shown.
    """
    slips = apart(elevations.suspects)
    ways = [suspect.amended for suspect in slips]
    if not slips or not all(ways) or (len(slips) > 1 and any(len(way) > 1 for way in ways)):
        return ""
    if len(slips) > 1:
        change = np.sum([way[0].change_m for way in ways], axis=0)
        return _changed(elevations, change, "Without those readings", units)
    said = [
        _changed(elevations, one.change_m, _without(book, one, many=len(ways[0]) > 1), units)
        for one in ways[0]
    ]
    return " ".join(said)


def _changed(elevations: Elevations, change_m: FloatArray, without: str, units: UnitSystem) -> str:
    """Say the differences that change, and the points that then have no height."""
    change = dict(zip(elevations.names, change_m.tolist(), strict=True))
    found, lost = [], []
    for one in differences(elevations):
        then = one.rise_m + change[one.end] - change[one.start]
        if math.isnan(then):
            lost += [name for name in (one.start, one.end) if math.isnan(change[name])]
        elif abs(then - one.rise_m) >= _SHOWS:
            changed = Difference(start=one.start, end=one.end, rise_m=then, likely_m=one.likely_m)
            found.append(say_rise(changed, units))
    sentences = []
    if found:
        sentences.append(f"{without} {' and '.join(found[:_MOST_CHANGES])}.")
    elif not lost:
        sentences.append(f"{without} the differences below stay as they are.")
    if lost:
        names = list(dict.fromkeys(lost))
        sentences.append(
            f"{without} nothing tells the height of {_and(names)}: read "
            f"{'it' if len(names) == 1 else 'them'} again."
        )
    return " ".join(sentences)


def _without(book: LevelBook, one: Amended, *, many: bool) -> str:
    read = [book.readings[index] for index in one.readings]
    if one.how == "exchanged":
        return "Written the other way round,"
    if many:
        written = _or([f"{reading.written} (line {reading.line})" for reading in read])
        return f"If it is {written},"
    return "Without that reading" if len(read) == 1 else "Without that set-up"


def _row_turned(suspect: Suspect) -> Misreading | None:
    """Return the one row that explains a blunder if its two readings were exchanged."""
    rows = [slip for slip in suspect.misreadings if slip.kind == "row-swapped"]
    return rows[0] if len(rows) == 1 and suspect.misreadings[0] is rows[0] else None


def _row_lines(book: LevelBook, slip: Misreading) -> str:
    lines = sorted({book.readings[index].line for index in slip.readings})
    return f"line {lines[0]}" if len(lines) == 1 else f"lines {lines[0]} and {lines[-1]}"


def _turned(book: LevelBook, slip: Misreading) -> str:
    point = book.readings[slip.readings[0]].point
    return (
        f"Back and ahead on {point} ({_row_lines(book, slip)}) look exchanged: written the other "
        "way round, the book closes."
    )


def _turn_back(book: LevelBook, slip: Misreading) -> str:
    return (
        f"Compare {_row_lines(book, slip)} with your notes, exchange the two readings there and "
        "work it out again."
    )


def say_first_check(book: LevelBook, sight: NextSight | None) -> str:
    """Return what would check a book in which nothing is checked, blank where there is none.

    Examples
    --------
    >>> say_first_check(LevelBook(), NextSight(point="BM1", setup="4", checks=7))
    'One more reading on BM1, from set-up 4, would check 8 readings at once.'
    >>> say_first_check(LevelBook(), NextSight(point="tank", start="BM1", checks=2))
    'Read BM1 and tank once more, from another set-up: that would check them.'
    """
    if sight is None:
        return ""
    standing = next((one for one in book.setups if one.label == sight.setup), None)
    last = standing is not None and standing is book.setups[-1]
    return say_check(
        sight,
        standing="the last set-up" if last else f"set-up {sight.setup}",
        beside="" if standing is None else book.readings[standing.readings[-1]].point,
    )


def say_check(sight: NextSight, *, standing: str, beside: str) -> str:
    """Return what one more sight would check.

    Parameters
    ----------
    sight
        The sight.
    standing
        What the set-up is called from which to read it; empty where that is not said.
    beside
        A point that was read from there, for a level that was moved since; empty without.
    """
    if sight.start:
        return (
            f"Read {sight.start} and {sight.point} once more, from another set-up: that would "
            "check them."
        )
    where = f", from {standing}," if standing else ""
    moved = (
        f" If the level no longer stands there, set it up again and read {beside}, then "
        f"{sight.point}."
        if beside
        else ""
    )
    return (
        f"One more reading on {sight.point}{where} would check {sight.checks + 1} readings at "
        f"once.{moved}"
    )


def _where(book: LevelBook, suspect: Suspect, amount: Amount) -> str:
    size = f"about {amount(suspect.size_m)}"
    if suspect.certainty == "located" and suspect.readings:
        reading = book.readings[suspect.readings[0]]
        return f"{_named(book, reading)} fits the others worst: wrong by {size}."
    also = "".join(
        [
            f", or the known elevation of {' or '.join(suspect.known)}" if suspect.known else "",
            ", or a height had by other means" if suspect.differences else "",
        ]
    )
    if not suspect.readings:
        return f"{also.removeprefix(', or ').capitalize()} is wrong by {size}."
    if suspect.certainty == "detected only":
        return (
            f"One of the {len(suspect.readings)} readings{also} is wrong by {size}. Nothing "
            "in the book proves which."
        )
    named = [book.readings[index] for index in suspect.readings]
    if len(named) > MOST_READINGS:
        listed = f"the {len(named)} readings between lines {named[0].line} and {named[-1].line}"
    else:
        listed = _or([_named(book, reading) for reading in named])
    start, end = suspect.stretch or ("", "")
    between = f"Between {start} and {end}" if start != end else f"On {start}"
    return f"{between} one reading is wrong by {size}: {listed}{also}. They can't be told apart."


def _named(book: LevelBook, reading: Reading) -> str:
    several = f" of {book.files[reading.file]}" if len(book.files) > 1 else ""
    beside = any(
        one is not reading and (one.file, one.line) == (reading.file, reading.line)
        for one in book.readings
    )
    side = f", {_SIDES[reading.kind]}" if beside else ""
    return f"{reading.written} on {reading.point} (line {reading.line}{several}{side})"


def _or(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def _and(words: Sequence[object]) -> str:
    said = [str(word) for word in words]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"


def _slips(book: LevelBook, suspect: Suspect) -> list[str]:
    """Return a sentence for each kind of slip that would explain a blunder."""
    alike: dict[str, list[Misreading]] = {}
    for slip in suspect.misreadings[:_MOST_SLIPS]:
        alike.setdefault(slip.kind, []).append(slip)
    return [_slip(book, slips, suspect) for slips in alike.values()]


def _slip(book: LevelBook, slips: Sequence[Misreading], suspect: Suspect) -> str:
    kind = slips[0].kind
    if kind == "row-swapped":
        rows = _or([_row_lines(book, slip) for slip in slips])
        return f"It would close with back and ahead of {rows} exchanged."
    if kind == "whole-unit":
        return f"That is close to {slips[0].meant}: perhaps a whole figure was misread."
    how = {
        "digits-swapped": "two figures exchanged",
        "inches-as-tenths": "inches written as tenths",
        "tenths-as-inches": "tenths written as inches",
        "sign": "with the other sign",
    }[kind]
    if suspect.certainty == "located":
        return f"Perhaps {_or([slip.meant for slip in slips])} was meant: {how}."
    read = [(slip.meant, book.readings[slip.readings[0]]) for slip in slips]
    meant = _or([f"{meant} for {one.written} in line {one.line}" for meant, one in read])
    return f"It would close with {meant} ({how})."


def _next(suspect: Suspect) -> str:
    """Return what to do: the one sight that settles it, or what comes right without it."""
    sight = suspect.next_sight
    if sight is None:
        if suspect.certainty == "located":
            return "Look there first: correct it from your notes, or read it again."
        if suspect.certainty == "tied" and not suspect.known and len(suspect.readings) > 1:
            return (
                "They are sights of one set-up, and no later one tells them apart. Clear both from "
                "the book: the heights are right without that set-up."
            )
        return "Compare the readings with your notes, and level that run again."
    if sight.settles == "half":
        return (
            f"Shoot {sight.point} again from {sight.start}: that tells in which half it lies, and "
            "so on by halves."
        )
    if len({sight.start, *sight.also, sight.point}) == len(sight.also) + 2 and sight.also:
        read = f"read {_and([sight.start, *sight.also, sight.point])} from there"
    else:
        read = "read both"
    told = {"set-up": "which set-up it was", "reading": "which reading it was"}[
        sight.settles or "set-up"
    ]
    return (
        f"Set up once more between {sight.start} and {sight.point} and {read}: that tells {told}."
    )
