from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from terrain_head.assessment.cures import Fix, costliest_pipe, water_lost
from terrain_head.assessment.evidence import Evidence
from terrain_head.assessment.headline import Headline, Need, headline
from terrain_head.base.measured import Measured
from terrain_head.ground.ground import Origin
from terrain_head.scheme.solution import StandSweep
from tests.assessment.builders import (
    answer_of,
    evidence_of,
    raster_of,
    scalar,
    with_ground,
    with_layout,
    with_outlet,
    with_outlet_result,
    with_parts,
    with_pipe,
    with_pipe_result,
    with_ram_result,
    with_running,
    with_solution,
    with_spread,
    with_tank,
    with_tank_result,
)

SWEEP = StandSweep(
    tank="tank",
    stand_m=np.array([0.0, 2.0, 4.0]),
    running_low_pa={"beds": np.array([1.1e5, 1.3e5, 1.5e5])},
    inflow_m3_s=np.array([1.0e-4, 0.9e-4, 0.8e-4]),
)


def head(evidence: Evidence) -> Headline:
    return headline(answer_of(evidence))


def need_of(evidence: Evidence, kind: str) -> Need:
    (need,) = (need for need in head(evidence).needs if need.kind == kind)
    return need


def fix_of(evidence: Evidence, kind: str) -> Fix:
    need = need_of(evidence, kind)
    assert not need.met
    assert need.fix is not None
    return need.fix


def thirsty(evidence: Evidence, needed_m3_s: float = 2e-4) -> Evidence:
    return with_tank(evidence, needed_m3_s=Measured(value=needed_m3_s))


def weak(evidence: Evidence, running_pa: float = 5e4, **changes: object) -> Evidence:
    return with_outlet_result(evidence, running_low_pa=scalar(running_pa), **changes)


def test_a_scheme_whose_needs_are_met_works() -> None:
    lines = head(thirsty(evidence_of(), 1e-4))
    assert (lines.verdict, lines.depends_on_heights, lines.unmet) == ("works", False, ())
    assert [(need.kind, need.name, need.met) for need in lines.needs] == [
        ("water", "tank", True),
        ("pressure", "beds", True),
    ]
    assert (lines.arrives_m3_s, lines.fall_m, lines.lift_m) == (1e-4, 5.0, 24.5)
    assert all(need.fix is None for need in lines.needs)


def test_one_unmet_need_makes_it_conditional() -> None:
    assert head(thirsty(evidence_of())).verdict == "only if"
    assert head(weak(evidence_of())).verdict == "only if"


def test_whatever_stops_it_does_not_work() -> None:
    lines = head(with_ram_result(evidence_of(), fall_m=-1.0))
    assert lines.verdict == "does not work"
    assert [finding.kind for finding in lines.stops] == ["fall-negative"]


def test_a_doubtful_fall_makes_it_depend_on_heights() -> None:
    lines = head(with_spread(evidence_of(), fall=Measured(value=5.0, std=2.0)))
    assert (lines.verdict, lines.depends_on_heights) == ("only if", True)


def test_a_raster_of_unknown_error_makes_a_fall_without_error_depend_on_heights() -> None:
    rough = dataclasses.replace(evidence_of(), grid=raster_of(None), spread={})
    origin = rough.ground.origin.copy()
    origin[rough.ground.place("spring")] = Origin.RASTER
    rough = with_ground(rough, origin=origin)
    assert head(rough).depends_on_heights
    leveled = with_spread(rough, fall=Measured(value=5.0, std=0.01))
    assert not head(leveled).depends_on_heights
    gravity = with_solution(rough, ram=None)
    assert not head(gravity).depends_on_heights


def test_a_weak_outlet_asks_for_a_higher_stand_and_says_what_it_costs() -> None:
    evidence = weak(evidence_of(), stand_needed_m=scalar(3.0))
    evidence = with_tank(evidence, stand_m=Measured(value=1.0))
    fix = fix_of(with_solution(evidence, stand_sweep=SWEEP), "pressure")
    assert (fix.cure, fix.tank) == ("raise the stand", "tank")
    assert (fix.stand_now_m, fix.stand_needed_m) == (1.0, 3.0)
    assert fix.water_lost_m3_s == pytest.approx(1e-5)


def test_what_a_stand_costs_is_not_known_outside_the_sweep() -> None:
    assert water_lost(SWEEP, "tank", from_m=0.0, to_m=4.1) is None
    assert water_lost(SWEEP, "other", from_m=0.0, to_m=2.0) is None
    assert water_lost(None, "tank", from_m=0.0, to_m=2.0) is None
    dry = dataclasses.replace(SWEEP, inflow_m3_s=None)
    assert water_lost(dry, "tank", from_m=0.0, to_m=2.0) is None


def test_where_no_stand_helps_the_costliest_pipe_is_to_be_wider() -> None:
    evidence = weak(evidence_of(), stand_needed_m=None)
    fix = fix_of(evidence, "pressure")
    assert (fix.cure, fix.pipe) == ("wider pipe", "beds")


def test_where_still_water_is_too_low_no_pipe_is_wide_enough() -> None:
    evidence = weak(evidence_of(), stand_needed_m=None, static_low_pa=scalar(5.5e4))
    fix = fix_of(evidence, "pressure")
    assert (fix.cure, fix.tank) == ("higher tank", "tank")
    fed = weak(evidence_of(), stand_needed_m=None, static_low_pa=scalar(5.5e4), fed_by="source")
    assert fix_of(fed, "pressure").tank is None


