"""Heights worked out of readings from both banks and of stadia, through the sheet of heights."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.base.units import from_si
from terrain_head.files.height_differences import read_height_differences
from terrain_head.leveling.book import HeightDifference
from tests.formulas.test_reciprocal import LONG, PEGS, RIVER
from tests.formulas.test_tacheometry import EIGHT_DEGREES, FOUR_DEGREES
from tests.worked_examples import WorkedExample

BANKS = "from,to,from_near [m],to_far,from_far,to_near,give_or_take\n"
HAIRS = "from,to,top [m],bottom,angle,axis,middle,multiplier,additive\n"


def _read(text: str, folder: Path, *, unit: str | None = None) -> HeightDifference:
    path = folder / "heights.csv"
    path.write_text(text, encoding="utf-8")
    _, (found,), troubles = read_height_differences(path, unit=unit)
    assert not troubles
    return found


def _troubles(text: str, folder: Path) -> str:
    path = folder / "heights.csv"
    path.write_text(text, encoding="utf-8")
    return " ".join(f"{one.what} {one.write}" for one in read_height_differences(path)[2])


@pytest.mark.parametrize("example", [PEGS, RIVER, LONG], ids=lambda example: example.name)
def test_printed_readings_from_both_banks(example: WorkedExample, tmp_path: Path) -> None:
    keys = ("A from A", "B from A", "A from B", "B from B")
    cells = ",".join(example.inputs[key] for key in keys)
    found = _read(f"{BANKS}A,B,{cells},\n", tmp_path)
    assert (found.how, found.way) == ("levels from both banks", "levels from both banks")
    if "fall" in example.printed:
        example.assert_result("fall", -found.rise_m)
    else:
        example.assert_result("elevation B", example.given("elevation A") + found.rise_m)


@pytest.mark.parametrize(
    ("example", "unit"), [(FOUR_DEGREES, "m"), (EIGHT_DEGREES, "ft")], ids=["metres", "feet"]
)
@pytest.mark.parametrize("middle", ["1.5", ""], ids=["middle", "no middle"])
def test_printed_stadia(example: WorkedExample, unit: str, middle: str, tmp_path: Path) -> None:
    """With the axis as high over its point as the middle hair reads, it is the printed rise."""
    top = example.inputs.get("top", example.inputs.get("intercept", ""))
    bottom = example.inputs.get("bottom", "0")
    angle = f"{example.inputs['degrees']} {example.inputs['minutes'].removeprefix('-')}"
    axis = middle or f"{(float(top) + float(bottom)) / 2:.6f}"
    row = f"A,B,{top},{bottom},{angle},{axis},{middle},,\n"
    found = _read(HAIRS.replace("[m]", f"[{unit}]") + row, tmp_path)
    assert (found.how, found.way, found.std_m) == ("stadia", "stadia", 0.03)
    example.assert_result("rise", from_si(found.rise_m, unit))


def test_a_stadia_constant_of_its_own(tmp_path: Path) -> None:
    """Level: no rise whatever the constants; straight up 45 degrees: half of K s, and C's part."""
    level = _read(f"{HAIRS}A,B,1.5,1.3,0,1.4,1.4,98,0.3\n", tmp_path)
    assert level.rise_m == pytest.approx(0.0, abs=1e-12)
    steep = _read(f"{HAIRS}A,B,1.5,1.3,45,1.4,1.4,98,0.3\n", tmp_path)
    assert steep.rise_m == pytest.approx(98 * 0.2 / 2 + 0.3 / 2**0.5)


@pytest.mark.parametrize(
    ("written", "degrees"),
    [("-8°42'", -8.7), ("8.7", 8.7), ("-8 42", -8.7), ("+8 deg 42 min", 8.7)],
)
def test_an_angle_is_degrees_or_degrees_and_minutes(
    written: str, degrees: float, tmp_path: Path
) -> None:
    found, plain = (
        _read(f"{HAIRS}A,B,1.5,1.3,{angle},1.4,1.4,,\n", tmp_path) for angle in (written, degrees)
    )
    assert found.rise_m == pytest.approx(plain.rise_m)


def test_what_was_written_of_its_error_or_its_way_holds(tmp_path: Path) -> None:
    stated = _read(f"{BANKS}A,B,1,2,1,2,0.004\n", tmp_path)
    assert (stated.std_m, stated.way) == (0.004, "")
    text = "from,to,top [m],bottom,angle,axis,how\nA,B,1.5,1.3,4,1.4,old instrument\n"
    named = _read(text, tmp_path)
    assert (named.how, named.way) == ("old instrument", "stadia")


def test_the_unit_may_be_said_once_for_the_sheet(tmp_path: Path) -> None:
    found = _read(BANKS.replace(" [m]", "") + "A,B,1,2,1,2,\n", tmp_path, unit="ft")
    assert from_si(found.rise_m, "ft") == pytest.approx(-1.0)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (f"{BANKS}A,B,1,2,1,,\n", "to_near missing"),
        (f"{BANKS}A,B,1,x,1,2,\n", "to_far"),
        (f"{BANKS.replace('give', 'rise,give')}A,B,1,2,1,2,3,\n", "say the height twice"),
        (f"{HAIRS}A,B,1.5,1.3,4,,,,\n", "axis missing"),
        (f"{HAIRS}A,B,1.3,1.5,4,1.4,,,\n", "Were the two exchanged?"),
        (f"{HAIRS}A,B,1.5,1.3,steep,1.4,,,\n", 'angle is "steep"'),
        (f"{HAIRS}A,B,1.5,1.3,4 75,1.4,,,\n", 'angle is "4 75"'),
        (f"{HAIRS}A,B,1.5,1.3,95,1.4,,,\n", 'angle is "95"'),
        (f"{HAIRS}A,B,1.5,1.3,4,1.4,,K,\n", 'multiplier is "K"'),
        (f"{HAIRS}A,B,1.5,1.3,4,1.4,,-1,\n", 'multiplier is "-1"'),
        (f"{HAIRS}A,B,,,,,,,\n", "This row needs all three"),
        ("from,to,how\nA,B,hose\n", "no column rise"),
    ],
)
def test_what_is_wrong_is_said(text: str, says: str, tmp_path: Path) -> None:
    assert says in _troubles(text, tmp_path)
