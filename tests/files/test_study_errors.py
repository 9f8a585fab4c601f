"""Each broken study gives one clear message with the cure, exit code 3, and writes nothing."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from terrain_head.cli.main import run

GOOD = """\
title = "Fernlea Hollow"
[place.spring]
elevation = "106 m"
[place.ram]
elevation = "102 m"
[place.knoll]
elevation = "130 m"
[source]
place = "spring"
flow = "46 L/min"
[ram]
place = "ram"
built = "bought"
[tank]
place = "knoll"
stand = "3 m"
water_depth = "1.5 m"
[pipe.drive]
from = "spring"
to = "ram"
length = "20 m"
[pipe.delivery]
from = "ram"
to = "tank"
length = "300 m"
spec = "PE100 ISO 4427 32 mm SDR 11"
[outlet.beds]
place = "beds"
flow = "12 L/min"
[together]
evening = ["beds"]
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """One slip: what stands instead, and what the message must hold."""

    name: str
    old: str = ""
    new: str
    line: int
    says: tuple[str, ...]


CASES = (
    Broken(
        name="missing unit",
        old='stand = "3 m"',
        new='stand = "3"',
        line=16,
        says=("[tank] stand", "has no unit", "length", 'stand = "3.0 m"'),
    ),
    Broken(
        name="bare number",
        old='stand = "3 m"',
        new="stand = 3",
        line=16,
        says=("[tank] stand", "3 has no unit", 'stand = "3 m"'),
    ),
    Broken(
        name="unknown key",
        old='stand = "3 m"',
        new='stnad = "3 m"',
        line=16,
        says=("[tank] stnad", "no such key", 'stand = "3 m"'),
    ),
    Broken(
        name="unknown table",
        old="[outlet.beds]",
        new="[outlit.beds]",
        line=27,
        says=("outlit", "no such table", "[outlet.beds]"),
    ),
    Broken(
        name="unit of the wrong kind",
        old='flow = "46 L/min"',
        new='flow = "46 L"',
        line=10,
        says=("[source] flow", "is a volume; a flow is wanted", 'flow = "46 +- 3 L/min"'),
    ),
    Broken(
        name="negative flow",
        old='flow = "46 L/min"',
        new='flow = "-46 L/min"',
        line=10,
        says=("[source] flow", "'-46 L/min' is below zero", 'flow = "46 +- 3 L/min"'),
    ),
    Broken(
        name="negative stand",
        old='stand = "3 m"',
        new='stand = "-3 m"',
        line=16,
        says=("[tank] stand", "'-3 m' is below zero", 'stand = "3.0 m"'),
    ),
    Broken(
        name="no length at all",
        old='length = "20 m"',
        new='length = "0 m"',
        line=21,
        says=("[pipe.drive] length", "more than zero", 'length = "62 ft"'),
    ),
    Broken(
        name="not a number",
        old='stand = "3 m"',
        new='stand = "nan m"',
        line=16,
        says=("[tank] stand", "'nan m' is not a number", 'stand = "3.0 m"'),
    ),
    Broken(
        name="bare infinity",
        old='stand = "3 m"',
        new="stand = inf",
        line=16,
        says=("[tank] stand", "inf is not a length", 'stand = "3.0 m"'),
    ),
    Broken(
        name="inch mark",
        old='stand = "3 m"',
        new='stand = "9\' 6-3/8""',
        line=16,
        says=("the inch mark ended the text too early", 'stand = "9 ft 6-3/8 in"'),
    ),
    Broken(
        name="foot mark",
        old='stand = "3 m"',
        new="stand = '9' 6\"'",
        line=16,
        says=("the foot mark ended the text too early", 'stand = "9 ft 6 in"'),
    ),
    Broken(
        name="curly quotes",
        old='stand = "3 m"',
        new="stand = \u201c3 m\u201d",
        line=16,
        says=("curly quotes", 'stand = "3 m"'),
    ),
    Broken(
        name="backslash path that is no escape",
        old='title = "Fernlea Hollow"',
        new='ground.book = "survey\\Ulm\\book.csv"',
        line=1,
        says=("backslash", 'ground.book = "survey/Ulm/book.csv"'),
    ),
    Broken(
        name="backslash path that becomes a tab",
        old='title = "Fernlea Hollow"',
        new='ground.book = "survey\\two.csv"',
        line=1,
        says=("backslash", 'book = "survey/two.csv"'),
    ),
    Broken(
        name="name with a blank",
        old="[outlet.beds]",
        new="[outlet.goat shed]",
        line=27,
        says=("put the name in quotes", '[outlet."goat shed"]'),
    ),
    Broken(
        name="key with a blank",
        old='evening = ["beds"]',
        new='late evening = ["beds"]',
        line=31,
        says=("put the name in quotes", '"late evening" = ["beds"]'),
    ),
    Broken(
        name="text without quotes",
        old='flow = "46 L/min"',
        new="flow = 46 L/min",
        line=10,
        says=("a text wants quotes", 'flow = "46 L/min"'),
    ),
    Broken(
        name="last quote missing",
        old='flow = "46 L/min"',
        new='flow = "46 L/min',
        line=10,
        says=("the quote that ends the text is missing", 'flow = "46 L/min"'),
    ),
    Broken(
        name="first quote missing",
        old='flow = "46 L/min"',
        new='flow = 46 L/min"',
        line=10,
        says=("the quote that begins the text is missing", 'flow = "46 L/min"'),
    ),
    Broken(
        name="colon for equals",
        old='flow = "46 L/min"',
        new='flow: "46 L/min"',
        line=10,
        says=("a key wants =", 'flow = "46 L/min"'),
    ),
    Broken(
        name="nothing behind equals",
        old='flow = "46 L/min"',
        new="flow =",
        line=10,
        says=("nothing stands after =", 'flow = "?"'),
    ),
    Broken(
        name="decimal comma",
        old='built = "bought"',
        new="count = 1,5",
        line=13,
        says=("decimal comma", "count = 1.5"),
    ),
    Broken(
        name="two tables alike",
        old="[together]",
        new="[tank]",
        line=30,
        says=("[tank] is written twice", "line 14"),
    ),
    Broken(
        name="two keys alike",
        old='built = "bought"',
        new='place = "ram"',
        line=13,
        says=("place is written twice", "line 12"),
    ),
    Broken(
        name="unknown word",
        old='built = "bought"',
        new='built = "boght"',
        line=13,
        says=("[ram] built", '"bought" or "home"', 'built = "bought"'),
    ),
    Broken(
        name="pipe not understood",
        old='spec = "PE100 ISO 4427 32 mm SDR 11"',
        new='spec = "1 inch black poly, 100 lb"',
        line=26,
        says=("[pipe.delivery] spec", "Write"),
    ),
    Broken(
        name="unknown fitting",
        old='length = "20 m"',
        new='fittings = { "gate valv" = 1 }',
        line=21,
        says=("[pipe.drive] fittings", "no such fitting", '"gate valve" = 1'),
    ),
    Broken(
        name="half a fitting",
        old='length = "20 m"',
        new='fittings = { "gate valve" = 0.5 }',
        line=21,
        says=("0.5 is not a whole number of fittings", '"gate valve" = 1'),
    ),
    Broken(
        name="table of a later version",
        old='[together]\nevening = ["beds"]',
        new='[draw]\nhouse = "300 L/d"',
        line=30,
        says=("[draw]", "not built yet", "#"),
    ),
    Broken(
        name="share over all",
        old='built = "bought"',
        new='efficiency = "120 %"',
        line=13,
        says=("[ram] efficiency", "more than 100 %", 'efficiency = "58 %"'),
    ),
    Broken(
        name="bare per cent",
        old='built = "bought"',
        new="efficiency = 58",
        line=13,
        says=("more than 100 %", '"58 %"'),
    ),
    Broken(
        name="no rams",
        old='built = "bought"',
        new="count = 0",
        line=13,
        says=("[ram] count", "fewer than one", "count = 1"),
    ),
    Broken(
        name="outlet that is none",
        old='evening = ["beds"]',
        new='evening = ["beds", "bed2"]',
        line=31,
        says=('no outlet "bed2"', "Outlets here: beds"),
    ),
    Broken(
        name="pipe that is none",
        old='built = "bought"',
        new='delivery = "delivry"',
        line=13,
        says=('no pipe "delivry"', 'delivery = "delivery"'),
    ),
    Broken(
        name="tank that is none",
        old='to = "tank"',
        new='to = "tank.upper"',
        line=24,
        says=('no tank "tank.upper"', 'to = "tank"'),
    ),
    Broken(
        name="no place",
        old='place = "spring"\nflow',
        new="flow",
        line=8,
        says=("[source]", "place is missing", 'place = "spring"'),
    ),
    Broken(
        name="months wanting",
        old='flow = "46 L/min"',
        new='flow = { jan = "60 L/min", feb = "58 L/min" }',
        line=10,
        says=("all twelve", "mar, apr", "jan ="),
    ),
    Broken(
        name="month that is none",
        old='flow = "46 L/min"',
        new='flow = { smarch = "60 L/min" }',
        line=10,
        says=("months are written jan", "dec"),
    ),
    Broken(
        name="feet in metric",
        old='title = "Fernlea Hollow"',
        new='feet = "inches"',
        line=1,
        says=("feet", "us units only", 'units = "us"'),
    ),
    Broken(
        name="swapped latitude",
        old='elevation = "106 m"',
        new='lat_lon = "-93.9, 46.5"',
        line=3,
        says=("look swapped", 'lat_lon = "46.5, -93.9"'),
    ),
    Broken(
        name="coordinates of no system",
        old='elevation = "106 m"',
        new="coordinates = [429401.3, 5150640.2]",
        line=3,
        says=("coordinate system", 'crs = "EPSG:26915"'),
    ),
    Broken(
        name="spread where a value is wanted",
        old='stand = "3 m"',
        new='stand = "3 m at 90 %"',
        line=16,
        says=("is a spread", 'stand = "3.0 m"'),
    ),
    Broken(
        name="unknown key of a choice",
        old="[together]",
        new='[choice.high]\ntank.stnd = "6 m"\n[together]',
        line=31,
        says=("[choice.high] tank.stnd", "no such key", 'tank.stand = "6 m"'),
    ),
    Broken(
        name="wrong value of a choice",
        old="[together]",
        new='[choice.high]\ntank.stand = "6 bar"\n[together]',
        line=31,
        says=("[choice.high] tank.stand", "is a pressure", "tank.stand ="),
    ),
    Broken(
        name="choice of another ground",
        old="[together]",
        new='[choice.high]\nground.book = "b.csv"\n[together]',
        line=31,
        says=("[choice.high] ground", "can't change ground"),
    ),
    Broken(
        name="without what is not there",
        old="[together]",
        new='[choice.high]\nwithout = ["pipe.bed", "pipe.drives"]\n[together]',
        line=31,
        says=("no table 'pipe.drives'", 'without = ["pipe.drive"]'),
    ),
    Broken(
        name="list never closed",
        old='evening = ["beds"]',
        new='evening = ["beds"',
        line=31,
        says=("opened with [ and not closed",),
    ),
)


