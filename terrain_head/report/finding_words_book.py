"""Words for what the reading of a level book left to say."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.book_facts import FACT_SEVERITY
from terrain_head.assessment.finding import Finding
from terrain_head.base.display import show
from terrain_head.leveling.book import BookFact
from terrain_head.report.finding_words_slips import say_slip
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
    "reading-stands-out": say_slip,
    "page-check": _page_check,
}
"""What is said of each kind of finding."""
