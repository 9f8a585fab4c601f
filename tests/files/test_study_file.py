"""A right study file becomes the records that it states, choice by choice."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.base.citation import OURS
from terrain_head.base.measured import Measured
from terrain_head.base.units import METRIC, US, UnitSystem, to_si
from terrain_head.errors import InputError, UsageError
from terrain_head.files.study_file import StudyDocument, find_study_file, open_study_file
from terrain_head.files.study_keys import RAM, SOURCE
from terrain_head.files.study_record import GroundFiles, StatedPlace, Study

PAGE = (Path(__file__).parents[2] / "docs" / "study_file.md").read_text(encoding="utf-8")
WHOLE = PAGE.split("```toml\n", 1)[1].split("```", 1)[0]


def read(text: str, folder: Path) -> StudyDocument:
    """Return the document that a text makes in a folder."""
    file = folder / "study.toml"
    file.write_text(text, encoding="utf-8")
    return open_study_file(file)


def troubles(text: str, folder: Path) -> str:
    """Return the message that a text makes, on one line."""
    with pytest.raises(InputError) as caught:
        read(text, folder)
    return " ".join(str(caught.value).split())


@pytest.fixture
def whole(tmp_path: Path) -> Study:
    return read(WHOLE, tmp_path).study()


def test_the_ground_of_the_whole_example(whole: Study, tmp_path: Path) -> None:
    ground = whole.ground
    assert ground.books == (tmp_path / "field_book.csv",)
    assert ground.book_unit == "ft"
    assert ground.reading_std_m == pytest.approx(0.0015)
    assert ground.angle_std_rad == pytest.approx(math.radians(10 / 3600))
    assert ground.heights == tmp_path / "heights.csv"
    assert ground.rod == "normal"
    assert ground.maps == (tmp_path / "map.geojson",)
    assert ground.map_error_m == 0.5
    assert ground.dems == (tmp_path / "dem.tif",)
    assert ground.dem_unit == "m"
    assert (ground.dem_error.std_m, ground.dem_error.range_m) == (0.3, 60.0)
    assert ground.crs == "EPSG:26915"
    place = StatedPlace(
        name="box",
        latitude=46.5062,
        longitude=-93.9195,
        elevation_m=312.4,
        elevation_std_m=0.05,
    )
    assert whole.places == (place,)


def test_source_ram_and_tank_of_the_whole_example(whole: Study) -> None:
    source, ram, (tank,) = whole.parts.source, whole.parts.ram, whole.parts.tanks
    assert source is not None
    assert ram is not None
    assert source.flow_m3_s is not None
    assert source.flow_m3_s.value == pytest.approx(to_si(46, "L/min"))
    assert source.flow_m3_s.std == pytest.approx(to_si(3, "L/min"))
    assert source.share == pytest.approx(0.8)
    assert source.season is None
    assert (ram.drive, ram.feed, ram.delivery, ram.built) == ("drive", (), "delivery", "bought")
    assert ram.efficiency == Measured(value=0.58)
    assert (ram.laid, ram.efficiency_of, ram.count) == ("straight", "ram", 1)
    assert tank.name == "tank"
    assert tank.inlet_m.value == 1.6
    assert tank.legs == ("leg1", "leg2", "leg3", "leg4")


def test_pipes_and_outlets_of_the_whole_example(whole: Study) -> None:
    drive, delivery, beds = whole.parts.pipes
    assert (drive.start, drive.end, drive.route, drive.cover_m.value) == (
        "spring", "ram", "drive", 0.0,
    )  # fmt: skip
    assert delivery.fittings == {"gate valve": 1, "elbow 90": 3}
    assert delivery.cover_m.value == 0.4
    assert beds.spec is not None
    assert beds.spec.inside_m.value == pytest.approx(0.026)
    assert beds.route is None
    (outlet,) = whole.parts.outlets
    assert outlet.needs_pa == Measured(value=60_000.0)
    assert whole.parts.together == {"evening": ("beds",)}


def test_the_choices_of_the_whole_example(tmp_path: Path) -> None:
    document = read(WHOLE, tmp_path)
    assert document.choice_names == ("main", "ridge", "lower")
    ridge, lower = document.study("ridge").parts, document.study("lower").parts
    assert ridge.pipes[1].route == "ridge"
    assert ridge.pipes[1].spec == document.study().parts.pipes[1].spec
    assert [pipe.name for pipe in lower.pipes] == ["drive", "delivery"]
    assert lower.outlets == ()
    assert lower.together == {}
    assert lower.tanks[0].place == "shelf"
    assert document.study("lower").choice == "lower"


def test_an_unknown_choice_names_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=r'Did you mean "ridge"\? It has: main, ridge, lower'):
        read(WHOLE, tmp_path).study("rigde")
    with pytest.raises(UsageError, match="It has: main, ridge, lower"):
        read(WHOLE, tmp_path).study("xyz")


def test_a_folder_stands_for_its_only_study(tmp_path: Path) -> None:
    document = read('title = "x"', tmp_path)
    assert open_study_file(tmp_path).path == document.path
    (tmp_path / "other.toml").write_text("", encoding="utf-8")
    assert find_study_file(tmp_path) == tmp_path / "study.toml"


def test_a_title_left_out_is_the_folders_name(tmp_path: Path) -> None:
    folder = tmp_path / "Heather Bank"
    folder.mkdir()
    assert read('units = "us"', folder).study().title == "Heather Bank"


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ('title = "x"', METRIC),
        ('units = "us"', US),
        ('units = "US"\nfeet = "inches"', UnitSystem(name="us", feet="inches")),
    ],
)
def test_units(text: str, units: UnitSystem, tmp_path: Path) -> None:
    assert read(text, tmp_path).study().units == units


def test_a_study_without_files_has_no_ground(tmp_path: Path) -> None:
    assert read('title = "x"', tmp_path).study().ground == GroundFiles()


def test_lists_of_files_and_their_order(tmp_path: Path) -> None:
    text = '[ground]\nbook = ["a.csv", "sub/b.csv"]\ndem = ["w.tif", "e.tif"]\nrod = "direct"'
    ground = read(text, tmp_path).study().ground
    assert ground.books == (tmp_path / "a.csv", tmp_path / "sub/b.csv")
    assert ground.dems == (tmp_path / "w.tif", tmp_path / "e.tif")
    assert ground.rod == "direct"


@pytest.mark.parametrize(
    ("line", "std", "reach"),
    [
        ('dem_error = "0.3 m"', 0.3, None),
        ('dem_error = "+- 0.3 m"', 0.3, None),
        ('dem_error = "0.6 m at 95 %"', 0.6 / 1.96, None),
        ('dem_error = "1 ft"\ndem_range = "60 m"', 0.3048, 60.0),
        ('dem_kind = "3dep 1/3 arc-second"', 0.82, None),
        ('dem_kind = "SRTM"\ndem_range = "100 m"', 9.73, 100.0),
        ('dem_range = "60 m"', None, 60.0),
        ('dem = "x.tif"', None, None),
    ],
)
def test_how_wrong_a_raster_is(
    line: str, std: float | None, reach: float | None, tmp_path: Path
) -> None:
    error = read(f"[ground]\n{line}", tmp_path).study().ground.dem_error
    assert error.range_m == reach
    assert error.std_m == (None if std is None else pytest.approx(std))
    assert (error.citation is not None) == ("dem_kind" in line)


def test_half_of_the_level_error_will_do(tmp_path: Path) -> None:
    ground = read('[ground]\nlevel_error = { reading = "0.005 ft" }', tmp_path).study().ground
    assert ground.reading_std_m == pytest.approx(0.005 * 0.3048)
    assert ground.angle_std_rad is None


@pytest.mark.parametrize(
    ("text", "latitude", "longitude"),
    [
        ("46.5062, -93.9195", 46.5062, -93.9195),
        ("46.5062 N, 93.9195 W", 46.5062, -93.9195),
        ("-33.5 18.25", -33.5, 18.25),
        ("33.5° S 18.25° E", -33.5, 18.25),
    ],
)
def test_a_position_as_a_phone_gives_it(
    text: str, latitude: float, longitude: float, tmp_path: Path
) -> None:
    (place,) = read(f'[place.a]\nlat_lon = "{text}"', tmp_path).study().places
    assert (place.latitude, place.longitude) == (latitude, longitude)
    assert place.x is None


def test_coordinates_in_the_studys_system(tmp_path: Path) -> None:
    text = '[ground]\ncrs = "EPSG:26915"\n[place.a]\ncoordinates = [429401.3, 5150640]'
    (place,) = read(text, tmp_path).study().places
    assert (place.x, place.y, place.latitude) == (429401.3, 5150640.0, None)


MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]


def test_of_monthly_flows_the_least_counts_with_its_error(tmp_path: Path) -> None:
    flows = ", ".join(f'{m} = "{60 - i} +- {i} L/min"' for i, m in enumerate(MONTHS))
    text = f'[source]\nplace = "s"\nseason = "other"\nflow = {{ {flows} }}'
    source = read(text, tmp_path).study().parts.source
    assert source is not None
    assert source.monthly_m3_s is not None
    assert source.monthly_m3_s[0] == pytest.approx(to_si(60, "L/min"))
    assert source.flow_m3_s is not None
    assert source.flow_m3_s.value == pytest.approx(to_si(49, "L/min"))
    assert source.flow_m3_s.std == pytest.approx(to_si(11, "L/min"))
    assert source.season == "other"


def test_months_may_be_written_out_and_in_any_order(tmp_path: Path) -> None:
    flows = ", ".join(f'{m.title()} = "1 L/s"' for m in reversed(MONTHS))
    flows = flows.replace("Sep ", "September ")
    source = read(f'[source]\nplace = "s"\nflow = {{ {flows} }}', tmp_path).study().parts.source
    assert source is not None
    assert source.monthly_m3_s == (0.001,) * 12


def test_a_month_still_blank_leaves_the_flow_out(tmp_path: Path) -> None:
    flows = ", ".join(f'{m} = "{"?" if m == "may" else "1 L/s"}"' for m in MONTHS)
    document = read(f'[source]\nplace = "s"\nflow = {{ {flows} }}', tmp_path)
    source = document.study().parts.source
    assert source is not None
    assert source.flow_m3_s is None
    assert document.blanks == (("source", "flow", "may"),)


def test_what_is_left_out_and_should_have_been_measured_is_taken(tmp_path: Path) -> None:
    text = '[source]\nplace = "s"\nflow = "1 L/s"\n[ram]\nplace = "r"\n[tank.upper]\nplace = "u"\n'
    parts = read(text, tmp_path).study().parts
    taken = {item.key: (item.value_si, item.unit) for item in parts.taken}
    assert taken == {
        "water.temperature": (10.0, "C"),
        "source.water_above": (0.0, "m"),
        "source.share": (1.0, "1"),
        "ram.valve_above": (0.0, "m"),
        "ram.beats": (None, "1"),
        "tank.upper.water_depth": (1.5, "m"),
        "tank.upper.lowest": (0.0, "m"),
    }
    assert {item.citation.source for item in parts.taken} == {OURS}
    assert parts.water_temperature_c == 10.0
    assert parts.tanks[0].name == "upper"
    assert parts.tanks[0].inlet_m == parts.tanks[0].water_depth_m
    for key in ("water.temperature", "source.water_above", "ram.valve_above", "source.share"):
        assert f"| `{key}` |" in PAGE


def test_what_is_stated_is_not_taken(tmp_path: Path) -> None:
    text = (
        '[water]\ntemperature = "50 F"\n'
        '[source]\nplace = "s"\nwater_above = "0 m"\nshare = 0.5\nflow = "1 L/s"\n'
        '[ram]\nplace = "r"\nvalve_above = "-0.1 m"\nlaid = "along the ground"\n'
        'tail_water_above = "0.1 m"\nefficiency = "50 %"\nefficiency_of = "whole line"\n'
        'beats = "60 /min"\n'
        '[tank]\nplace = "t"\nwater_depth = "5 ft"\nlowest = "0 m"\nneeded = "600 gal/day"\n'
    )
    parts = read(text, tmp_path).study().parts
    assert parts.taken == ()
    assert parts.water_temperature_c == pytest.approx(10.0)
    assert parts.source is not None
    assert parts.source.share == 0.5
    assert parts.ram is not None
    assert parts.ram.laid == "along the ground"
    assert parts.ram.efficiency_of == "whole line"
    assert parts.ram.tail_water_above_m == Measured(value=0.1)
    needed = parts.tanks[0].needed_m3_s
    assert needed is not None
    assert needed.value == pytest.approx(to_si(600, "gal/day"))


def test_a_blank_counts_as_left_out_and_is_counted(tmp_path: Path) -> None:
    text = (
        '[ground]\nbook = ["a.csv", "?"]\nlevel_error = { reading = "?" }\n'
        '[source]\nplace = "?"\nflow = "?"\n[ram]\nplace = "?"\n[tank]\nplace = "knoll"\n'
        '[pipe.drive]\nfrom = "source"\nto = "ram"\nspec = "?"\n'
        '[pipe.out]\nfrom = "tank"\nto = "?"\nfittings = { "gate valve" = "?" }\n'
        '[pipe.own]\nfrom = "tank"\nto = "beds"\nspec = { inside = "?", material = "PE" }\n'
        '[outlet.beds]\nplace = "?"\n[together]\nall = ["beds", "?"]\nnone = "?"\n'
    )
    document = read(text, tmp_path)
    parts = document.study().parts
    assert parts.source is None
    assert parts.ram is None
    assert [pipe.name for pipe in parts.pipes] == ["own"]
    assert parts.pipes[0].spec is None
    assert parts.outlets == ()
    assert parts.together == {}
    assert document.study().ground.books == (tmp_path / "a.csv",)
    assert len(document.blanks) == 12
    lines = [document.lines.spot(key) for key in document.blanks]
    assert [spot.line for spot in lines if spot] == sorted(spot.line for spot in lines if spot)


def test_two_tanks_have_names_and_a_pipe_names_them(tmp_path: Path) -> None:
    text = (
        '[tank.upper]\nplace = "u"\n[tank.lower]\nplace = "l"\n'
        '[pipe.link]\nfrom = "tank.upper"\nto = "tank.lower"\n'
    )
    parts = read(text, tmp_path).study().parts
    assert [tank.name for tank in parts.tanks] == ["upper", "lower"]
    assert 'no tank "tank"' in troubles(text.replace('"tank.upper"', '"tank"'), tmp_path)


def test_a_tank_with_and_one_without_a_name_do_not_go_together(tmp_path: Path) -> None:
    said = troubles('[tank]\nplace = "a"\n[tank.low]\nplace = "b"\n', tmp_path)
    assert "one tank has a name and one has none" in said
    said = troubles('[tank]\nplce = "a"\n[tank.low]\nplace = "b"\n', tmp_path)
    assert "which tank is it of" in said


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('source = "spring"', "source: a table is wanted here."),
        ('pipe = "x"', "Write [pipe.east]"),
        ('[pipe]\nfrom = "a"', "which pipe? Each has a name"),
        ('[pipe]\neast = "a"', "[pipe.east]: a table is wanted here"),
        ('xyzzy = "a"', "there is no such key here. Tables: ground, place"),
        ('book = "a.csv"', "book: there is no such key here. It belongs under [ground]"),
        ('[source]\nplace = "s"\nlegs = ["a"]', "It belongs under [tank]"),
        ('[source]\nplace = "s"\nxyzzy = 1', "Known here: place, water_above"),
        ('titel = "a"', "title = ..."),
        ("[place.a]", "nothing is said about this place"),
        ('[place.a]\nlat_lon = "46 5 4"', "is not a latitude"),
        ('[place.a]\nlat_lon = "46.5, 400"', "not on the globe"),
        ("[place.a]\nlat_lon = 46.5", "46.5 is not latitude, longitude"),
        ("[place.a]\ncoordinates = [1, nan]", "two numbers in one list"),
        ('[place.a]\ncoordinates = "1, 2"', "two numbers in one list"),
        ('[place.a]\ncoordinates = [1, 2]\nlat_lon = "1, 2"', "Keep one of the two"),
        ('[ground]\ndem_error = "1 m"\ndem_kind = "SRTM"', "Keep one of the two"),
        ('[ground]\nlevel_error = "1 mm"', "a table of reading and angle is wanted"),
        ('[ground]\nlevel_error = { readng = "1 mm" }', 'Write reading = "1.5 mm"'),
        ('[ground]\nlevel_error = { angle = "1 mm" }', "an angle is wanted"),
        ("[ground]\nbook = 3", "3 is not a file, or a list of files"),
        ("[ground]\nbook = [3]", "3 is not a text"),
        ('[ground]\nbook = ["a\\tb.csv"]', '"a/tb.csv"'),
        ('[ground]\nbook = ""', "nothing stands between the quotes"),
        ("[ground]\ndem_error = 3", "3 has no unit"),
        ("title = 3", 'Write title = "3"'),
        ("title = true", "true is not a text"),
        ('[source]\nplace = "s"\nflow = ["1 L/s"]', "a list is not a flow"),
        ('[source]\nplace = "s"\nshare = nan', "nan (no number) is not a share"),
        ('[source]\nplace = "s"\nshare = true', "true is not a share"),
        ('[water]\ntemperature = "120 C"', "is more than 60"),
        ("[water]\ntemperature = 10", 'temperature = "10 C"'),
        ('units = "us"\n[water]\ntemperature = 50', 'temperature = "50 F"'),
        ('units = "us"\n[tank]\nplace = "a"\nstand = 10', 'stand = "10 ft"'),
        ('[ram]\nplace = "r"\ncount = "two"', "'two' is not a whole number"),
        ('[ram]\nplace = "r"\nflow_least = "9 L/s"\nflow_most = "1 L/s"', "more than flow_most"),
        ('[ram]\nplace = "r"\nflow = "1 L/s"\nflow_least = "2 L/s"', "the ram would stop"),
        ('[ram]\nplace = "r"\nflow = "3 L/s"\nflow_most = "2 L/s"', "most that it can take"),
        ('[tank]\nplace = "t"\nlowest = "2 m"\nwater_depth = "1 m"', "above the water"),
        ('[tank]\nplace = "t"\ndiameter = "2 m"\nvolume = "1 m3"', "Keep one of the two"),
        ('[outlet.a]\nplace = "p"\nfills = "2000 L"', "how fast?"),
        ('[outlet.a]\nplace = "p"\nflow = "open"\nfills = "9 L/min"', "a volume"),
        ('[outlet.a]\nplace = "p"\nflow = "open"\nfills = "0 L"', "fills"),
        ('[pipe.a]\nfrom = "x"\nto = "x"', "ends where it begins"),
        ('[pipe.a]\nfrom = "x"\nto = "tank.up"', "There is none at all"),
        ('[pipe.a]\nfrom = "x"\nto = "y"\nfittings = 3', "a table of fittings"),
        ('[pipe.a]\nfrom = "x"\nto = "y"\nfittings = { qqqqq = 1 }', "no such fitting. Known"),
        ('[pipe.a]\nfrom = "x"\nto = "y"\nspec = { inside = 3 }', "no unit"),
        ('[pipe.a]\nfrom = "x"\nto = "y"\n[ram]\nplace = "r"\nfeed = ["b"]', 'no pipe "b"'),
        ('[pipe.a]\nfrom = "x"\nto = "y"\n[ram]\nplace = "r"\nfeed = "b"', 'no pipe "b"'),
        ("[together]\na = 3", "a list of outlets is wanted"),
        ('[together]\na = ["tap"]', "Write [outlet.tap]"),
        ('[outlet.a]\nplace = "p"\nhieght = "1 m"\nheight = "2 m"', "no such key"),
        ('[outlet.a]\nplace = "p"\nflow = { jan = "1 L/s" }', "a table is not a flow"),
        ('[outlet.a]\nplace = "p"\n[outlit]\nb = 3', "[outlit]: there is no such table here"),
        ('[ground]\nbook = "a"\n[gruond]\nbook = "b"', "[gruond]: there is no such table here"),
        ('[source]\nplace = "s"\nflow = { jan = "3 bar" }', "is a pressure; a flow is wanted"),
        ('[pipe.a]\nfrom = "x"\nto = "y"\nspec = 3', "is no pipe"),
        ('[choice.c]\npipe.n.to = "b"', "Write [choice.c] pipe.n.from ="),
        ('[choice.c.pipe.n]\nto = "b"', "Write [choice.c.pipe.n] from ="),
        ('[choice.c.outlet.n]\nplace = "b"\nflow = 3', 'Write flow = "3 L/min"'),
        ("tank.place = 3", 'Write tank.place = "3"'),
        ("choice = 3", "a choice is a table with a name"),
        ("[choice]\nhigh = 3", "a choice is a table of the values"),
        ("[choice.main]", '"main" is the file as written'),
        ("[choice.a]\nwithout = 3", "a list of tables is wanted"),
        ("[choice.a]\nchoice.b.units = 3", "a choice holds no choices"),
        ('[choice.a]\nwithout = ["ground"]', "no table 'ground' to take away"),
    ],
)
def test_what_is_wrong_is_said(text: str, says: str, tmp_path: Path) -> None:
    assert says in troubles(text, tmp_path)


BASE = (
    '[tank]\nplace = "knoll"\nstand = "3 m"\nwater_depth = "1.5 m"\ndiameter = "1 m"\n'
    '[source]\nplace = "s"\nflow = "1 L/s"\n'
    '[pipe.a]\nfrom = "tank"\nto = "tap"\nspec = { inside = "26 mm", material = "PE" }\n'
    'fittings = { "gate valve" = 1, "elbow 90" = 2 }\n'
    '[outlet."goat shed"]\nplace = "tap"\n[outlet.b]\nplace = "b"\n'
    '[together]\nnoon = ["goat shed", "b"]\n'
    '[ground]\ncrs = "EPSG:26915"\n[place.q]\nlat_lon = "46, -93"\n'
)


def test_counted_beats_are_read(tmp_path: Path) -> None:
    ram = read('[ram]\nplace = "r"\nbeats = "48 +- 2 /min"', tmp_path).study().parts.ram
    assert ram is not None
    assert ram.beats_hz is not None
    assert ram.beats_hz.value == pytest.approx(0.8)
    assert ram.beats_hz.std == pytest.approx(to_si(2, "/min"))
    assert 'Write beats = "60 /min"' in troubles('[ram]\nplace = "r"\nbeats = 60', tmp_path)
    assert "0 /min" in troubles('[ram]\nplace = "r"\nbeats = "0 /min"', tmp_path)


def test_tables_merge_key_by_key(tmp_path: Path) -> None:
    text = BASE + '[choice.c]\ntank.stand = "6 m"\npipe.a.fittings."elbow 90" = 5\n'
    study = read(text, tmp_path).study("c")
    assert study.parts.tanks[0].stand_m.value == 6.0
    assert study.parts.tanks[0].place == "knoll"
    assert study.parts.pipes[0].fittings == {"gate valve": 1, "elbow 90": 5}
    assert read(text, tmp_path).study().parts.tanks[0].stand_m.value == 3.0


def test_spec_and_flow_are_replaced_whole(tmp_path: Path) -> None:
    flows = ", ".join(f'{m} = "2 L/s"' for m in MONTHS)
    text = BASE + (
        '[choice.c]\npipe.a.spec = { inside = "40 mm", material = "PVC" }\n'
        f"source.flow = {{ {flows} }}\n"
        '[choice.d]\npipe.a.spec = "PE100 ISO 4427 32 mm SDR 11"\n'
    )
    document = read(text, tmp_path)
    spec = document.study("c").parts.pipes[0].spec
    assert spec is not None
    assert spec.material == "PVC"
    source = document.study("c").parts.source
    assert source is not None
    assert source.monthly_m3_s == (0.002,) * 12
    other = document.study("d").parts.pipes[0].spec
    assert other is not None
    assert "4427" in other.label


def test_one_way_of_saying_a_thing_takes_the_place_of_the_other(tmp_path: Path) -> None:
    text = BASE + '[choice.c]\ntank.volume = "2 m3"\nplace.q.coordinates = [1.0, 2.0]\n'
    study = read(text, tmp_path).study("c")
    assert study.parts.tanks[0].diameter_m is None
    assert study.parts.tanks[0].volume_m3 == Measured(value=2.0)
    assert study.places[0].latitude is None


def test_without_takes_tables_away_before_the_rest_is_set(tmp_path: Path) -> None:
    text = BASE + (
        '[choice.c]\nwithout = ["tank", "outlet.goat shed"]\ntank.place = "low"\n'
        '[choice.d]\nwithout = ["outlet.\\"goat shed\\"", "outlet.b", "together"]\n'
        '[choice.e]\nwithout = "pipe"\n'
        '[choice.f]\nwithout = ["?", "pipe.a"]\n'
    )
    document = read(text, tmp_path)
    changed = document.study("c").parts
    assert changed.tanks[0].place == "low"
    assert changed.tanks[0].diameter_m is None
    assert changed.together == {"noon": ("b",)}
    assert document.study("d").parts.outlets == ()
    assert document.study("e").parts.pipes == ()
    assert document.study("f").parts.pipes == ()


def test_what_a_choice_takes_away_may_still_be_named(tmp_path: Path) -> None:
    text = (
        '[ram]\nplace = "r"\ndelivery = "up"\n[tank.t]\nplace = "t"\n[tank.u]\nplace = "u"\n'
        '[pipe.up]\nfrom = "ram"\nto = "tank.t"\n[pipe.side]\nfrom = "ram"\nto = "tank.u"\n'
        '[choice.c]\nwithout = ["pipe.up", "tank.u"]\n'
    )
    assert [pipe.name for pipe in read(text, tmp_path).study("c").parts.pipes] == ["side"]


def test_a_choice_may_bring_new_tables(tmp_path: Path) -> None:
    text = BASE + '[choice.c.pipe.new]\nfrom = "tank"\nto = "b"\n[choice.c.ram]\nplace = "r"\n'
    parts = read(text, tmp_path).study("c").parts
    assert [pipe.name for pipe in parts.pipes] == ["a", "new"]
    assert parts.ram is not None


def test_a_line_end_of_another_system_and_a_mark_before_the_text(tmp_path: Path) -> None:
    file = tmp_path / "study.toml"
    file.write_bytes(b'\xef\xbb\xbftitle = "x"\r\nunits = "us"\r\n')
    assert open_study_file(file).study().units == US


@settings(max_examples=40, deadline=None)
@given(value=st.floats(0.001, 1e4), std=st.floats(0, 100))
def test_a_stand_is_what_was_written(
    value: float, std: float, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.getbasetemp()
    text = f'[tank]\nplace = "k"\nstand = "{value!r} +- {std!r} ft"\n'
    stand = read(text, folder).study().parts.tanks[0].stand_m
    assert stand == Measured(value=value * 0.3048, std=std * 0.3048)


@pytest.mark.parametrize(
    ("field", "word"),
    [
        *(("season", word) for word in SOURCE["season"].words),
        *(
            (field, word)
            for field in ("laid", "built", "efficiency_of")
            for word in RAM[field].words
        ),
    ],
)
def test_every_word_of_a_key_comes_through_to_the_parts(
    field: str, word: str, tmp_path: Path
) -> None:
    table = "source" if field in SOURCE else "ram"
    parts = read(f'[{table}]\nplace = "a"\n{field} = "{word}"\n', tmp_path).study().parts
    assert word == getattr(parts.source if table == "source" else parts.ram, field)
