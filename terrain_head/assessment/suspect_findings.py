"""A slip in the level book as a finding: which readings, what kind, what would settle it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.base.citation import OURS
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.elevations import Elevations
from terrain_head.leveling.suspect import Amended, NextSight, Suspect, apart

MOST_READINGS = 6
"""The most readings that tie of which each is told; of more the first and the last are."""
_MOST_SLIPS = 3


def suspect_findings(evidence: Evidence) -> Iterator[Finding]:
    """Tell of the worst slip that the level book betrays, and how many more there are.

    Notes
    -----
    Readings are numbered from 1 in the order of the book: ``written_1``, ``point_1``, ``file_1``
    and ``side_1`` (where its row holds another reading) among the words, ``line_1`` among the
    numbers. Slips that would explain the size are ``slip_1`` and so on, ``slip_1_first`` and
    ``slip_1_last`` the numbers of their readings. ``fall_then_m`` is the fall without the set-up
    at fault (or with a row turned about), ``fall_else_m`` the same for the second of two set-ups
    that tie.
    """
    elevations, book = evidence.elevations, evidence.book
    if elevations is None or book is None or not elevations.suspects:
        return
    slips = apart(elevations.suspects)
    worst = slips[0]
    numbers, words = _told_readings(worst, book)
    slip_numbers, slip_words = _told_slips(worst, numbers=_numbers_of(worst))
    texts = {
        "certainty": worst.certainty,
        "known": " or ".join(worst.known),
        "start": worst.stretch[0] if worst.stretch else "",
        "end": worst.stretch[1] if worst.stretch else "",
    }
    yield Finding(
        kind="reading-stands-out",
        severity="care",
        value=float(len(slips)),
        values={
            "size_m": worst.size_m,
            "ties": float(len(worst.readings)),
            "other_means": float(len(worst.differences)),
            **numbers,
            **slip_numbers,
            **(_heights_then(worst.amended, evidence) if len(slips) == 1 else {}),
        },
        texts={**texts, **words, **slip_words, **_told_sight(worst.next_sight, "next")},
        source=OURS.at("one book without a blunder in a hundred is said to have one"),
        where=Where(place=book.readings[worst.readings[0]].point if worst.readings else None),
    )


def first_check_texts(elevations: Elevations, book: LevelBook | None) -> Mapping[str, str]:
    """Return the one sight that would check a book in which nothing is checked, as words.

    Parameters
    ----------
    elevations, book
        What the book comes to, and the book; None where it is not at hand.
    """
    sight = elevations.first_check
    if sight is None:
        return {}
    texts = _told_sight(sight, "check")
    setups = () if book is None else book.setups
    standing = next((one for one in setups if one.label == sight.setup), None)
    if book is None or standing is None or not sight.setup:
        return texts
    last = standing is setups[-1]
    return {
        **texts,
        "check_beside": book.readings[standing.readings[-1]].point,
        "check_last": "yes" if last else "no",
    }


def _numbers_of(suspect: Suspect) -> dict[int, int]:
    """Return under which number each reading is told: those that tie, then those of its slips."""
    read = suspect.readings
    told = read if len(read) <= MOST_READINGS else (read[0], read[-1])
    extra = [index for slip in suspect.misreadings[:_MOST_SLIPS] for index in slip.readings]
    return {index: number for number, index in enumerate(dict.fromkeys([*told, *extra]), 1)}


def _told_readings(suspect: Suspect, book: LevelBook) -> tuple[dict[str, float], dict[str, str]]:
    numbers: dict[str, float] = {}
    words: dict[str, str] = {}
    rows = Counter((one.file, one.line) for one in book.readings)
    for index, number in _numbers_of(suspect).items():
        reading = book.readings[index]
        alone = rows[reading.file, reading.line] == 1
        numbers[f"line_{number}"] = float(reading.line)
        words |= {
            f"written_{number}": reading.written,
            f"point_{number}": reading.point,
            f"side_{number}": "" if alone else reading.kind,
            f"file_{number}": book.files[reading.file] if book.files else "",
        }
    return numbers, words


def _told_slips(
    suspect: Suspect, *, numbers: Mapping[int, int]
) -> tuple[dict[str, float], dict[str, str]]:
    values: dict[str, float] = {}
    words: dict[str, str] = {}
    for place, slip in enumerate(suspect.misreadings[:_MOST_SLIPS], 1):
        words |= {f"slip_{place}": slip.kind, f"meant_{place}": slip.meant}
        if slip.readings:
            values[f"slip_{place}_first"] = float(numbers[slip.readings[0]])
            values[f"slip_{place}_last"] = float(numbers[slip.readings[-1]])
    return values, words


def _told_sight(sight: NextSight | None, name: str) -> dict[str, str]:
    if sight is None:
        return {}
    return {
        f"{name}_point": sight.point,
        f"{name}_start": sight.start,
        f"{name}_also": " and ".join(sight.also),
        f"{name}_settles": sight.settles,
        f"{name}_count": str(sight.checks),
    }


def _heights_then(ways: Sequence[Amended], evidence: Evidence) -> dict[str, float]:
    """Return fall and lift with the slip taken away, as far as the book gives their heights."""
    found: dict[str, float | None] = {}
    tank = evidence.delivery_tank
    ends = {
        "fall": (evidence.fall_m, evidence.ram_place, evidence.source_place),
        "lift": (evidence.lift_m, evidence.ram_place, None if tank is None else tank.place),
    }
    if evidence.ram is not None and evidence.ram.summit_rules:
        ends.pop("lift")
    for name, (now_m, low, high) in ends.items():
        for word, one in zip(("then", "else"), ways, strict=False):
            moved = _moved_m(one, evidence.elevations, low=low, high=high)
            if now_m is not None and moved is not None:
                found[f"{name}_{word}_m"] = now_m + moved
        found[f"{name}_now_m"] = now_m if f"{name}_then_m" in found else None
    return known(**found)


def _moved_m(
    one: Amended, elevations: Elevations | None, *, low: str | None, high: str | None
) -> float | None:
    """Return by how much more `high` stands above `low` then, None where that is not known [m]."""
    if elevations is None or low not in elevations.names or high not in elevations.names:
        return None
    change = one.change_m
    moved = float(change[elevations.index(high)] - change[elevations.index(low)])
    return None if math.isnan(moved) else moved
