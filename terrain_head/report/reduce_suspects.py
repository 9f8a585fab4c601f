"""Words for a blunder that a level book betrays: which reading, how sure, what to read next."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from terrain_head.leveling.book import LevelBook, Reading
from terrain_head.leveling.elevations import Elevations
from terrain_head.leveling.suspect import Misreading, NextSight, Suspect

Amount = Callable[[float], str]
"""Shows a length in the unit of the screen."""
_MOST = 3
_MOST_SLIPS = 3
_MOST_READINGS = 6


def say_suspects(book: LevelBook, elevations: Elevations, amount: Amount) -> str:
    """Return what is said of the readings that may be wrong.

    Parameters
    ----------
    book, elevations
        The level book, and what it comes to.
    amount
        Shows a length with its unit.
    """
    if not elevations.suspects:
        text = "Nothing stands out."
        if elevations.degrees_of_freedom == 1:
            text += (
                " With one loop, an error that cancels within it can't be seen, nor which "
                "reading is at fault; a second way home would show it."
            )
        return text
    said = [say_suspect(book, suspect, amount) for suspect in elevations.suspects[:_MOST]]
    more = len(elevations.suspects) - len(said)
    if more > 0:
        said.append(f"{more} more: --json holds {'it' if more == 1 else 'them'}.")
    return " ".join(said)


def say_suspect(book: LevelBook, suspect: Suspect, amount: Amount) -> str:
    """Return the sentences about one blunder: what, how sure, how it may have come about."""
    parts = [_where(book, suspect, amount)]
    parts += [_slip(book, slip, suspect) for slip in suspect.misreadings[:_MOST_SLIPS]]
    if suspect.next_sight is not None:
        parts.append(_next(suspect.next_sight, suspect))
    elif suspect.certainty == "tied":
        parts.append(
            "They are sights of one set-up, and no later one tells them apart. Leave that set-up "
            "out: the heights are right without it."
        )
    return " ".join(parts)


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
    if not sight.setup:
        return (
            f"Read {sight.start} and {sight.point} once more, from another set-up: that would "
            "check them."
        )
    last = bool(book.setups) and book.setups[-1].label == sight.setup
    return (
        f"One more reading on {sight.point}, from "
        f"{'the last set-up' if last else f'set-up {sight.setup}'}, would check "
        f"{sight.checks + 1} readings at once."
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
            f"Yes: one of the {len(suspect.readings)} readings{also} is wrong by {size}. Nothing "
            "in the book tells which."
        )
    named = [book.readings[index] for index in suspect.readings]
    if len(named) > _MOST_READINGS:
        listed = f"the {len(named)} readings between lines {named[0].line} and {named[-1].line}"
    else:
        listed = _or([_named(book, reading) for reading in named])
    start, end = suspect.stretch or ("", "")
    between = f"Between {start} and {end}" if start != end else f"On {start}"
    return f"{between} one reading is wrong by {size}: {listed}{also}. They can't be told apart."


def _named(book: LevelBook, reading: Reading) -> str:
    several = f" of {book.files[reading.file]}" if len(book.files) > 1 else ""
    return f"{reading.written} on {reading.point} (line {reading.line}{several})"


def _or(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def _slip(book: LevelBook, slip: Misreading, suspect: Suspect) -> str:
    lines = [book.readings[index].line for index in slip.readings]
    sure = suspect.certainty == "located"
    if slip.kind == "row-swapped":
        line, other = lines[0], lines[-1]
        row = f"line {line}" if line == other else f"lines {line} and {other}"
        return f"It would close with back and ahead of {row} exchanged."
    if slip.kind == "whole-unit":
        return f"That is close to {slip.meant}: perhaps a whole figure was misread."
    written = book.readings[slip.readings[0]].written
    how = {
        "digits-swapped": "two figures exchanged",
        "inches-as-tenths": "inches written as tenths",
        "tenths-as-inches": "tenths written as inches",
        "sign": "with the other sign",
    }[slip.kind]
    if sure:
        return f"Perhaps {slip.meant} was meant: {how}."
    return f"It would close with {slip.meant} for {written} in line {lines[0]} ({how})."


def _next(sight: NextSight, suspect: Suspect) -> str:
    if suspect.certainty == "tied" and suspect.stretch == (sight.start, sight.point):
        return (
            f"Set up once more between {sight.start} and {sight.point} and read both: that tells "
            "which set-up it was."
        )
    return (
        f"Shoot {sight.point} again from {sight.start}: that tells in which half it lies, and "
        "so on by halves."
    )
