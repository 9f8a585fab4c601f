"""Higher ground, a higher stand, a wider pipe: each does what it says, and no less would."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.assessment.ways_to_pressure import (
    WaysToPressure,
    same_kind,
    ways_to_pressure,
)
from terrain_head.base.measured import Measured
from terrain_head.files.pipe_spec import parse_spec
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Parts, PipeSpec, Source
from terrain_head.scheme.pipe_choice import Prices
from terrain_head.scheme.solver import solve
from tests.scheme.hills import hill, known, outlet, ram_hill, ram_parts, run, tank

METRE_PA = 999.7 * 9.80665


def pipe(text: str) -> PipeSpec:
    return parse_spec(text, where="x")[0]


def short_parts(
    *, needs_pa: float = 1.2e5, size: str = "20 mm", prices: Prices | None = None
) -> Parts:
    """Return a ram's tree whose house tap is short, its pipes of the table."""
    parts = ram_parts(stand_m=2.0)
    spec = pipe(f"PE100 {size} SDR 11")
    tap, beds = parts.outlets
    return replace(
        parts,
        pipes=tuple(
            one if one.name in {"drive", "delivery"} else replace(one, spec=spec)
            for one in parts.pipes
        ),
        outlets=(replace(tap, needs_pa=Measured(value=needs_pa)), replace(beds, needs_pa=None)),
        prices=prices or Prices(),
    )


def laid(parts: Parts) -> Layout:
    return lay_out(parts, ground=ram_hill(parts))


def tap_ways(parts: Parts) -> WaysToPressure:
    (ways,) = ways_to_pressure(solve(laid(parts)), drawn=None)
    assert ways.outlet == "tap"
    return ways


def tap_pa(layout: Layout) -> float:
    return known(solve(layout).outlets["tap"].running_low_pa)


def test_the_higher_stand_just_meets_the_need() -> None:
    parts = short_parts(size="25 mm")
    ways = tap_ways(parts)
    assert ways.stand is not None
    higher = with_values(laid(parts), stand_m={"tank": 2.0 + ways.stand.by_m})
    assert tap_pa(higher) == pytest.approx(1.2e5, abs=1.0)
    assert ways.short_pa == pytest.approx(1.2e5 - tap_pa(laid(parts)))


def test_the_higher_ground_just_meets_the_need_where_the_pipe_is_no_longer() -> None:
    parts = short_parts(size="25 mm")
    layout = laid(parts)
    ways = tap_ways(parts)
    assert ways.ground is not None
    metres = ways.ground.by_m
    assert metres == pytest.approx(ways.short_pa / METRE_PA, rel=1e-3)
    # A metre of stand is a metre of riser too, so it takes a little more of it.
    assert ways.stand is not None
    assert metres <= ways.stand.by_m
    index = layout.ground.names.index("knoll")
    heights = np.array(layout.ground.elevation_m)
    heights[index] += metres
    raised = with_values(layout, elevation_m=heights)
    assert tap_pa(raised) == pytest.approx(1.2e5, rel=2e-3)


def test_the_water_that_it_costs_is_that_of_the_solver() -> None:
    parts = short_parts(size="25 mm")
    ways = tap_ways(parts)
    assert ways.stand is not None
    higher = with_values(laid(parts), stand_m={"tank": 2.0 + ways.stand.by_m})
    before = known(solve(laid(parts)).tanks["tank"].inflow_m3_s)
    after = known(solve(higher).tanks["tank"].inflow_m3_s)
    assert ways.stand.water_lost_m3_s == pytest.approx(before - after)
    assert before > after


def test_the_one_wider_pipe_is_the_one_that_helps_most() -> None:
    parts = short_parts(size="25 mm")
    ways = tap_ways(parts)
    bore = pipe("PE100 32 mm SDR 11").inside_m.value
    gets = {name: tap_pa(with_values(laid(parts), inside_m={name: bore}))
            for name in ("main", "to house")}  # fmt: skip
    assert ways.one_size_up is not None
    assert ways.one_size_up.running_pa == pytest.approx(max(gets.values()))
    assert max(gets, key=lambda name: gets[name]) == ways.one_size_up.pipes[0][0]
    assert ways.one_size_up.pipes[0][2] == "PE100 ISO 4427 32 mm SDR 11"


