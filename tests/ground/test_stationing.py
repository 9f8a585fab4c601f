"""Stations of a line do not depend on the way it is walked."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.ground.stationing import comes_first, cut_line, nearest_spot

coordinate = st.floats(-500, 500)
corners = st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=6).filter(
    lambda points: all(np.hypot(a[0] - b[0], a[1] - b[1]) > 0.01 for a, b in pairwise(points))
)


@given(corners=corners, step_m=st.floats(5, 200))
def test_a_line_and_its_reverse_have_the_same_points(
    corners: list[tuple[float, float]], step_m: float
) -> None:
    there = cut_line(corners, step_m=step_m)
    back = cut_line(corners[::-1], step_m=step_m)
    assert np.array_equal(there.points_m, back.points_m[::-1])
    assert np.array_equal(there.corner, back.corner[::-1])


@given(corners=corners, step_m=st.floats(5, 200))
def test_stations_rise_and_stand_at_most_a_step_apart(
    corners: list[tuple[float, float]], step_m: float
) -> None:
    line = cut_line(corners, step_m=step_m)
    steps = np.diff(line.station_m)
    assert np.all(steps > 0)
    assert np.all(steps <= step_m * (1 + 1e-6))
    assert {tuple(p) for p in corners} <= {tuple(p) for p in line.points_m[line.corner].tolist()}


def test_corners_written_twice_are_one_station() -> None:
    line = cut_line([[0, 0], [0, 0], [3, 0], [3, 4], [3, 4]], step_m=None)
    assert line.station_m.tolist() == [0.0, 3.0, 7.0]


@pytest.mark.parametrize(
    ("point", "station", "gap"),
    [((2.0, 1.0), 2.0, 1.0), ((-3.0, 4.0), 0.0, 5.0), ((11.0, 5.0), 15.0, 1.0)],
)
def test_the_nearest_spot_of_a_line(point: tuple[float, float], station: float, gap: float) -> None:
    line = cut_line([[0, 0], [10, 0], [10, 8]], step_m=3.0)
    foot = nearest_spot(line, point)
    assert foot.station_m == pytest.approx(station, abs=1e-12)
    assert foot.gap_m == pytest.approx(gap, abs=1e-12)


def test_the_western_end_comes_first_then_the_southern() -> None:
    assert comes_first([0.0, 9.0], [1.0, 0.0])
    assert comes_first([0.0, 0.0], [0.0, 1.0])
    assert not comes_first([0.0, 1.0], [0.0, 0.0])
