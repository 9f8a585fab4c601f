"""The cells of a field book as lengths: which unit each column carries, and what is wrong."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from terrain_head.base.units import from_si, to_si
from terrain_head.errors import Trouble
from terrain_head.files.level_book_table import Table, TableRow
from terrain_head.files.readings import (
    FeetInchesError,
    Figure,
    FigureError,
    SlipToDateError,
    read_figure,
)
from terrain_head.files.station_marks import read_station

COMPASS = {
    "N": 0.0,
    "NE": 45.0,
    "E": 90.0,
    "SE": 135.0,
    "S": 180.0,
    "SW": 225.0,
    "W": 270.0,
    "NW": 315.0,
}
"""Degrees from north of the eight directions that may stand for them [deg]."""
READING_COLUMNS = ("bs", "is", "fs", "rod")
_SMALL = {"mm", "cm", "in"}
_PLAIN_FEET = {"elevation": "whole", "worked": "whole"}


class Cells:
    """Reads the cells of one table and collects what is wrong with them.

    Parameters
    ----------
    table
        The sheet.
    unit
        Unit of the columns whose heading names none, None where none was given.
    lengths
        Names of the columns that hold lengths.
    followers
        For a column that takes the unit of another one where it has none: that other one.
    """

    def __init__(
        self,
        table: Table,
        unit: str | None,
        *,
        lengths: Sequence[str],
        followers: Mapping[str, str],
    ) -> None:
        self.table = table
        self.troubles: list[Trouble] = list(table.troubles)
        self._lengths = lengths
        self._followers = followers
        self._stated = unit is not None
        self._told_feet_inches = False
        self._unitless: set[str] = set()
        self.base = unit or next(
            (
                column.unit
                for name, column in table.columns.items()
                if name in READING_COLUMNS and column.unit is not None
            ),
            None,
        )
        self.units = self._units()

    def _used(self, name: str) -> TableRow | None:
        return next((row for row in self.table.rows if name in row), None)

    def _own(self, name: str) -> str | None:
        column = self.table.columns.get(name)
        if column is not None and column.unit is not None:
            return column.unit
        return self._own(self._followers[name]) if name in self._followers else None

    def _units(self) -> dict[str, str]:
        units: dict[str, str] = {}
        nothing_said = False
        for name in self._lengths:
            row = self._used(name)
            own = self._own(name)
            if own is None and row is not None:
                if self.base is None:
                    self._unitless.add(name)
                    if not nothing_said:
                        self.troubles.append(self._no_unit(name, row))
                        nothing_said = True
                elif self.base in _SMALL and name not in READING_COLUMNS:
                    self.troubles.append(
                        Trouble(
                            what=f"The readings are in {self.base}, but {name} carries no unit. "
                            f"Write {name} [m] or {name} [ft] in the heading.",
                            line=self.table.heading_line,
                        )
                    )
            units[name] = own or self.base or "m"
        return units

    def _no_unit(self, name: str, row: TableRow) -> Trouble:
        what = "readings carry" if name in READING_COLUMNS else f'column "{name}" carries'
        if name not in READING_COLUMNS:
            what = f"column {name} carries"
        cell = row.get(name)
        meanings = ""
        example = "ft"
        try:
            as_feet = read_figure(cell, "ft", comma=self.table.comma).value_m
        except FeetInchesError:
            meanings, example = f" {cell} in line {row.line} looks like feet and inches.", "ft-in"
        except FigureError:
            pass
        else:
            metres = from_si(as_feet, "ft")
            meanings = (
                f" {cell} in line {row.line} could be {metres:g} m, "
                f"or {metres:g} ft which is {to_si(metres, 'ft'):.3f} m."
            )
        return Trouble(
            what=f"The {what} no unit.{meanings} Write {name} [{example}] in the heading, or say "
            f'it once: --unit {example} with the command, book_unit = "{example}" in a study '
            "(ft, ft-in, in, m, cm, mm).",
            line=self.table.heading_line,
        )

    def trouble(self, row: TableRow, what: str) -> None:
        """Note what is wrong with a row."""
        self.troubles.append(Trouble(what=what, line=row.line))

    def length(self, row: TableRow, name: str) -> Figure | None:
        """Return the length a cell holds, None where it is blank or wrong."""
        if name not in row:
            return None
        plain = "" if name in READING_COLUMNS else _PLAIN_FEET.get(name, "decimal")
        try:
            return read_figure(
                row.get(name), self.units[name], comma=self.table.comma, plain_feet=plain
            )
        except FeetInchesError as error:
            self._feet_inches(row, name, error.what)
        except FigureError as error:
            # Which figures a cell may hold is told by its unit, and that want is told already.
            if name not in self._unitless or isinstance(error, SlipToDateError):
                self.trouble(row, f"{name} {error.what}")
        return None

    def _feet_inches(self, row: TableRow, name: str, what: str) -> None:
        """Tell once that a book's readings are in feet and inches."""
        if self._told_feet_inches or name in self._unitless:
            return
        self._told_feet_inches = True
        column = self.table.columns.get(name)
        if column is not None and column.unit is not None:
            cure = f"Write {name} [ft-in] in the heading."
        elif self._stated:
            cure = 'Say so: --unit ft-in with the command, book_unit = "ft-in" in a study.'
        else:
            cure = f"Write {name} [ft-in] in the heading of its column too."
        self.trouble(row, f"{name} {what} {cure}")

    def positive(self, row: TableRow, name: str) -> float | None:
        """Return a length that must be more than nothing, None where it is blank or wrong [m]."""
        figure = self.length(row, name)
        if figure is not None and figure.value_m <= 0:
            self.trouble(row, f'{name} is "{row.get(name)}"; it must be more than 0.')
            return None
        return None if figure is None else figure.value_m

    def direction(self, row: TableRow, name: str) -> float | None:
        """Return a direction, clockwise from north, None where it is blank or wrong [rad]."""
        if name not in row:
            return None
        written = row.get(name).strip()
        point = COMPASS.get(written.upper())
        try:
            degrees = float(written.replace(",", ".")) if point is None else point
        except ValueError:
            degrees = math.nan
        if not -360.0 <= degrees <= 360.0:
            self.trouble(
                row,
                f'{name} is "{written}". Write the degrees from north, 0 to 360 by way of east, '
                f"or one of {', '.join(COMPASS)}.",
            )
            return None
        return to_si(degrees, "deg")

    def station(self, row: TableRow, name: str) -> float | None:
        """Return the distance a station mark states, None where it is blank or wrong [m]."""
        if name not in row:
            return None
        try:
            return read_station(row.get(name), self.units[name], comma=self.table.comma)
        except FigureError as error:
            self.trouble(row, f"{name} {error.what}")
            return None
