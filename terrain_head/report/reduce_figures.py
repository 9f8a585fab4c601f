"""How the figures of a reduced level book are printed: unit and decimals of the readings."""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass

from terrain_head.base.display import feet_and_inches
from terrain_head.base.units import UnitSystem, from_si, to_si
from terrain_head.errors import WIDTH
from terrain_head.leveling.book import LevelBook

_LABEL = 16
_ROUNDING = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """How heights are printed in the table: unit and decimals, and whether inches stand beside."""

    unit: str
    decimals: int
    inches: bool = False

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

    def amount(self, metres: float) -> str:
        """Return a length in words: in feet and inches too where the book is kept so."""
        said = self.with_unit(metres)
        if not self.inches:
            return said
        return f"{feet_and_inches(metres).removeprefix('0 ft ')} ({said})"


def figures_of(book: LevelBook, units: UnitSystem) -> Figures:
    """Return how a book's figures are printed: as finely as it was read.

    Parameters
    ----------
    book
        The level book.
    units
        The units asked for.
    """
    unit = "m" if units.name == "metric" else "ft"
    steps = [reading.step_m for reading in book.readings if reading.step_m > 0]
    fine = min(steps, default=to_si(0.01, unit))
    decimals = math.ceil(-math.log10(from_si(fine, unit)) - 1e-6)
    return Figures(
        unit=unit,
        decimals=min(max(decimals, 2), 4),
        inches=units.name == "us" and units.feet == "inches",
    )


def labelled(label: str, text: str) -> list[str]:
    """Return text beside its label, wrapped to the screen."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=f"{label:<{_LABEL}}",
        subsequent_indent=" " * _LABEL,
        break_on_hyphens=False,
    )


def filled(text: str) -> str:
    """Return text wrapped to the screen."""
    return textwrap.fill(text, WIDTH, break_on_hyphens=False)
