"""``terrain-head study``: its words, its exit codes, what it writes and what it leaves alone."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from terrain_head.cli.main import group, run
from terrain_head.errors import (
    GroundError,
    InputError,
    RangeError,
    ReductionError,
    SurveyError,
    TerrainHeadError,
    Trouble,
    UsageError,
)
from tests.journeys.answers import answer, copy_of

RESULTS = {
    "profile.png", "profile.svg", "stand.png", "stand.svg", "results.json", "report.html",
    "pipe-drive.csv", "pipe-delivery.csv", "pipe-house-line.csv", "pipe-bed-line.csv",
}  # fmt: skip
"""What the orchard gives; it has no coordinates, so no plan."""


def contents(folder: Path) -> dict[str, bytes]:
    """Return what stands in every file under a folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture
def orchard(tmp_path: Path) -> Path:
    """Return a copy of the orchard, measured with a rod."""
    return copy_of("orchard_rod", tmp_path)


def test_the_screen_and_the_folder_say_the_same_and_inputs_stay(
    orchard: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(orchard)
    monkeypatch.chdir(orchard.parent)
    assert 0 == run(["study", "orchard_rod"])
    heard = capsys.readouterr()
    assert heard.err == ""
    assert heard.out.startswith("HOBNAIL RIDGE")
    assert "Too weak: house\ntap" in heard.out or "Too weak: house tap" in heard.out
    assert "orchard_rod/study-results/profile.png" in heard.out
    assert heard.out.isascii()
    assert max(len(line) for line in heard.out.splitlines()) <= 79

    results = orchard / "study-results"
    assert RESULTS == {path.name for path in results.iterdir()}
    after = contents(orchard)
    assert before == {name: after[name] for name in before}

    assert 0 == run(["study", "orchard_rod/study.toml", "--json"])
    assert (results / "results.json").read_text(encoding="utf-8") == capsys.readouterr().out

    assert (results / "profile.png").read_bytes().startswith(b"\x89PNG\r\n")
    assert "</svg>" in (results / "stand.svg").read_text(encoding="utf-8")
    page = (results / "report.html").read_text(encoding="utf-8")
    assert "Hobnail Ridge" in page
    assert page.rstrip().endswith("</html>")
    document = json.loads((results / "results.json").read_text(encoding="utf-8"))
    with (results / "pipe-house-line.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(line for line in file if not line.startswith("#")))
    assert len(rows) - 1 == len(document["pipes"]["house line"]["stations"])


def test_json_alone_writes_nothing_and_with_a_folder_all(
    orchard: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(tmp_path)
    assert 0 == run(["study", str(orchard), "--json"])
    printed = capsys.readouterr()
    assert before == contents(tmp_path)
    assert printed.err == ""
    assert json.loads(printed.out)["choice"] == "main"

    target = tmp_path / "new" / "place"
    assert 0 == run(["study", str(orchard), "--json", "-o", str(target)])
    assert printed.out == capsys.readouterr().out
    assert RESULTS == {path.name for path in target.iterdir()}
    assert not (orchard / "study-results").exists()


def test_a_choice_has_its_own_folder_and_its_own_answer(
    orchard: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 0 == run(["study", str(orchard), "--choice", "taller stand"])
    capsys.readouterr()
    results = orchard / "study-results"
    assert ["taller-stand"] == [path.name for path in results.iterdir()]
    document = json.loads((results / "taller-stand" / "results.json").read_text(encoding="utf-8"))
    assert document["choice"] == "taller stand"
    as_written = answer(orchard)["tanks"]["tank"]["deck"]["value"]
    # Nine feet instead of six.
    assert document["tanks"]["tank"]["deck"]["value"] - as_written == pytest.approx(3 * 0.3048)


def test_a_choice_that_is_none_is_a_matter_of_words(
    orchard: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 2 == run(["study", str(orchard), "--choice", "wide line"])
    assert 'Did you mean "wider line"?' in " ".join(capsys.readouterr().err.split())


def test_where_there_are_coordinates_there_is_a_plan(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    hill = copy_of("hill_farm_both", tmp_path)
    assert 0 == run(["study", str(hill), "--json", "-o", str(tmp_path / "out")])
    capsys.readouterr()
    assert {"plan.png", "plan.svg"} <= {path.name for path in (tmp_path / "out").iterdir()}


def test_a_write_that_breaks_off_leaves_the_old_file_whole(
    orchard: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    results = orchard / "study-results"
    results.mkdir()
    for name in RESULTS:
        (results / name).write_text("as it was", encoding="utf-8")
    move = Path.replace

    def full(self: Path, target: Path) -> Path:
        if target.name == "results.json":
            raise OSError(28, "No space left on device")
        return move(self, target)

    monkeypatch.setattr(Path, "replace", full)
    assert 3 == run(["study", str(orchard)])
    heard = capsys.readouterr()
    assert heard.out == ""
    assert "No space left on device" in heard.err
    assert "Nothing was left half-written." in heard.err
    assert RESULTS == {path.name for path in results.iterdir()}
    assert (results / "results.json").read_text(encoding="utf-8") == "as it was"
    assert (results / "report.html").read_text(encoding="utf-8") == "as it was"
    assert (results / "profile.png").read_bytes().startswith(b"\x89PNG")


def test_a_folder_that_cannot_be_made_is_told(
    orchard: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(orchard)
    assert 3 == run(["study", str(orchard), "-o", str(orchard / "lower.csv" / "out")])
    heard = capsys.readouterr()
    assert heard.out == ""
    assert "Can't write" in heard.err
    assert "Choose another place with -o" in heard.err
    assert before == contents(orchard)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root writes anywhere")
def test_a_folder_without_leave_to_write_is_told(
    orchard: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    orchard.chmod(0o555)
    try:
        assert 3 == run(["study", str(orchard)])
    finally:
        orchard.chmod(0o755)
    assert "Permission denied" in capsys.readouterr().err


def test_ctrl_c_is_answered_in_words_and_leaves_nothing_half_written(
    orchard: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stop(*_: Path) -> Path:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stop)
    assert 1 == run(["study", str(orchard)])
    assert capsys.readouterr().err.strip() == "Stopped. Nothing was left half-written."
    assert list((orchard / "study-results").iterdir()) == []


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (UsageError, 2),
        (InputError, 3),
        (SurveyError, 4),
        (ReductionError, 4),
        (GroundError, 4),
        (RangeError, 5),
    ],
)
def test_each_kind_of_bad_news_has_its_exit_code(
    error: type[TerrainHeadError],
    code: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def refuse(_: Path) -> None:
        raise error("This was found.", Trouble(what="That is why.", write='depth = "1 m"'))

    monkeypatch.setattr("terrain_head.workflows.study.open_study", refuse)
    assert code == run(["study", "any"])
    heard = capsys.readouterr()
    assert heard.out == ""
    assert ["This was found.", "That is why.", 'Write    depth = "1 m"'] == [
        line.strip() for line in heard.err.splitlines()[:4] if line
    ]


def broken_program(*_: Any, **__: Any) -> None:
    """Fail as a program fails."""
    raise TypeError("a row was no row")


def test_a_fault_of_the_program_is_one_sentence(
    orchard: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("terrain_head.workflows.study.open_study", broken_program)
    assert 1 == run(["study", str(orchard)])
    heard = capsys.readouterr()
    assert heard.out == ""
    assert heard.err.startswith("This is a fault of the program, not of your files.\n")
    assert "TypeError: a row was no row" in heard.err
    assert "--debug" in heard.err
    assert "Traceback" not in heard.err


def test_where_it_is_asked_for_a_fault_shows_where(
    orchard: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("terrain_head.workflows.study.open_study", broken_program)
    assert 1 == run(["--debug", "study", str(orchard)])
    heard = capsys.readouterr().err
    assert heard.startswith("Traceback")
    assert "in broken_program" in heard
    assert "This is a fault of the program, not of your files." in heard


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["studdy"], "There is no command 'studdy'. Did you mean 'study'?"),
        (["zzz"], "There is no command 'zzz'.\n"),
        (["study", "--chioce", "main", "x"], "Did you mean '--choice'?"),
        (["study"], "Missing argument 'FILE-OR-FOLDER'"),
    ],
)
def test_words_that_do_not_fit_are_told_with_the_near_ones(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 2 == run(words)
    heard = capsys.readouterr()
    assert heard.out == ""
    assert said in heard.err
    assert "--help" in heard.err


def test_a_study_that_is_not_there_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 3 == run(["study", str(tmp_path / "nowhere")])
    assert "there is no such file" in " ".join(capsys.readouterr().err.split())


def test_what_is_no_study_is_told_with_the_command_that_helps(
    orchard: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(orchard)
    assert 3 == run(["study", "lower.csv"])
    assert "terrain-head reduce lower.csv" in capsys.readouterr().err
    (orchard / "study.toml").unlink()
    assert 3 == run(["study", "."])
    heard = capsys.readouterr().err
    assert heard.startswith("This folder holds no study file.")
    assert "terrain-head new ." in heard


@pytest.mark.parametrize("name", [None, *group.list_commands(None)])  # type: ignore[arg-type]
def test_each_help_fits_the_screen_and_shows_an_example(
    name: str | None, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 0 == run([*([name] if name else []), "--help"])
    heard = capsys.readouterr().out
    assert heard.isascii()
    assert max(len(line) for line in heard.splitlines()) <= 79
    assert ("Example: terrain-head" if name else "Commands:") in heard


def test_the_package_runs_as_a_module() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "terrain_head", "--version"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert 0 == done.returncode
    assert done.stdout.startswith("terrain-head ")
    wrong = subprocess.run(
        [sys.executable, "-m", "terrain_head", "nothing"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert 2 == wrong.returncode
