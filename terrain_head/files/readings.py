"""One cell of a field book: decimal figures, feet and inches, and what a spreadsheet makes of them.

Used for readings, elevations, distances and rises alike: a number in the unit of its column.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from terrain_head.base.feet_inches import INCHES_A_FOOT, bare, bare_inches
from terrain_head.base.quantities import QuantityError, parse_feet_inches
from terrain_head.base.units import to_si

BOOK_UNITS = ("ft", "ft-in", "in", "m", "cm", "mm")
_SPELLINGS = {
    "ft": ("ft", "feet", "foot", "'"),
    "ft-in": ("ft-in", "ft in", "ftin", "feet and inches", "feet-inches", "ft+in", "ft/in"),
    "in": ("in", "inch", "inches", '"'),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
}
_UNIT_OF = {word: unit for unit, words in _SPELLINGS.items() for word in words}

_MONTHS = {
    "jan": 1, "feb": 2, "mar": 3, "mrz": 3, "apr": 4, "may": 5, "mai": 5, "jun": 6, "jul": 7,
    "aug": 8, "sep": 9, "oct": 10, "okt": 10, "nov": 11, "dec": 12, "dez": 12,
}  # fmt: skip
_MONTH = r"(?P<month>[a-z]{3})[a-z]*\.?"
_DATES = (
    re.compile(rf"^(?P<day>\d{{1,2}})\.?[-/ ]{_MONTH}(?:[-/ ]\d{{2,4}})?$", re.IGNORECASE),
    re.compile(rf"^{_MONTH}[-/ ](?P<day>\d{{1,2}})(?:,?[-/ ]\d{{2,4}})?$", re.IGNORECASE),
    re.compile(r"^\d{4}[-/](?P<month>\d{1,2})[-/](?P<day>\d{1,2})(?:[ T][\d:]+)?$"),
    re.compile(r"^(?P<month>\d{1,2})[/.](?P<day>\d{1,2})[/.]\d{4}$"),
)
_CURLY = str.maketrans("\u2019\u2032\u201d\u2033\u2212\u2013", "''\"\"--")
_BINARY = {2, 4, 8, 16, 32}


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number read from a cell, in metres, and one unit of its last written figure [m]."""

    value_m: float
    step_m: float


class FigureError(ValueError):
    """A cell that is not a number in the unit of its column.

    Parameters
    ----------
    what
        What was found and what to write, in words that follow the name of the column.
    """

    def __init__(self, what: str) -> None:
        super().__init__(what)
        self.what = what


class FeetInchesError(FigureError):
    """A cell of feet and inches in a column of another unit."""


class SlipToDateError(FigureError):
    """A cell that a spreadsheet has made a date of."""


def book_unit(word: str) -> str | None:
    """Return the unit of a level book that a word means, or None.

    Examples
    --------
    >>> book_unit("Feet"), book_unit("ft - in"), book_unit("chains")
    ('ft', 'ft-in', None)
    """
    folded = re.sub(r"\s*([-+/])\s*", r"\1", " ".join(word.lower().split()))
    return _UNIT_OF.get(folded)


def read_figure(text: str, unit: str, *, comma: str = "", plain_feet: str = "") -> Figure:
    """Return the length that a cell holds.

    Parameters
    ----------
    text
        The cell, not blank.
    unit
        Unit of its column, one of `BOOK_UNITS`.
    comma
        ``","`` where a comma stands for the decimal point.
    plain_feet
        In a column of feet and inches: ``"whole"`` lets a whole number stand for feet,
        ``"decimal"`` a decimal number too; otherwise feet and inches must both be written.

    Returns
    -------
    Figure
        Value and one unit of the last figure [m].

    Raises
    ------
    FigureError
        If the cell holds no such length.

    Examples
    --------
    >>> round(read_figure("4-0-5/8", "ft-in").value_m, 6)
    1.235075
    >>> read_figure("-1432", "mm")
    Figure(value_m=-1.432, step_m=0.001)
    """
    cell = " ".join(text.translate(_CURLY).split())
    _refuse_dates(cell, unit)
    if unit in {"ft", "ft-in", "in"} and (figure := _feet_inches(cell, unit)) is not None:
        return figure
    parts = bare(cell)
    if unit != "ft-in" and parts and "-" in cell[1:] and parts.inches < INCHES_A_FOOT:
        raise FeetInchesError(
            f'is "{cell}", which is not a number in {unit}: it looks like feet and inches.'
        )
    number = cell.replace(",", ".") if comma == "," else cell
    value = _decimal(number, cell, unit)
    if unit == "ft-in":
        whole = re.fullmatch(r"-?\d+", number) is not None
        if not (plain_feet == "decimal" or (plain_feet == "whole" and whole)):
            raise FigureError(
                f'is "{cell}", but this column holds feet and inches. Write both: 4 ft 7 in, '
                "or 4-7, or 4-0-5/8 for 4 ft 0-5/8 in."
            )
        unit = "ft"
    places = len(number.partition(".")[2])
    return Figure(value_m=to_si(value, unit), step_m=to_si(10.0**-places, unit))


