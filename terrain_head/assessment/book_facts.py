"""What the reading of a level book left to say: told as findings, or counted as values taken."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Severity, Where
from terrain_head.assessment.limits import PRACTICE
from terrain_head.assessment.suspect_findings import suspect_findings
from terrain_head.base.citation import OURS
from terrain_head.leveling.elevations import Elevations
from terrain_head.leveling.other_ways import taken_citation
from terrain_head.scheme.parts import Parts, Taken

FACT_SEVERITY: Mapping[str, Severity] = MappingProxyType(
    {
        "rod-seems-direct": "care",
        "looks-like-feet-inches": "care",
        "long-reading": "care",
        "names-alike": "care",
        "point-never-read": "care",
        "unknown-column": "care",
        "leg-taken-level": "care",
        "sights-without-distance": "fine",
        "tilt-at-its-worst": "fine",
        "collimation-taken-off": "fine",
    }
)
"""How grave each kind of fact is that becomes a finding of the same kind, the gravest first."""

FACTS_TOLD_OTHERWISE = ("first-point-called-100", "reading-error-taken", "height-error-taken")
"""Facts that the finding ``assumed-datum`` and values taken tell."""


def fact_findings(evidence: Evidence) -> Iterator[Finding]:
    """Tell each kind of fact once: the first of it, and how many there are."""
    facts = () if evidence.elevations is None else evidence.elevations.facts
    for kind in FACT_SEVERITY:
        alike = [fact for fact in facts if fact.kind == kind]
        if not alike:
            continue
        first = alike[0]
        file = {} if first.file is None else {"file": first.file}
        line = known(line=None if first.line is None else float(first.line))
        yield Finding(
            kind=first.kind,
            severity=FACT_SEVERITY[kind],
            value=float(len(alike)),
            values={**first.values, **line},
            texts={**first.texts, **file},
            source=PRACTICE,
            where=Where(place=first.point),
        )


def blunder_findings(evidence: Evidence) -> Iterator[Finding]:
    """Name the readings that stand out, and where figures worked by hand go wrong."""
    elevations = evidence.elevations
    if elevations is None:
        return
    yield from suspect_findings(evidence)
    for check in elevations.page_checks:
        if check.holds:
            continue
        wrong = check.first_wrong_line is not None
        line = check.first_wrong_line or check.last_line
        yield Finding(
            kind="page-check",
            severity="fine" if wrong else "care",
            value=check.worked_m - check.right_m if wrong else None,
            unit="m",
            values={"line": float(line), "first_line": float(check.first_line)}
            | ({"worked_m": check.worked_m, "right_m": check.right_m} if wrong else {}),
            texts={"file": check.file},
            source=PRACTICE,
        )


def values_taken(parts: Parts, *, elevations: Elevations | None) -> tuple[Taken, ...]:
    """Return what was taken for want of the person's own values, errors of heights among it.

    Parameters
    ----------
    parts
        The scheme as the study gives it.
    elevations
        The reduced level book, None without one.
    """
    facts = () if elevations is None else elevations.facts
    return (
        parts.taken
        + tuple(
            Taken(
                key="ground.level_error",
                value_si=fact.values["reading_std_m"],
                unit="m",
                citation=OURS.at("the standard error of a rod reading that nobody stated"),
            )
            for fact in facts
            if fact.kind == "reading-error-taken"
        )
        + tuple(
            Taken(
                key="ground.heights",
                value_si=fact.values["height_std_m"],
                unit="m",
                word=fact.texts["way"] or "way not known",
                citation=taken_citation(fact.texts["way"]),
            )
            for fact in facts
            if fact.kind == "height-error-taken"
        )
    )
