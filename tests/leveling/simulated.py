"""Level books with known truth: runs over turning points, reading errors, planted blunders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from terrain_head.leveling.book import BookRow, KnownElevation, LevelBook, Reading, SetUp, SightKind

READING_STD_M = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """What was read, before any error: for each set-up the points in order."""

    setups: tuple[tuple[str, ...], ...]


def out_and_back(setups: int) -> Way:
    """Return a run of as many set-ups out, and back over the same turning points."""
    names = ["BM", *(f"T{number}" for number in range(1, setups + 1))]
    ahead = list(pairwise(names))
    return Way(setups=(*ahead, *((end, start) for start, end in reversed(ahead))))


def with_stakes(way: Way) -> Way:
    """Return a way with one more point of its own read from each set-up, as a profile is kept."""
    return Way(
        setups=tuple(
            (points[0], f"stake {number}", *points[1:])
            for number, points in enumerate(way.setups, start=1)
        )
    )


def plain_loop(setups: int) -> Way:
    """Return a loop of as many set-ups that comes back to where it began."""
    names = ["BM", *(f"T{number}" for number in range(1, setups)), "BM"]
    return Way(setups=tuple(pairwise(names)))


def open_run(setups: int) -> Way:
    """Return a run that comes back to nothing."""
    return Way(setups=plain_loop(setups).setups[:-1])


def with_sight(way: Way, setup: int, point: str) -> Way:
    """Return a way with one more point read from a set-up, between back and ahead."""
    sights = way.setups[setup]
    more = (sights[0], point, *sights[1:])
    return Way(setups=(*way.setups[:setup], more, *way.setups[setup + 1 :]))


def with_setup(way: Way, *points: str) -> Way:
    """Return a way with one more set-up at its end."""
    return Way(setups=(*way.setups, points))


def simulated(way: Way, rng: np.random.Generator, *, stated: bool = True) -> LevelBook:
    """Return a book of a way over random ground, read to the millimetre with 2 mm of error."""
    heights: dict[str, float] = {}
    for setup in way.setups:
        for point in setup:
            near = heights.get(setup[0], 100.0)
            heights.setdefault(point, near + float(rng.uniform(-1.0, 1.0)))
    readings: list[Reading] = []
    setups: list[SetUp] = []
    rows: list[BookRow] = []
    for number, points in enumerate(way.setups):
        level = max(heights[point] for point in points) + float(rng.uniform(0.5, 1.5))
        first = len(readings)
        for place, point in enumerate(points):
            kind: SightKind = "bs" if place == 0 else "fs" if place == len(points) - 1 else "is"
            exact = level - heights[point] + float(rng.normal(0.0, READING_STD_M))
            index = len(readings)
            readings.append(_reading(number, point, kind, exact, line=len(rows) + 2))
            # The foresight before stands in the row of the backsight on the same point.
            if kind == "bs" and rows and rows[-1].point == point and rows[-1].back is None:
                readings[index] = replace(readings[index], line=rows[-1].line)
                rows[-1] = replace(rows[-1], back=index)
            else:
                rows.append(
                    BookRow(
                        file=0,
                        line=len(rows) + 2,
                        point=point,
                        back=index if kind == "bs" else None,
                        between=index if kind == "is" else None,
                        ahead=index if kind == "fs" else None,
                    )
                )
        setups.append(
            SetUp(
                label=str(number + 1),
                readings=tuple(range(first, len(readings))),
                back=first,
                ahead=len(readings) - 1,
            )
        )
    return LevelBook(
        files=("simulated.csv",),
        readings=tuple(readings),
        setups=tuple(setups),
        rows=tuple(rows),
        known=(KnownElevation(point="BM", elevation_m=heights["BM"]),),
        reading_std_m=READING_STD_M if stated else None,
    )


def planted(book: LevelBook, index: int, size_m: float) -> LevelBook:
    """Return the book with one reading wrong by so much."""
    wrong = book.readings[index]
    return rewritten(book, {index: f"{wrong.reading_m + size_m:.3f}"})


def rewritten(book: LevelBook, texts: dict[int, str]) -> LevelBook:
    """Return the book with other figures in some places [m]."""
    readings = [
        replace(reading, written=texts[index], reading_m=float(texts[index]))
        if index in texts
        else reading
        for index, reading in enumerate(book.readings)
    ]
    return replace(book, readings=tuple(readings))


def tying(book: LevelBook, points: Sequence[str]) -> tuple[int, ...]:
    """Return the readings of all set-ups that read just these points."""
    return tuple(
        index
        for setup in book.setups
        if {book.readings[at].point for at in setup.readings} == set(points)
        for index in setup.readings
    )


def _reading(setup: int, point: str, kind: SightKind, exact_m: float, *, line: int) -> Reading:
    written = f"{exact_m:.3f}"
    return Reading(
        setup=setup,
        point=point,
        kind=kind,
        written=written,
        reading_m=float(written),
        step_m=0.001,
        line=line,
    )