def test_the_costliest_pipe_on_the_way_is_found_through_tees() -> None:
    """The second pipe loses 14 m; the first 32 m in one case and 0.1 m in the other."""
    evidence = with_pipe(
        evidence_of(heights={"delivery": [118, 112, 110, 107, 104]}),
        "delivery",
        role="supply",
        upstream="tank",
        downstream="tee",
    )
    evidence = with_pipe(evidence, "beds", upstream="tee")
    costly = with_running(evidence, "delivery", pressure_head_m=[9, 6, 3, 0, -9])
    cheap = with_running(evidence, "delivery", pressure_head_m=[0, 5, 9, 12, 13.9])
    for case, name in ((costly, "delivery"), (cheap, "beds")):
        found = costliest_pipe(case.solution, "beds")
        assert found is not None
        assert found.name == name
    unknown = with_pipe_result(evidence, "delivery", running=None)
    found = costliest_pipe(unknown.solution, "beds")
    assert found is not None
    assert found.name == "beds"
    assert costliest_pipe(evidence.solution, "nowhere") is None


def test_without_any_known_loss_the_pipe_is_not_named() -> None:
    evidence = weak(with_solution(evidence_of(), pipes={}), stand_needed_m=None)
    fix = fix_of(evidence, "pressure")
    assert (fix.cure, fix.pipe) == ("wider pipe", None)


def test_water_that_passes_by_asks_for_another_ram() -> None:
    fix = fix_of(thirsty(with_ram_result(evidence_of(), passed_by_m3_s=5e-4)), "water")
    assert (fix.cure, fix.passed_by_m3_s) == ("another ram", 5e-4)


@pytest.mark.parametrize(("loss_m", "cure"), [(2.4, "more water"), (2.5, "less pipe loss")])
def test_a_tenth_of_the_lift_lost_in_the_pipe_is_worth_curing(loss_m: float, cure: str) -> None:
    """The lift is 24.5 m."""
    evidence = thirsty(with_ram_result(evidence_of(), delivery_loss_m=loss_m), 1.05e-4)
    assert fix_of(evidence, "water").cure == cure


def test_a_wider_delivery_pipe_is_no_cure_where_no_pipe_is_wide_enough() -> None:
    """24.5 m of lift and 12 m of loss: without any loss 1.49 times as much would come."""
    lossy = with_ram_result(evidence_of(), delivery_loss_m=12.0)
    assert fix_of(thirsty(lossy, 1.48e-4), "water").cure == "less pipe loss"
    assert fix_of(thirsty(lossy, 1.50e-4), "water").cure == "more water"
    sunk = with_ram_result(evidence_of(), delivery_loss_m=12.0, lift_m=-1.0)
    assert fix_of(thirsty(sunk, 1.5e-4), "water").cure == "more water"
    unsaid = with_ram_result(evidence_of(), delivery_loss_m=12.0, used_m3_s=None)
    assert fix_of(thirsty(unsaid, 1.48e-4), "water").cure == "less pipe loss"


def test_else_more_water_is_needed_and_how_much_is_told() -> None:
    evidence = thirsty(
        with_ram_result(
            evidence_of(),
            passed_by_m3_s=None,
            delivery_loss_m=None,
            breakeven_flow_m3_s=2e-3,
            breakeven_fall_m=9.0,
            breakeven_efficiency=0.9,
        )
    )
    fix = fix_of(evidence, "water")
    assert fix.cure == "more water"
    assert (fix.flow_needed_m3_s, fix.fall_needed_m, fix.efficiency_needed) == (2e-3, 9.0, 0.9)


@pytest.mark.parametrize(("capacity_m3_s", "cure"), [(0.5e-3, "wider pipe"), (2e-3, "more water")])
def test_without_a_ram_a_narrow_pipe_comes_before_more_water(
    capacity_m3_s: float, cure: str
) -> None:
    gravity = with_parts(with_solution(thirsty(evidence_of()), ram=None), ram=None)
    gravity = with_pipe(gravity, "delivery", upstream="source", role="gravity")
    gravity = with_layout(gravity, source_level_m=scalar(130.0))
    gravity = with_solution(gravity, gravity_capacity_m3_s={"delivery": scalar(capacity_m3_s)})
    assert fix_of(gravity, "water").cure == cure
    unknown = with_layout(gravity, source_flow_m3_s=None)
    assert fix_of(unknown, "water").cure == "more water"


def test_a_tank_that_no_pipe_fills_asks_for_water() -> None:
    gravity = with_solution(thirsty(evidence_of()), ram=None)
    pipes = {"beds": gravity.layout.pipes["beds"]}
    assert fix_of(with_layout(gravity, pipes=pipes), "water").cure == "more water"


def test_what_was_not_asked_is_no_need() -> None:
    evidence = with_outlet(evidence_of(), needs_pa=None)
    assert head(evidence).needs == ()
    assert head(with_solution(thirsty(evidence_of()), tanks={}, outlets={})).needs == ()
    assert head(with_tank_result(thirsty(evidence), inflow_m3_s=None)).needs == ()
    bare = head(with_solution(evidence, tanks={}, ram=None))
    assert (bare.arrives_m3_s, bare.fall_m, bare.lift_m) == (None, None, None)
