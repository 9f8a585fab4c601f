"""Straight legs and different routes: few corners, never over what is kept off."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.search.costs import CostGround
from terrain_head.search.legs import DEARER, DEEPER_M, leg_cost, straight_legs
from terrain_head.search.route_field import route_field
from terrain_head.search.routes import DIFFERENT, find_routes, route_cost, share_elsewhere

FLAT = CostGround(height_m=np.zeros((30, 40)), factor=np.ones((30, 40)), cell_m=2.0)


def hilly(seed: int, *, size: int = 45, barred: float = 0.0, **more: float) -> CostGround:
    """Give smooth random hills, here and there a square where no pipe may go."""
    rng = np.random.default_rng(seed)
    rows, columns = np.mgrid[0:size, 0:size]
    height = np.zeros((size, size))
    for _ in range(8):
        row, column = rng.uniform(0, size, 2)
        width = rng.uniform(4, 12)
        height += rng.normal(0, 3) * np.exp(
            -((rows - row) ** 2 + (columns - column) ** 2) / (2 * width**2)
        )
    factor = np.ones((size, size))
    for _ in range(int(barred)):
        row, column = rng.integers(5, size - 9, 2)
        high, wide = rng.integers(1, 7, 2)
        factor[row : row + high, column : column + wide] = np.inf
    return CostGround(height_m=height, factor=factor, cell_m=3.0, **more)


def barred_squares(ground: CostGround) -> shapely.MultiPolygon:
    """Return the cells where none may go as squares, a hair smaller: a touch is no crossing."""
    at = np.argwhere(np.isinf(ground.factor))
    half = 0.5 - 1e-6
    return shapely.MultiPolygon(
        [shapely.box(row - half, column - half, row + half, column + half) for row, column in at]
    )


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 100_000), count=st.integers(1, 14))
def test_no_leg_crosses_what_is_kept_off(seed: int, count: int) -> None:
    ground = hilly(seed, barred=count)
    found = find_routes(ground, np.array([1.3, 2.2]), end=np.array([42.4, 41.7]))
    squares = barred_squares(ground)
    assert found.routes
    for route in found.routes:
        assert np.isfinite(route.cost)
        assert not shapely.intersects(shapely.LineString(route.corners), squares)
    crosses = bool(shapely.intersects(shapely.LineString(found.straight.corners), squares))
    assert crosses == np.isinf(found.straight.cost)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 100_000))
def test_legs_are_hardly_dearer_than_the_way_over_the_cells(seed: int) -> None:
    ground = hilly(seed, barred=5)
    found = find_routes(ground, np.array([2.0, 2.0]), end=np.array([42.0, 40.0]), most=1)
    field = route_field(ground, (2, 2), upward=found.upward)
    assert found.routes[0].cost <= 1.1 * (1 + DEARER) * field.cost[42, 40]
    assert found.routes[0].cost <= found.straight.cost * (1 + DEARER)
    assert len(found.routes[0].corners) - 1 <= 12


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 100_000), shift=st.floats(-800, 800), turns=st.integers(0, 3))
def test_the_cost_of_a_leg_is_not_changed_by_datum_or_turning(
    seed: int, shift: float, turns: int
) -> None:
    ground = hilly(seed)
    rng = np.random.default_rng(seed)
    first, last = rng.uniform(0, 44, (2, 2))
    expected = leg_cost(ground, first, end=last)
    turned = replace(
        ground,
        height_m=np.rot90(ground.height_m, turns) + shift,
        factor=np.rot90(ground.factor, turns),
    )
    for _ in range(turns):
        first, last = (np.array([44 - at[1], at[0]]) for at in (first, last))
    assert expected == pytest.approx(leg_cost(turned, first, end=last), abs=1e-8)


@pytest.mark.parametrize("seed", range(6))
def test_routes_cost_the_same_from_either_end(seed: int) -> None:
    ground = hilly(seed, barred=6)
    ends = np.array([2.0, 3.0]), np.array([41.0, 40.0])
    there = find_routes(ground, ends[0], end=ends[1], most=1).routes[0]
    back = find_routes(ground, ends[1], end=ends[0], most=1).routes[0]
    assert there.cost == pytest.approx(back.cost, rel=0.06)
    upward = find_routes(ground, ends[0], end=ends[1], most=1).upward
    assert there.cost == pytest.approx(
        route_cost(ground, there.corners[::-1], upward=-upward), abs=1e-9
    )


def test_on_flat_ground_the_route_is_the_straight_line() -> None:
    found = find_routes(FLAT, np.array([3.0, 4.0]), end=np.array([24.0, 32.0]), most=1)
    assert len(found.routes[0].corners) == 2
    assert found.routes[0].cost == pytest.approx(2.0 * np.hypot(21, 28))


def test_a_leg_pays_for_every_rise_under_it() -> None:
    ridge = np.zeros((11, 11))
    ridge[:, 5] = 2.0
    ground = CostGround(height_m=ridge, factor=np.ones((11, 11)), cell_m=1.0, lost_climb=7.0)
    by_hand = 8 + 2 * np.hypot(1.0, 2.0) + 7.0 * 2.0
    assert by_hand == pytest.approx(leg_cost(ground, (3, 0), end=(3, 10)))


def test_a_leg_is_stopped_by_the_least_corner_of_a_barred_cell() -> None:
    factor = np.ones((9, 9))
    factor[4, 4] = np.inf
    ground = replace(FLAT, height_m=np.zeros((9, 9)), factor=factor)
    assert np.isinf(leg_cost(ground, (0.0, 0.99), end=(8.0, 8.99)))
    assert np.isfinite(leg_cost(ground, (0.0, 1.01), end=(7.4, 8.41)))
    assert np.isinf(leg_cost(ground, (0.0, 0.0), end=(12.0, 0.0)))


def test_a_gravity_leg_may_cut_through_a_low_bump_and_not_through_a_high_one() -> None:
    slope = 10 - 0.05 * np.arange(41.0)
    rows = np.ones((5, 1))
    bump = np.exp(-((np.arange(41.0) - 20) ** 2) / 4)

    def cost(bump_m: float) -> float:
        ground = CostGround(
            height_m=rows * (slope + bump_m * bump), factor=np.ones((5, 41)), cell_m=1.0,
            least_grade=0.01,
        )  # fmt: skip
        return leg_cost(ground, (2, 0), end=(2, 40), upward=-1.0)

    assert 40.0 < cost(0.8 * DEEPER_M) < 40.2
    assert np.isinf(cost(3 * DEEPER_M))
    assert np.isinf(leg_cost(
        CostGround(height_m=rows * slope, factor=np.ones((5, 41)), cell_m=1.0, least_grade=0.06),
        (2, 0), end=(2, 40), upward=-1.0,
    ))  # fmt: skip


@pytest.mark.parametrize("seed", range(8))
def test_a_gravity_route_falls_all_the_way(seed: int) -> None:
    ground = hilly(seed)
    rows, columns = np.mgrid[0:45, 0:45]
    grade = 0.01
    tilted = replace(
        ground, height_m=ground.height_m - 0.35 * rows - 0.1 * columns, least_grade=grade
    )
    found = find_routes(tilted, np.array([2.0, 20.0]), end=np.array([42.0, 24.0]), most=1)
    for route in found.routes:
        for first, last in pairwise(route.corners):
            heights = tilted.height_m[tuple(np.rint(np.stack([first, last])).astype(int).T)]
            level = 3.0 * float(np.hypot(*(last - first)))
            assert heights[0] - heights[1] >= grade * level - 1e-6


def test_the_second_route_is_a_different_one() -> None:
    rows, columns = np.mgrid[0:61, 0:61]
    hump = 6 * np.exp(-((rows - 30) ** 2 + (columns - 30) ** 2) / 60.0) + 0.001 * rows
    ground = CostGround(height_m=hump, factor=np.ones(hump.shape), cell_m=1.0)
    found = find_routes(ground, np.array([30.0, 5.0]), end=np.array([30.0, 55.0]))
    first, second = found.routes
    middles = [route.corners[1:-1, 0].mean() for route in (first, second)]
    assert min(middles) < 30 < max(middles)
    assert second.elsewhere >= DIFFERENT
    assert first.cost <= second.cost * (1 + DEARER)
    assert second.cost < found.straight.cost


def test_where_there_is_one_gap_there_is_no_second_route() -> None:
    factor = np.ones((30, 40))
    factor[:, 8:32] = np.inf
    factor[14:17, 8:32] = 1.0
    ground = replace(FLAT, factor=factor)
    found = find_routes(ground, np.array([15.0, 2.0]), end=np.array([15.0, 38.0]))
    assert 1 == len(found.routes)


def test_where_no_way_leads_there_is_no_route() -> None:
    factor = np.ones((30, 40))
    factor[:, 20] = np.inf
    found = find_routes(
        replace(FLAT, factor=factor), np.array([5.0, 2.0]), end=np.array([5.0, 38.0])
    )
    assert () == found.routes
    assert np.isinf(found.straight.cost)


def test_two_ends_in_one_cell_make_one_leg() -> None:
    found = find_routes(FLAT, np.array([5.0, 5.1]), end=np.array([5.2, 5.4]), most=1)
    assert 1 == len(found.routes[0].corners) - 1


def test_the_share_elsewhere_is_that_of_the_length() -> None:
    near = np.zeros((10, 101), dtype=np.bool_)
    near[:, :50] = True
    corners = np.array([[5.0, 0.0], [5.0, 100.0]])
    assert 0.5 == pytest.approx(share_elsewhere(corners, near), abs=0.01)


def test_a_way_that_no_leg_can_follow_makes_no_legs() -> None:
    factor = np.ones((30, 40))
    factor[:, 20] = np.inf
    way = np.array([[5.0, 18.0], [5.0, 22.0]])
    assert straight_legs(replace(FLAT, factor=factor), way) is None
