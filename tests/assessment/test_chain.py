"""The findings of schemes that the solver solved: what must hold whatever the numbers."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import compare
from terrain_head.assessment.cures import water_lost
from terrain_head.assessment.finding import Finding
from terrain_head.assessment.headline import headline
from terrain_head.assessment.judge import judge
from terrain_head.assessment.spread import spread_of
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Parts, Source
from terrain_head.scheme.solver import solve
from tests.scheme.hills import HEIGHTS, hill, m, outlet, ram_hill, ram_parts, run, tank


def answer_for(parts: Parts, *, choice: str = "main", datum_m: float = 0.0) -> Answer:
    if parts.ram is None:
        heights = {"spring": 100.0, "low": 85.0, "beds": 70.0}
        between = {"line": [97.0, 92.0, 88.0], "beds": [82.0, 84.0, 73.0]}
        plan = {"line": 300.0, "beds": 150.0}
    else:
        heights = HEIGHTS
        between = {"delivery": [103.0, 110.0, 109.0, 115.0], "to beds": [99.0, 103.0]}
        plan = {"drive": 16.0, "delivery": 180.0, "main": 90.0, "to house": 60.0, "to beds": 40.0}
    ground = hill(
        parts,
        {name: height + datum_m for name, height in heights.items()},
        between={name: [height + datum_m for height in line] for name, line in between.items()},
        plan_m=plan,
    )
    layout = lay_out(parts, ground=ground)
    solution = solve(layout)
    spread = spread_of(ground=ground, layout=layout, solution=solution)
    findings = judge(
        ground=ground,
        layout=layout,
        solution=solution,
        elevations=None,
        grid=None,
        spread=spread,
    )
    return Answer(
        title="Quiet Hollow",
        choice=choice,
        file="quiet/study.toml",
        plane=None,
        elevations=None,
        grid=None,
        ground=ground,
        layout=layout,
        solution=solution,
        findings=findings,
        taken=(),
        not_asked=solution.not_asked,
        spread=spread,
    )


def gravity_parts(flow_m3_s: float | None = 4e-4) -> Parts:
    return Parts(
        source=Source(place="spring", flow_m3_s=None if flow_m3_s is None else m(flow_m3_s)),
        tanks=(tank(place="low"),),
        pipes=(
            run("line", "source", "tank", cover_m=0.4),
            run("beds", "tank", "beds", cover_m=0.3),
        ),
        outlets=(outlet("beds", height_m=0.6),),
    )


def told(findings: tuple[Finding, ...]) -> list[tuple[object, ...]]:
    return [
        (
            one.kind,
            one.severity,
            None if one.value is None else float(f"{one.value:.5g}"),
            one.where.pipe,
            one.where.station_m,
        )
        for one in findings
    ]


@settings(max_examples=20, deadline=None)
@given(datum=st.floats(-400.0, 3000.0), gravity=st.booleans())
def test_a_constant_added_to_the_datum_changes_no_finding(datum: float, gravity: bool) -> None:
    parts = gravity_parts() if gravity else ram_parts()
    there, here = answer_for(parts, datum_m=round(datum, 2)), answer_for(parts)
    assert told(there.findings) == told(here.findings)
    assert headline(there).verdict == headline(here).verdict


def test_a_scheme_that_was_laid_well_has_nothing_that_stops_it() -> None:
    assert headline(answer_for(ram_parts())).stops == ()
    assert headline(answer_for(gravity_parts())).stops == ()


def test_a_pipe_that_carries_more_than_the_spring_gives_is_to_be_throttled() -> None:
    kinds = {finding.kind for finding in answer_for(gravity_parts(1e-4)).findings}
    assert "gravity-throttle" in kinds
    kinds = {finding.kind for finding in answer_for(gravity_parts(5e-3)).findings}
    assert "gravity-limits" in kinds


@settings(max_examples=15, deadline=None)
@given(stand_m=st.floats(0.0, 6.0), more_m=st.floats(0.5, 5.0))
def test_a_higher_stand_never_brings_more_water_nor_less_pressure(
    stand_m: float, more_m: float
) -> None:
    low = answer_for(ram_parts(stand_m=stand_m))
    high = answer_for(ram_parts(stand_m=stand_m + more_m), choice="higher")
    found = {one.result: one.value for one in compare([low, high]).differences}
    assert found["delivered"] <= 0
    assert found["least_running"] >= 0
    assert found["lift"] == pytest.approx(more_m)
    assert compare([low, high]).better["pressure"] == "higher"
    assert compare([low, high]).better["stand"] == "main"


def test_the_stand_that_is_said_to_be_needed_meets_the_need_at_the_cost_that_is_said() -> None:
    """Solved again with that stand, the outlet gets its pressure and the tank that much less."""
    parts = ram_parts(stand_m=0.0)
    thirsty = tuple(dataclasses.replace(one, needs_pa=m(1.4e5)) for one in parts.outlets[:1])
    parts = dataclasses.replace(parts, outlets=(*thirsty, *parts.outlets[1:]))
    before = answer_for(parts)
    (need,) = (need for need in headline(before).unmet if need.name == "tap")
    assert need.fix is not None
    assert need.fix.cure == "raise the stand"
    assert need.fix.stand_needed_m is not None
    tanks = (dataclasses.replace(parts.tanks[0], stand_m=m(need.fix.stand_needed_m + 1e-6)),)
    after = answer_for(dataclasses.replace(parts, tanks=tanks))
    assert [one.met for one in headline(after).needs if one.name == "tap"] == [True]
    arrives = headline(before).arrives_m3_s, headline(after).arrives_m3_s
    assert arrives[0] is not None
    assert arrives[1] is not None
    assert need.fix.water_lost_m3_s == pytest.approx(arrives[0] - arrives[1], rel=0.02)
    sweep = before.solution.stand_sweep
    assert water_lost(sweep, "tank", from_m=0.0, to_m=0.0) == 0.0


def test_two_courses_of_one_scheme_differ_only_where_they_differ() -> None:
    parts = ram_parts()
    here = answer_for(parts)
    assert ram_hill(parts).elevation_m.tolist() == here.ground.elevation_m.tolist()
    same = compare([here, answer_for(parts, choice="again")])
    assert {difference.value for difference in same.differences} == {0.0}
    assert set(same.better.values()) == {None}


def without(parts: Parts, *dropped: str) -> Parts:
    """Return the parts as a person has them who does not know everything yet."""
    pipes = parts.pipes
    if "outlets" in dropped:
        parts = dataclasses.replace(parts, outlets=())
        pipes = tuple(pipe for pipe in pipes if pipe.name in {"drive", "delivery"})
    if "delivery" in dropped:
        pipes = tuple(pipe for pipe in pipes if pipe.name != "delivery")
    if "drive" in dropped:
        pipes = tuple(pipe for pipe in pipes if pipe.name != "drive")
    if "bores" in dropped:
        pipes = tuple(dataclasses.replace(pipe, spec=None) for pipe in pipes)
    if "flow" in dropped and parts.source is not None:
        parts = dataclasses.replace(parts, source=dataclasses.replace(parts.source, flow_m3_s=None))
    if "efficiency" in dropped and parts.ram is not None:
        ram = dataclasses.replace(parts.ram, efficiency=None, built=None)
        parts = dataclasses.replace(parts, ram=ram)
    return dataclasses.replace(parts, pipes=pipes)


@pytest.mark.parametrize(
    "dropped",
    [
        ("outlets",),
        ("bores",),
        ("flow",),
        ("efficiency",),
        ("delivery",),
        ("drive", "flow"),
        ("outlets", "bores", "flow", "efficiency"),
    ],
)
def test_a_scheme_is_judged_and_compared_as_far_as_its_data_go(dropped: tuple[str, ...]) -> None:
    whole, part = answer_for(ram_parts()), answer_for(without(ram_parts(), *dropped), choice="part")
    known = {finding.kind for finding in whole.findings}
    more = {finding.kind for finding in part.findings} - known
    assert more <= {"lift-below-back-pressure", "drive-flow", "ram-outruns-spring"}
    assert headline(part).fall_m == headline(whole).fall_m
    assert compare([whole, part]).against == "main"
