"""Water that runs by itself into a tank, or straight to outlets."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from fluids.friction import friction_factor
from scipy.optimize import brentq

from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Parts, PipeRun, Source
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from tests.scheme.hills import hill, known, m, outlet, run, tank

G = 9.80665
VISCOSITY = Water.at(10.0).viscosity_m2_s
HEIGHTS = {"spring": 60.0, "fork": 50.0, "knoll": 40.0, "shelf": 20.0, "house": 10.0}


def loss(flow: float, *, length: float, bore: float, k: float) -> float:
    speed = 4 * flow / (math.pi * bore**2)
    f = friction_factor(Re=speed * bore / VISCOSITY, eD=7e-6 / bore)
    return (f * length / bore + k) * speed**2 / (2 * G)


def one_pipe(*, flow_m3_s: float | None, pipe: PipeRun | None = None) -> Solution:
    parts = Parts(
        source=Source(
            place="spring",
            water_above_m=m(0.3),
            flow_m3_s=None if flow_m3_s is None else m(flow_m3_s),
            share=0.5,
        ),
        tanks=(tank(stand_m=2.0),),
        pipes=(pipe or run("line", "tank", "source", cover_m=0.5, length_m=220.0),),
    )
    return solve(lay_out(parts, ground=hill(parts, HEIGHTS, between={"line": [46.0, 50.0]})))


def test_a_pipe_that_runs_full_carries_what_an_independent_root_says() -> None:
    """From 60.3 down to the inlet at 40 + 2 + 1.6 through 220 m of 26 mm; entrance, exit."""
    solution = one_pipe(flow_m3_s=1.0)
    expected = brentq(
        lambda flow: loss(flow, length=220.0, bore=0.026, k=1.5) - 16.7, 1e-4, 1e-2, xtol=1e-15
    )
    assert known(solution.gravity_capacity_m3_s["line"]) == pytest.approx(expected, rel=1e-8)
    assert known(solution.tanks["tank"].inflow_m3_s) == pytest.approx(expected, rel=1e-8)
    line = solution.pipes["line"].running
    assert line is not None
    assert float(line.upstream_head_m) == pytest.approx(60.3, abs=1e-12)
    assert float(line.downstream_head_m) == pytest.approx(43.6, abs=1e-9)
    assert known(solution.available_m3_s) == 0.5


def test_a_spring_that_gives_less_rules_the_flow() -> None:
    solution = one_pipe(flow_m3_s=4e-4)
    assert known(solution.tanks["tank"].inflow_m3_s) == pytest.approx(2e-4, rel=1e-12)
    line = solution.pipes["line"].running
    assert line is not None
    fallen = float(line.upstream_head_m - line.downstream_head_m)
    assert fallen == pytest.approx(loss(2e-4, length=220.0, bore=0.026, k=1.5), rel=1e-8)
    assert "flow" not in solution.not_asked


def test_without_a_flow_the_capacity_is_still_told() -> None:
    solution = one_pipe(flow_m3_s=None)
    assert solution.tanks["tank"].inflow_m3_s is None
    assert solution.tanks["tank"].fill_time_s is None
    assert known(solution.gravity_capacity_m3_s["line"]) > 0
    assert "flow" in solution.not_asked
    assert solution.available_m3_s is None


def test_without_a_bore_the_line_has_only_lengths_and_static_pressure() -> None:
    solution = one_pipe(
        flow_m3_s=1e-3, pipe=run("line", "source", "tank", bore_m=None, length_m=220.0)
    )
    result = solution.pipes["line"]
    assert result.running is None
    assert result.min_clearance_m is None
    assert known(result.static_m) == pytest.approx(60.3)
    assert known(result.max_static_pa) == pytest.approx(999.7 * G * 20.3, rel=1e-4)
    assert "pipe.line.spec" in solution.not_asked


def test_a_line_that_does_not_fall_carries_nothing() -> None:
    parts = Parts(
        source=Source(place="house", flow_m3_s=m(1e-3)),
        tanks=(tank(),),
        pipes=(run("a", "source", "fork"), run("b", "fork", "tank")),
    )
    solution = solve(lay_out(parts, ground=hill(parts, HEIGHTS)))
    assert known(solution.gravity_capacity_m3_s["a"]) == 0
    assert known(solution.tanks["tank"].inflow_m3_s) == 0
    assert known(solution.tanks["tank"].fill_time_s) == math.inf


def test_two_bores_one_after_another_share_the_head() -> None:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(1.0)),
        tanks=(tank(inlet_m=1.5),),
        pipes=(
            run("a", "source", "fork", bore_m=0.0408, length_m=150.0),
            run("b", "fork", "tank", bore_m=0.026, length_m=90.0),
        ),
    )
    solution = solve(lay_out(parts, ground=hill(parts, HEIGHTS)))
    expected = brentq(
        lambda q: (
            loss(q, length=150.0, bore=0.0408, k=0.5)
            + loss(q, length=90.0, bore=0.026, k=1.0)
            - 18.5
        ),
        1e-4,
        1e-2,
        xtol=1e-15,
    )
    assert known(solution.gravity_capacity_m3_s["b"]) == pytest.approx(expected, rel=1e-8)
    first, second = solution.pipes["a"].running, solution.pipes["b"].running
    assert first is not None
    assert second is not None
    assert float(second.downstream_head_m) == pytest.approx(41.5, abs=1e-9)
    assert float(first.downstream_head_m) == float(second.upstream_head_m)


def series(*, flow_m3_s: float | None) -> Solution:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=None if flow_m3_s is None else m(flow_m3_s)),
        tanks=(
            tank("lower", "shelf", volume_m3=5.0, diameter_m=None, count=2),
            tank("upper", "knoll", diameter_m=None),
        ),
        pipes=(
            run("link", "tank.lower", "tank.upper", length_m=130.0),
            run("line", "source", "tank.upper"),
        ),
    )
    return solve(lay_out(parts, ground=hill(parts, HEIGHTS)))


def test_the_lower_of_two_tanks_gets_no_more_than_comes_into_the_upper() -> None:
    little = series(flow_m3_s=2e-4)
    assert known(little.tanks["upper"].inflow_m3_s) == pytest.approx(2e-4)
    assert known(little.tanks["lower"].inflow_m3_s) == pytest.approx(2e-4)
    much = series(flow_m3_s=1.0)
    capacity = much.gravity_capacity_m3_s["link"]
    expected = brentq(
        lambda q: loss(q, length=130.0, bore=0.026, k=1.5) - (40.2 - 21.6), 1e-4, 1e-2, xtol=1e-15
    )
    assert known(capacity) == pytest.approx(expected, rel=1e-8)
    into_upper = known(much.tanks["upper"].inflow_m3_s)
    assert known(much.tanks["lower"].inflow_m3_s) == pytest.approx(min(expected, into_upper))
    assert series(flow_m3_s=None).tanks["lower"].inflow_m3_s is None


def test_a_full_upper_tank_drives_more_through_the_link() -> None:
    pipes = series(flow_m3_s=None).pipes["link"]
    assert pipes.running is not None
    assert pipes.running_full is not None
    assert pipes.running_full.flow_m3_s > pipes.running.flow_m3_s
    assert known(pipes.static_m) == pytest.approx(41.5)


def test_tanks_side_by_side_hold_and_weigh_together() -> None:
    """2 x 5 m3; of 1.5 m depth 0.2 m is not useful; 999.7 kg/m3 at 10 C."""
    solution = series(flow_m3_s=2e-4)
    lower = solution.tanks["lower"]
    assert known(lower.volume_m3) == 10.0
    assert known(lower.useful_m3) == pytest.approx(10.0 * 1.3 / 1.5)
    assert known(lower.fill_time_s) == pytest.approx(10.0 * 1.3 / 1.5 / 2e-4)
    assert known(lower.weight_full_kg) == pytest.approx(9997, abs=0.5)
    assert solution.tanks["upper"].volume_m3 is None
    assert solution.tanks["upper"].weight_full_kg is None
    assert "tank.upper.volume" in solution.not_asked


def test_outlets_may_draw_straight_from_the_source() -> None:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(5e-4), share=0.8),
        pipes=(run("a", "house", "fork", length_m=100.0), run("b", "source", "fork")),
        outlets=(outlet("house"), outlet("fork", flow_m3_s=3e-4)),
        together={"both": ("house", "fork"), "one": ("house",)},
    )
    solution = solve(lay_out(parts, ground=hill(parts, HEIGHTS)))
    house = solution.outlets["house"]
    assert house.fed_by == "source"
    assert known(house.static_full_pa) == known(house.static_low_pa)
    assert known(house.running_full_pa) == known(house.running_low_pa)
    assert house.stand_needed_m is None
    assert known(solution.source_demand_m3_s["both"]) == pytest.approx(5e-4)
    assert known(solution.source_demand_m3_s["one"]) == pytest.approx(2e-4)
    assert known(solution.available_m3_s) == pytest.approx(4e-4)
    assert solution.stand_sweep is None
    assert house.group == "both"
    assert solution.ram is None
    assert solution.not_asked == ("tank",)


def test_pressure_may_fall_below_zero_on_the_way() -> None:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(1.0)),
        tanks=(tank(inlet_m=1.5),),
        pipes=(run("line", "source", "tank"),),
    )
    hump = hill(parts, HEIGHTS, between={"line": [45.0, 57.0]})
    result = solve(lay_out(parts, ground=hump)).pipes["line"]
    assert known(result.min_clearance_m) < 0
    assert known(result.min_clearance_station_m) == pytest.approx(200 / 3)
    alone = hill(parts, HEIGHTS, length_alone=["line"])
    assert solve(lay_out(parts, ground=alone)).pipes["line"].min_clearance_m is None


def test_draws_of_a_line_of_two_bores_equal_single_solves() -> None:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(1.0)),
        tanks=(tank(),),
        pipes=(run("a", "source", "fork"), run("b", "fork", "tank", bore_m=0.02)),
    )
    ground = hill(parts, HEIGHTS)
    shifts = np.array([0.0, -3.0, 4.0])
    heights = ground.elevation_m + shifts[:, None] * np.array([1.0, 0.0, 0.0, 0.0, 0.0])

    def on(elevation: np.ndarray) -> Solution:
        profiles = {
            n: replace(p, elevation_m=elevation[..., p.index]) for n, p in ground.profiles.items()
        }
        return solve(
            lay_out(parts, ground=replace(ground, elevation_m=elevation, profiles=profiles))
        )

    together = on(heights).gravity_capacity_m3_s["b"]
    alone = [float(on(row).gravity_capacity_m3_s["b"]) for row in heights]
    np.testing.assert_allclose(together, alone, rtol=1e-12)
