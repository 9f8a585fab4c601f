"""Each broken input gives one clear message with its cure, and nothing is written."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from terrain_head.cli.main import run
from tests.journeys.broken import BROKEN, Broken

PAGE = (Path(__file__).parents[2] / "docs" / "messages.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^## ([^\n]+)\n(.*?)```text\n(.*?)```", PAGE, flags=re.DOTALL | re.MULTILINE)
BY_NAME = {broken.name.lower(): broken for broken in BROKEN}
LEFT_ALONE = (
    "Nothing was computed; your files are as they were.",
    "Nothing was written.",
)
NEVER_SAID = ("Traceback", "Error", "invalid", "Invalid", "please", "Please", "None", "\t")


def files_under(folder: Path) -> dict[str, bytes]:
    """Return what stands in every file under a folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def told(
    broken: Broken,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> tuple[int, str]:
    """Return the exit code and the message; fail if anything was printed or written."""
    broken.make(folder)
    before = files_under(folder)
    monkeypatch.chdir(folder)
    code = run(["study", broken.sample, *broken.options])
    heard = capsys.readouterr()
    assert heard.out == ""
    assert before == files_under(folder)
    assert {broken.sample} == {path.name for path in folder.iterdir()}
    return code, heard.err


def test_there_are_enough_of_them() -> None:
    assert len(BY_NAME) == len(BROKEN) >= 40


@pytest.mark.parametrize("broken", BROKEN, ids=lambda broken: broken.name)
def test_a_broken_input_is_told_with_its_cure_and_nothing_is_written(
    broken: Broken,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, message = told(broken, tmp_path, monkeypatch, capsys)
    assert broken.code == code
    in_one_line = " ".join(message.split())
    assert [word for word in broken.says if word not in message and word not in in_one_line] == []
    assert [word for word in NEVER_SAID if word in message] == []
    assert message.isascii()
    assert max(len(line) for line in message.splitlines()) <= 79
    assert message.rstrip("\n").endswith(LEFT_ALONE)


@pytest.mark.parametrize("command", ["check", "compare"])
def test_other_commands_say_the_same_of_a_study_file(
    command: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, message = told(BY_NAME["unknown key"], tmp_path, monkeypatch, capsys)
    assert run([command, "orchard_rod"]) == code
    assert message == capsys.readouterr().err


@pytest.mark.parametrize(
    "broken", [one for one in BROKEN if not one.options], ids=lambda broken: broken.name
)
def test_what_study_refuses_check_refuses_too(
    broken: Broken,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    broken.make(tmp_path)
    monkeypatch.chdir(tmp_path)
    assert run(["check", broken.sample]) == broken.code
    heard = capsys.readouterr()
    assert heard.out == ""
    assert broken.says[0] in " ".join(heard.err.split())


@pytest.mark.parametrize("example", EXAMPLES, ids=[example[0] for example in EXAMPLES])
def test_the_page_of_messages_has_each_word_for_word(
    example: tuple[str, str, str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    name, shown, message = example
    broken = BY_NAME[name.lower()]
    _, said = told(broken, tmp_path, monkeypatch, capsys)
    assert message == said
    lines = re.findall(r"```(?:toml|csv|json)\n(.*?)```", shown, flags=re.DOTALL)
    assert len(lines) == (1 if broken.swaps else 0)
    standing = "\n".join(
        (tmp_path / broken.sample / file).read_text(encoding="utf-8") for file, _, _ in broken.swaps
    )
    assert [line for text in lines for line in text.splitlines() if line not in standing] == []


def test_the_page_has_a_dozen() -> None:
    assert len(EXAMPLES) >= 12
