"""The parts of a scheme joined to the ground."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.measured import Measured
from terrain_head.ground.ground import Ground, GroundProfile
from terrain_head.scheme.parts import Outlet, Parts, PipeRun, PipeSpec, Ram, Source, Tank

FloatArray = NDArray[np.float64]
Role = Literal["drive", "feed", "delivery", "supply", "gravity"]
"""What a pipe does: ``drive`` and ``feed`` before the ram, ``delivery`` after it, ``gravity`` from
the source (or a tank) into a tank, ``supply`` from a tank (or the source) to outlets."""


def _unknown() -> FloatArray:
    return np.asarray(np.nan)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pipe:
    """A pipe in its place. All values are scalars or (draws,); along the pipe stations are last.

    Its order is that of the flow, whichever way round it was written. In a ring, and between two
    tanks that both feed, the water may also run against it: its flow is then negative.

    Parameters
    ----------
    run
        The pipe as stated.
    role
        What it does.
    upstream, downstream
        Names of its end nodes: ``source``, ``seep.NAME``, ``ram``, ``tank.NAME`` (``tank`` for a
        lone one) or a place.
    profile
        The ground under it, in the direction of flow.
    pipe_m
        Elevation of the pipe at each station, shape (n,) or (draws, n) [m].
    riser_up_m, riser_down_m
        Pipe standing up (or hanging down) at its two ends, beyond the stations [m].
    length_m
        Whole length, risers included [m].
    along_m
        Pipe length from its beginning to each station, its first riser included, (n,) [m].
    inside_m, roughness_m
        Inside diameter and roughness; nan where no pipe is chosen [m].
    loss_coefficient
        Sum of the fittings' coefficients, entrance and exit not among them [1].
    upstream_m, downstream_m
        Elevation of its very ends, beyond the risers [m].
    entrance_coefficient, exit_coefficient
        0.5 where it draws from open water or the ram, 1.0 where it lets go of its water freely;
        0 at tees and outlets [1].
    line
        Name of the line it belongs to: the first of the pipes that hang together with it.
    one_way
        Whether a check valve keeps the water from running back.
    """

    run: PipeRun
    role: Role
    upstream: str
    downstream: str
    profile: GroundProfile
    pipe_m: FloatArray
    riser_up_m: FloatArray
    riser_down_m: FloatArray
    length_m: FloatArray
    along_m: FloatArray
    inside_m: FloatArray
    roughness_m: FloatArray
    loss_coefficient: FloatArray
    upstream_m: FloatArray = field(default_factory=_unknown)
    downstream_m: FloatArray = field(default_factory=_unknown)
    entrance_coefficient: float = 0.0
    exit_coefficient: float = 0.0
    line: str = ""
    one_way: bool = False

    @property
    def name(self) -> str:
        """Its name."""
        return self.run.name

    @property
    def spec(self) -> PipeSpec | None:
        """The pipe as it is bought, None where none is chosen."""
        return self.run.spec


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Values:
    """Values that stand in place of the stated middles, each () or (draws,); empty: as stated.

    Parameters
    ----------
    efficiency
        Of the ram [1].
    source_flow_m3_s
        Of the source [m3/s].
    inside_m, roughness_m
        Of pipes, by the name of the pipe [m].
    stand_m
        Of tanks, by the name of the tank [m].
    efficiency_departure
        How far the published efficiency stands off its middle: 1 is the high end of its spread,
        -1 the low end, straight between and beyond, never below 0; a measured one knows none [1].
    moved_m
        Added to a stated height or length, by its key in the study: ``source.water_above``,
        ``ram.valve_above``, ``ram.tail_water_above``, ``tank.NAME.stand`` (and ``water_depth``,
        ``lowest``, ``inlet``), ``outlet.NAME.height``, ``pipe.NAME.cover``, ``pipe.NAME.length``
        [m].
    """

    efficiency: FloatArray | None = None
    source_flow_m3_s: FloatArray | None = None
    inside_m: Mapping[str, FloatArray] = field(default_factory=dict)
    roughness_m: Mapping[str, FloatArray] = field(default_factory=dict)
    stand_m: Mapping[str, FloatArray] = field(default_factory=dict)
    efficiency_departure: FloatArray | None = None
    moved_m: Mapping[str, FloatArray] = field(default_factory=dict)

    @property
    def drawn(self) -> bool:
        """Whether any of them has a leading axis of draws."""
        single = (self.efficiency, self.source_flow_m3_s, self.efficiency_departure)
        named = (self.inside_m, self.roughness_m, self.stand_m, self.moved_m)
        arrays = [value for value in single if value is not None]
        arrays += [value for values in named for value in values.values()]
        return any(value.ndim > 0 for value in arrays)

    def moved(self, key: str, stated: Measured) -> FloatArray:
        """Return a stated height or length where it has been moved to [m]."""
        return np.asarray(stated.value + self.moved_m.get(key, np.zeros(())))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """A scheme on its ground: every pipe end is a node. Scalars may be (draws,) arrays.

    Parameters
    ----------
    parts
        The parts as stated (its `Measured` values are the middles of the arrays here).
    ground
        The ground it stands on.
    source_level_m
        Water level at the source, None without one [m].
    valve_level_m
        Level against which the fall counts: waste valve's outlet, or tail water if higher; None
        without a ram [m].
    source_flow_m3_s, share
        What the source gives, with what the seeps bring it, and what part of it may be taken;
        flow None where not stated
        [m3/s], [1].
    ram_efficiency
        Measured efficiency, None where a table must give it [1].
    ram_flow_m3_s, ram_flow_least_m3_s, ram_flow_most_m3_s
        Of one ram, None where not stated [m3/s].
    deck_m, full_m, lowest_m, inlet_m
        Levels of each tank by its name [m].
    pipes
        By name, in the order of the study; without those whose way over the ground is not known.
    outlet_level_m
        Elevation of each outlet by its name [m].
    outlet_riser_m
        Pipe of each outlet's own beyond the last pipe's end, by its name: 0 where the outlet
        stands alone at a pipe's end, since that riser is part of the pipe [m].
    values
        What stands in place of the stated middles.
    seep_level_m
        Water level of each seep by its name [m].
    """

    parts: Parts
    ground: Ground
    source_level_m: FloatArray | None
    valve_level_m: FloatArray | None
    source_flow_m3_s: FloatArray | None
    share: float
    ram_efficiency: FloatArray | None
    ram_flow_m3_s: FloatArray | None
    ram_flow_least_m3_s: FloatArray | None
    ram_flow_most_m3_s: FloatArray | None
    deck_m: Mapping[str, FloatArray]
    full_m: Mapping[str, FloatArray]
    lowest_m: Mapping[str, FloatArray]
    inlet_m: Mapping[str, FloatArray]
    pipes: Mapping[str, Pipe]
    outlet_level_m: Mapping[str, FloatArray] = field(default_factory=dict)
    outlet_riser_m: Mapping[str, FloatArray] = field(default_factory=dict)
    values: Values = field(default_factory=Values)
    seep_level_m: Mapping[str, FloatArray] = field(default_factory=dict)

    @property
    def source(self) -> Source | None:
        """The source as stated."""
        return self.parts.source

    @property
    def ram(self) -> Ram | None:
        """The ram as stated."""
        return self.parts.ram

    @property
    def tanks(self) -> tuple[Tank, ...]:
        """The tanks as stated."""
        return self.parts.tanks

    @property
    def outlets(self) -> tuple[Outlet, ...]:
        """The outlets as stated."""
        return self.parts.outlets
