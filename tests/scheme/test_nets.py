"""Lines whose flows follow from heads, against an independent solution of the raw equations."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pytest
from fluids.friction import friction_factor
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import brentq, root

from terrain_head.scheme.changes import with_values
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.lines import lines_of
from terrain_head.scheme.nets import LineNet
from terrain_head.scheme.parts import Opening, Outlet, Parts, Ram, Seep, Source
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from terrain_head.scheme.supply import groups_of
from terrain_head.scheme.supply_net import SupplyNet
from tests.scheme.hills import HEIGHTS, hill, known, m, outlet, ram_hill, ram_parts, run, tank

G = 9.80665
WATER = Water.at(10.0)


def laid(parts: Parts, heights_m: Mapping[str, float]) -> Layout:
    return lay_out(parts, ground=hill(parts, heights_m))


def loss_m(
    flow: float, *, length_m: float, bore_m: float, rough_m: float = 7e-6, k: float = 0.0
) -> float:
    """Return a pipe's loss by scalar functions of another library, signed like the flow."""
    if flow == 0:
        return 0.0
    speed = abs(flow) / (math.pi / 4 * bore_m**2)
    reynolds = speed * bore_m / WATER.viscosity_m2_s
    assert reynolds < 2000 or reynolds > 4000
    factor = friction_factor(Re=reynolds, eD=rough_m / bore_m)
    head = (factor * length_m / bore_m + k) * speed**2 / (2 * G)
    return math.copysign(head, flow)


def open_end(name: str, *, place: str | None = None, height_m: float = 0.0) -> Outlet:
    return replace(
        outlet(name, place=place, flow_m3_s=None, needs_pa=None, height_m=height_m),
        opens=Opening(),
    )


def dripper(
    name: str, *, exponent: float = 0.5, count: int = 1, needs: float | None = None
) -> Outlet:
    opens = Opening(gives_m3_s=m(1e-4), at_pa=m(1e5), exponent=exponent, count=count)
    return replace(outlet(name, flow_m3_s=None, needs_pa=needs), opens=opens)


RING_HEIGHTS = {"knoll": 100.0, "fork": 80.0, "house": 75.0, "beds": 70.0}
RING = Parts(
    tanks=(tank(),),
    pipes=(
        run("main", "tank", "fork", length_m=120.0),
        run("left", "fork", "house", length_m=60.0),
        run("right", "fork", "beds", length_m=90.0),
        run("round", "house", "beds", length_m=50.0, bore_m=0.0204),
    ),
    outlets=(
        outlet("house", flow_m3_s=2.5e-4, needs_pa=None),
        outlet("beds", flow_m3_s=4e-4, needs_pa=None),
    ),
)


def test_a_ring_parts_its_flow_as_the_raw_equations_do() -> None:
    solution = solve(laid(RING, RING_HEIGHTS))
    house, beds = 2.5e-4, 4e-4

    def round_error(left: float) -> float:
        right = house + beds - left
        way_left = loss_m(left, length_m=60.0, bore_m=0.026)
        way_round = loss_m(left - house, length_m=50.0, bore_m=0.0204)
        return way_left + way_round - loss_m(right, length_m=90.0, bore_m=0.026)

    left = brentq(round_error, 3.4e-4, house + beds - 1.1e-4, xtol=1e-16)
    flows = {
        name: known(pipe.flow_m3_s)
        for name, pipe in solution.pipes.items()
        if pipe.flow_m3_s is not None
    }
    assert flows["left"] == pytest.approx(left, rel=1e-7)
    assert flows["right"] == pytest.approx(house + beds - left, rel=1e-7)
    assert flows["main"] == pytest.approx(house + beds, rel=1e-9)
    assert flows["left"] - flows["round"] == pytest.approx(house, rel=1e-9)
    main = loss_m(house + beds, length_m=120.0, bore_m=0.026, k=0.5)
    fork_m = 100.2 - main
    beds_m = fork_m - loss_m(flows["right"], length_m=90.0, bore_m=0.026)
    speed_m = (beds / (math.pi / 4 * 0.026**2)) ** 2 / (2 * G)
    expected = float(WATER.pressure_pa(beds_m - speed_m - 70.0))
    assert solution.outlets["beds"].running_low_pa == pytest.approx(expected, abs=0.02)


