"""What ``reduce`` and ``study`` say of the same two points agrees."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.leveling.reduce import reduce_book
from terrain_head.report.pipe_tables import pipe_csv
from terrain_head.report.study_screen import study_screen
from terrain_head.workflows.study import answer_choice, open_study

LOOP = """point,bs [m],is,fs
nail,1.000,,
spring,,1.500,
ram,2.000,,3.900
nail,,,-0.888
"""
STUDY = """
title = "Sparrow Gill"
[ground]
book = "book.csv"
[source]
place = "spring"
[ram]
place = "ram"
[tank]
place = "nail"
[pipe.drive]
from = "source"
to = "ram"
length = "12 m"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "book.csv").write_text(LOOP, encoding="utf-8")
    (tmp_path / "study.toml").write_text(STUDY, encoding="utf-8")
    return tmp_path


def test_the_fall_of_a_book_without_stated_error_is_as_sure_as_reduce_says(folder: Path) -> None:
    """One closing and nothing stated: Student's 6.314 with one degree of freedom (t table)."""
    opened = open_study(folder)
    answer = answer_choice(opened)
    assert opened.site.book is not None
    elevations = reduce_book(opened.site.book)
    assert elevations.likely_factor == pytest.approx(6.314, abs=5e-4)
    _, std = elevations.rise("spring", "ram")
    assert answer.spread["fall"].half_range == pytest.approx(std * elevations.likely_factor)


def test_the_reading_error_taken_is_listed_and_counted(folder: Path) -> None:
    answer = answer_choice(open_study(folder))
    assert "ground.level_error" in [one.key for one in answer.taken]
    counted = next(one for one in answer.findings if one.kind == "values-taken")
    assert counted.value == len(answer.taken)


def test_screen_and_table_give_the_same_range(folder: Path) -> None:
    answer = answer_choice(open_study(folder))
    assert "+-" in study_screen(answer, results_folder=None)
    head, *rows = [line.split(",") for line in pipe_csv(answer, "drive").splitlines()]
    spring = float(rows[0][head.index("give or take [m]")])
    assert answer.elevations is not None
    std = answer.elevations.std_m()[answer.elevations.index("spring")]
    assert spring == pytest.approx(answer.elevations.likely_factor * std, abs=6e-4)
