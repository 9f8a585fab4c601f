"""What must hold in every scheme, whatever its numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.ground.ground import GroundProfile
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import PipeRun
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from tests.scheme.hills import m, there
from tests.strategies import Scheme, layouts, ram_schemes

few = settings(max_examples=25, deadline=None)


def solved(scheme: Scheme) -> Solution:
    return solve(scheme.laid_out())


def numbers(record: object, path: str = "") -> dict[str, np.ndarray]:
    """Return every number of a result by its path, the layout left out."""
    found: dict[str, np.ndarray] = {}
    if isinstance(record, np.ndarray | np.floating):
        found[path] = np.asarray(record)
    elif isinstance(record, dict):
        for key, value in record.items():
            found |= numbers(value, f"{path}.{key}")
    elif is_dataclass(record):
        for field in fields(record):
            if field.name not in {"layout", "stand_sweep"}:
                found |= numbers(getattr(record, field.name), f"{path}.{field.name}")
    return found


def pressures(solution: Solution) -> dict[str, np.ndarray]:
    """Return what does not hang on the datum."""
    levels = {
        "deck_m", "full_level_m", "lowest_level_m", "inlet_level_m", "level_m", "static_m",
        "upstream_head_m", "downstream_head_m", "total_head_m", "grade_m",
    }  # fmt: skip
    return {
        path: values
        for path, values in numbers(solution).items()
        if path.rsplit(".", 1)[-1] not in levels
    }


def assert_same(first: dict[str, np.ndarray], second: dict[str, np.ndarray]) -> None:
    assert first.keys() == second.keys()
    for path, values in first.items():
        small = 1e-12 if np.nanmax(np.abs(values), initial=0) < 0.1 else 1e-5
        np.testing.assert_allclose(values, second[path], rtol=1e-7, atol=small, err_msg=path)


@few
@given(ram_schemes(), st.sampled_from([-100.0, 541.3, 2500.0]))
def test_a_constant_added_to_the_datum_changes_no_pressure_and_no_flow(
    scheme: Scheme, constant: float
) -> None:
    layout = scheme.laid_out()
    moved = with_values(layout, elevation_m=scheme.ground.elevation_m + constant)
    assert_same(pressures(solve(layout)), pressures(solve(moved)))


def turned(run: PipeRun) -> PipeRun:
    return replace(run, start=run.end, end=run.start)


def turned_profile(profile: GroundProfile) -> GroundProfile:
    """Turn a profile round, written out anew."""
    return replace(
        profile,
        index=profile.index[::-1],
        station_m=profile.station_m[-1] - profile.station_m[::-1],
        elevation_m=profile.elevation_m[::-1],
        along_m=profile.along_m[-1] - profile.along_m[::-1],
    )


@few
@given(ram_schemes())
def test_writing_the_pipes_the_other_way_round_changes_nothing(scheme: Scheme) -> None:
    parts = replace(scheme.parts, pipes=tuple(turned(run) for run in scheme.parts.pipes))
    profiles = {name: turned_profile(p) for name, p in scheme.ground.profiles.items()}
    other = Scheme(parts=parts, ground=replace(scheme.ground, profiles=profiles))
    assert_same(numbers(solved(scheme)), numbers(solved(other)))


@few
@given(ram_schemes())
def test_total_head_never_rises_in_the_direction_of_flow(scheme: Scheme) -> None:
    solution = solved(scheme)
    seen = 0
    for result in solution.pipes.values():
        for line in (result.running, result.running_full):
            if line is None:
                continue
            seen += 1
            way = np.concatenate(
                [[line.upstream_head_m], line.total_head_m, [line.downstream_head_m]]
            )
            assert np.all(np.diff(way) <= 1e-9)
            assert np.all(line.grade_m <= line.total_head_m)
    assert seen >= 8


def cut(scheme: Scheme, name: str, at: int) -> Scheme:
    """Cut a pipe in two at one of its inner stations, which becomes a place."""
    ground, parts = scheme.ground, scheme.parts
    run = next(run for run in parts.pipes if run.name == name)
    profile = ground.profiles[name]
    entry = int(profile.index[at])
    names = (*(f"{i}" for i in range(len(ground.names), entry)), "cut")
    halves = []
    for half, part in (("", slice(None, at + 1)), (" 2", slice(at, None))):
        halves.append(
            replace(
                profile,
                name=name + half,
                index=profile.index[part],
                station_m=profile.station_m[part],
                east_m=profile.east_m[part],
                north_m=profile.north_m[part],
                elevation_m=profile.elevation_m[part],
                std_m=profile.std_m[part],
                origin=profile.origin[part],
                along_m=profile.along_m[part],
                corner=profile.corner[part],
            )
        )
    runs = (
        replace(run, end="cut", fittings={}),
        replace(run, name=name + " 2", start="cut", fittings=run.fittings),
    )
    pipes = tuple(
        piece for other in parts.pipes for piece in (runs if other.name == name else (other,))
    )
    ram = parts.ram
    if ram is not None and run.end == "ram":
        ram = replace(ram, delivery=name + " 2")
    return Scheme(
        parts=replace(parts, pipes=pipes, ram=ram),
        ground=replace(
            ground,
            names=ground.names + names,
            profiles={**ground.profiles, name: halves[0], name + " 2": halves[1]},
        ),
    )


@few
@given(ram_schemes(), st.sampled_from(["main", "delivery"]), st.data())
def test_cutting_a_pipe_in_two_changes_no_loss(
    scheme: Scheme, name: str, data: st.DataObject
) -> None:
    pipes = tuple(replace(run, length_m=None) for run in scheme.parts.pipes)
    whole = Scheme(parts=replace(scheme.parts, pipes=pipes), ground=scheme.ground)
    inner = len(whole.ground.profiles[name].index) - 2
    if inner == 0:
        return
    at = data.draw(st.integers(1, inner))
    two, one = solved(cut(whole, name, at)), solved(whole)
    both = [two.pipes[name].running, two.pipes[name + " 2"].running]
    alone = one.pipes[name].running
    assert alone is not None
    losses = sum(float(line.head_loss_m) for line in both if line is not None)
    assert losses == pytest.approx(float(alone.head_loss_m), rel=1e-9)
    assert two.ram is not None
    assert one.ram is not None
    np.testing.assert_allclose(
        there(two.ram.delivered_m3_s), there(one.ram.delivered_m3_s), rtol=1e-9
    )
    for tap, result in one.outlets.items():
        np.testing.assert_allclose(
            there(two.outlets[tap].running_low_pa),
            there(result.running_low_pa),
            rtol=1e-9,
            atol=1e-3,
        )


@few
@given(layouts())
def test_a_higher_stand_lowers_no_pressure_and_brings_no_more_water(layout: Layout) -> None:
    sweep = solve(layout).stand_sweep
    assert sweep is not None
    for pressure in sweep.running_low_pa.values():
        assert np.all(np.diff(pressure) >= 0)
    if sweep.inflow_m3_s is not None:
        known = sweep.inflow_m3_s[np.isfinite(sweep.inflow_m3_s)]
        assert np.all(np.diff(known) <= 1e-15)


@few
@given(layouts())
def test_the_stand_sweep_goes_through_the_stand_as_built(layout: Layout) -> None:
    sweep = solve(layout).stand_sweep
    assert sweep is not None
    at = 7
    one = solve(with_values(layout, stand_m={"tank": sweep.stand_m[at]}))
    for name, pressure in sweep.running_low_pa.items():
        np.testing.assert_allclose(
            pressure[at], there(one.outlets[name].running_low_pa), rtol=1e-9, atol=1e-3
        )
    if sweep.inflow_m3_s is not None:
        np.testing.assert_allclose(
            sweep.inflow_m3_s[at], there(one.tanks["tank"].inflow_m3_s), rtol=1e-9
        )


@few
@given(layouts())
def test_the_stand_needed_is_just_enough(layout: Layout) -> None:
    for name, result in solve(layout).outlets.items():
        stand_m = result.stand_needed_m
        assert stand_m is not None
        assert result.enough is not None
        needs_pa = next(o.needs_pa for o in layout.outlets if o.name == name)
        assert needs_pa is not None
        raised = solve(with_values(layout, stand_m={"tank": stand_m})).outlets[name]
        assert raised.running_low_pa is not None
        if stand_m > 0:
            assert float(raised.running_low_pa) == pytest.approx(needs_pa.value, abs=0.01)
        else:
            assert float(raised.running_low_pa) >= needs_pa.value - 0.01


@few
@given(ram_schemes(), st.floats(1.05, 3.0))
def test_more_flow_loses_more_head(scheme: Scheme, factor: float) -> None:
    outlets = tuple(
        replace(o, flow_m3_s=m(o.flow_m3_s.value * factor))
        for o in scheme.parts.outlets
        if o.flow_m3_s is not None
    )
    more = solved(Scheme(parts=replace(scheme.parts, outlets=outlets), ground=scheme.ground))
    for name, result in solved(scheme).pipes.items():
        if scheme.parts.ram is not None and name in {"main", "to house", "to beds"}:
            line, other = result.running, more.pipes[name].running
            assert line is not None
            assert other is not None
            assert float(line.head_loss_m) < float(other.head_loss_m)


@few
@given(layouts())
def test_water_in_equals_water_out(layout: Layout) -> None:
    ram = solve(layout).ram
    assert ram is not None
    out = [ram.delivered_m3_s, ram.wasted_m3_s, ram.passed_by_m3_s]
    assert all(part is not None for part in out)
    assert ram.available_m3_s is not None
    np.testing.assert_allclose(
        sum(float(part) for part in out if part is not None), ram.available_m3_s, rtol=1e-12
    )


def changes(scheme: Scheme, draws: int, seed: int) -> dict[str, object]:
    """Return values to be changed, each (draws,) or (draws, n)."""
    rng = np.random.default_rng(seed)

    def about(value: float, spread: float) -> np.ndarray:
        return value * (1 + spread * rng.uniform(-1, 1, draws))

    ground = scheme.ground.elevation_m
    ram, source = scheme.parts.ram, scheme.parts.source
    assert ram is not None
    assert source is not None
    assert source.flow_m3_s is not None
    specs = {run.name: run.spec for run in scheme.parts.pipes if run.spec is not None}
    values: dict[str, object] = {
        "elevation_m": ground + rng.normal(0, 0.4, (draws, ground.size)),
        "source_flow_m3_s": about(source.flow_m3_s.value, 0.3),
        "inside_m": {name: about(spec.inside_m.value, 0.05) for name, spec in specs.items()},
        "roughness_m": {name: about(spec.roughness_m.value, 0.9) for name, spec in specs.items()},
        "stand_m": {"tank": about(3.0, 0.5)},
    }
    if ram.efficiency is not None:
        values["efficiency"] = about(ram.efficiency.value, 0.2)
    return values


def drawn(values: dict[str, object], at: int) -> dict[str, object]:
    taken: dict[str, object] = {}
    for key, value in values.items():
        if isinstance(value, dict):
            taken[key] = {name: array[at] for name, array in value.items()}
        else:
            assert isinstance(value, np.ndarray)
            taken[key] = value[at]
    return taken


@settings(max_examples=15, deadline=None)
@given(ram_schemes(), st.integers(0, 1000))
def test_draws_in_one_call_equal_the_solves_one_by_one(scheme: Scheme, seed: int) -> None:
    draws = 4
    change: Callable[..., Layout] = with_values
    values = changes(scheme, draws, seed)
    layout = scheme.laid_out()
    together = numbers(solve(change(layout, **values)))
    for at in range(draws):
        alone = numbers(solve(change(layout, **drawn(values, at))))
        for path, value in alone.items():
            whole = together[path]
            one = whole[at] if whole.shape == (draws, *value.shape) else whole
            np.testing.assert_allclose(one, value, rtol=1e-12, atol=1e-12, err_msg=path)


@few
@given(layouts())
def test_values_changed_before_stay_changed(layout: Layout) -> None:
    higher = with_values(layout, stand_m={"tank": 7.0})
    wetter = with_values(higher, source_flow_m3_s=1e-3, efficiency=0.5)
    assert float(wetter.deck_m["tank"]) == float(higher.deck_m["tank"])
    assert wetter.ram_efficiency is not None
    assert float(wetter.ram_efficiency) == 0.5
    assert wetter.source_flow_m3_s is not None
    assert float(wetter.source_flow_m3_s) == 1e-3
