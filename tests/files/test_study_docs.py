"""docs/study_file.md: every example in it is read, every table in it is the code's own."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from terrain_head.cli.main import run
from terrain_head.files import instrument_keys, study_keys
from terrain_head.files.raster_kinds import RASTER_KINDS
from terrain_head.files.study_file import open_study_file
from terrain_head.files.study_key import Key, Keys, Kind

PAGE = (Path(__file__).parents[2] / "docs" / "study_file.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
BROKEN = re.findall(r"```toml broken\n(.*?)```\n\n```text\n(.*?)```", PAGE, re.DOTALL)
SECTIONS = {
    "## Top of the file": study_keys.TOP,
    "## `[ground]`": study_keys.GROUND,
    "## `[place.NAME]`": study_keys.PLACE,
    "## `[water]`": study_keys.WATER,
    "## `[source]`": study_keys.SOURCE,
    "## `[seep.NAME]`": study_keys.SEEP,
    "## `[ram]`": study_keys.RAM,
    "## `[tank]`": study_keys.TANK,
    "## `[pipe.NAME]`": study_keys.PIPE,
    "## `[outlet.NAME]`": study_keys.OUTLET,
    "## `[costs]`": study_keys.COSTS,
}


def stands_there(key: Key) -> str:
    """Return what the page says may stand after the equals sign."""
    if key.kind is Kind.WORD:
        return ", ".join(key.words)
    if key.kind is Kind.QUANTITY:
        assert key.dimension is not None
        return key.dimension.value
    return key.kind.value


@pytest.mark.parametrize("example", EXAMPLES, ids=range(len(EXAMPLES)))
def test_every_example_is_read(example: str, tmp_path: Path) -> None:
    file = tmp_path / "study.toml"
    file.write_text(example, encoding="utf-8")
    document = open_study_file(file)
    assert not document.blanks
    assert document.choice_names[0] == "main"


@pytest.mark.parametrize(("broken", "message"), BROKEN, ids=range(len(BROKEN)))
def test_every_broken_example_gives_the_message_printed_below_it(
    broken: str,
    message: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    (tmp_path / "study.toml").write_text(broken, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert run(["check", "study.toml"]) == 3
    assert message == capsys.readouterr().err


def test_the_page_has_examples_of_both_kinds() -> None:
    assert len(EXAMPLES) >= 4
    assert len(BROKEN) >= 6


@pytest.mark.parametrize("heading", SECTIONS)
def test_each_table_of_the_page_has_the_keys_of_the_code(heading: str) -> None:
    section = PAGE.split(f"\n{heading}", 1)[1].split("\n## ", 1)[0]
    keys: Keys = SECTIONS[heading]
    for name, key in keys.items():
        row = (
            f"| `{name}` | {key.meaning} | {stands_there(key)} | `{key.example}` | {key.left_out} |"
        )
        assert row in section
    assert section.count("\n| `") >= len(keys)


def test_the_instrument_s_keys_stand_on_the_page_and_their_examples_are_right(
    tmp_path: Path,
) -> None:
    lines = ["[ground.instrument]"]
    for name, key in instrument_keys.INSTRUMENT.items():
        row = f"| `{name}` | {key.meaning} | {stands_there(key)} | `{key.example}` |"
        assert f"{row} {key.left_out} |" in PAGE
        if name == "two_peg":
            continue
        lines.append(f"{name} = {key.example}" if name != "kind" else 'kind = "rotating laser"')
    file = tmp_path / "study.toml"
    file.write_text("\n".join(lines), encoding="utf-8")
    assert open_study_file(file).study().ground.farthest_m == 40.0


def test_the_two_peg_test_s_keys_stand_on_the_page_and_their_examples_are_right(
    tmp_path: Path,
) -> None:
    lines = ["[ground.instrument]", 'kind = "optical level"', "[ground.instrument.two_peg]"]
    for name, key in instrument_keys.TWO_PEG.items():
        row = f"| `{name}` | {key.meaning} | {stands_there(key)} | `{key.example}` |"
        assert f"{row} {key.left_out} |" in PAGE
        lines.append(f"{name} = {key.example}")
    file = tmp_path / "study.toml"
    file.write_text("\n".join(lines), encoding="utf-8")
    instrument = open_study_file(file).study().ground.instrument
    assert instrument is not None
    assert instrument.slope == pytest.approx(-6e-4)


@pytest.mark.parametrize("kind", RASTER_KINDS)
def test_each_class_of_rasters_is_on_the_page_with_its_source(kind: str) -> None:
    error = RASTER_KINDS[kind]
    assert f"| `{kind}` | {error.std_m:.2f} m | {error.citation} |" in PAGE


def test_every_example_of_a_key_is_right(tmp_path: Path) -> None:
    file = tmp_path / "study.toml"
    either = {"coordinates", "dem_kind", "volume", "instrument", "gives", "at", "exponent"}
    lines = ['units = "us"']
    tables = {**study_keys.PLAIN_TABLES, "place.x": study_keys.PLACE, "pipe.x": study_keys.PIPE}
    for table, keys in {**tables, "outlet.x": study_keys.OUTLET}.items():
        lines.append(f"[{table}]")
        lines += [f"{name} = {key.example}" for name, key in keys.items() if name not in either]
    lines += ["[pipe.drive]\nfrom = 'source'\nto = 'ram'", "[pipe.delivery]\nfrom='ram'\nto='tank'"]
    lines += ["[pipe.feed]\nfrom = 'source'\nto = 'box'"]
    file.write_text("\n".join(lines), encoding="utf-8")
    study = open_study_file(file).study()
    assert study.ground.books
    assert study.parts.pipes[0].spec is not None


def test_every_later_table_that_is_refused_by_name_stands_on_the_page() -> None:
    section = PAGE.split("## Tables of later versions", 1)[1].split("\n## ", 1)[0]
    for table in ("draw", "climate", "limits"):
        assert f"`[{table}]`" in section
        assert table in study_keys.LATER_TABLES
