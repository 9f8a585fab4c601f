"""The job of reducing level books: open, then solve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from terrain_head.files.level_book import read_level_books
from terrain_head.leveling.book import LevelBook, Rod
from terrain_head.leveling.elevations import Elevations
from terrain_head.leveling.instrument import Instrument
from terrain_head.leveling.reduce import reduce_book


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReducedBook:
    """A level book and the elevations it comes to."""

    book: LevelBook
    elevations: Elevations


def reduce_level_books(
    paths: Sequence[Path],
    *,
    unit: str | None = None,
    rod: Rod = "normal",
    reading_std_m: float | None = None,
    angle_std_rad: float | None = None,
    farthest_m: float | None = None,
    instrument: Instrument | None = None,
    heights: Path | None = None,
) -> ReducedBook:
    """Open level books and reduce them as one network.

    Parameters
    ----------
    paths
        The books, in the order observed.
    unit
        Unit of the columns whose heading names none.
    rod
        ``direct`` for rods whose figures are elevations.
    reading_std_m
        Standard error of one rod reading, None where it is not stated [m].
    angle_std_rad
        Standard error of the line of sight, None where it is not stated [rad].
    farthest_m
        Longest that a sight without a distance may be, None where none is known [m].
    instrument
        What was read with, None where nothing is said of it.
    heights
        A sheet of height differences by other means.

    Returns
    -------
    ReducedBook
        The books as read and their elevations.

    Raises
    ------
    InputError
        If a file is wrong.
    ReductionError
        If a part of the survey is tied to nothing known.
    """
    book = read_level_books(
        paths,
        unit=unit,
        rod=rod,
        reading_std_m=reading_std_m,
        angle_std_rad=angle_std_rad,
        farthest_m=farthest_m,
        instrument=instrument,
        heights=heights,
    )
    return ReducedBook(book=book, elevations=reduce_book(book))
