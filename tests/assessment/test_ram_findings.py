from __future__ import annotations

import numpy as np
import pytest

from terrain_head.base.citation import COMMON_PRACTICE
from terrain_head.base.measured import Measured
from terrain_head.base.units import METRE_OF_WATER_PA, STANDARD_GRAVITY_M_S2, to_si
from tests.assessment.builders import (
    evidence_of,
    found,
    scalar,
    with_layout,
    with_parts,
    with_ram,
    with_ram_result,
    with_solution,
    with_source,
)


def test_a_ram_that_stops_is_told_with_what_it_needs() -> None:
    evidence = with_ram(evidence_of(), flow_least_m3_s=Measured(value=1.5e-3), count=2)
    evidence = with_ram_result(evidence, stopped=np.asarray(True))
    (finding,) = found(evidence, "ram-stops")
    assert (finding.severity, finding.value, finding.limit) == ("stop", 5e-4, 1.5e-3)
    assert found(evidence_of(), "ram-stops") == []


@pytest.mark.parametrize(("flow_m3_s", "told"), [(1.0e-3, 0), (1.001e-3, 1)])
def test_a_ram_that_wants_more_than_may_be_taken_is_told(flow_m3_s: float, told: int) -> None:
    evidence = with_ram(evidence_of(), flow_m3_s=Measured(value=flow_m3_s))
    assert told == len(found(evidence, "ram-outruns-spring"))


@pytest.mark.parametrize(("passed_m3_s", "told"), [(0.0, 0), (1e-5, 1)])
def test_water_that_passes_by_is_told(passed_m3_s: float, told: int) -> None:
    evidence = with_ram_result(evidence_of(), passed_by_m3_s=passed_m3_s)
    assert told == len(found(evidence, "water-passes-by"))


@pytest.mark.parametrize(("pressure_psi", "told"), [(9.9, 1), (10.1, 0)])
def test_lift_and_losses_must_hold_ten_psi_on_the_ram(pressure_psi: float, told: int) -> None:
    head = to_si(pressure_psi, "psi") / METRE_OF_WATER_PA
    evidence = with_ram_result(evidence_of(), lift_m=head - 0.5, delivery_loss_m=0.5)
    assert told == len(found(evidence, "lift-below-back-pressure"))


def test_without_losses_the_lift_alone_is_the_back_pressure() -> None:
    evidence = with_ram_result(evidence_of(), lift_m=6.0, delivery_loss_m=None)
    water_at_10_c = 999.7 * STANDARD_GRAVITY_M_S2
    pressure = found(evidence, "lift-below-back-pressure")[0].value
    assert pressure == pytest.approx(6 * water_at_10_c, rel=1e-5)


def test_a_measured_efficiency_is_not_commented() -> None:
    assert found(evidence_of(), "efficiency-from-table") == []
    unknown = with_ram_result(evidence_of(), efficiency=None, efficiency_origin=None)
    assert found(unknown, "efficiency-from-table") == []


@pytest.mark.parametrize(
    ("disagree", "kind", "severity"),
    [(False, "efficiency-from-table", "fine"), (True, "efficiency-disagrees", "care")],
)
def test_an_efficiency_from_a_table_tells_its_spread_and_sources(
    disagree: bool, kind: str, severity: str
) -> None:
    evidence = with_ram_result(
        evidence_of(),
        efficiency_origin="table",
        efficiency_low=0.4,
        efficiency_high=0.7,
        efficiency_citations=(COMMON_PRACTICE.at("a table"),),
        sources_disagree=disagree,
    )
    (finding,) = found(evidence, kind)
    assert severity == finding.severity
    assert finding.values == {"low": 0.4, "high": 0.7}
    assert finding.texts["sources"] == "common practice, no source"
    assert finding.source is not None


def test_a_table_without_a_citation_has_no_source() -> None:
    evidence = with_ram_result(evidence_of(), efficiency_origin="table")
    assert found(evidence, "efficiency-from-table")[0].source is None


@pytest.mark.parametrize(
    ("valve_m", "tail_m", "severity", "why"),
    [
        (0.2, None, "fine", "spill"),
        (0.2, 0.19, "fine", "spill"),
        (0.2, 0.2, "care", "tail water"),
        (-0.1, None, "care", "below ground"),
        (-0.1, 0.0, "care", "tail water"),
    ],
)
def test_the_spilled_water_must_run_away(
    valve_m: float, tail_m: float | None, severity: str, why: str
) -> None:
    evidence = with_ram(
        evidence_of(),
        valve_above_m=Measured(value=valve_m),
        tail_water_above_m=None if tail_m is None else Measured(value=tail_m),
    )
    (finding,) = found(evidence, "ram-drain")
    assert (severity, why) == (finding.severity, finding.texts["why"])


def test_nothing_spills_where_no_flow_is_known() -> None:
    assert found(with_ram_result(evidence_of(), wasted_m3_s=None), "ram-drain") == []


def test_a_summit_that_sets_the_lift_is_told_with_its_station() -> None:
    evidence = evidence_of(heights={"delivery": [95, 110, 121, 119, 118]})
    assert found(evidence, "summit-sets-lift") == []
    (finding,) = found(with_ram_result(evidence, summit_rules=True), "summit-sets-lift")
    assert pytest.approx(finding.value) == 1.5
    assert (finding.where.pipe, finding.where.station_m) == ("delivery", 100.0)


def test_a_summit_without_a_tank_is_not_told() -> None:
    evidence = with_ram_result(with_parts(evidence_of(), tanks=()), summit_rules=True)
    assert found(evidence, "summit-sets-lift") == []


@pytest.mark.parametrize(("season", "severity"), [("dry", None), ("other", "care"), (None, "fine")])
def test_the_flow_should_be_that_of_the_dry_season(
    season: str | None, severity: str | None
) -> None:
    findings = found(with_source(evidence_of(), season=season), "flow-season")
    assert ([] if severity is None else [severity]) == [one.severity for one in findings]


def test_monthly_flows_need_no_season() -> None:
    evidence = with_source(evidence_of(), season=None, monthly_m3_s=(1e-3,) * 12)
    assert found(evidence, "flow-season") == []
    assert found(with_source(evidence_of(), flow_m3_s=None, season=None), "flow-season") == []
    assert found(with_parts(evidence_of(), source=None), "flow-season") == []


def test_draws_are_judged_by_their_middle() -> None:
    evidence = with_ram_result(evidence_of(), fall_m=np.array([0.1, 1.5, 9.0]))
    (finding,) = found(evidence, "fall-small")
    assert finding.value == 1.5
    spread = with_layout(evidence_of(), source_flow_m3_s=scalar(np.nan))
    assert found(spread, "water-right") == []


@pytest.mark.parametrize(("drawn_m3_s", "told"), [(1e-3, 0), (1.1e-3, 1)])
def test_outlets_that_draw_more_than_the_source_gives_are_told(
    drawn_m3_s: float, told: int
) -> None:
    evidence = with_solution(
        evidence_of(),
        available_m3_s=scalar(1e-3),
        source_demand_m3_s={"evening": scalar(drawn_m3_s), "night": scalar(1e-4)},
    )
    findings = found(evidence, "source-outrun")
    assert [one.texts["group"] for one in findings] == ["evening"] * told
    unknown = with_solution(evidence, available_m3_s=None)
    assert found(unknown, "source-outrun") == []
