"""The text alternative: at most sixty words, in whole sentences, with what matters first."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest

from terrain_head.base.measured import Measured
from terrain_head.base.units import METRIC, US
from terrain_head.plots.alternative import fitted, text_alternative, wind
from tests.plots.builders import answer

PICTURES: tuple[Literal["system", "plan", "stand"], ...] = ("system", "plan", "stand")


@pytest.mark.parametrize("units", [METRIC, US])
@pytest.mark.parametrize("count", [0, 2, 8])
@pytest.mark.parametrize("picture", PICTURES)
def test_it_never_has_more_than_sixty_words(
    picture: Literal["system", "plan", "stand"], count: int, units: object
) -> None:
    given = answer(outlets=count, long_names=True, units=US if units is US else METRIC)
    told = text_alternative(given, picture=picture)
    assert len(told.split()) <= 60
    assert told.endswith(".")
    assert "Fernlea Hollow" in told


def test_the_profile_tells_fall_lift_and_the_outlet_that_is_too_weak() -> None:
    told = text_alternative(answer(outlets=2), picture="system")
    assert "3.00 m below the water" in told
    assert "lifts 29.40 m" in told
    assert "House has too little pressure, 0.65 bar." in told


def test_the_digits_follow_the_doubt() -> None:
    rough = replace(answer(), spread={"fall": Measured(value=3.0, std=0.6)})
    assert "stands 3.0 m below" in text_alternative(rough, picture="system")


def test_the_plan_tells_where_things_lie() -> None:
    assert "of spring." in text_alternative(answer(), picture="plan")
    assert "no positions are known" in text_alternative(answer(mapped=False), picture="plan")


def test_the_stand_tells_water_and_pressure() -> None:
    told = text_alternative(answer(outlets=2), picture="stand")
    assert "the less water arrives" in told
    assert "house has its 0.80 bar from a stand of " in told
    assert "beds always has its" in told
    assert "no stand was compared" in text_alternative(answer(outlets=0), picture="stand")


def test_an_outlet_that_no_stand_serves_is_told() -> None:
    given = answer(outlets=1)
    sweep = given.solution.stand_sweep
    assert sweep is not None
    weak = {"house": sweep.running_low_pa["house"] - 3e5}
    solution = replace(
        given.solution, stand_sweep=replace(sweep, running_low_pa=weak, inflow_m3_s=None)
    )
    told = text_alternative(replace(given, solution=solution), picture="stand")
    assert "house never has its 0.80 bar." in told
    assert "water arrives" not in told


def test_outlets_without_a_flow_are_not_told() -> None:
    told = text_alternative(answer(outlets=2, flowing=False), picture="system")
    assert "bar" not in told


def test_a_scheme_without_pipes_says_so() -> None:
    given = answer()
    bare = replace(given, layout=replace(given.layout, pipes={}))
    assert "no pipe is laid yet" in text_alternative(bare, picture="system")


def test_a_first_sentence_too_long_is_cut() -> None:
    assert fitted(["one two three four five"], most=3) == "one two ..."


@pytest.mark.parametrize(
    ("east", "north", "word"),
    [(0.0, 5.0, "north"), (5.0, 0.0, "east"), (0.0, -5.0, "south"), (-5.0, 5.0, "north-west")],
)
def test_the_winds_are_named_rightly(east: float, north: float, word: str) -> None:
    assert word == wind(east, north)
