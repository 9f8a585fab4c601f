"""Choices drawn together: what they share goes out of their difference."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import UNITS, Comparison, Difference, compare, results_of
from terrain_head.assessment.differences import (
    DifferenceDoubt,
    Undecided,
    compared,
    difference_doubt,
)
from terrain_head.assessment.drawn import Drawn
from terrain_head.assessment.drawn_results import results_by_name
from terrain_head.assessment.draws import draw
from terrain_head.ground.ground import Ground
from terrain_head.report.compare_document import compare_document
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Parts
from terrain_head.scheme.solver import solve
from tests.assessment.builders import answer_of, evidence_of
from tests.scheme.hills import HEIGHTS, hill, ram_hill, ram_parts, tank

STD_M = 0.01


def answer(parts: Parts, *, choice: str = "main", ground: Ground | None = None) -> Answer:
    layout = lay_out(parts, ground=ground or ram_hill(parts))
    solution = solve(layout)
    return replace(
        answer_of(evidence_of(), choice=choice),
        ground=layout.ground,
        layout=layout,
        solution=solution,
        drawn=draw(layout, solution, draws=256, places=tuple(HEIGHTS)),
    )


def difference(found: Comparison, result: str) -> Difference:
    return next(one for one in found.differences if one.result == result)


def doubt_of(found: Comparison, result: str) -> DifferenceDoubt:
    doubt = difference(found, result).doubt
    assert doubt is not None
    return doubt


def on_shelf(height_m: float) -> Answer:
    """Return a choice whose tank stands on a shelf beside the knoll."""
    parts = replace(ram_parts(), tanks=(tank(place="shelf", stand_m=3.0, needed_m3_s=3e-5),))
    ground = hill(
        parts,
        {**HEIGHTS, "shelf": height_m},
        plan_m={"drive": 16.0, "delivery": 180.0, "main": 90.0, "to house": 60.0},
    )
    return answer(parts, choice="shelf", ground=ground)


def test_what_two_choices_share_goes_out_of_their_difference() -> None:
    main, shelf = answer(ram_parts()), on_shelf(117.5)
    found = compare([main, shelf])
    # The lift is inlet over valve: the valve's height is the same in both.
    assert main.drawn is not None
    apart = doubt_of(found, "lift").std
    alone = main.drawn.std("lift")
    assert apart is not None
    assert alone is not None
    assert apart == pytest.approx(STD_M * 2**0.5, rel=1e-3)
    assert apart < 0.8 * alone * 2**0.5
    assert difference(found, "fall").doubt is None


def test_the_chance_that_one_is_better_follows_from_the_difference() -> None:
    found = compare([answer(ram_parts()), on_shelf(117.99)])
    lift = difference(found, "lift")
    assert lift.value == pytest.approx(-0.01)
    assert lift.chance_better == pytest.approx(0.76, abs=0.03)  # of a normal at 0.01/0.01414
    assert doubt_of(found, "lift").because == "heights"
    assert doubt_of(found, "lift").heights_hide_it
    assert found.better["lift"] is None


def test_a_criterion_that_the_doubt_leaves_open_is_listed_with_its_cause() -> None:
    main, ridge = answer(ram_parts()), answer(ram_parts(), choice="ridge")
    assert compare([main, ridge]).undecided == {}
    found = compare([main, _with_samples(ridge, "fall", shift=0.08, half=0.2)])
    assert found.better["fall"] is None
    undecided = found.undecided["fall"]
    assert (undecided.best, undecided.rival) == ("ridge", "main")
    assert undecided.chance == pytest.approx(0.7, abs=0.01)


def _with_samples(one: Answer, result: str, *, shift: float, half: float) -> Answer:
    """Return a choice with a result that is more, and more doubtful."""
    assert one.drawn is not None
    assert one.solution.ram is not None
    more = np.linspace(-half, half, one.drawn.draws)
    samples = {**one.drawn.samples, result: one.drawn.samples[result] + shift + more}
    ram = replace(one.solution.ram, fall_m=one.solution.ram.fall_m + shift)
    return replace(
        one,
        solution=replace(one.solution, ram=ram),
        drawn=replace(one.drawn, samples=samples),
    )


def test_a_difference_that_no_draw_moves_is_sure() -> None:
    found = compare([answer(ram_parts(stand_m=3.0)), answer(ram_parts(stand_m=4.0), choice="high")])
    lift = difference(found, "lift")
    assert lift.chance_better == 0.0
    assert doubt_of(found, "lift").std is None
    assert doubt_of(found, "lift").settled
    assert found.better["lift"] == "main"


def test_a_choice_has_the_same_draws_alone_and_compared() -> None:
    alone, beside = answer(ram_parts()), answer(ram_parts())
    compare([beside, on_shelf(117.0)])
    assert alone.drawn is not None
    assert beside.drawn is not None
    for name, samples in alone.drawn.samples.items():
        assert np.array_equal(samples, beside.drawn.samples[name])


def test_without_draws_there_is_no_doubt_of_a_difference() -> None:
    main = answer(ram_parts())
    bare = replace(on_shelf(117.0), drawn=None)
    assert difference_doubt(main, bare, result="lift") is None
    lost = replace(bare, drawn=Drawn(draws=256, unknown=frozenset({"lift"})))
    assert difference_doubt(main, lost, result="lift") is None
    still = replace(bare, drawn=Drawn(draws=256))
    assert difference_doubt(still, still, result="lift") is None


def test_what_is_compared_is_what_is_told() -> None:
    """The results put together from draws are those of the choice itself, draw by draw."""
    main = answer(ram_parts())
    results = results_of(main).results
    given = results_by_name(main.solution)
    for name in [*UNITS, "running.tap"]:
        if name in {"digging", "high_points", "low_points", "stand"}:
            assert compared(main, given, result=name) is None
        else:
            assert compared(main, given, result=name) == pytest.approx(results[name])


def test_the_document_holds_the_doubt_of_the_differences() -> None:
    document = compare_document(compare([answer(ram_parts()), on_shelf(117.0)]))
    lift = next(one for one in document["differences"] if one["result"] == "lift")
    assert lift["value"]["std"] == pytest.approx(STD_M * 2**0.5, rel=1e-3)
    assert lift["value"]["low"] < lift["value"]["value"] < lift["value"]["high"]
    assert lift["chance_better"] == 1.0
    assert lift["because"] == "heights"
    assert document["undecided"] == {}


def test_heights_hide_what_they_are_the_cause_of() -> None:
    one = Undecided(best="main", rival="ridge", chance=0.7, because="raster")
    assert one.heights_hide_it
    assert not replace(one, because="efficiency").heights_hide_it
