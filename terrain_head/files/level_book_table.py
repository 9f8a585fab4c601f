"""The sheet of a field book: bytes to text, text to columns and rows, line numbers kept."""

from __future__ import annotations

import csv
import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from terrain_head.errors import InputError, Trouble
from terrain_head.files.readings import BOOK_UNITS, book_unit

_LEFT_ALONE = "Nothing was written."
_HEADING = re.compile(r"^(?P<name>[^\[\(]*?)\s*(?:[\[\(](?P<unit>[^\]\)]*)[\]\)])?\s*$")
_NEAR = 0.74


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: its name, and the unit its heading states, if any."""

    name: str
    unit: str | None
    written: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TableRow:
    """One line of the sheet: its number, and the cells that are not blank by column name."""

    line: int
    cells: Mapping[str, str]

    def __contains__(self, name: str) -> bool:
        return name in self.cells

    def get(self, name: str) -> str:
        """Return a cell, or an empty text where it is blank."""
        return self.cells.get(name, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The sheet.

    Parameters
    ----------
    file
        Name of the file as shown.
    columns
        Columns that are known, by name.
    rows
        Rows that hold anything, in order.
    comma
        ``","`` where commas stand for decimal points, else empty.
    heading_line
        Line of the heading, counted from 1.
    unknown
        Headings that mean nothing to the reader.
    troubles
        What is wrong with the sheet itself.
    """

    file: str
    columns: Mapping[str, Column]
    rows: tuple[TableRow, ...]
    comma: str
    heading_line: int
    unknown: tuple[str, ...]
    troubles: tuple[Trouble, ...]


def read_table(
    path: Path, *, names: Sequence[str], others: Mapping[str, str], what: str = "level book"
) -> Table:
    """Read a sheet whose first line that counts names its columns.

    Parameters
    ----------
    path
        The file.
    names
        Columns that the reader knows.
    others
        Further headings, and the column each of them means.
    what
        What the file should be, for messages.

    Returns
    -------
    Table
        Columns and rows; what is wrong with single cells is not known yet.

    Raises
    ------
    InputError
        If the file is missing, empty, binary, not UTF-8 or has no heading.
    """
    lines = _lines(path, what)
    counted = [
        (number, text)
        for number, text in enumerate(lines, start=1)
        if text.strip().strip(";,\t") and not text.lstrip().lstrip('"').startswith("#")
    ]
    if not counted:
        raise InputError(
            f"{path.name} holds no line that counts.",
            Trouble(what="Every line is blank or begins with #.", write="point,bs [m],is,fs"),
            file=path.name,
            left_alone=_LEFT_ALONE,
        )
    heading_line, heading = counted[0]
    separator = max(";\t,", key=heading.count)
    cells = [_split(text, separator) for _, text in counted]
    columns, unknown, troubles = _columns(cells[0], heading_line, names, others)
    rows = []
    for (number, text), row in zip(counted[1:], cells[1:], strict=True):
        extra = [cell for cell in row[len(columns) :] if cell]
        if extra:
            troubles.append(
                Trouble(
                    what=f"This line has more cells than the heading: {len(row)} against "
                    f"{len(columns)}. A decimal comma does that; write a point, or part the "
                    "columns with semicolons.",
                    line=number,
                    excerpt=text[:60],
                )
            )
        found = {
            column.name: cell
            for column, cell in zip(columns, row, strict=False)
            if column is not None and cell
        }
        rows.append(TableRow(line=number, cells=found))
    return Table(
        file=path.name,
        columns={column.name: column for column in columns if column is not None},
        rows=tuple(row for row in rows if row.cells),
        comma="," if separator == ";" else "",
        heading_line=heading_line,
        unknown=tuple(unknown),
        troubles=tuple(troubles),
    )


