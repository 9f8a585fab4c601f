"""Words for what the reading of a level book left to say."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.book_facts import FACT_SEVERITY
from terrain_head.assessment.finding import Finding
from terrain_head.base.display import show
from terrain_head.leveling.book import BookFact
from terrain_head.report.reduce_words import tell_apart
from terrain_head.report.speech import Speech
from terrain_head.report.told import Sayer, Told, amount


def _fact(finding: Finding, say: Speech) -> Told:
    line = finding.values.get("line")
    fact = BookFact(
        kind=finding.kind,
        point=finding.where.place,
        file=finding.texts.get("file"),
        line=None if line is None else round(line),
        values=finding.values,
        texts=finding.texts,
    )
    said = tell_apart(fact, say.units, asked="study")
    more = round(amount(finding)) - 1
    stand = "stands" if more == 1 else "stand"
    alike = f" {more} more like it {stand} in the level book." if more > 0 else ""
    return Told(fact=f"{said.fact}{alike}", cure=said.cure)


def _spot(finding: Finding) -> str:
    file = finding.texts.get("file", "")
    return f"line {round(finding.values['line'])}" + (f" of {file}" if file else "")


def _stands_out(finding: Finding, say: Speech) -> Told:
    more = round(amount(finding)) - 1
    others = f" {more} more stand{'s' if more == 1 else ''} out." if more > 0 else ""
    ties, size_m = round(finding.values.get("ties", 1.0)), finding.values.get("size_m")
    if size_m is not None and (ties > 1 or "line" not in finding.values):
        size = show(size_m, "reading", say.units)
        among = (
            f"One of the {ties} readings from line {round(finding.values['line'])} to line "
            f"{round(finding.values['last_line'])} of {finding.texts['file'] or 'the book'} is"
            if ties > 1
            else "A height had by other means, or a known elevation, is"
        )
        return Told(
            fact=f"{among} wrong by about {size}; the book does not tell which.{others}",
            cure="terrain-head reduce says which sight would tell more.",
        )
    written, place = finding.texts.get("written", ""), finding.where.place or "a point"
    return Told(
        fact=f"The reading {written} on {place} ({_spot(finding)}) fits the others worst.{others}",
        cure="Look there first, and read it again if you can.",
    )


def _page_check(finding: Finding, say: Speech) -> Told:
    worked, right = finding.values.get("worked_m"), finding.values.get("right_m")
    if worked is None or right is None:
        first, file = round(finding.values["first_line"]), finding.texts.get("file", "the book")
        return Told(
            fact=(
                f"The sums of {file}, lines {first} to {round(finding.values['line'])}, do not "
                "add up."
            ),
            cure="See that no line is missing or stands twice.",
        )
    return Told(
        fact=(
            f"The heights worked by hand go wrong first in {_spot(finding)}: "
            f"{show(worked, 'reading', say.units)} stands there, the readings give "
            f"{show(right, 'reading', say.units)}."
        ),
        cure="The readings were used.",
    )


WORDS: Mapping[str, Sayer] = {
    **dict.fromkeys(FACT_SEVERITY, _fact),
    "reading-stands-out": _stands_out,
    "page-check": _page_check,
}
"""What is said of each kind of finding."""
