"""What must hold of the heads and flows of any net."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from terrain_head.scheme.heads import Net, NetFlow, solve_heads
from terrain_head.scheme.heads_stated import NoWayForWaterError
from tests.scheme.invented_nets import NAN, WATER, Drawing, columns_of, decked, plain

numbers = st.integers(0, 10**6)
rings = st.integers(0, 3)
few = settings(max_examples=25, deadline=None)


def answer(net: Net) -> NetFlow:
    try:
        return solve_heads(net)
    except NoWayForWaterError:
        assume(condition=False)
        raise


def close(first: NetFlow, second: NetFlow) -> None:
    size = max(float(np.abs(first.flow_m3_s).max()), 1e-9)
    np.testing.assert_allclose(first.flow_m3_s, second.flow_m3_s, rtol=1e-6, atol=1e-6 * size)


@few
@given(numbers, rings, st.floats(-500, 3000))
def test_a_constant_added_to_all_fixed_heads_changes_no_flow(
    number: int, ring: int, more: float
) -> None:
    net = decked(number, rings=ring).net()
    here = answer(net)
    there = solve_heads(replace(net, fixed_head_m=np.asarray(net.fixed_head_m) + more))
    close(here, there)
    np.testing.assert_allclose(here.head_m + more, there.head_m, rtol=0, atol=1e-6)


@few
@given(numbers, rings)
def test_head_never_rises_in_the_direction_of_flow(number: int, ring: int) -> None:
    net = decked(number, rings=ring).net()
    found, a = answer(net), columns_of(net)
    fall = found.head_m[a["start"]] - found.head_m[a["end"]]
    passive = ~(a["lift_m4_s"] > 0)
    assert np.all((fall * np.sign(found.flow_m3_s))[passive] >= -1e-9)
    assert np.all(fall[~passive] < 0)


@few
@given(numbers, rings)
def test_held_back_water_never_flows_and_would_if_let(number: int, ring: int) -> None:
    net = decked(number, rings=ring).net()
    found, a = answer(net), columns_of(net)
    held = a["one_way"]
    assert np.all(found.flow_m3_s[held] >= 0)
    shut = held & (found.flow_m3_s == 0)
    fall = found.head_m[a["start"]] - found.head_m[a["end"]]
    assert np.all(fall[shut] <= 1e-6)


@few
@given(numbers, rings, st.floats(0.01, 30.0))
def test_a_higher_tank_never_lowers_a_head(number: int, ring: int, more: float) -> None:
    net = decked(number, rings=ring, emitters=False).net()
    here = answer(net)
    fixed = np.array(net.fixed_head_m)
    fixed[0] += more
    assert np.all(solve_heads(replace(net, fixed_head_m=fixed)).head_m >= here.head_m - 1e-7)


@few
@given(numbers, st.floats(1.01, 5.0))
def test_a_longer_pipe_loses_more(number: int, longer: float) -> None:
    net = plain(number).net()
    here = solve_heads(net)
    there = solve_heads(replace(net, length_m=np.asarray(net.length_m) * longer))
    assert np.all(there.head_m <= here.head_m + 1e-9)
    assert there.head_m.min() < here.head_m.min() or not np.any(here.flow_m3_s)


@few
@given(numbers, rings, st.floats(0.05, 0.95))
def test_cutting_a_pipe_in_two_changes_nothing(number: int, ring: int, share: float) -> None:
    whole = decked(number, rings=ring)
    here = answer(whole.net())
    link = whole.links[0]
    middle, length, drag = whole.node(), link["length_m"], link["loss_coefficient"]
    end = link["end"]
    rest = {"length_m": length * (1 - share), "loss_coefficient": drag * (1 - share)}
    whole.links[0] = link | {
        "end": middle, "length_m": length * share, "loss_coefficient": drag * share,
    }  # fmt: skip
    whole.link(middle, end, **{k: v for k, v in (link | rest).items() if k not in {"start", "end"}})
    there = solve_heads(whole.net())
    np.testing.assert_allclose(here.head_m, there.head_m[:-1], rtol=0, atol=1e-6)


def with_draws(net: Net, number: int, draws: int) -> Net:
    random, a = np.random.default_rng(number), columns_of(net)

    def spread(name: str) -> np.ndarray:
        return np.asarray(a[name] * random.uniform(0.9, 1.1, (draws, a[name].size)))

    return replace(
        net,
        fixed_head_m=a["fixed_head_m"] + random.normal(0, 0.5, (draws, a["fixed_head_m"].size)),
        drawn_m3_s=spread("drawn_m3_s"),
        inside_m=spread("inside_m"),
        roughness_m=spread("roughness_m"),
        lift_m4_s=spread("lift_m4_s"),
    )


def one_draw(net: Net, row: int) -> Net:
    narrow = {name: value[row] for name, value in columns_of(net).items() if value.ndim > 1}
    return replace(net, **narrow)


@pytest.mark.parametrize(("number", "most"), [(3, 14), (8, 14), (21, 14), (5, 120)])
def test_draws_together_are_draws_alone(number: int, most: int) -> None:
    """To 1e-12, whether the net is solved as a full or as a sparse matrix; twice the same."""
    net = with_draws(decked(number, rings=2, most=most).net(), number, 12)
    found = solve_heads(net)
    assert found.head_m.shape[0] == found.flow_m3_s.shape[0] == 12
    again = solve_heads(net)
    np.testing.assert_array_equal(found.head_m, again.head_m)
    np.testing.assert_array_equal(found.flow_m3_s, again.flow_m3_s)
    for row in range(12):
        alone = solve_heads(one_draw(net, row))
        size = np.abs(alone.flow_m3_s).max()
        np.testing.assert_allclose(found.head_m[row], alone.head_m, rtol=1e-12)
        np.testing.assert_allclose(
            found.flow_m3_s[row], alone.flow_m3_s, rtol=1e-12, atol=1e-12 * size
        )


def test_full_and_sparse_matrices_agree(monkeypatch: pytest.MonkeyPatch) -> None:
    net = decked(40, rings=3).net()
    full = solve_heads(net)
    monkeypatch.setattr("terrain_head.scheme.heads_joints.MOST_DENSE", 1)
    sparse = solve_heads(net)
    np.testing.assert_allclose(full.head_m, sparse.head_m, rtol=0, atol=1e-8)


@few
@given(numbers, rings)
def test_still_water_stands_level(number: int, ring: int) -> None:
    drawing = plain(number, rings=ring)
    found = solve_heads(drawing.net(drawn_m3_s=0.0))
    np.testing.assert_array_equal(found.flow_m3_s, 0.0)
    np.testing.assert_allclose(found.head_m, drawing.fixed[0], rtol=0, atol=1e-12)


@few
@given(numbers, st.floats(1e-9, 1e-7))
def test_a_trickle_is_found_as_well(number: int, trickle: float) -> None:
    """So slow that all pipes are laminar: losses are in proportion, fittings aside."""
    drawing = plain(number, rings=2)
    drawn = np.where(np.asarray(drawing.drawn) > 0, trickle, 0.0)
    found = solve_heads(drawing.net(drawn_m3_s=drawn, loss_coefficient=0.0))
    twice = solve_heads(drawing.net(drawn_m3_s=2 * drawn, loss_coefficient=0.0))
    np.testing.assert_allclose(2 * found.flow_m3_s, twice.flow_m3_s, rtol=1e-6, atol=1e-6 * trickle)


def test_level_tanks_exchange_nothing() -> None:
    drawing = Drawing(0)
    first, middle, last = drawing.node(fixed=7.0), drawing.node(), drawing.node(fixed=7.0)
    for one, other in ((first, middle), (middle, last)):
        drawing.link(one, other, inside_m=0.05, loss_coefficient=3.0)
    found = solve_heads(drawing.net())
    np.testing.assert_allclose(found.flow_m3_s, 0.0, atol=1e-9)
    np.testing.assert_allclose(found.head_m, 7.0, atol=1e-9)


def test_a_long_thin_and_a_short_fat_pipe_in_one_ring() -> None:
    drawing = Drawing(0)
    tank, tap = drawing.node(fixed=30.0), drawing.node(drawn=0.4e-3)
    thin = {"length_m": 4000.0, "inside_m": 0.006, "roughness_m": 7e-6}
    fat = {"length_m": 0.05, "inside_m": 0.3, "roughness_m": 7e-6}
    drawing.link(tank, tap, **thin)
    drawing.link(tank, tap, **fat)
    found = solve_heads(drawing.net())
    assert float(found.flow_m3_s.sum()) == pytest.approx(0.4e-3, rel=1e-9)
    assert float(found.flow_m3_s[1]) == pytest.approx(0.4e-3, rel=1e-6)


def test_what_shut_links_cut_off_has_no_head() -> None:
    drawing = Drawing(0)
    tank, beyond, end = drawing.node(fixed=5.0), drawing.node(), drawing.node()
    pipe = {"length_m": 10.0, "inside_m": 0.03}
    drawing.link(beyond, tank, one_way=True, **pipe)
    drawing.link(beyond, end, **pipe)
    drawing.link(drawing.node(fixed=9.0), drawing.node(fixed=9.5), one_way=True, **pipe)
    found = solve_heads(drawing.net())
    np.testing.assert_array_equal(found.flow_m3_s, 0.0)
    assert np.isnan(found.head_m[[beyond, end]]).all() or np.allclose(found.head_m[:3], 5.0)


def test_a_ram_that_stands_lets_nothing_through() -> None:
    drawing = Drawing(0)
    valve, ram, tank = drawing.node(fixed=0.0), drawing.node(), drawing.node(fixed=20.0)
    drawing.link(valve, ram, lift_m4_s=0.0)
    drawing.link(ram, tank, length_m=100.0, inside_m=0.02)
    found = solve_heads(drawing.net(lift_m4_s=[[0.0, NAN], [2e-3, NAN]]))
    np.testing.assert_array_equal(found.flow_m3_s[0], 0.0)
    assert found.head_m[0].tolist() == pytest.approx([0.0, 20.0, 20.0], abs=1e-9)
    assert float(found.flow_m3_s[1, 0] * found.head_m[1, 1]) == pytest.approx(2e-3, rel=1e-9)


def test_a_ram_with_no_way_out_is_refused() -> None:
    drawing = Drawing(0)
    valve, ram, end = drawing.node(fixed=0.0), drawing.node(), drawing.node()
    drawing.link(valve, ram, lift_m4_s=1e-3)
    drawing.link(ram, end, length_m=100.0, inside_m=0.02)
    with pytest.raises(NoWayForWaterError):
        solve_heads(drawing.net())


def test_a_ram_cannot_swallow_what_is_put_in() -> None:
    drawing = Drawing(0)
    valve, ram = drawing.node(fixed=0.0), drawing.node(drawn=-1e-3)
    drawing.link(valve, ram, lift_m4_s=1e-3)
    drawing.link(ram, drawing.node(drawn=1e-3), length_m=100.0, inside_m=0.02)
    with pytest.raises(NoWayForWaterError):
        solve_heads(drawing.net())


def test_viscosity_is_that_of_cool_water() -> None:
    """Guards the generator: the nets of these tests reach from laminar to rough flow."""
    speeds = []
    for number in range(50):
        net = plain(number).net()
        flow = np.abs(solve_heads(net).flow_m3_s)
        speeds.append(4 * flow / (np.pi * np.asarray(net.inside_m) * WATER))
    reynolds = np.concatenate(speeds)
    assert np.any((reynolds > 0) & (reynolds < 2000))
    assert np.any((reynolds > 2000) & (reynolds < 4000))
    assert np.any(reynolds > 2e4)
