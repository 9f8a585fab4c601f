"""Height differences had by other means than the rod: hose, hand level, barometer."""

from __future__ import annotations

from pathlib import Path

from terrain_head.errors import Trouble
from terrain_head.files.level_book_cells import Cells
from terrain_head.files.level_book_table import Table, read_table
from terrain_head.leveling.book import HeightDifference
from terrain_head.leveling.other_ways import OTHER_WAYS, way_named

_COLUMNS = ("from", "to", "rise", "how", "give_or_take", "note")


def read_height_differences(
    path: Path, *, unit: str | None = None, file: int = 0
) -> tuple[Table, tuple[HeightDifference, ...], list[Trouble]]:
    """Read a sheet ``from, to, rise, how, give_or_take, note``.

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
    cells = Cells(table, unit, ("rise", "give_or_take"), {"give_or_take": "rise"})
    missing = [name for name in ("from", "to", "rise") if name not in table.columns]
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
        rise = cells.length(row, "rise")
        std = cells.positive(row, "give_or_take")
        start, end = row.get("from"), row.get("to")
        if not start or not end or "rise" not in row:
            cells.trouble(row, "This row needs all three: from, to and rise.")
        elif start == end:
            cells.trouble(row, f"This row goes from {start} to itself.")
        elif rise is not None:
            given = "give_or_take" in row
            way = None if given else way_named(row.get("how"))
            differences.append(
                HeightDifference(
                    start=start,
                    end=end,
                    rise_m=rise.value_m,
                    std_m=way.std_m(rise.value_m) if way else std,
                    how=row.get("how"),
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
