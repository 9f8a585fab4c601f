"""Reading level books: notations, units, forms, routes, and what the person is told."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from terrain_head.errors import InputError
from terrain_head.files.level_book import read_level_books
from terrain_head.files.readings import FigureError, book_unit, read_figure
from terrain_head.files.station_marks import read_station
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.reduce import reduce_book
from tests.leveling.books import book_of

_FOOT = 0.3048
_INCH = 0.0254


@pytest.mark.parametrize(
    ("text", "unit", "metres"),
    [
        ("4 ft 0-5/8 in", "ft-in", 48.625 * _INCH),
        ("4-0-5/8", "ft-in", 48.625 * _INCH),
        ("4 0 5/8", "ft-in", 48.625 * _INCH),
        ("4' 0-5/8\"", "ft-in", 48.625 * _INCH),
        ("4\u2032 0-5/8\u2033", "ft-in", 48.625 * _INCH),
        ("-4-0-5/8", "ft-in", -48.625 * _INCH),
        ("4-7", "ft-in", 55 * _INCH),
        ("4-7.5", "ft-in", 55.5 * _INCH),
        ("4 ft", "ft-in", 4 * _FOOT),
        ("4 ft 0-5/8 in", "ft", 48.625 * _INCH),
        ("4.12", "ft", 4.12 * _FOOT),
        ("48-5/8", "in", 48.625 * _INCH),
        ("48.625", "in", 48.625 * _INCH),
        ("1.432", "m", 1.432),
        ("143.2", "cm", 1.432),
        ("1432", "mm", 1.432),
        ("-0.350", "m", -0.350),
        ("\u22120.350", "m", -0.350),
        (".5", "m", 0.5),
    ],
)
def test_reading_is_the_length_it_says(text: str, unit: str, metres: float) -> None:
    assert read_figure(text, unit).value_m == pytest.approx(metres, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("5/8", "ft-in"), ("4-5/8", "ft-in"), ("4", "ft-in"), ("4.7", "ft-in"), ("48-9/8", "in"),
        ("1.4 m", "m"), ("inf", "m"), ("1e3", "m"), ("1,432", "m"), ("2024-05-08", "ft"),
        ("May-8", "ft"), ("05/08/2024", "m"), ("--4", "m"), ("4-3-1/0", "ft-in"),
    ],
)  # fmt: skip
def test_cell_that_is_no_reading_is_refused(text: str, unit: str) -> None:
    with pytest.raises(FigureError):
        read_figure(text, unit)


@pytest.mark.parametrize(
    ("text", "step_mm"),
    [("1.43", 10.0), ("1.432", 1.0), ("2", 1000.0)],
)
def test_last_figure_says_how_finely_it_was_read(text: str, step_mm: float) -> None:
    assert read_figure(text, "m").step_m == pytest.approx(step_mm / 1000)


def test_fraction_says_how_finely_it_was_read() -> None:
    assert read_figure("4-0-5/8", "ft-in").step_m == pytest.approx(_INCH / 8)
    assert read_figure("4 ft 0.25 in", "ft-in").step_m == pytest.approx(_INCH / 100)
    assert read_figure("4-7", "ft-in").step_m == pytest.approx(_INCH)


def test_units_are_known_by_their_usual_names() -> None:
    names = ["Feet", "ft-in", "ft in", "metres", "MM", "inches", "fathom"]
    assert [book_unit(name) for name in names] == ["ft", "ft-in", "ft-in", "m", "mm", "in", None]


@pytest.mark.parametrize(
    ("text", "unit", "metres"),
    [
        ("125", "m", 125.0), ("1+25", "m", 125.0), ("0+125", "m", 125.0), ("1+25.5", "m", 125.5),
        ("1+25", "ft", 125 * _FOOT), ("4+50", "ft-in", 450 * _FOOT), ("1 + 53.25", "m", 153.25),
        ("12.5", "ft-in", 12.5 * _FOOT),
    ],
)  # fmt: skip
def test_station_is_the_distance_it_says(text: str, unit: str, metres: float) -> None:
    assert read_station(text, unit) == pytest.approx(metres, abs=1e-9)


def test_decimal_comma_of_a_station() -> None:
    assert read_station("1+25,5", "m", comma=",") == 125.5
    with pytest.raises(FigureError):
        read_station("1+2+3", "m")


def _heights(book: LevelBook) -> dict[str, float]:
    elevations = reduce_book(book)
    return {name: round(elevations.of(name), 9) for name in elevations.names}


_PLAIN = "point,bs [m],is,fs,elevation\nBM,1.432,,,100\nA,,0.5,,\nB,2.0,,1.0,\nBM,,,2.432,\n"


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff# a comment\n\npoint;bs [m];is;fs;elevation\nBM;1,432;;;100\nA;;0,5;;\n"
        "B;2,0;;1,0;\n;;;;\nBM;;;2,432;\n",
        "Point,Backsight (m),Intermediate sight,Foresight,Elevation\r\nBM,1.432,,,100\r\n"
        "A,,0.5,,\r\nB,2.0,,1.0,\r\nBM,,,2.432,\r\n",
        "point\tbs [mm]\tis\tfs\televation [m]\nBM\t1432\t\t\t100\nA\t\t500\nB\t2000\t\t1000\n"
        "BM\t\t\t2432\n",
        "point,bs [m],is [cm],fs [mm],elevation\nBM,1.432,,,100\nA,,50,,\nB,,,1000,\nB,2.0,,,\n"
        "BM,,,2432,\n",
        "setup,point,rod [m],elevation\n1,BM,1.432,100\n1,A,0.5,\n1,B,1.0,\n2,B,2.0,\n"
        "2,BM,2.432,\n",
        "set-up,point,reading [m],elevation\n1,BM,1.432,100\n2,B,2.0,\n1,A,0.5,\n1,B,1.0,\n"
        "2,BM,2.432,\n,A,,\n",
    ],
    ids=["semicolons", "words", "tabs and mm", "a unit each", "by set-up", "set-ups mixed"],
)
def test_same_survey_written_otherwise_is_the_same(text: str) -> None:
    assert _heights(book_of(_PLAIN)) == _heights(book_of(text))


def test_unit_of_the_command_is_for_headings_without_one() -> None:
    plain = "point,bs,is,fs [mm],elevation [m]\nBM,1.0,,,100\nA,,,500,\n"
    assert book_of(plain, unit="ft").readings[0].reading_m == pytest.approx(_FOOT)
    assert book_of(plain, unit="ft").readings[1].reading_m == pytest.approx(0.5)


def test_names_are_text() -> None:
    book = book_of("point,bs [m],is,fs\n1,1,,\n01,,1.1,\n1.0,,1.2,\n1,,,1.0\n")
    assert book.points == ("1", "01", "1.0")


def test_several_books_are_one_survey(tmp_path: Path) -> None:
    one, two = tmp_path / "one.csv", tmp_path / "two.csv"
    one.write_text("point,bs [m],fs,elevation\nBM,1.5,,100\nA,,0.5,\n", encoding="utf-8")
    two.write_text("point,bs [ft],fs\nA,10,\nB,,5\n", encoding="utf-8")
    book = read_level_books([one, two])
    assert book.files == ("one.csv", "two.csv")
    assert _heights(book)["B"] == pytest.approx(101.0 + 5 * _FOOT)
    assert [check.file for check in reduce_book(book).page_checks] == ["one.csv", "two.csv"]


def test_two_books_that_disagree_on_a_benchmark(tmp_path: Path) -> None:
    for name, value in (("one.csv", 100), ("two.csv", 101)):
        text = f"point,bs [m],fs,elevation\nBM,1.5,,{value}\nA,,0.5,\n"
        (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_level_books([tmp_path / "one.csv", tmp_path / "two.csv"])
    assert caught.value.file == "two.csv"
    assert "one.csv, line 2" in " ".join(str(caught.value).split())


def test_repeated_elevation_is_one_elevation() -> None:
    book = book_of("point,bs [m],fs,elevation\nBM,1,,100\nA,1,1,\nBM,,1,100\n")
    assert len(book.known) == 1


def test_direct_rod_rises_with_the_ground() -> None:
    text = "point,bs [ft],is,fs,elevation\nBM,4,,,100\nA,,6,,\nBM,,,4,\n"
    assert _heights(book_of(text, rod="direct"))["A"] == pytest.approx(102 * _FOOT)
    assert _heights(book_of(text))["A"] == pytest.approx(98 * _FOOT)


def test_uncertain_benchmark_takes_part() -> None:
    text = "point,bs [m],is,fs,elevation,elevation_std\nBM1,1,,,100,\nBM2,,,0.9,100.2,0.05\n"
    elevations = reduce_book(book_of(text, reading_std_m=0.001))
    assert elevations.of("BM2") == pytest.approx(100.1, abs=1e-3)
    assert elevations.degrees_of_freedom == 1
    (run,) = elevations.misclosures
    assert run.allowable_m == pytest.approx(1.6449 * (0.05**2 + 2 * 0.001**2) ** 0.5)


def test_distance_and_angle_make_sights_out_of_balance_less_sure() -> None:
    text = "setup,point,rod [m],dist [m],elevation\n1,BM,1,10,100\n1,near,1,10,\n1,far,1,200,\n"
    elevations = reduce_book(book_of(text, reading_std_m=0.001, angle_std_rad=5e-5))
    near = elevations.rise("BM", "near")[1]
    far = elevations.rise("BM", "far")[1]
    assert near == pytest.approx((2 * 0.001**2) ** 0.5)
    assert far == pytest.approx((2 * 0.001**2 + (5e-5 * 190) ** 2) ** 0.5)


def _kinds(book: LevelBook) -> list[str]:
    return [fact.kind for fact in reduce_book(book).facts]


def test_unknown_column_is_told() -> None:
    book = book_of("point,bs [m],fs,weather,elevation\nBM,1,,fair,100\nA,,1,,\n")
    (fact,) = book.facts
    assert fact.kind == "unknown-column"
    assert fact.texts == {"heading": "weather"}


def test_decimals_that_look_like_inches_are_told() -> None:
    text = "point,bs [ft],is,fs,elevation\nBM,4.07,,,100\nA,,5.11,,\nB,3.02,,6.10,\nBM,,,2.4,\n"
    assert "looks-like-feet-inches" in _kinds(book_of(text))
    for other in ("4.17", "4.071", "4"):
        assert "looks-like-feet-inches" not in _kinds(book_of(text.replace("4.07", other)))
    assert "looks-like-feet-inches" not in _kinds(book_of(text.replace("[ft]", "[m]")))


def test_reading_longer_than_a_rod_is_told() -> None:
    text = "point,bs [m],fs,elevation\nBM,1432,,100\nA,,500,\n"
    assert _kinds(book_of(text)).count("long-reading") == 2
    assert "long-reading" not in _kinds(book_of(text, rod="direct"))


def test_names_that_are_nearly_alike_are_told() -> None:
    assert "names-alike" in _kinds(book_of("point,bs [m],fs\nTP1,1,\ntp 1,,2\n"))


@pytest.mark.parametrize(("unit", "metres"), [("ft", 30.48), ("m", 100.0), ("mm", 100.0)])
def test_first_point_is_called_100_where_nothing_is_known(unit: str, metres: float) -> None:
    elevations = reduce_book(book_of(f"point,bs [{unit}],fs\nA,1,\nB,,2\n"))
    assert elevations.of("A") == pytest.approx(metres)
    assert elevations.assumed_datum
    assert elevations.datum == "A"
    assert "first-point-called-100" in [fact.kind for fact in elevations.facts]


def test_rod_that_seems_direct_is_told() -> None:
    text = "point,bs [m],fs,elevation\nA,1.0,,100\nB,,2.0,101.001\n"
    assert "rod-seems-direct" in _kinds(book_of(text))
    assert "rod-seems-direct" not in _kinds(book_of(text.replace("101.001", "99.001")))
    assert "rod-seems-direct" in _kinds(book_of(text.replace("101.001", "98.999"), rod="direct"))


def test_angle_without_distances_is_told() -> None:
    text = "point,bs [m],fs,elevation\nA,1.0,,100\nB,,2.0,\n"
    assert "sights-without-distance" in _kinds(book_of(text, angle_std_rad=1e-5))


def test_routes_are_in_the_order_of_their_stations() -> None:
    book = book_of(
        "point,bs [m],is,fs,elevation,route,station\nA,1,,,100,up,50\nB,,1,,,up,20\n"
        "C,,,1,,up,0+00\nC,1,,,,,\nD,,1,,,way,\nA,,,1,,,\nB,,,,,way,\nZ,,,,,way,\n"
    )
    up, way = book.routes
    assert up.points == ("C", "B", "A")
    assert up.station_m == (0.0, 20.0, 50.0)
    assert way.points == ("D", "B", "Z")
    assert way.station_m == (None, None, None)
    assert [fact.point for fact in book.facts if fact.kind == "point-never-read"] == ["Z"]


def test_taped_stations_become_level_ones() -> None:
    elevations = reduce_book(
        book_of(
            "point,bs [m],is,fs,elevation,route,slope_station [m],station [m]\n"
            "A,8,,,100,up,0,\nB,,5,,,up,5,\nC,,,5,,up,12,\nD,,,,,up,20,\nE,,,,,up,,30\n"
        )
    )
    (route,) = elevations.routes
    assert route.station_m[:4] == pytest.approx((0.0, 4.0, 11.0, 19.0))
    assert route.station_m[4] == 30.0
    assert "leg-taken-level" in [fact.kind for fact in elevations.facts]


def test_height_differences_join_the_network(tmp_path: Path) -> None:
    book, other = tmp_path / "book.csv", tmp_path / "heights.csv"
    book.write_text("point,bs [m],fs,elevation\nBM,1.5,,100\nA,,0.5,\n", encoding="utf-8")
    other.write_text("from,to,rise [ft],give_or_take [in]\nA,hut,10,1\n", encoding="utf-8")
    read = read_level_books([book], heights=other, reading_std_m=0.001)
    elevations = reduce_book(read)
    assert elevations.of("hut") == pytest.approx(101 + 10 * _FOOT)
    assert elevations.rise("A", "hut")[1] == pytest.approx(_INCH)


def test_a_blank_doubt_is_taken_from_the_way_that_how_names(tmp_path: Path) -> None:
    book, other = tmp_path / "book.csv", tmp_path / "heights.csv"
    book.write_text("point,bs [m],fs,elevation\nBM,1.5,,100\nA,,0.5,\n", encoding="utf-8")
    other.write_text(
        "from,to,rise [m],how,give_or_take\nA,hut,1,hose,\nA,barn,9,gauge,0.2\n",
        encoding="utf-8",
    )
    read = read_level_books([book], heights=other, reading_std_m=0.001)
    assert [(one.std_m, one.way) for one in read.differences] == [(0.005, "hose level"), (0.2, "")]
    (fact,) = [fact for fact in reduce_book(read).facts if fact.kind == "height-error-taken"]
    assert (fact.point, fact.file, fact.line) == ("hut", read.files[1], 2)


def test_mixed_book_without_a_stated_reading_error_takes_one(tmp_path: Path) -> None:
    book, other = tmp_path / "book.csv", tmp_path / "heights.csv"
    book.write_text("point,bs [m],fs,elevation\nBM,1.5,,100\nA,,0.5,\n", encoding="utf-8")
    other.write_text("from,to,rise [m]\nA,hut,10\n", encoding="utf-8")
    elevations = reduce_book(read_level_books([book], heights=other))
    assert elevations.reading_std_m == pytest.approx(0.1 / 12**0.5)
    assert not elevations.reading_stated
    assert "reading-error-taken" in [fact.kind for fact in elevations.facts]


def test_perfect_closing_leaves_the_rounding_as_doubt() -> None:
    elevations = reduce_book(
        book_of("point,bs [m],is,fs,elevation\nBM,1.00,,,100\nA,,2.00,,\nBM,,,1.00,\n")
    )
    assert elevations.s0 == pytest.approx(0.0, abs=1e-12)
    assert elevations.reading_std_m == pytest.approx(0.01 / 12**0.5)
    assert elevations.likely_factor == pytest.approx(1.6449)


def test_directions_are_degrees_or_points_of_the_compass() -> None:
    text = (
        "point,bs [m],is,fs,elevation,bs_dist,is_dist,fs_dist,bs_dir,is_dir,fs_dir,head\n"
        "BM,1,,,100,10,,,180,,,N\nA,,1,,,,10,,,ne,,\nB,,,1,,,,10,,,0,\n"
        "B,1,,,,10,,,W,,,\nC,,,1,,,,10,,,90.5,\n"
    )
    book = book_of(text)
    found = [math.degrees(one.direction_rad or 0.0) for one in book.readings]
    assert found == pytest.approx([180.0, 45.0, 0.0, 270.0, 90.5])
    assert [setup.head_rad for setup in book.setups] == [0.0, 0.0]


def test_the_second_form_has_directions_too() -> None:
    text = (
        "setup,point,rod [m],dist,dir,head,elevation\n1,BM,1,10,S,E,100\n1,A,1,10,N,,\n"
        "2,A,1,10,S,,\n2,B,1,10,N,,\n3,B,1,10,S,W,\n3,C,1,10,N,,\n"
    )
    book = book_of(text)
    assert [math.degrees(one.direction_rad or 0.0) for one in book.readings] == [180, 0] * 3
    heads = [math.degrees(setup.head_rad or 0.0) for setup in book.setups]
    assert heads == pytest.approx([90.0, 90.0, 270.0])
