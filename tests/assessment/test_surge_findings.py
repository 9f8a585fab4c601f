"""Water stopped at once in the pipes behind ram, spring and tank."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from terrain_head.assessment.finding import Finding
from terrain_head.assessment.judge import judge
from terrain_head.assessment.surge_findings import PipeSurge, surge_in
from terrain_head.assessment.upstream import line_down_to
from terrain_head.formulas.pipe_walls import SURGE_ALLOWANCES
from terrain_head.formulas.surge import wave_speed_m_s
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Parts, PipeSpec
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from tests.scheme.hills import hill, m, outlet, ram_hill, ram_parts, run, tank

HEIGHTS = {"knoll": 100.0, "tee": 80.0, "end": 70.0}
FLOW_M3_S = 6e-4


def spec(material: str = "PE", *, rating_pa: float | None = 1.6e6) -> PipeSpec:
    return PipeSpec(
        label=material,
        inside_m=m(0.026),
        roughness_m=m(7e-6),
        wall_m=3e-3,
        rating_pa=rating_pa,
        material=material,
    )


def solved(last: PipeSpec, *, flow_m3_s: float = FLOW_M3_S) -> Solution:
    parts = Parts(
        tanks=(tank(depth_m=1.5, lowest_m=0.0),),
        pipes=(
            replace(run("upper", "tank", "tee", length_m=120.0), spec=spec()),
            replace(run("lower", "tee", "end", length_m=80.0), spec=last),
        ),
        outlets=(outlet("end", flow_m3_s=flow_m3_s, needs_pa=None),),
    )
    return solve(lay_out(parts, ground=hill(parts, HEIGHTS)))


def surge_of(solution: Solution, name: str = "lower") -> PipeSurge:
    found = surge_in(solution, solution.layout.pipes[name])
    assert found is not None
    return found


def told(solution: Solution) -> list[Finding]:
    layout = solution.layout
    everything = judge(
        ground=layout.ground,
        layout=layout,
        solution=solution,
        elevations=None,
        grid=None,
        spread={},
    )
    return [one for one in everything if one.kind == "surge-over-rating"]


def test_the_hammer_is_density_wave_and_velocity_and_the_way_is_that_to_the_tank() -> None:
    surge = surge_of(solved(spec()))
    wave = float(wave_speed_m_s(inside_m=0.026, wall_m=3e-3, modulus_pa=1e9))
    speed = FLOW_M3_S / (np.pi / 4 * 0.026**2)
    assert surge.wave_m_s == pytest.approx(wave)
    assert surge.velocity_m_s == pytest.approx(speed)
    assert surge.hammer_pa == pytest.approx(Water.at(10.0).density_kg_m3 * wave * speed)
    assert surge.return_s == pytest.approx(2 * 200.0 / wave)
    assert surge.still_pa == pytest.approx(float(Water.at(10.0).pressure_pa(31.5)))
    assert surge_of(solved(spec()), "upper").return_s == pytest.approx(2 * 120.0 / wave)


def test_each_pipe_on_the_way_keeps_its_own_wave() -> None:
    mixed = surge_of(solved(spec("PVC")))
    plastic = float(wave_speed_m_s(inside_m=0.026, wall_m=3e-3, modulus_pa=1e9))
    assert mixed.return_s == pytest.approx(2 * 120.0 / plastic + 2 * 80.0 / mixed.wave_m_s)
    assert mixed.wave_m_s > plastic


@pytest.mark.parametrize(
    ("material", "times", "severity"),
    [
        ("PE", 1.5, None),
        ("PE", 1.52, "care"),
        ("PE", 1.98, "care"),
        ("PE", 2.02, "stop"),
        ("PVC", 0.99, None),
        ("PVC", 1.01, "care"),
        ("PVC", 2.02, "stop"),
    ],
)
def test_still_water_and_hammer_against_the_allowance(
    material: str, times: float, severity: str | None
) -> None:
    total = surge_of(solved(spec(material))).total_pa
    # More than half of the total is hammer, so still water alone is always borne here.
    rated = solved(spec(material, rating_pa=total / times * (1 + 1e-9)))
    findings = told(rated)
    assert ([] if severity is None else [severity]) == [one.severity for one in findings]
    for finding in findings:
        assert finding.value == pytest.approx(total)
        allowance = SURGE_ALLOWANCES[material]
        assert finding.limit == pytest.approx(allowance.recurring * total / times)
        assert finding.source == allowance.citation
        assert finding.where.pipe == "lower"


def test_metal_has_no_allowance() -> None:
    surge = surge_of(solved(spec("steel", rating_pa=3e6)))
    assert surge.allowed_pa == 3e6
    assert "no allowance was read" in str(surge.citation)


def test_a_pipe_strained_by_still_water_is_told_that_alone() -> None:
    assert told(solved(spec(rating_pa=2e5))) == []
    assert surge_of(solved(spec(rating_pa=2e5))).closing_s is None


def test_a_slow_stream_does_no_harm() -> None:
    surge = surge_of(solved(spec(), flow_m3_s=1e-5))
    assert surge.borne
    assert surge.closing_s == 0.0


def test_what_is_not_known_is_not_answered() -> None:
    unrated = surge_of(solved(spec(rating_pa=None)))
    assert (unrated.allowed_pa, unrated.closing_s, unrated.borne) == (None, None, None)
    assert told(solved(spec(rating_pa=None))) == []
    bare = solved(replace(spec(), wall_m=None))
    assert surge_in(bare, bare.layout.pipes["lower"]) is None
    still = solve(lay_out(replace(bare.layout.parts, outlets=()), ground=bare.layout.ground))
    assert surge_in(still, still.layout.pipes["upper"]) is None
    parts = ram_parts()
    rams = solve(lay_out(parts, ground=ram_hill(parts)))
    assert surge_in(rams, rams.layout.pipes["drive"]) is None


def test_a_pipe_above_of_unknown_wall_counts_as_the_last() -> None:
    solution = solved(spec())
    parts = solution.layout.parts
    upper = replace(parts.pipes[0], spec=replace(spec(), wall_m=None))
    other = solve(
        lay_out(replace(parts, pipes=(upper, parts.pipes[1])), ground=solution.layout.ground)
    )
    assert surge_of(other).return_s == pytest.approx(surge_of(solution).return_s)


def test_the_way_up_ends_in_a_ring_too() -> None:
    parts = Parts(
        tanks=(tank(),),
        pipes=(
            run("main", "tank", "a"),
            run("left", "a", "b"),
            run("right", "a", "c"),
            run("close", "b", "c"),
        ),
        outlets=(outlet("c", needs_pa=None),),
    )
    layout = lay_out(parts, ground=hill(parts, {"knoll": 100.0, "a": 80, "b": 79, "c": 78}))
    way = [pipe.name for pipe in line_down_to(layout, layout.pipes["close"])]
    assert way == ["main", "left", "close"]
    assert len(line_down_to(layout, layout.pipes["right"])) == 2
