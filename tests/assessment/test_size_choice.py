"""Sizes chosen on a whole scheme: held against every set tried on the solver itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
import pytest

from terrain_head.assessment.limits import DELIVERY_VELOCITY, VELOCITY
from terrain_head.assessment.size_choice import ChosenSize, choose_sizes
from terrain_head.assessment.size_trials import Short
from terrain_head.base.measured import Measured
from terrain_head.files.pipe_wish import parse_wish
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Opening, Outlet, Parts, PipeRun, Source
from terrain_head.scheme.pipe_choice import Prices, SizeChoice, SizeOption
from terrain_head.scheme.solver import solve
from tests.scheme.hills import hill, known, outlet, ram_hill, ram_parts, run, spec, tank

PLASTIC = "smallest PE100 SDR 11"


def wish(text: object = PLASTIC, *, prices: Prices | None = None) -> SizeChoice:
    return parse_wish(text, where="pipe.x.spec", prices=prices or Prices())


def few(*bores_m: float, rating_pa: float | None = None) -> SizeChoice:
    """Return a choice of invented pipes, two millimetres of wall each."""
    return SizeChoice(
        families=("invented",),
        options=tuple(
            SizeOption(
                spec=replace(spec(bore), rating_pa=rating_pa, label=f"invented {bore:g}"),
                size=f"{bore:g}",
                outside_m=bore + 0.004,
            )
            for bore in bores_m
        ),
    )


def asking(parts: Parts, **choices: SizeChoice) -> Parts:
    """Return the parts with pipes left to be chosen; an underscore stands for a blank."""
    named = {name.replace("_", " "): choice for name, choice in choices.items()}
    assert set(named) <= {one.name for one in parts.pipes}
    return replace(
        parts,
        pipes=tuple(
            replace(one, spec=None, choice=named[one.name]) if one.name in named else one
            for one in parts.pipes
        ),
    )


def by_name(chosen: tuple[ChosenSize, ...]) -> dict[str, ChosenSize]:
    return {one.pipe: one for one in chosen}


def drawn_tree(number: int) -> Layout:
    """Return an invented tree of two to four pipes below a tank, each of four sizes."""
    draw = np.random.default_rng(number)
    count = int(draw.integers(2, 5))
    heights = {"knoll": 130.0}
    pipes: list[PipeRun] = []
    outlets: list[Outlet] = []
    choice = few(0.0161, 0.0204, 0.026, 0.0326)
    for i in range(count):
        place = f"p{i}"
        start = "tank" if i == 0 else f"p{draw.integers(0, i)}"
        heights[place] = float(draw.uniform(104.0, 120.0))
        pipes.append(replace(run(place, start, place, cover_m=0.3, bore_m=None), choice=choice))
        outlets.append(
            outlet(
                f"o{i}",
                place=place,
                height_m=float(draw.uniform(0.0, 1.5)),
                flow_m3_s=float(draw.uniform(5e-5, 3.5e-4)),
                needs_pa=float(draw.uniform(2e4, 1.2e5)) if draw.random() < 0.8 else None,
            )
        )
    names = [one.name for one in outlets]
    parts = Parts(
        tanks=(tank(stand_m=2.0),),
        pipes=tuple(pipes),
        outlets=tuple(outlets),
        together={"day": (names[0],), "evening": tuple(names)} if number % 2 else {},
    )
    lengths = {pipe.name: float(draw.uniform(20.0, 160.0)) for pipe in pipes}
    return lay_out(parts, ground=hill(parts, heights, plan_m=lengths))


def tried_by_hand(layout: Layout) -> list[tuple[float, dict[str, int]]]:
    """Return cost and numbers of every set of sizes that does, by the solver's own results."""
    runs = {one.name: one for one in layout.parts.pipes}
    names = list(runs)
    some = choose_sizes(layout)[0]
    good = []
    options: dict[str, tuple[SizeOption, ...]] = {}
    for name, one in runs.items():
        assert one.choice is not None
        options[name] = one.choice.options
    sets = list(product(*(range(len(options[name])) for name in names)))
    inside_m = {
        name: np.array([options[name][each[i]].spec.inside_m.value for each in sets])
        for i, name in enumerate(names)
    }
    solution = solve(with_values(some, inside_m=inside_m))
    holds = np.ones(len(sets), np.bool_)
    for tap in layout.outlets:
        pressure_pa = solution.outlets[tap.name].running_low_pa
        assert pressure_pa is not None
        holds &= pressure_pa >= (0.0 if tap.needs_pa is None else tap.needs_pa.value)
    for name in names:
        for case in solution.by_group[name].values():
            first = 1 if layout.pipes[name].upstream == "tank" else 0
            holds &= (case.pressure_head_m[:, first:] >= 0).all(axis=1)
            holds &= case.velocity_m_s <= VELOCITY.value
    for number in np.flatnonzero(holds):
        cost = sum(
            float(layout.pipes[name].length_m) * options[name][sets[number][i]].outside_m
            for i, name in enumerate(names)
        )
        good.append((float(cost), dict(zip(names, sets[number], strict=True))))
    return good


