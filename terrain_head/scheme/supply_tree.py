"""A tree of pipes below one tank (or the source) whose outlets state their flows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.ends import SOURCE
from terrain_head.scheme.gravity import levels_of
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import Level, Line, tank_at
from terrain_head.scheme.parts import Outlet
from terrain_head.scheme.pipe_flow import Water, grade_line, raised, slope_of
from terrain_head.scheme.solution import HydraulicGradeLine
from terrain_head.scheme.supply_line import State, SupplyLine

FloatArray = NDArray[np.float64]


class SupplyTree(SupplyLine):
    """Flows follow from what is stated, heads from the flows, pipe by pipe."""

    def __init__(
        self, layout: Layout, line: Line, *, water: Water, groups: Mapping[str, frozenset[str]]
    ) -> None:
        super().__init__(layout, line, water=water, groups=groups)
        self.root = line.roots[0]
        self.ordered: list[Pipe] = []
        self.first_of: dict[str, Pipe] = {}
        heads = [(pipe, pipe) for pipe in line.pipes if pipe.upstream == self.root]
        while heads:
            pipe, begin = heads.pop(0)
            self.ordered.append(pipe)
            self.first_of[pipe.name] = begin
            heads += [(p, begin) for p in line.pipes if p.upstream == pipe.downstream]
        self.beyond = {pipe.name: self.outlets_beyond(pipe) for pipe in line.pipes}
        self.low = cache(self._low)

    def state(self, group: str, *, level: Level) -> State:
        """Return the tree while a group runs: full, it is the same under more head."""
        low = self.low(group)
        if level == "low":
            return low
        low_m, full_m = levels_of(self.layout, self.root)
        more_m = np.asarray(full_m - low_m)
        more_pa = self.water.pressure_pa(more_m)
        return replace(
            low,
            lines={name: raised(line, more_m) for name, line in low.lines.items()},
            pressure_pa={name: found + more_pa for name, found in low.pressure_pa.items()},
        )

    def _low(self, group: str) -> State:
        """Return the tree while a group runs, its tank at the lowest level."""
        level_m = levels_of(self.layout, self.root)[0]
        members = self.groups[group]
        lines: dict[str, HydraulicGradeLine] = {}
        for pipe in self.ordered:
            before = None if pipe.upstream == self.root else self.last_at[pipe.upstream].name
            if pipe.spec is None or (before is not None and before not in lines):
                continue
            lines[pipe.name] = grade_line(
                pipe,
                flow_of(self.beyond[pipe.name], members),
                upstream_head_m=level_m if before is None else lines[before].downstream_head_m,
                water=self.water,
                group=group,
            )
        pressure_pa, outlet_m3_s = {}, {}
        for outlet in self.line.outlets:
            last = self.last_at[outlet.place].name
            if outlet.flow_m3_s is None or outlet.name not in members:
                continue
            flow = outlet_m3_s[outlet.name] = np.asarray(outlet.flow_m3_s.value)
            if last in lines:
                head_m = lines[last].downstream_head_m
                pressure_pa[outlet.name] = self.before_valve_pa(outlet, flow, head_m=head_m)
        drawn = flow_of(self.line.outlets, members) if self.root == SOURCE else None
        return State(
            lines=lines, pressure_pa=pressure_pa, outlet_m3_s=outlet_m3_s, source_m3_s=drawn
        )

    def static_pa(self, outlet: Outlet, *, level: Level) -> FloatArray:
        """Return the pressure under the still water of the root [Pa]."""
        level_m = levels_of(self.layout, self.root)[0 if level == "low" else 1]
        return self.water.pressure_pa(level_m - self.layout.outlet_level_m[outlet.name])

    def stand_needed(
        self, outlet: Outlet, cases: Sequence[str], *, low: Mapping[str, State]
    ) -> FloatArray | None:
        """Return the least stand that meets an outlet's need.

        A metre of stand adds a metre of head and a metre of riser in the first pipe, unless that
        pipe's whole length is stated.
        """
        tank = tank_at(self.layout, self.root)
        if tank is None or outlet.needs_pa is None:
            return None
        place = next(t.place for t in self.layout.tanks if t.name == tank)
        stand_m = self.layout.deck_m[tank] - self.layout.ground.elevation_of(place)
        first = self.first_of[self.last_at[outlet.place].name]
        metre_pa = self.water.pressure_pa(1.0)
        stands = []
        for group in cases:
            pressure_pa = low[group].pressure_pa[outlet.name]
            gain: FloatArray = np.ones(())
            if first.run.length_m is None:
                flow = low[group].lines[first.name].flow_m3_s
                gain = np.asarray(1.0 - slope_of(first, flow, water=self.water))
            with np.errstate(divide="ignore", invalid="ignore"):
                more_m = (outlet.needs_pa.value - pressure_pa) / (metre_pa * gain)
            stands.append(np.where(gain > 0, np.maximum(stand_m + more_m, 0.0), np.nan))
        most = np.asarray(np.maximum.reduce(np.broadcast_arrays(*stands)))
        return most if np.any(np.isfinite(most)) else None


def flow_of(outlets: Sequence[Outlet], members: frozenset[str]) -> FloatArray:
    """Return the stated flows of the running ones among some outlets together [m3/s]."""
    flows = [o.flow_m3_s.value for o in outlets if o.name in members and o.flow_m3_s is not None]
    return np.asarray(float(sum(flows)))
