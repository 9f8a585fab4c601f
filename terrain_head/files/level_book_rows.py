"""The two forms of a field book: rows of points, or readings by set-up, become set-ups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from terrain_head.files.level_book_cells import Cells
from terrain_head.files.level_book_table import TableRow
from terrain_head.files.readings import Figure
from terrain_head.leveling.book import BookRow, Reading, SetUp, SightKind


@dataclass(slots=True, kw_only=True)
class Sheet:
    """Readings, set-ups and rows as they are gathered, over all books of a site."""

    readings: list[Reading] = field(default_factory=list)
    setups: list[SetUp] = field(default_factory=list)
    rows: list[BookRow] = field(default_factory=list)


@dataclass(slots=True, kw_only=True)
class _Open:
    """A set-up being read.

    Parameters
    ----------
    back, sights
        Its backsight and its readings, by position.
    head_rad
        Which way the mark on the laser's head faces, None where nothing was written [rad].
    lost
        Whether its backsight can't be read: it is left out, the trouble has been told.
    unheard
        Whether no backsight was written: one trouble is told until the next one comes.
    """

    back: int | None = None
    sights: list[int] = field(default_factory=list)
    head_rad: float | None = None
    lost: bool = False
    unheard: bool = False


class PointRows:
    """Reads the form ``point, bs, is, fs``: one row a point, in the order observed.

    Parameters
    ----------
    cells
        The cells of one table.
    sheet
        Where readings, set-ups and rows are gathered.
    file
        Position of the file in the book's list of files.
    """

    def __init__(self, cells: Cells, sheet: Sheet, *, file: int) -> None:
        self._cells = cells
        self._sheet = sheet
        self._file = file
        self._open: _Open | None = None
        self._head_rad: float | None = None
        self._closed_by: TableRow | None = None

    def read(self) -> None:
        """Read all rows."""
        for row in self._cells.table.rows:
            if self._is_point(row):
                self._row(row)
        self._close(None)

    def _is_point(self, row: TableRow) -> bool:
        if "point" in row:
            return True
        if any(name in row for name in ("bs", "is", "fs", "elevation")):
            self._cells.trouble(row, "This row has figures but no point. Write its name.")
        return False

    def _row(self, row: TableRow) -> None:
        held = [name for name in ("bs", "is", "fs") if name in row]
        if "is" in held and len(held) > 1:
            other = held[0] if held[0] != "is" else held[1]
            self._cells.trouble(
                row,
                f'{row.get("point")} has is "{row.get("is")}" beside {other} '
                f'"{row.get(other)}". An intermediate sight stands alone in its row; a turning '
                "point has fs and bs. Give the two readings a row each, in the order read.",
            )
        ahead = self._ahead(row) if "fs" in held else None
        between = self._between(row) if held == ["is"] else None
        back = self._back(row) if "bs" in held else None
        worked = self._cells.length(row, "worked")
        self._sheet.rows.append(
            BookRow(
                file=self._file,
                line=row.line,
                point=row.get("point"),
                back=back,
                between=between,
                ahead=ahead,
                worked_m=None if worked is None else worked.value_m,
                worked_step_m=0.0 if worked is None else worked.step_m,
                note=row.get("note"),
            )
        )

    def _back(self, row: TableRow) -> int | None:
        self._close(None)
        head = self._cells.direction(row, "head")
        self._head_rad = self._head_rad if head is None else head
        self._open = _Open(head_rad=self._head_rad)
        index = self._reading(row, "bs")
        self._open.back = index
        if index is not None:
            self._open.sights.append(index)
        else:
            self._open.lost = True
        return index

    def _between(self, row: TableRow) -> int | None:
        if not self._has_height(row, "between"):
            return None
        return self._sight(row, "is")

    def _ahead(self, row: TableRow) -> int | None:
        index = self._sight(row, "fs") if self._has_height(row, "ahead") else None
        if self._open is None or not self._open.unheard:
            self._close(index)
        self._closed_by = row
        return index

    def _sight(self, row: TableRow, kind: SightKind) -> int | None:
        index = self._reading(row, kind)
        if index is not None and self._open is not None:
            self._open.sights.append(index)
        return index

    def _has_height(self, row: TableRow, where: str) -> bool:
        if self._open is not None:
            return True
        point, before = row.get("point"), self._closed_by
        if before is None:
            self._cells.trouble(
                row,
                f"{point} is read {where}, but no reading back came before it. The first "
                "reading after setting up belongs under bs, on a point of known height.",
            )
        else:
            self._cells.trouble(
                row,
                f"{point} is read {where}, but the level has no height here. It was moved after "
                f"line {before.line}, and no known point was read first. Was the reading back "
                f"on {before.get('point')} forgotten? It belongs in line {before.line} under bs.",
            )
        self._open = _Open(lost=True, unheard=True)
        return True

    def _reading(self, row: TableRow, kind: SightKind) -> int | None:
        figure = self._cells.length(row, kind)
        distance = self._cells.positive(row, f"{kind}_dist")
        direction = self._cells.direction(row, f"{kind}_dir")
        if figure is None:
            return None
        return _add(
            self._sheet,
            row,
            figure,
            kind=kind,
            distance_m=distance,
            direction_rad=direction,
            file=self._file,
        )

    def _close(self, ahead: int | None) -> None:
        current, self._open = self._open, None
        if current is None or current.lost:
            return
        self._sheet.setups.append(
            SetUp(
                label=str(len(self._sheet.setups) + 1),
                readings=tuple(current.sights),
                back=current.back,
                ahead=ahead,
                head_rad=current.head_rad,
            )
        )


def _add(
    sheet: Sheet,
    row: TableRow,
    figure: Figure,
    *,
    kind: SightKind,
    distance_m: float | None,
    direction_rad: float | None,
    file: int,
    setup: int | None = None,
) -> int:
    sheet.readings.append(
        Reading(
            setup=len(sheet.setups) if setup is None else setup,
            point=row.get("point"),
            kind=kind,
            written=row.get("rod") or row.get(kind),
            reading_m=figure.value_m,
            step_m=figure.step_m,
            distance_m=distance_m,
            direction_rad=direction_rad,
            file=file,
            line=row.line,
        )
    )
    return len(sheet.readings) - 1


def read_setup_rows(cells: Cells, sheet: Sheet, *, file: int) -> None:
    """Read the form ``setup, point, rod``: one reading a row.

    The first reading of a set-up is its backsight; its foresight is the reading on the point from
    which the next set-up begins, else on a point that was there before, else its last one.

    Parameters
    ----------
    cells
        The cells of one table.
    sheet
        Where readings, set-ups and rows are gathered.
    file
        Position of the file in the book's list of files.
    """
    first_setup = len(sheet.setups)
    groups: dict[str, tuple[int, list[int]]] = {}
    heads: dict[str, float] = {}
    bearing: list[tuple[TableRow, int | None]] = []
    for row in cells.table.rows:
        index = _setup_row(cells, sheet, row, groups, first_setup=first_setup, file=file)
        head = cells.direction(row, "head")
        if head is not None:
            heads.setdefault(row.get("setup"), head)
        bearing.append((row, index))
    stated = {row.get("point") for row in cells.table.rows if "elevation" in row}
    _mark_kinds(sheet, {label: group for label, (_, group) in groups.items()}, stated, heads)
    for row, index in bearing:
        kind = None if index is None else sheet.readings[index].kind
        worked = cells.length(row, "worked")
        sheet.rows.append(
            BookRow(
                file=file,
                line=row.line,
                point=row.get("point"),
                back=index if kind == "bs" else None,
                between=index if kind == "is" else None,
                ahead=index if kind == "fs" else None,
                worked_m=None if worked is None else worked.value_m,
                worked_step_m=0.0 if worked is None else worked.step_m,
                note=row.get("note"),
            )
        )


def _setup_row(
    cells: Cells,
    sheet: Sheet,
    row: TableRow,
    groups: dict[str, tuple[int, list[int]]],
    *,
    first_setup: int,
    file: int,
) -> int | None:
    if "rod" not in row:
        return None
    missing = [name for name in ("setup", "point") if name not in row]
    figure = cells.length(row, "rod")
    distance = cells.positive(row, "dist")
    direction = cells.direction(row, "dir")
    if missing:
        cells.trouble(row, f"This reading has no {missing[0]}. Write which one it belongs to.")
        return None
    if figure is None:
        return None
    label = row.get("setup")
    setup, group = groups.setdefault(label, (first_setup + len(groups), []))
    index = _add(
        sheet,
        row,
        figure,
        kind="is",
        distance_m=distance,
        direction_rad=direction,
        file=file,
        setup=setup,
    )
    group.append(index)
    return index


def _mark_kinds(
    sheet: Sheet, groups: dict[str, list[int]], stated: set[str], heads: dict[str, float]
) -> None:
    labels = list(groups)
    seen = set(stated)
    head = None
    for position, label in enumerate(labels):
        group = groups[label]
        head = heads.get(label, head)
        following = groups[labels[position + 1]] if position + 1 < len(labels) else None
        begins = None if following is None else sheet.readings[following[0]].point
        ahead = _ahead_of(sheet.readings, group[1:], begins, seen)
        seen.update(sheet.readings[index].point for index in group)
        sheet.readings[group[0]] = replace(sheet.readings[group[0]], kind="bs")
        if ahead is not None:
            sheet.readings[ahead] = replace(sheet.readings[ahead], kind="fs")
        sheet.setups.append(
            SetUp(label=label, readings=tuple(group), back=group[0], ahead=ahead, head_rad=head)
        )


def _ahead_of(
    readings: Sequence[Reading], after: Sequence[int], begins: str | None, seen: set[str]
) -> int | None:
    if not after:
        return None
    for index in reversed(after):
        if readings[index].point == begins:
            return index
    if begins is None:
        for index in reversed(after):
            if readings[index].point in seen:
                return index
    return after[-1]
