"""The command that reduces a level book: its words, its JSON, and their agreement."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from terrain_head.cli.main import run

_LOWER = (
    "point,bs [ft],is,fs,elevation\nBM1,4.12,,,100.00\nspring,,5.37,,\nTP1,2.05,,9.86,\n"
    "ram,,5.46,,\nTP2,11.62,,7.90,\nTP3,7.44,,3.10,\nBM1,,,4.40,\n"
)
Screen = Callable[..., str]


@pytest.fixture
def screen(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Screen:
    """Run the command on a book given as text and return what it prints."""

    def show(text: str, *options: str) -> str:
        path = tmp_path / "lower.csv"
        path.write_text(text, encoding="utf-8")
        assert run(["reduce", str(path), *options]) == 0
        told = capsys.readouterr()
        assert told.err == ""
        if "--json" not in options:
            assert told.out.isascii()
            assert all(len(line) <= 79 for line in told.out.splitlines())
        return told.out

    return show


def _flat(text: str) -> str:
    return " ".join(text.split())


def test_screen_begins_with_the_fall(screen: Screen) -> None:
    lines = screen(_LOWER, "--reading-error", "0.01 ft").splitlines()
    assert lines[0] == "lower.csv: 4 set-ups, 10 readings, in feet and hundredths"
    assert lines[2] == "ram is 7.89 ft below spring (7 ft 10-11/16 in), give or take 0.03 ft."


def test_book_stands_as_read_beside_shared_out(screen: Screen) -> None:
    text = screen(_LOWER, "--reading-error", "0.01 ft")
    rows = [line.split() for line in text.splitlines()]
    assert ["4", "TP1", "2.05", "9.86", "96.31", "94.26", "94.27", "94.27", "+-", "0.02"] in rows
    assert ["8", "BM1", "4.40", "99.97", "100.00", "given"] in rows
    assert ["sums", "25.23", "25.26"] in rows
    flat = _flat(text)
    assert "25.23 - 25.26 = -0.03, and 99.97 - 100.00 = -0.03: adds up." in flat
    assert "You came back to BM1 0.03 ft low; 0.05 is allowed" in flat
    assert "the reading error as stated" in flat
    assert "Nothing stands out. With one loop" in flat


def test_metric_screen_of_the_same_book(screen: Screen) -> None:
    flat = _flat(screen(_LOWER, "--units", "metric"))
    assert "in metres and thousandths" in flat
    assert "ram is 2.406 m below spring" in flat
    assert "3 mm a reading was taken (our own figure)" in flat


def test_book_in_inches_is_told_in_inches(screen: Screen) -> None:
    text = "point,bs [ft-in],fs,elevation\nhut,4-0-5/8,,100 ft\npond,,9-3-1/4,\n"
    assert "pond is 5 ft 2-5/8 in (5.22 ft) below hut" in screen(text)


def test_open_book_says_that_nothing_is_checked(screen: Screen) -> None:
    flat = _flat(screen("point,bs [m],fs,elevation\nBM1,1.0,,100\ntank,,2.0,\n"))
    assert "You did not come back to a known point, so nothing here is checked." in flat
    assert "Read BM1 and tank once more, from another set-up: that would check them." in flat


def test_ram_above_the_spring_is_asked_about(screen: Screen) -> None:
    text = "point,bs [m],is,fs\nBM,1.0,,\nram,,1.0,\nthe spring,,2.0,\nBM,,,1.0\n"
    flat = _flat(screen(text))
    assert "ram is 1.000 m above the spring" in flat
    assert "swapped, or your rod's numbers grow upward. If they do, add --rod direct." in flat
    turned = screen(text, "--rod", "direct")
    assert "ram is 1.000 m below the spring" in turned
    assert "its figures are elevations" in _flat(turned)


def test_blunder_is_named_as_more_than_the_readings_explain(screen: Screen) -> None:
    flat = _flat(screen(_LOWER.replace("BM1,,,4.40", "BM1,,,5.40")))
    assert "1.03 ft low" in flat
    assert "That is more than the readings explain. It was shared over" in flat
    assert "One of the 8 readings is wrong by about 1.03 ft." in flat
    assert "That is close to 1 ft: perhaps a whole figure was misread." in flat
    assert "Nothing stands out" not in flat


def test_exact_closing_is_called_exact(screen: Screen) -> None:
    book = "point,bs [m],fs,elevation\nA,1.000,,100\nB,1.000,2.000,\nA,,0.000,\n"
    assert "You came back to A exactly; 0.010 is allowed" in _flat(screen(book))
    line = book.replace("\nA,,0.000,", "\nC,,0.000,100")
    assert "From A, C came out exactly at its elevation;" in _flat(screen(line))


def test_reading_that_stands_out_is_named(screen: Screen) -> None:
    text = (
        "setup,point,rod [m],elevation\n1,A,1.000,100\n1,B,2.000,\n1,C,3.000,\n2,A,1.100,\n"
        "2,B,2.101,\n2,C,3.099,\n3,A,1.200,\n3,B,2.201,\n3,C,3.900,\n4,A,1.300,\n4,B,2.300,\n"
        "4,C,3.301,\n"
    )
    flat = _flat(screen(text, "--reading-error", "1 mm"))
    for said in (flat, _flat(screen(text))):
        assert "3.900 on C (line 10) fits the others worst: wrong by about 0.700 m." in said
        assert "close to 7 dm: perhaps a whole figure was misread." in said
    assert "Nothing stands out." in _flat(screen(text.replace("3.900", "3.201")))


def test_wrong_hand_figure_is_named(screen: Screen) -> None:
    text = (
        "point,bs [m],is,fs,elevation,worked\nBM,1.855,,,100.000,100.000\nA,,2.410,,,99.445\n"
        "CP1,2.165,,0.995,,100.860\nC,,,1.720,,100.415\n"
    )
    flat = _flat(screen(text))
    assert "100.415 - 100.000 = 0.415: does not add up" in flat
    assert "go wrong first in line 5: 100.415 is worked there, the readings give 101.305" in flat
    between = _flat(screen(text.replace("99.445", "99.544").replace("100.415", "101.305")))
    assert "adds up all the same. The hand's figures go wrong first in line 3" in between


def test_published_classes_stand_beside_a_run_of_known_length(screen: Screen) -> None:
    text = (
        "setup,point,rod [m],dist,elevation\n1,A,1.000,40,100\n1,TP1,2.000,40,\n2,TP1,1.500,40,\n"
        "2,B,1.000,40,99.501\n"
    )
    flat = _flat(screen(text, "--angle-error", "10 arcsec", "--reading-error", "1 mm"))
    assert "Third order allows 0.005 (12 mm x sqrt(km); from memory)." in flat
    assert "From A, B came out 0.001 m low against its elevation" in flat


def test_every_fact_is_told(screen: Screen) -> None:
    text = (
        "point,bs [ft],is,fs,sky,route,slope_station\nBM,4.07,,,fair,r,0\ntank,,5.11,,,r,5\n"
        "TANK,,3.02,,,,\nB,66.01,,6.10,,,\nBM,,,66.02,,,\nZ,,,,,r,20\n"
    )
    flat = _flat(screen(text, "--angle-error", "10 arcsec"))
    for words in (
        "write the heading as bs [ft-in] and the reading as 4-7",
        "longer than a rod",
        '"tank" and "TANK" are taken as two points',
        "On route r the point Z was never read",
        'The column "sky" of lower.csv is not known',
        "The taped leg that ends at Z was taken as level",
        "6 readings have no distance",
        "BM was called 100 ft",
    ):
        assert words in flat


@pytest.mark.parametrize("rod", ["normal", "direct"])
def test_rod_turned_about_is_told(screen: Screen, rod: str) -> None:
    text = "point,bs [m],fs,elevation\nA,1.000,,100\nB,,2.000,{}\n"
    flat = _flat(screen(text.format(101 if rod == "normal" else 99), "--rod", rod))
    assert "With the readings taken the other way the book would close." in flat


def test_several_books_and_other_heights(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    one, two, other = (tmp_path / name for name in ("one.csv", "two.csv", "heights.csv"))
    one.write_text("point,bs [m],fs,elevation\nBM,1.5,,100\nA,,0.5,\n", encoding="utf-8")
    two.write_text("point,bs [m],fs\nA,1.0,\nB,,2.0\n", encoding="utf-8")
    other.write_text("from,to,rise [m],give_or_take\nB,hut,3,0.1\n", encoding="utf-8")
    assert run(["reduce", str(one), str(two), "--heights", str(other)]) == 0
    told = capsys.readouterr().out
    assert "1 other difference" in told
    assert "\none.csv\nline" in told
    assert "Page check      two.csv, lines 2 to 3:" in told
    assert "By other means\n      hut  103.000 m" in told.replace("103.00 m", "103.000 m")


def test_named_points_beyond_the_first_are_counted(screen: Screen) -> None:
    rows = "".join(f"place {letter},,1.0,,\n" for letter in "abcdefghijk")
    assert "... and 2 more: --json" in screen(f"point,bs [m],is,fs,elevation\nBM,1,,,5\n{rows}")


def test_stakes_and_turning_points_are_named_where_nothing_else_is(screen: Screen) -> None:
    flat = _flat(screen("point,bs [m],is,fs\nTP1,1,,\n1,,1.5,\n2,,2.0,\n"))
    assert "2 is 0.500 m below 1" in flat
    assert "TP2 is 0.500 m below TP1" in _flat(screen("point,bs [m],is,fs\nTP1,1,,\nTP2,,,1.5\n"))


def test_long_names_are_cut_to_keep_the_width(screen: Screen) -> None:
    name = "the old oak at the corner of the upper meadow"
    assert f"{name[:8]}" in screen(_LOWER.replace("TP3", name))


def _document(screen: Screen, text: str, *options: str) -> dict[str, Any]:
    found = json.loads(screen(text, *options, "--json"))
    assert isinstance(found, dict)
    return found


def test_document_holds_what_the_design_says(screen: Screen) -> None:
    found = _document(screen, _LOWER, "--reading-error", "3 mm")
    for key in ("datum", "points", "readings", "page_check", "misclosures", "reading_std", "s0",
                "degrees_of_freedom", "findings"):  # fmt: skip
        assert key in found
    assert [point["point"] for point in found["points"]] == [
        "BM1", "spring", "TP1", "ram", "TP2", "TP3",
    ]  # fmt: skip
    spring = found["points"][1]
    assert spring["elevation"]["value"] == pytest.approx(98.75375 * 0.3048, abs=1e-6)
    assert spring["elevation"]["unit"] == "m"
    assert spring["elevation"]["std"] > 0
    assert not spring["known"]
    assert spring["route"] is None
    assert found["points"][0]["elevation"]["std"] == 0
    first = found["readings"][0]
    assert (first["row"], first["point"], first["kind"]) == (2, "BM1", "bs")
    assert first["reading"]["value"] == pytest.approx(4.12 * 0.3048)
    (run_,) = found["misclosures"]
    assert run_["from"] == run_["to"] == "BM1"
    assert run_["computed_minus_known"]["value"] == pytest.approx(-0.03 * 0.3048)
    assert run_["holds"] is True
    check = found["page_check"]
    assert check["holds"] is True
    assert check["first_wrong_row"] is None
    assert check["sum_bs"]["value"] - check["sum_fs"]["value"] == pytest.approx(
        check["last_minus_first"]["value"]
    )
    assert found["degrees_of_freedom"] == 1
    assert found["findings"] == []


def test_document_carries_stations_and_findings(screen: Screen) -> None:
    text = "point,bs,fs,route,station\nA,1.0,,up,0\nB,,2.0,up,12\nC,,,,\n"
    found = _document(screen, text, "--unit", "m")
    assert found["datum_assumed"] is True
    assert [point["station"]["value"] for point in found["points"]] == [0, 12]
    assert [finding["kind"] for finding in found["findings"]] == [
        "first-point-called-100", "reading-error-taken",
    ]  # fmt: skip
    assert found["s0"] is None


def test_document_of_heights_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book, other = tmp_path / "known.csv", tmp_path / "heights.csv"
    book.write_text("point,bs [m],fs,elevation\nA,,,100\n", encoding="utf-8")
    other.write_text("from,to,rise [m]\nA,B,3\nB,A,-3.1\n", encoding="utf-8")
    arguments = ["reduce", str(book), "--heights", str(other)]
    assert run([*arguments, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["page_check"] is None
    assert found["points"][1]["elevation"]["value"] == pytest.approx(103.05)
    assert found["points"][1]["by_setups"] is None
    assert run(arguments) == 0
    assert "B  103.05 m" in capsys.readouterr().out


def test_the_error_taken_for_heights_is_told_with_its_source(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book, other = tmp_path / "known.csv", tmp_path / "heights.csv"
    book.write_text("point,bs [m],fs,elevation\nA,,,100\n", encoding="utf-8")
    other.write_text("from,to,rise [m],how\nA,B,3,hose\nB,C,1,hose\nA,D,1,guess\n", "utf-8")
    arguments = ["reduce", str(book), "--heights", str(other)]
    assert run(arguments) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "How sure the heights had by hose level are was not stated: at most 7 mm was" in told
    assert "How sure the height had otherwise than with the rod" in told
    assert run([*arguments, "--json"]) == 0
    first, second = [
        one
        for one in json.loads(capsys.readouterr().out)["findings"]
        if one["kind"] == "height-error-taken"
    ]
    assert first["value"]["value"] == pytest.approx(0.005 * 2**0.5)
    assert ("hose" in first["source"], "not known" in second["source"]) == (True, True)


def test_help_names_the_options(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["reduce", "--help"]) == 0
    told = capsys.readouterr().out
    for option in ("--unit", "--rod", "--reading-error", "--units", "--json", "--heights"):
        assert option in told


WATER_BOOK = """point,bs [ft-in],is,fs
BM1,4-7-1/2,,
spring behind the old crooked oak with the blue ribbon,,5-2,
peg one,,5-2,
TP 3,0-6,,12-1
peg 4,,5-2,
ram,,8-3-1/4,
gate,,6-1,
tank hill,,2-2,
house tap,,3-2,
beds,,6-2,
TP4,15-2,,0-1
BM1,,,8-1-1/2
"""


def test_the_way_of_the_water_is_told_first_and_no_peg_is_a_place(screen: Screen) -> None:
    """Elevations of the ram and the tank by hand: 5 ft 1-3/4 in under BM1 and 6 ft 1-1/4 in up."""
    blocks = screen(WATER_BOOK).split("\n\n")
    told = [line for line in blocks[1].splitlines() if " above " in line or " below " in line]
    oak = "spring behind the old crooked oak with the blue ribbon"
    assert told[0].startswith(f"ram is 14 ft 8-1/4 in (14.69 ft) below {oak}"[:60])
    assert told[1].startswith("tank hill is 6 ft 1-1/4 in (6.10 ft) above ram")
    assert told[2].startswith("house tap is 1 ft 0 in (1.00 ft) below tank hill")
    assert told[3].startswith("beds is 4 ft 0 in (4.00 ft) below tank hill")
    assert not [line for line in told if "peg" in line or "TP" in line]


def test_readings_of_feet_and_inches_stand_as_they_were_written(screen: Screen) -> None:
    text = screen(WATER_BOOK)
    assert "readings as written" in text
    lines = text.splitlines()
    oak = "spring behind the old crooked oak with the blue ribbon"
    at = next(n for n, line in enumerate(lines) if line.strip() == oak)
    assert lines[at + 1].split()[:2] == ["3", "5-2"]
    assert [line for line in lines if line.split()[:3] == ["7", "ram", "8-3-1/4"]]
    assert max(map(len, lines)) <= 79


def test_findings_of_the_document_carry_value_and_source(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "lower.csv"
    book.write_text("point,bs [m],fs\nA,1.0,\nB,,12.5\n", encoding="utf-8")
    assert run(["reduce", str(book), "--json"]) == 0
    found = {one["kind"]: one for one in json.loads(capsys.readouterr().out)["findings"]}
    taken = found["reading-error-taken"]
    assert taken["value"] == {"value": 0.003, "unit": "m", "std": None}
    assert "rod reading that nobody stated" in taken["source"]
    long = found["long-reading"]
    assert (long["value"]["value"], long["limit"]["value"]) == (12.5, 10.0)
    assert all(one["source"] for one in found.values())


_UPHILL = (
    "point,bs [m],is,fs,elevation,bs_dist,fs_dist\nBM,2.104,,,100,30,\nTP1,1.950,,0.402,,30,10\n"
    "tank,,,0.311,,,10\n"
)


def _rise_std(text: str, book: Path, capsys: pytest.CaptureFixture[str], *options: str) -> float:
    book.write_text(text, encoding="utf-8")
    assert run(["reduce", str(book), "--json", "--reading-error", "1 mm", *options]) == 0
    points = json.loads(capsys.readouterr().out)["points"]
    return float(next(one["elevation"]["std"] for one in points if one["point"] == "tank"))


def test_the_instrument_is_told_to_the_command_in_the_study_s_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sights 20 m out of balance at both set-ups share the slope of the box."""
    level = ("--instrument", "optical level", "--accuracy", "1.5 mm at 30 m")
    book = tmp_path / "uphill.csv"
    expected = math.hypot(2 * 0.001, 0.0015 / 30 * 40)
    assert _rise_std(_UPHILL, book, capsys, *level) == pytest.approx(expected)
    same = _rise_std(_UPHILL, book, capsys, "--angle-error", "10.3132 arcsec")
    assert same == pytest.approx(expected, rel=1e-4)
    bare = "\n".join(line.rsplit(",", 2)[0] for line in _UPHILL.splitlines())
    far = _rise_std(bare, book, capsys, *level, "--farthest-sight", "40 m")
    assert far >= math.sqrt(4) * math.hypot(0.001, 0.0015 / 30 * 40) * (1 - 1e-9)
    laser = ("--instrument", "rotating laser", "--half-turn", "3 mm at 30 m")
    assert _rise_std(_UPHILL, book, capsys, *laser) > expected


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--accuracy", "10 arcsec"), "Of which instrument"),
        (
            ("--instrument", "optical level", "--half-turn", "2 mm at 30 m"),
            "is a check of a rotating laser",
        ),
        (
            ("--instrument", "optical level", "--angle-error", "10 arcsec"),
            "say the same twice",
        ),
        (("--instrument", "rotating laser", "--accuracy", "2 mm"), "--accuracy can't be used"),
        (("--instrument", "rotating laser", "--accuracy", "2 mm at x"), "--accuracy can't be used"),
    ],
)
def test_options_of_the_instrument_that_do_not_fit_are_refused(
    options: tuple[str, ...], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "uphill.csv"
    book.write_text(_UPHILL, encoding="utf-8")
    assert run(["reduce", str(book), *options]) == 2
    assert says in capsys.readouterr().err


def test_a_laser_without_directions_is_told_at_its_worst(screen: Screen) -> None:
    flat = _flat(screen(_UPHILL, "--instrument", "rotating laser", "--accuracy", "10 arcsec"))
    assert "the laser's tilt was taken at its worst" in flat
