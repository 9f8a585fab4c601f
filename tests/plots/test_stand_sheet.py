"""Stand against pressure and water: what it takes, and for whom."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given as given_cases
from hypothesis import strategies as st

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.drawn import Drawn
from terrain_head.base.amounts import stand_amount
from terrain_head.base.measured import Measured
from terrain_head.base.middle import middle_along
from terrain_head.base.units import METRIC, US
from terrain_head.plots.alternative import text_alternative
from terrain_head.plots.stand_sheet import crossing, stand_figure
from tests.plots.builders import WATER_PA_M, answer
from tests.plots.readable import texts_of, troubles


def with_sweep(given: Answer, **changes: object) -> Answer:
    sweep = given.solution.stand_sweep
    assert sweep is not None
    solution = replace(given.solution, stand_sweep=replace(sweep, **changes))  # type: ignore[arg-type]
    return replace(given, solution=solution)


def words_of(given: Answer) -> str:
    figure = stand_figure(given)
    assert figure is not None
    return "\n".join(text for text, _ in texts_of(figure))


@pytest.mark.parametrize("units", [METRIC, US])
@pytest.mark.parametrize("count", [1, 2, 5, 8])
def test_no_words_overlap(count: int, units: object) -> None:
    given = answer(outlets=count, long_names=True, units=US if units is US else METRIC)
    for shown in (given, with_sweep(given, inflow_m3_s=None), with_sweep(given, running_low_pa={})):
        figure = stand_figure(shown)
        assert figure is not None
        assert troubles(figure) == []


def test_there_is_no_picture_without_a_sweep() -> None:
    given = answer(outlets=0)
    assert given.solution.stand_sweep is None
    assert stand_figure(given) is None
    assert stand_figure(with_sweep(answer(), running_low_pa={}, inflow_m3_s=None)) is None
    assert stand_figure(with_sweep(answer(), stand_m=np.array([1.0]))) is None


def test_each_outlet_says_from_which_stand_it_has_enough() -> None:
    given = answer(outlets=2)
    result = given.solution.outlets["house"]
    assert result.stand_needed_m is not None
    wanted = stand_amount(float(result.stand_needed_m), METRIC)
    assert f"from {wanted} up" in words_of(given)
    assert "always has it" in words_of(given)


def test_an_outlet_that_no_stand_serves_and_one_below_nothing_are_told() -> None:
    given = answer(outlets=1)
    sweep = given.solution.stand_sweep
    assert sweep is not None
    weak = with_sweep(given, running_low_pa={"house": sweep.running_low_pa["house"] - 3e5})
    assert "NEVER HAS IT" in words_of(weak)


def test_an_outlet_without_a_need_is_named_all_the_same() -> None:
    given = answer(outlets=1)
    parts = given.layout.parts
    free = tuple(replace(outlet, needs_pa=None) for outlet in parts.outlets)
    layout = replace(given.layout, parts=replace(parts, outlets=free))
    found = words_of(replace(given, layout=layout))
    assert "house" in found
    assert "needs" not in found


def test_the_water_wanted_is_drawn_beside_the_water_that_arrives() -> None:
    given = answer(outlets=1)
    parts = given.layout.parts
    tanks = tuple(replace(tank, needed_m3_s=Measured(value=3e-5)) for tank in parts.tanks)
    layout = replace(given.layout, parts=replace(parts, tanks=tanks))
    wanting = replace(given, layout=layout)
    figure = stand_figure(wanting)
    assert figure is not None
    assert troubles(figure) == []
    assert "wanted: 2 600 L/d" in words_of(wanting)


def test_a_stand_outside_the_sweep_is_not_marked() -> None:
    assert "Upright line" in words_of(answer(stand_m=3.0))
    assert "Upright line" not in words_of(answer(stand_m=12.0))


def test_draws_are_drawn_by_their_middle() -> None:
    draws = np.array([[1.0, 2.0], [3.0, 4.0], [9.0, 9.0]])
    assert middle_along(draws).tolist() == [3.0, 4.0]


@given_cases(st.floats(0.1, 8.9))
def test_the_crossing_is_where_the_need_is_met(stand: float) -> None:
    heights = np.linspace(0.0, 9.0, 10)
    values = 2e4 + heights * WATER_PA_M
    need = 2e4 + stand * WATER_PA_M
    assert crossing(heights, values, need=need) == pytest.approx(stand)
    assert crossing(heights, values, need=1e4) is None
    assert crossing(heights, values, need=1e7) is None


def test_the_stand_that_is_sure_and_its_middle_are_both_named() -> None:
    given = answer(outlets=2)
    needed = given.solution.outlets["house"].stand_needed_m
    assert needed is not None
    stands = float(needed) + np.linspace(-0.5, 0.5, 101)
    drawn = Drawn(draws=101, samples={"outlet.house.stand_needed": stands})
    sure = stand_amount(float(needed) + 0.4, METRIC)
    shown = replace(given, drawn=drawn)
    found = words_of(shown)
    assert f"nine times in ten: from {sure} up" in found
    assert f"as often as not: from {stand_amount(float(needed), METRIC)} up" in found
    assert "Full dot" in found
    assert "Full dot" not in words_of(given)
    figure = stand_figure(shown)
    assert figure is not None
    assert troubles(figure) == []
    told = text_alternative(shown, picture="stand")
    assert f"nine times in ten from a stand of {sure} up" in told
