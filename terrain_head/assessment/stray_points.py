"""Points of the level book and of the sheet of heights that no place of the study takes up."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterator

from terrain_head.assessment.evidence import Evidence
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import PRACTICE
from terrain_head.leveling.book import LevelBook
from terrain_head.scheme.courses import places_of
from terrain_head.scheme.ends import node_of, place_of
from terrain_head.scheme.parts import Parts

_ALIKE = 0.8
"""Names of a likeness above this may be one place misspelled; our convention."""


def stray_findings(evidence: Evidence) -> Iterator[Finding]:
    """Tell the points that are read once, lead nowhere, and are named by nothing in the study.

    A row of the sheet of heights is told whatever its name; a point of the book only if its name
    is nearly that of a place of the study, for books hold humps and pegs that no study names.
    """
    book, elevations = evidence.book, evidence.elevations
    if book is None or elevations is None:
        return
    named = _named(evidence.layout.parts)
    on_routes = {point for route in book.routes for point in route.points}
    known = {known.point for known in book.known}
    taken_up = {name.casefold() for name in (*named, *on_routes, *known)}
    strays = []
    seen = _seen(book)
    for point, file, line, by_rod in _rows(book):
        if seen[point] > 1 or point.casefold() in taken_up:
            continue
        near = _nearest(point, named)
        if near or not by_rod:
            strays.append((point, near, file, line))
    if strays:
        point, near, file, line = strays[0]
        yield Finding(
            kind="point-of-no-place",
            severity="care",
            value=float(len(strays)),
            values={"line": float(line)},
            texts={"near": near, "file": book.files[file]},
            source=PRACTICE,
            where=Where(place=point),
        )


def _named(parts: Parts) -> tuple[str, ...]:
    """Return every place that a scheme names, each once."""
    ends = [end for pipe in parts.pipes for end in (pipe.start, pipe.end)]
    at = [place_of(node_of(end, parts=parts), parts=parts) for end in ends]
    return tuple(dict.fromkeys((*places_of(parts), *at)))


def _rows(book: LevelBook) -> Iterator[tuple[str, int, int, bool]]:
    """Give point, file, line, and whether a rod was read there: other means first."""
    for rise in book.differences:
        yield rise.start, rise.file, rise.line, False
        yield rise.end, rise.file, rise.line, False
    for reading in book.readings:
        yield reading.point, reading.file, reading.line, True


def _seen(book: LevelBook) -> Counter[str]:
    return Counter(point for point, _, _, _ in _rows(book))


def _nearest(point: str, named: tuple[str, ...]) -> str:
    """Return the place that a name nearly is, empty if none; ``leg 2`` is no ``leg 1``."""
    folded = {name.casefold(): name for name in named}
    near = difflib.get_close_matches(point.casefold(), folded, n=1, cutoff=_ALIKE)
    if not near or re.sub(r"\d", "", near[0]) == re.sub(r"\d", "", point.casefold()):
        return ""
    return folded[near[0]]
