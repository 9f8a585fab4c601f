"""Tanks that run into one another, taps on the ram's delivery, open ends that get nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from terrain_head.assessment.finding import Finding
from terrain_head.assessment.judge import judge
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Opening, Parts
from terrain_head.scheme.solver import solve
from tests.scheme.hills import HEIGHTS, hill, outlet, ram_parts, run, tank


def told(parts: Parts, heights_m: Mapping[str, float], *, kind: str) -> list[Finding]:
    ground = hill(parts, heights_m)
    layout = lay_out(parts, ground=ground)
    everything = judge(
        ground=ground,
        layout=layout,
        solution=solve(layout),
        elevations=None,
        grid=None,
        spread={},
    )
    return [one for one in everything if one.kind == kind]


def two_tanks(*, fittings: Mapping[str, int] | None = None) -> Parts:
    return Parts(
        tanks=(tank("upper", "knoll"), tank("lower", "shelf")),
        pipes=(
            run("from upper", "tank.upper", "tee"),
            run("from lower", "tank.lower", "tee", fittings=fittings),
            run("down", "tee", "house"),
        ),
        outlets=(outlet("house", needs_pa=None),),
    )


TWO = {"knoll": 118.0, "shelf": 110.0, "tee": 105.0, "house": 100.0}


def test_the_higher_of_two_tanks_runs_into_the_lower() -> None:
    (finding,) = told(two_tanks(), TWO, kind="tank-runs-over")
    assert finding.texts["tank"] == "lower"
    assert finding.where.place == "shelf"
    assert finding.value is not None
    assert finding.value > 0


def test_a_check_valve_or_equal_levels_hold_it() -> None:
    checked = two_tanks(fittings={"check valve swing": 1})
    assert told(checked, TWO, kind="tank-runs-over") == []
    assert told(two_tanks(), TWO | {"shelf": 118.0}, kind="tank-runs-over") == []


def test_a_tap_on_the_delivery_must_leave_it_open() -> None:
    plain = ram_parts()
    first, last = run("rise", "ram", "bend"), run("delivery", "bend", "tank")
    tapped = replace(
        plain,
        ram=None if plain.ram is None else replace(plain.ram, delivery="rise"),
        pipes=(plain.pipes[0], first, last),
        outlets=(outlet("tap", place="bend", flow_m3_s=1e-5, needs_pa=None),),
    )
    (finding,) = told(tapped, HEIGHTS, kind="delivery-tapped")
    assert (finding.severity, finding.texts["outlets"]) == ("care", "tap")
    assert (finding.where.pipe, finding.where.outlet) == ("rise", "tap")
    assert told(plain, HEIGHTS, kind="delivery-tapped") == []


@pytest.mark.parametrize(("house_m", "dry"), [(100.0, 0), (130.0, 1)])
def test_an_open_end_that_gets_nothing_is_dry(house_m: float, dry: int) -> None:
    end = replace(outlet("house", flow_m3_s=None, needs_pa=None), opens=Opening())
    parts = Parts(tanks=(tank(),), pipes=(run("down", "tank", "house"),), outlets=(end,))
    findings = told(parts, {"knoll": 118.0, "house": house_m}, kind="outlet-dry")
    assert len(findings) == dry
    assert all((one.severity, one.value) == ("stop", 0.0) for one in findings)
