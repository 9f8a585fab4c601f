"""The most that runs by itself, and what sets it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from fluids.friction import friction_factor
from scipy.optimize import brentq

from terrain_head.assessment.finding import Finding
from terrain_head.assessment.judge import judge
from terrain_head.assessment.largest_flow import LargestFlow, largest_flows
from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Opening, Parts, Seep, Source
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from tests.scheme.hills import hill, m, outlet, run, tank

BORE_M = 0.026
HUMPED = [100.0, 90.0, 97.0, 85.0, 80.0]
EVEN = [100.0, 95.0, 90.0, 85.0, 80.0]


def down(
    heights_m: Sequence[float], *, gives_m3_s: float | None, length_alone: bool = False
) -> Solution:
    """Return a spring that runs by itself into a tank: stations every 50 m."""
    parts = Parts(
        source=Source(place="spring", flow_m3_s=None if gives_m3_s is None else m(gives_m3_s)),
        tanks=(tank(place="yard", inlet_m=1.5),),
        pipes=(run("line", "source", "tank"),),
    )
    ground = hill(
        parts,
        {"spring": heights_m[0], "yard": heights_m[-1]},
        between={"line": heights_m[1:-1]},
        plan_m={"line": 200.0},
        length_alone=("line",) if length_alone else (),
    )
    return solve(lay_out(parts, ground=ground))


def largest(solution: Solution) -> LargestFlow:
    return largest_flows(solution)["line"]


def told(solution: Solution, kind: str) -> list[Finding]:
    layout = solution.layout
    everything = judge(
        ground=layout.ground,
        layout=layout,
        solution=solution,
        elevations=None,
        grid=None,
        spread={},
    )
    return [one for one in everything if one.kind == kind]


def test_the_source_sets_it_where_it_gives_little() -> None:
    found = largest(down(EVEN, gives_m3_s=1e-4))
    assert (found.rules, found.flow_m3_s) == ("source", 1e-4)
    assert found.free_m3_s > 1e-4


@pytest.mark.parametrize("gives", [None, 1.0])
def test_the_pipe_sets_it_where_the_source_gives_more(gives: float | None) -> None:
    solution = down(EVEN, gives_m3_s=gives)
    found = largest(solution)
    assert found.rules == "pipe"
    assert found.flow_m3_s == float(solution.gravity_capacity_m3_s["line"])


def test_a_hump_sets_it_where_the_grade_line_comes_down_to_it() -> None:
    """By another library's friction: 3 m over the hump are used up on the way there."""
    solution = down(HUMPED, gives_m3_s=1.0)
    found = largest(solution)
    assert (found.rules, found.pipe, found.station_m) == ("dip", "line", 100.0)
    along = float(solution.layout.pipes["line"].along_m[2])
    water = Water.at(10.0)

    def left(flow: float) -> float:
        speed = flow / (np.pi / 4 * BORE_M**2)
        factor = friction_factor(Re=speed * BORE_M / water.viscosity_m2_s, eD=7e-6 / BORE_M)
        lost = (factor * along / BORE_M + 1.5) * speed**2 / (2 * STANDARD_GRAVITY_M_S2)
        return float(3.0 - lost)

    assert found.flow_m3_s == pytest.approx(brentq(left, 2e-4, 1e-3), rel=1e-6)
    assert found.flow_m3_s < found.free_m3_s


def test_at_that_flow_the_pipe_does_not_suck_and_at_more_it_does() -> None:
    most = largest(down(HUMPED, gives_m3_s=1.0)).flow_m3_s
    assert told(down(HUMPED, gives_m3_s=0.999 * most), "pressure-negative") == []
    (finding,) = told(down(HUMPED, gives_m3_s=1.01 * most), "pressure-negative")
    assert finding.values["largest_m3_s"] == pytest.approx(most)
    (throttle,) = told(down(HUMPED, gives_m3_s=0.9 * most), "gravity-throttle")
    assert "largest_m3_s" not in throttle.values
    (throttle,) = told(down(HUMPED, gives_m3_s=1.01 * most), "gravity-throttle")
    assert throttle.values["largest_m3_s"] == pytest.approx(most)
    assert throttle.values["dip_m"] == 100.0


