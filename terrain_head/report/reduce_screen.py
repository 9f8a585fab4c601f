"""The screen of ``terrain-head reduce``: differences first, then the book worked as by hand."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from terrain_head.base.units import METRIC, US, UnitSystem, from_si, to_si
from terrain_head.errors import WIDTH
from terrain_head.leveling.allowable import PUBLISHED_CLASSES
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.elevations import Elevations, Misclosure, PageCheck, SheetRow
from terrain_head.report.reduce_differences import (
    differences,
    named_points,
    ram_above_spring,
    say_difference,
)
from terrain_head.report.reduce_suspects import say_first_check, say_suspects
from terrain_head.report.reduce_words import by_weight, tell

_LABEL = 16
_ROUNDING = 1e-7
_FAR_OUT = 2.0  # times what is allowed: chance does that in one book of a thousand
_SHOWN_CLASSES = ("third order", "construction")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shown:
    """How heights are printed in the table: unit and decimals."""

    unit: str
    decimals: int

    def text(self, metres: float) -> str:
        """Return a height, blank where there is none."""
        if math.isnan(metres):
            return ""
        value = from_si(metres, self.unit)
        # Halves go up as by hand: what rounding left of 88.425 must not turn it into 88.42.
        value = round(value + math.copysign(_ROUNDING, value), self.decimals)
        return f"{value + 0.0:.{self.decimals}f}"

    def with_unit(self, metres: float) -> str:
        """Return a height and its unit."""
        return f"{self.text(metres)} {self.unit}"


def units_of(book: LevelBook) -> UnitSystem:
    """Return the units in which a book is shown when none are asked for: its own."""
    if book.unit in {"ft", "in"}:
        return US
    return UnitSystem(name="us", feet="inches") if book.unit == "ft-in" else METRIC


def reduce_screen(book: LevelBook, elevations: Elevations, units: UnitSystem) -> str:
    """Return the whole screen, plain ASCII, at most 79 columns."""
    shown = _shown(book, units)
    blocks = [[_heading(book, shown)], _first_sentences(elevations, units)]
    heights = _heights(elevations, shown)
    for file, name in enumerate(book.files):
        table = _table(book, elevations, file, shown=shown, heights=heights)
        if table:
            blocks.append([name, *table] if len(book.files) > 1 else table)
    loose = _others(book, heights, shown)
    if loose:
        blocks.append(loose)
    blocks.append(
        [
            *_page(book, elevations, shown),
            *_closing(elevations, shown),
            *_trust(book, elevations, shown),
            *(
                line
                for fact in by_weight(elevations.facts)
                for line in _labelled("Note", tell(fact, units))
            ),
        ]
    )
    blocks.append(_legend(book))
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _shown(book: LevelBook, units: UnitSystem) -> _Shown:
    unit = "m" if units.name == "metric" else "ft"
    steps = [reading.step_m for reading in book.readings if reading.step_m > 0]
    fine = min(steps, default=to_si(0.01, unit))
    decimals = math.ceil(-math.log10(from_si(fine, unit)) - 1e-6)
    return _Shown(unit=unit, decimals=min(max(decimals, 2), 4))


def _heading(book: LevelBook, shown: _Shown) -> str:
    parts = {2: "hundredths", 3: "thousandths", 4: "ten-thousandths"}[shown.decimals]
    unit = "feet" if shown.unit == "ft" else "metres"
    counts = [(len(book.setups), "set-up"), (len(book.readings), "reading")]
    if book.differences:
        counts.append((len(book.differences), "other difference"))
    counted = ", ".join(f"{count} {word}{'' if count == 1 else 's'}" for count, word in counts)
    own = "; readings as written" if book.unit == "ft-in" and shown.unit == "ft" else ""
    return _fill(f"{', '.join(book.files)}: {counted}, in {unit} and {parts}{own}")


def _first_sentences(elevations: Elevations, units: UnitSystem) -> list[str]:
    lines: list[str] = []
    for difference in differences(elevations):
        lines += _fill(say_difference(difference, units)).splitlines()
        if ram_above_spring(difference):
            lines += _fill(
                f"That is above, and water won't run there. Either the names {difference.start} "
                f"and {difference.end} are swapped, or your rod's numbers grow upward. If they "
                "do, add --rod direct."
            ).splitlines()
    more = len(named_points(elevations)) - 1 - len(differences(elevations))
    if more > 0:
        lines.append(f"... and {more} more: --json holds them all.")
    return lines


def _heights(elevations: Elevations, shown: _Shown) -> dict[str, tuple[str, str]]:
    """Return elevation and spread of each point as they are printed."""
    found = {}
    for name, height, std, known in zip(
        elevations.names,
        elevations.elevation_m.tolist(),
        elevations.std_m().tolist(),
        elevations.known.tolist(),
        strict=True,
    ):
        spread = (
            "given" if known and std == 0 else f"+- {shown.text(elevations.likely_factor * std)}"
        )
        found[name] = (shown.text(height), spread)
    return found


def _table(
    book: LevelBook,
    elevations: Elevations,
    file: int,
    *,
    shown: _Shown,
    heights: Mapping[str, tuple[str, str]],
) -> list[str]:
    rows = [
        row for row in elevations.sheet if row.row.file == file and (row.given or _is_read(row))
    ]
    if not rows:
        return []
    heads = ["line", "point", "back", "between", "ahead", "level at", "as read", "by hand",
             "shared out", ""]  # fmt: skip
    cells = [_cells(book, row, shown=shown, heights=heights) for row in rows]
    if all(row[7] in {row[8], ""} for row in cells):
        heads.pop(7)
        for row in cells:
            row.pop(7)
    sums = _sums(book, rows, shown)
    if sums is not None:
        cells.append(["", "sums", sums[0], "", sums[1], *[""] * (len(heads) - 5)])
    longest = max(len(row[1]) for row in cells)
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
    book: LevelBook, row: SheetRow, *, shown: _Shown, heights: Mapping[str, tuple[str, str]]
) -> list[str]:
    def reading(index: int | None) -> str:
        if index is None:
            return ""
        as_written = book.unit == "ft-in" and shown.unit == "ft"
        one = book.readings[index]
        return one.written if as_written else shown.text(one.reading_m)

    return [
        str(row.row.line),
        row.row.point,
        reading(row.row.back),
        reading(row.row.between),
        reading(row.row.ahead),
        shown.text(row.level_m),
        shown.text(row.as_read_m),
        "" if row.given else shown.text(row.by_setups_m),
        *heights.get(row.row.point, ("", "")),
    ]


def _sums(book: LevelBook, rows: Sequence[SheetRow], shown: _Shown) -> tuple[str, str] | None:
    back = [row.row.back for row in rows if row.row.back is not None]
    ahead = [row.row.ahead for row in rows if row.row.ahead is not None]
    if not back or not ahead:
        return None
    return (
        shown.text(sum(book.readings[index].reading_m for index in back)),
        shown.text(sum(book.readings[index].reading_m for index in ahead)),
    )


def _others(book: LevelBook, heights: Mapping[str, tuple[str, str]], shown: _Shown) -> list[str]:
    """Return the points that no row of a book reads: those of other height differences."""
    listed = {row.point for row in book.rows}
    lines = [
        f"      {name}  {height} {shown.unit}  {spread}"
        for name, (height, spread) in heights.items()
        if name not in listed
    ]
    return ["By other means", *lines] if lines else []


def _page(book: LevelBook, elevations: Elevations, shown: _Shown) -> list[str]:
    several = len(book.files) > 1
    lines = []
    for check in elevations.page_checks:
        where = f"{check.file}, " if several else ""
        span = f"{where}lines {check.first_line} to {check.last_line}: "
        text = (span if len(elevations.page_checks) > 1 else "") + _page_text(book, check, shown)
        lines += _labelled("Page check", text)
    return lines


def _page_text(book: LevelBook, check: PageCheck, shown: _Shown) -> str:
    first, second = check.sum_bs_m, check.sum_fs_m
    if book.rod == "direct":
        first, second = second, first
    sums = first - second
    text = (
        f"{shown.text(first)} - {shown.text(second)} = {shown.text(sums)}, and "
        f"{shown.text(check.last_m)} - {shown.text(check.first_m)} = "
        f"{shown.text(check.last_minus_first_m)}: "
    )
    if check.holds:
        return text + "adds up."
    if check.first_wrong_line is None:
        return text + "does not add up."
    wrong = (
        f"The hand's figures go wrong first in line {check.first_wrong_line}: "
        f"{shown.text(check.worked_m)} is worked there, the readings give "
        f"{shown.text(check.right_m)}."
    )
    adds = (
        "adds up all the same. "
        if _same(sums, check.last_minus_first_m, shown)
        else ("does not add up. ")
    )
    return text + adds + wrong


def _same(first_m: float, second_m: float, shown: _Shown) -> bool:
    return shown.text(first_m) == shown.text(second_m)


def _closing(elevations: Elevations, shown: _Shown) -> list[str]:
    return [
        line
        for run in elevations.misclosures
        for line in _labelled("Closing", _closing_text(elevations, run, shown))
    ]


def _closing_text(elevations: Elevations, run: Misclosure, shown: _Shown) -> str:
    out = run.computed_minus_known_m
    exact = shown.text(out).strip("-0.") == ""
    amount = f"{shown.with_unit(abs(out))} {'high' if out > 0 else 'low'}"
    if run.start == run.end:
        came = f"You came back to {run.end} {'exactly' if exact else amount}"
    elif exact:
        came = f"From {run.start}, {run.end} came out exactly at its elevation"
    else:
        came = f"From {run.start}, {run.end} came out {amount} against its elevation"
    setups = f"{run.setups} set-up{'' if run.setups == 1 else 's'}"
    whose = "as stated" if elevations.reading_stated else "taken for want of yours"
    sentences = [
        f"{came}; {shown.text(run.allowable_m)} is allowed (nine cases in ten for {setups}, the "
        f"reading error {whose})."
    ]
    if not run.holds and (elevations.suspects or abs(out) > _FAR_OUT * run.allowable_m):
        sentences.append(
            "That is more than the readings explain: look for a blunder before you build on it."
            + _misread(run, shown)
        )
    elif not run.holds:
        sentences.append("Chance alone does as much in one book of ten.")
    if not exact and run.setups > 1:
        sentences.append(f"It was shared over the {setups}.")
    if run.length_m:
        sentences += [
            f"{kind.name.capitalize()} allows {shown.text(kind.allowable_m(run.length_m))} "
            f"({kind.rule}; {kind.citation.source.obtained})."
            for kind in PUBLISHED_CLASSES
            if kind.name in _SHOWN_CLASSES
        ]
    return " ".join(sentences)


def _misread(run: Misclosure, shown: _Shown) -> str:
    """Return a hint where a run missed by about a whole unit of the rod."""
    whole = round(abs(from_si(run.computed_minus_known_m, shown.unit)))
    left = abs(run.computed_minus_known_m) - to_si(float(whole), shown.unit)
    if whole == 0 or abs(left) > run.allowable_m:
        return ""
    return f" It is close to {whole} {shown.unit}: perhaps a whole figure was misread."


def _trust(book: LevelBook, elevations: Elevations, shown: _Shown) -> list[str]:
    if elevations.degrees_of_freedom == 0:
        return _labelled(
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
        lines = _labelled(
            "Checked?",
            f"{many} on a single reading that nothing checks: {names}. Read it again from "
            "another set-up.",
        )
    lines += _labelled("Any one wrong?", say_suspects(book, elevations, shown.with_unit))
    return lines


def _legend(book: LevelBook) -> list[str]:
    if not book.readings:
        return []
    direct = " Rod: its figures are elevations." if book.rod == "direct" else ""
    return [
        "back: first reading after setting up (bs).   between: is.   ahead: fs.",
        _fill(
            "+- holds nine cases in ten. Heights are worked out in full and then rounded, so a "
            f"last figure may differ by one.{direct}"
        ),
    ]


def _labelled(label: str, text: str) -> list[str]:
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=f"{label:<{_LABEL}}",
        subsequent_indent=" " * _LABEL,
        break_on_hyphens=False,
    )


def _fill(text: str) -> str:
    return textwrap.fill(text, WIDTH, break_on_hyphens=False)
