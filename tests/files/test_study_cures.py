"""Cures go into the table that is there; a name that is no place is told with the right cure."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.errors import GroundError, InputError, TerrainHeadError, Trouble
from terrain_head.files.study_cures import told_in
from terrain_head.files.study_file import open_study_file
from terrain_head.files.study_lines import StudyLines
from terrain_head.files.study_places import with_known_places

TEXT = """\
[source]
place = "spring"
[pipe.drive]
from = "source"
to = "ram"
[choice.low]
pipe.drive.to = "shelf"
"""


def told(write: str, *, choice: str = "main", what: str = "Wrong.") -> TerrainHeadError:
    error = GroundError("No ground.", Trouble(what=what, write=write))
    return told_in(error, lines=StudyLines(TEXT), choice=choice, file="study.toml")


def test_a_key_that_is_missing_is_added_to_its_table_by_line() -> None:
    (trouble,) = told('[pipe.drive]\nlength = "40 ft"').troubles
    assert (trouble.line, trouble.excerpt) == (3, "[pipe.drive]")
    assert trouble.write == 'length = "40 ft"'
    assert trouble.what == "Wrong. It belongs under [pipe.drive], line 3."


def test_a_key_that_is_there_is_marked_and_written_anew() -> None:
    (trouble,) = told('[pipe.drive]\nto = "ram 2"').troubles
    assert (trouble.line, trouble.write) == (5, 'to = "ram 2"')
    assert trouble.what == "Wrong."


def test_a_choice_is_named_and_its_own_line_is_marked() -> None:
    error = told('[pipe.drive]\nto = "ram"', choice="low")
    assert error.headline == 'Choice "low" (line 6): No ground.'
    assert isinstance(error, GroundError)
    assert error.file == "study.toml"
    (trouble,) = error.troubles
    assert (trouble.line, trouble.excerpt) == (7, 'pipe.drive.to = "shelf"')
    assert trouble.write == ""


@pytest.mark.parametrize(
    "write", ["", "--unit ft", '[place.new]\nelevation = "1 m"', "[pipe.NAME\nx"]
)
def test_other_cures_stay_as_they_are(write: str) -> None:
    (trouble,) = told(write).troubles
    assert trouble == Trouble(what="Wrong.", write=write)


def test_a_heading_alone_points_at_its_line() -> None:
    (trouble,) = told("[source]").troubles
    assert (trouble.line, trouble.write) == (1, "")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[pipe.down]\nfrom = "a"\nto = "tank"\n', "There is no [tank]. Without one let"),
        ('[pipe.down]\nfrom = "source"\nto = "a"\n', "There is no [source]. It says which"),
        ('[tank]\nplace = "a"\nlegs = ["a", "b1"]\n', '[tank] legs: "b1" is no place'),
        ('[source]\nplace = "zzz"\n', "Nearest first: a, tap."),
    ],
)
def test_a_name_without_a_place(text: str, says: str, tmp_path: Path) -> None:
    (tmp_path / "study.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        with_known_places(open_study_file(tmp_path), ["a", "tap"])
    assert says in " ".join(str(caught.value).split())


def test_capitals_that_are_not_clear_are_no_match(tmp_path: Path) -> None:
    (tmp_path / "study.toml").write_text('[source]\nplace = "TAP"\n', encoding="utf-8")
    document = open_study_file(tmp_path)
    with pytest.raises(InputError, match='"TAP" is no place'):
        with_known_places(document, ["Tap", "tap"])
    source = with_known_places(document, ["Tap"]).study().parts.source
    assert source is not None
    assert source.place == "Tap"


@pytest.mark.parametrize(
    ("units", "change", "write"),
    [
        ("us", '{ inside = "1 in" }', 'spec = { inside = "1 in", material = "PE" }'),
        ("us", '{ rating = "90 psi" }', 'spec = { standard = "PE ASTM D2239 1 in SIDR 15",'),
        ("us", '{ material = "PE" }', 'spec = { inside = "1.05 in", material = "PE" }'),
        ("metric", '{ material = "PE" }', 'spec = { inside = "26 mm", material = "PE" }'),
    ],
)
def test_a_choice_that_leaves_out_half_a_spec_is_told_the_whole(
    tmp_path: Path, units: str, change: str, write: str
) -> None:
    (tmp_path / "study.toml").write_text(
        f'units = "{units}"\n[pipe.a]\nfrom = "tank"\nto = "tap"\n'
        'spec = { standard = "PE ASTM D2239 1 in SIDR 15", rating = "100 psi" }\n'
        f"[choice.b]\npipe.a.spec = {change}\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError) as caught:
        open_study_file(tmp_path).study("b")
    (trouble,) = [one for one in caught.value.troubles if "whole spec" in one.what]
    assert write in trouble.write
    assert trouble.line == 7
