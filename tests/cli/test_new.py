"""``terrain-head new``: starts a study that passes ``check``."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.cli.main import run
from terrain_head.report.check_screen import StartedStudy, started_text

BOOK = "point,bs [m],is [m],fs [m]\nBM1,1.2,,\nspring,,1.5,\nram,,,3.5\n"


def test_a_new_study_passes_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "lower.csv"
    book.write_text(BOOK, encoding="utf-8")
    folder = tmp_path / "hill"
    assert run(["new", str(folder), "--book", str(book), "--units", "us"]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    assert "3 points" in printed.out
    assert f"terrain-head check {folder}" in printed.out
    assert run(["check", str(folder)]) == 0
    checked = capsys.readouterr().out
    assert "values are still blank" in checked
    assert "the fall" in checked
    assert book.read_text("utf-8") == BOOK


def test_a_second_new_touches_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["new", str(tmp_path)]) == 0
    before = (tmp_path / "study.toml").read_bytes()
    capsys.readouterr()
    assert run(["new", str(tmp_path)]) == 3
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "is there already" in " ".join(printed.err.split())
    assert (tmp_path / "study.toml").read_bytes() == before


def test_what_is_said_of_a_start_without_names_and_with_a_blank_in_the_folder() -> None:
    started = StartedStudy(
        file="my hill/study.toml", folder="my hill", points=0, routes=0, blanks=1
    )
    text = started_text(started)
    assert text.startswith("Started my hill/study.toml; 1 value is blank.")
    assert text.endswith('terrain-head check "my hill"')


def test_plain_gravity_is_an_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["new", str(tmp_path / "hill"), "--no-ram"]) == 0
    assert run(["check", str(tmp_path / "hill")]) == 0
    assert "how far the water falls" in capsys.readouterr().out
    assert "[ram]" not in (tmp_path / "hill" / "study.toml").read_text("utf-8")
