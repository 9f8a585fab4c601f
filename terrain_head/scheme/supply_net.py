"""A line whose flows are not known beforehand: rings, several tanks, openings, a ram's delivery."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.ends import RAM, SOURCE
from terrain_head.scheme.gravity import given_by, levels_of
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.lines import Level, Line, tank_at
from terrain_head.scheme.nets import LineNet, NetCase, Work
from terrain_head.scheme.parts import Outlet
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.supply_line import Extra, State, SupplyFlow, SupplyLine, is_open

FloatArray = NDArray[np.float64]

_MOST_STEPS = 30
_CLOSE_PA = 1e-3


class SupplyNet(SupplyLine):
    """Heads and flows of the whole line are solved together."""

    def __init__(
        self,
        layout: Layout,
        line: Line,
        *,
        water: Water,
        groups: Mapping[str, frozenset[str]],
        work: Work | None,
        inflow_m3_s: Mapping[str, FloatArray],
    ) -> None:
        super().__init__(layout, line, water=water, groups=groups)
        self.net = LineNet(layout, line, water=water)
        self.work = work
        self.most_m3_s: dict[str, FloatArray] = {}
        elastic = bool(line.fills) or any(outlet.opens is not None for outlet in line.outlets)
        for root in line.roots:
            limit = given_by(layout, root, inflow_m3_s=inflow_m3_s)
            if limit is not None and elastic and tank_at(layout, root) is None and root != RAM:
                self.most_m3_s[root] = limit
        self.can_run = line.bores_known and (RAM not in line.roots or work is not None)
        self.case = cache(self._case)

    def levels(self, *, level: Level) -> dict[str, FloatArray]:
        """Return the water level of every root and every filled node [m]."""
        level_m = {
            root: levels_of(self.layout, root)[0 if level == "low" else 1]
            for root in self.line.roots
            if root != RAM
        }
        return level_m | {node: self.net.filled_to(node, level=level) for node in self.line.fills}

    def _case(self, members: frozenset[str], *, level: Level) -> NetCase:
        return self.net.run(
            members,
            level_m=self.levels(level=level),
            most_m3_s=self.most_m3_s,
            work=self.work if RAM in self.line.roots else None,
        )

    def answer(self, answer: SupplyFlow, *, leave_out: Collection[Extra] = ()) -> None:
        """Add the line's results, and what runs from tank to tank while nothing is drawn."""
        super().answer(answer, leave_out=leave_out)
        tanks = {root: tank_at(self.layout, root) for root in self.line.roots}
        if not self.can_run or len(tanks) < 2:
            return
        rest = self.case(frozenset(), level="full")
        for root, tank in tanks.items():
            into = -rest.out_of(root, pipes=self.line.pipes)
            if tank is not None and np.any(into > 0):
                answer.runs_over_m3_s[tank] = np.maximum(into, 0.0)

    def state(self, group: str, *, level: Level) -> State:
        """Return the net while a group runs."""
        if not self.can_run:
            return State(lines={}, pressure_pa={}, outlet_m3_s={})
        case = self.case(self.groups[group], level=level)
        return self.state_of(case, self.groups[group], group=group)

    def state_of(self, case: NetCase, members: frozenset[str], *, group: str) -> State:
        """Return a solved net as a state."""
        running = [o for o in self.line.outlets if o.name in members and o.runs]
        pressure_pa = {
            outlet.name: self.before_valve_pa(
                outlet, case.outlet_m3_s[outlet.name], head_m=case.head_m[outlet.place]
            )
            for outlet in running
            if not is_open(outlet)
        }
        drawn = None
        if SOURCE in self.line.roots:
            drawn = case.out_of(SOURCE, pipes=self.line.pipes)
        return State(
            lines=self.net.grade_lines(case, group=group),
            pressure_pa=pressure_pa,
            outlet_m3_s=case.outlet_m3_s,
            source_m3_s=drawn,
        )

    def static_pa(self, outlet: Outlet, *, level: Level) -> FloatArray:
        """Return the pressure while no outlet runs [Pa].

        Between tanks at different levels water may run even then; a line whose pipes are not all
        chosen counts from the highest root.
        """
        level_m = self.layout.outlet_level_m[outlet.name]
        if self.can_run and (len(self.line.roots) > 1 or self.line.fills):
            head_m = self.case(frozenset(), level=level).head_m[outlet.place]
        else:
            roots = [
                levels_of(self.layout, root)[0 if level == "low" else 1] for root in self.line.roots
            ]
            head_m = np.asarray(np.maximum.reduce(np.broadcast_arrays(*roots)))
        return self.water.pressure_pa(head_m - level_m)

    def stand_needed(
        self, outlet: Outlet, cases: Sequence[str], *, low: Mapping[str, State]
    ) -> FloatArray | None:
        """Return the least stand of the nearest tank that meets an outlet's need.

        Found by trying: each try raises the tank by what was missing, by the rise that the last
        one brought.
        """
        root = self.root_of(outlet)
        tank = tank_at(self.layout, root)
        if tank is None or outlet.needs_pa is None or root not in self.line.roots:
            return None
        place = next(t.place for t in self.layout.tanks if t.name == tank)
        stand_m = self.layout.deck_m[tank] - self.layout.ground.elevation_of(place)
        stands = [
            self.rise_needed(
                outlet,
                group,
                root=root,
                missing_pa=outlet.needs_pa.value - low[group].pressure_pa[outlet.name],
            )
            for group in cases
        ]
        most_m = np.asarray(np.maximum.reduce(np.broadcast_arrays(*stands)))
        needed_m = np.maximum(stand_m + most_m, 0.0)
        return needed_m if np.any(np.isfinite(needed_m)) else None

    def rise_needed(
        self, outlet: Outlet, group: str, *, root: str, missing_pa: FloatArray
    ) -> FloatArray:
        """Return by how much a root must rise for what is missing at an outlet [m]."""
        metre_pa = self.water.pressure_pa(1.0)
        members, levels_m = self.groups[group], self.levels(level="low")
        rise_m, still_pa = np.zeros(missing_pa.shape), missing_pa
        gain = np.broadcast_to(metre_pa, missing_pa.shape)
        for _ in range(_MOST_STEPS):
            if np.all(np.abs(still_pa) < _CLOSE_PA):
                return rise_m
            step_m = still_pa / gain
            rise_m = rise_m + step_m
            case = self.net.run(
                members,
                level_m=levels_m,
                most_m3_s=self.most_m3_s,
                raised_m={root: rise_m},
            )
            flow, head_m = case.outlet_m3_s[outlet.name], case.head_m[outlet.place]
            pressure_pa = self.before_valve_pa(outlet, flow, head_m=head_m)
            if outlet.needs_pa is None:
                break
            left_pa = outlet.needs_pa.value - pressure_pa
            with np.errstate(divide="ignore", invalid="ignore"):
                seen = (still_pa - left_pa) / step_m
            gain = np.where(np.isfinite(seen) & (seen > 1e-3 * metre_pa), seen, gain)
            still_pa = left_pa
        return np.where(np.abs(still_pa) < 1.0, rise_m, np.nan)
