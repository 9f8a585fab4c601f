"""Other ways of measuring a height: known by their words, listed as taken, never too sure."""

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.leveling.book import HeightDifference, KnownElevation, LevelBook
from terrain_head.leveling.other_ways import (
    ABNEY_NOTE,
    HYDROSTATIC_LEVEL,
    OTHER_WAYS,
    SATELLITE_HEIGHTS,
    UNKNOWN_WAY,
    OtherWay,
    taken_citation,
    way_named,
)
from terrain_head.leveling.reduce import reduce_book
from terrain_head.leveling.weights import weights_of
from tests.worked_examples import WorkedExample

PAGE = (Path(__file__).parents[2] / "docs" / "level_book.md").read_text(encoding="utf-8")
WAYS = pytest.mark.parametrize("way", OTHER_WAYS, ids=lambda way: way.name)


def _named(how: str) -> OtherWay:
    way = way_named(how)
    assert way is not None
    return way


@pytest.mark.parametrize(
    ("how", "name"),
    [
        ("clear hose full of water", "hose level"),
        ("Water level, 20 m", "hose level"),
        ("hydrostatic level", "hydrostatic level"),
        ("gauge on the hose", "pressure gauge"),
        ("A-Frame", "A-frame"),
        ("line level", "string level"),
        ("Abney level", "clinometer"),
        ("hand level and tape", "hand level"),
        ("phone barometer", "barometer"),
        ("my phone", "phone or satellite height"),
        ("Smartphone", "phone or satellite height"),
        ("a neighbour said so", None),
        ("", None),
    ],
)
def test_a_way_is_known_by_its_words(how: str, name: str | None) -> None:
    way = way_named(how)
    assert name == (None if way is None else way.name)


@WAYS
def test_each_way_knows_its_own_name_and_stands_on_the_page(way: OtherWay) -> None:
    assert way_named(way.name) is way
    assert taken_citation(way.name) is way.citation
    standing = "any" if math.isinf(way.standing_rise_m) else f"{way.standing_rise_m:g} m"
    share = f"{100 * way.share:g} %" if way.share else "-"
    row = (
        f"| {way.name} | {', '.join(way.words)} | {way.standing_std_m:.3f} m | {standing} "
        f"| {share} | {way.citation} |"
    )
    assert row in PAGE


def test_published_figures_come_back_out() -> None:
    """Probable error, limit at 95 % and share of a height, as their sources print them."""
    example = WorkedExample(
        name="what is printed of other ways",
        kind="published",
        source=HYDROSTATIC_LEVEL.at("abstract; beside it the two other works that give figures"),
        inputs={"height": "20"},
        printed={"probable error, cm": "10", "error of 20 m": "0.5", "95 %": "7"},
    )
    hydrostatic, abney = _named("hydrostatic"), _named("abney")
    satellite = _named("gnss")
    assert {ABNEY_NOTE, SATELLITE_HEIGHTS} == {abney.citation.source, satellite.citation.source}
    example.assert_result("probable error, cm", 100 * 0.6745 * hydrostatic.std_m(5.0))
    example.assert_result("error of 20 m", abney.share * example.given("height"))
    example.assert_result("95 %", 1.96 * satellite.std_m(0.0) / math.sqrt(2))


@WAYS
@given(st.floats(-60.0, 60.0), st.floats(0.0, 40.0))
def test_a_greater_rise_is_never_surer(way: OtherWay, rise: float, more: float) -> None:
    std = way.std_m(rise)
    assert way.standing_std_m <= std * (1 + 1e-12)
    assert std == way.std_m(-rise)
    assert std <= way.std_m(abs(rise) + more) * (1 + 1e-12)


def _difference(end: str, *, std: float | None, way: str = "", line: int = 2) -> HeightDifference:
    return HeightDifference(
        start="A", end=end, rise_m=1.0, std_m=std, how=way, way=way, file=0, line=line
    )


def test_what_was_taken_is_told_once_for_each_way() -> None:
    book = LevelBook(
        files=("heights.csv",),
        known=(KnownElevation(point="A", elevation_m=100.0),),
        differences=(
            _difference("B", std=0.005, way="hose level", line=2),
            _difference("C", std=0.01, way="hose level", line=3),
            _difference("D", std=0.02, line=4),
            _difference("E", std=None, line=5),
        ),
    )
    first, second = weights_of(book).facts
    assert (first.kind, first.point, first.line) == ("height-error-taken", "B", 2)
    assert (first.file, dict(first.texts)) == ("heights.csv", {"way": "hose level"})
    assert dict(first.values) == {"height_std_m": 0.01, "count": 2.0}
    assert dict(second.texts) == {"way": ""}
    assert second.values["height_std_m"] == pytest.approx(math.sqrt(2) * 0.003)
    assert taken_citation("") is UNKNOWN_WAY
    assert first in reduce_book(book).facts


def test_a_written_error_is_not_said_to_be_taken() -> None:
    assert not weights_of(LevelBook(differences=(_difference("B", std=0.02),))).facts


def test_heights_of_no_known_way_alone_count_as_one_reading_each() -> None:
    weights = weights_of(LevelBook(differences=(_difference("B", std=None, line=0),)))
    (fact,) = weights.facts
    assert (weights.stated, fact.values["height_std_m"]) == (False, 0.003)
    assert (fact.file, fact.line) == (None, None)
