"""Heads of 300 trees and 100 rings beside a second solution of the raw equations.

The second solution shares nothing with the first: friction is written anew, flows and heads are
sought together by scipy's general root finder, a held-back link is one equation of Fischer and
Burmeister's kind. The losses all rise with the flow, so a net has one solution, and where the
root finder begins (near the first, pushed off it) does not matter.
"""

from functools import cache, partial
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import root

from terrain_head.scheme.heads import Net, NetFlow, solve_heads
from terrain_head.scheme.heads_stated import NoWayForWaterError
from tests.scheme.invented_nets import columns_of, decked, plain

GRAVITY = 9.80665
TREES, RINGS = 300, 100


@cache
def trees_and_rings() -> tuple[tuple[Net, NetFlow], ...]:
    """Return the nets that have an answer, half of them plain, with it."""
    drawings = [plain(number) for number in range(TREES // 2)]
    drawings += [plain(number, rings=1 + number % 4) for number in range(RINGS // 2)]
    found = [(net, solve_heads(net)) for net in (one.net() for one in drawings)]
    for wanted, rings in ((TREES // 2, 0), (RINGS // 2, 2)):
        number, begun = 1000, len(found)
        while len(found) < begun + wanted:
            net = decked(number, rings=rings).net()
            number += 1
            try:
                found.append((net, solve_heads(net)))
            except NoWayForWaterError:
                # A ram below a tap, with nowhere else to give to, has no answer.
                continue
    return tuple(found)


def friction_factor(re: NDArray[Any], rough: NDArray[Any]) -> NDArray[Any]:
    def colebrook(number: NDArray[Any]) -> NDArray[Any]:
        x = np.full(number.shape, 7.0)
        for _ in range(25):
            x = -2 * np.log10(rough / 3.7 + 2.51 * x / number)
        return np.asarray(1 / x**2)

    between = 0.032 + (re - 2000) / 2000 * (colebrook(np.full(re.shape, 4000.0)) - 0.032)
    slow = 64 / np.maximum(re, 1e-30)
    fast = colebrook(np.maximum(re, 4000.0))
    return np.where(re < 2000, slow, np.where(re < 4000, between, fast))


def off_balance(net: Net, unknown: NDArray[Any], *, size: float) -> NDArray[Any]:
    a = columns_of(net)
    free = np.isnan(a["fixed_head_m"])
    links = a["start"].size
    q, head = unknown[:links] * size, a["fixed_head_m"].copy()
    head[free] = unknown[links:]
    fall = head[a["start"]] - head[a["end"]]
    bore = np.where(np.isnan(a["inside_m"]), 1.0, a["inside_m"])
    speed = 4 * q / (np.pi * bore**2)
    re = np.abs(speed) * bore / net.viscosity_m2_s
    f = friction_factor(re, a["roughness_m"] / bore)
    drag = (f * a["length_m"] / bore + a["loss_coefficient"]) * speed * np.abs(speed)
    loss = drag / (2 * GRAVITY)
    given = a["power_coefficient"] > 0
    exponent = np.where(given, a["power_exponent"], 1.0)
    loss += a["power_coefficient"] * np.abs(q) ** exponent * np.sign(q)
    law = loss - fall
    # In flow, not in head: a small outlet's head is steep in its flow.
    with np.errstate(divide="ignore", invalid="ignore"):
        by_head = np.abs(fall / a["power_coefficient"]) ** (1 / exponent) * np.sign(fall)
    law = np.where(given, (q - np.where(given, by_head, 0.0)) / size, law)
    held = a["one_way"]
    law = np.where(held, np.hypot(q / size, law) - q / size - law, law)
    ram = a["lift_m4_s"] > 0
    law = np.where(ram, (-q * fall - np.where(ram, a["lift_m4_s"], 0.0)) / size, law)
    out = np.bincount(a["start"], q, head.size) - np.bincount(a["end"], q, head.size)
    return np.concatenate([law, ((out + a["drawn_m3_s"]) / size)[free]])


@pytest.mark.parametrize("tens", range((TREES + RINGS) // 10))
def test_heads_agree_with_a_second_solution(tens: int) -> None:
    push = np.random.default_rng(tens)
    for net, found in trees_and_rings()[10 * tens : 10 * tens + 10]:
        free = np.isnan(np.asarray(net.fixed_head_m))
        flow, head = found.flow_m3_s, found.head_m[free]
        assert np.isfinite(head).all()
        size = max(float(np.abs(flow).max()), 1e-9)
        for pushed in (0.1, 0.01, 0.001):
            begin = np.concatenate([
                flow / size * (1 + pushed * push.uniform(-1, 1, flow.size)),
                head + pushed * push.uniform(-1, 1, head.size),
            ])  # fmt: skip
            other = root(partial(off_balance, net, size=size), begin, tol=1e-13)
            if np.abs(other.fun).max() < 1e-8:
                break
        assert np.abs(other.fun).max() < 1e-8
        np.testing.assert_allclose(head, other.x[flow.size :], rtol=0, atol=1e-6)


def test_few_steps_are_enough() -> None:
    counts = np.array([found.iterations for _, found in trees_and_rings()])
    assert counts.size == TREES + RINGS
    assert np.median(counts) <= 12
    assert counts.max() <= 40


def test_the_water_balances_at_every_node() -> None:
    for net, found in trees_and_rings():
        flow, drawn = found.flow_m3_s, np.asarray(net.drawn_m3_s)
        out = np.bincount(net.start, flow, drawn.size) - np.bincount(net.end, flow, drawn.size)
        free = np.isnan(np.asarray(net.fixed_head_m))
        off = np.abs(out + drawn)[free].max()
        assert off <= 1e-9 * np.abs(flow).max()
        assert float(found.largest_imbalance_m3_s) == pytest.approx(off, abs=1e-18)