@pytest.mark.parametrize("number", range(40))
def test_a_tree_costs_what_the_best_set_on_the_solver_costs(number: int) -> None:
    layout = drawn_tree(number)
    good = tried_by_hand(layout)
    _, chosen = choose_sizes(layout)
    if not good:
        assert all(one.size == "0.0326" for one in chosen)
        assert any(one.fails for one in chosen)
        return
    cost = sum(
        float(layout.pipes[one.pipe].length_m) * (one.spec.inside_m.value + 0.004) for one in chosen
    )
    assert min(good, key=lambda one: one[0])[0] == pytest.approx(cost, rel=1e-9)
    assert not any(one.fails for one in chosen)
    assert {"proven"} == {one.how for one in chosen}


def test_the_drawn_trees_are_of_both_kinds() -> None:
    fails = {any(one.fails for one in choose_sizes(drawn_tree(number))[1]) for number in range(40)}
    assert fails == {True, False}


def test_what_was_left_open_is_laid_and_every_need_is_met() -> None:
    parts = asking(ram_parts(stand_m=6.0), main=wish(), to_house=wish(), to_beds=wish())
    layout, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    assert [one.pipe for one in chosen] == ["main", "to house", "to beds"]
    assert all(pipe.spec is not None for pipe in layout.pipes.values())
    solution = solve(layout)
    for one in layout.outlets:
        assert one.needs_pa is not None
        assert known(solution.outlets[one.name].running_low_pa) >= one.needs_pa.value
    assert len([one for one in layout.parts.taken if one.key == "pipe.x.spec.roughness"]) == 3


def tight() -> Parts:
    """Return a ram's tree whose taps need nearly all there is, its three pipes to be chosen."""
    parts = asking(ram_parts(stand_m=6.0), main=wish(), to_house=wish(), to_beds=wish())
    tap, beds = parts.outlets
    return replace(
        parts,
        outlets=(
            replace(tap, needs_pa=Measured(value=1.5e5)),
            replace(beds, needs_pa=Measured(value=2.0e5)),
        ),
    )


@pytest.mark.parametrize("name", ["main", "to house", "to beds"])
def test_the_size_below_misses_just_what_is_said(name: str) -> None:
    parts = tight()
    layout, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    one = by_name(chosen)[name]
    assert one.smaller is not None
    assert one.forbids is not None
    choice = next(pipe.choice for pipe in parts.pipes if pipe.name == name)
    assert choice is not None
    below = next(option for option in choice.options if option.size == one.smaller)
    tried = solve(with_values(layout, inside_m={name: below.spec.inside_m.value}))
    if one.forbids.kind == "pressure":
        needs = {o.name: o.needs_pa for o in layout.outlets}[one.forbids.name]
        got_pa = known(tried.outlets[one.forbids.name].running_low_pa)
        assert needs is not None
        assert one.forbids.by == pytest.approx(needs.value - got_pa)
    else:
        assert one.forbids.kind == "velocity"
        speed = max(known(case.velocity_m_s) for case in tried.by_group[name].values())
        assert one.forbids.by == pytest.approx(speed - VELOCITY.value, rel=1e-6)