def check(path: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Run ``check`` on a path and return exit code, output and message."""
    code = run(["check", str(path)])
    printed = capsys.readouterr()
    return code, printed.out, printed.err


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name.replace(" ", "-"))
def test_a_slip_is_named_with_its_line_and_its_cure(
    case: Broken, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert GOOD.count(case.old) == 1
    file = tmp_path / "study.toml"
    file.write_text(GOOD.replace(case.old, case.new), encoding="utf-8")
    before = file.read_bytes()
    code, out, message = check(file, capsys)
    assert (code, out) == (3, "")
    assert str(file) in message
    assert f"line {case.line}" in message
    for words in case.says:
        assert words in " ".join(message.split()) or words in message
    assert "^" in message
    assert "Traceback" not in message
    assert [file] == list(tmp_path.iterdir())
    assert before == file.read_bytes()
    long_path = max(len(word) for word in message.split())
    assert max(map(len, message.splitlines())) <= max(79, long_path + 2)


def test_the_study_that_they_all_break_is_right(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "study.toml"
    line = '[place.beds]\nelevation = "110 m"\n[pipe.beds]\nfrom = "tank"\nto = "beds"\n'
    file.write_text(GOOD + line, encoding="utf-8")
    code, out, message = check(file, capsys)
    assert (code, message) == (0, "")
    assert "FERNLEA HOLLOW" in out


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b" \n\n", "is empty"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "no text"),
        ('title = "Käse"'.encode("latin-1"), "line 1 is not in UTF-8"),
        ('title = "x"'.encode("utf-16"), "UTF-16"),
    ],
)
def test_a_file_that_is_no_study_is_refused(
    content: bytes, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "study.toml"
    file.write_bytes(content)
    code, out, message = check(file, capsys)
    assert (code, out) == (3, "")
    assert says in " ".join(message.split())
    assert str(file) in message


def test_a_missing_file_is_told_with_the_nearest_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "study.toml").write_text(GOOD, encoding="utf-8")
    code, _, message = check(tmp_path / "studdy.toml", capsys)
    assert code == 3
    assert "no such file" in message
    assert f"{tmp_path / 'study.toml'}" in message


def test_a_folder_without_a_study_and_one_with_several(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, message = check(tmp_path, capsys)
    assert code == 3
    assert "terrain-head new" in message
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_text(GOOD, encoding="utf-8")
    code, _, message = check(tmp_path, capsys)
    assert code == 3
    assert "which one" in message
    assert "a.toml, b.toml" in message


def test_every_trouble_is_told_at_once_in_the_order_of_the_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "study.toml"
    broken = GOOD.replace('stand = "3 m"', "stand = 3").replace('"46 L/min"', '"46 furlong"')
    file.write_text(broken.replace('built = "bought"', 'bilt = "bought"'), encoding="utf-8")
    code, _, message = check(file, capsys)
    assert code == 3
    assert "3 things to put right" in message
    assert message.index("line 10") < message.index("line 13") < message.index("line 16")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('place = "spring"\nflow', 'plce = "spring"\nflow'),
        ("[pipe.delivery]", "[pip.delivery]"),
        ('to = "tank"', 'too = "tank"'),
        ("[outlet.beds]", "[outlit.beds]"),
        ("[outlet.beds]", '[outlet.tap]\nplace = "tap"\n[outlit.beds]'),
    ],
)
def test_what_follows_from_a_slip_is_not_told(
    old: str, new: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "study.toml"
    file.write_text(GOOD.replace(old, new), encoding="utf-8")
    code, _, message = check(file, capsys)
    assert code == 3
    assert "1 thing to put right" in " ".join(message.split())


def test_slips_of_writing_are_told_at_once_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "study.toml"
    broken = GOOD.replace('stand = "3 m"', "stand = 3 m").replace("[outlet.beds]", "[outlet.a b]")
    file.write_text(broken, encoding="utf-8")
    code, _, message = check(file, capsys)
    assert code == 3
    assert "2 things to put right" in message


def test_a_trouble_of_the_whole_study_is_not_told_again_for_each_choice(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "study.toml"
    choices = '[choice.high]\ntank.stand = "6 m"\n[choice.low]\ntank.stand = "1 m"\n'
    file.write_text(GOOD.replace('"46 L/min"', '"46 L"') + choices, encoding="utf-8")
    code, _, message = check(file, capsys)
    assert code == 3
    assert "1 thing to put right" in message


def test_a_named_file_that_is_not_there_is_told_with_the_nearest(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "study.toml"
    (tmp_path / "field_book.csv").write_text("", encoding="utf-8")
    file.write_text(GOOD + '[ground]\nbook = ["feild_book.csv"]\ndem = "x.tif"\n', encoding="utf-8")
    code, _, message = check(file, capsys)
    assert code == 3
    assert "2 files that it names" in " ".join(message.split())
    assert 'book = "field_book.csv"' in message
