"""What an instrument that is out does to its sights: shared, alone, or at its worst."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.formulas.sighting import curvature_and_refraction_m
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.instrument import Instrument

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SightErrors:
    """Errors of a book's sights beside those of reading the rod.

    Parameters
    ----------
    too_high_m
        By how much each reading is known to be too high, to be taken off, shape (m,) [m].
    shared_m
        What one standard error of each shared error adds to each reading, shape (m, shared) [m].
    alone_m
        What each sight is taken to be out by for itself, shape (m,) [m].
    worst_m
        What it may be out by, beyond `alone_m`, so that all sights together are never taken to be
        surer than they are, shape (m,) [m].
    uncorrected_m
        What the shared errors add to each reading as it was written, for judging a closing,
        shape (m, shared) [m].
    slope, slope_std
        Slope of the line of sight that was taken off, and the standard error of what is left [1].
    tilt_std
        Standard error of the tilt of a laser's plane along any line [1].
    tilt_unplaced
        How many sights lack a direction that the tilt needs.
    """

    too_high_m: FloatArray
    shared_m: FloatArray
    alone_m: FloatArray
    worst_m: FloatArray
    uncorrected_m: FloatArray
    slope: float
    slope_std: float
    tilt_std: float
    tilt_unplaced: int


def sight_errors(book: LevelBook, *, reading_std_m: float) -> SightErrors:
    """Return what the instrument, the earth's curve and refraction do to the sights of a book.

    Parameters
    ----------
    book
        The level book.
    reading_std_m
        Standard error of one reading, for a two-peg test [m].

    Notes
    -----
    The slope of the line of sight (collimation, or a laser's cone) is one unknown of all sights:
    in a set-up it leaves slope x (back - ahead). A laser's tilt is two more, towards the mark on
    its head and to the right of it, wherever a sight has a direction and its set-up the head's.

    What is not written is taken at its worst. A sight without a length may be anything from
    nothing to the farthest. A sight without direction may go up or down the plane, and so may
    every other. For readings that move a height by c1, c2 ... the worst that bounds e1, e2 ... do
    is the sum of c x e, and (sum of c x e) squared is never more than (sum of e) x (sum of c
    squared x e): a reading of variance e x (sum of e) for itself is at least as cautious as any
    way in which they may add up. Of points that were read once, only two can stand in one
    difference, so the two largest of their bounds count in that sum.

    Curvature less refraction is taken off where every sight of a set-up has a length.
    """
    written = np.array([one.distance_m for one in book.readings], dtype=np.float64)
    blind = np.isnan(written)
    farthest = book.farthest_m or 0.0
    length = np.where(blind, farthest / 2, written)
    tool = _instrument(book)
    sign = 1.0 if book.rod == "normal" else -1.0
    slope = 0.0 if tool is None else tool.slope
    slope_std = 0.0 if tool is None else tool.slope_std(reading_std_m)
    tilt_std = 0.0 if tool is None else tool.tilt_std
    left = float(np.hypot(slope, slope_std))
    turned, placed = _directions(book)
    once = _read_once(book)
    loose_slope = np.where(blind, left * farthest / 2, 0.0)
    loose_tilt = np.where(placed, 0.0, tilt_std * np.where(blind, farthest, written))
    # A length that is not written counts fully for the sight itself, by half for what adds up:
    # the half that every sight has falls out of a set-up.
    alone = np.hypot(2.0 * loose_slope, loose_tilt)
    bound = _adding_up(loose_slope, once) + _adding_up(loose_tilt, once)
    columns = [slope_std * length] if slope_std else []
    raw = [left * length] if slope_std else []
    if tilt_std and placed.any():
        columns += [tilt_std * length * np.where(placed, part, 0.0) for part in turned]
        raw += columns[-2:]
    earth = np.where(_all_measured(book, blind), curvature_and_refraction_m(length), 0.0)
    return SightErrors(
        too_high_m=sign * (slope * length + earth),
        shared_m=sign * _side_by_side(columns, len(length)),
        alone_m=alone,
        worst_m=np.sqrt(np.maximum(bound - np.square(alone), 0.0)),
        uncorrected_m=_side_by_side(raw, len(length)),
        slope=slope,
        slope_std=slope_std,
        tilt_std=tilt_std,
        tilt_unplaced=0 if not tilt_std else int((~placed).sum()),
    )


def _instrument(book: LevelBook) -> Instrument | None:
    """Return the book's instrument; a bare error of the line of sight is that of a level."""
    if book.instrument is not None:
        return book.instrument
    if book.angle_std_rad is None:
        return None
    return Instrument(kind="optical level", accuracy=book.angle_std_rad)


def _directions(book: LevelBook) -> tuple[tuple[FloatArray, FloatArray], BoolArray]:
    """Return how far a sight goes towards the head's mark and to its right, and if it is known."""
    heads = [setup.head_rad for setup in book.setups]
    angle = np.array(
        [
            np.nan if None in (way, head) else (way or 0.0) - (head or 0.0)
            for way, head in ((one.direction_rad, heads[one.setup]) for one in book.readings)
        ],
        dtype=np.float64,
    )
    measured = np.array([one.distance_m is not None for one in book.readings], dtype=bool)
    return (np.cos(angle), np.sin(angle)), ~np.isnan(angle) & measured


def _read_once(book: LevelBook) -> BoolArray:
    """Return which readings lead to a point that nothing else ties to the book, shape (m,)."""
    ties = Counter(one.point for one in book.readings)
    ties.update(end for one in book.differences for end in (one.start, one.end))
    ties.update(entry.point for entry in book.known)
    return np.array([ties[one.point] == 1 for one in book.readings], dtype=bool)


def _adding_up(bound_m: FloatArray, once: BoolArray) -> FloatArray:
    """Return the variance of each reading that covers all ways in which the bounds add up [m2]."""
    aside = np.sort(bound_m[once])[-2:]
    return np.asarray(bound_m * (bound_m[~once].sum() + aside.sum()))


def _all_measured(book: LevelBook, blind: BoolArray) -> BoolArray:
    """Return which readings belong to a set-up whose sights all have a length, shape (m,)."""
    setup = np.array([one.setup for one in book.readings], dtype=np.intp)
    spoiled = np.zeros(len(book.setups), dtype=bool)
    spoiled[setup[blind]] = True
    return np.asarray(~spoiled[setup])


def _side_by_side(columns: list[FloatArray], count: int) -> FloatArray:
    return np.column_stack(columns) if columns else np.zeros((count, 0))