def test_where_nothing_does_the_widest_is_taken_and_what_is_missing_is_told() -> None:
    parts = asking(ram_parts(), main=wish(), to_house=wish(), to_beds=wish())
    thirsty = replace(parts.outlets[0], needs_pa=Measured(value=4e5))
    parts = replace(parts, outlets=(thirsty, *parts.outlets[1:]))
    layout, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    assert {one.size for one in chosen} == {"110 mm"}
    got_pa = known(solve(layout).outlets["tap"].running_low_pa)
    short = chosen[0].fails[0]
    assert (short.kind, short.name) == ("pressure", "tap")
    assert short.by == pytest.approx(4e5 - got_pa)


def test_a_pipe_that_does_not_bear_the_still_water_is_passed_over() -> None:
    parts = ram_parts(stand_m=6.0)
    level_m = 118.0 + 6.0 + 1.5
    static_pa = 999.7 * 9.80665 * (level_m - 98.0)
    weak = few(0.026, 0.0326, rating_pa=static_pa * 0.9)
    strong = few(0.0408, rating_pa=static_pa * 1.05)
    both = SizeChoice(families=("a", "b"), options=(*weak.options, *strong.options))
    parts = asking(parts, to_beds=both)
    _, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    assert chosen[0].size == "0.0408"
    assert chosen[0].forbids is not None
    assert chosen[0].forbids.kind == "rating"
    none = asking(ram_parts(stand_m=6.0), to_beds=weak)
    _, chosen = choose_sizes(lay_out(none, ground=ram_hill(none)))
    assert chosen[0].size == "0.0326"
    assert chosen[0].fails[0].kind == "rating"


def test_warm_water_asks_for_a_thicker_wall() -> None:
    parts = ram_parts(stand_m=6.0)
    static_pa = 999.7 * 9.80665 * (118.0 + 6.0 + 1.5 - 98.0)
    plastic = wish()
    options = [
        replace(one, spec=replace(one.spec, rating_pa=static_pa * factor))
        for one, factor in zip(plastic.options[2:4], (1.05, 1.5), strict=True)
    ]
    choice = SizeChoice(families=("a",), options=tuple(options))
    cool = asking(parts, to_beds=choice)
    warm = replace(cool, water_temperature_c=40.0)
    sizes = [choose_sizes(lay_out(each, ground=ram_hill(each)))[1][0].size for each in (cool, warm)]
    assert sizes[1] == plastic.options[3].size


def test_what_is_near_its_rating_is_passed_over_where_another_is_not() -> None:
    parts = ram_parts(stand_m=6.0)
    static_pa = 999.7 * 9.80665 * (118.0 + 6.0 + 1.5 - 98.0)
    near = few(0.026, rating_pa=static_pa * 1.1).options
    far = few(0.0326, rating_pa=static_pa * 2).options
    parts = asking(parts, to_beds=SizeChoice(families=("a",), options=(*near, *far)))
    _, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    assert chosen[0].size == "0.0326"


def test_prices_decide_where_they_are_stated() -> None:
    labels = [one.spec.label for one in wish().options]
    # The three narrowest are dear, the fourth is cheap.
    prices = Prices(pipe={label: 9.0 - (i == 3) * 8.0 for i, label in enumerate(labels[:5])})
    choice = wish(prices=prices)
    assert len(choice.options) == 5
    parts = asking(ram_parts(stand_m=6.0), to_beds=choice)
    layout, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    assert chosen[0].spec.label == labels[3]
    assert chosen[0].price == pytest.approx(float(layout.pipes["to beds"].length_m))


def test_a_delivery_is_the_smallest_that_brings_the_water_at_a_fair_speed() -> None:
    parts = asking(ram_parts(needed_m3_s=3.15e-5), delivery=wish())
    layout, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    options = wish().options
    does = []
    for option in options:
        tried = solve(with_values(layout, inside_m={"delivery": option.spec.inside_m.value}))
        speed = known(tried.pipes["delivery"].velocity_m_s)
        enough = known(tried.tanks["tank"].inflow_m3_s) >= 3.15e-5
        does.append(enough and speed <= DELIVERY_VELOCITY.value)
    assert chosen[0].how == "tried all"
    assert options[does.index(True)].size == chosen[0].size