def _decimal(number: str, cell: str, unit: str) -> float:
    if "," in number:
        plain = _bare(number.replace(",", "."))
        once = f" Write {plain}" if plain else " Write a point for decimals (1.432)"
        grouped = _bare(number.replace(",", "")) if re.match(r"-?\d{1,3},\d{3}\b", number) else ""
        either = f", or {grouped} if the comma parts thousands" if grouped else ""
        raise FigureError(
            f'is "{cell}".{once}{either}, without a unit: a point for decimals, since a decimal '
            "comma is read only where the columns are parted by semicolons."
        )
    try:
        value = float(number)
    except ValueError:
        raise FigureError(f'is "{cell}", which is not a number in {unit}.{_hint(cell)}') from None
    if not math.isfinite(value):
        raise FigureError(f'is "{cell}", which is no reading. Leave the cell blank if none is.')
    if re.fullmatch(r"-?\d*\.?\d*", number) is None:
        raise FigureError(f'is "{cell}". Write it as plain figures, such as 1.432.')
    return value


def _bare(number: str) -> str:
    """Return the figures of a number that may have a unit behind it, empty if it is none."""
    match = re.fullmatch(r"(-?\d*\.?\d+)\s*[a-z'\"]*", number, re.IGNORECASE)
    return match[1] if match else ""


def _hint(cell: str) -> str:
    if re.fullmatch(r"-?\d+\s*/\s*\d+", cell):
        return " Write the whole reading: 0 ft 0-5/8 in."
    if re.fullmatch(r"-?\d+[- ]\d+\s*/\s*\d+", cell):
        return " Write feet, inches and fraction: 4 ft 0-5/8 in."
    if plain := _bare(cell):
        return f" The unit stands in the heading of its column, not in the cell: write {plain}"
    return " Write the figure alone, and words under note."


def _feet_inches(cell: str, unit: str) -> Figure | None:
    try:
        if (length := parse_feet_inches(cell)) is not None:
            return Figure(value_m=length, step_m=_inch_step(cell))
    except QuantityError as error:
        raise FigureError(f"is {error.trouble.what}") from None
    if unit == "ft":
        return None
    written = bare(cell) if unit == "ft-in" else bare_inches(cell)
    if written is None:
        return None
    if not written.fraction_holds:
        raise FigureError(f'is "{cell}"; the fraction must be less than one inch.')
    if not written.inches_hold:
        more, left = divmod(int(written.inches), INCHES_A_FOOT)
        fraction = f"-{written.numerator}/{written.denominator}" if written.numerator else ""
        raise FigureError(
            f'is "{cell}"; inches beside feet stay under 12. Look at the field book: was it '
            f"{(written.feet or 0) + more}-{left}{fraction}?"
        )
    return Figure(value_m=written.length_m, step_m=_inch_step(cell))


def _inch_step(cell: str) -> float:
    if fraction := re.search(r"\d+\s*/\s*(\d+)", cell):
        return to_si(1 / max(int(fraction[1]), 1), "in")
    if decimals := re.search(r"\.(\d+)", cell):
        return to_si(10.0 ** -len(decimals[1]), "in")
    return to_si(1.0, "in")


def _refuse_dates(cell: str, unit: str) -> None:
    for pattern in _DATES:
        if (match := pattern.match(cell)) is None:
            continue
        month_text = match["month"].lower()
        day = int(match["day"])
        month = int(month_text) if month_text.isdigit() else _MONTHS.get(month_text, 0)
        if not month:
            continue
        fraction = _fraction_behind(day, month)
        if unit in {"m", "cm", "mm"}:
            made = "A spreadsheet made that out of the figures typed. "
            again = "1.508" if unit == "m" else "150"
        elif unit == "ft-in":
            pairs = [pair for pair in ((month, day), (day, month)) if pair[1] < INCHES_A_FOOT]
            typed = [f"{feet}-{inches}" for feet, inches in pairs]
            made = f"A spreadsheet makes that out of {' or '.join(typed)} (feet and inches)"
            made += f", or out of {fraction}. " if fraction else ". "
            again = " or ".join(
                [f"{pairs[0][0]} ft {pairs[0][1]} in"]
                + ([f"4 ft 0-{fraction} in"] if fraction else [])
            )
        elif fraction:
            made = f"A spreadsheet makes that out of {fraction}. "
            again = f"4 ft 0-{fraction} in"
        else:
            made = f"A spreadsheet makes that out of {month}-{day}. "
            again = f"{month} ft {day} in"
        raise SlipToDateError(
            f'is "{cell}", a date. {made}Set the column to Text and type the whole reading '
            f"again: {again}"
        )


def _fraction_behind(day: int, month: int) -> str:
    for top, bottom in ((month, day), (day, month)):
        if bottom in _BINARY and top < bottom:
            return f"{top}/{bottom}"
    return ""
