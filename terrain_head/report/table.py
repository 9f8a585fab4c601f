"""A table in words."""

from __future__ import annotations

from dataclasses import dataclass

UNKNOWN = "-"
"""What stands in a cell whose figure is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table in words; every row is as long as the heads.

    Parameters
    ----------
    title, note
        Over it and under it.
    heads
        Heads of the columns; the first column is the name of the row.
    rows
        Cells as text.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
