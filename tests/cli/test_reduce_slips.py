"""What a person is told of a level book with a slip in it, in each kind of unit."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from terrain_head.cli.main import run

_METRIC = (
    "point,bs [m],is,fs,elevation\nnail,1.256,,,100.000\nspring,0.934,,1.637,\n"
    "TP1,0.625,,{ahead},\nram,2.471,,2.408,\nTP1,3.120,,0.689,\nspring,1.710,,1.048,\n"
    "nail,,,1.331,\n"
)
_FEET = (
    "point,bs [ft],is,fs,elevation\nnail,4.12,,,100.00\nspring,3.07,,5.37,\nd60,,4.11,,\n"
    "ram,8.25,,{ahead},\nd40,,6.02,,\nspring,5.61,,1.47,\nnail,{onward},,4.36,\n"
)
_INCHES = (
    "point,bs [ft-in],is,fs,elevation\nnail,4-1-1/2,,,100 ft\nspring,3-2-1/4,,5-4-7/16,\n"
    "ram,{back},,12-0,\nspring,5-2,,2-10-3/8,\nnail,,,3-11,\n"
)
_LOOP = (
    "point,bs [ft],is,fs,elevation\nnail,4.12,,,100.00\nspring,,5.37,,\nTP1,{row},\n"
    "ram,,5.46,,\nTP2,11.62,,7.90,\nTP3,7.44,,3.10,\nnail,,,4.40,\n"
)
Told = Callable[..., str]


@pytest.fixture
def told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Told:
    """Run the command on a book given as text and return what it prints, its lines joined."""

    def show(text: str, *options: str) -> str:
        path = tmp_path / "hill.csv"
        path.write_text(text, encoding="utf-8")
        assert run(["reduce", str(path), *options]) == 0
        out = capsys.readouterr().out
        if "--json" in options:
            return out
        assert out.isascii()
        assert all(len(line) <= 79 for line in out.splitlines())
        return " ".join(out.split())

    return show


def _document(told: Told, text: str, *options: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(told(text, "--json", *options))
    return found


def _stated(unit: str) -> list[tuple[str, ...]]:
    return [(), ("--reading-error", f"{'0.01 ft' if unit == 'ft' else '2 mm'}")]


@pytest.mark.parametrize("options", _stated("ft"), ids=["error taken", "error stated"])
def test_first_sentence_says_that_the_book_does_not_close(
    told: Told, options: tuple[str, ...]
) -> None:
    flat = told(_LOOP.format(row="9.86,,2.05"), *options)
    _, _, after = flat.partition("in feet and hundredths ")
    allowed = "0.05 ft"
    assert after.startswith(
        f"The book does not close: you came back to nail 15.59 ft high; {allowed} is allowed. "
        "Look at "
    )
    assert "It would close with back and ahead of line 4 exchanged." in flat
    assert "Compare line 4 with your notes. If that is not it: shoot TP2 again from nail" in flat
    assert "Written the other way round, ram is 7.89 ft below spring (7 ft 10-11/16 in)." in flat
    before, _, rest = flat.partition("Don't rely on these heights before that is settled:")
    assert rest.startswith(" ram is 3.82 ft above spring")
    assert "Nothing stands out" not in flat
    assert "give or take" not in before + rest.partition("line point")[0]


@pytest.mark.parametrize("options", _stated("m"), ids=["error taken", "error stated"])
def test_row_written_the_wrong_way_round_is_named_out_and_back(
    told: Told, options: tuple[str, ...]
) -> None:
    """The book misses by metres; its heights with the row turned about are those of the clean."""
    text = _METRIC.format(ahead="3.005").replace("TP1,0.625,,3.005", "TP1,3.005,,0.625")
    flat = told(text, *options)
    assert "Back and ahead on TP1 (line 4) look exchanged" in flat
    assert "exchange the two readings there and work it out again." in flat
    assert "Written the other way round, ram is 3.854 m below spring." in flat
    assert "ram is 3.854 m below spring" in told(_METRIC.format(ahead="3.005"))
    document = _document(told, text, *options)
    assert document["closes"] is False
    (then,) = document["suspects"][0]["without"]
    assert then["how"] == "exchanged"
    clean = _document(told, _METRIC.format(ahead="3.005"), *options)
    assert clean["closes"] is True
    heights = {one["point"]: one["elevation"]["value"] for one in clean["points"]}
    assert then["points"] == [
        {**one, "elevation": {**one["elevation"], "value": pytest.approx(heights[one["point"]])}}
        for one in then["points"]
    ]


def test_slip_of_a_decimetre_gives_the_two_answers_that_it_leaves(told: Told) -> None:
    flat = told(_METRIC.format(ahead="3.105"))
    assert "3.105 on TP1 (line 4, ahead)" in flat
    assert "That is close to 1 dm: perhaps a whole figure was misread." in flat
    assert "If it is 0.934 (line 3) or 3.105 (line 4), ram is 3.855 m below spring." in flat
    assert "ram is 3.953 m below spring." in flat
    (suspect,) = _document(told, _METRIC.format(ahead="3.105"))["suspects"]
    first, second = suspect["without"]
    assert first["rows"] == [3, 4]
    assert second["rows"] == [6, 7]
    moved = {one["point"]: one["change"]["value"] for one in first["points"]}
    assert moved == pytest.approx({"spring": 0.0, "ram": 0.0495}, abs=1e-6)


def test_slip_of_a_foot_is_settled_by_the_sight_that_is_advised(told: Told) -> None:
    text = _FEET.format(ahead="8.86", onward="")
    flat = told(text)
    assert "That is close to 1 ft: perhaps a whole figure was misread." in flat
    advice = "Set up once more between spring and ram and read spring, d60, d40 and ram from there"
    assert f"{advice}: that tells which reading it was." in flat
    assert _document(told, text)["suspects"][0]["next_sight"]["also"] == ["d60", "d40"]
    # From the nail on to the spring, and there the set-up that was advised.
    more = "spring,3.33,,5.25,\nd60,,4.37,,\nd40,,7.89,,\nram,,,10.12,\n"
    after = told(_FEET.format(ahead="8.86", onward="4.00") + more)
    assert "8.86 on ram (line 5, ahead) fits the others worst: wrong by about 1.00 ft." in after
    assert "Without that reading ram is 6.79 ft below spring" in after
    assert "Look there first: correct it from your notes, or read it again." in after


def test_stake_of_the_set_up_at_fault_is_to_be_read_again(told: Told) -> None:
    """A named point that only the set-up at fault has read has no height without it."""
    text = (
        "point,bs [m],is,fs\nnail,1.000,,\nspring,,1.500,\nTP1,1.200,,2.100\nnail,1.100,,0.200\n"
        "TP1,1.300,,2.100\nnail,,,0.300\n"
    )
    flat = told(text)
    assert (
        "set up once more between nail and spring and read both: that tells which reading" in flat
    )
    assert "Without that set-up nothing tells the height of spring: read it again." in flat


def test_set_up_at_fault_is_cleared_from_the_book(told: Told) -> None:
    """The readings that are named once the advice was followed, cleared: the book still reads."""
    text = _METRIC.format(ahead="3.105").replace("nail,,,1.331,", "nail,1.300,,1.331,")
    more = "spring,0.900,,1.681,\nTP1,,,2.971,\n"
    flat = told(text + more)
    assert "0.934 on spring (line 3, back) or 3.105 on TP1 (line 4, ahead)" in flat
    assert "Clear both from the book: the heights are right without that set-up." in flat
    assert "Without that set-up ram is 3.854 m below spring." in flat
    cleared = (text + more).replace("spring,0.934,,", "spring,,,").replace(",3.105,", ",,")
    after = told(cleared)
    assert "ram is 3.854 m below spring" in after
    assert "Nothing stands out." in after


def test_book_in_inches_is_told_in_feet_and_inches(told: Told) -> None:
    assert "Nothing stands out." in told(_INCHES.format(back="11-8-1/8"))
    flat = told(_INCHES.format(back="6-0-1/8"))
    assert "you came back to nail 5 ft 7-15/16 in (5.661 ft) low; 0-9/16 in (0.046 ft) is" in flat
    assert "ram is 8 ft 9-3/4 in (8.81 ft) below spring." in flat
    assert "Set up once more between spring and ram and read both" in flat


def test_book_in_which_no_one_reading_explains_the_closing_says_so(told: Told) -> None:
    """Every stretch is read differently home: the book is bad, no reading stands out."""
    out = "".join(f"T{number},1.000,2.000,\n" for number in range(1, 9))
    home = "".join(
        f"T{8 - number},1.000,{miss},\n"
        for number, miss in enumerate(("0.31", "0.27", "0.34", "0.23", "0.29", "0.09", "0.21"), 1)
    )
    text = f"point,bs [m],fs,elevation\nA,1.000,,100\n{out}{home}A,,0.26,\n"
    flat = told(text, "--reading-error", "2 mm")
    assert "No one reading explains it. It misses by close to 2 m: perhaps a whole" in flat
    assert "Compare each line with your notes, then level back to A again." in flat
    assert "Nothing stands out" not in flat


def test_every_run_that_misses_is_told(told: Told) -> None:
    text = (
        "point,bs [m],fs,elevation\nA,1.000,,100\nB,1.000,2.000,99.2\nC,1.000,2.000,98.5\n"
        "D,1.000,2.000,97.1\n"
    )
    flat = told(text, "--reading-error", "2 mm")
    assert "from A, B came out 0.200 m low; 0.005 m is allowed; from B, C came out" in flat
    assert "1 more run misses too." in flat
    assert "One at a time." in flat


def test_open_book_names_the_sight_that_would_check_it_in_each_unit(told: Told) -> None:
    metric = "point,bs [m],is,fs\nnail,1.256,,\nspring,,1.637,\nTP1,0.625,,3.005\nram,,,1.664\n"
    inches = (
        "point,bs [ft-in],fs,elevation\nnail,4-1-1/2,,100 ft\nTP1,3-2-1/4,5-4-7/16,\nram,,12-0,\n"
    )
    for text in (metric, inches):
        flat = told(text)
        assert "so nothing here is checked. One more reading on nail, from the last set-up," in flat
        assert "no longer stands there, set it up again and read ram, then nail." in flat
        assert "Nothing stands out" not in flat


def test_side_shot_that_does_not_fit_is_named_in_a_book_that_closes(told: Told) -> None:
    """The loop closes, one of three readings on a point beside it is wrong."""
    text = (
        "point,bs [m],is,fs,elevation\nA,1.000,,,100\nspring,,2.000,,\nB,1.300,,1.200,\n"
        "spring,,{0},,\nC,1.400,,1.500,\nspring,,2.000,,\nA,,,1.000,\nspring,,,,\n"
    ).replace("A,,,1.000,\nspring,,,,\n", "A,,,1.000,\n")
    flat = told(text.format("2.200"))
    assert "One reading does not fit the others. Look at 2.200 on spring (line 5)" in flat
    assert "The book does not close" not in flat
    assert _document(told, text.format("2.200"))["closes"] is True
    assert "Without that reading" in flat
    assert "Nothing stands out." in told(text.format("2.100"))


def test_two_slips_are_mended_one_at_a_time_and_reckoned_together(told: Told) -> None:
    rows = "".join(f"{n},A,1.{n}00\n{n},B,2.{n}0{n % 2}\n{n},C,3.{n}00\n" for n in range(1, 8))
    wrong = rows.replace("2,C,3.200", "2,C,3.500").replace("5,B,2.501", "5,B,2.101")
    flat = told("setup,point,rod [m]\n" + wrong, "--reading-error", "1 mm")
    assert "2.101 on B (line 15) fits the others worst" in flat
    assert "3.500 on C (line 7) fits the others worst" in flat
    assert "What to do One at a time. Look there first" in flat
    assert "Then work it out again." in flat
    assert "If so Without those readings C is 0.999 m below B." in flat


def test_of_many_readings_that_tie_the_first_and_last_line_are_told(told: Told) -> None:
    """A loop of four set-ups with a slip, and another loop beside it that closes."""
    loop = (
        "point,bs [m],fs,elevation\nnail,1.000,,100\nP,1.100,1.500\nQ,1.200,2.000\n"
        "R,1.300,1.100\nnail,1.400,{0}\nS,1.500,1.600\nT,1.100,1.300\nnail,,1.100\n"
    )
    assert "Nothing stands out." in told(loop.format("0.000"))
    flat = told(loop.format("0.300"))
    assert "Between nail and R one reading is wrong by about 0.300 m: the 8 readings" in flat
    assert "the 8 readings between lines 2 and 6. They can't be told apart." in flat
    assert "Shoot Q again from nail: that tells in which half it lies" in flat


def test_closing_that_chance_explains_is_no_slip(told: Told) -> None:
    """A little over what is allowed: one clean book of ten does that, and the heights stand."""
    flat = told(_LOOP.format(row="2.05,,9.86").replace("nail,,,4.40", "nail,,,4.43"))
    assert "Chance alone does as much in one book of ten." in flat
    assert "ram is 7.89 ft below spring (7 ft 10-5/8 in), give or take" in flat
    assert "Nothing stands out." in flat
