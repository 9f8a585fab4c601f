"""The page check: sums of the readings against elevations, and the hand's own figures."""

from __future__ import annotations

import math

from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.chains import Chain, sight_m
from terrain_head.leveling.elevations import PageCheck, SheetRow
from terrain_head.leveling.hand_rule import Carried

_ROUNDING_M = 1e-9


def sheet_of(book: LevelBook, carried: Carried, known: set[str]) -> tuple[SheetRow, ...]:
    """Return the rows of a book, worked out as by hand."""
    rows = []
    levels = carried.level_m.tolist()
    as_read, by_setups = carried.as_read_m.tolist(), carried.by_setups_m.tolist()
    for row in book.rows:
        arrived = next((i for i in (row.ahead, row.between, row.back) if i is not None), None)
        level = math.nan
        if row.back is not None:
            level = levels[book.readings[row.back].setup]
        rows.append(
            SheetRow(
                row=row,
                level_m=level,
                as_read_m=math.nan if arrived is None else as_read[arrived],
                by_setups_m=math.nan if arrived is None else by_setups[arrived],
                given=row.point in known,
            )
        )
    return tuple(rows)


def page_checks(
    book: LevelBook, chains: tuple[Chain, ...], sheet: tuple[SheetRow, ...]
) -> tuple[PageCheck, ...]:
    """Return the page check of each unbroken chain of set-ups that has a foresight.

    Notes
    -----
    The sum of the backsights minus that of the foresights equals the last elevation minus the
    first, on elevations that nothing was shared out to; on a direct rod the other way round.
    Intermediate sights are not in the sums; a hand's figure for one of them is compared by itself.
    """
    of_setup: list[list[int]] = [[] for _ in book.setups]
    for number, line in enumerate(sheet):
        read = [i for i in (line.row.back, line.row.between, line.row.ahead) if i is not None]
        for setup in {book.readings[index].setup for index in read}:
            of_setup[setup].append(number)
    checks = []
    for chain in chains:
        if len(chain.trunk) > 1:
            numbers = {number for setup in chain.setups for number in of_setup[setup]}
            checks.append(_check(book, chain, [sheet[number] for number in sorted(numbers)]))
    return tuple(checks)


def _check(book: LevelBook, chain: Chain, rows: list[SheetRow]) -> PageCheck:
    setups = [book.setups[number] for number in chain.setups]
    backs = [s.back for s in setups if s.back is not None and s.ahead is not None]
    aheads = [s.ahead for s in setups if s.ahead is not None]
    first = next(row for row in rows if row.row.back == backs[0])
    last = next(row for row in rows if row.row.ahead == aheads[-1])
    sum_bs = sum(book.readings[index].reading_m for index in backs)
    sum_fs = sum(book.readings[index].reading_m for index in aheads)
    rise = sum_bs - sum_fs if book.rod == "normal" else sum_fs - sum_bs
    wrong = _first_wrong(rows)
    low, high = _as_carried(first, book), last.as_read_m
    tolerance = _ROUNDING_M
    if wrong is not None and first.row.worked_m is not None and last.row.worked_m is not None:
        low, high = first.row.worked_m, last.row.worked_m
        tolerance += first.row.worked_step_m
    adds_up = abs(rise - (high - low)) <= tolerance
    return PageCheck(
        file=book.files[first.row.file] if book.files else "",
        first_line=first.row.line,
        last_line=last.row.line,
        sum_bs_m=sum_bs,
        sum_fs_m=sum_fs,
        first_m=low,
        last_m=high,
        holds=wrong is None and adds_up,
        first_wrong_line=None if wrong is None else wrong.row.line,
        worked_m=math.nan if wrong is None or wrong.row.worked_m is None else wrong.row.worked_m,
        right_m=math.nan if wrong is None else wrong.as_read_m,
    )


def _as_carried(row: SheetRow, book: LevelBook) -> float:
    """Return the elevation under the backsight that begins a chain, as read [m]."""
    if row.row.back is None:
        raise AssertionError("a chain begins with a backsight")
    return row.level_m - sight_m(book, book.readings[row.row.back])


def _first_wrong(rows: list[SheetRow]) -> SheetRow | None:
    """Return the first row whose hand figure is neither as read nor, all of them, shared out."""
    worked = [row for row in rows if row.row.worked_m is not None]
    # The finest figure of the hand counts: a spreadsheet writes 99.500 as 99.5.
    step = min((row.row.worked_step_m for row in worked), default=0.0)
    as_read = [row for row in worked if not _agrees(row, row.as_read_m, within_m=step / 2)]
    shared = [row for row in worked if not _agrees(row, row.by_setups_m, within_m=step)]
    if not as_read or not shared:
        return None
    return as_read[0]


def _agrees(row: SheetRow, right_m: float, *, within_m: float) -> bool:
    if row.row.worked_m is None or math.isnan(right_m):
        return True
    return abs(row.row.worked_m - right_m) <= within_m + _ROUNDING_M
