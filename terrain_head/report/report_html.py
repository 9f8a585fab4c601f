"""The plain report: one file, no script, no outside address, readable on a phone and on paper."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

from jinja2 import Environment, PackageLoader, StrictUndefined, Template

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import Comparison
from terrain_head.assessment.finding import Finding
from terrain_head.assessment.standing import peers
from terrain_head.report.compare_screen import side_by_side
from terrain_head.report.compare_summary import (
    better_by,
    like_with_like,
    summary,
    undecided_words,
)
from terrain_head.report.cycle_tables import cycle_table, variants_table
from terrain_head.report.doubt_tables import doubt_table, legs_table
from terrain_head.report.drive_tables import bores_table, lengths_table
from terrain_head.report.finding_words_ram import AT_ITS_BEGINNING_M
from terrain_head.report.finding_words_safety import cautions_of
from terrain_head.report.measure_words import measure_lines
from terrain_head.report.not_asked import not_asked_of
from terrain_head.report.ram_tables import ram_table, stand_table
from terrain_head.report.size_words import sizes_table
from terrain_head.report.speech import Speech, pipe_words, sentence_case
from terrain_head.report.study_screen import screen_rows
from terrain_head.report.surge_table import filling_table, surge_table
from terrain_head.report.table import Table
from terrain_head.report.tables import (
    filled,
    outlets_table,
    pipes_table,
    places_table,
    tanks_table,
)
from terrain_head.report.verdict import verdict
from terrain_head.report.ways_words import ways_table
from terrain_head.report.words import finding_source_text, taken_text, told


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture as bytes.

    Parameters
    ----------
    data
        The file's bytes.
    kind
        ``svg`` or ``png``.
    alternative
        What it shows, for who can't see it.
    caption
        Under the picture; empty for none.
    """

    data: bytes
    kind: Literal["svg", "png"]
    alternative: str
    caption: str = ""

    @property
    def address(self) -> str:
        """The picture as an address that holds its own bytes."""
        mime = {"svg": "image/svg+xml", "png": "image/png"}[self.kind]
        return f"data:{mime};base64,{base64.b64encode(self.data).decode('ascii')}"


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingLine:
    """A finding in words, with where it stands and where its limit was read."""

    severity: str
    fact: str
    cure: str
    where: str
    source: str


def report_html(answer: Answer, *, pictures: Mapping[str, Picture]) -> str:
    """Return the report of one choice as one HTML page.

    Parameters
    ----------
    answer
        The choice, solved and judged.
    pictures
        By name, in the order in which they are shown.
    """
    said = verdict(answer)
    return _template("report.html.j2").render(
        title=answer.title,
        choice="" if answer.choice == "main" else answer.choice,
        file=answer.file,
        sentence=said.sentence,
        rows=screen_rows(answer, said),
        pictures=list(pictures.items()),
        findings=findings_by_weight(answer),
        tables=filled(
            [
                outlets_table(answer),
                doubt_table(answer),
                ways_table(answer),
                sizes_table(answer),
                stand_table(answer),
                ram_table(answer),
                cycle_table(answer),
                variants_table(answer),
                lengths_table(answer),
                bores_table(answer),
                tanks_table(answer),
                pipes_table(answer),
                surge_table(answer),
                filling_table(answer),
                places_table(answer),
                legs_table(answer),
            ]
        ),
        taken=[(taken_text(one, answer.units), str(one.citation)) for one in answer.taken],
        not_asked=not_asked_of(answer),
        measure_next=measure_lines(answer) if said.believed else [],
        cautions=cautions_of(answer.layout.parts),
    )


def comparison_html(
    answers: Sequence[Answer], comparison: Comparison, *, pictures: Mapping[str, Picture]
) -> str:
    """Return the choices of a study side by side as one HTML page.

    Parameters
    ----------
    answers
        Every choice, solved and judged, at least one.
    comparison
        How they compare.
    pictures
        By name, in the order in which they are shown.
    """
    first = answers[0]
    names = tuple(answer.choice for answer in answers)
    rows = side_by_side(answers, comparison.choices)
    held = like_with_like(comparison, answers=answers)
    better = better_by(held, answers=peers(answers))
    return _template("choices.html.j2").render(
        undecided=undecided_words(held),
        title=first.title,
        choice="choices",
        file=first.file,
        sentence=summary(comparison, units=first.units, answers=answers),
        better=[(name, f"better by {words}") for name, words in better],
        pictures=list(pictures.items()),
        tables=[
            Table(
                title="Side by side",
                heads=("", *names),
                rows=tuple((name, *cells) for name, cells in rows),
            )
        ],
        choices=[(answer.choice, verdict(answer), _weighty(answer)) for answer in answers],
    )


def _weighty(answer: Answer) -> list[FindingLine]:
    return [finding_line(one, answer) for one in answer.findings if one.severity != "fine"]


def findings_by_weight(answer: Answer) -> list[tuple[str, list[FindingLine]]]:
    """Return the findings in words, parted into stop, care and fine; empty parts left out."""
    parts: list[tuple[str, list[FindingLine]]] = []
    for severity, heading in (
        ("stop", "Stop: as it stands this does not work, or may hurt someone"),
        ("care", "Take care"),
        ("fine", "Good to know"),
    ):
        lines = [finding_line(one, answer) for one in answer.findings if one.severity == severity]
        if lines:
            parts.append((heading, lines))
    return parts


def finding_line(finding: Finding, answer: Answer) -> FindingLine:
    """Return one finding in words."""
    said = told(finding, units=answer.units)
    return FindingLine(
        severity=finding.severity,
        fact=said.fact,
        cure=said.cure,
        where=_where(finding, answer),
        source=finding_source_text(finding),
    )


def _where(finding: Finding, answer: Answer) -> str:
    where = finding.where
    say = Speech(units=answer.units)
    parts = []
    if where.outlet:
        parts.append(f"outlet {where.outlet}")
    if where.pipe:
        at = ""
        if where.station_m is not None:
            begins = where.station_m < AT_ITS_BEGINNING_M
            at = " at its beginning" if begins else f" at {say.length(where.station_m)}"
        parts.append(f"{pipe_words(where.pipe)}{at}")
    if where.place:
        parts.append(f"place {where.place}")
    return sentence_case(", ".join(parts))


@cache
def _template_home() -> Environment:
    return Environment(
        loader=PackageLoader("terrain_head.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _template(name: str) -> Template:
    return _template_home().get_template(name)
