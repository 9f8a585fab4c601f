"""The ram at work."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from terrain_head.formulas.ram_tables import table_efficiency
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Parts, Ram, Source
from terrain_head.scheme.pipe_flow import Water, loss_of
from terrain_head.scheme.solution import RamResult, Solution
from terrain_head.scheme.solver import solve
from tests.formulas.test_ram_efficiency import LAB_SHEET
from tests.scheme.hills import HEIGHTS, hill, known, m, ram_hill, ram_parts, run, tank, there
from tests.worked_examples import WorkedExample

WATER = Water.at(10.0)
L_MIN = 1 / 60_000


def with_ram(**changes: object) -> Parts:
    parts = ram_parts()
    assert parts.ram is not None
    change: object = replace(parts.ram, **changes)  # type: ignore[arg-type]
    assert isinstance(change, Ram)
    return replace(parts, ram=change)


def laid(parts: Parts) -> Layout:
    return lay_out(parts, ground=ram_hill(parts))


def ram_of(parts: Parts) -> RamResult:
    ram = solve(laid(parts)).ram
    assert ram is not None
    return ram


SHEET = WorkedExample(
    name="ten metres to twenty-two",
    kind="published",
    source=LAB_SHEET.at("65 L/min, 10 m to 22 m, 60 %"),
    inputs={"fall": "10", "lift": "22", "efficiency": "0.60", "flow": "65"},
    printed={"delivered": "17.73"},
)


def test_a_printed_ram_comes_out_of_the_whole_chain() -> None:
    """The sheet knows no losses, so its efficiency is that of the whole line."""
    fall_m, lift_m = SHEET.given("fall"), SHEET.given("lift")
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(SHEET.given("flow") * L_MIN)),
        ram=Ram(
            place="hollow", efficiency=m(SHEET.given("efficiency")), efficiency_of="whole line"
        ),
        tanks=(tank(inlet_m=2.0),),
        pipes=(run("delivery", "ram", "tank"),),
    )
    ground = hill(parts, {"spring": 100.0 + fall_m, "hollow": 100.0, "knoll": 98.0 + lift_m})
    ram = solve(lay_out(parts, ground=ground)).ram
    assert ram is not None
    SHEET.assert_result("delivered", known(ram.delivered_m3_s) / L_MIN)
    assert known(ram.head_ratio) == pytest.approx(2.2)
    assert known(ram.delivery_loss_m) > 0


def test_the_drive_flow_is_what_may_be_taken_but_no_more_than_the_rams_take() -> None:
    ram = ram_of(ram_parts())
    assert known(ram.available_m3_s) == pytest.approx(46 * 0.8 * L_MIN)
    assert known(ram.used_m3_s) == pytest.approx(30 * L_MIN)
    assert known(ram.passed_by_m3_s) == pytest.approx(6.8 * L_MIN)
    two = ram_of(with_ram(count=2))
    assert known(two.used_m3_s) == pytest.approx(36.8 * L_MIN)
    assert known(two.passed_by_m3_s) == 0
    most = ram_of(with_ram(flow_m3_s=None, flow_most_m3_s=m(20 * L_MIN)))
    assert known(most.used_m3_s) == pytest.approx(20 * L_MIN)
    assert known(most.passed_by_m3_s) == pytest.approx(16.8 * L_MIN)


@pytest.mark.parametrize("count", [1, 2])
def test_each_drive_pipe_carries_the_water_of_one_ram(count: int) -> None:
    solution = solve(laid(with_ram(count=count)))
    assert solution.ram is not None
    drive = solution.pipes["drive"]
    assert known(drive.flow_m3_s) == pytest.approx(known(solution.ram.used_m3_s) / count)
    area_m2 = np.pi / 4 * float(solution.layout.pipes["drive"].inside_m) ** 2
    assert known(drive.velocity_m_s) * area_m2 == pytest.approx(known(drive.flow_m3_s))
    assert drive.running is None


def test_without_a_source_flow_the_ram_takes_what_it_is_said_to_take() -> None:
    parts = replace(ram_parts(), source=Source(place="spring"))
    ram = ram_of(parts)
    assert known(ram.used_m3_s) == pytest.approx(30 * L_MIN)
    assert ram.available_m3_s is None
    assert ram.passed_by_m3_s is None


def test_below_its_least_flow_a_ram_stops_and_all_passes_by() -> None:
    ram = ram_of(with_ram(flow_least_m3_s=m(31 * L_MIN)))
    assert ram.stopped is not None
    assert bool(ram.stopped)
    assert known(ram.delivered_m3_s) == 0
    assert known(ram.used_m3_s) == 0
    assert known(ram.passed_by_m3_s) == pytest.approx(36.8 * L_MIN)
    runs = ram_of(with_ram(flow_least_m3_s=m(29 * L_MIN)))
    assert runs.stopped is not None
    assert not bool(runs.stopped)
    assert known(runs.delivered_m3_s) > 0


def test_an_efficiency_of_the_whole_line_is_not_charged_with_the_losses_twice() -> None:
    whole = ram_of(with_ram(efficiency_of="whole line"))
    assert known(whole.delivered_m3_s) == pytest.approx(0.58 * 30 * L_MIN * 2.8 / 25.4, rel=1e-12)
    own = ram_of(ram_parts())
    assert known(own.delivered_m3_s) < known(whole.delivered_m3_s)


def test_the_table_is_entered_with_the_losses_in_the_lift() -> None:
    """An independent root of q (h + loss) = table((h + loss) / H) Q H."""
    parts = ram_parts(efficiency=None)
    layout = laid(parts)
    pipe = layout.pipes["delivery"]
    ram = ram_of(parts)

    def surplus(flow: float) -> float:
        head = 25.4 + float(loss_of(pipe, flow, water=WATER))
        middle = float(table_efficiency(head / 2.8, built="bought", fall_m=2.8).middle)
        return flow * head - middle * 30 * L_MIN * 2.8

    expected = brentq(surplus, 1e-8, 1e-4, xtol=1e-17)
    assert known(ram.delivered_m3_s) == pytest.approx(expected, rel=1e-9)
    assert ram.efficiency_origin == "table"
    assert ram.efficiency_citations
    assert known(ram.efficiency_low) < known(ram.efficiency) < known(ram.efficiency_high)
    head = 25.4 + known(ram.delivery_loss_m)
    rankine = expected * (head - 2.8) / ((30 * L_MIN - expected) * 2.8)
    assert known(ram.rankine) == pytest.approx(rankine, rel=1e-8)


def test_beyond_the_tables_nothing_is_made_up() -> None:
    parts = ram_parts(efficiency=None)
    high = hill(parts, {**HEIGHTS, "knoll": 230.0})
    solution = solve(lay_out(parts, ground=high))
    assert solution.ram is not None
    assert solution.ram.delivered_m3_s is None
    assert solution.ram.efficiency is None
    assert solution.ram.efficiency_origin is None
    assert known(solution.ram.lift_m) == pytest.approx(137.4)
    assert "ram.efficiency" in solution.not_asked
    assert solution.pipes["delivery"].running is None
    shallow = hill(parts, {**HEIGHTS, "hollow": 99.3})
    assert "ram.efficiency" in solve(lay_out(parts, ground=shallow)).not_asked


def test_draws_partly_beyond_the_tables_are_unknown_one_by_one() -> None:
    parts = ram_parts(efficiency=None)
    layout = lay_out(parts, ground=ram_hill(parts))
    solution = solve(with_values(layout, stand_m={"tank": [3.0, 140.0]}))
    assert solution.ram is not None
    assert np.isfinite(there(solution.ram.delivered_m3_s)).tolist() == [True, False]


def test_a_ram_that_stands_above_the_source_delivers_nothing() -> None:
    parts = ram_parts()
    above = hill(parts, {**HEIGHTS, "hollow": 101.0})
    ram = solve(lay_out(parts, ground=above)).ram
    assert ram is not None
    assert float(ram.fall_m) < 0
    assert known(ram.delivered_m3_s) == 0
    assert ram.head_ratio is None
    assert ram.rankine is None
    assert "ram.efficiency" not in solve(lay_out(parts, ground=above)).not_asked


def test_a_lift_below_the_fall_brings_no_more_than_there_is() -> None:
    parts = with_ram(efficiency_of="whole line")
    low = hill(parts, {**HEIGHTS, "knoll": 94.0, "bend": 80.0, "house": 70.0, "beds": 70.0})
    ram = solve(lay_out(parts, ground=low)).ram
    assert ram is not None
    assert known(ram.delivered_m3_s) == known(ram.used_m3_s)


def test_tail_water_takes_from_the_fall_but_not_from_the_place_of_the_valve() -> None:
    layout = laid(with_ram(tail_water_above_m=m(0.5)))
    ram = solve(layout).ram
    assert ram is not None
    assert float(ram.fall_m) == pytest.approx(100 - 97.5)
    assert float(layout.pipes["drive"].downstream_m) == pytest.approx(97.2)
    lower = ram_of(with_ram(tail_water_above_m=m(0.1)))
    assert float(lower.fall_m) == pytest.approx(2.8)


def test_a_summit_above_the_inlet_sets_the_lift_and_is_given_back_behind() -> None:
    parts = ram_parts()
    ground = hill(parts, HEIGHTS, between={"delivery": [110.0, 126.0, 112.0]})
    solution = solve(lay_out(parts, ground=ground))
    ram, line = solution.ram, solution.pipes["delivery"].running
    assert ram is not None
    assert line is not None
    assert ram.summit_rules
    assert known(ram.lift_m) == pytest.approx(126.0 - 0.4 - 97.2)
    assert float(line.upstream_head_m) == pytest.approx(125.6 + known(ram.delivery_loss_m))
    assert float(line.downstream_head_m) == pytest.approx(122.6)
    assert np.all(line.pressure_head_m >= -0.01)
    assert known(solution.pipes["delivery"].static_m) == pytest.approx(125.6)


def fed(*, bore_m: float | None = 0.05, needed_m3_s: float = 3e-5) -> Parts:
    parts = ram_parts(needed_m3_s=needed_m3_s)
    assert parts.ram is not None
    pipes = tuple(pipe for pipe in parts.pipes if pipe.name != "drive")
    return replace(
        parts,
        ram=replace(parts.ram, feed=("feed",), flow_m3_s=None),
        pipes=(
            run("feed", "source", "box", bore_m=bore_m, length_m=40.0),
            run("drive", "box", "ram"),
            *pipes,
        ),
    )


def fed_layout(parts: Parts) -> Layout:
    return lay_out(parts, ground=hill(parts, {**HEIGHTS, "box": 99.0}))


def test_the_loss_of_the_feed_is_taken_from_the_fall() -> None:
    layout = fed_layout(fed())
    solution = solve(layout)
    ram, line = solution.ram, solution.pipes["feed"].running
    assert ram is not None
    assert line is not None
    loss = float(loss_of(layout.pipes["feed"], 36.8 * L_MIN, water=WATER))
    assert layout.pipes["feed"].exit_coefficient == 1.0
    assert loss > 0.01
    assert float(ram.fall_m) == pytest.approx(2.8 - loss, rel=1e-12)
    assert float(line.downstream_head_m) == pytest.approx(100 - loss)
    assert float(layout.pipes["drive"].upstream_m) == pytest.approx(99.0)
    unknown = solve(fed_layout(fed(bore_m=None)))
    assert unknown.ram is not None
    assert float(unknown.ram.fall_m) == pytest.approx(2.8)
    assert unknown.pipes["feed"].running is None


@pytest.mark.parametrize("efficiency", [None, 0.58])
@pytest.mark.parametrize("is_fed", [False, True])
def test_at_the_break_even_the_water_wanted_just_arrives(
    efficiency: float | None, is_fed: bool
) -> None:
    parts = fed(needed_m3_s=2e-5) if is_fed else ram_parts(needed_m3_s=2e-5)
    assert parts.ram is not None
    parts = replace(
        parts,
        ram=replace(parts.ram, efficiency=None if efficiency is None else m(efficiency)),
    )
    layout = fed_layout(parts) if is_fed else laid(parts)
    ram = solve(layout).ram
    assert ram is not None
    least = with_values(layout, source_flow_m3_s=there(ram.breakeven_flow_m3_s))
    again = solve(least).ram
    assert again is not None
    assert known(again.delivered_m3_s) == pytest.approx(2e-5, rel=1e-8)
    measured = solve(with_values(layout, efficiency=there(ram.breakeven_efficiency))).ram
    assert measured is not None
    assert known(measured.delivered_m3_s) == pytest.approx(2e-5, rel=1e-8)
    # Raising the source raises the fall alone; without a feed the fall is the chord's.
    if not is_fed:
        ground = layout.ground.elevation_m.copy()
        ground[0] += known(ram.breakeven_fall_m) - float(ram.fall_m)
        lower = solve(with_values(layout, elevation_m=ground)).ram
        assert lower is not None
        assert known(lower.delivered_m3_s) == pytest.approx(2e-5, rel=1e-8)


def test_where_no_flow_is_enough_there_is_no_break_even() -> None:
    too_much = ram_of(ram_parts(needed_m3_s=9e-5))
    assert too_much.breakeven_flow_m3_s is None
    assert known(too_much.breakeven_efficiency) > 1
    narrow = solve(fed_layout(fed(bore_m=0.02, needed_m3_s=2e-4))).ram
    assert narrow is not None
    assert narrow.breakeven_flow_m3_s is None
    assert narrow.breakeven_fall_m is None or known(narrow.breakeven_fall_m) > 0


def test_the_least_flow_of_a_ram_holds_for_the_break_even_too() -> None:
    ram = ram_of(replace(with_ram(flow_least_m3_s=m(25 * L_MIN)), tanks=(tank(needed_m3_s=1e-6),)))
    assert known(ram.breakeven_flow_m3_s) == pytest.approx(25 / 0.8 * L_MIN)


def test_no_break_even_brings_more_than_goes_in() -> None:
    """A tank below the spring, 1.5 m of lift on 3 m of fall: less work than water is wanted."""
    heights = {**HEIGHTS, "knoll": 97.0}

    def breakeven_of(wanted_m3_s: float, *, inlet_m: float = 1.5) -> RamResult:
        parts = replace(
            with_ram(valve_above_m=m(0.0), efficiency_of="whole line"),
            tanks=(tank(inlet_m=inlet_m, depth_m=min(inlet_m, 1.5), needed_m3_s=wanted_m3_s),),
        )
        ram = solve(lay_out(parts, ground=hill(parts, heights))).ram
        assert ram is not None
        return ram

    assert known(breakeven_of(3e-4).breakeven_flow_m3_s) == pytest.approx(3e-4 / 0.8)
    more = breakeven_of(6e-4)
    assert (more.breakeven_efficiency, more.breakeven_fall_m) == (None, None)
    heights["knoll"] = 90.0
    assert breakeven_of(1e-5).breakeven_flow_m3_s is None


def test_water_is_lifted_to_the_full_level_that_stands_over_the_inlet() -> None:
    parts = ram_parts()
    drowned = replace(parts, tanks=(tank(stand_m=3.0, inlet_m=0.1, depth_m=1.5),))
    level = replace(parts, tanks=(tank(stand_m=3.0, inlet_m=1.5, depth_m=1.5),))
    assert known(ram_of(drowned).lift_m) == known(ram_of(level).lift_m)
    delivery = solve(laid(drowned)).pipes["delivery"]
    assert known(delivery.static_m) == pytest.approx(118.0 + 3.0 + 1.5)


def solved(parts: Parts) -> Solution:
    places = {**HEIGHTS, "trough": 110.0}
    return solve(lay_out(parts, ground=hill(parts, places)))


def test_with_nothing_but_places_there_are_fall_and_lift() -> None:
    parts = Parts(source=Source(place="spring"), ram=Ram(place="hollow"), tanks=(tank(),))
    solution = solved(parts)
    assert solution.ram is not None
    assert float(solution.ram.fall_m) == pytest.approx(3.0)
    assert known(solution.ram.lift_m) == pytest.approx(22.6)
    assert solution.ram.delivered_m3_s is None
    assert set(solution.not_asked) == {"flow", "pipe.delivery", "ram.efficiency", "outlets"}


def test_without_a_tank_the_lift_goes_to_the_open_end_or_is_not_asked() -> None:
    spring = Source(place="spring", flow_m3_s=m(5e-4))
    ram = Ram(place="hollow", efficiency=m(0.5))
    none = solved(Parts(source=spring, ram=ram))
    assert none.ram is not None
    assert none.ram.lift_m is None
    assert "tank" in none.not_asked
    pipes = (run("delivery", "ram", "trough", cover_m=0.3),)
    open_end = solved(Parts(source=spring, ram=ram, pipes=pipes))
    assert open_end.ram is not None
    assert known(open_end.ram.lift_m) == pytest.approx(13.0)
    assert known(open_end.ram.delivered_m3_s) > 0


def test_without_a_source_there_is_no_ram_result() -> None:
    solution = solved(Parts(ram=Ram(place="hollow"), tanks=(tank(),)))
    assert solution.ram is None
    assert "source" in solution.not_asked


def test_a_flow_without_efficiency_or_bore_gives_no_water() -> None:
    spring = Source(place="spring", flow_m3_s=m(5e-4))
    pipes = (run("delivery", "ram", "tank"),)
    tanks = (tank(needed_m3_s=1e-5),)
    unsaid = solved(Parts(source=spring, ram=Ram(place="hollow"), tanks=tanks, pipes=pipes))
    assert unsaid.ram is not None
    assert unsaid.ram.delivered_m3_s is None
    assert unsaid.ram.breakeven_flow_m3_s is None
    assert known(unsaid.ram.breakeven_efficiency) > 0
    assert "ram.efficiency" in unsaid.not_asked
    bare = (run("delivery", "ram", "tank", bore_m=None),)
    ram = Ram(place="hollow", efficiency=m(0.5))
    no_bore = solved(Parts(source=spring, ram=ram, tanks=tanks, pipes=bare))
    assert no_bore.ram is not None
    assert no_bore.ram.delivered_m3_s is None
    assert no_bore.ram.breakeven_efficiency is None
    assert "pipe.delivery.spec" in no_bore.not_asked
    whole = replace(ram, efficiency_of="whole line")
    charged = solved(Parts(source=spring, ram=whole, tanks=tanks, pipes=bare))
    assert charged.ram is not None
    assert known(charged.ram.delivered_m3_s) == pytest.approx(0.5 * 5e-4 * 3 / 22.6)
    assert charged.ram.delivery_loss_m is None
    assert charged.pipes["delivery"].running is None


def test_without_any_flow_the_break_even_flow_is_still_told() -> None:
    parts = replace(with_ram(flow_m3_s=None), source=Source(place="spring", share=0.8))
    ram = ram_of(parts)
    assert known(ram.breakeven_flow_m3_s) > 0
    assert ram.breakeven_efficiency is None
    assert ram.delivered_m3_s is None
