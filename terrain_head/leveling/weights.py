"""How well each reading is known before the survey is seen: what was stated, and what is taken."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.leveling.allowable import READING_STD_M
from terrain_head.leveling.book import BookFact, HeightDifference, LevelBook
from terrain_head.leveling.sights import SightErrors, sight_errors

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weights:
    """Standard errors before the survey was seen.

    Parameters
    ----------
    stated
        Whether any error was stated; otherwise all observations count alike.
    reading_m, judging_m
        Standard error of each reading for the adjustment (1 where all count alike), and for
        judging a misclosure [m].
    difference_m
        Standard error of each height difference [m].
    base_m
        The error of reading the rod alone [m].
    sights
        What the instrument does to the sights beside.
    facts
        What was taken for want of the person's own figure.
    """

    stated: bool
    reading_m: FloatArray
    judging_m: FloatArray
    difference_m: FloatArray
    base_m: float
    sights: SightErrors
    facts: tuple[BookFact, ...]


def weights_of(book: LevelBook) -> Weights:
    """Return the standard errors of a book's observations, and what the person must know of them.

    A height difference had in no known way and without a standard error counts as two readings
    beside stated ones, else as one.
    """
    facts = []
    base = READING_STD_M if book.reading_std_m is None else book.reading_std_m
    sights = sight_errors(book, reading_std_m=base)
    judging = np.hypot(base, sights.alone_m)
    out = bool(sights.slope or sights.slope_std or sights.tilt_std)
    differences = [difference.std_m for difference in book.differences]
    stated = (
        book.reading_std_m is not None
        or out
        or any(std is not None for std in differences)
        or any(known.std_m is not None for known in book.known)
    )
    if book.readings and book.reading_std_m is None:
        facts.append(BookFact(kind="reading-error-taken", values={"reading_std_m": base}))
    blind = sum(reading.distance_m is None for reading in book.readings)
    if out and blind and not book.farthest_m:
        facts.append(BookFact(kind="sights-without-distance", values={"count": float(blind)}))
    facts += _told_of(sights)
    alone = math.sqrt(2.0) * base
    facts += _differences_taken(book, unknown_m=alone if stated else base)
    return Weights(
        stated=stated,
        reading_m=judging if stated else np.ones(len(judging)),
        judging_m=judging,
        difference_m=np.array(
            [1.0 if not stated else alone if std is None else std for std in differences]
        ),
        base_m=base,
        sights=sights,
        facts=tuple(facts),
    )


def _told_of(sights: SightErrors) -> list[BookFact]:
    """Return what was done with the instrument's errors that the person must know."""
    facts = []
    if sights.slope:
        values = {"slope": sights.slope, "slope_std": sights.slope_std}
        facts.append(BookFact(kind="collimation-taken-off", values=values))
    if sights.tilt_unplaced:
        values = {"count": float(sights.tilt_unplaced), "tilt_std": sights.tilt_std}
        facts.append(BookFact(kind="tilt-at-its-worst", values=values))
    return facts


def _differences_taken(book: LevelBook, *, unknown_m: float) -> list[BookFact]:
    """Return what was taken for heights had otherwise, once for each way."""
    by_way: dict[str, list[HeightDifference]] = {}
    for one in book.differences:
        if one.way or one.std_m is None:
            by_way.setdefault(one.way, []).append(one)
    return [
        BookFact(
            kind="height-error-taken",
            point=alike[0].end,
            file=book.files[alike[0].file] if alike[0].file < len(book.files) else None,
            line=alike[0].line or None,
            values={
                "height_std_m": max(one.std_m or unknown_m for one in alike),
                "count": float(len(alike)),
            },
            texts={"way": way},
        )
        for way, alike in by_way.items()
    ]
