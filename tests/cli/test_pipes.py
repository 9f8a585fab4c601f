"""``terrain-head pipes``: words, exit codes, JSON."""

import json

import pytest

from terrain_head.cli.main import run
from terrain_head.errors import UsageError
from terrain_head.files.pipe_spec import parse_spec
from terrain_head.scheme.pipe_table import PIPE_TABLE
from terrain_head.workflows.pipes import pipe_rows


def test_the_whole_table_is_plain_text_in_both_unit_systems(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["pipes"]) == 0
    text = capsys.readouterr().out
    assert text.isascii()
    assert max(len(line) for line in text.splitlines()) <= 79
    assert "PVC ASTM D1785 Sch 40    (inside: the average)" in text
    row = next(line for line in text.splitlines() if line.startswith("  1-1/2 in  48.3 mm"))
    assert "1.610 in" in row
    assert row.endswith("see its print")
    assert "19.3 bar  280 psi" in text


def test_the_lines_offered_for_a_study_are_read_by_it(capsys: pytest.CaptureFixture[str]) -> None:
    run(["pipes", "--standard", "D2239"])
    offered = [
        line.strip() for line in capsys.readouterr().out.splitlines() if line.startswith("  spec")
    ]
    assert len(offered) == 3
    spec, _taken = parse_spec(offered[0].partition('"')[2].rstrip('"'), where="x")
    assert spec.material == "PE"
    assert 'rating = "..."' in offered[2]


def test_nothing_is_asked_of_a_print_where_the_table_knows_the_rating(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["pipes", "--standard", "pvc", "--size", "2"]) == 0
    assert "see its print" not in capsys.readouterr().out


def test_json_holds_the_same_rows_in_metres_and_nothing_else(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["pipes", "--json"]) == 0
    captured = capsys.readouterr()
    rows = json.loads(captured.out)["pipes"]
    assert captured.err == ""
    assert [row["spec"] for row in rows] == [row.label for row in PIPE_TABLE]
    assert rows[0]["rating"] is None
    assert rows[0]["inside"] == {"value": PIPE_TABLE[0].inside_m, "unit": "m", "std": None}
    pvc = next(row for row in rows if row["material"] == "PVC")
    assert pvc["rating"]["unit"] == "kPa"
    assert "Machinery" in pvc["rating_source"]


@pytest.mark.parametrize(
    ("standard", "size", "labels"),
    [
        ("sdr 17", "32", ["PE100 ISO 4427 32 mm SDR 17"]),
        ("B36.10", "1-1/4 in", ["steel ASME B36.10 1-1/4 in Sch 40"]),
        ("pvc", "1.5 in", ["PVC ASTM D1785 1-1/2 in Sch 40"]),
        ("sidr-7", '2"', ["PE ASTM D2239 2 in SIDR 7"]),
        ("SDR 11", "110mm", ["PE100 ISO 4427 110 mm SDR 11"]),
    ],
)
def test_rows_are_found_by_words_and_size(standard: str, size: str, labels: list[str]) -> None:
    assert labels == [row.label for row in pipe_rows(standard=standard, size=size)]


def test_no_words_find_all() -> None:
    assert pipe_rows() == PIPE_TABLE


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--standard", "pvcc"], "--standard pvc"),
        (["--standard", "xyzzy"], "--standard PVC"),
        (["--size", "33 mm"], "Sizes there"),
        (["--size", "wide"], "Sizes there"),
        (["--standard", "pvc", "--size", "32 mm"], "1-1/2 in"),
    ],
)
def test_what_is_not_there_is_a_usage_error_with_the_cure(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["pipes", *arguments]) == UsageError.exit_code == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert said in captured.err
    assert max(len(line) for line in captured.err.splitlines()) <= 79
