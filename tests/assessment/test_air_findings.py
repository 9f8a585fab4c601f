"""What belongs at high and low points."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from terrain_head.assessment.air_findings import LOW_ADVICE, spot_at
from terrain_head.assessment.evidence import Evidence
from terrain_head.assessment.turns import turns_of
from tests.assessment.builders import (
    evidence_of,
    found,
    scalar,
    with_pipe,
    with_pipe_result,
    with_running,
    with_solution,
)

HUMP = [118.0, 108.0, 114.0, 106.0, 104.0]


def belongs(evidence: Evidence, pipe: str = "beds") -> str:
    (high,) = found(evidence, "air-high-point")
    assert high.where.pipe == pipe
    return high.texts["belongs"]


def test_a_delivery_wants_a_valve_that_works_by_itself() -> None:
    delivery = evidence_of(heights={"delivery": [95.0, 101.0, 99.0, 103.0, 118.0]})
    assert belongs(delivery, "delivery") == "air valve"


def test_a_line_that_fills_from_above_wants_a_tap_or_a_valve() -> None:
    assert belongs(evidence_of(heights={"beds": HUMP})) == "tap or air valve"


@pytest.mark.parametrize(("still_m", "what"), [(117.0, "open vent"), (117.1, "tap or air valve")])
def test_close_under_still_water_an_open_vent_reaches_over_it(still_m: float, what: str) -> None:
    evidence = with_pipe_result(
        evidence_of(heights={"beds": HUMP}), "beds", static_m=scalar(still_m)
    )
    assert belongs(evidence) == what


def test_where_the_pipe_sucks_no_valve_belongs() -> None:
    evidence = with_running(
        evidence_of(heights={"beds": HUMP}), "beds", pressure_head_m=[1, 5, -0.5, 3, 4]
    )
    assert belongs(evidence) == "lower pipe"


@pytest.mark.parametrize(("head_m", "told"), [(0.6, True), (1.0, False)])
def test_little_head_over_a_high_point_is_told(head_m: float, told: bool) -> None:
    evidence = with_running(
        evidence_of(heights={"beds": HUMP}), "beds", pressure_head_m=[1, 5, head_m, 3, 4]
    )
    (high,) = found(evidence, "air-high-point")
    assert told == ("clearance_m" in high.values)


def test_the_worst_of_the_groups_counts() -> None:
    calm = evidence_of(heights={"beds": HUMP})
    close = with_running(calm, "beds", pressure_head_m=[1, 5, 0.4, 3, 4])
    lines = [one.solution.pipes["beds"].running for one in (calm, close)]
    groups = {"a": lines[0], "b": lines[1]}
    both = with_solution(calm, by_group={"beds": groups})
    (high,) = found(both, "air-high-point")
    assert high.values["clearance_m"] == 0.4


def test_a_low_point_wants_a_drain() -> None:
    evidence = evidence_of(heights={"beds": HUMP})
    (low,) = found(evidence, "water-low-point")
    assert low.texts["belongs"] == "drain"
    assert low.source == LOW_ADVICE
    assert "p. 187" in str(low.source)


def test_without_a_result_a_tap_or_valve_is_still_right() -> None:
    evidence = with_solution(evidence_of(heights={"beds": HUMP}), pipes={})
    pipe = evidence.layout.pipes["beds"]
    turn = turns_of(pipe, ground=evidence.ground).sure[-1]
    high = dataclasses.replace(turn, kind="high")
    spot = spot_at(evidence.solution, pipe, turn=high)
    assert (spot.belongs, spot.clearance_m) == ("tap or air valve", None)


def test_a_drive_pipe_is_left_out() -> None:
    evidence = with_pipe(evidence_of(), "drive", pipe_m=np.array([100.0, 99.0, 99.5, 97.0, 95.0]))
    assert found(evidence, "air-high-point") == []