def test_a_tree_solved_as_a_net_is_the_same_tree() -> None:
    layout = lay_out(ram_parts(), ground=ram_hill(ram_parts()))
    tree = solve(layout)
    (line,) = lines_of(layout, "supply")
    net = SupplyNet(layout, line, water=WATER, groups=groups_of(layout), work=None, inflow_m3_s={})
    for group in groups_of(layout):
        state = net.state(group, level="low")
        for name, pressure_pa in state.pressure_pa.items():
            assert pressure_pa == pytest.approx(tree.outlets[name].running_low_pa, abs=0.02)
        for name, grade in state.lines.items():
            assert grade.total_head_m == pytest.approx(tree.by_group[name][group].total_head_m)


def test_the_stand_a_net_asks_for_is_the_one_that_does() -> None:
    wants = (
        outlet("house", flow_m3_s=2.5e-4, needs_pa=2.6e5),
        outlet("beds", flow_m3_s=4e-4, needs_pa=3.1e5),
    )
    layout = laid(replace(RING, outlets=wants), RING_HEIGHTS)
    solution = solve(layout)
    for want in wants:
        stand_m = solution.outlets[want.name].stand_needed_m
        assert stand_m is not None
        assert float(stand_m) > 0
        raised = solve(with_values(layout, stand_m={"tank": stand_m}))
        assert want.needs_pa is not None
        assert raised.outlets[want.name].running_low_pa == pytest.approx(want.needs_pa.value, abs=2)


def test_draws_of_a_ring_are_each_the_answer_alone() -> None:
    layout = laid(RING, RING_HEIGHTS)
    bores = np.array([0.024, 0.026, 0.028])
    together = solve(with_values(layout, inside_m={"left": bores}))
    for number, bore in enumerate(bores):
        alone = solve(with_values(layout, inside_m={"left": bore}))
        for name in ("house", "beds"):
            pressures = together.outlets[name].running_low_pa
            assert pressures is not None
            assert pressures[number] == pytest.approx(alone.outlets[name].running_low_pa, rel=1e-10)


def test_an_open_end_runs_out_all_its_head() -> None:
    parts = Parts(
        tanks=(tank(lowest_m=0.2),),
        pipes=(run("main", "tank", "trough", length_m=80.0),),
        outlets=(open_end("trough"),),
    )
    solution = solve(laid(parts, {"knoll": 30.0, "trough": 20.0}))
    flow = known(solution.outlets["trough"].flow_m3_s)
    assert loss_m(flow, length_m=80.0, bore_m=0.026, k=1.5) == pytest.approx(10.2, abs=1e-6)
    assert solution.outlets["trough"].running_low_pa is None
    main = solution.pipes["main"].running
    assert main is not None
    assert float(main.pressure_head_m[-1]) == pytest.approx(0.0, abs=1e-6)


def test_an_open_end_above_the_water_gives_nothing_and_the_rest_goes_on() -> None:
    parts = replace(RING, outlets=(*RING.outlets, open_end("loft", place="house", height_m=30.0)))
    solution = solve(laid(parts, RING_HEIGHTS))
    plain = solve(laid(RING, RING_HEIGHTS))
    assert known(solution.outlets["loft"].flow_m3_s) == 0.0
    assert solution.outlets["beds"].running_low_pa == pytest.approx(
        plain.outlets["beds"].running_low_pa, abs=0.05
    )


