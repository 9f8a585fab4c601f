"""Findings over every running case of a pipe, and the pressures that its still water hides."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

import pytest

from terrain_head.assessment.finding import Finding
from terrain_head.assessment.judge import judge
from terrain_head.assessment.rating_findings import beat_pa
from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Parts, Ram, Source
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from tests.assessment.builders import evidence_of, found, with_ram_result, with_spec
from tests.scheme.hills import hill, m, outlet, run, tank


def findings_of(
    parts: Parts,
    heights_m: Mapping[str, float],
    *,
    between: Mapping[str, Sequence[float]] | None = None,
    plan_m: Mapping[str, float] | None = None,
) -> tuple[Finding, ...]:
    ground = hill(parts, heights_m, between=between, plan_m=plan_m)
    layout = lay_out(parts, ground=ground)
    return judge(
        ground=ground,
        layout=layout,
        solution=solve(layout),
        elevations=None,
        grid=None,
        spread={},
    )


def branched(*, near_m3_s: float, far_m3_s: float) -> Parts:
    """Return a trunk to a tee and a line from there over a rise, drawn on by two groups."""
    return Parts(
        tanks=(tank(stand_m=0.0, lowest_m=0.5),),
        pipes=(
            run("trunk", "tank", "tee"),
            run("side", "tee", "side", bore_m=0.0326),
            run("line", "tee", "end"),
        ),
        outlets=(
            outlet("side", flow_m3_s=near_m3_s),
            outlet("drip", place="end", flow_m3_s=2e-5),
            outlet("hose", place="end", flow_m3_s=far_m3_s),
        ),
        together={"a": ("side", "drip"), "b": ("hose",)},
    )


BRANCHED = {"knoll": 100.0, "tee": 90.0, "side": 80.0, "end": 60.0}


def test_a_summit_that_only_another_group_sucks_dry_is_found() -> None:
    """The group with the hose leaves least head at the end; the other draws the tee down."""
    parts = branched(near_m3_s=6e-4, far_m3_s=3e-4)
    told = findings_of(
        parts, BRANCHED, between={"line": [95.0, 70.0]}, plan_m={"trunk": 100.0, "line": 400.0}
    )
    negative = [one for one in told if one.kind == "pressure-negative" and one.where.pipe == "line"]
    assert ["a"] == [one.texts["group"] for one in negative]
    assert negative[0].value is not None
    assert negative[0].value < 0


def test_the_fastest_group_is_judged_for_its_speed() -> None:
    """1.7 m/s through 26 mm while the hose runs alone; the other group leaves less head."""
    parts = branched(near_m3_s=1.2e-3, far_m3_s=9e-4)
    told = findings_of(parts, BRANCHED, plan_m={"trunk": 100.0, "line": 5.0})
    fast = [one.value for one in told if one.kind == "velocity-high" and one.where.pipe == "line"]
    assert [pytest.approx(1.695, abs=1e-3)] == fast


def test_a_tank_emptied_to_its_floor_lets_air_in_but_condemns_no_pipe() -> None:
    parts = Parts(
        tanks=(tank(stand_m=0.0, lowest_m=0.0),),
        pipes=(run("line", "tank", "beds"),),
        outlets=(outlet("beds"),),
    )
    told = findings_of(parts, {"knoll": 120.0, "beds": 100.0})
    assert [one for one in told if one.severity == "stop"] == []
    (shallow,) = [one for one in told if one.kind == "intake-shallow"]
    assert shallow.value == pytest.approx(0.0, abs=1e-9)
    assert shallow.where.place == "knoll"


def fed_parts(*, bore_m: float) -> Parts:
    return Parts(
        source=Source(place="spring", flow_m3_s=m(6e-4), season="dry"),
        ram=Ram(place="hollow", efficiency=m(0.6), feed=("feed",)),
        tanks=(tank(place="knoll"),),
        pipes=(
            run("feed", "source", "box", bore_m=bore_m),
            run("drive", "box", "ram", bore_m=0.0525),
            run("delivery", "ram", "tank"),
        ),
    )


FED = {"spring": 100.0, "box": 99.0, "hollow": 96.0, "knoll": 120.0}


@pytest.mark.parametrize(("bore_m", "starved"), [(0.016, True), (0.026, True), (0.0514, False)])
def test_a_feed_pipe_too_thin_is_blamed_not_the_place_of_the_ram(
    bore_m: float, starved: bool
) -> None:
    told = findings_of(fed_parts(bore_m=bore_m), FED)
    assert [one for one in told if one.kind in {"fall-negative", "fall-too-small"}] == []
    negative = [one.where.pipe for one in told if one.kind == "pressure-negative"]
    assert (["feed"] if starved else []) == negative


@pytest.mark.parametrize(
    ("rating_pa", "kind"),
    [(2.4e5, "pressure-over-rating"), (3e5, "pressure-near-rating"), (3.5e5, None)],
)
def test_each_beat_puts_the_delivery_head_on_the_drive_pipe(
    rating_pa: float, kind: str | None
) -> None:
    """24.5 m of lift and 0.5 m of loss: 245 kPa, where still water presses with 200 kPa."""
    evidence = with_spec(evidence_of(), "drive", rating_pa=rating_pa)
    told = [
        one
        for name in ("pressure-over-rating", "pressure-near-rating")
        for one in found(evidence, name)
    ]
    assert ([] if kind is None else [(kind, "beat")]) == [
        (one.kind, one.texts["case"]) for one in told
    ]
    for one in told:
        assert one.value == pytest.approx(25.0 * 999.7 * STANDARD_GRAVITY_M_S2, rel=1e-5)


def test_without_a_lift_no_beat_is_known() -> None:
    assert beat_pa(with_ram_result(evidence_of(), lift_m=None)) == 0.0
    assert beat_pa(dataclasses.replace(evidence_of(), solution=no_ram())) == 0.0


def no_ram() -> Solution:
    return dataclasses.replace(evidence_of().solution, ram=None)


def test_a_hump_in_one_leg_of_a_ring_is_found() -> None:
    """Both legs end at 80 m; one rises to 99.5 m, where friction leaves less than that."""
    ring = Parts(
        tanks=(tank(stand_m=0.0, lowest_m=0.5),),
        pipes=(
            run("main", "tank", "fork"),
            run("over", "fork", "yard"),
            run("round", "fork", "yard", bore_m=0.0204),
        ),
        outlets=(outlet("yard", flow_m3_s=6e-4, needs_pa=None),),
    )
    heights = {"knoll": 100.0, "fork": 90.0, "yard": 80.0}
    between = {"over": [99.5], "round": [85.0]}
    (finding,) = [
        one
        for one in findings_of(ring, heights, between=between)
        if one.kind == "pressure-negative"
    ]
    assert (finding.where.pipe, finding.where.station_m) == ("over", 50.0)
    flat = findings_of(ring, heights, between={"over": [85.0], "round": [85.0]})
    assert [one for one in flat if one.kind == "pressure-negative"] == []


def test_a_hump_on_a_delivery_with_a_tap_on_it_is_found() -> None:
    """With the tap open the ram pushes less high: the line comes down below the hump."""
    tapped = Parts(
        source=Source(place="spring", flow_m3_s=m(1e-3)),
        ram=Ram(place="ram", efficiency=m(0.6), delivery="rise"),
        tanks=(tank(inlet_m=1.5),),
        pipes=(
            run("drive", "source", "ram", bore_m=0.0525),
            run("rise", "ram", "tee"),
            run("on", "tee", "tank"),
        ),
        outlets=(outlet("tap", place="tee", flow_m3_s=3e-4, needs_pa=None),),
    )
    heights = {"spring": 100.0, "ram": 95.0, "tee": 98.0, "knoll": 118.0}
    findings = findings_of(tapped, heights, between={"rise": [112.0]})
    spots = [one.where.pipe for one in findings if one.kind == "pressure-negative"]
    assert "rise" in spots
