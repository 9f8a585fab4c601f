"""A new study has the person's own names in it, is right as it is, and overwrites nothing."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import rasterio
from hypothesis import given, settings
from hypothesis import strategies as st
from rasterio import Affine

from terrain_head.base.units import to_si
from terrain_head.errors import InputError
from terrain_head.files.new_study import StudyStart, study_text
from terrain_head.files.study_file import open_study_file
from terrain_head.workflows.new import new_study
from terrain_head.workflows.study import answer_choice, open_study

BOOK = """\
point,bs,is,fs,route
BM1,4.12,,,
spring,,5.37,,drive
TP1,2.05,,9.86,
lower ram,,5.46,,drive
goat shed,,3.2,,
house tap,,,3.2,
"""


def line(name: str, *corners: tuple[float, float]) -> dict[str, object]:
    """Return a line of a map."""
    return {
        "type": "Feature",
        "properties": {"name": name},
        "geometry": {"type": "LineString", "coordinates": corners},
    }


def map_file(folder: Path) -> Path:
    """Write a small map into a folder."""
    features = [
        {
            "type": "Feature",
            "properties": {"name": "Knoll"},
            "geometry": {"type": "Point", "coordinates": [11.2, 47.1]},
        },
        line("Delivery", (11.2, 47.1), (11.201, 47.1)),
    ]
    file = folder / "map.geojson"
    file.write_text(json.dumps({"type": "FeatureCollection", "features": features}), "utf-8")
    return file


def book_file(folder: Path, text: str = BOOK) -> Path:
    """Write a level book into a folder."""
    file = folder / "lower.csv"
    file.write_text(text, encoding="utf-8")
    return file


def test_the_names_of_book_and_map_stand_in_the_study(tmp_path: Path) -> None:
    started = new_study(tmp_path, books=[book_file(tmp_path)], maps=[map_file(tmp_path)])
    document = open_study_file(tmp_path)
    study = document.study()
    assert (started.points, started.routes) == (7, 2)
    assert started.blanks == len(document.blanks) > 10
    assert study.parts.source is not None
    assert study.parts.source.place == "spring"
    assert study.parts.ram is not None
    assert study.parts.ram.place == "lower ram"
    assert study.parts.tanks[0].place == "Knoll"
    assert [outlet.place for outlet in study.parts.outlets] == ["goat shed", "house tap"]
    assert [pipe.route for pipe in study.parts.pipes] == ["drive", "Delivery", None, None]
    assert study.ground.books == (tmp_path / "lower.csv",)
    assert "# Points: BM1, spring, TP1" in document.lines.text


def test_what_is_not_there_is_left_out(tmp_path: Path) -> None:
    new_study(tmp_path / "hill", units="us")
    document = open_study_file(tmp_path / "hill")
    assert "[ground]" not in document.lines.text
    assert "Points" not in document.lines.text
    assert document.study().units.name == "us"
    assert document.study().parts.source is None


def test_the_unit_of_the_readings_is_asked_only_where_the_heading_has_none(
    tmp_path: Path,
) -> None:
    new_study(tmp_path / "a", books=[book_file(tmp_path)])
    assert ("ground", "book_unit") in open_study_file(tmp_path / "a").blanks
    book = book_file(tmp_path, BOOK.replace("bs,is,fs", "bs [ft],is [ft],fs [ft]"))
    new_study(tmp_path / "b", books=[book])
    assert ("ground", "book_unit") not in open_study_file(tmp_path / "b").blanks


def test_files_are_named_from_where_the_study_stands(tmp_path: Path) -> None:
    book = book_file(tmp_path)
    raster = tmp_path / "dem.tif"
    raster.write_bytes(b"II*\x00")
    new_study(tmp_path / "a" / "b", books=[book], dems=[raster, raster])
    document = open_study_file(tmp_path / "a" / "b")
    assert 'book = "../../lower.csv"' in document.lines.text
    assert 'dem = ["../../dem.tif", "../../dem.tif"]' in document.lines.text


@pytest.mark.parametrize("name", ["study.toml", "mine.toml"])
def test_a_study_that_is_there_is_never_touched(name: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text('title = "mine"', encoding="utf-8")
    with pytest.raises(InputError, match=r"is\s+there\s+already"):
        new_study(tmp_path)
    assert (tmp_path / name).read_text("utf-8") == 'title = "mine"'
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_a_file_that_is_missing_or_no_book_stops_it_before_anything_is_written(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "hill"
    with pytest.raises(InputError, match=r"There is no file\s+.*dem\.tif"):
        new_study(folder, dems=[tmp_path / "dem.tif"])
    with pytest.raises(InputError, match=r"is\s+not\s+there"):
        new_study(folder, books=[tmp_path / "book.csv"])
    with pytest.raises(InputError, match=r"no\s+column\s+of\s+points"):
        new_study(folder, books=[book_file(tmp_path, "name,reading\nA,1\n")])
    assert not folder.exists()


names = st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), min_size=1, max_size=9)


@settings(max_examples=60, deadline=None)
@given(
    points=st.lists(names.map(lambda name: f"{name} tap"), max_size=4, unique=True),
    routes=st.lists(names, max_size=3, unique=True),
    title=names.filter(lambda name: name.strip() not in {"", "?"}),
)
def test_whatever_the_names_a_new_study_can_be_read(
    points: list[str],
    routes: list[str],
    title: str,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    file = tmp_path_factory.getbasetemp() / "any_names.toml"
    start = StudyStart(title=title, points=tuple(points), routes=tuple(routes))
    file.write_text(study_text(start), encoding="utf-8", newline="\n")
    document = open_study_file(file)
    assert document.study().title == title.strip()
    taps = document.study().parts.outlets
    assert [outlet.place for outlet in taps] == [name.strip() for name in points]
    assert all(key in document.lines.spots for key in document.blanks)


def test_a_name_with_a_mark_that_no_text_may_hold_bare(tmp_path: Path) -> None:
    start = StudyStart(title="a\x7fb", points=("c\x7f tap",), routes=("r\x01",))
    (tmp_path / "study.toml").write_text(study_text(start), encoding="utf-8")
    outlet = open_study_file(tmp_path).study().parts.outlets[0]
    assert ("c\x7f tap", "c-tap") == (outlet.place, outlet.name)


def test_pipes_and_outlets_have_simple_names_of_their_own(tmp_path: Path) -> None:
    start = StudyStart(title="a", points=("House", "Goat Shed", "house"))
    text = study_text(start)
    (tmp_path / "study.toml").write_text(text, encoding="utf-8")
    parts = open_study_file(tmp_path).study().parts
    names = ["house", "goat-shed", "house-2"]
    assert names == [outlet.name for outlet in parts.outlets]
    assert all(f"[pipe.{name}]" in text for name in names)
    assert "to House" not in text


FEET_INCHES = """\
point,bs,is,fs
nail,4-7-1/2,,
spring,,5-2,
ram,,9-3-1/4,
tank,,0-2,
leg A,,0-1-1/2,
leg B,,0-2,
house tap,,3-2,
nail,,,4-7-1/2
"""


def test_a_study_straight_from_a_book_is_answered_with_fall_and_lift(tmp_path: Path) -> None:
    book_file(tmp_path, FEET_INCHES)
    new_study(tmp_path / "hill", books=[tmp_path / "lower.csv"])
    answer = answer_choice(open_study(tmp_path / "hill"), draws=0)
    ram = answer.solution.ram
    assert ram is not None
    assert float(ram.fall_m) == pytest.approx(to_si(4 + 1.25 / 12, "ft"))
    assert ram.lift_m is not None
    assert float(ram.lift_m) == pytest.approx(to_si(9 + 1.25 / 12, "ft") + 1.5)
    assert answer.spread["lift"].std is not None
    assert {"pipe.drive.length", "pipe.delivery.length", "flow"} <= set(answer.not_asked)


def test_a_book_in_feet_is_shown_in_us_units_and_its_legs_are_legs(tmp_path: Path) -> None:
    book_file(tmp_path, FEET_INCHES)
    new_study(tmp_path / "a", books=[tmp_path / "lower.csv"])
    study = open_study_file(tmp_path / "a").study()
    assert (study.units.name, study.ground.book_unit) == ("us", "ft-in")
    assert study.parts.tanks[0].legs == ("leg A", "leg B")
    book_file(tmp_path, BOOK.replace("bs,is,fs", "bs [ft],is [ft],fs [ft]"))
    new_study(tmp_path / "b", books=[tmp_path / "lower.csv"])
    new_study(tmp_path / "c", books=[tmp_path / "lower.csv"], units="metric")
    shown = [open_study_file(tmp_path / name).study().units.name for name in "bc"]
    assert shown == ["us", "metric"]


def test_plain_gravity_has_no_ram_and_one_pipe_to_the_tank(tmp_path: Path) -> None:
    book_file(tmp_path, FEET_INCHES.replace("tank,,0-2", "tank,,6-2"))
    new_study(tmp_path / "hill", books=[tmp_path / "lower.csv"], lifted_by="nothing")
    parts = open_study_file(tmp_path / "hill").study().parts
    assert parts.ram is None
    assert [(one.start, one.end) for one in parts.pipes] == [
        ("source", "tank"),
        ("tank", "house tap"),
    ]
    assert answer_choice(open_study(tmp_path / "hill"), draws=0).solution.ram is None
    assert "Delete [tank] and [pipe.main]" in (tmp_path / "hill" / "study.toml").read_text("utf-8")


def test_the_template_says_what_to_delete_for_plain_gravity(tmp_path: Path) -> None:
    new_study(tmp_path)
    text = (tmp_path / "study.toml").read_text("utf-8")
    assert "Delete [ram], [pipe.drive] and [pipe.delivery]" in text


def test_the_unit_of_a_raster_is_asked_where_it_does_not_say(tmp_path: Path) -> None:
    for name, unit in (("silent", ""), ("plain", "metre")):
        with rasterio.open(
            tmp_path / f"{name}.tif", "w", driver="GTiff", width=4, height=4, count=1,
            dtype="float32", crs="EPSG:32632", transform=Affine(1, 0, 665000, 0, -1, 5219000),
        ) as out:  # fmt: skip
            out.write(np.full((1, 4, 4), 500.0, dtype=np.float32))
            out.units = (unit,)
        new_study(tmp_path / name, dems=[tmp_path / f"{name}.tif"])
    asked = [
        ("ground", "dem_unit") in open_study_file(tmp_path / n).blanks for n in ("silent", "plain")
    ]
    assert asked == [True, False]


def test_a_book_reached_by_another_name_of_its_folder_is_found(tmp_path: Path) -> None:
    (tmp_path / "real" / "deep").mkdir(parents=True)
    (tmp_path / "short").symlink_to(tmp_path / "real" / "deep", target_is_directory=True)
    book_file(tmp_path, FEET_INCHES)
    new_study(tmp_path / "short" / "hill", books=[tmp_path / "lower.csv"])
    assert open_study(tmp_path / "short" / "hill").site.elevations is not None
