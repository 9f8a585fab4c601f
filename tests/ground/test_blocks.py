"""Bilinear heights are exact on a plane, across blocks, and nowhere made up."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.ground.blocks import BlockStore

SHAPE = (5, 7)


def plane_store(blocks: list[tuple[int, int]], *, down: float, across: float) -> BlockStore:
    store = BlockStore(SHAPE)
    cells = [
        down * (np.arange(5) + 5 * r)[:, None] + across * (np.arange(7) + 7 * c)[None, :] + 100
        for r, c in blocks
    ]
    store.add(blocks, np.array(cells))
    return store


@given(
    row=st.floats(-5, 9),
    column=st.floats(-7, 13),
    down=st.floats(-3, 3),
    across=st.floats(-3, 3),
)
def test_a_plane_is_exact_across_blocks(
    row: float, column: float, down: float, across: float
) -> None:
    store = plane_store([(r, c) for r in (-1, 0, 1) for c in (-1, 0, 1)], down=down, across=across)
    expected = down * row + across * column + 100
    assert store.bilinear(row, column) == pytest.approx(expected, abs=1e-5)


@given(row=st.floats(-40, 40), column=st.floats(-40, 40))
def test_beyond_the_outermost_centres_there_is_no_height(row: float, column: float) -> None:
    store = plane_store([(0, 0), (0, 1)], down=1.0, across=1.0)
    inside = -1e-6 <= row <= 4 + 1e-6 and -1e-6 <= column <= 13 + 1e-6
    assert bool(np.isfinite(store.bilinear(row, column))) == inside


def test_a_point_on_the_outermost_centre_needs_no_cell_beyond_it() -> None:
    store = plane_store([(0, 0)], down=1.0, across=2.0)
    assert store.bilinear([4.0, 4.0 + 1e-9], [6.0, 6.0]).tolist() == [116.0, 116.0]


def test_a_void_cell_hurts_only_where_it_is_needed() -> None:
    store = BlockStore((3, 3))
    cells = np.arange(9.0).reshape(1, 3, 3)
    cells[0, 2, 2] = np.nan
    store.add([(0, 0)], cells)
    assert store.bilinear(0.5, 1.5) == pytest.approx(3.0)
    assert np.isnan(store.bilinear(1.5, 1.5))


def test_blocks_are_added_in_parts_and_none_is_forgotten() -> None:
    store = plane_store([(0, 0)], down=1.0, across=0.0)
    store.add([(3, 3)], np.full((1, *SHAPE), 7.0))
    assert store.bilinear(0.0, 0.0) == 100.0
    assert store.bilinear(16.0, 22.0) == 7.0
    assert np.isnan(store.bilinear(8.0, 10.0))
    assert (3, 3) in store
    assert len(store) == 2


def test_only_the_blocks_that_points_touch_are_asked_for() -> None:
    store = BlockStore(SHAPE)
    assert store.blocks_under([1.0], [1.0]) == [(0, 0)]
    assert store.blocks_under([4.5], [6.5]) == [(0, 0), (0, 1), (1, 0), (1, 1)]
    assert store.blocks_under([4.0], [6.0]) == [(0, 0)]
    assert store.blocks_under([np.nan], [1.0]) == []


def test_points_nowhere_have_no_height() -> None:
    store = plane_store([(0, 0)], down=1.0, across=1.0)
    assert np.isnan(store.bilinear([np.nan, np.inf, 1e30], [1.0, 1.0, 1.0])).all()


def test_many_points_and_rows_of_points_are_read_as_single_ones_are() -> None:
    store = BlockStore((64, 64))
    rows, columns = np.mgrid[0:64, 0:64]
    for block in [(0, 0), (0, 1), (3, 2)]:
        plane = (rows + 64 * block[0]) * 2.0 + (columns + 64 * block[1]) * 3.0
        store.add([block], plane[None])
    many = 3 * 16_384 + 5
    row = np.linspace(0.0, 62.5, many).reshape(1, -1)
    column = np.array([[1.25], [70.5]])
    heights = store.bilinear(row, column)
    assert heights.shape == (2, many)
    assert np.abs(heights - (2.0 * row + 3.0 * column)).max() < 1e-9
    everywhere = np.r_[np.full(20_000, 5.0), np.full(20_000, 200.0)]
    assert store.blocks_under(everywhere, np.full(40_000, 130.0)) == [(0, 2), (3, 2)]
