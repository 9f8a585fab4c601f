"""``terrain-head compare``: the choices side by side, in words, JSON and pictures."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from terrain_head.cli.main import run
from tests.cli.test_study import contents
from tests.journeys.answers import copy_of


def test_the_screen_names_every_choice_and_what_differs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    orchard = copy_of("orchard_rod", tmp_path)
    before = contents(orchard)
    monkeypatch.chdir(tmp_path)
    assert 0 == run(["compare", "orchard_rod"])
    heard = capsys.readouterr()
    assert heard.err == ""
    assert heard.out.isascii()
    assert max(len(line) for line in heard.out.splitlines()) <= 79
    heading = next(line for line in heard.out.splitlines() if line.strip().startswith("main"))
    assert ["main", "taller stand", "wider line"] == [
        word.strip() for word in heading.split("  ") if word.strip()
    ]
    assert "9 ft" in next(line for line in heard.out.splitlines() if line.startswith("stand "))
    after = contents(orchard)
    assert before == {name: after[name] for name in before}
    written = {name for name in after if name not in before}
    assert {"study-results/choices-profile.png", "study-results/choices-profile.svg"} <= written
    assert all(name.startswith("study-results/choices") for name in written)


def test_json_is_one_document_and_writes_nothing_without_a_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    orchard = copy_of("orchard_rod", tmp_path)
    before = contents(tmp_path)
    assert 0 == run(["compare", str(orchard), "--json"])
    printed = capsys.readouterr()
    assert before == contents(tmp_path)
    assert printed.err == ""
    assert isinstance(json.loads(printed.out), dict)
    assert 0 == run(["compare", str(orchard), "--json", "-o", str(tmp_path / "out")])
    assert printed.out == capsys.readouterr().out
    assert (tmp_path / "out" / "choices-profile.png").is_file()
    assert not (orchard / "study-results").exists()


def test_where_there_are_coordinates_the_routes_are_drawn_on_a_plan(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    valley = copy_of("valley_raster", tmp_path)
    assert 0 == run(["compare", str(valley), "-o", str(tmp_path / "out")])
    capsys.readouterr()
    assert (tmp_path / "out" / "choices-plan.svg").is_file()


def test_a_study_without_choices_is_told_how_to_write_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    hill = copy_of("hill_farm_both", tmp_path)
    before = contents(hill)
    assert 3 == run(["compare", str(hill)])
    heard = capsys.readouterr()
    assert heard.out == ""
    assert "has no choices to compare" in " ".join(heard.err.split())
    assert "[choice.ridge]" in heard.err
    assert before == contents(hill)


def test_a_folder_that_cannot_be_made_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    orchard = copy_of("orchard_rod", tmp_path)
    before = contents(orchard)
    assert 3 == run(["compare", str(orchard), "-o", str(orchard / "lower.csv" / "out")])
    assert "Choose another place with -o" in capsys.readouterr().err
    assert before == contents(orchard)
