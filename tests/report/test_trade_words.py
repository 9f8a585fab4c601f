"""docs/words.md lists each trade word once, and what is printed keeps to it."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from terrain_head.base.units import METRIC, US
from terrain_head.report.estimate_screen import REASON_WORDS
from terrain_head.report.finding_words_safety import CAUTIONS
from terrain_head.report.words import finding_text
from tests.report.sample_findings import SAMPLES

PAGE = Path(__file__).parents[2] / "docs" / "words.md"
WORDS = """
backsight, foresight, intermediate sight, turning point, height of instrument, elevation,
benchmark, misclosure, page check, set-up, rod, station, grade, cut, fill, grade rod, ground rod,
place, route, pipe, tee, riser, ring, cover,
seep, open end, dripper, check valve,
fall, lift, drive pipe, delivery pipe, waste valve, snifter, stand-pipe,
total head, hydraulic grade line, static pressure, running pressure, clearance, rating,
surge, siphon,
stand, deck, overflow, draw, yield, shortage, spill,
doubt, chance, likely, choice, care, stop
"""
LISTED = [" ".join(word.split()) for word in WORDS.replace("\n", " ").split(",")]
# Words of other programs, or that a neighbour does not use.
NEVER = re.compile(
    r"\b(node|junction|demand|reservoir|invalid|please|error code|parameter|utilize)\b", re.I
)


def _rows() -> list[list[str]]:
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    rows = [line.strip("|").split("|") for line in lines if line.startswith("| ")]
    return [[cell.strip() for cell in row] for row in rows if row[0].strip() != "word"]


@pytest.mark.parametrize("word", LISTED)
def test_each_word_is_explained_once(word: str) -> None:
    assert 1 == Counter(row[0] for row in _rows())[word]


def test_no_other_word_is_listed() -> None:
    assert sorted(LISTED) == sorted(row[0] for row in _rows())


def test_every_row_has_word_meaning_unit_and_sign() -> None:
    for row in _rows():
        assert 4 == len(row)
        assert row[1]


def _printed() -> list[str]:
    texts = [finding_text(one, units=units) for one in SAMPLES for units in (METRIC, US)]
    return [*texts, *CAUTIONS, *REASON_WORDS.values()]


def test_a_grade_line_is_always_the_hydraulic_one() -> None:
    for text in _printed():
        assert text.count("grade line") == text.count("hydraulic grade line")


def test_what_is_printed_uses_a_neighbour_s_words() -> None:
    for text in _printed():
        assert NEVER.search(text) is None