@pytest.mark.parametrize("exponent", [0.3, 0.5, 1.0])
def test_a_dripper_gives_what_its_measured_pair_says(exponent: float) -> None:
    parts = Parts(
        tanks=(tank(),),
        pipes=(run("main", "tank", "rows", length_m=80.0),),
        outlets=(dripper("rows", exponent=exponent, count=3),),
    )
    result = solve(laid(parts, {"knoll": 30.0, "rows": 20.0})).outlets["rows"]
    assert result.running_low_pa is not None
    assert result.flow_m3_s is not None
    pressure, flow = float(result.running_low_pa), float(result.flow_m3_s)
    assert flow == pytest.approx(3e-4 * (pressure / 1e5) ** exponent, rel=1e-7)
    speed_m = (flow / (math.pi / 4 * 0.026**2)) ** 2 / (2 * G)
    left_m = 10.2 - loss_m(flow, length_m=80.0, bore_m=0.026, k=0.5) - speed_m
    assert pressure == pytest.approx(float(WATER.pressure_pa(left_m)), abs=0.1)


TWO = (
    tank("upper", "knoll"),
    tank("lower", "shelf"),
)


def between_tanks(flow: float, *, check: bool = False) -> Solution:
    fittings = {"check valve swing": 1} if check else {}
    parts = Parts(
        tanks=TWO,
        pipes=(
            run("a", "tank.upper", "house", length_m=100.0),
            run("b", "tank.lower", "house", length_m=100.0, fittings=fittings),
        ),
        outlets=(outlet("house", flow_m3_s=flow, needs_pa=None),),
    )
    return solve(laid(parts, {"knoll": 103.0, "shelf": 100.0, "house": 80.0}))


def test_two_tanks_feed_one_outlet_each_by_its_head() -> None:
    solution = between_tanks(1.6e-3)
    flows = [known(solution.pipes[name].flow_m3_s) for name in "ab"]
    assert sum(flows) == pytest.approx(1.6e-3, rel=1e-9)
    losses = [loss_m(flow, length_m=100.0, bore_m=0.026, k=0.5) for flow in flows]
    assert losses[0] - losses[1] == pytest.approx(3.0, abs=1e-6)
    assert flows[0] > flows[1] > 0


def test_the_higher_tank_runs_into_the_lower_one_unless_a_check_valve_holds() -> None:
    loose, held = between_tanks(2e-4), between_tanks(2e-4, check=True)
    assert known(loose.pipes["b"].flow_m3_s) < -1e-4
    assert known(held.pipes["a"].flow_m3_s) == pytest.approx(2e-4, rel=1e-9)
    assert held.pipes["b"].flow_m3_s is None or known(held.pipes["b"].flow_m3_s) == 0.0


def parting(flow: float | None) -> Solution:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=None if flow is None else m(flow)),
        tanks=TWO,
        pipes=(
            run("a", "source", "fork", length_m=50.0),
            run("b", "fork", "tank.upper", length_m=60.0),
            run("c", "fork", "tank.lower", length_m=90.0),
        ),
    )
    heights = {"spring": 110.0, "fork": 104.0, "knoll": 101.0, "shelf": 100.0}
    return solve(laid(parts, heights))


def test_a_source_that_gives_plenty_fills_two_tanks_by_their_heads() -> None:
    solution = parting(1.0)
    into = {name: known(one.inflow_m3_s) for name, one in solution.tanks.items()}
    a = sum(into.values())
    fork_m = 110.0 - loss_m(a, length_m=50.0, bore_m=0.026, k=0.5)
    upper_m = loss_m(into["upper"], length_m=60.0, bore_m=0.026, k=1.0)
    lower_m = loss_m(into["lower"], length_m=90.0, bore_m=0.026, k=1.0)
    assert fork_m - upper_m == pytest.approx(102.6, abs=1e-6)
    assert fork_m - lower_m == pytest.approx(101.6, abs=1e-6)


def test_no_more_comes_into_the_tanks_than_the_source_gives() -> None:
    plenty, scant = parting(1.0), parting(3e-4)
    into = [known(one.inflow_m3_s) for one in scant.tanks.values()]
    assert sum(into) == pytest.approx(3e-4, rel=1e-8)
    free = sum(known(one.inflow_m3_s) for one in plenty.tanks.values())
    assert known(scant.gravity_capacity_m3_s["a"]) == pytest.approx(free, rel=1e-9)
    head = scant.pipes["a"].running
    assert head is not None
    assert np.all(head.pressure_head_m >= -1e-9)


