"""Words for a slip that the level book of a study betrays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import cast

from terrain_head.assessment.finding import Finding
from terrain_head.assessment.suspect_findings import MOST_READINGS
from terrain_head.base.display import show
from terrain_head.leveling.book import LevelBook, Reading, SightKind
from terrain_head.leveling.suspect import (
    Certainty,
    Misreading,
    MisreadingKind,
    NextSight,
    Settles,
    Suspect,
)
from terrain_head.report.reduce_suspects import say_suspect
from terrain_head.report.speech import Speech
from terrain_head.report.told import Told, amount

_SHOWS = 0.005  # of a fall or a lift that changes what a person builds [m]


def say_slip(finding: Finding, say: Speech) -> Told:
    """Return which reading may be wrong, how it came about, what comes without it, what settles it.

    Parameters
    ----------
    finding
        A finding of the kind ``reading-stands-out``.
    say
        How numbers are shown.
    """
    book, suspect = _read_back(finding)
    said = say_suspect(book, suspect, lambda metres: _size(metres, say))
    fact = said.fact
    if len(book.files) == 1 and book.files[0] and suspect.readings:
        fact = f"In {book.files[0]}: {fact[:1].lower()}{fact[1:]}"
    more = round(amount(finding)) - 1
    others = f"{more} more stand{'s' if more == 1 else ''} out." if more > 0 else ""
    return Told(
        fact=" ".join(part for part in (fact, _then(finding, say), others) if part),
        cure=said.cure,
    )


def _size(metres: float, say: Speech) -> str:
    return str(show(metres, "reading", say.units)).removeprefix("0 ft ")


def sight_of(finding: Finding, name: str) -> NextSight | None:
    """Return the sight that a finding tells under a name, None where it tells none."""
    texts = finding.texts
    if f"{name}_point" not in texts:
        return None
    also = texts[f"{name}_also"]
    return NextSight(
        point=texts[f"{name}_point"],
        start=texts[f"{name}_start"],
        also=tuple(also.split(" and ")) if also else (),
        settles=cast("Settles", texts[f"{name}_settles"]),
        checks=int(texts[f"{name}_count"]),
    )


def _read_back(finding: Finding) -> tuple[LevelBook, Suspect]:
    """Return the readings that a finding tells as a level book, and the blunder among them."""
    files = tuple(dict.fromkeys(_numbered(finding, "file")))
    readings = [
        Reading(
            setup=0,
            point=finding.texts[f"point_{number}"],
            kind=cast("SightKind", finding.texts[f"side_{number}"] or "bs"),
            written=written,
            reading_m=0.0,
            file=files.index(finding.texts[f"file_{number}"]),
            line=round(finding.values[f"line_{number}"]),
        )
        for number, written in enumerate(_numbered(finding, "written"), 1)
    ]
    # A side is told where the row holds another reading, which stands for itself here.
    sides = zip(tuple(readings), _numbered(finding, "side"), strict=True)
    readings += [replace(reading) for reading, side in sides if side]
    ties = round(finding.values["ties"])
    # Of many readings the finding tells the first and the last: those between stand for none.
    tied = tuple(range(ties)) if ties <= MOST_READINGS else (0, *[0] * (ties - 2), 1)
    start = finding.texts["start"]
    known = finding.texts["known"]
    suspect = Suspect(
        certainty=cast("Certainty", finding.texts["certainty"]),
        readings=tied,
        differences=tuple(range(round(finding.values["other_means"]))),
        known=(known,) if known else (),
        stretch=(start, finding.texts["end"]) if start else None,
        size_m=finding.values["size_m"],
        size_std_m=0.0,
        strength=0.0,
        misreadings=tuple(_slips(finding)),
        next_sight=sight_of(finding, "next"),
    )
    return LevelBook(files=files, readings=tuple(readings)), suspect


def _numbered(finding: Finding, name: str) -> Iterator[str]:
    number = 1
    while f"{name}_{number}" in finding.texts:
        yield finding.texts[f"{name}_{number}"]
        number += 1


def _slips(finding: Finding) -> Iterator[Misreading]:
    for place, kind in enumerate(_numbered(finding, "slip"), 1):
        first = finding.values.get(f"slip_{place}_first")
        last = finding.values.get(f"slip_{place}_last", 0.0)
        ends = () if first is None else tuple(dict.fromkeys((round(first) - 1, round(last) - 1)))
        yield Misreading(
            kind=cast("MisreadingKind", kind),
            readings=ends,
            meant=finding.texts[f"meant_{place}"],
        )


def _then(finding: Finding, say: Speech) -> str:
    """Return how fall and lift would change, blank where they would not or nobody knows."""
    parts = []
    for name in ("fall", "lift"):
        now = finding.values.get(f"{name}_now_m")
        found = [finding.values.get(f"{name}_{word}_m") for word in ("then", "else")]
        ways = [metres for metres in found if metres is not None]
        if now is None or all(abs(metres - now) < _SHOWS for metres in ways):
            continue
        then = " or ".join(dict.fromkeys(say.height(metres) for metres in ways))
        parts.append(f"the {name} {then} instead of {say.height(now)}")
    return f"Put right, it makes {' and '.join(parts)}." if parts else ""
