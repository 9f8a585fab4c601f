from __future__ import annotations

import pytest

from terrain_head.base.measured import Measured
from tests.assessment.builders import (
    evidence_of,
    found,
    scalar,
    with_outlet,
    with_outlet_result,
    with_solution,
    with_tank,
    with_tank_result,
)


@pytest.mark.parametrize(("needed_m3_s", "told"), [(1e-4, 0), (1.01e-4, 1)])
def test_a_tank_that_gets_less_than_it_needs_is_told(needed_m3_s: float, told: int) -> None:
    evidence = with_tank(evidence_of(), needed_m3_s=Measured(value=needed_m3_s))
    findings = found(evidence, "tank-short")
    assert told == len(findings)
    for finding in findings:
        assert pytest.approx(finding.values["missing_m3_s"]) == 1e-6


def test_an_unknown_inflow_is_not_short() -> None:
    evidence = with_tank(evidence_of(), needed_m3_s=Measured(value=1.0))
    assert found(with_tank_result(evidence, inflow_m3_s=None), "tank-short") == []


@pytest.mark.parametrize(("stand_m", "told"), [(0.0, 0), (0.5, 1)])
def test_a_tank_on_a_stand_tells_its_weight(stand_m: float, told: int) -> None:
    evidence = with_tank(evidence_of(), stand_m=Measured(value=stand_m), count=2)
    findings = found(evidence, "tank-weight")
    assert told == len(findings)
    for finding in findings:
        assert (finding.value, finding.unit, finding.values["count"]) == (2300.0, "kg", 2.0)
    assert found(with_tank_result(evidence, weight_full_kg=None), "tank-weight") == []


@pytest.mark.parametrize(("inlet_m", "told"), [(1.4, 1), (1.5, 0), (1.7, 0)])
def test_an_inlet_under_water_is_told(inlet_m: float, told: int) -> None:
    evidence = with_tank(evidence_of(), inlet_m=Measured(value=inlet_m))
    assert told == len(found(evidence, "inlet-below-full"))


@pytest.mark.parametrize(
    ("running_pa", "kind"),
    [(-1.0, "outlet-dry"), (0.0, "outlet-dry"), (5.9e4, "outlet-short"), (6e4, None)],
)
def test_an_outlet_is_judged_by_its_running_pressure(running_pa: float, kind: str | None) -> None:
    evidence = with_outlet_result(
        evidence_of(), running_low_pa=scalar(running_pa), stand_needed_m=scalar(0.4)
    )
    told = {
        one.kind: one for name in ("outlet-dry", "outlet-short") for one in found(evidence, name)
    }
    assert {kind} - {None} == set(told)
    if kind == "outlet-short":
        assert pytest.approx(told[kind].values["missing_pa"]) == 1e3
        assert told[kind].values["stand_needed_m"] == 0.4
        assert told[kind].texts == {"group": "all", "fed_by": "tank"}


def test_an_outlet_that_was_not_asked_is_not_judged() -> None:
    dry = with_outlet_result(evidence_of(), running_low_pa=None)
    assert found(dry, "outlet-short") == []
    free = with_outlet_result(evidence_of(), running_low_pa=scalar(1.0))
    assert found(with_outlet(free, needs_pa=None, flow_m3_s=None), "outlet-short") == []


def test_a_tank_or_outlet_without_a_result_is_passed_over() -> None:
    evidence = with_solution(evidence_of(), tanks={}, outlets={})
    assert found(with_tank(evidence, stand_m=Measured(value=3.0)), "tank-weight") == []