def test_without_the_source_s_flow_the_inflow_is_not_known() -> None:
    solution = parting(None)
    assert [one.inflow_m3_s for one in solution.tanks.values()] == [None, None]
    assert "flow" in solution.not_asked


def on_the_way(*, inlet_m: float, house_flow: float) -> Solution:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(4e-4)),
        tanks=(tank(inlet_m=inlet_m, lowest_m=0.2),),
        pipes=(
            run("a", "source", "house", length_m=150.0),
            run("b", "house", "tank", length_m=90.0),
        ),
        outlets=(outlet("house", flow_m3_s=house_flow, needs_pa=None),),
    )
    return solve(laid(parts, {"spring": 112.0, "house": 90.0, "knoll": 101.0}))


def test_a_tank_filled_from_above_gives_nothing_back_and_one_from_below_does() -> None:
    top, bottom = (on_the_way(inlet_m=level, house_flow=9e-4) for level in (1.6, 0.1))
    for solution in (top, bottom):
        assert known(solution.tanks["tank"].inflow_m3_s) == pytest.approx(4e-4, rel=1e-7)
    assert known(bottom.by_group["b"]["all"].flow_m3_s) == pytest.approx(-5e-4, rel=1e-6)
    low, high = (one.outlets["house"].running_low_pa for one in (top, bottom))
    assert low is not None
    assert high is not None
    assert float(low) < float(high)


HOUSE_ON_THE_WAY = replace(
    ram_parts(),
    pipes=(
        *(pipe for pipe in ram_parts().pipes if pipe.name != "delivery"),
        run("delivery", "ram", "fork", length_m=60.0),
        run("rest", "fork", "tank", length_m=60.0),
        run("branch", "fork", "cabin", length_m=30.0),
    ),
    outlets=(*ram_parts().outlets, outlet("cabin", flow_m3_s=2e-5, needs_pa=None)),
    together={"cabin": ("cabin",)},
)


def test_a_house_on_the_delivery_takes_its_part_of_what_the_ram_lifts() -> None:
    heights = {**HEIGHTS, "fork": 104.0, "cabin": 102.0}
    layout = laid(HOUSE_ON_THE_WAY, heights)
    solution = solve(layout)
    straight = replace(
        HOUSE_ON_THE_WAY,
        pipes=tuple(pipe for pipe in HOUSE_ON_THE_WAY.pipes if pipe.name != "branch"),
        outlets=ram_parts().outlets,
    )
    alone = solve(laid(straight, heights))
    assert solution.ram is not None
    assert alone.ram is not None
    assert solution.ram.delivered_m3_s == pytest.approx(alone.ram.delivered_m3_s)
    assert solution.tanks["tank"].inflow_m3_s == pytest.approx(alone.tanks["tank"].inflow_m3_s)
    flows = {
        name: known(solution.by_group[name]["cabin"].flow_m3_s)
        for name in ("delivery", "rest", "branch")
    }
    assert flows["branch"] == pytest.approx(2e-5, rel=1e-9)
    assert flows["delivery"] == pytest.approx(flows["rest"] + 2e-5, rel=1e-9)
    assert flows["delivery"] >= known(solution.ram.delivered_m3_s) * (1 - 1e-9)


def seeps(*, own: float | None, pipe_bore_m: float = 0.026) -> Solution:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=None if own is None else m(own)),
        seeps=(
            Seep(name="left", place="alder", flow_m3_s=m(5e-5)),
            Seep(name="right", place="willow", flow_m3_s=m(8e-5)),
        ),
        ram=Ram(place="hollow", built="bought"),
        tanks=(tank(),),
        pipes=(
            run("left", "seep.left", "source", length_m=20.0),
            run("right", "seep.right", "source", length_m=20.0, bore_m=pipe_bore_m),
            run("drive", "source", "ram", length_m=20.0),
            run("delivery", "ram", "tank", length_m=60.0),
        ),
    )
    heights = {"spring": 100.0, "alder": 101.0, "willow": 102.0, "hollow": 97.0, "knoll": 110.0}
    return solve(laid(parts, heights))


