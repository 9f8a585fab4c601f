"""How long a truck takes to fill, and how its valve must be shut."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from terrain_head.assessment.finding import Finding
from terrain_head.assessment.judge import judge
from terrain_head.assessment.surge_findings import surge_in
from terrain_head.assessment.truck import Filling, filling_of
from terrain_head.base.citation import OURS
from terrain_head.formulas.draining import draw_time_s
from terrain_head.formulas.slow_closing import slow_surge_pa
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Opening, Outlet, Parts, PipeRun, PipeSpec, Source, Tank
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from tests.scheme.hills import hill, m, outlet, run, tank
from tests.worked_examples import WorkedExample

HEIGHTS = {"knoll": 100.0, "road": 92.0, "barn": 90.0}
BORE_M = 0.026
WALL = PipeSpec(
    label="PE 32 mm",
    inside_m=m(BORE_M),
    roughness_m=m(7e-6),
    wall_m=3e-3,
    rating_pa=1.6e6,
    material="PE",
)
UPRIGHT = tank(diameter_m=1.5, depth_m=2.0, lowest_m=0.0, inlet_m=2.0)


def truck(volume_m3: float, *, flow_m3_s: float | None = None, height_m: float = 0.0) -> Outlet:
    """Return a truck at the road, filled by an open end unless it draws a stated flow."""
    one = outlet("truck", place="road", flow_m3_s=flow_m3_s, needs_pa=None, height_m=height_m)
    opens = Opening() if flow_m3_s is None else None
    return replace(one, opens=opens, fills_m3=m(volume_m3))


def line(*, spec: PipeSpec = WALL) -> PipeRun:
    return replace(run("line", "tank", "road", length_m=60.0), spec=spec)


def solved(
    *outlets: Outlet, above: Tank = UPRIGHT, pipes: tuple[PipeRun, ...] | None = None
) -> Solution:
    parts = Parts(
        tanks=(above,),
        pipes=pipes or (line(),),
        outlets=outlets,
        water_temperature_c=20.0,
    )
    return solve(lay_out(parts, ground=hill(parts, HEIGHTS)))


def filling(solution: Solution) -> Filling:
    found = filling_of(solution, solution.layout.outlets[0])
    assert found is not None
    return found


def findings_of(solution: Solution) -> list[Finding]:
    layout = solution.layout
    everything = judge(
        ground=layout.ground,
        layout=layout,
        solution=solution,
        elevations=None,
        grid=None,
        spread={},
    )
    return [one for one in everything if one.kind == "outlet-fills"]


def test_emptying_a_tank_through_a_pipe() -> None:
    """1.5 m across, 2 m deep, 60 m of 26.0 mm pipe falling a further 8 m, K 1.5."""
    case = WorkedExample(
        name="tank through a pipe",
        kind="independent code",
        source=OURS.at("own integration with the fluids library"),
        inputs={"volume m3": "3.534291"},
        printed={"seconds": "3632", "first L/s": "1.033", "last L/s": "0.914"},
        looser_because={"seconds": ("4", "viscosity and steps of the other integration")},
    )
    found = filling(solved(truck(case.given("volume m3"))))
    assert found.time_s is not None
    case.assert_result("seconds", found.time_s)
    case.assert_result("first L/s", 1000 * found.first_m3_s)
    case.assert_result("last L/s", 1000 * found.last_m3_s)


@pytest.mark.parametrize("volume_m3", [0.1, 1.0, 3.0])
def test_the_solver_level_by_level_agrees_with_one_pipe_drained(volume_m3: float) -> None:
    water = Water.at(20.0)
    found = filling(solved(truck(volume_m3)))
    by_hand = draw_time_s(
        volume_m3,
        area_m2=math.pi / 4 * 1.5**2,
        from_m=10.0,
        lowest_m=8.0,
        length_m=60.0,
        inside_m=BORE_M,
        roughness_m=7e-6,
        viscosity_m2_s=water.viscosity_m2_s,
        loss_coefficient=1.5,
    )
    assert found.time_s == pytest.approx(float(by_hand), rel=1e-6)
    assert found.held_m3 == pytest.approx(3.534, abs=1e-3)


def test_it_fills_alone_whoever_else_runs_with_it() -> None:
    both = (line(), replace(run("barn", "road", "barn"), spec=WALL))
    alone = filling(solved(truck(1.0), pipes=both))
    beside = filling(solved(truck(1.0), outlet("barn", needs_pa=None), pipes=both))
    assert beside.time_s == pytest.approx(alone.time_s)


def test_a_stated_flow_takes_the_volume_by_the_flow() -> None:
    found = filling(solved(truck(1.0, flow_m3_s=5e-4)))
    assert found.time_s == pytest.approx(2000.0)


def test_a_tank_that_holds_too_little_is_told() -> None:
    solution = solved(truck(4.0))
    assert filling(solution).time_s == math.inf
    (finding,) = findings_of(solution)
    assert (finding.severity, finding.value, finding.texts["short"]) == ("care", None, "yes")
    assert finding.values["held_m3"] == pytest.approx(3.534, abs=1e-3)


def test_an_end_above_the_water_gets_nothing() -> None:
    assert filling(solved(truck(1.0, height_m=11.0))).time_s == math.inf
    # 1 m3 sinks the water by 0.57 m; the end stands 0.3 m below the full tank.
    assert filling(solved(truck(1.0, height_m=9.7))).time_s == math.inf


def test_without_the_size_of_the_tank_the_flow_is_told_and_no_time() -> None:
    solution = solved(truck(1.0), above=replace(UPRIGHT, diameter_m=None))
    found = filling(solution)
    assert found.time_s is None
    assert found.held_m3 is None
    assert found.first_m3_s > found.last_m3_s > 0
    (finding,) = findings_of(solution)
    assert finding.severity == "fine"
    assert finding.value is None


def test_from_the_source_it_fills_as_fast_as_the_source_lets_it() -> None:
    parts = Parts(
        source=Source(place="knoll", flow_m3_s=m(2e-4)),
        pipes=(replace(line(), start="source"),),
        outlets=(truck(1.0),),
    )
    solution = solve(lay_out(parts, ground=hill(parts, HEIGHTS)))
    found = filling(solution)
    assert found.time_s == pytest.approx(1.0 / 2e-4, rel=1e-6)
    assert found.held_m3 is None


def test_a_slammed_valve_stops_the_water_of_the_full_tank() -> None:
    solution = solved(truck(1.0))
    surge = filling(solution).surge
    assert surge is not None
    speed = filling(solution).first_m3_s / (math.pi / 4 * BORE_M**2)
    assert surge.velocity_m_s == pytest.approx(speed)
    pipe = solution.layout.pipes["line"]
    assert surge == surge_in(solution, pipe, velocity_m_s=surge.velocity_m_s)
    (finding,) = findings_of(solution)
    assert finding.severity == "fine"
    assert finding.values["closing_s"] == 0.0


def test_a_weak_pipe_wants_its_valve_shut_slowly() -> None:
    weak = replace(WALL, rating_pa=2e5)
    solution = solved(truck(1.0), pipes=(line(spec=weak),))
    found = filling(solution)
    (finding,) = findings_of(solution)
    assert finding.severity == "care"
    surge = found.surge
    assert surge is not None
    assert surge.allowed_pa == pytest.approx(1.5 * 2e5)
    assert found.closing_s is not None
    raised = slow_surge_pa(surge.hammer_pa, wave_return_s=surge.return_s, closing_s=found.closing_s)
    assert surge.still_pa + float(raised) == pytest.approx(surge.allowed_pa)
    kinds = [one.kind for one in _all(solution)]
    assert "surge-over-rating" not in kinds


def _all(solution: Solution) -> tuple[Finding, ...]:
    layout = solution.layout
    return judge(
        ground=layout.ground,
        layout=layout,
        solution=solution,
        elevations=None,
        grid=None,
        spread={},
    )


def test_what_fills_nothing_or_is_not_known_is_not_told() -> None:
    plain = solved(replace(truck(1.0), fills_m3=None))
    assert filling_of(plain, plain.layout.outlets[0]) is None
    silent = solved(replace(truck(1.0), opens=None))
    assert filling_of(silent, silent.layout.outlets[0]) is None
    bare = solved(truck(1.0), pipes=(replace(line(), spec=None),))
    assert filling_of(bare, bare.layout.outlets[0]) is None
    assert findings_of(plain) == []
    unknown_wall = solved(truck(1.0), pipes=(line(spec=replace(WALL, wall_m=None)),))
    assert filling(unknown_wall).surge is None
    assert np.isfinite(filling(unknown_wall).time_s or np.nan)