def test_a_feed_pipe_is_chosen_with_the_delivery() -> None:
    parts = ram_parts(needed_m3_s=3.15e-5)
    assert parts.ram is not None
    ram = replace(parts.ram, feed=("feed",))
    drive, *others = parts.pipes
    parts = replace(
        parts,
        ram=ram,
        pipes=(
            run("feed", "source", "box"),
            replace(drive, start="box"),
            *others,
        ),
    )
    parts = asking(parts, feed=wish(), delivery=wish())
    ground = hill(
        parts,
        {"spring": 100.0, "hollow": 97.0, "knoll": 118.0, "bend": 104.0, "house": 106.0,
         "beds": 101.0, "box": 99.5},
    )  # fmt: skip
    layout, chosen = choose_sizes(lay_out(parts, ground=ground))
    assert {"feed", "delivery"} == {one.pipe for one in chosen}
    assert not any(one.fails for one in chosen)
    assert known(solve(layout).tanks["tank"].inflow_m3_s) >= 3.15e-5


def spring_fed(*, needed_m3_s: float | None) -> Layout:
    parts = Parts(
        source=Source(place="spring", flow_m3_s=Measured(value=8e-4)),
        tanks=(tank(needed_m3_s=needed_m3_s),),
        pipes=(replace(run("down", "source", "tank", bore_m=None), choice=wish()),),
    )
    return lay_out(parts, ground=hill(parts, {"spring": 130.0, "knoll": 118.0}))


@pytest.mark.parametrize("needed_m3_s", [5e-4, None])
def test_a_pipe_from_the_spring_brings_what_is_needed_or_all_there_is(
    needed_m3_s: float | None,
) -> None:
    layout, chosen = choose_sizes(spring_fed(needed_m3_s=needed_m3_s))
    wanted = 8e-4 if needed_m3_s is None else needed_m3_s
    assert known(solve(layout).tanks["tank"].inflow_m3_s) >= wanted * (1 - 1e-5)
    assert chosen[0].forbids is not None
    assert chosen[0].forbids.kind in {"water", "velocity"}


def ring(*, opens: bool) -> Parts:
    """Return a ring of three pipes below a tank."""
    tap = outlet("tap", place="b", flow_m3_s=3e-4, needs_pa=6e4)
    if opens:
        drip = Opening(gives_m3_s=Measured(value=2e-4), at_pa=Measured(value=1e5))
        tap = replace(tap, flow_m3_s=None, opens=drip)
    return Parts(
        tanks=(tank(stand_m=2.0),),
        pipes=(
            run("one", "tank", "a"),
            run("two", "a", "b"),
            run("three", "tank", "b"),
        ),
        outlets=(tap, outlet("low", place="a", flow_m3_s=2e-4, needs_pa=5e4)),
    )


RING_HEIGHTS = {"knoll": 118.0, "a": 108.0, "b": 106.0}


@pytest.mark.parametrize("opens", [False, True])
def test_in_a_ring_no_other_set_of_sizes_that_does_costs_less(opens: bool) -> None:
    choice = few(0.0161, 0.0204, 0.026)
    parts = asking(ring(opens=opens), one=choice, two=choice, three=choice)
    layout, chosen = choose_sizes(lay_out(parts, ground=hill(parts, RING_HEIGHTS)))
    assert {"tried all"} == {one.how for one in chosen}
    cost = sum(one.spec.inside_m.value + 0.004 for one in chosen)
    bores = [option.spec.inside_m.value for option in choice.options]
    for each in product(bores, repeat=3):
        inside_m = dict(zip(("one", "two", "three"), each, strict=True))
        lengths = [float(layout.pipes[name].length_m) for name in inside_m]
        mine = sum(
            length * (by_name(chosen)[name].spec.inside_m.value + 0.004)
            for name, length in zip(inside_m, lengths, strict=True)
        )
        other = sum(length * (bore + 0.004) for length, bore in zip(lengths, each, strict=True))
        if other < mine * (1 - 1e-9):
            tried = solve(with_values(layout, inside_m=inside_m))
            fast = max(
                abs(known(case.velocity_m_s))
                for name in inside_m
                for case in tried.by_group[name].values()
            )
            enough = all(
                known(tried.outlets[name].running_low_pa) >= need
                for name, need in (("tap", 6e4), ("low", 5e4))
            )
            assert fast > VELOCITY.value or not enough
    assert cost > 0
    assert not any(one.fails for one in chosen)


