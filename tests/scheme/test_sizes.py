"""The cheapest sizes of a tree: every set tried, and what must hold of any tree."""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from terrain_head.scheme import sizes
from terrain_head.scheme.sizes import PickedSizes, SizedPipe, cheapest_sizes

FloatArray = NDArray[np.float64]

LEVEL_M = 25.0
BORES_M = (0.016, 0.0204, 0.026, 0.0326, 0.0408, 0.0514, 0.0614, 0.0736, 0.09)


def drawn_tree(
    number: int, *, pipes: int, sizes: int, cases: int, chain: int = 99
) -> list[SizedPipe]:
    """Return an invented tree; each pipe hangs on one of the last `chain` nodes before it."""
    draw = np.random.default_rng(number)
    bores_m = np.array(BORES_M[:sizes])
    tree = []
    for pipe in range(pipes):
        upstream = "root" if pipe == 0 else f"n{draw.integers(max(0, pipe - chain), pipe)}"
        length_m = draw.uniform(5, 300)
        # Flows of 0.6 to 95 L/min; in some cases a pipe rests.
        flow_m3_s = 10 ** draw.uniform(-5, -2.8, cases) * (draw.random(cases) < 0.8)
        loss_m = length_m * 1.1e-3 * flow_m3_s[None] ** 1.75 / bores_m[:, None] ** 4.75
        hang_m = draw.uniform(-10, 20) - 6 * draw.random(cases)
        asks_m = np.where(draw.random(cases) < 0.9, hang_m, -np.inf)
        price = np.sort(draw.uniform(0.5, 9.0, sizes)) if number % 2 else 1000 * bores_m
        tree.append(
            SizedPipe(
                name=f"p{pipe}",
                upstream=upstream,
                downstream=f"n{pipe}",
                loss_m=loss_m,
                needed_m=np.asarray(loss_m + asks_m),
                cost=length_m * price,
            )
        )
    return tree


