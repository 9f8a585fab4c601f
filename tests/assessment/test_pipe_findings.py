from __future__ import annotations

import pytest

from terrain_head.base.measured import Measured
from terrain_head.base.units import to_si
from tests.assessment.builders import (
    evidence_of,
    found,
    scalar,
    with_layout,
    with_pipe,
    with_pipe_result,
    with_profile,
    with_run,
    with_running,
    with_solution,
)


@pytest.mark.parametrize(("speed_ft_s", "told"), [(4.99, 0), (5.01, 1), (-5.01, 1)])
def test_five_feet_a_second_is_fast_for_a_supply_pipe(speed_ft_s: float, told: int) -> None:
    evidence = with_running(evidence_of(), "beds", velocity_m_s=to_si(speed_ft_s, "ft/s"))
    findings = found(evidence, "velocity-high")
    assert told == len(findings)
    for finding in findings:
        assert finding.source is not None
        assert finding.source.source.obtained == "from memory"


@pytest.mark.parametrize(("speed_m_s", "told"), [(0.849, 0), (0.851, 1)])
def test_a_delivery_pipe_has_its_own_limit(speed_m_s: float, told: int) -> None:
    evidence = with_running(evidence_of(), "delivery", velocity_m_s=speed_m_s)
    assert told == len(found(evidence, "delivery-velocity-high"))
    assert found(evidence, "velocity-high") == []


def test_a_pipe_whose_flow_is_not_known_has_no_velocity() -> None:
    evidence = with_pipe_result(evidence_of(), "beds", running=None)
    assert found(evidence, "velocity-high") == []
    assert found(with_solution(evidence, pipes={}), "velocity-high") == []


def test_ground_that_is_not_known_between_says_what_to_shoot() -> None:
    evidence = with_profile(evidence_of(), "delivery", between_known=False)
    (finding,) = found(evidence, "ground-unknown")
    assert (finding.texts["start"], finding.texts["end"]) == ("ram", "knoll")
    assert finding.value == 200.0


def test_a_straight_drive_pipe_needs_no_ground_between() -> None:
    evidence = with_profile(evidence_of(), "drive", between_known=False)
    assert found(evidence, "ground-unknown") == []


@pytest.mark.parametrize(
    ("capacity_m3_s", "kind"),
    [(0.9e-3, "gravity-limits"), (1.0e-3, "gravity-limits"), (1.1e-3, "gravity-throttle")],
)
def test_a_gravity_pipe_is_held_against_what_it_is_given(capacity_m3_s: float, kind: str) -> None:
    fed = with_pipe(evidence_of(), "delivery", upstream="source", role="gravity")
    fed = with_solution(fed, gravity_capacity_m3_s={"delivery": scalar(capacity_m3_s)})
    told = [one.kind for name in ("gravity-throttle", "gravity-limits") for one in found(fed, name)]
    assert [kind] == told


def test_only_what_may_be_taken_is_given() -> None:
    fed = with_pipe(evidence_of(), "delivery", upstream="source", role="gravity")
    fed = with_solution(fed, gravity_capacity_m3_s={"delivery": scalar(0.9e-3)})
    assert len(found(with_layout(fed, share=0.8), "gravity-throttle")) == 1
    assert found(with_layout(fed, source_flow_m3_s=None), "gravity-throttle") == []


def test_a_gravity_pipe_from_a_tank_is_not_throttled() -> None:
    fed = with_solution(evidence_of(), gravity_capacity_m3_s={"beds": scalar(1.0)})
    assert found(fed, "gravity-throttle") == []


@pytest.mark.parametrize(
    ("fittings", "told"),
    [({}, 0), ({"elbow 90": 3}, 0), ({"elbow 90": 3, "gate valve": 1, "float valve": 1}, 1)],
)
def test_what_can_shut_the_delivery_pipe_is_named(fittings: dict[str, int], told: int) -> None:
    evidence = with_run(evidence_of(), "delivery", fittings=fittings)
    findings = found(evidence, "delivery-can-shut")
    assert told == len(findings)
    for finding in findings:
        assert finding.texts["fittings"] == "gate valve, float valve"


def test_a_valve_on_a_supply_pipe_may_shut() -> None:
    evidence = with_run(evidence_of(), "beds", fittings={"gate valve": 1})
    assert found(evidence, "delivery-can-shut") == []


@pytest.mark.parametrize(("cover_ft", "deep"), [(4.9, 0), (5.0, 1)])
def test_a_trench_of_five_feet_may_fall_in(cover_ft: float, deep: int) -> None:
    cover = Measured(value=to_si(cover_ft, "ft"))
    evidence = with_run(evidence_of(), "beds", cover_m=cover)
    assert deep == len(found(evidence, "trench-deep"))
    (finding,) = found(evidence, "trench")
    assert cover.value == finding.value


def test_pipes_laid_on_the_ground_need_no_trench() -> None:
    assert found(evidence_of(), "trench") == []


def test_a_gravity_pipe_that_carries_nothing_is_told_by_its_pressure_alone() -> None:
    fed = with_pipe(evidence_of(), "delivery", upstream="source", role="gravity")
    fed = with_solution(fed, gravity_capacity_m3_s={"delivery": scalar(0.0)})
    assert found(fed, "gravity-limits") == []
    assert len(found(fed, "pressure-negative")) == 1
