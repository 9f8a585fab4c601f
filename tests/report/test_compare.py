"""Choices stand side by side, and each is praised for what it is better by."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import CRITERIA, UNITS, compare
from terrain_head.assessment.differences import Undecided
from terrain_head.assessment.drawn import Drawn
from terrain_head.base.units import METRIC, US, UnitSystem, to_si
from terrain_head.report.compare_document import compare_document, dumps
from terrain_head.report.compare_screen import (
    RESULT_WORDS,
    compare_screen,
    result_text,
    side_by_side,
)
from terrain_head.report.compare_summary import BETTER_WORDS, summary, undecided_words
from terrain_head.scheme.solution import RamResult
from tests.report.builders import a, answer, drawn_water
from tests.report.sample_findings import SAMPLES


def _choices(units: UnitSystem = METRIC) -> tuple[Answer, ...]:
    return (
        answer(units=units),
        answer(units=units, choice="ridge", per_day_l=4100.0, fall_m=2.6),
        answer(units=units, choice="no tank", tank=False),
    )


def _screen(answers: Sequence[Answer]) -> str:
    return compare_screen(answers, compare(answers), results_folder="bank/study-results/")


@pytest.mark.parametrize(("units", "count"), list(product([METRIC, US], [1, 2, 3])))
def test_the_screen_fits_and_is_ascii(units: UnitSystem, count: int) -> None:
    screen = _screen(_choices(units)[:count])
    assert screen.isascii()
    assert max(len(line) for line in screen.splitlines()) <= 79
    assert "bank/study-results/choices-profile.png" in screen
    assert screen.endswith("all of it: choices.html\n")


def test_many_choices_are_shown_in_several_blocks() -> None:
    many = [answer(choice=f"way {n}", per_day_l=3000.0 + n) for n in range(7)]
    screen = _screen(many)
    assert max(len(line) for line in screen.splitlines()) <= 79
    for n in range(7):
        assert f"way {n}" in screen
    assert screen.count("water a day") == 2


def test_each_choice_is_named_with_what_it_is_better_by() -> None:
    screen = " ".join(_screen(_choices()[:2]).split())
    assert "'ridge' brings the most water: 4 100 litres a day, against 3 700." in screen
    assert "Better by 'ridge': more water and more fall." in screen


def test_figures_stand_under_their_choice() -> None:
    lines = _screen(_choices()[:2]).splitlines()
    head = next(line for line in lines if ["main", "ridge"] == line.split())
    water = next(line for line in lines if line.startswith("water a day"))
    assert head.index("ridge") == water.index("4 100 L")
    needs = next(line for line in lines if line.startswith("all needs met"))
    assert ["no", "no"] == needs.split()[3:]


def test_what_a_choice_does_not_reach_is_a_dash() -> None:
    lines = _screen(_choices()).splitlines()
    stand = next(line for line in lines if line.startswith("stand  "))
    assert stand.rstrip().endswith("-")


def test_needs_that_hang_on_the_heights_can_not_be_told() -> None:
    doubtful = tuple(one for one in SAMPLES if one.kind == "fall-doubtful")
    stopped = tuple(one for one in SAMPLES if one.kind == "fall-too-small")
    open_yet = answer(findings=doubtful, outlets=0, needed_l=None)
    screen = _screen([open_yet, answer(choice="low", findings=stopped)])
    needs = next(line for line in screen.splitlines() if line.startswith("all needs met"))
    assert ["can't", "tell", "no"] == needs.split()[3:]


def test_without_needs_there_is_no_row_of_needs() -> None:
    plain = answer(flow=False, outlets=0, findings=())
    assert "all needs met" not in _screen([plain])


def test_choices_alike_are_not_ranked() -> None:
    twins = [answer(), answer(choice="twin")]
    assert "No choice stands out in water or in work." == summary(compare(twins), units=METRIC)


def test_which_choices_meet_the_needs_is_said_first() -> None:
    fed = replace(answer(needed_l=100.0, outlets=0, findings=()), choice="fed")
    hungry = answer(choice="hungry")
    said = " ".join(_screen([hungry, fed]).split())
    assert "'fed' gives all you asked for. 'hungry' does not: too little" in said
    assert "Every choice gives all you asked for." in _screen([fed, replace(fed, choice="b")])
    alone = " ".join(_screen([hungry]).split())
    assert "No choice gives all you asked for. 'hungry': too little" in alone


def test_the_least_work_is_said() -> None:
    shorter = answer(choice="short", outlets=0)
    text = summary(compare([answer(), shorter]), units=US)
    assert "'short' is the least work to lay." in text


def test_every_criterion_and_every_result_has_words() -> None:
    assert set(CRITERIA) == set(BETTER_WORDS)
    assert set(UNITS) | {"stand_sure", "stand_middle"} == set(RESULT_WORDS)


@pytest.mark.parametrize(
    ("name", "value", "metric", "us"),
    [
        ("running.beds", 87.6e3, "0.88 bar", "12.7 psi"),
        ("digging", 28.3168, "28 m3", "1,000 ft3"),
        ("delivered", to_si(3683.0, "L/d"), "3 700 L", "970 gal"),
        ("high_points", 2.0, "2", "2"),
        ("pipe_length", 187.3, "187 m", "615 ft"),
        ("stand_needed", -0.1, "none needed", "none needed"),
        ("stand", 2.0, "2.0 m", "7 ft"),
        ("lift", 24.21, "24.21 m", "79.43 ft"),
    ],
)
def test_a_result_is_a_short_text(name: str, value: float, metric: str, us: str) -> None:
    assert metric == result_text(value, name, units=METRIC)
    assert us == result_text(value, name, units=US)


def test_the_document_holds_the_contract() -> None:
    document = compare_document(compare(_choices()))
    assert {"choices", "differences", "better", "undecided", "summary"} == set(document)
    first = document["choices"][0]
    assert {"name", "cost", "fall", "lift", "delivered", "running"} <= set(first)
    assert {"value": 2.41, "unit": "m", "std": None} == first["fall"]
    assert "kPa" == first["running"]["beds"]["unit"]
    assert first["cost"] is None
    for one in document["differences"]:
        assert {"name", "against", "result", "value", "chance_better", "because"} == set(one)
        assert "main" == one["against"]
        assert one["chance_better"] is None
    assert set(CRITERIA) == set(document["better"])
    assert document == json.loads(dumps(document))


def test_a_need_not_sure_has_its_chance_in_the_column() -> None:
    plain = answer(findings=(), outlets=0)
    perhaps = drawn_water(plain, 3_000.0, 900.0, cause="efficiency")
    lines = _screen([perhaps, replace(plain, choice="sure")]).splitlines()
    needs = next(line for line in lines if line.startswith("all needs met"))
    assert ["7", "in", "10", "yes"] == needs.split()[3:]
    both = " ".join(_screen([perhaps, replace(perhaps, choice="twin")]).split())
    assert "Every choice may give all you asked for; none surely does." in both
    mixed = " ".join(_screen([perhaps, replace(plain, choice="sure")]).split())
    assert "'sure' gives all you asked for. 'main' may: enough water, seven chances in ten" in mixed


def test_how_often_the_choice_with_most_water_has_most_is_said() -> None:
    low = drawn_water(answer(findings=(), outlets=0), 3_000.0, 100.0)
    more = drawn_water(answer(findings=(), outlets=0, choice="round"), 4_000.0, 120.0)
    ram = [replace(one, drawn=_as_delivered(one)) for one in (low, more)]
    text = summary(compare(ram), units=METRIC, answers=ram)
    assert "'round' brings the most water" not in text
    fed = [
        replace(one, solution=replace(one.solution, ram=_delivering(one, litres)))
        for one, litres in zip(ram, (3_000.0, 4_000.0), strict=True)
    ]
    text = summary(compare(fed), units=METRIC, answers=fed)
    assert "4 000 litres a day, against 3 000; in nearly every case." in text


def _as_delivered(one: Answer) -> Drawn:
    assert one.drawn is not None
    return replace(one.drawn, samples={"delivered": one.drawn.samples["tank.tank.inflow"]})


def _delivering(one: Answer, per_day_l: float) -> RamResult:
    assert one.solution.ram is not None
    return replace(one.solution.ram, delivered_m3_s=a(to_si(per_day_l, "L/d")))


def test_long_names_of_choices_are_folded_not_cut() -> None:
    screen = _screen([answer(choice=f"straight, with a wider line {n}") for n in range(4)])
    assert "straight, wi\n" not in screen
    assert "with a" in screen


def test_an_outlet_without_a_stand_that_does_and_one_that_runs_dry_are_said() -> None:
    whole = answer()
    dry = replace(whole.solution.outlets["house tap"], running_low_pa=a(-9e5), stand_needed_m=None)
    outlets = dict(whole.solution.outlets) | {"house tap": dry}
    screen = _screen([replace(whole, solution=replace(whole.solution, outlets=outlets))])
    assert "no stand does" in screen
    assert "runs dry" in screen


def test_what_the_doubt_leaves_open_is_said_with_its_cause() -> None:
    comparison = compare(_choices())
    assert undecided_words(comparison) == ""
    undecided = {
        "water": Undecided(best="main", rival="ridge", chance=0.7, because="raster"),
        "pressure": Undecided(best="main", rival="ridge", chance=0.8, because="inside diameter"),
    }
    text = compare_screen(_choices(), replace(comparison, undecided=undecided))
    said = " ".join(text.split())
    assert (
        "Which has more water ('main' 7 in 10): the heights are not known well enough to say."
        in said
    )
    assert "more pressure at the weakest outlet ('main' 8 in 10): the doubt is too large" in said


def test_a_difference_is_the_choice_minus_what_it_is_held_against() -> None:
    document = compare_document(compare(_choices()[:2]))
    found = {one["result"]: one["value"] for one in document["differences"]}
    assert found["fall"]["value"] == pytest.approx(0.19)
    assert found["delivered"]["value"] == pytest.approx(0.42)
    assert "m3/d" == found["delivered"]["unit"]


def test_a_choice_that_fails_is_not_held_against_one_that_does_not() -> None:
    fed = answer(needed_l=100.0, outlets=0, findings=(), choice="fed", per_day_l=3_000.0)
    well_fed = answer(needed_l=100.0, outlets=0, findings=(), choice="more", per_day_l=4_000.0)
    hungry = answer(needed_l=9_000.0, outlets=0, findings=(), per_day_l=5_000.0)
    answers = [hungry, fed, well_fed]
    text = summary(compare(answers), units=METRIC, answers=answers)
    assert "'fed' and 'more' give all you asked for. 'main' does not: too little water." in text
    assert "Of those that do, 'more' brings the most water: 4 000 litres a day" in text
    assert "against 3 000" in text
    screen = " ".join(_screen(answers).split())
    assert "Better by 'more': more water" in screen
    assert "'main': more water" not in screen
    alone = [hungry, fed]
    assert "most water" not in summary(compare(alone), units=METRIC, answers=alone)


def test_needs_that_hang_on_the_heights_of_every_choice_say_so() -> None:
    doubtful = tuple(one for one in SAMPLES if one.kind == "fall-doubtful")
    twins = [answer(findings=doubtful, outlets=0, needed_l=None, choice=name) for name in "ab"]
    text = summary(compare(twins), units=METRIC, answers=twins)
    assert "none surely does: the heights are not known well enough to say." in text


def test_earth_to_dig_is_left_out_where_nothing_is_buried() -> None:
    comparison = compare(_choices()[:2])
    bare = [replace(one, results={**one.results, "digging": 0.0}) for one in comparison.choices]
    names = [name for name, _ in side_by_side(_choices()[:2], bare)]
    assert "earth to dig" not in names
    part = [bare[0], comparison.choices[1]]
    rows = dict(side_by_side(_choices()[:2], part))
    if part[1].results["digging"]:
        assert "none" == rows["earth to dig"][0]


def test_the_stand_that_is_sure_stands_over_its_middle() -> None:
    whole = answer()
    needs = [name for name, one in whole.solution.outlets.items() if one.stand_needed_m is not None]
    samples = {f"outlet.{name}.stand_needed": np.linspace(2.0, 4.0, 101) for name in needs}
    known = replace(whole, drawn=Drawn(draws=101, samples=samples))
    rows = dict(side_by_side([known], compare([known]).choices))
    assert ("3.8 m",) == rows["stand, 9 times in 10"]
    assert "stand, as often as not" in rows
    assert "stand that would do" in dict(side_by_side([whole], compare([whole]).choices))
