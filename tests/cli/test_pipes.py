"""``terrain-head pipes``: words, exit codes, JSON."""

import json
import re

import pytest

from terrain_head.cli.main import run
from terrain_head.errors import UsageError
from terrain_head.files.pipe_spec import parse_spec
from terrain_head.scheme.pipe_table import PIPE_TABLE
from terrain_head.workflows.pipes import pipe_rows


def words(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert run(["pipes", *arguments]) == 0
    text = capsys.readouterr().out
    assert text.isascii()
    assert max(len(line) for line in text.splitlines()) <= 79
    assert not any(line.endswith(" ") for line in text.splitlines())
    return text


@pytest.mark.parametrize("units", [[], ["--units", "metric"], ["--units", "us"]], ids=str)
def test_with_nothing_asked_each_standard_and_wall_has_one_line(
    units: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    text = words(units, capsys)
    kinds = dict.fromkeys(f"{row.name} {row.standard} {row.grade}" for row in PIPE_TABLE)
    lines = text.splitlines()
    assert lines[0].split() == ["pipe", "sizes", "bears"]
    for at, kind in enumerate(kinds, 1):
        assert lines[at].startswith(kind + "  ")
    assert ("bar" in lines[len(kinds)]) == (units == ["--units", "metric"])
    assert "DN 15 to 100" in text
    assert "terrain-head pipes --standard D2239" in text


def test_both_unit_systems_stand_beside_each_other(capsys: pytest.CaptureFixture[str]) -> None:
    assert "41 to 15 bar  600 to 220 psi" in words([], capsys)
    text = words(["--material", "pvc"], capsys)
    assert "PVC ASTM D1785 Sch 40    (inside: the average)" in text
    row = next(line for line in text.splitlines() if line.startswith("  1-1/2 in   48.3 mm"))
    assert "1.592 in" in row
    assert row.endswith("22.8 bar  330 psi")


@pytest.mark.parametrize(
    ("units", "row"),
    [
        ("metric", "  32 mm        32.0 mm     3.0 mm    26.0 mm   16.0 bar"),
        ("us", "  32 mm       1.260 in   0.118 in   1.024 in   232 psi"),
    ],
)
def test_one_unit_system_shows_the_wall_too(
    units: str, row: str, capsys: pytest.CaptureFixture[str]
) -> None:
    text = words(["--standard", "pe100 sdr 11", "--size", "32", "--units", units], capsys)
    assert row in text.splitlines()


@pytest.mark.parametrize(
    "arguments",
    [[], ["--material", "steel"], ["--standard", "D2239"], ["--material", "PE80"],
     ["--standard", "D1785"], ["--standard", "D3035", "--units", "us"]],
    ids=str,
)  # fmt: skip
def test_it_ends_with_what_the_inside_means(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    text = words(arguments, capsys)
    _, _, meaning = text.partition("What the inside is:\n")
    asked = dict(zip(("material", "standard"), ("", ""), strict=True))
    asked |= {
        option.removeprefix("--"): value
        for option, value in zip(arguments[::2], arguments[1::2], strict=True)
    }
    rows = pipe_rows(material=asked["material"] or None, standard=asked["standard"] or None)
    named = {"average": "  the average:", "minimum wall": "  with the least wall:",
             "nominal": "  nominal:"}  # fmt: skip
    for basis, said in named.items():
        assert (said in meaning) == (basis in {row.inside_basis for row in rows})


@pytest.mark.parametrize(
    "arguments", [["--standard", "D2239"], ["--material", "steel"], []], ids=str
)
def test_the_lines_offered_for_a_study_are_read_by_it(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    offered = [
        line.strip() for line in words(arguments, capsys).splitlines() if line.startswith("  spec")
    ]
    texts = [match[1] for line in offered if (match := re.fullmatch(r'spec = "(.*)"', line))]
    tables = [match[1] for line in offered if (match := re.search(r'standard = "([^"]*)"', line))]
    assert len(texts) + len(tables) + 1 == len(offered)
    assert bool(tables) == (arguments != ["--standard", "D2239"])
    for text in (*texts, *tables):
        spec, _taken = parse_spec(text, where="x")
        assert spec.label == text


def test_what_the_print_decides_stands_over_the_rows(capsys: pytest.CaptureFixture[str]) -> None:
    text = words(["--standard", "sidr 15"], capsys)
    assert "bears, by its print: PE4710 8.6 bar 125 psi; PE3608 6.9 bar 100 psi" in text


def test_nothing_is_asked_of_a_print_where_the_table_knows_the_rating(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = words(["--standard", "pvc", "--size", "2"], capsys)
    assert "see its print" not in text
    assert "PVC keeps 50% at 43 C (110 F) and 22% at 60 C (140 F)" in text
    assert "Warmer plastic" not in words(["--material", "steel"], capsys)


def test_json_holds_the_same_rows_in_metres_and_nothing_else(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["pipes", "--json"]) == 0
    captured = capsys.readouterr()
    rows = json.loads(captured.out)["pipes"]
    assert captured.err == ""
    assert [row["spec"] for row in rows] == [row.label for row in PIPE_TABLE]
    assert rows[0]["rating"] is None
    assert rows[0]["warm"] is None
    assert rows[0]["rating_by_print"] == {}
    assert rows[0]["inside"] == {"value": PIPE_TABLE[0].inside_m, "unit": "m", "std": None}
    pvc = next(row for row in rows if row["material"] == "PVC")
    assert pvc["rating"]["unit"] == "kPa"
    assert "Machinery" in pvc["rating_source"]
    assert pvc["warm"]["share"] == [1.0, 0.88, 0.75, 0.62, 0.5, 0.4, 0.3, 0.22]
    assert len(pvc["warm"]["temperature"]) == 8
    assert pvc["widest_inside"]["value"] > pvc["inside"]["value"]
    by_print = next(row for row in rows if row["standard"] == "ASTM D2239")["rating_by_print"]
    assert by_print["PE4710"]["value"] == pytest.approx(1.25 * by_print["PE3608"]["value"])


@pytest.mark.parametrize(
    ("asked", "labels"),
    [
        ({"standard": "sdr 17", "size": "32", "material": "pe100"},
         ["PE100 ISO 4427 32 mm SDR 17"]),
        ({"standard": "B36.10", "size": "1-1/4 in"},
         ["steel ASME B36.10 1-1/4 in Sch 40", "steel ASME B36.10 1-1/4 in Sch 80"]),
        ({"standard": "B36.10 sch 40", "size": "DN 32"}, ["steel ASME B36.10 1-1/4 in Sch 40"]),
        ({"standard": "medium", "size": "2"}, ["steel EN 10255 DN 50 medium"]),
        ({"standard": "pvc d1785", "size": "1.5 in"},
         ["PVC ASTM D1785 1-1/2 in Sch 40", "PVC ASTM D1785 1-1/2 in Sch 80"]),
        ({"standard": "sidr-7", "size": '2"'}, ["PE ASTM D2239 2 in SIDR 7"]),
        ({"standard": "SDR 11", "size": "110mm"},
         ["PE100 ISO 4427 110 mm SDR 11", "PE80 ISO 4427 110 mm SDR 11"]),
        ({"material": "poly", "size": "1", "rating": "250 psi"},
         ["PE ASTM D2239 1 in SIDR 7", "PE ASTM D3035 1 in DR 7", "PE ASTM D3035 1 in DR 9",
          "PE ASTM D2737 1 in SDR 9"]),
        ({"material": "PE100", "size": "32 mm", "inside": "26 mm", "rating": "12 bar"},
         ["PE100 ISO 4427 32 mm SDR 11", "PE100 ISO 4427 32 mm SDR 13.6"]),
        ({"material": "galvanised", "size": "1/2", "standard": "heavy"},
         ["steel EN 10255 DN 15 heavy"]),
    ],
)  # fmt: skip
def test_rows_are_found_by_words_size_and_limits(asked: dict[str, str], labels: list[str]) -> None:
    assert labels == [row.label for row in pipe_rows(**asked)]


def test_every_row_found_bears_and_is_as_wide_as_asked() -> None:
    rows = pipe_rows(rating="12.5 bar", inside="2 in")
    assert rows
    for row in rows:
        assert row.most_pa is not None
        assert row.most_pa >= 0.999 * 12.5e5
        assert row.inside_m >= 0.999 * 0.0508
    left = [row for row in PIPE_TABLE if row not in rows]
    assert all((row.most_pa or 0) < 12.5e5 or row.inside_m < 0.0508 for row in left)


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
        (["--material", "bamboo"], "--material PE"),
        (["--material", "cast iron"], "--material PE"),
        (["--rating", "100 bar"], "PVC ASTM D1785 1/2 in Sch 80"),
        (["--material", "steel", "--rating", "1 bar"], "a rating of 1 bar"),
        (["--inside", "1 m"], "an inside of 1 m"),
        (["--inside", "10 bar"], '--inside "26 mm"'),
        (["--rating", "10"], '--rating "10 bar"'),
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
