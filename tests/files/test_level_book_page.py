"""Every example of docs/level_book.md is read as it stands there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from terrain_head.files.height_differences import read_height_differences
from terrain_head.leveling.reduce import reduce_book
from tests.leveling.books import book_of

PAGE = Path(__file__).parents[2] / "docs" / "level_book.md"
_TEXT = PAGE.read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^```csv\n(.*?)^```$", _TEXT, re.DOTALL | re.MULTILINE)
BOOKS = [text for text in EXAMPLES if not text.startswith("from,") and text.count("\n") > 1]


def test_page_has_its_examples() -> None:
    assert len(EXAMPLES) == 12
    assert len(BOOKS) == 8


@pytest.mark.parametrize("text", BOOKS, ids=lambda text: text.splitlines()[0])
def test_example_is_read_and_reduced(text: str) -> None:
    elevations = reduce_book(book_of(text))
    assert len(elevations.names) >= 2
    assert all(check.holds for check in elevations.page_checks)
    assert not [fact for fact in elevations.facts if fact.kind != "reading-error-taken"]


def test_both_forms_on_the_page_are_the_same_survey() -> None:
    first, second = (reduce_book(book_of(text)) for text in BOOKS[:2])
    assert first.names == second.names
    assert first.elevation_m == pytest.approx(second.elevation_m, abs=1e-9)


def test_blank_book_has_headings_that_are_all_known() -> None:
    (blank,) = [text for text in EXAMPLES if text.count("\n") == 1]
    book = book_of(blank + "BM,4.12,,,100,,,,,\nA,,,3.00,,,,,,\n")
    assert book.facts == ()


def test_sheet_of_heights_is_read(tmp_path: Path) -> None:
    text, *_ = [text for text in EXAMPLES if text.startswith("from,")]
    path = tmp_path / "heights.csv"
    path.write_text(text, encoding="utf-8")
    _, differences, troubles = read_height_differences(path)
    assert not troubles
    assert [difference.rise_m for difference in differences] == [-2.41, 24.5]
    assert [difference.std_m for difference in differences] == [0.01, 1.5]


def test_heights_worked_out_of_readings_come_to_what_the_page_says(tmp_path: Path) -> None:
    _, *texts = [text for text in EXAMPLES if text.startswith("from,")]
    rises = []
    for text in texts:
        path = tmp_path / "heights.csv"
        path.write_text(text, encoding="utf-8")
        _, (one,), troubles = read_height_differences(path)
        assert not troubles
        rises.append(one.rise_m)
    assert rises == pytest.approx([-0.770, 6.019236616 + 1.50 - 1.667], abs=1e-9)
