"""The cheapest way over cells: as scipy's Dijkstra finds it, whichever way the ground is turned."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from terrain_head.search.costs import (
    CostGround,
    RouteRates,
    cost_ground,
    evened_heights,
    steepness,
)
from terrain_head.search.route_field import route_field

FloatArray = NDArray[np.float64]

HOPS = [
    (row, column)
    for row in range(-2, 3)
    for column in range(-2, 3)
    if max(abs(row), abs(column)) == 1 or abs(row * column) == 2
]


def rough_ground(seed: int, *, size: int = 17, **more: Any) -> CostGround:
    """Give a random ground with a slope, bumps and cells where none may go."""
    rng = np.random.default_rng(seed)
    rows, columns = np.mgrid[0:size, 0 : size + 2]
    height = 100 - 0.4 * rows - 0.1 * columns + rng.normal(0, 0.3, rows.shape)
    factor = rng.uniform(1.0, 3.0, rows.shape)
    factor[rng.random(rows.shape) < 0.12] = np.inf
    factor[0, 0] = factor[-1, -1] = 1.0
    return CostGround(height_m=height, factor=factor, cell_m=2.0, **more)


def hop_by_hand(ground: CostGround, cell: tuple[int, int], *, hop: tuple[int, int]) -> float:
    """Return the cost of one upward hop, by the rule as it is written, one number at a time."""
    row, column = cell
    down, across = hop
    end = row + down, column + across
    z, f = ground.height_m, ground.factor
    if abs(down) + abs(across) == 1:
        marks = [(z[cell], f[cell]), (z[end], f[end])]
    else:
        under = [
            (row + r, column + c)
            for r in {int(np.floor(down / 2)), int(np.ceil(down / 2))}
            for c in {int(np.floor(across / 2)), int(np.ceil(across / 2))}
        ]
        middle = float(np.mean([z[at] for at in under])), float(np.mean([f[at] for at in under]))
        marks = [(z[cell], f[cell]), middle, (z[end], f[end])]
    level = ground.cell_m * float(np.hypot(down, across)) / (len(marks) - 1)
    total = 0.0
    for (low, first), (high, second) in pairwise(marks):
        total += float(np.hypot(level, high - low)) * (first + second) / 2
        if ground.least_grade is not None and low - high < ground.least_grade * level:
            return np.inf
        if ground.least_grade is None:
            total += ground.lost_climb * max(low - high, 0.0)
    return total


def by_dijkstra(ground: CostGround, start: tuple[int, int]) -> FloatArray:
    """Return the least cost to every cell, hop by hop as a graph, by scipy."""
    rows, columns = ground.height_m.shape
    first, last, cost = [], [], []
    for row in range(rows):
        for column in range(columns):
            for down, across in HOPS:
                end = row + down, column + across
                if not (0 <= end[0] < rows and 0 <= end[1] < columns):
                    continue
                price = hop_by_hand(ground, (row, column), hop=(down, across))
                if np.isfinite(price):
                    first.append(row * columns + column)
                    last.append(end[0] * columns + end[1])
                    cost.append(price)
    graph = csr_array((cost, (first, last)), shape=(rows * columns,) * 2)
    found = dijkstra(graph, indices=start[0] * columns + start[1])
    return np.asarray(found).reshape(rows, columns)


@pytest.mark.parametrize("seed", range(25))
def test_costs_of_a_pressure_pipe_are_those_of_dijkstra(seed: int) -> None:
    ground = rough_ground(seed)
    expected = by_dijkstra(ground, (0, 0))
    np.testing.assert_allclose(expected, route_field(ground, (0, 0)).cost, rtol=0, atol=1e-9)


@pytest.mark.parametrize("seed", range(25))
def test_costs_of_a_gravity_line_are_those_of_dijkstra(seed: int) -> None:
    ground = rough_ground(seed, least_grade=0.02)
    ground = replace(ground, height_m=ground.height_m - 0.4 * np.arange(17.0)[:, None])
    expected = by_dijkstra(ground, (0, 0))
    assert 20 < np.isfinite(expected).sum() < expected.size
    np.testing.assert_allclose(expected, route_field(ground, (0, 0)).cost, rtol=0, atol=1e-9)


@pytest.mark.parametrize("grade", [None, 0.02])
@pytest.mark.parametrize("seed", range(5))
def test_the_way_back_costs_what_the_field_says(seed: int, grade: float | None) -> None:
    ground = rough_ground(seed, least_grade=grade)
    field = route_field(ground, (0, 0))
    end = (16, 18)
    way = field.way_to(end)
    if way is None:
        assert np.isinf(field.cost[end])
        return
    cells = [(int(row), int(column)) for row, column in way]
    assert ((0, 0), end) == (cells[0], cells[-1])
    price = sum(
        hop_by_hand(ground, first, hop=(last[0] - first[0], last[1] - first[1]))
        for first, last in pairwise(cells)
    )
    assert price == pytest.approx(field.cost[end], abs=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_asked_for_one_cell_its_cost_is_that_of_the_whole_field(seed: int) -> None:
    ground = rough_ground(seed, size=40)
    whole = route_field(ground, (2, 3))
    for end in ((30, 9), (3, 3), (39, 41)):
        assert whole.cost[end] == route_field(ground, (2, 3), end=end).cost[end]


def test_a_cell_that_nothing_leads_to_has_no_way() -> None:
    ground = rough_ground(1)
    factor = ground.factor.copy()
    factor[5:7] = np.inf
    field = route_field(replace(ground, factor=factor), (0, 0))
    assert field.way_to((16, 18)) is None
    assert np.isinf(field.cost[7:]).all()


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), shift=st.floats(-500, 500), grade=st.sampled_from([None, 0.02]))
def test_a_datum_shift_changes_no_cost(seed: int, shift: float, grade: float | None) -> None:
    ground = rough_ground(seed, least_grade=grade)
    moved = replace(ground, height_m=ground.height_m + shift)
    np.testing.assert_allclose(
        route_field(ground, (0, 0)).cost, route_field(moved, (0, 0)).cost, rtol=0, atol=1e-8
    )


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), turns=st.integers(1, 3), grade=st.sampled_from([None, 0.02]))
def test_turning_the_cells_turns_the_costs(seed: int, turns: int, grade: float | None) -> None:
    ground = rough_ground(seed, least_grade=grade)
    turned = replace(
        ground,
        height_m=np.rot90(ground.height_m, turns),
        factor=np.rot90(ground.factor, turns),
    )
    start = tuple(int(at[0]) for at in np.nonzero(np.rot90(_marked(ground, (0, 0)), turns)))
    expected = np.rot90(route_field(ground, (0, 0)).cost, turns)
    found = route_field(turned, (start[0], start[1])).cost
    np.testing.assert_allclose(expected, found, rtol=0, atol=1e-9)


def _marked(ground: CostGround, cell: tuple[int, int]) -> NDArray[np.bool_]:
    mark = np.zeros(ground.height_m.shape, dtype=np.bool_)
    mark[cell] = True
    return mark


@pytest.mark.parametrize("seed", range(10))
def test_a_pressure_pipe_costs_the_same_walked_either_way(seed: int) -> None:
    ground = rough_ground(seed)
    up = route_field(ground, (16, 18), upward=1.0).cost[0, 0]
    down = route_field(ground, (0, 0), upward=-1.0).cost[16, 18]
    assert up == pytest.approx(down, abs=1e-9)


def test_a_summit_between_is_gone_round() -> None:
    rows, columns = np.mgrid[0:41, 0:41]
    hump = 4 * np.exp(-((rows - 20) ** 2 + (columns - 20) ** 2) / 30.0)
    ground = CostGround(height_m=hump, factor=np.ones(hump.shape), cell_m=1.0)
    way = route_field(ground, (20, 2)).way_to((20, 38))
    assert way is not None
    assert hump[way[:, 0], way[:, 1]].max() < 0.5
    free = route_field(replace(ground, lost_climb=0.0), (20, 2)).way_to((20, 38))
    assert free is not None
    assert hump[free[:, 0], free[:, 1]].max() > hump[way[:, 0], way[:, 1]].max()


def test_on_level_ground_every_way_of_the_same_length_is_tried_once() -> None:
    """Many ways cost exactly the same there: cells must not wait once for each of them."""
    ground = CostGround(height_m=np.zeros((60, 60)), factor=np.ones((60, 60)), cell_m=2.0)
    found = route_field(ground, (5, 5)).cost
    assert found[45, 25] == pytest.approx(2.0 * np.hypot(40, 20))
    assert found[50, 50] == pytest.approx(2.0 * np.hypot(45, 45))


def test_a_long_hop_pays_for_the_ground_under_it() -> None:
    """A wall one cell wide is not hopped over, though both ends of the hop lie at its foot."""
    flat = np.zeros((9, 9))
    wall = flat.copy()
    wall[4] = 3.0
    ground = CostGround(height_m=wall, factor=np.ones((9, 9)), cell_m=1.0, lost_climb=10.0)
    across = route_field(ground, (3, 2)).cost[5, 3]
    assert across > 2 * 3.0 + 10.0 * 3.0
    barred = np.ones((9, 9))
    barred[4] = np.inf
    shut = CostGround(height_m=flat, factor=barred, cell_m=1.0)
    assert np.isinf(route_field(shut, (3, 2)).cost[5:]).all()


def test_no_way_slips_through_between_two_barred_cells_that_touch_at_a_corner() -> None:
    factor = np.ones((8, 8))
    factor[np.arange(8), np.arange(8)[::-1]] = np.inf
    ground = CostGround(height_m=np.zeros((8, 8)), factor=factor, cell_m=1.0)
    assert np.isinf(route_field(ground, (0, 0)).cost[7, 7])


def test_a_plane_stays_a_plane_when_heights_are_evened() -> None:
    rows, columns = np.mgrid[0:40, 0:30]
    plane = 0.2 * rows - 0.1 * columns
    evened = evened_heights(plane, cell_m=1.0)
    np.testing.assert_allclose(plane, evened, atol=1e-9)


def test_evening_takes_the_noise_of_cells_away_and_keeps_voids() -> None:
    noise = np.random.default_rng(5).normal(0, 0.3, (60, 60))
    noise[10, 10] = np.nan
    evened = evened_heights(noise, cell_m=1.0)
    assert np.isnan(evened[10, 10])
    assert np.isfinite(evened).sum() == noise.size - 1
    assert np.nanstd(evened[12:-12, 12:-12]) < 0.1 * np.nanstd(noise)


def test_coarse_cells_are_not_evened() -> None:
    height = np.random.default_rng(6).normal(0, 1, (5, 5))
    np.testing.assert_array_equal(height, evened_heights(height, cell_m=8.0))


def test_steep_ground_and_cover_cost_and_voids_bar() -> None:
    rows = np.mgrid[0:12, 0:12][0] * 5.0
    rows[3, 4] = np.nan
    keep_off = np.zeros(rows.shape, dtype=np.bool_)
    keep_off[7, 7] = True
    cover = np.where(np.arange(12) > 8, 3.0, 1.0) * np.ones((12, 1))
    ground = cost_ground(
        rows, cell_m=10.0, rates=RouteRates(twice_at=0.5), keep_off=keep_off, cover=cover
    )
    assert ground.factor[9, 2] == pytest.approx(2.0)
    assert ground.factor[9, 10] == pytest.approx(6.0)
    assert np.isinf(ground.factor[3, 4])
    assert np.isinf(ground.factor[7, 7])
    assert np.isinf(ground.factor).sum() == 2


def test_steepness_is_the_same_whichever_way_the_ground_falls() -> None:
    rows, columns = np.mgrid[0:6, 0:6]
    np.testing.assert_allclose(
        steepness(0.3 * rows + 0.4 * columns, cell_m=1.0), np.full((6, 6), 0.5)
    )
