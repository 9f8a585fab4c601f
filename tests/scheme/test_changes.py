"""A scheme laid out anew with other values."""

from __future__ import annotations

import numpy as np
import pytest

from terrain_head.scheme.changes import with_values
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.solver import solve
from tests.scheme.hills import known, ram_hill, ram_parts


def test_a_stated_height_that_is_moved_moves_what_hangs_on_it() -> None:
    parts = ram_parts()
    layout = lay_out(parts, ground=ram_hill(parts))
    moved = with_values(
        layout,
        moved_m={
            "source.water_above": [0.0, 0.1],
            "ram.valve_above": 0.02,
            "tank.tank.inlet": 0.3,
            "outlet.tap.height": -0.5,
            "pipe.delivery.cover": 0.2,
        },
    )
    before, after = solve(layout), solve(moved)
    assert before.ram is not None
    assert after.ram is not None
    fall = before.ram.fall_m + np.array([-0.02, 0.08])
    assert after.ram.fall_m == pytest.approx(fall)
    assert known(after.ram.lift_m) == pytest.approx(known(before.ram.lift_m) + 0.28)
    still = known(before.outlets["tap"].static_low_pa)
    assert known(after.outlets["tap"].static_low_pa) == pytest.approx(
        still + 0.5 * 9803.7, rel=1e-4
    )
    lower = layout.pipes["delivery"].pipe_m - 0.2
    assert moved.pipes["delivery"].pipe_m == pytest.approx(lower)


def test_a_published_efficiency_departs_within_its_spread_and_a_measured_one_does_not() -> None:
    parts = ram_parts(efficiency=None)
    layout = lay_out(parts, ground=ram_hill(parts))
    middle = solve(layout).ram
    drawn = solve(with_values(layout, efficiency_departure=[-1.0, 0.0, 1.0, -50.0])).ram
    assert middle is not None
    assert drawn is not None
    assert drawn.efficiency is not None
    assert drawn.efficiency_low is not None
    assert drawn.efficiency_high is not None
    assert drawn.efficiency[0] == pytest.approx(drawn.efficiency_low[0])
    assert drawn.efficiency[1] == pytest.approx(known(middle.efficiency))
    assert drawn.efficiency[2] == pytest.approx(drawn.efficiency_high[2])
    assert drawn.efficiency[3] == 0.0
    measured = lay_out(ram_parts(), ground=ram_hill(ram_parts()))
    same = solve(with_values(measured, efficiency_departure=[-1.0, 1.0])).ram
    assert same is not None
    assert same.efficiency == pytest.approx(0.58)
