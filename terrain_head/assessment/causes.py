"""The independent causes of doubt, each with what it moves in a scheme."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
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


Moves = Mapping[Target, FloatArray]
"""What is added to the middle of each value that a cause moves, SI."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cause:
    """One cause of doubt; causes have nothing to do with each other.

    Parameters
    ----------
    name
        ``heights``, ``raster``, ``marks``, ``source flow``, ``efficiency``, ``inside diameter``,
        ``roughness``, ``stated levels`` or ``stated lengths``.
    moves
        What it adds to the middle of each value it moves: shape (draws,), elevations (draws, n),
        SI.
    again
        The same for the first draws, from other streams.
    taken
        Spreads that were taken for want of the person's own.
    """

    name: str
    moves: Moves
    again: Moves
    taken: tuple[Taken, ...] = ()


def causes_of(
    layout: Layout, *, heights: DrawnHeights, draws: int, again: int = 0
) -> tuple[Cause, ...]:
    """Return the causes of doubt of one choice.

    Parameters
    ----------
    layout
        The choice.
    heights
        Its ground, drawn.
    draws
        How many draws.
    again
        How many of them are drawn anew, to share the doubt out.

    Notes
    -----
    Source flow and measured efficiency are normal; an efficiency from the tables is normal on each
    side of its middle, the ends of the published spread holding nine in ten; inside diameter and
    roughness are lognormal, each pipe for itself. What is wanted (the flow and pressure of an
    outlet) and what is chosen (a stand without a give-or-take) has no doubt.
    """
    elevation = Target("elevation")
    found = [
        Cause(name=name, moves={elevation: moved}, again={elevation: heights.again[name]})
        for name, moved in heights.by_cause.items()
    ]
    rest = (
        _source_flow(layout),
        _efficiency(layout),
        _inside(layout),
        _roughness(layout),
        _stated("stated levels", dict(_levels(layout))),
        _stated("stated lengths", dict(_lengths(layout))),
    )
    return (*found, *(one.drawn(draws=draws, again=again) for one in rest if one is not None))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    """How a cause that is no height is drawn.

    Parameters
    ----------
    name
        Of the cause.
    moves
        For each value that it moves the name of its stream, and what a normal draw adds to it.
    taken
        Spreads that were taken for want of the person's own.
    """

    name: str
    moves: Mapping[Target, tuple[str, Callable[[FloatArray], FloatArray]]]
    taken: tuple[Taken, ...] = ()

    def drawn(self, *, draws: int, again: int) -> Cause:
        """Return the cause, drawn."""
        moves, anew = (
            {
                target: added(stream(f"{name}{word}", draws=count)[:, 0])
                for target, (name, added) in self.moves.items()
            }
            for word, count in (("", draws), (" again", again))
        )
        return Cause(name=self.name, moves=moves, again=anew, taken=self.taken)


def _share_word(share: float) -> str:
    return f"+- {100 * share:g} %"


def _source_flow(layout: Layout) -> _Rule | None:
    source = layout.source
    if source is None or source.flow_m3_s is None:
        return None
    flow, std = source.flow_m3_s.value, source.flow_m3_s.std
    taken: tuple[Taken, ...] = ()
    if std is None:
        std = FLOW_SHARE * flow
        taken = (Taken(key="source.flow", word=_share_word(FLOW_SHARE), citation=_FLOW),)

    def added(normal: FloatArray) -> FloatArray:
        return np.maximum(flow + std * normal, _LEAST_SHARE * flow) - flow

    moves = {Target("source flow"): (f"source flow {source.place}", added)}
    return _Rule(name="source flow", moves=moves, taken=taken)


def _efficiency(layout: Layout) -> _Rule | None:
    ram = layout.ram
    if ram is None or (ram.efficiency is None and ram.built is None):
        return None
    if ram.efficiency is None:
        return _Rule(
            name="efficiency",
            moves={Target("departure"): ("efficiency", lambda normal: normal / LIKELY)},
            taken=(Taken(key="ram.efficiency", word="the published spread", citation=_TABLE),),
        )
    middle, std = ram.efficiency.value, ram.efficiency.std
    taken: tuple[Taken, ...] = ()
    if std is None:
        std = EFFICIENCY_SHARE * middle
        taken = (
            Taken(key="ram.efficiency", word=_share_word(EFFICIENCY_SHARE), citation=_EFFICIENCY),
        )

    def added(normal: FloatArray) -> FloatArray:
        return np.asarray(np.clip(middle + std * normal, _LEAST_SHARE, 1 - _LEAST_SHARE) - middle)

    moves = {Target("efficiency"): ("efficiency", added)}
    return _Rule(name="efficiency", moves=moves, taken=taken)


def _lognormal(value: float, *, share: float) -> Callable[[FloatArray], FloatArray]:
    return lambda normal: np.asarray(value * np.expm1(share * normal))


def _inside(layout: Layout) -> _Rule | None:
    moves = {}
    for_all = False
    for pipe in layout.pipes.values():
        if pipe.spec is None or pipe.role == "drive":
            continue
        inside = pipe.spec.inside_m
        share = INSIDE_SHARE if inside.std is None else inside.std / inside.value
        for_all |= inside.std is None
        added = _lognormal(inside.value, share=share)
        name = f"inside diameter {pipe.name} {pipe.spec.label}"
        moves[Target("inside", pipe.name)] = (name, added)
    word = _share_word(INSIDE_SHARE)
    taken = (Taken(key="pipe.inside", word=word, citation=_INSIDE),) if for_all else ()
    return _Rule(name="inside diameter", moves=moves, taken=taken) if moves else None


def _roughness(layout: Layout) -> _Rule | None:
    moves = {}
    for_all = False
    for pipe in layout.pipes.values():
        if pipe.spec is None or pipe.role == "drive" or pipe.spec.roughness_m.value <= 0:
            continue
        rough = pipe.spec.roughness_m
        share = ROUGHNESS_SHARE if rough.std is None else rough.std / rough.value
        for_all |= rough.std is None
        name = f"roughness {pipe.name} {pipe.spec.label}"
        moves[Target("roughness", pipe.name)] = (name, _lognormal(rough.value, share=share))
    word = "half to twice in nine of ten"
    taken = (Taken(key="pipe.roughness", word=word, citation=_ROUGHNESS),) if for_all else ()
    return _Rule(name="roughness", moves=moves, taken=taken) if moves else None


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


def _stated(name: str, stated: Mapping[str, Measured]) -> _Rule | None:
    moves = {
        Target("moved", key): (f"stated {key}", partial(np.multiply, one.std))
        for key, one in stated.items()
        if one.std
    }
    return _Rule(name=name, moves=moves) if moves else None
