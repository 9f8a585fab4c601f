"""Opens level books: one or several CSV sheets become one `LevelBook`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Literal

from terrain_head.base.units import from_si
from terrain_head.errors import InputError, Trouble
from terrain_head.files.height_differences import read_height_differences
from terrain_head.files.level_book_cells import Cells
from terrain_head.files.level_book_routes import Routes
from terrain_head.files.level_book_rows import PointRows, Sheet, read_setup_rows
from terrain_head.files.level_book_table import Table, read_table
from terrain_head.files.readings import BOOK_UNITS, book_unit
from terrain_head.leveling.book import BookFact, HeightDifference, KnownElevation, LevelBook
from terrain_head.leveling.instrument import Instrument

COLUMNS = (
    "setup", "point", "rod", "bs", "is", "fs", "elevation", "elevation_std", "worked", "bs_dist",
    "is_dist", "fs_dist", "dist", "bs_dir", "is_dir", "fs_dir", "dir", "head", "route", "station",
    "slope_station", "note",
)  # fmt: skip
OTHER_HEADINGS = {
    "backsight": "bs",
    "back_sight": "bs",
    "back": "bs",
    "b_s": "bs",
    "intermediate": "is",
    "intermediate_sight": "is",
    "inter_sight": "is",
    "intersight": "is",
    "i_s": "is",
    "between": "is",
    "foresight": "fs",
    "fore_sight": "fs",
    "f_s": "fs",
    "ahead": "fs",
    "set_up": "setup",
    "reading": "rod",
    "remarks": "note",
    "notes": "note",
}
_LENGTHS = (
    "bs", "is", "fs", "rod", "elevation", "elevation_std", "worked", "bs_dist", "is_dist",
    "fs_dist", "dist", "station", "slope_station",
)  # fmt: skip
_FOLLOWERS = {"elevation_std": "elevation", "worked": "elevation", "slope_station": "station"}
LONGEST_ROD_M = 10.0
"""A reading beyond this is told; the longest rods in common use are 5 to 8 m (ours)."""


def read_level_books(
    paths: Sequence[Path],
    *,
    unit: str | None = None,
    reading_std_m: float | None = None,
    angle_std_rad: float | None = None,
    farthest_m: float | None = None,
    instrument: Instrument | None = None,
    heights: Path | None = None,
    rod: Literal["normal", "direct"] = "normal",
) -> LevelBook:
    """Read one or more level books, and height differences by other means, as one network.

    Parameters
    ----------
    paths
        The books, in the order observed; the same name in two books is the same point.
    unit
        Unit of the columns whose heading names none.
    reading_std_m
        Standard error of one rod reading, None where it is not stated [m].
    angle_std_rad
        Standard error of the line of sight, None where it is not stated [rad].
    farthest_m
        Longest that a sight without a distance may be, None where none is known [m].
    instrument
        What was read with; what is said of it holds unless one of the three above says it too.
    heights
        A sheet of height differences.
    rod
        ``direct`` for rods whose figures are elevations, greater where the ground is higher.

    Returns
    -------
    LevelBook
        What the books hold, nothing worked out.

    Raises
    ------
    InputError
        If a file is missing or no text, or if anything in it is wrong: all that is wrong at once.
    """
    base = _unit(unit)
    if instrument is not None:
        reading_std_m = instrument.read_to_m if reading_std_m is None else reading_std_m
        farthest_m = instrument.farthest_m if farthest_m is None else farthest_m
    sheet = Sheet()
    routes = Routes()
    known: list[tuple[KnownElevation, str]] = []
    facts: list[BookFact] = []
    troubles: list[tuple[str, Trouble]] = []
    shown_unit: str | None = None
    tables: list[Table] = []
    for file, path in enumerate(paths):
        table = read_table(path, names=COLUMNS, others=OTHER_HEADINGS)
        tables.append(table)
        cells = Cells(table, base, lengths=_LENGTHS, followers=_FOLLOWERS)
        shown_unit = shown_unit or cells.base
        facts += [
            BookFact(kind="unknown-column", file=table.file, texts={"heading": heading})
            for heading in table.unknown
        ]
        if _form_is_known(table, cells):
            if "rod" in table.columns:
                read_setup_rows(cells, sheet, file=file)
            else:
                PointRows(cells, sheet, file=file).read()
            known += _known(cells, file)
            routes.read(cells)
        troubles += [(table.file, trouble) for trouble in cells.troubles]
    fixed, clashes = _one_each(known)
    troubles += clashes
    differences: tuple[HeightDifference, ...] = ()
    if heights is not None:
        table, differences, wrong = read_height_differences(heights, unit=base, file=len(paths))
        tables.append(table)
        troubles += [(table.file, trouble) for trouble in wrong]
    if troubles:
        raise _all_at_once(tables, troubles)
    book = LevelBook(
        files=tuple(table.file for table in tables),
        unit=shown_unit or "m",
        readings=tuple(sheet.readings),
        setups=tuple(sheet.setups),
        rows=tuple(sheet.rows),
        known=fixed,
        differences=differences,
        routes=routes.all(),
        reading_std_m=reading_std_m,
        angle_std_rad=angle_std_rad,
        farthest_m=farthest_m,
        instrument=instrument,
        rod=rod,
        facts=tuple(facts),
    )
    return _with_facts(book)


def _unit(word: str | None) -> str | None:
    if word is None:
        return None
    found = book_unit(word)
    if found is None:
        raise InputError(
            f'The unit "{word}" is not one that a rod carries.',
            Trouble(what=f"Known: {', '.join(BOOK_UNITS)}.", write="--unit ft"),
        )
    return found


def _form_is_known(table: Table, cells: Cells) -> bool:
    has = table.columns
    if "point" in has and ("rod" in has) == ("setup" in has) and not ("rod" in has and "bs" in has):
        if not table.rows:
            cells.troubles.append(
                Trouble(
                    what="There is a heading and no row under it. Give each reading its row.",
                    line=table.heading_line,
                )
            )
        return True
    if table.troubles:
        return False
    # Units of columns that mean nothing here are no trouble of their own.
    cells.troubles.clear()
    headings = ", ".join(column.written for column in has.values()) or "none that is known"
    cells.troubles.append(
        Trouble(
            what=f"This heading fits neither form of a level book. Columns found: {headings}.",
            write="point,bs [ft],is,fs,elevation\nor   setup,point,rod [ft]",
            line=table.heading_line,
        )
    )
    return False


def _known(cells: Cells, file: int) -> Iterable[tuple[KnownElevation, str]]:
    for row in cells.table.rows:
        figure = cells.length(row, "elevation")
        std = cells.positive(row, "elevation_std")
        if std is not None and "elevation" not in row:
            cells.trouble(row, "elevation_std stands here without an elevation.")
        if figure is not None and "point" in row:
            yield (
                KnownElevation(
                    point=row.get("point"),
                    elevation_m=figure.value_m,
                    std_m=std,
                    file=file,
                    line=row.line,
                ),
                cells.table.file,
            )


def _one_each(
    known: Iterable[tuple[KnownElevation, str]],
) -> tuple[tuple[KnownElevation, ...], list[tuple[str, Trouble]]]:
    first: dict[str, tuple[KnownElevation, str]] = {}
    clashes = []
    for entry, file in known:
        before, other = first.setdefault(entry.point, (entry, file))
        if abs(before.elevation_m - entry.elevation_m) > 1e-9:
            place = f"line {before.line}" if file == other else f"{other}, line {before.line}"
            clashes.append(
                (
                    file,
                    Trouble(
                        what=f"{entry.point} has a second elevation here, "
                        f"{abs(entry.elevation_m - before.elevation_m):.3f} m from the one in "
                        f"{place}. The column holds only what was known before the survey; what "
                        "you reduced by hand belongs under worked.",
                        line=entry.line,
                    ),
                )
            )
    return tuple(entry for entry, _ in first.values()), clashes


def _all_at_once(tables: Sequence[Table], troubles: Sequence[tuple[str, Trouble]]) -> InputError:
    count = len(troubles)
    things = "1 thing" if count == 1 else f"{count} things"
    files = list(dict.fromkeys(file for file, _ in troubles))
    ordered: list[Trouble] = []
    for file in files:
        mine = sorted(
            (trouble for name, trouble in troubles if name == file),
            key=lambda trouble: trouble.line or 0,
        )
        ordered += [
            trouble
            if len(files) == 1
            else Trouble(
                what=f"{file}: {trouble.what}",
                write=trouble.write,
                line=trouble.line,
                excerpt=trouble.excerpt,
                mark=trouble.mark,
            )
            for trouble in mine
        ]
    return InputError(
        f"{' and '.join(files)} can't be reduced yet: {things} to put right.",
        *ordered,
        file=files[0],
        left_alone=(_read_well(tables, files, ordered) + " Nothing was written.").strip(),
    )


def _read_well(tables: Sequence[Table], files: Sequence[str], troubles: Sequence[Trouble]) -> str:
    if len(files) != 1:
        return ""
    table = next(table for table in tables if table.file == files[0])
    bad = [t.line for t in troubles if t.line is not None and t.line > table.heading_line]
    lines = [row.line for row in table.rows if not bad or row.line < min(bad)]
    if len(lines) < 2:
        return ""
    return f"Lines {lines[0]} to {lines[-1]} read well."


def _with_facts(book: LevelBook) -> LevelBook:
    seen = (
        *_long_readings(book),
        *_feet_and_inches(book),
        *_alike(book),
        *_never_read(book),
    )
    return replace(book, facts=(*book.facts, *seen))


def _never_read(book: LevelBook) -> list[BookFact]:
    points = set(book.points)
    return [
        BookFact(kind="point-never-read", point=point, texts={"route": route.name})
        for route in book.routes
        for point in route.points
        if point not in points
    ]


def _long_readings(book: LevelBook) -> list[BookFact]:
    if book.rod == "direct":
        return []
    return [
        BookFact(
            kind="long-reading",
            point=reading.point,
            file=book.files[reading.file],
            line=reading.line,
            values={"reading_m": reading.reading_m, "limit_m": LONGEST_ROD_M},
            texts={"written": reading.written},
        )
        for reading in book.readings
        if abs(reading.reading_m) > LONGEST_ROD_M
    ]


def _feet_and_inches(book: LevelBook) -> list[BookFact]:
    """Decimals of feet that never pass .11 look like inches behind a point."""
    if book.unit != "ft" or len(book.readings) < 4:
        return []
    parts = [reading.written.lstrip("-").partition(".")[2] for reading in book.readings]
    if not all(part.isdigit() and len(part) <= 2 for part in parts):
        return []
    inches = [int(part) for part in parts]
    if max(inches) > 11 or len(set(inches)) < 3:
        return []
    first = book.readings[0]
    return [
        BookFact(
            kind="looks-like-feet-inches",
            file=book.files[first.file],
            line=first.line,
            values={"feet": from_si(first.reading_m, "ft")},
            texts={"written": first.written},
        )
    ]


def _alike(book: LevelBook) -> list[BookFact]:
    folded: dict[str, str] = {}
    facts = []
    for name in book.points:
        other = folded.setdefault(name.casefold().replace(" ", ""), name)
        if other != name:
            facts.append(BookFact(kind="names-alike", point=name, texts={"other": other}))
    return facts
