"""The independent causes of doubt, each with what it moves in a scheme."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.drawn_ground import DrawnHeights
from terrain_head.assessment.streams import stream
from terrain_head.base.citation import OURS
from terrain_head.base.display import LIKELY
from terrain_head.base.measured import Measured
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Taken

FloatArray = NDArray[np.float64]
Kind = Literal[
    "elevation", "source flow", "efficiency", "departure", "inside", "roughness", "moved"
]

FLOW_SHARE = 0.05
"""Standard error of a flow timed with a bucket, as a share of it; ours [1]."""
EFFICIENCY_SHARE = 0.07
"""Of a measured efficiency: two timed flows of 5 % each; ours [1]."""
INSIDE_SHARE = 0.01
"""Of a printed inside diameter; ours [1]."""
ROUGHNESS_SHARE = 0.4
"""Of the logarithm of a roughness from a table: half to twice as rough in nine of ten; ours [1]."""

_FLOW = OURS.at("give or take of a flow timed with a bucket")
_EFFICIENCY = OURS.at("give or take of a measured efficiency: two timed flows")
_INSIDE = OURS.at("give or take of a printed inside diameter")
_ROUGHNESS = OURS.at("half to twice as rough in nine pipes of ten")
_TABLE = OURS.at("the spread of the published efficiencies holds nine rams of ten")
_LEAST_SHARE = 1e-3


@dataclass(frozen=True, slots=True)
class Target:
    """A value of the scheme that causes move: its kind, and the name of the pipe or key."""

    kind: Kind
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cause:
    """One cause of doubt; causes have nothing to do with each other.

    Parameters
    ----------
    name
        ``heights``, ``raster``, ``source flow``, ``efficiency``, ``inside diameter``,
        ``roughness``, ``stated levels`` or ``stated lengths``.
    moves
        What it adds to the middle of each value it moves, drawn in two independent streams: shape
        (2, draws), elevations (2, draws, n), SI.
    taken
        Spreads that were taken for want of the person's own.
    """

    name: str
    moves: Mapping[Target, FloatArray]
    taken: tuple[Taken, ...] = ()


def causes_of(layout: Layout, *, heights: DrawnHeights, draws: int) -> tuple[Cause, ...]:
    """Return the causes of doubt of one choice.

    Parameters
    ----------
    layout
        The choice.
    heights
        Its ground, drawn.
    draws
        How many draws.

    Notes
    -----
    Source flow and measured efficiency are normal; an efficiency from the tables is normal on each
    side of its middle, the ends of the published spread holding nine in ten; inside diameter and
    roughness are lognormal, each pipe for itself. What is wanted (the flow and pressure of an
    outlet) and what is chosen (a stand without a give-or-take) has no doubt.
    """
    found = [
        Cause(name=name, moves={Target("elevation"): moved})
        for name, moved in heights.by_cause.items()
    ]
    found += [
        cause
        for cause in (
            _source_flow(layout, draws),
            _efficiency(layout, draws),
            _inside(layout, draws),
            _roughness(layout, draws),
            _stated("stated levels", dict(_levels(layout)), draws),
            _stated("stated lengths", dict(_lengths(layout)), draws),
        )
        if cause is not None
    ]
    return tuple(found)


def _twice(name: str, draws: int) -> FloatArray:
    return np.stack([stream(f"{name}{again}", draws=draws)[:, 0] for again in ("", " again")])


def _share_word(share: float) -> str:
    return f"+- {100 * share:g} %"


def _source_flow(layout: Layout, draws: int) -> Cause | None:
    source = layout.source
    if source is None or source.flow_m3_s is None:
        return None
    flow = source.flow_m3_s
    std = flow.std
    taken: tuple[Taken, ...] = ()
    if std is None:
        std = FLOW_SHARE * flow.value
        taken = (Taken(key="source.flow", word=_share_word(FLOW_SHARE), citation=_FLOW),)
    drawn = flow.value + std * _twice(f"source flow {source.place}", draws)
    moved = np.maximum(drawn, _LEAST_SHARE * flow.value) - flow.value
    return Cause(name="source flow", moves={Target("source flow"): moved}, taken=taken)


def _efficiency(layout: Layout, draws: int) -> Cause | None:
    ram = layout.ram
    if ram is None or (ram.efficiency is None and ram.built is None):
        return None
    normal = _twice("efficiency", draws)
    taken: tuple[Taken, ...] = ()
    if ram.efficiency is None:
        taken = (Taken(key="ram.efficiency", word="the published spread", citation=_TABLE),)
        return Cause(name="efficiency", moves={Target("departure"): normal / LIKELY}, taken=taken)
    middle, std = ram.efficiency.value, ram.efficiency.std
    if std is None:
        std = EFFICIENCY_SHARE * middle
        taken = (
            Taken(key="ram.efficiency", word=_share_word(EFFICIENCY_SHARE), citation=_EFFICIENCY),
        )
    drawn = np.clip(middle + std * normal, _LEAST_SHARE, 1 - _LEAST_SHARE)
    return Cause(name="efficiency", moves={Target("efficiency"): drawn - middle}, taken=taken)


def _inside(layout: Layout, draws: int) -> Cause | None:
    moves: dict[Target, FloatArray] = {}
    for_all = False
    for pipe in layout.pipes.values():
        if pipe.spec is None or pipe.role == "drive":
            continue
        inside = pipe.spec.inside_m
        share = INSIDE_SHARE if inside.std is None else inside.std / inside.value
        for_all |= inside.std is None
        normal = _twice(f"inside diameter {pipe.name} {pipe.spec.label}", draws)
        moves[Target("inside", pipe.name)] = inside.value * np.expm1(share * normal)
    word = _share_word(INSIDE_SHARE)
    taken = (Taken(key="pipe.inside", word=word, citation=_INSIDE),) if for_all else ()
    return Cause(name="inside diameter", moves=moves, taken=taken) if moves else None


def _roughness(layout: Layout, draws: int) -> Cause | None:
    moves: dict[Target, FloatArray] = {}
    for_all = False
    for pipe in layout.pipes.values():
        if pipe.spec is None or pipe.role == "drive" or pipe.spec.roughness_m.value <= 0:
            continue
        rough = pipe.spec.roughness_m
        share = ROUGHNESS_SHARE if rough.std is None else rough.std / rough.value
        for_all |= rough.std is None
        normal = _twice(f"roughness {pipe.name} {pipe.spec.label}", draws)
        moves[Target("roughness", pipe.name)] = rough.value * np.expm1(share * normal)
    word = "half to twice in nine of ten"
    taken = (Taken(key="pipe.roughness", word=word, citation=_ROUGHNESS),) if for_all else ()
    return Cause(name="roughness", moves=moves, taken=taken) if moves else None


def _levels(layout: Layout) -> Iterator[tuple[str, Measured]]:
    if layout.source is not None:
        yield "source.water_above", layout.source.water_above_m
    ram = layout.ram
    if ram is not None:
        yield "ram.valve_above", ram.valve_above_m
        if ram.tail_water_above_m is not None:
            yield "ram.tail_water_above", ram.tail_water_above_m
    for tank in layout.tanks:
        yield f"tank.{tank.name}.stand", tank.stand_m
        yield f"tank.{tank.name}.water_depth", tank.water_depth_m
        yield f"tank.{tank.name}.lowest", tank.lowest_m
        yield f"tank.{tank.name}.inlet", tank.inlet_m
    for outlet in layout.outlets:
        yield f"outlet.{outlet.name}.height", outlet.height_m
    for pipe in layout.pipes.values():
        yield f"pipe.{pipe.name}.cover", pipe.run.cover_m


def _lengths(layout: Layout) -> Iterator[tuple[str, Measured]]:
    for pipe in layout.pipes.values():
        if pipe.run.length_m is not None:
            yield f"pipe.{pipe.name}.length", pipe.run.length_m


def _stated(name: str, stated: Mapping[str, Measured], draws: int) -> Cause | None:
    moves = {
        Target("moved", key): one.std * _twice(f"stated {key}", draws)
        for key, one in stated.items()
        if one.std
    }
    return Cause(name=name, moves=moves) if moves else None
