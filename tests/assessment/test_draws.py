"""Doubt carried through the solver, on an invented hill whose doubts are known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from terrain_head.assessment.drawn import Drawn, likely_of
from terrain_head.assessment.drawn_ground import MOST_STATIONS, thinned
from terrain_head.assessment.draws import _DrawnScheme, draw
from terrain_head.base.covariance import Covariance
from terrain_head.base.measured import Measured
from terrain_head.ground.ground import Ground
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Parts, Ram, Source
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from tests.scheme.hills import HEIGHTS, hill, ram_hill, ram_parts, run, tank

STD_M = 0.01


def scheme(parts: Parts | None = None, ground: Ground | None = None) -> tuple[Layout, Solution]:
    parts = parts or ram_parts()
    layout = lay_out(parts, ground=ground or ram_hill(parts))
    return layout, solve(layout)


def drawn(parts: Parts | None = None, ground: Ground | None = None, *, draws: int = 256) -> Drawn:
    layout, solution = scheme(parts, ground)
    return draw(layout, solution, draws=draws)


def doubted(ground: Ground, *, unknown: Sequence[str] = (), std_m: float = STD_M) -> Ground:
    """Return a ground of which some places are known nobody knows how well."""
    lost = [ground.names.index(name) for name in unknown]

    def covariance_of(index: Sequence[int]) -> Covariance:
        own = np.full(len(index), std_m**2)
        own[np.isin(np.asarray(index), lost)] = np.nan
        return Covariance(factor=np.zeros((len(index), 0)), own=own)

    return replace(ground, covariance_of=covariance_of)


def std(found: Drawn, result: str) -> float:
    value = found.std(result)
    assert value is not None
    return value


def test_what_follows_from_heights_alone_has_the_standard_error_of_their_difference() -> None:
    found = drawn()
    assert std(found, "fall") == pytest.approx(STD_M * 2**0.5, rel=1e-6)
    assert std(found, "outlet.tap.static_low") == pytest.approx(9803.7 * STD_M * 2**0.5, rel=1e-4)


def test_few_readings_widen_the_leveled_heights() -> None:
    layout, solution = scheme()
    found = draw(layout, solution, draws=256, heights_factor=2.0)
    assert std(found, "fall") == pytest.approx(2 * STD_M * 2**0.5, rel=1e-6)


def test_the_range_holds_nine_draws_in_ten_around_the_middle() -> None:
    layout, solution = scheme()
    likely = draw(layout, solution).likely("fall")
    assert likely is not None
    assert likely.low is not None
    assert likely.high is not None
    assert solution.ram is not None
    fall = float(solution.ram.fall_m)
    assert likely.high - fall == pytest.approx(1.645 * STD_M * 2**0.5, rel=0.06)
    assert fall - likely.low == pytest.approx(1.645 * STD_M * 2**0.5, rel=0.06)


def test_the_same_study_gives_the_same_digits() -> None:
    first, second = drawn(), drawn()
    assert first.samples.keys() == second.samples.keys()
    assert all(np.array_equal(first.samples[name], second.samples[name]) for name in first.samples)
    assert first.shares == second.shares


def test_the_water_owes_its_doubt_to_flow_efficiency_and_fall() -> None:
    parts = ram_parts()
    assert parts.source is not None
    assert parts.ram is not None
    parts = replace(
        parts,
        source=replace(parts.source, flow_m3_s=Measured(value=5e-4, std=2e-5)),
        ram=replace(parts.ram, flow_m3_s=None, efficiency=Measured(value=0.58, std=0.03)),
    )
    found = drawn(parts, draws=1024)
    shares = found.shares["delivered"]
    assert sum(shares.values()) == pytest.approx(1.0)
    # The water goes as the product: parts of its variance are the squared relative errors.
    flow, efficiency, fall = 2e-5 / 5e-4, 0.03 / 0.58, STD_M * 2**0.5 / 2.8
    total = flow**2 + efficiency**2 + fall**2
    assert shares["source flow"] == pytest.approx(flow**2 / total, abs=0.05)
    assert shares["efficiency"] == pytest.approx(efficiency**2 / total, abs=0.05)
    middle = np.mean(found.samples["delivered"])
    assert std(found, "delivered") / middle == pytest.approx(total**0.5, rel=0.06)
    assert list(shares) == sorted(shares, key=lambda cause: -shares[cause])


def test_removing_a_cause_changes_the_variance_by_its_share() -> None:
    """By no less than its first-order share and no more than its total one, noise apart."""
    parts = ram_parts()
    assert parts.ram is not None
    layout, solution = scheme(replace(parts, ram=replace(parts.ram, flow_m3_s=None)))
    whole = _DrawnScheme.of(layout, solution, draws=1024, places=())
    names = ["delivered", "outlet.tap.running_low", "fall"]
    shares = whole.shares(names)
    rows = np.arange(1024)
    everything = whole.results(rows, np.zeros((1024, len(whole.causes)), bool))
    for number, cause in enumerate(whole.causes):
        rest = replace(whole, causes=whole.causes[:number] + whole.causes[number + 1 :])
        left = rest.results(rows, np.zeros((1024, len(rest.causes)), bool))
        for name in names:
            gone = 1 - np.var(left[name]) / np.var(everything[name])
            assert shares.alone[name][cause.name] - 0.08 <= gone
            assert gone <= shares.whole[name][cause.name] + 0.08


def test_a_result_that_hangs_on_an_unknown_height_has_no_standard_error() -> None:
    parts = ram_parts()
    found = drawn(parts, doubted(ram_hill(parts), unknown=["spring"]))
    assert {"fall", "delivered", "tank.tank.inflow"} <= found.unknown
    assert found.std("fall") is None
    assert "tank.tank.needed" not in found.chance
    assert std(found, "lift") > 0
    assert "outlet.tap.needs" in found.chance
    assert "fall" not in found.shares


def test_a_difference_of_two_unknown_heights_is_unknown_too() -> None:
    parts = ram_parts()
    found = drawn(parts, doubted(ram_hill(parts), unknown=["spring", "hollow"]))
    assert "fall" in found.unknown


def test_heights_without_any_doubt_leave_the_other_causes() -> None:
    parts = ram_parts()
    found = drawn(parts, doubted(ram_hill(parts), std_m=0.0))
    assert found.std("fall") is None
    assert "heights" not in found.shares["delivered"]
    assert std(found, "delivered") > 0


def test_the_chance_of_a_need_and_the_sure_stand_say_the_same() -> None:
    layout, solution = scheme(ram_parts(stand_m=3.0))
    found = draw(layout, solution)
    sure = found.stand_sure_m("tap")
    needed = solution.outlets["tap"].stand_needed_m
    assert sure is not None
    assert needed is not None
    assert sure > float(needed)
    parts = ram_parts(stand_m=sure)
    again = draw(*scheme(parts))
    assert again.chance["outlet.tap.needs"] == pytest.approx(0.9, abs=0.005)


def test_a_stated_give_or_take_of_a_height_counts() -> None:
    parts = ram_parts()
    assert parts.ram is not None
    parts = replace(parts, ram=replace(parts.ram, valve_above_m=Measured(value=0.2, std=0.05)))
    found = drawn(parts, draws=1024)
    assert std(found, "fall") == pytest.approx((0.05**2 + 2 * STD_M**2) ** 0.5, rel=0.03)
    assert found.shares["fall"]["stated levels"] > 0.9


def test_spreads_that_nobody_stated_are_listed() -> None:
    keys = [one.key for one in drawn().taken]
    assert keys == ["source.flow", "ram.efficiency", "pipe.inside", "pipe.roughness"]
    stated = ram_parts()
    assert stated.source is not None
    stated = replace(
        stated, source=replace(stated.source, flow_m3_s=Measured(value=5e-4, std=1e-5))
    )
    assert "source.flow" not in [one.key for one in drawn(stated).taken]


def test_a_published_efficiency_is_drawn_over_its_spread() -> None:
    layout, solution = scheme(ram_parts(efficiency=None))
    likely = draw(layout, solution).likely("efficiency")
    assert likely is not None
    assert solution.ram is not None
    assert solution.ram.efficiency_low is not None
    assert solution.ram.efficiency_high is not None
    assert likely.low == pytest.approx(float(solution.ram.efficiency_low), abs=0.02)
    assert likely.high == pytest.approx(float(solution.ram.efficiency_high), abs=0.02)


def test_a_long_pipe_is_drawn_on_few_stations_and_keeps_its_summit() -> None:
    parts = ram_parts()
    heights = np.linspace(97.0, 118.0, 1000)[1:-1]
    heights[613] = 131.0
    ground = hill(parts, HEIGHTS, between={"delivery": list(heights)}, plan_m={"delivery": 180.0})
    layout, solution = scheme(parts, ground)
    thin = thinned(layout, solution)
    assert thin.ground.elevation_m == pytest.approx(ground.elevation_m[thin.entries])
    kept = thin.ground.profiles["delivery"]
    assert len(kept.index) <= MOST_STATIONS
    assert float(np.max(kept.elevation_m)) == 131.0
    found = draw(layout, solution, draws=256)
    assert solution.ram is not None
    assert solution.ram.summit_rules
    assert std(found, "lift") == pytest.approx(STD_M * 2**0.5, rel=0.01)


def test_stations_between_known_ones_follow_them() -> None:
    """Rod points far apart: the ground between was not measured, and its doubt is not known."""
    parts = ram_parts()
    ground = ram_hill(parts)
    inner = ground.profiles["delivery"].index[1:-1]

    def covariance_of(index: Sequence[int]) -> Covariance:
        own = np.full(len(index), STD_M**2)
        own[np.isin(np.asarray(index), inner)] = np.nan
        return Covariance(factor=np.zeros((len(index), 0)), own=own)

    layout, solution = scheme(parts, replace(ground, covariance_of=covariance_of))
    found = _DrawnScheme.of(layout, solution, draws=256, places=())
    profile = found.layout.ground.profiles["delivery"]
    moved = found.heights.by_cause["heights"][:, profile.index]
    part = profile.station_m / profile.station_m[-1]
    between = moved[:, :1] * (1 - part) + moved[:, -1:] * part
    assert moved == pytest.approx(between, abs=1e-12)


def test_places_named_first_are_drawn_alike_whatever_else_there_is() -> None:
    parts = ram_parts()
    more = hill(
        parts,
        {"shed": 103.0, **HEIGHTS},
        between={"delivery": [100.0, 104.0]},
        plan_m={"drive": 16.0, "delivery": 150.0},
    )
    places = ("spring", "hollow", "knoll", "house", "beds", "bend")
    first = draw(*scheme(), draws=256, places=places)
    second = draw(*scheme(parts, more), draws=256, places=places)
    for result in ("fall", "outlet.tap.static_low", "outlet.beds.static_full"):
        apart = np.ptp(first.samples[result] - second.samples[result])
        assert apart < 1e-6 * np.ptp(first.samples[result])


def test_a_draw_without_a_figure_may_lie_anywhere() -> None:
    samples = np.linspace(0.0, 1.0, 100)
    samples[:7] = np.nan
    likely = likely_of(samples)
    assert likely is not None
    assert (likely.std, likely.low, likely.high) == (None, None, None)
    samples[:5] = 0.01
    likely = likely_of(samples)
    assert likely is not None
    assert likely.high == pytest.approx(0.97, abs=0.02)
    assert likely.low is not None
    assert likely_of(np.full(4, np.nan)) is None


def test_a_draw_in_which_a_taped_pipe_is_too_short_does_no_harm() -> None:
    parts = ram_parts()
    pipes = [replace(one, length_m=Measured(value=3.51)) if one.name == "main" else one
             for one in parts.pipes]  # fmt: skip
    layout, solution = scheme(replace(parts, pipes=tuple(pipes)))
    rises = [*layout.pipes["main"].riser_up_m.reshape(1), layout.pipes["main"].length_m]
    assert 0 < rises[1] - rises[0] < 0.02
    assert std(draw(layout, solution, draws=256), "fall") > 0


@pytest.mark.parametrize("std_m", [2.0, 5.0, 30.0])
@pytest.mark.parametrize("efficiency", [None, 0.58])
def test_heights_that_are_hardly_known_still_give_an_answer(
    std_m: float, efficiency: float | None
) -> None:
    parts = ram_parts(efficiency=efficiency)
    found = drawn(parts, doubted(ram_hill(parts), std_m=std_m))
    water = found.likely("delivered")
    assert water is not None
    assert water.low == 0.0
    assert water.high is not None
    assert 0.0 < found.chance["tank.tank.needed"] < 0.9
    assert sum(found.shares["delivered"].values()) == pytest.approx(1.0)


def test_without_stands_that_do_nobody_is_sure() -> None:
    needed = np.array([1.0] * 80 + [np.nan] * 20)
    assert Drawn(draws=100, samples={"outlet.tap.stand_needed": needed}).stand_sure_m("tap") is None
    assert Drawn(draws=100).stand_sure_m("tap") is None


def gravity_parts() -> Parts:
    return Parts(
        source=Source(place="spring", flow_m3_s=Measured(value=5e-4, std=5e-5)),
        tanks=(tank(place="beds", depth_m=1.0, inlet_m=1.0, needed_m3_s=4.9e-4),),
        pipes=(run("line", "source", "tank", bore_m=0.04, length_m=60.0, roughness_m=0.0),),
    )


def test_a_plain_gravity_feed_owes_its_water_to_the_spring_until_the_pipe_is_full() -> None:
    parts = gravity_parts()
    ground = hill(parts, {"spring": 110.0, "beds": 101.0})
    found = drawn(parts, ground)
    assert found.shares["tank.tank.inflow"]["source flow"] == pytest.approx(1.0)
    assert std(found, "tank.tank.inflow") == pytest.approx(5e-5, rel=0.01)
    assert found.chance["tank.tank.needed"] == pytest.approx(0.58, abs=0.02)
    assert [one.key for one in found.taken] == ["pipe.inside"]
    narrow = replace(
        parts, pipes=(run("line", "source", "tank", bore_m=0.0204, roughness_m=1.5e-6),)
    )
    shares = drawn(narrow, ground).shares["tank.tank.inflow"]
    assert max(shares, key=lambda cause: shares[cause]) == "inside diameter"


def test_a_taped_length_with_a_give_or_take_counts() -> None:
    parts = gravity_parts()
    line = replace(parts.pipes[0], length_m=Measured(value=60.0, std=2.0))
    found = drawn(replace(parts, pipes=(line,)), hill(parts, {"spring": 110.0, "beds": 101.0}))
    assert std(found, "pipe.line.length") == pytest.approx(2.0, rel=0.01)


def test_a_bare_survey_without_water_has_a_fall_to_draw() -> None:
    parts = Parts(
        source=Source(place="spring"),
        ram=Ram(place="hollow"),
        pipes=(run("drive", "source", "ram", bore_m=None),),
    )
    found = drawn(parts, hill(parts, {"spring": 110.0, "hollow": 101.0}))
    assert std(found, "fall") == pytest.approx(STD_M * 2**0.5)
    assert found.taken == ()
    assert found.shares == {"fall": {"heights": 1.0}}


def test_a_source_without_a_pipe_has_nothing_to_draw() -> None:
    parts = Parts(source=Source(place="spring"))
    found = drawn(parts, hill(parts, {"spring": 110.0}))
    assert found.samples == {}
    assert found.shares == {}
