from __future__ import annotations

import pytest

from terrain_head.assessment.choices import (
    CRITERIA,
    TRENCH_WIDTH_M,
    UNITS,
    ChoiceResults,
    Criterion,
    best_by,
    compare,
    digging_m3,
    results_of,
)
from terrain_head.assessment.evidence import Evidence
from terrain_head.base.measured import Measured
from tests.assessment.builders import (
    answer_of,
    evidence_of,
    scalar,
    with_layout,
    with_outlet_result,
    with_parts,
    with_pipe,
    with_profile,
    with_ram_result,
    with_run,
    with_solution,
    with_tank,
    with_tank_result,
)


def results(evidence: Evidence) -> dict[str, float | None]:
    return dict(results_of(answer_of(evidence)).results)


def test_the_headline_results_of_a_choice() -> None:
    found = results(with_tank(evidence_of(), stand_m=Measured(value=3.0)))
    assert found == {
        "fall": 5.0,
        "lift": 24.5,
        "delivery_pipe_length": 200.0,
        "pipe_length": 320.0,
        "delivered": 1e-4,
        "least_running": 1.1e5,
        "running.beds": 1.1e5,
        "highest_static": 2e5,
        "digging": 0.0,
        "high_points": 0.0,
        "low_points": 0.0,
        "stand": 3.0,
        "stand_needed": 0.0,
    }
    assert set(found) - {"running.beds"} == set(UNITS)


def test_digging_is_length_by_width_by_cover() -> None:
    """The example of a synthetic trench: 600 m x 0.30 x 0.90 is 162 m3."""
    evidence = with_run(evidence_of(), "beds", cover_m=Measured(value=0.9))
    evidence = with_run(evidence, "drive", cover_m=Measured(value=0.9))
    assert digging_m3(evidence.layout) == pytest.approx(120 * TRENCH_WIDTH_M * 0.9)
    assert pytest.approx(162.0) == 600 * TRENCH_WIDTH_M * 0.9


def test_high_and_low_points_are_counted_where_the_ground_is_known() -> None:
    humped = evidence_of(heights={"delivery": [95, 101, 99, 103, 118]})
    assert (results(humped)["high_points"], results(humped)["low_points"]) == (1.0, 1.0)
    dark = with_profile(humped, "beds", between_known=False)
    assert results(dark)["high_points"] is None


def test_what_the_data_do_not_reach_is_none() -> None:
    gravity = with_parts(with_solution(evidence_of(), ram=None), ram=None)
    assert results(gravity)["fall"] is None
    assert results(gravity)["delivered"] == 1e-4
    dry = with_tank_result(gravity, inflow_m3_s=None)
    assert results(dry)["delivered"] is None
    bare = with_solution(with_parts(gravity, tanks=(), outlets=()), tanks={}, outlets={}, pipes={})
    empty = results(with_layout(bare, pipes={}))
    assert {name for name, value in empty.items() if value is not None} == {"digging"}
    unknown = with_pipe(evidence_of(), "beds", length_m=scalar(float("nan")))
    assert results(unknown)["pipe_length"] is None
    assert results(with_outlet_result(evidence_of(), running_low_pa=None))["least_running"] is None


def test_choices_are_held_against_main_wherever_it_stands() -> None:
    ridge = answer_of(with_ram_result(evidence_of(), lift_m=30.0), choice="ridge")
    found = compare([ridge, answer_of(evidence_of())])
    assert found.against == "main"
    assert [choice.name for choice in found.choices] == ["ridge", "main"]
    lift = next(one for one in found.differences if one.result == "lift")
    assert (lift.name, lift.against, lift.value, lift.unit) == ("ridge", "main", 5.5, "m")
    assert lift.chance_better is None
    running = next(one for one in found.differences if one.result == "running.beds")
    assert (running.value, running.unit) == (0.0, "kPa")
    assert found.better["lift"] == "main"
    assert set(found.better) == set(CRITERIA)
    assert {name for name, best in found.better.items() if best is not None} == {"lift"}


def test_without_main_the_first_choice_is_what_others_are_held_against() -> None:
    found = compare([answer_of(evidence_of(), choice=name) for name in ("east", "west")])
    assert found.against == "east"
    assert all(difference.value == 0 for difference in found.differences)


def test_results_that_only_one_choice_has_make_no_difference() -> None:
    gravity = with_parts(with_solution(evidence_of(), ram=None), ram=None)
    found = compare([answer_of(evidence_of()), answer_of(gravity, choice="gravity")])
    assert "fall" not in {difference.result for difference in found.differences}
    assert found.better["fall"] is None


def test_one_choice_alone_is_not_better_than_anything() -> None:
    assert set(compare([answer_of(evidence_of())]).better.values()) == {None}


def test_nothing_can_not_be_compared() -> None:
    with pytest.raises(ValueError, match="nothing to compare"):
        compare([])


@pytest.mark.parametrize(
    ("first", "second", "better", "best"),
    [
        (1.0, 2.0, "more", "b"),
        (1.0, 2.0, "less", "a"),
        (1.0, 1.005, "more", None),
        (1.0, 1.02, "more", "b"),
        (1.0, None, "more", None),
        (0.0, 0.0, "less", None),
    ],
)
def test_the_better_choice_differs_by_more_than_a_hundredth(
    first: float, second: float | None, better: str, best: str | None
) -> None:
    choices = [
        ChoiceResults(name="a", results={"water": first}),
        ChoiceResults(name="b", results={"water": second}),
    ]
    sense = Criterion(result="water", better="more" if better == "more" else "less")
    assert best_by(sense, choices) == best