@given(needs_pa=st.floats(5e4, 1.6e5))
def test_the_least_wider_pipes_do_and_no_cheaper_set_does(needs_pa: float) -> None:
    parts = short_parts(needs_pa=needs_pa)
    layout = laid(parts)
    found = ways_to_pressure(solve(layout), drawn=None)
    if not found:
        assert tap_pa(layout) >= needs_pa
        return
    sizes = same_kind(pipe("PE100 20 mm SDR 11"))
    bores = np.array([one.inside_m.value for one in sizes])
    first, second = (each.ravel() for each in np.meshgrid(bores, bores, indexing="ij"))
    solution = solve(with_values(layout, inside_m={"main": first, "to house": second}))
    running_pa = solution.outlets["tap"].running_low_pa
    assert running_pa is not None
    does = running_pa >= needs_pa
    lengths = [float(layout.pipes[name].length_m) for name in ("main", "to house")]
    cost = lengths[0] * first + lengths[1] * second
    least = found[0].least
    if least is None:
        assert not does.any()
        return
    named = {one.label: one.inside_m.value for one in sizes}
    now = {"main": bores[0], "to house": bores[0]} | {
        name: named[new] for name, _, new in least.pipes
    }
    mine = lengths[0] * now["main"] + lengths[1] * now["to house"]
    assert mine == pytest.approx(cost[does].min())
    assert least.meets
    assert least.running_pa >= needs_pa


def test_where_no_wider_pipe_does_none_is_named() -> None:
    ways = tap_ways(short_parts(needs_pa=1.9e5))
    assert ways.least is None
    assert ways.one_size_up is not None
    assert not ways.one_size_up.meets


def test_prices_are_for_what_is_added() -> None:
    labels = [one.label for one in same_kind(pipe("PE100 20 mm SDR 11"))]
    prices = Prices(pipe={label: 1.0 + i for i, label in enumerate(labels)}, stand=100.0)
    ways = tap_ways(short_parts(prices=prices))
    assert ways.stand is not None
    assert ways.stand.price == pytest.approx(100.0 * ways.stand.by_m)
    assert ways.least is not None
    layout = laid(short_parts())
    more = sum(
        (labels.index(new) - labels.index(old)) * float(layout.pipes[name].length_m)
        for name, old, new in ways.least.pipes
    )
    assert ways.least.price == pytest.approx(more)


def test_a_price_that_is_missing_makes_no_price() -> None:
    prices = Prices(pipe={"PE100 ISO 4427 20 mm SDR 11": 1.0})
    ways = tap_ways(short_parts(prices=prices))
    assert ways.least is not None
    assert ways.least.price is None


def test_an_outlet_that_is_met_has_no_ways() -> None:
    assert ways_to_pressure(solve(laid(short_parts(needs_pa=2e4, size="50 mm"))), drawn=None) == ()


def test_pipes_that_the_table_does_not_hold_are_left_as_they_are() -> None:
    parts = ram_parts(stand_m=2.0)
    tap, beds = parts.outlets
    tap = replace(tap, needs_pa=Measured(value=1.5e5))
    parts = replace(parts, outlets=(tap, replace(beds, needs_pa=None)))
    ways = tap_ways(parts)
    assert ways.one_size_up is None
    assert ways.least is None
    assert same_kind(parts.pipes[0].spec or pipe("PE100 20 mm SDR 11")) == ()


def test_the_same_kind_keeps_its_printed_code() -> None:
    kin = same_kind(pipe("PE3608 ASTM D2239 1 in SIDR 15"))
    assert len(kin) > 2
    assert all(one.label.startswith("PE3608") for one in kin)
    bores = [one.inside_m.value for one in kin]
    assert bores == sorted(bores)


def test_an_outlet_on_the_spring_asks_for_a_higher_intake() -> None:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=Measured(value=1e-3)),
        pipes=(replace(run("line", "source", "house"), spec=pipe("PE100 32 mm SDR 11")),),
        outlets=(outlet("tap", place="house", flow_m3_s=2e-4, needs_pa=1.2e5),),
    )
    layout = lay_out(parts, ground=hill(parts, {"spring": 110.0, "house": 100.0}))
    (ways,) = ways_to_pressure(solve(layout), drawn=None)
    assert ways.tank is None
    assert ways.stand is None
    assert ways.ground is not None
    assert ways.ground.water_lost_m3_s is None
    assert ways.ground.by_m == pytest.approx(ways.short_pa / METRE_PA, rel=1e-3)


def test_in_a_ring_every_pipe_of_it_may_be_the_wider_one() -> None:
    small = pipe("PE100 20 mm SDR 11")
    pipes = tuple(
        replace(run(name, start, end), spec=small)
        for name, start, end in (("one", "tank", "a"), ("two", "a", "b"), ("three", "tank", "b"))
    )
    parts = Parts(
        tanks=(tank(stand_m=2.0),),
        pipes=pipes,
        outlets=(outlet("tap", place="b", flow_m3_s=5e-4, needs_pa=1.1e5),),
    )
    layout = lay_out(parts, ground=hill(parts, {"knoll": 118.0, "a": 108.0, "b": 106.0}))
    (ways,) = ways_to_pressure(solve(layout), drawn=None)
    assert ways.one_size_up is not None
    assert ways.one_size_up.pipes[0][0] == "three"
    assert ways.least is not None
    assert ways.least.running_pa >= 1.1e5