def _lines(path: Path, what: str) -> list[str]:
    def refuse(headline: str, found: str) -> InputError:
        return InputError(headline, Trouble(what=found), file=path.name, left_alone=_LEFT_ALONE)

    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        near = difflib.get_close_matches(path.name, _neighbours(path), n=1)
        hint = f" There is {near[0]}; was that meant?" if near else ""
        where = "this folder" if path.parent == Path() else path.parent
        raise refuse(
            f"{path.name} is not there.", f"No file of that name in {where}.{hint}"
        ) from None
    except OSError as error:
        found = f"{error.strerror or error}. A {what} is one CSV file."
        raise refuse(f"{path.name} can't be opened.", found) from None
    if not raw.strip():
        raise refuse(f"{path.name} is empty.", f"It has no text in it; a {what} was expected.")
    if raw.startswith(b"PK\x03\x04"):
        raise refuse(
            f"{path.name} is a spreadsheet's own file, not text.",
            "In the spreadsheet, save the sheet as CSV (UTF-8) and name that file instead.",
        )
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refuse(
            f"{path.name} is not UTF-8 text but UTF-16.",
            "In the spreadsheet or editor, save it again as CSV UTF-8.",
        )
    if b"\x00" in raw:
        at = raw[: raw.index(b"\x00")].count(b"\n") + 1
        raise refuse(
            f"{path.name} is not text: line {at} holds a zero byte.",
            f"A {what} is a CSV file. If it came from a spreadsheet, save it again as CSV UTF-8.",
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        at = raw[: error.start].count(b"\n") + 1
        raise refuse(
            f"{path.name} is not UTF-8: line {at} holds a letter in another coding.",
            "Save it again as CSV UTF-8, or write that letter without its accent.",
        ) from None
    return text.splitlines()


def _neighbours(path: Path) -> list[str]:
    try:
        return sorted(entry.name for entry in path.parent.iterdir())
    except OSError:
        return []


def _split(text: str, separator: str) -> list[str]:
    """Part one line; an inch mark is not a quote unless the cell begins with it."""
    row = next(csv.reader([text], delimiter=separator, skipinitialspace=True))
    return [cell.strip() for cell in row]


def _columns(
    heading: Sequence[str], line: int, names: Sequence[str], others: Mapping[str, str]
) -> tuple[list[Column | None], list[str], list[Trouble]]:
    columns: list[Column | None] = []
    unknown: list[str] = []
    troubles: list[Trouble] = []
    for written in heading:
        column, trouble = _column(written, names, others)
        if column is not None and column.name in {c.name for c in columns if c is not None}:
            trouble, column = (
                f'The heading has "{column.name}" twice. Give one of them another name.',
                None,
            )
        elif column is None and trouble is None and written:
            unknown.append(written)
        columns.append(column)
        if trouble is not None:
            troubles.append(Trouble(what=trouble, line=line))
    present = {column.name for column in columns if column is not None}
    for written in list(unknown):
        folded = _fold(written)
        missing = [name for name in (*names, *others) if others.get(name, name) not in present]
        near = difflib.get_close_matches(folded, missing, n=1, cutoff=_NEAR)
        if near:
            unknown.remove(written)
            troubles.append(
                Trouble(
                    what=f'The heading "{written}" is not known. Was "{near[0]}" meant? '
                    "If not, give it a name that is less alike.",
                    line=line,
                )
            )
    return columns, unknown, troubles


def _fold(written: str) -> str:
    match = _HEADING.match(written)
    name = match["name"] if match else written
    return re.sub(r"[\s_\-.]+", "_", name.strip().lower()).strip("_")


def _column(
    written: str, names: Sequence[str], others: Mapping[str, str]
) -> tuple[Column | None, str | None]:
    folded = _fold(written)
    name = others.get(folded, folded)
    if name not in names:
        return None, None
    match = _HEADING.match(written)
    word = match["unit"] if match else None
    unit = None
    trouble = None
    if word is not None:
        unit = book_unit(word)
        if unit is None:
            known = ", ".join(BOOK_UNITS)
            trouble = (
                f'The heading "{written}": the unit "{word}" is not known here. Known: {known}.'
            )
            unit = "m"
    return Column(name=name, unit=unit, written=written), trouble
