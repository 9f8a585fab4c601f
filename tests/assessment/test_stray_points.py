"""Points that nothing in the study takes up are told, with the nearest name."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.assessment.finding import Finding
from terrain_head.base.units import METRIC
from terrain_head.report.words import finding_text
from terrain_head.workflows.study import answer_choice, open_study

STUDY = """\
[ground]
book = "book.csv"
heights = "heights.csv"
[source]
place = "spring"
[ram]
place = "ram"
[tank]
place = "tank"
legs = ["leg 1"]
"""
BOOK = "point,bs [m],is,fs\nnail,1.5,,\nspring,,1.8,\nram,,3.9,\ntank,,0.4,\nleg 1,,0.5,\n"
HEIGHTS = "from,to,rise [m],how\n"


def strays(
    folder: Path, *, book: str = "", heights: str = "ram,spring,2.1,hose\n"
) -> list[Finding]:
    (folder / "study.toml").write_text(STUDY, encoding="utf-8")
    (folder / "book.csv").write_text(BOOK + book + "nail,,,1.5\n", encoding="utf-8")
    (folder / "heights.csv").write_text(HEIGHTS + heights, encoding="utf-8")
    answer = answer_choice(open_study(folder), draws=0)
    return [one for one in answer.findings if one.kind == "point-of-no-place"]


def test_a_row_of_the_sheet_of_heights_that_leads_nowhere_is_told(tmp_path: Path) -> None:
    (found,) = strays(tmp_path, heights="ram,SPRINGX,2.1,hose\n")
    assert finding_text(found, units=METRIC) == (
        'Line 2 of heights.csv touches no place of the study: it names "SPRINGX"; nearest: spring. '
        "Its height is not used. If spring was meant, spell it so."
    )


def test_a_name_near_to_none_is_told_without_a_guess(tmp_path: Path) -> None:
    (found,) = strays(tmp_path, heights="ram,ledge,2.1,hose\nram,cairn,1.1,hose\n")
    assert found.texts["near"] == ""
    assert found.value == 2.0
    assert "1 more like it. See that its name is right." in finding_text(found, units=METRIC)


def test_a_point_of_the_book_is_told_only_if_its_name_is_nearly_a_place(tmp_path: Path) -> None:
    (found,) = strays(tmp_path, book="gate,,1.0,\nSprng,,1.8,\nleg 2,,0.5,\n")
    assert (found.where.place, found.texts["near"], found.texts["file"]) == (
        "Sprng",
        "spring",
        "book.csv",
    )


@pytest.mark.parametrize(
    "heights", ["ram,spring,2.1,hose\n", "ram,ledge,1.0,hose\nledge,spring,1.1,hose\n"]
)
def test_rows_that_join_places_are_no_trouble(heights: str, tmp_path: Path) -> None:
    assert strays(tmp_path, heights=heights) == []
