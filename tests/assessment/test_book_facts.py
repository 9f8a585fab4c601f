"""What the level book left to say reaches the findings and the values taken of a study."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from terrain_head.assessment.book_facts import (
    FACT_SEVERITY,
    FACTS_TOLD_OTHERWISE,
    blunder_findings,
    fact_findings,
    values_taken,
)
from terrain_head.assessment.finding import Finding
from terrain_head.assessment.survey_findings import book_findings
from terrain_head.base.units import METRIC, US
from terrain_head.files.level_book import read_level_books
from terrain_head.leveling.book import BookFact, LevelBook
from terrain_head.leveling.elevations import Elevations
from terrain_head.leveling.reduce import reduce_book
from terrain_head.report.words import finding_text, taken_text
from tests.assessment.builders import elevations_of, evidence_of

LONG = BookFact(
    kind="long-reading",
    point="TP2",
    file="lower.csv",
    line=5,
    values={"reading_m": 12.2},
    texts={"written": "12.20"},
)


def with_facts(*facts: BookFact) -> Elevations:
    return replace(elevations_of(), facts=facts)


def reduced(text: str, folder: Path) -> tuple[LevelBook, Elevations]:
    path = folder / "hill.csv"
    path.write_text(text, encoding="utf-8")
    book = read_level_books([path])
    return book, reduce_book(book)


def test_facts_of_a_kind_are_told_once_and_counted() -> None:
    evidence = replace(evidence_of(), elevations=with_facts(LONG, LONG, LONG))
    (finding,) = fact_findings(evidence)
    assert (finding.kind, finding.severity, finding.value) == ("long-reading", "care", 3.0)
    assert finding_text(finding, units=METRIC) == (
        "The reading 12.20 on TP2 (lower.csv, line 5) is 12.20 m, longer than a rod. 2 more like "
        "it stand in the level book. See that the unit is right."
    )


@pytest.mark.parametrize(("rod", "cure"), [("normal", "write"), ("direct", "leave")])
def test_a_study_is_told_the_key_and_not_the_option(rod: str, cure: str) -> None:
    fact = BookFact(kind="rod-seems-direct", texts={"rod": rod})
    (finding,) = fact_findings(replace(evidence_of(), elevations=with_facts(fact)))
    said = finding_text(finding, units=METRIC)
    assert f'{cure} rod = "direct" under [ground]' in said
    assert "--" not in said


def test_the_reading_error_taken_is_a_value_taken() -> None:
    fact = BookFact(kind="reading-error-taken", values={"reading_std_m": 0.0015})
    evidence = replace(evidence_of(), elevations=with_facts(fact))
    assert not list(fact_findings(evidence))
    (taken,) = values_taken(evidence.layout.parts, elevations=evidence.elevations)
    assert taken_text(taken, METRIC) == "ground.level_error: 1.5 mm"
    assert taken_text(taken, US) == "ground.level_error: 0.0049 ft"


def test_the_error_taken_for_a_height_is_a_value_taken_with_its_source() -> None:
    known = BookFact(
        kind="height-error-taken",
        values={"height_std_m": 0.005, "count": 1.0},
        texts={"way": "hose level"},
    )
    other = BookFact(
        kind="height-error-taken", values={"height_std_m": 0.003, "count": 2.0}, texts={"way": ""}
    )
    evidence = replace(evidence_of(), elevations=with_facts(known, other))
    assert not list(fact_findings(evidence))
    first, second = values_taken(evidence.layout.parts, elevations=evidence.elevations)
    assert taken_text(first, METRIC) == "ground.heights: 5 mm (hose level)"
    assert taken_text(second, METRIC) == "ground.heights: 3 mm (way not known)"
    assert "40 m of hose" in str(first.citation)


def test_without_a_book_nothing_is_told_of_it() -> None:
    evidence = replace(evidence_of(), elevations=None)
    assert not list(fact_findings(evidence))
    assert not list(blunder_findings(evidence))
    assert values_taken(evidence.layout.parts, elevations=None) == evidence.layout.parts.taken


def test_a_fact_is_a_finding_or_told_otherwise_and_never_both() -> None:
    assert not set(FACT_SEVERITY) & set(FACTS_TOLD_OTHERWISE)


def test_the_reading_that_stands_out_is_named_with_its_line(tmp_path: Path) -> None:
    """Three runs from A to B agree on -1.000, the fourth came to -1.300."""
    rows = "".join(f"A,2.000,,\nB,,,{ahead}\n" for ahead in ("3.000", "3.001", "3.300", "3.000"))
    book, elevations = reduced("point,bs [m],is,fs\n" + rows, tmp_path)
    elevations = reduce_book(replace(book, reading_std_m=0.002))
    assert elevations.suspects
    evidence = replace(evidence_of(), elevations=elevations, book=book)
    (finding,) = blunder_findings(evidence)
    assert finding.kind == "reading-stands-out"
    assert finding_text(finding, units=METRIC) == (
        "In hill.csv: between A and B one reading is wrong by about 0.300 m: 2.000 on A (line 6) "
        "or 3.300 on B (line 7). They can't be told apart. That is close to 3 dm: perhaps a whole "
        "figure was misread. They are sights of one set-up, and no later one tells them apart. "
        "Clear both from the book: the heights are right without that set-up."
    )
    assert not list(blunder_findings(replace(evidence, book=None)))


OUT_AND_BACK = (
    "point,bs [m],is,fs,elevation\nnail,1.256,,,100\nspring,0.934,,1.637,\nTP1,0.625,,{0},\n"
    "ram,2.471,,2.408,\nTP1,3.120,,0.689,\nspring,1.710,,1.048,\nnail,,,1.331,\n"
)


def slip_in(
    text: str, folder: Path, *, places: tuple[str, str] = ("spring", "ram")
) -> tuple[str, Finding]:
    """Return the words and the finding of a slip in a book whose fall is that of its places."""
    book, elevations = reduced(text, folder)
    evidence = replace(evidence_of(), elevations=elevations, book=book)
    assert (evidence.source_place, evidence.ram_place) == places
    (finding,) = blunder_findings(evidence)
    return finding_text(finding, units=METRIC), finding


def test_a_slip_of_a_decimetre_is_told_with_both_falls_that_it_leaves(tmp_path: Path) -> None:
    said, finding = slip_in(OUT_AND_BACK.format("3.105"), tmp_path)
    assert "3.105 on TP1 (line 4, ahead), 3.120 on TP1 (line 6, back)" in said
    assert "That is close to 1 dm" in said
    assert "set up once more between spring and TP1 and read both" in said
    now = finding.values["fall_now_m"]
    assert finding.values["fall_then_m"] - now == pytest.approx(-0.0495, abs=1e-6)
    assert finding.values["fall_else_m"] - now == pytest.approx(0.0495, abs=1e-6)


def test_a_row_turned_about_is_named_in_a_study(tmp_path: Path) -> None:
    turned = OUT_AND_BACK.format("3.005").replace("TP1,0.625,,3.005", "TP1,3.005,,0.625")
    said, finding = slip_in(turned, tmp_path)
    assert "In hill.csv: back and ahead on TP1 (line 4) look exchanged" in said
    assert finding.value == 1.0
    assert finding.values["fall_then_m"] - finding.values["fall_now_m"] == pytest.approx(2.380)


def test_of_many_readings_the_first_and_the_last_line_are_told(tmp_path: Path) -> None:
    loop = (
        "point,bs [m],fs,elevation\nnail,1.000,,100\nspring,1.000,1.500,\nram,1.000,2.000,\n"
        "C,1.000,1.200,\nnail,,0.100,\n"
    )
    said, _ = slip_in(loop, tmp_path)
    assert "one of the 8 readings is wrong by about 0.800 m" in said
    assert "Shoot ram again from nail" in said or "shoot ram again from nail" in said


def test_the_sight_that_would_check_a_book_is_told_in_a_study(tmp_path: Path) -> None:
    text = "point,bs [m],is,fs\nnail,1.256,,\nspring,,1.637,\nTP1,0.625,,3.005\nram,,,1.664\n"
    book, elevations = reduced(text, tmp_path)
    evidence = replace(evidence_of(), elevations=elevations, book=book)
    (finding,) = [one for one in book_findings(evidence) if one.kind == "book-unchecked"]
    assert finding_text(finding, units=METRIC) == (
        "You did not come back to a known point, so nothing checks the level book. One more "
        "reading on nail, from the last set-up, would check 4 readings at once. If the level no "
        "longer stands there, set it up again and read ram, then nail."
    )
    bare = replace(evidence, book=None)
    (finding,) = [one for one in book_findings(bare) if one.kind == "book-unchecked"]
    assert "One more reading on nail would check 4 readings" in finding_text(finding, units=METRIC)


def test_a_figure_worked_wrong_by_hand_is_good_to_know(tmp_path: Path) -> None:
    text = "point,bs [m],is,fs,elevation,worked\nBM,1.855,,,100.000,100.000\nA,,,2.410,,99.545\n"
    book, elevations = reduced(text, tmp_path)
    (finding,) = blunder_findings(replace(evidence_of(), elevations=elevations, book=book))
    assert (finding.kind, finding.severity) == ("page-check", "fine")
    assert finding.value == pytest.approx(0.1)
    said = finding_text(finding, units=METRIC)
    assert "line 3 of hill.csv: 99.545 m stands there, the readings give 99.445 m" in said
    (check,) = elevations.page_checks
    sums = replace(check, first_wrong_line=None)
    loose = replace(elevations, page_checks=(sums,))
    (finding,) = blunder_findings(replace(evidence_of(), elevations=loose, book=book))
    assert (finding.kind, finding.severity, finding.value) == ("page-check", "care", None)
    assert "do not add up" in finding_text(finding, units=METRIC)
