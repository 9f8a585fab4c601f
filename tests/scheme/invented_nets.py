"""Nets of pipes drawn by a number: trees and rings, plain or with all that may hang on them."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.heads import Net

NAN = float("nan")
WATER = 1.307e-6
PLAIN = {
    "length_m": 0.0, "inside_m": NAN, "roughness_m": 0.0, "loss_coefficient": 0.0,
    "power_coefficient": 0.0, "power_exponent": 2.0, "lift_m4_s": NAN, "one_way": False,
}  # fmt: skip


class Drawing:
    """A net that grows node by node and link by link."""

    def __init__(self, number: int) -> None:
        self.random = np.random.default_rng(number)
        self.fixed: list[float] = []
        self.drawn: list[float] = []
        self.links: list[dict[str, Any]] = []

    def node(self, *, fixed: float = NAN, drawn: float = 0.0) -> int:
        self.fixed.append(fixed)
        self.drawn.append(drawn)
        return len(self.fixed) - 1

    def link(self, start: int, end: int, **stated: Any) -> None:
        self.links.append(PLAIN | {"start": start, "end": end} | stated)

    def pipe(self, start: int, end: int, **stated: Any) -> None:
        draw = self.random
        if draw.random() < 0.5:
            start, end = end, start
        self.link(start, end, **({
            "length_m": 10 ** draw.uniform(0, 3),
            "inside_m": 10 ** draw.uniform(-2, -1),
            "roughness_m": draw.choice([0.0, 1.5e-6, 7e-6, 1.5e-4]),
            "loss_coefficient": draw.uniform(0, 20) * (draw.random() < 0.5),
        } | stated))  # fmt: skip

    def net(self, **changes: Any) -> Net:
        columns = {key: [link[key] for link in self.links] for key in self.links[0]}
        stated: dict[str, Any] = {
            "fixed_head_m": self.fixed, "drawn_m3_s": self.drawn, **columns, **changes
        }  # fmt: skip
        arrays: dict[str, Any] = {key: np.asarray(value) for key, value in stated.items()}
        return Net(viscosity_m2_s=WATER, **arrays)


def plain(number: int, *, rings: int = 0, most: int = 14) -> Drawing:
    """Return one tank and pipes to taps that draw stated flows, with some rings."""
    drawing = Drawing(number)
    draw = drawing.random
    drawing.node(fixed=draw.uniform(10, 60))
    for _ in range(int(draw.integers(2, most))):
        before = int(draw.integers(0, len(drawing.fixed)))
        drawn = 10 ** draw.uniform(-6, -3.5) * (draw.random() < 0.6)
        drawing.pipe(before, drawing.node(drawn=drawn))
    for _ in range(rings):
        first, second = draw.choice(len(drawing.fixed), 2, replace=False)
        drawing.pipe(int(first), int(second))
    return drawing


def decked(number: int, *, rings: int = 0, most: int = 14, emitters: bool = True) -> Drawing:
    """Return such a net with more tanks, open ends, outlets by power, rams and held-back pipes."""
    drawing = plain(number, rings=rings, most=most)
    draw, joints = drawing.random, np.arange(1, len(drawing.fixed))
    for _ in range(int(draw.integers(1, 5))):
        node = int(draw.choice(joints))
        kind = draw.choice(["tank", "open end", "power", "ram"])
        if kind == "tank":
            drawing.pipe(node, drawing.node(fixed=draw.uniform(0, 60)))
        elif kind == "open end":
            drawing.link(
                node, drawing.node(fixed=draw.uniform(0, 60)), inside_m=draw.uniform(0.01, 0.05),
                length_m=draw.uniform(0, 100) * (draw.random() < 0.7), loss_coefficient=1.0,
                one_way=True,
            )  # fmt: skip
        elif kind == "power" and emitters:
            exponent, gives = draw.choice([0.5, 0.7, 1.0]), 10 ** draw.uniform(-6, -3.5)
            drawing.link(
                node, drawing.node(fixed=draw.uniform(0, 40)),
                power_coefficient=(1 / gives) ** (1 / exponent), power_exponent=1 / exponent,
                one_way=draw.random() < 0.5,
            )  # fmt: skip
        elif kind == "ram":
            drawing.link(
                drawing.node(fixed=draw.uniform(-5, 5)), node, lift_m4_s=10 ** draw.uniform(-4, -2)
            )
    return drawing


def columns_of(net: Net) -> dict[str, NDArray[Any]]:
    """Return the arrays of a net by name."""
    return {name: np.asarray(getattr(net, name)) for name in Net.__slots__}
