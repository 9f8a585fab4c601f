"""Specs that leave the size open, and the table of costs."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.base.quantities import QuantityError
from terrain_head.base.units import to_si
from terrain_head.errors import InputError
from terrain_head.files.pipe_candidates import find_family
from terrain_head.files.pipe_wish import is_wish, parse_wish
from terrain_head.files.study_file import open_study_file
from terrain_head.files.study_record import Study
from terrain_head.scheme.pipe_choice import Prices
from terrain_head.scheme.pipe_table import PIPE_TABLE

STUDY = """
units = "{units}"
[tank]
place = "knoll"
[pipe.beds]
from = "tank"
to = "beds"
spec = {spec}
[outlet.beds]
place = "beds"
{costs}
"""


def opened(
    folder: Path, *, spec: str = '"smallest PE100 SDR 11"', costs: str = "", units: str = "metric"
) -> Study:
    file = folder / "study.toml"
    file.write_text(STUDY.format(spec=spec, costs=costs, units=units), encoding="utf-8")
    return open_study_file(file).study()


def trouble(folder: Path, *, spec: str = '"smallest PE100 SDR 11"', costs: str = "") -> str:
    with pytest.raises(InputError) as caught:
        opened(folder, spec=spec, costs=costs)
    return "\n".join(f"{one.what} {one.write}" for one in caught.value.troubles)


@pytest.mark.parametrize(
    ("text", "family"),
    [
        ("PE100 ISO 4427 SDR 11", "PE100 ISO 4427 SDR 11"),
        ("pe100 sdr-11", "PE100 ISO 4427 SDR 11"),
        ("PE100 PN 16", "PE100 ISO 4427 SDR 11"),
        ("PVC class 200", "PVC ASTM D2241 SDR 21"),
        ("PE3608 SIDR 15", "PE3608 ASTM D2239 SIDR 15"),
        ("galvanised steel EN 10255 medium", "galvanized steel EN 10255 medium"),
    ],
)
def test_a_kind_of_pipe_is_understood_as_people_write_it(text: str, family: str) -> None:
    found = find_family(text)
    assert {family} == {one.family for one in found}
    bores = [one.row.inside_m for one in found]
    assert bores == sorted(bores)
    assert len(found) >= 5


@pytest.mark.parametrize("row", PIPE_TABLE[::7], ids=lambda row: row.label)
def test_every_kind_of_the_table_is_found_by_its_own_name(row: object) -> None:
    label = row.label  # type: ignore[attr-defined]
    family = label.replace(f" {row.size} ", " ")  # type: ignore[attr-defined]
    assert label in {one.row.label for one in find_family(family)}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("32 mm PE100 SDR 11", "names a size, 32 mm"),
        ("SDR 11", "more than one kind"),
        ("PE100", "more than one kind"),
        ("copper", "holds no copper pipe"),
        ("banana", "no kind of pipe"),
    ],
)
def test_what_is_no_kind_of_pipe_is_refused_with_what_to_write(text: str, said: str) -> None:
    with pytest.raises(QuantityError) as caught:
        find_family(text)
    assert said in caught.value.trouble.what
    assert "spec = " in caught.value.trouble.write


def test_what_is_offered_instead_of_two_kinds_is_understood() -> None:
    with pytest.raises(QuantityError) as caught:
        find_family("PN10")
    for line in caught.value.trouble.write.splitlines():
        text = line.removeprefix('spec = "').removesuffix('"')
        assert is_wish(text)
        assert parse_wish(text, where="a", prices=Prices()).options


def test_several_kinds_stand_in_one_order_by_their_bore() -> None:
    wish = parse_wish(
        {"choose": ["PE100 SDR 17", "PE100 SDR 11"]}, where="pipe.a.spec", prices=Prices()
    )
    assert wish.families == ("PE100 ISO 4427 SDR 17", "PE100 ISO 4427 SDR 11")
    bores = [one.spec.inside_m.value for one in wish.options]
    assert bores == sorted(bores)
    assert {"pipe.a.spec.roughness"} == {taken.key for one in wish.options for taken in one.taken}


def test_a_rating_that_is_printed_on_all_of_them_holds_for_all() -> None:
    wish = parse_wish(
        {"choose": "steel ASME B36.10 Sch 40", "rating": "40 bar"}, where="a", prices=Prices()
    )
    assert {4e6} == {one.spec.rating_pa for one in wish.options}


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ({"choose": []}, "nothing stands there"),
        ({"choose": 7}, "a kind of pipe, or a list"),
        ({"choose": ["PE100 SDR 11", 7]}, "a kind of pipe, or a list"),
        ({"choose": "PE100 SDR 11", "inside": "3 mm"}, "'inside' does not go beside"),
        ({"choose": "PE100 SDR 11", "rating": 16}, "has no unit"),
        (7, "is no pipe"),
    ],
)
def test_a_wrong_table_is_refused(value: object, said: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_wish(value, where="a", prices=Prices())
    assert said in caught.value.trouble.what


def test_the_study_holds_the_choice_and_no_spec_yet(tmp_path: Path) -> None:
    pipe = opened(tmp_path).parts.pipes[0]
    assert pipe.spec is None
    assert pipe.choice is not None
    assert len(pipe.choice.options) == 9


def test_a_choice_that_is_not_understood_is_told_with_its_line(tmp_path: Path) -> None:
    said = trouble(tmp_path, spec='"smallest PN10"')
    assert "[pipe.beds] spec" in said
    assert 'spec = "smallest PE100 ISO 4427 SDR 17"' in said


@pytest.mark.parametrize(("units", "unit"), [("metric", "m"), ("us", "ft")])
def test_prices_count_for_the_units_of_the_study(tmp_path: Path, units: str, unit: str) -> None:
    costs = '[costs]\npipe = { "PE100 32 mm SDR 11" = 2.10 }\nstand = 140\ntrench = 3'
    study = opened(tmp_path, costs=costs, units=units)
    prices = study.parts.prices
    assert prices.pipe["PE100 ISO 4427 32 mm SDR 11"] == pytest.approx(2.10 / to_si(1, unit))
    assert prices.stand == pytest.approx(140 / to_si(1, unit))
    assert prices.trench == pytest.approx(3 / to_si(1, unit))
    choice = study.parts.pipes[0].choice
    assert choice is not None
    assert ["32 mm"] == [one.size for one in choice.options]


@pytest.mark.parametrize(
    ("costs", "said"),
    [
        ('[costs]\npipe = { "PE100 32 mm" = 2 }', "does not say which wall"),
        ('[costs]\npipe = { "PE100 32 mm SDR 11" = -2 }', "-2 is not a price"),
        ('[costs]\npipe = { "PE100 32 mm SDR 11" = "2" }', "is not a price"),
        ("[costs]\npipe = 3", "a table of pipes and their prices"),
        ('[costs]\nstand = "3 m"', "is not a price"),
        ("[costs]\ntrench = nan", "is not a price"),
        ("[costs]\ntench = 3", "no such key"),
        ('[costs]\npipe = { "PE80 32 mm SDR 11" = 2 }', "no price for any pipe of PE100"),
    ],
)
def test_wrong_costs_are_told(tmp_path: Path, costs: str, said: str) -> None:
    assert said in trouble(tmp_path, costs=costs)


def test_cheapest_wants_prices(tmp_path: Path) -> None:
    assert "no price for any pipe" in trouble(tmp_path, spec='"cheapest PE100 SDR 11"')


def test_a_blank_price_counts_as_left_out(tmp_path: Path) -> None:
    costs = '[costs]\nstand = "?"\npipe = { "PE100 32 mm SDR 11" = "?" }'
    study = opened(tmp_path, costs=costs)
    assert study.parts.prices == Prices()