def test_seeps_add_what_they_give_to_the_source() -> None:
    assert known(seeps(own=3e-4).layout.source_flow_m3_s) == pytest.approx(4.3e-4, rel=1e-9)
    assert known(seeps(own=None).layout.source_flow_m3_s) == pytest.approx(1.3e-4, rel=1e-9)


def test_a_seep_brings_no_more_than_its_pipe_carries() -> None:
    narrow = seeps(own=3e-4, pipe_bore_m=0.006)
    brought = known(narrow.layout.source_flow_m3_s) - 3.5e-4
    assert 0 < brought < 8e-5
    assert known(narrow.gravity_capacity_m3_s["right"]) == pytest.approx(brought, rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(
    shift_m=st.floats(-500, 500),
    flows=st.lists(st.floats(1e-5, 8e-4), min_size=2, max_size=2),
    bore_m=st.floats(0.012, 0.06),
)
def test_a_constant_added_to_the_datum_changes_no_pressure_in_a_ring(
    shift_m: float, flows: Sequence[float], bore_m: float
) -> None:
    outlets = tuple(
        outlet(name, flow_m3_s=flow, needs_pa=None)
        for name, flow in zip(("house", "beds"), flows, strict=True)
    )
    pipes = (*RING.pipes[:3], run("round", "house", "beds", length_m=50.0, bore_m=bore_m))
    parts = replace(RING, outlets=outlets, pipes=pipes)
    here = solve(laid(parts, RING_HEIGHTS))
    there = solve(laid(parts, {name: one + shift_m for name, one in RING_HEIGHTS.items()}))
    for name in ("house", "beds"):
        first, second = here.outlets[name].running_low_pa, there.outlets[name].running_low_pa
        assert first == pytest.approx(second, abs=0.1)


def test_a_net_through_scipy_s_root_gives_the_same_heads() -> None:
    layout = laid(replace(RING, outlets=(*RING.outlets, dripper("fork"))), RING_HEIGHTS)
    (line,) = lines_of(layout, "supply")
    net = LineNet(layout, line, water=WATER)
    case = net.run(frozenset({"house", "beds", "fork"}), level_m={"tank": np.asarray(100.2)})

    def errors(flows: NDArray[np.float64], /) -> NDArray[np.float64]:
        main, left, right, across, drip = (flow * 1e-4 for flow in flows)
        fork = 100.2 - loss_m(main, length_m=120.0, bore_m=0.026, k=0.5)
        house = fork - loss_m(left, length_m=60.0, bore_m=0.026)
        way = loss_m(right, length_m=90.0, bore_m=0.026)
        speed_m = (drip / (math.pi / 4 * 0.026**2)) ** 2 / (2 * G)
        pressure = float(WATER.pressure_pa(fork - speed_m - 80.0))
        return np.array(
            [
                (main - left - right - drip) * 1e4,
                (left - across - 2.5e-4) * 1e4,
                (right + across - 4e-4) * 1e4,
                house - loss_m(across, length_m=50.0, bore_m=0.0204) - (fork - way),
                (drip - 1e-4 * (pressure / 1e5) ** 0.5) * 1e4,
            ]
        )

    found = root(errors, [7.5, 3.5, 3.0, 1.0, 1.4], tol=1e-13)
    assert found.success
    names = ("main", "left", "right", "round")
    for name, flow in zip(names, found.x[:4], strict=True):
        assert float(case.flow_m3_s[name]) == pytest.approx(flow * 1e-4, rel=1e-7)
    assert float(case.outlet_m3_s["fork"]) == pytest.approx(found.x[4] * 1e-4, rel=1e-7)
