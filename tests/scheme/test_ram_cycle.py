"""The beat of a scheme's ram."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from terrain_head.base.measured import Measured
from terrain_head.formulas.friction import velocity_m_s
from terrain_head.formulas.surge import WAVE_IN_FREE_WATER_M_S, wave_speed_m_s
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Parts, PipeSpec, Ram
from terrain_head.scheme.ram_cycle import (
    CLOSING_SHARE,
    Drive,
    RamCycle,
    cycle_for,
    cycle_of,
    share_from_beats,
    wave_in,
)
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from tests.scheme.hills import known, m, ram_hill, ram_parts

FloatArray = NDArray[np.float64]
L_MIN = 1 / 60_000


def with_ram(parts: Parts | None = None, **changes: object) -> Parts:
    parts = ram_parts() if parts is None else parts
    assert parts.ram is not None
    change: object = replace(parts.ram, **changes)  # type: ignore[arg-type]
    assert isinstance(change, Ram)
    return replace(parts, ram=change)


def with_drive(**changes: object) -> Parts:
    parts = ram_parts()
    drive = parts.pipes[0]
    assert drive.spec is not None
    spec: object = replace(drive.spec, **changes)  # type: ignore[arg-type]
    assert isinstance(spec, PipeSpec)
    return replace(parts, pipes=(replace(drive, spec=spec), *parts.pipes[1:]))


def solved(parts: Parts) -> Solution:
    return solve(lay_out(parts, ground=ram_hill(parts)))


def cycle(parts: Parts) -> RamCycle:
    found = cycle_of(solved(parts))
    assert found is not None
    return found


def drive_of(**changes: float) -> Drive:
    values = {"flow_m3_s": 7.54e-2 / 60, "fall_m": 3.0, "head_m": 30.0, "length_m": 15.0,
              "inside_m": 0.05, "closing_share": 0.6, "wave_m_s": 1200.0, **changes}  # fmt: skip
    return Drive(**{name: np.asarray(value, np.float64) for name, value in values.items()})


def test_the_beat_of_the_test_ram_comes_back_from_its_drive_flow() -> None:
    """75.40 L/min is what the ram of 2 m/s, shut at 0.6 of it, wastes and delivers."""
    found = cycle_for(drive_of())
    assert float(found.steady_m_s) == pytest.approx(2.0, rel=1e-4)
    assert float(found.closing_m_s) == pytest.approx(1.2, rel=1e-4)
    assert 60 / float(found.beat.time_s) == pytest.approx(77.44, abs=0.01)
    assert float(found.hammer_m) == pytest.approx(3 + 147, abs=0.2)
    assert float(found.stepped_share) == pytest.approx(0.07923 / 0.08009, abs=2e-4)


def test_no_beat_without_fall_flow_or_lift() -> None:
    for nothing in ({"fall_m": 0.0}, {"flow_m3_s": 0.0}, {"head_m": 3.0}, {"fall_m": -1.0}):
        found = cycle_for(drive_of(**nothing))
        assert np.isnan([found.closing_m_s, found.closing_most_m_s, found.ideal_efficiency]).all()


shares = st.floats(0.05, 0.95)


@given(shares, st.floats(1e-4, 5e-3), st.floats(1.0, 8.0), st.floats(1.5, 25.0))
def test_the_flow_that_went_in_comes_out(
    share: float, flow: float, fall: float, ratio: float
) -> None:
    drive = drive_of(closing_share=share, flow_m3_s=flow, fall_m=fall, head_m=ratio * fall)
    found = cycle_for(drive)
    assert float(found.beat.drive_m3_s) == pytest.approx(flow)
    mean = float(velocity_m_s(flow, inside_m=0.05))
    assert mean <= float(found.closing_m_s) <= float(found.closing_most_m_s) * (1 + 1e-12)
    assert found.stepped_share <= 1 + 1e-12


@given(shares, st.floats(1.5, 25.0))
def test_beats_give_the_share_that_made_them(share: float, ratio: float) -> None:
    drive = drive_of(closing_share=share, head_m=3.0 * ratio)
    beats = np.asarray(1 / cycle_for(drive).beat.time_s)
    assert float(share_from_beats(drive, beats)) == pytest.approx(share, abs=1e-6)


def test_beats_too_quick_fit_nothing_and_very_slow_ones_mean_the_steady_velocity() -> None:
    drive = drive_of()
    quick, slow = share_from_beats(drive, np.array([3.0, 0.01]))
    assert np.isnan(quick)
    assert slow == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("change", "slower", "harder"),
    [({"length_m": 30.0}, True, None), ({"inside_m": 0.08}, False, False),
     ({"closing_share": 0.9}, True, False), ({"wave_m_s": 400.0}, None, False),
     ({"flow_m3_s": 2e-3}, True, True)],
)  # fmt: skip
def test_what_each_thing_does_to_beat_and_blow(
    change: dict[str, float], slower: bool | None, harder: bool | None
) -> None:
    """With the same flow a later closing is a lower peak: more of the beat runs near it."""
    before, after = cycle_for(drive_of()), cycle_for(drive_of(**change))
    assert slower == told(before.beat.time_s, after.beat.time_s)
    assert harder == told(before.hammer_m, after.hammer_m)


def told(before: FloatArray, after: FloatArray) -> bool | None:
    ratio = float(after / before)
    return None if abs(ratio - 1) < 1e-9 else ratio > 1


def test_a_soft_pipe_delivers_nothing_where_a_hard_one_does() -> None:
    """60 m over the ram at 1.2 m/s: a wave of 400 m/s raises 49 m."""
    soft = cycle_for(drive_of(wave_m_s=400.0, head_m=60.0))
    hard = cycle_for(drive_of(wave_m_s=1200.0, head_m=60.0))
    assert float(soft.stepped_share) == 0.0
    assert float(hard.stepped_share) > 0.3
    assert soft.closing_m_s < soft.least_closing_m_s
    assert hard.closing_m_s > hard.least_closing_m_s


def test_the_studys_ram() -> None:
    solution = solved(ram_parts())
    assert solution.ram is not None
    found = cycle_of(solution)
    assert found is not None
    assert float(found.drive.flow_m3_s) == pytest.approx(30 * L_MIN)
    head = known(solution.ram.lift_m) + known(solution.ram.delivery_loss_m)
    assert float(found.drive.head_m) == pytest.approx(head)
    assert (found.share_origin, float(found.drive.closing_share)) == ("taken", CLOSING_SHARE)
    assert found.factor_origin == "measured"
    ideal = float(found.cycle.ideal_efficiency)
    assert float(found.factor) * ideal == pytest.approx(known(solution.ram.rankine))
    whole = float(found.delivered_m3 + found.wasted_m3) / float(found.cycle.beat.time_s)
    assert whole == pytest.approx(30 * L_MIN)
    lifted = float(found.delivered_m3) / float(found.cycle.beat.time_s)
    assert lifted == pytest.approx(known(solution.ram.delivered_m3_s))


def test_measured_beats_give_the_closing_share_where_they_fit() -> None:
    taken = cycle(ram_parts())
    quickest = float(taken.quickest_hz)
    told = cycle(with_ram(beats_hz=Measured(value=0.8 * quickest)))
    assert told.share_origin == "beats"
    assert float(told.cycle.beat.time_s) == pytest.approx(1 / (0.8 * quickest))
    too_quick = cycle(with_ram(beats_hz=Measured(value=1.01 * quickest)))
    assert too_quick.share_origin == "taken"
    assert float(too_quick.cycle.beat.time_s) == pytest.approx(float(taken.cycle.beat.time_s))


def test_an_efficiency_of_nobody_leaves_the_beat_and_no_factor() -> None:
    found = cycle(with_ram(ram_parts(efficiency=None), built=None))
    assert np.isnan([found.factor, found.delivered_m3, found.wasted_m3]).all()
    assert found.factor_origin is None
    assert float(found.cycle.beat.time_s) > 0


def test_an_efficiency_of_the_whole_line_without_delivery_bore_counts_the_lift_alone() -> None:
    parts = with_ram(efficiency_of="whole line")
    pipes = (parts.pipes[0], replace(parts.pipes[1], spec=None), *parts.pipes[2:])
    solution = solved(replace(parts, pipes=pipes))
    found = cycle_of(solution)
    assert found is not None
    assert solution.ram is not None
    assert float(found.drive.head_m) == pytest.approx(known(solution.ram.lift_m))


def test_without_a_ram_flow_bore_or_tank_there_is_no_beat() -> None:
    parts = ram_parts()
    drive, delivery, *_ = parts.pipes
    bare = replace(parts, pipes=(replace(drive, spec=None), *parts.pipes[1:]))
    assert parts.source is not None
    dry = with_ram(replace(parts, source=replace(parts.source, flow_m3_s=None)), flow_m3_s=None)
    no_tank = replace(parts, tanks=(), pipes=(drive,), outlets=())
    none = replace(parts, ram=None, pipes=parts.pipes[2:])
    stopped = with_ram(flow_least_m3_s=m(31 * L_MIN))
    assert delivery.name == "delivery"
    for one in (bare, dry, no_tank, none, stopped):
        assert cycle_of(solved(one)) is None


def test_draws_go_through_whole() -> None:
    layout = lay_out(ram_parts(), ground=ram_hill(ram_parts()))
    drawn = solve(with_values(layout, source_flow_m3_s=np.array([20.0, 30.0, 46.0]) * L_MIN))
    found = cycle_of(drawn)
    assert found is not None
    assert found.cycle.hammer_m.shape == found.delivered_m3.shape == found.factor.shape == (3,)
    assert np.all(np.diff(found.cycle.closing_m_s) > 0)


def test_a_draw_without_a_beat_spoils_no_other() -> None:
    parts = with_ram(flow_least_m3_s=m(20 * L_MIN), beats_hz=m(1.0))
    layout = lay_out(parts, ground=ram_hill(parts))
    drawn = solve(with_values(layout, source_flow_m3_s=np.array([20.0, 30.0, 46.0]) * L_MIN))
    found = cycle_of(drawn)
    assert found is not None
    assert np.isnan(found.cycle.closing_m_s).tolist() == [True, False, False]
    assert found.share_origin == "beats"
    assert found.cycle.beat.time_s[1:] == pytest.approx(1.0)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_of_several_rams_each_has_its_own_drive_pipe_and_beat(count: int) -> None:
    """The delivery they share carries the water of all; each drive pipe that of one."""
    parts = with_ram(count=count, flow_m3_s=m(10 * L_MIN))
    solution = solved(parts)
    found = cycle_of(solution)
    assert found is not None
    assert solution.ram is not None
    assert float(found.drive.flow_m3_s) == pytest.approx(10 * L_MIN)
    line = solution.pipes["delivery"].running
    assert line is not None
    assert known(line.flow_m3_s) == pytest.approx(known(solution.ram.delivered_m3_s))
    loss = known(line.head_loss_m)
    assert loss == pytest.approx(known(solution.ram.delivery_loss_m))
    efficiency = 0.58 * count * 10 * L_MIN * known(solution.ram.fall_m)
    head = known(solution.ram.lift_m) + loss
    assert known(solution.ram.delivered_m3_s) * head == pytest.approx(efficiency)
    alone = cycle(with_ram(flow_m3_s=m(10 * L_MIN)))
    assert float(found.cycle.closing_m_s) == pytest.approx(float(alone.cycle.closing_m_s), rel=0.01)
    beats = float(found.cycle.beat.time_s)
    assert count * float(found.delivered_m3) / beats == pytest.approx(
        known(solution.ram.delivered_m3_s)
    )


def test_a_pipe_before_several_rams_loses_what_all_their_water_takes() -> None:
    """A feed to one open box, from which each drive pipe draws for itself."""
    from tests.scheme.hills import hill, run, tank

    def fall(count: int, each: float) -> float:
        parts = Parts(
            source=replace(ram_parts().source, share=1.0),  # type: ignore[type-var]
            ram=Ram(place="hollow", efficiency=m(0.6), feed=("feed",), count=count,
                    flow_m3_s=m(each)),
            tanks=(tank(),),
            pipes=(run("feed", "source", "bend"), run("drive", "bend", "ram", bore_m=0.0525),
                   run("delivery", "ram", "tank")),
        )  # fmt: skip
        ground = hill(parts, {"spring": 100.0, "bend": 99.0, "hollow": 96.0, "knoll": 118.0})
        ram = solve(lay_out(parts, ground=ground)).ram
        assert ram is not None
        return known(ram.fall_m)

    assert fall(2, 10 * L_MIN) == pytest.approx(fall(1, 20 * L_MIN))
    assert fall(2, 10 * L_MIN) < fall(1, 10 * L_MIN)


@pytest.mark.parametrize(
    ("changes", "origin"),
    [({"wall_m": 3.9e-3, "material": "steel"}, "wall"),
     ({"wall_m": 3e-3, "material": "PE", "rigid": False}, "wall"),
     ({"wall_m": None, "material": "steel", "rigid": True}, "free water"),
     ({"wall_m": 3e-3, "material": "copper", "rigid": True}, "free water"),
     ({"wall_m": None, "material": "PVC", "rigid": False}, None)],
)  # fmt: skip
def test_the_waves_speed_comes_from_the_wall(
    changes: dict[str, object], origin: str | None
) -> None:
    parts = with_drive(**changes)
    pipe = solved(parts).layout.pipes["drive"]
    speed, found = wave_in(pipe)
    assert found == origin
    if origin is None:
        assert np.isnan(speed)
        assert np.isnan(cycle(parts).cycle.hammer_m)
    elif origin == "free water":
        assert float(speed) == WAVE_IN_FREE_WATER_M_S
    else:
        assert changes["wall_m"] == pipe.spec.wall_m  # type: ignore[union-attr]
        assert float(speed) < WAVE_IN_FREE_WATER_M_S
        modulus = 207e9 if changes["material"] == "steel" else 1e9
        assert float(speed) == pytest.approx(
            float(wave_speed_m_s(inside_m=0.0525, wall_m=changes["wall_m"], modulus_pa=modulus))  # type: ignore[arg-type]
        )
