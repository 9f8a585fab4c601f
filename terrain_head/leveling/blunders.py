"""Finding a blunder honestly: the reading where it can be told, else what ties, and what to do."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import numpy as np
from scipy.special import chdtri

from terrain_head.leveling.allowable import READING_STD_M
from terrain_head.leveling.amended import exchanged, left_out
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.doubt import rounding_m
from terrain_head.leveling.misreadings import Error, misreadings, swapped_between
from terrain_head.leveling.network import Network, Solved
from terrain_head.leveling.outliers import Claim, Outlier, outliers
from terrain_head.leveling.suspect import Certainty, NextSight, Suspect
from terrain_head.leveling.weights import Weights

TAKEN_IS_WORTH = 4.0
"""How many closings the reading error taken for want of a stated one counts for; ours."""
BEYOND = 1e-4
"""Chance that a book read as well as is taken misses by so much that the taken error is held to,
whatever the residuals say; ours."""
_STRETCH_SETUPS = 2


def blunders_of(
    book: LevelBook, network: Network, *, solved: Solved, weights: Weights
) -> tuple[Suspect, ...]:
    """Return the blunders that the readings betray, the largest in standard errors first.

    Parameters
    ----------
    book
        The level book.
    network, solved
        Its observations (readings, height differences, uncertain known points) and their
        adjustment.
    weights
        What was stated of their errors.

    Returns
    -------
    tuple of Suspect
        Empty where chance explains what is left, or nothing is checked.

    Notes
    -----
    The readings of a stretch that was run out and back on the same turning points tie: a wrong
    one leaves the same residuals whichever it is. In a plain loop all tie. A third run over the
    stretch parts the set-ups; the two sights of one set-up are only told apart by a third point
    that was read from it, or by a second reading of the same point from it.

    Where no reading error was stated the one taken for judging the closing is believed a little.
    Two blunders among few readings then hide in each other's residuals: a book that misses by far
    more than the taken error explains is searched once more as if that had been stated.
    """
    claim = _claim(book, weights)
    found = outliers(solved, network.std_m, claim=claim)
    if not found and _misses_by_far(solved, claim):
        found = outliers(solved, network.std_m, claim=replace(claim, worth=math.inf))
    errors = [_errors(book, outlier) for outlier in found]
    suspects = [
        replace(
            _suspect(book, outlier),
            misreadings=misreadings(book, ties),
            amended=()
            if len(ties) < len(outlier.tied)
            else left_out(book, ties, network=network, solved=solved),
        )
        for outlier, ties in zip(found, errors, strict=True)
    ]
    for one, ahead in enumerate(errors):
        for two, back in enumerate(errors):
            swapped = None if one == two else swapped_between(book, ahead, back=back)
            if swapped is not None:
                for place in (one, two):
                    suspects[place] = replace(
                        suspects[place], misreadings=(swapped, *suspects[place].misreadings)
                    )
    for place, suspect in enumerate(suspects):
        if suspect.known:
            suspects[place] = replace(suspect, amended=())
        rows = [slip for slip in suspect.misreadings if slip.kind == "row-swapped"]
        if len(rows) == 1 and (len(found) == 1 or suspect.misreadings[0] is rows[0]):
            turned = exchanged(book, rows[0], network=network, solved=solved)
            suspects[place] = replace(suspect, amended=(turned,))
    return tuple(sorted(suspects, key=lambda suspect: -suspect.strength))


def first_check_of(book: LevelBook, *, degrees_of_freedom: int) -> NextSight | None:
    """Return the one sight that would check most of a book that nothing checks.

    Parameters
    ----------
    book
        The level book.
    degrees_of_freedom
        Its redundant observations.

    Returns
    -------
    NextSight or None
        None where something is checked, or nothing was read.

    Notes
    -----
    A sight closes a way through the readings: those on it are checked, side shots are not. The
    way sought is the longest from a known point (else the first) to a set-up.
    """
    if degrees_of_freedom > 0 or not book.readings:
        return None
    known = [entry.point for entry in book.known] or [book.readings[0].point]
    seen = [reading.point for reading in book.readings]
    by_point: dict[str, list[int]] = {}
    for index, point in enumerate(seen):
        by_point.setdefault(point, []).append(index)
    other = {difference.end: difference.start for difference in book.differences}
    other |= {difference.start: difference.end for difference in book.differences}
    best = NextSight(point=known[0])
    reached: set[int] = set()
    for root in dict.fromkeys(known):
        front = [(root, 0)]
        passed = {root}
        while front:
            point, steps = front.pop()
            onward = [(other[point], steps)] if point in other else []
            for index in by_point.get(point, []):
                setup = book.readings[index].setup
                if setup in reached:
                    continue
                reached.add(setup)
                if steps + 1 >= best.checks and steps > 0:
                    best = NextSight(point=root, setup=book.setups[setup].label, checks=steps + 1)
                onward += [(seen[at], steps + 2) for at in book.setups[setup].readings]
            front += [(name, count) for name, count in onward if name not in passed]
            passed.update(name for name, _ in onward)
    if best.setup:
        return best
    there = next((point for point in seen if point not in known), None)
    return None if there is None else NextSight(point=there, start=known[0], checks=2)


def _claim(book: LevelBook, weights: Weights) -> Claim:
    rounding = rounding_m(book)
    if weights.stated:
        return Claim(std=max(1.0, rounding / weights.base_m if weights.base_m else 1.0))
    # What other means are worth is unknown where nobody says it: the residuals alone must tell.
    worth = 0.0 if book.differences else TAKEN_IS_WORTH
    return Claim(std=max(READING_STD_M, rounding), worth=worth)


def _misses_by_far(solved: Solved, claim: Claim) -> bool:
    """Tell whether the residuals are out of all proportion to an error that was only taken."""
    freedom = solved.degrees_of_freedom
    if freedom < 1 or claim.worth == 0.0 or math.isinf(claim.worth):
        return False
    return solved.chi_square > claim.std**2 * float(chdtri(freedom, BEYOND))


def _errors(book: LevelBook, outlier: Outlier) -> list[Error]:
    return [
        Error(reading=int(index), size_m=float(size), std_m=outlier.size_std_m)
        for index, size in zip(outlier.tied, outlier.size_m, strict=True)
        if index < len(book.readings)
    ]


def _suspect(book: LevelBook, outlier: Outlier) -> Suspect:
    count = len(book.readings)
    tied = outlier.tied.tolist()
    readings = tuple(index for index in tied if index < count)
    differences = tuple(
        index - count for index in tied if count <= index < count + len(book.differences)
    )
    setups = {book.readings[index].setup for index in readings}
    narrow = not differences and len(setups) <= _STRETCH_SETUPS
    certainty: Certainty
    if len(tied) == 1:
        certainty = "located"
    elif narrow or not outlier.everything:
        certainty = "tied"
    else:
        certainty = "detected only"
    points = list(dict.fromkeys(book.readings[index].point for index in readings))
    return Suspect(
        certainty=certainty,
        readings=readings,
        differences=differences,
        known=_known_tied(book, outlier),
        stretch=(points[0], points[-1]) if points and len(tied) > 1 else None,
        size_m=float(np.abs(outlier.size_m).max()),
        size_std_m=outlier.size_std_m,
        strength=outlier.strength,
        next_sight=_next_sight(book, readings),
    )


def _known_tied(book: LevelBook, outlier: Outlier) -> tuple[str, ...]:
    """Return known points whose elevation would leave the same residuals if it were wrong."""
    at = len(book.readings) + len(book.differences)
    uncertain = [entry.point for entry in book.known if entry.std_m is not None]
    names = [uncertain[index - at] for index in outlier.tied.tolist() if index >= at]
    if len(book.known) > 1:
        sights = Counter(reading.point for reading in book.readings)
        sights.update(end for d in book.differences for end in (d.start, d.end))
        tied = {book.readings[i].point for i in outlier.tied.tolist() if i < len(book.readings)}
        names += [
            entry.point
            for entry in book.known
            if entry.std_m is None and entry.point in tied and sights[entry.point] == 1
        ]
    return tuple(dict.fromkeys(names))


def _next_sight(book: LevelBook, readings: tuple[int, ...]) -> NextSight | None:
    """Return what parts the tied readings best: a new set-up over half of them.

    Notes
    -----
    Over one stretch a new set-up tells which of two it was. Points that were read from those
    beside the two ends are read again with them: their rise tells which sight of it was misread.
    """
    setups = list(dict.fromkeys(book.readings[index].setup for index in readings))
    points = list(dict.fromkeys(book.readings[index].point for index in readings))
    if len(readings) < _STRETCH_SETUPS:
        return None
    if len(setups) > _STRETCH_SETUPS:
        return _halfway(book, readings)
    thirds = [_third_point(book, setup, set(points)) for setup in setups]
    others = tuple(dict.fromkeys(point for point in thirds if point is not None))
    if len(points) == 1 or len(setups) == 1:
        # What tells is the rise between a point of theirs and another of the same set-up.
        if not others:
            return None
        return NextSight(point=others[0], start=points[0], checks=1, settles="reading")
    if len(points) > _STRETCH_SETUPS:
        return NextSight(
            point=points[1],
            start=points[0],
            checks=math.ceil(len(readings) / 2),
            settles="set-up",
        )
    return NextSight(
        point=points[1],
        start=points[0],
        checks=math.ceil(len(readings) / 2),
        also=others,
        settles="set-up" if None in thirds else "reading",
    )


def _third_point(book: LevelBook, setup: int, ends: set[str]) -> str | None:
    """Return the first point that was read from a set-up beside the two ends, None without."""
    seen = (book.readings[index].point for index in book.setups[setup].readings)
    return next((name for name in seen if name not in ends), None)


def _halfway(book: LevelBook, readings: tuple[int, ...]) -> NextSight | None:
    start = book.readings[readings[0]].point
    middle = math.ceil(len(readings) / 2)
    halfway = sorted(range(1, len(readings)), key=lambda place: abs(place - middle + 0.5))
    for place in halfway:
        point = book.readings[readings[place]].point
        if point != start:
            return NextSight(point=point, start=start, checks=place + 1, settles="half")
    return None