def test_over_a_hump_higher_than_the_spring_nothing_runs_by_itself() -> None:
    found = largest(down([100.0, 90.0, 101.0, 85.0, 80.0], gives_m3_s=1.0))
    assert (found.rules, found.flow_m3_s, found.station_m) == ("dip", 0.0, 100.0)


def test_where_the_ground_between_is_not_known_no_dip_is_told() -> None:
    assert largest(down(HUMPED, gives_m3_s=1.0, length_alone=True)).rules == "pipe"


def joined(gives_m3_s: float) -> Solution:
    """Return a spring line of two pipes that meet on the hump, of which only lengths are known."""
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(gives_m3_s)),
        tanks=(tank(place="yard", inlet_m=1.5),),
        pipes=(run("up", "source", "hump"), run("down", "hump", "tank")),
    )
    ground = hill(parts, {"spring": 100.0, "hump": 97.0, "yard": 80.0}, length_alone=("up", "down"))
    return solve(lay_out(parts, ground=ground))


def test_a_joint_on_a_hump_is_looked_at_and_told_once() -> None:
    solution = joined(1.0)
    found = largest_flows(solution)
    assert found["up"] == found["down"]
    assert (found["up"].rules, found["up"].pipe, found["up"].station_m) == ("dip", "up", 100.0)
    (finding,) = told(solution, "pressure-negative")
    assert (finding.where.pipe, finding.where.station_m) == ("up", 100.0)
    assert finding.values["largest_m3_s"] == found["up"].flow_m3_s
    assert told(joined(0.999 * found["up"].flow_m3_s), "pressure-negative") == []


def test_an_open_end_below_the_source_is_answered_too() -> None:
    end = replace(outlet("yard", flow_m3_s=None, needs_pa=None), opens=Opening())
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(1.0)),
        pipes=(run("line", "source", "yard"),),
        outlets=(end,),
    )
    ground = hill(
        parts,
        {"spring": HUMPED[0], "yard": HUMPED[-1]},
        between={"line": HUMPED[1:-1]},
        plan_m={"line": 200.0},
    )
    open_end, into_tank = (
        largest(solve(lay_out(parts, ground=ground))),
        largest(down(HUMPED, gives_m3_s=1.0)),
    )
    assert open_end.rules == "dip"
    assert open_end.flow_m3_s == pytest.approx(into_tank.flow_m3_s)
    shut = replace(parts, outlets=(replace(end, opens=None),))
    assert largest_flows(solve(lay_out(shut, ground=ground))) == {}
    elsewhere = replace(parts, outlets=(end, outlet("tap", place="yard", needs_pa=None)))
    assert largest_flows(solve(lay_out(elsewhere, ground=ground))) == {}


def test_draws_and_lines_that_part_are_not_asked() -> None:
    solution = down(EVEN, gives_m3_s=1e-4)
    drawn = solve(with_values(solution.layout, source_flow_m3_s=[1e-4, 2e-4]))
    assert largest_flows(drawn) == {}


def test_a_seep_that_gives_more_than_its_pipe_carries_is_told() -> None:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(1e-4)),
        seeps=(Seep(name="alder", place="alder", flow_m3_s=m(1e-2)),),
        tanks=(tank(place="yard"),),
        pipes=(run("seep line", "seep.alder", "source"), run("line", "source", "tank")),
    )
    ground = hill(parts, {"spring": 100.0, "alder": 104.0, "yard": 80.0})
    solution = solve(lay_out(parts, ground=ground))
    limits = [one for one in told(solution, "gravity-limits") if one.where.pipe == "seep line"]
    (finding,) = limits
    assert finding.texts["from"] == "seep"
    assert finding.limit == 1e-2
    assert finding.value == pytest.approx(float(solution.gravity_capacity_m3_s["seep line"]))
    unknown = replace(parts, seeps=(replace(parts.seeps[0], flow_m3_s=None),))
    silent = solve(lay_out(unknown, ground=ground))
    kinds = ("gravity-limits", "gravity-throttle")
    assert "seep line" not in [one.where.pipe for kind in kinds for one in told(silent, kind)]
