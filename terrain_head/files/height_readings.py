"""A height difference worked out of what was read: levels from both banks, or stadia."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from terrain_head.base.units import to_si
from terrain_head.files.level_book_cells import Cells
from terrain_head.files.level_book_table import TableRow
from terrain_head.formulas.reciprocal import reciprocal_rise_m
from terrain_head.formulas.tacheometry import MULTIPLIER, stadia_rise_m

BOTH_BANKS = ("from_near", "to_far", "from_far", "to_near")
"""Readings on the two points: with the instrument near `from`, then with it near `to`."""
STADIA = ("top", "bottom", "angle", "axis")
"""Outer hairs, angle of the middle hair over the level, height of the axis over `from`."""
STADIA_BESIDE = ("middle", "multiplier", "additive")
"""What a stadia row may leave out."""
LENGTHS = (*BOTH_BANKS, "top", "bottom", "axis", "middle", "additive")
FOLLOWERS = {
    "from_near": "rise",
    "to_far": "from_near",
    "from_far": "from_near",
    "to_near": "from_near",
    "top": "rise",
    "bottom": "top",
    "axis": "top",
    "middle": "top",
    "additive": "top",
}
"""Which column gives a column its unit where its own heading has none."""
_ANGLE = re.compile(
    r"""^\s*(?P<sign>[+-]?)\s*(?P<degrees>\d+(?:[.,]\d+)?)\s*(?:deg|°|d)?
    (?:[\s-]+|(?<=[°dg]))?(?P<minutes>\d+(?:[.,]\d+)?)?\s*(?:'|min|m)?\s*$""",
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadHeight:
    """A height difference that was worked out.

    Parameters
    ----------
    rise_m
        How much higher the end is than the start [m].
    how
        The way it was had, where the person names none.
    """

    rise_m: float
    how: str


def read_height(cells: Cells, row: TableRow) -> ReadHeight | None:
    """Return the height difference that the readings of a row come to.

    Parameters
    ----------
    cells
        The cells of the sheet, where troubles go.
    row
        One row.

    Returns
    -------
    ReadHeight or None
        None where the row has no such readings, or something is wrong with them.
    """
    banks = [name for name in BOTH_BANKS if name in row]
    hairs = [name for name in (*STADIA, *STADIA_BESIDE) if name in row]
    if not banks and not hairs:
        return None
    ways = [name for name, held in (("rise", ["rise"]), ("banks", banks), ("hairs", hairs))
            if any(one in row for one in held)]  # fmt: skip
    if len(ways) > 1:
        both = ", ".join((["rise"] if "rise" in row else []) + banks + hairs)
        cells.trouble(row, f"{both} say the height twice. Keep one way of saying it.")
        return None
    wanted = BOTH_BANKS if banks else STADIA
    missing = [name for name in wanted if name not in row]
    if missing:
        cells.trouble(row, f"{' and '.join(missing)} missing. {_NEEDS[wanted]}")
        return None
    return _both_banks(cells, row) if banks else _stadia(cells, row)


_NEEDS = {
    BOTH_BANKS: "Levels from both banks need all four readings: from_near and to_far with the "
    "instrument near the first point, from_far and to_near with it near the second.",
    STADIA: "Stadia needs top and bottom, the angle over the level in degrees, and the axis: its "
    "height over the first point.",
}


def _both_banks(cells: Cells, row: TableRow) -> ReadHeight | None:
    read = [cells.length(row, name) for name in BOTH_BANKS]
    values = [figure.value_m for figure in read if figure is not None]
    if len(values) < len(BOTH_BANKS):
        return None
    rise = reciprocal_rise_m(from_start_m=(values[0], values[1]), from_end_m=(values[2], values[3]))
    return ReadHeight(rise_m=float(rise), how="levels from both banks")


def _stadia(cells: Cells, row: TableRow) -> ReadHeight | None:
    top, bottom, axis = (cells.length(row, name) for name in ("top", "bottom", "axis"))
    angle = _angle(cells, row)
    multiplier = _number(cells, row, "multiplier")
    middle, additive = cells.length(row, "middle"), cells.length(row, "additive")
    if top is None or bottom is None or axis is None or angle is None or multiplier is None:
        return None
    intercept = top.value_m - bottom.value_m
    if intercept <= 0:
        cells.trouble(row, "top is not more than bottom. Were the two exchanged?")
        return None
    over = stadia_rise_m(
        intercept,
        elevation_rad=angle,
        multiplier=multiplier,
        additive_m=0.0 if additive is None else additive.value_m,
    )
    on_rod = (top.value_m + bottom.value_m) / 2 if middle is None else middle.value_m
    return ReadHeight(rise_m=float(over) + axis.value_m - on_rod, how="stadia")


def _angle(cells: Cells, row: TableRow) -> float | None:
    """Return degrees, or degrees and minutes, as an angle over the level [rad]."""
    written = row.get("angle")
    match = _ANGLE.match(written)
    degrees = math.inf
    if match is not None:
        parts = [float((match[name] or "0").replace(",", ".")) for name in ("degrees", "minutes")]
        degrees = parts[0] + parts[1] / 60 if parts[1] < 60 else math.inf
    if match is None or degrees >= 90:
        cells.trouble(
            row, f'angle is "{written}". Write degrees (-8.7), or degrees and minutes (-8 42).'
        )
        return None
    return to_si(-degrees if match["sign"] == "-" else degrees, "deg")


def _number(cells: Cells, row: TableRow, name: str) -> float | None:
    """Return the multiplier of a stadia instrument, the usual one where none is written."""
    if name not in row:
        return MULTIPLIER
    written = row.get(name)
    try:
        number = float(written.replace(",", "."))
    except ValueError:
        number = math.nan
    if not 0 < number < math.inf:
        cells.trouble(row, f'{name} is "{written}". Write the plain number, such as 100.')
        return None
    return number
