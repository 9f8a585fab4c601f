"""Open tanks on the way that keep still water within the rating."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.assessment.break_pressure import BreakPressure, break_pressure_of
from terrain_head.assessment.finding import Finding
from terrain_head.assessment.judge import judge
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Parts, PipeSpec
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from tests.scheme.hills import hill, known, m, outlet, ram_hill, ram_parts, run, tank

METRE_PA = float(Water.at(10.0).pressure_pa(1.0))


def rated(metres: float, *, bore_m: float = 0.05) -> PipeSpec:
    return PipeSpec(
        label="PE",
        inside_m=m(bore_m),
        roughness_m=m(7e-6),
        rating_pa=metres * METRE_PA,
        material="PE",
    )


def down(
    heights_m: Sequence[float], *, metres: float, flow_m3_s: float = 2e-4, bore_m: float = 0.05
) -> Solution:
    """Return a line down from a tank whose water stands 1 m over the ground."""
    parts = Parts(
        tanks=(tank(depth_m=1.0, lowest_m=0.0),),
        pipes=(replace(run("line", "tank", "end"), spec=rated(metres, bore_m=bore_m)),),
        outlets=(outlet("end", flow_m3_s=flow_m3_s, needs_pa=None),),
    )
    ground = hill(
        parts,
        {"knoll": heights_m[0], "end": heights_m[-1]},
        between={"line": heights_m[1:-1]},
        plan_m={"line": 500.0},
    )
    return solve(lay_out(parts, ground=ground))


def broken(solution: Solution, name: str = "line") -> BreakPressure | None:
    return break_pressure_of(solution, solution.layout.pipes[name])


def over(solution: Solution) -> list[Finding]:
    layout = solution.layout
    everything = judge(
        ground=layout.ground,
        layout=layout,
        solution=solution,
        elevations=None,
        grid=None,
        spread={},
    )
    return [one for one in everything if one.kind == "pressure-over-rating"]


def test_on_an_even_slope_the_station_and_the_tank_are_those_of_the_hand() -> None:
    """100 m down over 500 m, rated for 60 m: strained from 59 m down, 295 m along."""
    solution = down([200.0, 150.0, 100.0], metres=60.0)
    found = broken(solution)
    assert found is not None
    assert found.over_from.station_m == pytest.approx(295.0, abs=1.0)
    assert found.tanks is not None
    (one,) = found.tanks
    # As high as the lower part bears: 60 m over the end at 100 m, 200 m along.
    assert one.ground_m == pytest.approx(160.0, abs=0.2)
    assert one.station_m == pytest.approx(200.0, abs=1.0)
    line = solution.pipes["line"].running
    assert line is not None
    profile = solution.layout.pipes["line"].profile
    grade = np.interp(one.station_m, profile.station_m, line.grade_m)
    assert found.costs_m is not None
    assert found.costs_m == pytest.approx(grade - one.ground_m, abs=1e-6)
    (finding,) = over(solution)
    assert finding.values["tanks"] == 1.0
    assert finding.values["tank_1_m"] == one.station_m
    assert finding.texts["tank_1"] == "line"
    assert finding.values["costs_pa"] == pytest.approx(found.costs_m * METRE_PA)


@given(
    steps=st.lists(st.floats(2.0, 25.0), min_size=3, max_size=9),
    metres=st.floats(20.0, 60.0),
)
def test_between_the_tanks_no_stretch_is_strained(steps: list[float], metres: float) -> None:
    heights = 300.0 - np.concatenate([[0.0], np.cumsum(steps)])
    solution = down(heights.tolist(), metres=metres, flow_m3_s=1e-5)
    found = broken(solution)
    strained = bool(heights[0] + 1.0 - heights[-1] > metres)
    assert strained == (found is not None)
    if found is None:
        return
    assert found.tanks is not None
    levels = [heights[0] + 1.0, *(spot.ground_m for spot in found.tanks)]
    ends = [*(spot.ground_m for spot in found.tanks), heights[-1]]
    drop = levels[0] - heights[-1]
    for level, end in zip(levels, ends, strict=True):
        assert level - end <= metres + 1e-9
    # No fewer tanks could: each stretch holds at the most what the pipe bears.
    assert len(found.tanks) >= int(np.ceil(drop / metres - 1e-9)) - 1
    assert len(found.tanks) <= int(np.ceil(drop / (0.95 * metres)))


def test_a_tank_stands_over_every_hump_that_follows() -> None:
    """The slope dips to 120 m, rises to 158 m and falls to 100 m: rated for 75 m."""
    solution = down([200.0, 180.0, 135.0, 158.0, 100.0], metres=75.0, flow_m3_s=1e-5)
    found = broken(solution)
    assert found is not None
    assert found.tanks is not None
    (one,) = found.tanks
    assert 158.0 <= one.ground_m <= 175.0
    assert one.station_m < 250.0


def test_where_nothing_would_be_left_to_run_a_stronger_pipe_alone_helps() -> None:
    """A hump at 197 m: a tank over it leaves the dip before it strained."""
    solution = down([200.0, 120.0, 197.0, 110.0], metres=60.0, flow_m3_s=1e-5)
    found = broken(solution)
    assert found is not None
    assert found.tanks is None
    (finding,) = over(solution)
    assert finding.values["tanks"] == 0.0


def test_a_narrow_pipe_that_needs_its_head_can_give_none_away() -> None:
    wide = broken(down([200.0, 150.0, 100.0], metres=60.0, flow_m3_s=1e-3))
    narrow = broken(down([200.0, 150.0, 100.0], metres=60.0, flow_m3_s=1.5e-3, bore_m=0.0285))
    assert wide is not None
    assert wide.tanks
    assert narrow is not None
    assert narrow.tanks is None


def test_the_tank_may_stand_on_a_pipe_before_the_strained_one() -> None:
    parts = Parts(
        tanks=(tank(depth_m=1.0, lowest_m=0.0),),
        pipes=(
            replace(run("upper", "tank", "tee"), spec=rated(100.0)),
            replace(run("lower", "tee", "end"), spec=rated(40.0)),
        ),
        outlets=(outlet("end", flow_m3_s=1e-4, needs_pa=None),),
    )
    ground = hill(parts, {"knoll": 200.0, "tee": 150.0, "end": 130.0})
    solution = solve(lay_out(parts, ground=ground))
    assert broken(solution, "upper") is None
    found = broken(solution, "lower")
    assert found is not None
    assert found.over_from.station_m == 0.0
    assert found.tanks is not None
    (one,) = found.tanks
    assert one.pipe == "upper"
    assert one.ground_m == pytest.approx(170.0, abs=0.2)


def test_without_flow_the_place_is_told_and_not_the_cost() -> None:
    solution = down([200.0, 150.0, 100.0], metres=60.0)
    layout = solution.layout
    still = solve(lay_out(replace(layout.parts, outlets=()), ground=layout.ground))
    found = broken(still)
    assert found is not None
    assert found.tanks is not None
    assert found.costs_m is None
    (finding,) = over(still)
    assert "costs_pa" not in finding.values


def test_where_it_is_not_asked_nothing_is_told() -> None:
    solution = down([200.0, 150.0, 100.0], metres=110.0)
    assert broken(solution) is None
    parts = ram_parts()
    rams = solve(lay_out(parts, ground=ram_hill(parts)))
    assert break_pressure_of(rams, rams.layout.pipes["delivery"]) is None
    assert known(rams.pipes["main"].max_static_pa) > 0
    assert break_pressure_of(rams, rams.layout.pipes["main"]) is None
    bare = replace(solution.layout.parts.pipes[0], spec=None)
    unknown = solve(
        lay_out(replace(solution.layout.parts, pipes=(bare,)), ground=solution.layout.ground)
    )
    assert broken(unknown) is None