def test_with_many_sets_it_is_stepped_down_and_said(monkeypatch: pytest.MonkeyPatch) -> None:
    choice = few(0.0161, 0.0204, 0.026)
    parts = asking(ring(opens=False), one=choice, two=choice, three=choice)
    whole = choose_sizes(lay_out(parts, ground=hill(parts, RING_HEIGHTS)))[1]
    monkeypatch.setattr("terrain_head.assessment.size_trials.MOST_SETS", 3)
    layout, chosen = choose_sizes(lay_out(parts, ground=hill(parts, RING_HEIGHTS)))
    assert {"tried some"} == {one.how for one in chosen}
    assert not any(one.fails for one in chosen)
    assert known(solve(layout).outlets["tap"].running_low_pa) >= 6e4
    assert sum(one.spec.inside_m.value for one in whole) <= sum(
        one.spec.inside_m.value for one in chosen
    )


def starving() -> Layout:
    """Return a tap on the way to an open end: the wider the last pipe, the less the tap gets."""
    choice = few(0.0161, 0.0204, 0.026, 0.0326, 0.0408)
    parts = Parts(
        tanks=(tank(stand_m=2.0),),
        pipes=(run("main", "tank", "a"), run("trough", "a", "b")),
        outlets=(
            outlet("tap", place="a", flow_m3_s=2e-4, needs_pa=9e4),
            replace(outlet("end", place="b", flow_m3_s=None, needs_pa=None), opens=Opening()),
        ),
    )
    parts = asking(parts, main=choice, trough=choice)
    return lay_out(parts, ground=hill(parts, RING_HEIGHTS))


def enough(layout: Layout, inside_m: Mapping[str, float]) -> bool:
    """Say whether sizes meet need and speed, by the solver's own results."""
    tried = solve(with_values(layout, inside_m=inside_m))
    fast = max(
        abs(known(case.velocity_m_s)) for name in inside_m for case in tried.by_group[name].values()
    )
    return known(tried.outlets["tap"].running_low_pa) >= 9e4 and fast <= VELOCITY.value


