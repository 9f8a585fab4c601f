"""How a blunder may have come about: the slips of eye and pencil that would explain its size."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from terrain_head.base.units import from_si, to_si
from terrain_head.leveling.book import LevelBook, Reading
from terrain_head.leveling.suspect import Misreading

FITS = 2.5758
"""How many standard errors may be left of a blunder that a slip explains (99 in 100); ours."""
FEW = 3
"""Where more single readings than this could have had their figures exchanged, it tells nothing."""
_TELLING = 6.0  # a whole unit is named only where chance would hit one in about six
_SHARP = 5.0  # a slip is named only where the blunder's own doubt is that much smaller than it
_MOST_UNITS = 9
_DECIMAL = re.compile(r"\d+(?:[.,]\d+)?")
_DUODECIMAL = 12
_UNITS = {
    "ft": (("ft", 1.0, "ft"), ("tenth of a foot", 0.1, "ft")),
    "in": (("ft", 1.0, "ft"), ("in", 1.0, "in")),
    "m": (("m", 1.0, "m"), ("dm", 0.1, "m"), ("cm", 1.0, "cm")),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Error:
    """By how much a reading is wrong if it is the one: observed minus true, with its doubt [m]."""

    reading: int
    size_m: float
    std_m: float


def misreadings(book: LevelBook, errors: Sequence[Error]) -> tuple[Misreading, ...]:
    """Return the slips that would explain a blunder, those of a row first, then the best fit.

    Parameters
    ----------
    book
        The level book.
    errors
        The readings that tie, each with the error that it alone would have.

    Returns
    -------
    tuple of Misreading
        Slips that leave no more than the reading errors explain.
    """
    rows = sorted(_rows_swapped(book, errors), key=lambda slip: abs(slip.left_m))
    found: list[Misreading] = []
    for error in errors:
        found += _of_reading(book.readings[error.reading], error)
    found.sort(key=lambda slip: abs(slip.left_m))
    signs = [slip for slip in found if slip.kind == "sign"]
    others = [slip for slip in found if slip.kind != "sign"]
    others = others if len(others) <= FEW else []
    return (*rows[:FEW], *signs[:FEW], *others, *_whole_unit(book, errors))


def swapped_between(
    book: LevelBook, ahead: Sequence[Error], *, back: Sequence[Error]
) -> Misreading | None:
    """Return the row whose exchanged sights explain two blunders, one on either side of it.

    Parameters
    ----------
    book
        The level book.
    ahead, back
        The readings that tie in each of the two.
    """
    first = {error.reading: error for error in ahead}
    second = {error.reading: error for error in back}
    for row in book.rows:
        if row.ahead not in first or row.back not in second:
            continue
        one, two = first[row.ahead], second[row.back]
        apart = book.readings[row.back].reading_m - book.readings[row.ahead].reading_m
        left = max(abs(one.size_m + apart), abs(two.size_m - apart))
        if left <= FITS * max(one.std_m, two.std_m):
            return Misreading(kind="row-swapped", readings=(row.ahead, row.back), left_m=left)
    return None


def _rows_swapped(book: LevelBook, errors: Sequence[Error]) -> Iterator[Misreading]:
    """Yield rows of which both sights tie: exchanged they miss by twice their difference."""
    of = {error.reading: error for error in errors}
    for row in book.rows:
        if row.back is None or row.ahead is None or not {row.back, row.ahead} <= of.keys():
            continue
        back, ahead = of[row.back], of[row.ahead]
        if not math.isclose(abs(back.size_m), abs(ahead.size_m), rel_tol=1e-4):
            continue
        apart = book.readings[row.back].reading_m - book.readings[row.ahead].reading_m
        turn = math.copysign(1.0, back.size_m) - math.copysign(1.0, ahead.size_m)
        left = abs(back.size_m) - apart * turn
        if turn and abs(left) <= FITS * back.std_m <= abs(back.size_m) / _SHARP:
            yield Misreading(kind="row-swapped", readings=(row.back, row.ahead), left_m=left)


def _of_reading(reading: Reading, error: Error) -> Iterator[Misreading]:
    """Yield the slips that would explain the error of one reading."""
    meant_m = reading.reading_m - error.size_m
    allowed = FITS * error.std_m
    if allowed * _SHARP > abs(error.size_m):
        return

    def fits(value_m: float) -> bool:
        return abs(value_m - meant_m) <= allowed

    if fits(-reading.reading_m):
        yield Misreading(
            kind="sign",
            readings=(error.reading,),
            meant=_turned(reading.written),
            left_m=-reading.reading_m - meant_m,
        )
    written = reading.written.strip().lstrip("-+")
    if _DECIMAL.fullmatch(written):
        value = float(written.replace(",", "."))
        unit_m = reading.reading_m / value if value else 0.0
        for text in _exchanged(written):
            value_m = float(text.replace(",", ".")) * unit_m
            if fits(value_m):
                yield Misreading(
                    kind="digits-swapped",
                    readings=(error.reading,),
                    meant=text,
                    left_m=value_m - meant_m,
                )
        if unit_m and math.isclose(abs(unit_m), to_si(1.0, "ft"), rel_tol=1e-6):
            yield from _inches(written, error, math.copysign(1.0, unit_m), meant_m=meant_m)
    else:
        yield from _tenths(reading, error, meant_m=meant_m)


def _turned(written: str) -> str:
    text = written.strip()
    return text[1:] if text.startswith("-") else f"-{text.lstrip('+')}"


def _exchanged(written: str) -> Iterator[str]:
    """Yield a number with each pair of neighbouring figures exchanged, across the point too."""
    at = [place for place, sign in enumerate(written) if sign.isdigit()]
    for first, second in pairwise(at):
        if written[first] != written[second]:
            signs = list(written)
            signs[first], signs[second] = signs[second], signs[first]
            yield "".join(signs)


def _inches(written: str, error: Error, sign: float, *, meant_m: float) -> Iterator[Misreading]:
    """Yield feet and inches that were written as if they were feet and tenths."""
    feet, _, behind = written.replace(",", ".").partition(".")
    for inches in sorted({behind, behind.rstrip("0")} - {""}):
        if int(inches) >= _DUODECIMAL or int(inches) == 0:
            continue
        left = sign * (to_si(float(feet), "ft") + to_si(float(inches), "in")) - meant_m
        if abs(left) <= FITS * error.std_m:
            yield Misreading(
                kind="inches-as-tenths",
                readings=(error.reading,),
                meant=f"{feet} ft {int(inches)} in",
                left_m=left,
            )
            return


def _tenths(reading: Reading, error: Error, *, meant_m: float) -> Iterator[Misreading]:
    """Yield feet and tenths that were written as if they were feet and inches."""
    whole = round(from_si(abs(reading.reading_m), "in"), 6)
    feet, inches = divmod(whole, _DUODECIMAL)
    if inches != int(inches) or not 0 < inches < _DUODECIMAL - 2:
        return
    sign = math.copysign(1.0, reading.reading_m)
    left = sign * to_si(feet + inches / 10.0, "ft") - meant_m
    if abs(left) <= FITS * error.std_m:
        yield Misreading(
            kind="tenths-as-inches",
            readings=(error.reading,),
            meant=f"{int(feet)}.{int(inches)} ft",
            left_m=left,
        )


def _whole_unit(book: LevelBook, errors: Sequence[Error]) -> Iterator[Misreading]:
    """Yield the largest whole unit of the rod that a blunder comes to, if that tells anything."""
    if not errors:
        return
    best = max(errors, key=lambda error: abs(error.size_m) / error.std_m)
    size = abs(best.size_m)
    system = {"ft": "ft", "ft-in": "in", "in": "in"}.get(book.unit, "m")
    for name, value, unit in _UNITS[system]:
        one = to_si(value, unit)
        count = round(size / one)
        left = size - count * one
        telling = one >= _TELLING * 2.0 * best.std_m
        if telling and 1 <= count <= _MOST_UNITS and abs(left) <= FITS * best.std_m:
            which = (best.reading,) if len(errors) == 1 else ()
            yield Misreading(
                kind="whole-unit", readings=which, meant=f"{count} {name}", left_m=left
            )
            return
