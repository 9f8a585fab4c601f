"""What is said once, whatever the numbers: values taken, water to drink, leave to take it."""

from __future__ import annotations

from collections.abc import Iterator

from terrain_head.assessment.book_facts import values_taken
from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import ABSTRACTION, SPRING_SHEET
from terrain_head.base.middle import middle_of


def caution_findings(evidence: Evidence) -> Iterator[Finding]:
    """Count the values taken, and give the cautions that fit the scheme, each once."""
    layout = evidence.layout
    taken = (
        *values_taken(layout.parts, elevations=evidence.elevations),
        *evidence.spreads_taken,
    )
    if taken:
        yield Finding(
            kind="values-taken",
            severity="fine",
            value=float(len(taken)),
            texts={"keys": ", ".join(value.key for value in taken)},
            source=taken[0].citation if len(taken) == 1 else None,
        )
    source = layout.source
    if source is None:
        return
    if layout.outlets:
        yield Finding(
            kind="drinking-water",
            severity="fine",
            source=SPRING_SHEET.at("springs want a tight box"),
        )
    flow = middle_of(layout.source_flow_m3_s)
    if flow is not None:
        yield Finding(
            kind="water-right",
            severity="fine",
            value=layout.share,
            values=known(flow_m3_s=flow),
            source=ABSTRACTION.at("a licence limits what may be taken"),
            where=Where(place=source.place),
        )