@pytest.mark.parametrize("most_sets", [2_000, 3])
def test_beside_an_open_end_narrow_pipes_are_found_though_the_widest_do_not_do(
    most_sets: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("terrain_head.assessment.size_trials.MOST_SETS", most_sets)
    layout, chosen = choose_sizes(starving())
    now = {one.pipe: one.spec.inside_m.value for one in chosen}
    assert not enough(layout, dict.fromkeys(now, 0.0408))
    assert enough(layout, now)
    assert not any(one.fails for one in chosen)
    if most_sets > 100:
        bores = (0.0161, 0.0204, 0.026, 0.0326, 0.0408)
        lengths = {name: float(layout.pipes[name].length_m) for name in now}
        mine = sum(lengths[name] * (now[name] + 0.004) for name in now)
        for each in product(bores, repeat=2):
            other = dict(zip(now, each, strict=True))
            if sum(lengths[name] * (other[name] + 0.004) for name in now) < mine * (1 - 1e-9):
                assert not enough(layout, other)


@pytest.mark.parametrize("most_sets", [2_000, 3])
def test_beside_an_open_end_where_no_size_does_the_set_that_misses_least_is_taken(
    most_sets: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("terrain_head.assessment.size_trials.MOST_SETS", most_sets)
    layout = starving()
    tap, end = layout.parts.outlets
    thirsty = replace(tap, needs_pa=Measured(value=3e5))
    parts = replace(layout.parts, outlets=(thirsty, end))
    laid, chosen = choose_sizes(lay_out(parts, ground=layout.ground))
    assert ("pressure", "tap") in {(one.kind, one.name) for one in chosen[0].fails}
    assert by_name(chosen)["trough"].size == "0.0161"
    assert known(solve(laid).outlets["tap"].running_low_pa) > 5e4


def test_a_drive_pipe_follows_the_rules_that_most_agree_on() -> None:
    parts = asking(ram_parts(), drive=wish("smallest steel ASME B36.10 Sch 40"))
    layout, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    one = chosen[0]
    assert one.rules is not None
    assert one.how == "rules"
    assert one.rules.low_m <= one.spec.inside_m.value <= one.rules.high_m
    choice = parts.pipes[0].choice
    assert choice is not None
    below = [o for o in choice.options if o.spec.inside_m.value < one.spec.inside_m.value]
    assert all(o.spec.inside_m.value < one.rules.low_m for o in below)
    assert layout.pipes["drive"].spec is one.spec


@pytest.mark.parametrize(
    ("choice", "kind"),
    [(few(0.01), "bore"), (few(0.5), "bore"), (few(0.04, rating_pa=1e3), "rating")],
)
def test_a_drive_pipe_that_no_rule_allows_is_told(choice: SizeChoice, kind: str) -> None:
    parts = asking(ram_parts(), drive=choice)
    _, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    assert [kind] == [one.kind for one in chosen[0].fails]


def test_a_drive_pipe_whose_flow_is_not_known_stays_open() -> None:
    parts = ram_parts()
    assert parts.ram is not None
    parts = replace(parts, source=Source(place="spring"), ram=replace(parts.ram, flow_m3_s=None))
    parts = asking(parts, drive=wish("smallest steel ASME B36.10 Sch 40"))
    layout, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    assert chosen == ()
    assert layout.pipes["drive"].spec is None


def test_a_pipe_beside_one_without_a_size_stays_open() -> None:
    parts = asking(ram_parts(), to_beds=wish())
    parts = replace(
        parts,
        pipes=tuple(replace(p, spec=None) if p.name == "main" else p for p in parts.pipes),
    )
    layout, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    assert chosen == ()
    assert layout.pipes["to beds"].spec is None


def test_where_nothing_is_left_open_nothing_changes() -> None:
    parts = ram_parts()
    before = lay_out(parts, ground=ram_hill(parts))
    after, chosen = choose_sizes(before)
    assert chosen == ()
    assert after is before


def test_a_line_whose_outlets_state_nothing_takes_the_smallest() -> None:
    parts = asking(ram_parts(), main=wish(), to_house=wish(), to_beds=wish())
    still = tuple(replace(one, flow_m3_s=None, needs_pa=None) for one in parts.outlets)
    parts = replace(parts, outlets=still)
    _, chosen = choose_sizes(lay_out(parts, ground=ram_hill(parts)))
    assert {"20 mm"} == {one.size for one in chosen}


def test_what_is_short_is_compared_by_all_it_says() -> None:
    stated: Mapping[str, Any] = {"name": "a", "by": 1.0, "unit": "m"}
    assert Short(kind="negative", **stated) == Short(kind="negative", **stated)


def test_a_house_on_the_delivery_gets_its_pressure_from_the_chosen_pipes() -> None:
    parts = ram_parts(needed_m3_s=None)
    pipes = {one.name: one for one in parts.pipes}
    parts = replace(
        parts,
        pipes=(
            pipes["drive"],
            replace(run("lower", "ram", "bend"), fittings={}),
            run("upper", "bend", "tank"),
        ),
        outlets=(outlet("tap", place="bend", flow_m3_s=1e-5, needs_pa=1.2e5),),
    )
    assert parts.ram is not None
    parts = replace(parts, ram=replace(parts.ram, delivery="lower"))
    parts = asking(parts, lower=wish(), upper=wish())
    heights = {"spring": 100.0, "hollow": 97.0, "knoll": 118.0, "bend": 104.0}
    layout, chosen = choose_sizes(lay_out(parts, ground=hill(parts, heights)))
    assert {"lower", "upper"} == {one.pipe for one in chosen}
    assert {"tried all"} == {one.how for one in chosen}
    solution = solve(layout)
    assert not any(one.fails for one in chosen)
    assert known(solution.outlets["tap"].running_low_pa) >= 1.2e5
