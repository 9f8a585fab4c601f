"""``terrain-head check``: what is right, what is blank, what would be answered."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.cli.main import run
from terrain_head.files.study_file import open_study_file
from terrain_head.workflows.check import check_study, way_to
from terrain_head.workflows.study import open_study

RAM_STUDY = """\
title = "Heather Bank"
[place]
spring.elevation = "106 m"
ram.elevation = "102 m"
knoll.elevation = "130 m"
shelf.elevation = "125 m"
tee.elevation = "110 m"
beds.elevation = "104 m"
far.elevation = "103 m"
[source]
place = "spring"
flow = "46 L/min"
[ram]
place = "ram"
built = "home"
[tank]
place = "knoll"
diameter = "1.4 m"
[pipe.drive]
from = "source"
to = "ram"
length = "12 m"
[pipe.delivery]
from = "ram"
to = "tank"
length = "60 m"
spec = "PE100 ISO 4427 32 mm SDR 11"
[pipe.main]
from = "tank"
to = "tee"
spec = "PE100 ISO 4427 32 mm SDR 11"
[pipe.branch]
from = "beds"
to = "tee"
length = "40 m"
[pipe.out]
from = "tee"
to = "far"
[outlet.beds]
place = "beds"
flow = "12 L/min"
[outlet.far]
place = "far"
[choice.low]
tank.place = "shelf"
"""


def write(text: str, folder: Path) -> Path:
    """Write a study into a folder and return its path."""
    file = folder / "study.toml"
    file.write_text(text, encoding="utf-8")
    return file


def lacking(text: str, folder: Path) -> dict[str, tuple[str, ...]]:
    """Return what each question of a study lacks."""
    check = check_study(write(text, folder))
    return {question.asks: question.lacks for question in check.questions}


def test_a_study_that_is_right_says_what_it_answers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    write(RAM_STUDY, tmp_path)
    monkeypatch.chdir(tmp_path)
    assert run(["check", "study.toml"]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    lines = printed.out.splitlines()
    assert lines[0].split() == ["HEATHER", "BANK", "study.toml"]
    assert lines[2] == "The file is right, and nothing in it is blank."
    assert max(map(len, lines)) <= 79
    assert printed.out.isascii()
    assert "Choices         main, low" in printed.out


def test_what_each_question_lacks(tmp_path: Path) -> None:
    found = lacking(RAM_STUDY, tmp_path)
    assert found == {
        "the fall": (),
        "the lift": (),
        "the drive pipe's length": (),
        "water a day into the tank": (),
        "the tank's water and weight": (),
        "the pressure at beds": ("[pipe.main] length (line 28)", "[pipe.branch] spec"),
        "the pressure at far": (
            "[outlet.far] flow",
            "[pipe.main] length (line 28)",
            "[pipe.out] spec",
            "[pipe.out] length (line 36)",
        ),
    }


@pytest.mark.parametrize(
    ("right", "wrong", "says"),
    [
        ('place = "far"', 'place = "afar"', 'Write    place = "far"'),
        ('tank.place = "shelf"', 'tank.place = "shlf"', '[choice.low] tank.place: "shlf"'),
        ('tank.place = "shelf"', 'without = ["pipe.main"]', 'Choice "low" (line 44): The pipes'),
        ('knoll.elevation = "130 m"', 'knoll.lat_lon = "46.5, -93.9"', "knoll has no height"),
        ('length = "60 m"', 'length = "2 m"', "its ends differ by 28.00 m (91.9 ft)"),
        ('length = "60 m"', 'length = "2 m"', 'line 26 Pipe "delivery" is 2.00 m'),
        ('tank.place = "shelf"', 'tank.place = "shlf"', 'Write    tank.place = "shelf"'),
    ],
)
def test_what_study_would_refuse_is_refused(
    right: str,
    wrong: str,
    says: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert right in RAM_STUDY
    file = write(RAM_STUDY.replace(right, wrong), tmp_path)
    code = run(["check", str(file)])
    message = capsys.readouterr().err
    assert code in {3, 4}
    assert says in " ".join(message.split()) or says in message
    told = [run(["study", str(file), "--choice", choice]) for choice in ("main", "low")]
    capsys.readouterr()
    assert code in told
    assert sorted(path.name for path in tmp_path.iterdir()) in (
        ["study.toml"],
        ["study-results", "study.toml"],
    )


def test_names_count_whatever_their_capitals(tmp_path: Path) -> None:
    text = RAM_STUDY.replace('place = "knoll"', 'place = "Knoll"').replace("spring.e", "Spring.e")
    assert lacking(text, tmp_path)["the lift"] == ()
    studied = open_study(tmp_path).document.study().parts
    assert studied.tanks[0].place == "knoll"
    assert studied.source is not None
    assert studied.source.place == "Spring"


def test_one_slip_is_told_once_the_nearest_name_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = RAM_STUDY.replace('"knoll"', '"knol"').replace('from = "tank"', 'from = "knol"')
    text += '[place.more]\nelevation = "1 m"\n'
    assert run(["check", str(write(text, tmp_path))]) == 3
    message = " ".join(capsys.readouterr().err.split())
    assert message.count('"knol" is no place') == 1
    assert "So too in line 29." in message
    assert "Nearest first: knoll, " in message
    assert ", and 2 more." in message


def test_what_is_left_of_a_ram_is_told_with_the_pipes_to_take_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = RAM_STUDY.replace('[ram]\nplace = "ram"\nbuilt = "home"\n', "")
    assert run(["check", str(write(text, tmp_path))]) == 3
    message = " ".join(capsys.readouterr().err.split())
    assert "there is no [ram]. Take out [pipe.drive] and [pipe.delivery] too" in message
    assert message.count("line ") == 1
    gone = RAM_STUDY.replace('tank.place = "shelf"', 'without = ["ram"]')
    assert run(["check", str(write(gone, tmp_path))]) == 3
    message = capsys.readouterr().err
    assert 'without = ["ram", "pipe.drive", "pipe.delivery"]' in message


def test_a_study_with_places_and_no_height_at_all_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = '[source]\nplace = "s"\n[ram]\nplace = "r"\n'
    assert run(["check", str(write(text, tmp_path))]) == 3
    message = capsys.readouterr().err
    assert "holds any place yet" in message
    assert 'book = "field_book.csv"' in message


def test_a_bare_beginning_lacks_everything(tmp_path: Path) -> None:
    found = lacking('title = "x"', tmp_path)
    assert found["the fall"] == ("[ground] book or dem", "[source]", "[ram]")
    assert found["the lift"] == ("[ground] book or dem", "[ram]", "[tank]")
    assert "[pipe.delivery]" in found["water a day into the tank"]
    assert found["pressures at outlets"] == ("[outlet.NAME]",)


def test_a_blank_place_is_what_is_lacking(tmp_path: Path) -> None:
    text = '[source]\nplace = "?"\n[ram]\nplace = "?"\n[tank]\nplace = "?"\n[outlet.a]\nplace="?"'
    found = lacking(text, tmp_path)
    assert found["the fall"] == ("[ground] book or dem", "[source] place", "[ram] place")


def test_plain_gravity_is_asked_otherwise(tmp_path: Path) -> None:
    text = (
        '[ground]\ndem_range = "60 m"\n[source]\nplace = "s"\nflow = "1 L/s"\n'
        '[place.s]\nelevation = "9 m"\n[place.p]\nelevation = "3 m"\n[outlet.a]\nplace = "p"\n'
        'flow = "1 L/s"\n[pipe.down]\nfrom = "s"\nto = "p"\nlength = "20 m"\n'
        'spec = "PE100 ISO 4427 32 mm SDR 11"\n'
    )
    assert lacking(text, tmp_path) == {"how far the water falls": (), "the pressure at a": ()}


def test_the_way_to_an_outlet_is_found_whichever_way_its_pipes_were_written(
    tmp_path: Path,
) -> None:
    study = open_study_file(write(RAM_STUDY, tmp_path)).study()
    assert [pipe.name for pipe in way_to("beds", study)] == ["main", "branch"]
    assert way_to("spring", study) == ()


def test_blanks_are_counted_and_the_first_of_them_shown(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    outlets = "".join(f'[outlet.o{i}]\nplace = "?"\n' for i in range(10))
    assert run(["check", str(write(outlets, tmp_path))]) == 0
    out = capsys.readouterr().out
    assert "10 values are still blank" in out
    assert "  line 2    [outlet.o0] place" in out
    assert "and 2 more further down" in out
    assert run(["check", str(write('[source]\nplace = "?"', tmp_path))]) == 0
    assert "1 value is still blank" in capsys.readouterr().out


def test_a_long_title_takes_a_line_of_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = write(f'title = "{"Long Meadow " * 6}"', tmp_path)
    assert run(["check", str(tmp_path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[1] == str(file)


def test_the_names_of_files_are_looked_for_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "b.csv").write_text("", encoding="utf-8")
    text = '[ground]\nbook = "b.csv"\nmap = "m.gpx"\nheights = "h.csv"\n'
    file = write(text, tmp_path)
    assert run(["check", str(file)]) == 3
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "2 files that it names" in " ".join(printed.err.split())
    assert "[ground] heights: there is no file" in printed.err
    assert sorted(path.name for path in tmp_path.iterdir()) == ["b.csv", "study.toml"]


def test_a_missing_argument_is_a_matter_of_usage(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check"]) == 2
    assert "FILE" in capsys.readouterr().err
