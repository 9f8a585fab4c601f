"""Height differences had by other means than the rod: hose, hand level, barometer."""

from __future__ import annotations

from pathlib import Path

from terrain_head.errors import Trouble
from terrain_head.files.height_readings import (
    BOTH_BANKS,
    FOLLOWERS,
    LENGTHS,
    STADIA,
    STADIA_BESIDE,
    read_height,
)
from terrain_head.files.level_book_cells import Cells
from terrain_head.files.level_book_table import Table, read_table
from terrain_head.leveling.book import HeightDifference
from terrain_head.leveling.other_ways import OTHER_WAYS, way_named

_COLUMNS = (
    "from", "to", "rise", "how", "give_or_take", *BOTH_BANKS, *STADIA, *STADIA_BESIDE, "note",
)  # fmt: skip
_SAYS = ("rise", *BOTH_BANKS, *STADIA, *STADIA_BESIDE)


def read_height_differences(
    path: Path, *, unit: str | None = None, file: int = 0
) -> tuple[Table, tuple[HeightDifference, ...], list[Trouble]]:
    """Read a sheet ``from, to, rise, how, give_or_take, note``.

    In place of `rise` a row may hold what was read: from both banks of a stream, or by stadia.

    Parameters
    ----------
    path
        The CSV file.
    unit
        Unit of the columns whose heading names none.
    file
        Position of this file in the book's list of files.

    Returns
    -------
    table
        The sheet itself.
    differences
        The height differences; `give_or_take` is one standard error. Where it is blank and `how`
        names a known way, that way's own is taken.
    troubles
        Everything that is wrong with it.

    Raises
    ------
    InputError
        If the file is missing or no text.
    """
    table = read_table(path, names=_COLUMNS, others={"notes": "note"}, what="sheet of heights")
    lengths = ("rise", "give_or_take", *LENGTHS)
    leader = next((n for n in ("rise", BOTH_BANKS[0], STADIA[0]) if n in table.columns), "rise")
    cells = Cells(table, unit, lengths=lengths, followers={"give_or_take": leader, **FOLLOWERS})
    missing = [name for name in ("from", "to") if name not in table.columns]
    if not {"rise", BOTH_BANKS[0], STADIA[0]} & set(table.columns):
        missing.append("rise")
    if missing:
        if not table.troubles:
            cells.troubles.append(
                Trouble(
                    what=f"The heading has no column {' nor '.join(missing)}.",
                    write="from,to,rise [m],how,give_or_take,note",
                    line=table.heading_line,
                )
            )
        return table, (), cells.troubles
    differences = []
    for row in table.rows:
        worked = read_height(cells, row)
        figure = cells.length(row, "rise")
        rise = worked.rise_m if worked else None if figure is None else figure.value_m
        std = cells.positive(row, "give_or_take")
        start, end = row.get("from"), row.get("to")
        if not start or not end or not any(name in row for name in _SAYS):
            cells.trouble(row, "This row needs all three: from, to and rise.")
        elif start == end:
            cells.trouble(row, f"This row goes from {start} to itself.")
        elif rise is not None:
            given = "give_or_take" in row
            how = row.get("how") or (worked.how if worked else "")
            way = None if given else way_named(how) or (way_named(worked.how) if worked else None)
            differences.append(
                HeightDifference(
                    start=start,
                    end=end,
                    rise_m=rise,
                    std_m=way.std_m(rise) if way else std,
                    how=how,
                    way=way.name if way else "",
                    file=file,
                    line=row.line,
                )
            )
    blank = next((one for one in differences if one.std_m is None), None)
    if blank and any(one.std_m is not None and not one.way for one in differences):
        ways = ", ".join(way.name for way in OTHER_WAYS)
        cells.troubles.append(
            Trouble(
                what="give_or_take is blank here and written elsewhere. Write how sure this one "
                f"is too, or name its way under how ({ways}).",
                line=blank.line,
            )
        )
    return table, tuple(differences), cells.troubles