def every_set(
    tree: Sequence[SizedPipe], *, level_m: float = LEVEL_M
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Return cost of every set of sizes and whether it does, heads followed from the root down."""
    axes = np.meshgrid(*(np.arange(pipe.cost.size) for pipe in tree), indexing="ij")
    picks = {pipe.name: axis.ravel() for pipe, axis in zip(tree, axes, strict=True)}
    count = axes[0].size
    cost, holds = np.zeros(count), np.ones(count, np.bool_)
    heads_m = {"root": np.full((count, tree[0].loss_m.shape[1]), level_m)}
    for pipe in tree:
        pick = picks[pipe.name]
        here_m = heads_m[pipe.upstream]
        holds &= (here_m >= pipe.needed_m[pick]).all(axis=1)
        heads_m[pipe.downstream] = here_m - pipe.loss_m[pick]
        cost += pipe.cost[pick]
    return cost, holds


def cost_of(tree: Sequence[SizedPipe], picked: PickedSizes) -> float:
    return float(sum(pipe.cost[picked.sizes[pipe.name]] for pipe in tree))


def does(tree: Sequence[SizedPipe], picked: PickedSizes, *, level_m: float = LEVEL_M) -> bool:
    """Say whether every pipe finds the head it needs."""
    heads_m = {"root": np.full(tree[0].loss_m.shape[1], level_m)}
    for pipe in tree:
        here_m = heads_m[pipe.upstream]
        if (here_m < pipe.needed_m[picked.sizes[pipe.name]] - 1e-9).any():
            return False
        heads_m[pipe.downstream] = here_m - pipe.loss_m[picked.sizes[pipe.name]]
    return True


@pytest.mark.parametrize("number", range(200))
def test_the_choice_costs_what_the_best_of_all_sets_costs(number: int) -> None:
    draw = np.random.default_rng(10_000 + number)
    tree = drawn_tree(
        number,
        pipes=int(draw.integers(1, 7)),
        sizes=int(draw.integers(2, 5)),
        cases=int(draw.integers(1, 4)),
        chain=int(draw.integers(1, 5)),
    )
    cost, holds = every_set(tree)
    cases = tree[0].loss_m.shape[1]
    picked = cheapest_sizes(tree, root="root", level_m=np.full(cases, LEVEL_M))
    if not holds.any():
        assert picked is None
        return
    assert picked is not None
    assert picked.proven
    assert float(cost[holds].min()) == pytest.approx(cost_of(tree, picked), rel=1e-12)
    assert does(tree, picked)


def test_the_two_hundred_trees_are_of_all_kinds() -> None:
    kinds = set()
    for number in range(200):
        tree = drawn_tree(number, pipes=4, sizes=3, cases=2)
        cost, holds = every_set(tree)
        if not holds.any():
            kinds.add("none does")
        else:
            kinds.add("least" if holds[cost.argmin()] else "between")
    assert kinds == {"none does", "least", "between"}


@given(st.integers(0, 10_000), st.integers(1, 3))
def test_one_more_size_never_makes_it_dearer(number: int, cases: int) -> None:
    level_m = np.full(cases, LEVEL_M)
    fewer = drawn_tree(2 * number, pipes=5, sizes=3, cases=cases)
    more = drawn_tree(2 * number, pipes=5, sizes=4, cases=cases)
    lean = cheapest_sizes(fewer, root="root", level_m=level_m)
    rich = cheapest_sizes(more, root="root", level_m=level_m)
    same = [
        np.array_equal(one.loss_m, other.loss_m[:3]) for one, other in zip(fewer, more, strict=True)
    ]
    assert all(same)
    if lean is not None:
        assert rich is not None
        assert cost_of(more, rich) <= cost_of(fewer, lean) * (1 + 1e-12)


@given(st.integers(0, 10_000), st.floats(0.0, 20.0))
def test_a_higher_level_never_makes_it_dearer(number: int, more_m: float) -> None:
    tree = drawn_tree(number, pipes=8, sizes=5, cases=2, chain=3)
    low = cheapest_sizes(tree, root="root", level_m=np.full(2, LEVEL_M))
    high = cheapest_sizes(tree, root="root", level_m=np.full(2, LEVEL_M + more_m))
    if low is not None:
        assert high is not None
        assert cost_of(tree, high) <= cost_of(tree, low) * (1 + 1e-12)


@given(st.integers(0, 10_000), st.randoms())
def test_the_order_of_the_pipes_changes_nothing(number: int, random: object) -> None:
    tree = drawn_tree(number, pipes=6, sizes=4, cases=2)
    mixed = list(tree)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    first = cheapest_sizes(tree, root="root", level_m=np.full(2, LEVEL_M))
    second = cheapest_sizes(mixed, root="root", level_m=np.full(2, LEVEL_M))
    assert (first is None) == (second is None)
    if first is not None and second is not None:
        assert cost_of(tree, first) == pytest.approx(cost_of(tree, second), rel=1e-12)


def test_where_nothing_is_asked_the_cheapest_is_taken() -> None:
    free = SizedPipe(
        name="line",
        upstream="root",
        downstream="end",
        loss_m=np.zeros((3, 1)),
        needed_m=np.full((3, 1), -np.inf),
        cost=np.array([3.0, 1.0, 2.0]),
    )
    picked = cheapest_sizes([free], root="root", level_m=np.array([0.0]))
    assert picked == PickedSizes(sizes={"line": 1}, proven=True)


@pytest.mark.parametrize("cases", [1, 2])
def test_twenty_pipes_of_nine_sizes_are_chosen_in_well_under_a_second(cases: int) -> None:
    for number in (3, 4, 5):
        tree = drawn_tree(number, pipes=20, sizes=9, cases=cases, chain=4)
        least_s = np.inf
        for _ in range(2):
            begin = time.process_time()
            picked = cheapest_sizes(tree, root="root", level_m=np.full(cases, 50.0))
            least_s = min(least_s, time.process_time() - begin)
        assert picked is not None
        assert any(picked.sizes.values())
        assert picked.proven
        assert least_s < 0.8


def test_where_too_many_sets_stand_against_each_other_a_good_one_is_found_and_said(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tree = drawn_tree(4, pipes=8, sizes=5, cases=3, chain=2)
    best = cheapest_sizes(tree, root="root", level_m=np.full(3, 90.0))
    monkeypatch.setattr(sizes, "_MOST", 1)
    found = cheapest_sizes(tree, root="root", level_m=np.full(3, 90.0))
    assert best is not None
    assert found is not None
    assert best.proven
    assert not found.proven
    assert does(tree, found, level_m=90.0)
    assert cost_of(tree, found) == pytest.approx(cost_of(tree, best), rel=0.02)
