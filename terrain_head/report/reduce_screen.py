"""The screen of ``terrain-head reduce``: differences first, then the book worked as by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from terrain_head.base.units import METRIC, US, UnitSystem
from terrain_head.errors import WIDTH
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.elevations import Elevations, PageCheck, SheetRow
from terrain_head.report.reduce_closing import WARNING, closing_lines, doubtful, lead
from terrain_head.report.reduce_differences import (
    differences,
    named_points,
    ram_above_spring,
    say_difference,
    say_rise,
)
from terrain_head.report.reduce_figures import Figures, figures_of, filled, labelled
from terrain_head.report.reduce_suspects import nothing_stands_out, say_first_check
from terrain_head.report.reduce_words import by_weight, tell


def units_of(book: LevelBook) -> UnitSystem:
    """Return the units in which a book is shown when none are asked for: its own."""
    if book.unit in {"ft", "in"}:
        return US
    return UnitSystem(name="us", feet="inches") if book.unit == "ft-in" else METRIC


def reduce_screen(book: LevelBook, elevations: Elevations, *, units: UnitSystem) -> str:
    """Return the whole screen, plain ASCII, at most 79 columns."""
    figures = figures_of(book, units)
    open_yet = doubtful(elevations)
    blocks = [
        [_heading(book, figures)],
        lead(book, elevations, figures=figures, units=units),
        _first_sentences(elevations, units),
    ]
    heights = _heights(elevations, figures)
    for file, name in enumerate(book.files):
        table = _table(book, elevations, file, figures=figures, heights=heights)
        if table:
            blocks.append([name, *table] if len(book.files) > 1 else table)
    loose = _others(book, heights, figures)
    if loose:
        blocks.append(loose)
    blocks.append(
        [
            *_page(book, elevations, figures),
            *closing_lines(elevations, figures),
            *_trust(book, elevations),
            *(
                line
                for fact in by_weight(elevations.facts)
                for line in labelled("Note", tell(fact, units))
            ),
        ]
    )
    blocks.append(_legend(book, sure=not open_yet))
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _heading(book: LevelBook, figures: Figures) -> str:
    parts = {2: "hundredths", 3: "thousandths", 4: "ten-thousandths"}[figures.decimals]
    unit = "feet" if figures.unit == "ft" else "metres"
    counts = [(len(book.setups), "set-up"), (len(book.readings), "reading")]
    if book.differences:
        counts.append((len(book.differences), "other difference"))
    counted = ", ".join(f"{count} {word}{'' if count == 1 else 's'}" for count, word in counts)
    own = "; readings as written" if book.unit == "ft-in" and figures.unit == "ft" else ""
    return filled(f"{', '.join(book.files)}: {counted}, in {unit} and {parts}{own}")


def _first_sentences(elevations: Elevations, units: UnitSystem) -> list[str]:
    open_yet = doubtful(elevations)
    lines = [WARNING] if open_yet else []
    for difference in differences(elevations):
        said = f"{say_rise(difference, units)}." if open_yet else say_difference(difference, units)
        lines += filled(said).splitlines()
        if ram_above_spring(difference) and not open_yet:
            lines += filled(
                f"That is above, and water won't run there. Either the names {difference.start} "
                f"and {difference.end} are swapped, or your rod's numbers grow upward. If they "
                "do, add --rod direct."
            ).splitlines()
    more = len(named_points(elevations)) - 1 - len(differences(elevations))
    if more > 0:
        lines.append(f"... and {more} more: --json holds them all.")
    return lines


def _heights(elevations: Elevations, figures: Figures) -> dict[str, tuple[str, str]]:
    """Return elevation and spread of each point as they are printed, none while a slip is in it."""
    found = {}
    open_yet = doubtful(elevations)
    for name, height, std, known in zip(
        elevations.names,
        elevations.elevation_m.tolist(),
        elevations.std_m().tolist(),
        elevations.known.tolist(),
        strict=True,
    ):
        likely = "" if open_yet else f"+- {figures.text(elevations.likely_factor * std)}"
        found[name] = (figures.text(height), "given" if known and std == 0 else likely)
    return found


def _table(
    book: LevelBook,
    elevations: Elevations,
    file: int,
    *,
    figures: Figures,
    heights: Mapping[str, tuple[str, str]],
) -> list[str]:
    rows = [
        row for row in elevations.sheet if row.row.file == file and (row.given or _is_read(row))
    ]
    if not rows:
        return []
    heads = ["line", "point", "back", "between", "ahead", "level at", "as read", "by hand",
             "shared out", ""]  # fmt: skip
    cells = [_cells(book, row, figures=figures, heights=heights) for row in rows]
    least = [max(len(row[column]) for row in [heads, *cells]) for column in range(len(heads))]
    too_wide = sum(least) - least[1] + len("point") + len(heads) - 1 > WIDTH
    if too_wide or all(row[7] in {row[8], ""} for row in cells):
        heads.pop(7)
        for row in cells:
            row.pop(7)
    sums = _sums(book, rows, figures)
    if sums is not None:
        cells.append(["", "sums", sums[0], "", sums[1], *[""] * (len(heads) - 5)])
    longest = max(len(row[1]) for row in [heads, *cells])
    widths = [
        max(len(heads[column]), *(len(row[column]) for row in cells))
        for column in range(len(heads))
    ]
    fixed = sum(widths) - widths[1]
    gap = 2 if fixed + longest + 2 * (len(widths) - 1) <= WIDTH else 1
    widths[1] = min(widths[1], max(WIDTH - fixed - gap * (len(widths) - 1), len("point")))
    lines = []
    for row in [heads, *cells]:
        name = row[1]
        if len(name) > widths[1]:
            lines.append(f"{'':>{widths[0]}}{' ' * gap}{name}"[:WIDTH])
            name = ""
        parts = [f"{row[0]:>{widths[0]}}", f"{name:<{widths[1]}}"]
        parts += [f"{cell:>{width}}" for cell, width in zip(row[2:-1], widths[2:-1], strict=True)]
        lines.append((" " * gap).join([*parts, row[-1]]).rstrip())
    return lines


def _is_read(row: SheetRow) -> bool:
    return any(cell is not None for cell in (row.row.back, row.row.between, row.row.ahead))


def _cells(
    book: LevelBook, row: SheetRow, *, figures: Figures, heights: Mapping[str, tuple[str, str]]
) -> list[str]:
    def reading(index: int | None) -> str:
        if index is None:
            return ""
        as_written = book.unit == "ft-in" and figures.unit == "ft"
        one = book.readings[index]
        return one.written if as_written else figures.text(one.reading_m)

    return [
        str(row.row.line),
        row.row.point,
        reading(row.row.back),
        reading(row.row.between),
        reading(row.row.ahead),
        figures.text(row.level_m),
        figures.text(row.as_read_m),
        "" if row.given else figures.text(row.by_setups_m),
        *heights.get(row.row.point, ("", "")),
    ]


def _sums(book: LevelBook, rows: Sequence[SheetRow], figures: Figures) -> tuple[str, str] | None:
    back = [row.row.back for row in rows if row.row.back is not None]
    ahead = [row.row.ahead for row in rows if row.row.ahead is not None]
    if not back or not ahead:
        return None
    return (
        figures.text(sum(book.readings[index].reading_m for index in back)),
        figures.text(sum(book.readings[index].reading_m for index in ahead)),
    )


def _others(book: LevelBook, heights: Mapping[str, tuple[str, str]], figures: Figures) -> list[str]:
    """Return the points that no row of a book reads: those of other height differences."""
    listed = {row.point for row in book.rows}
    lines = [
        f"      {name}  {height} {figures.unit}  {spread}"
        for name, (height, spread) in heights.items()
        if name not in listed
    ]
    return ["By other means", *lines] if lines else []


def _page(book: LevelBook, elevations: Elevations, figures: Figures) -> list[str]:
    several = len(book.files) > 1
    lines = []
    for check in elevations.page_checks:
        where = f"{check.file}, " if several else ""
        span = f"{where}lines {check.first_line} to {check.last_line}: "
        text = (span if len(elevations.page_checks) > 1 else "") + _page_text(book, check, figures)
        lines += labelled("Page check", text)
    return lines


def _page_text(book: LevelBook, check: PageCheck, figures: Figures) -> str:
    first, second = check.sum_bs_m, check.sum_fs_m
    if book.rod == "direct":
        first, second = second, first
    sums = first - second
    text = (
        f"{figures.text(first)} - {figures.text(second)} = {figures.text(sums)}, and "
        f"{figures.text(check.last_m)} - {figures.text(check.first_m)} = "
        f"{figures.text(check.last_minus_first_m)}: "
    )
    if check.holds:
        return text + "adds up."
    if check.first_wrong_line is None:
        return text + "does not add up."
    wrong = (
        f"The hand's figures go wrong first in line {check.first_wrong_line}: "
        f"{figures.text(check.worked_m)} is worked there, the readings give "
        f"{figures.text(check.right_m)}."
    )
    adds = (
        "adds up all the same. "
        if _same(sums, check.last_minus_first_m, figures)
        else ("does not add up. ")
    )
    return text + adds + wrong


def _same(first_m: float, second_m: float, figures: Figures) -> bool:
    return figures.text(first_m) == figures.text(second_m)


def _trust(book: LevelBook, elevations: Elevations) -> list[str]:
    if elevations.degrees_of_freedom == 0:
        return labelled(
            "Checked?",
            "You did not come back to a known point, so nothing here is checked. "
            + say_first_check(book, elevations.first_check),
        )
    wanted = [name for name in named_points(elevations) if name in elevations.hanging]
    lines = []
    if wanted:
        more = f" and {len(wanted) - 6} more" if len(wanted) > 6 else ""
        names = ", ".join(wanted[:6]) + more
        many = "Each of these hangs" if len(wanted) > 1 else "This hangs"
        them = "them" if len(wanted) > 1 else "it"
        lines = labelled(
            "Checked?",
            f"{many} on a single reading that nothing checks: {names}. Read {them} again "
            "from another set-up.",
        )
    if not doubtful(elevations):
        lines += labelled("Any one wrong?", nothing_stands_out(elevations))
    return lines


def _legend(book: LevelBook, *, sure: bool) -> list[str]:
    if not book.readings:
        return []
    direct = " Rod: its figures are elevations." if book.rod == "direct" else ""
    spread = "+- holds nine cases in ten. " if sure else ""
    return [
        "back: first reading after setting up (bs).   between: is.   ahead: fs.",
        filled(
            f"{spread}Heights are worked out in full and then rounded, so a last figure may "
            f"differ by one.{direct}"
        ),
    ]
