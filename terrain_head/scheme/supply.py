"""Water from a tank (or the source) to outlets: trees of pipes with stated flows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from terrain_head.formulas.friction import velocity_head_m
from terrain_head.scheme.ends import SOURCE, tank_node
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import leaving
from terrain_head.scheme.parts import Outlet
from terrain_head.scheme.pipe_flow import Water, grade_line, slope_of
from terrain_head.scheme.solution import HydraulicGradeLine, OutletResult

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SupplyFlow:
    """What the outlets get.

    Parameters
    ----------
    running, running_full
        Worst running case of each supply pipe by its name, among the groups for which water runs
        in it; the tank at its lowest level and full. A pipe is missing where bore or flow is not
        known.
    by_group
        For each of those pipes, the running case of every group by the group's name; the tank at
        its lowest level.
    pressure_head_m
        Least pressure head at each station of those pipes over all groups, the tank at its lowest
        level [m].
    outlets
        Results by the name of the outlet.
    demand_m3_s
        For each group that draws straight from the source, its stated flows together [m3/s].
    not_asked
        What could not be answered.
    """

    running: dict[str, HydraulicGradeLine] = field(default_factory=dict)
    running_full: dict[str, HydraulicGradeLine] = field(default_factory=dict)
    by_group: dict[str, dict[str, HydraulicGradeLine]] = field(default_factory=dict)
    pressure_head_m: dict[str, FloatArray] = field(default_factory=dict)
    outlets: dict[str, OutletResult] = field(default_factory=dict)
    demand_m3_s: dict[str, FloatArray] = field(default_factory=dict)
    not_asked: list[str] = field(default_factory=list)


def groups_of(layout: Layout) -> dict[str, frozenset[str]]:
    """Return which outlets run at once, by the name of the group.

    An outlet that stands in no group runs alone, in a group of its own name.
    """
    names = [outlet.name for outlet in layout.outlets]
    if not layout.parts.together:
        return {"all": frozenset(names)}
    groups = {group: frozenset(members) for group, members in layout.parts.together.items()}
    grouped = frozenset().union(*groups.values())
    for name in names:
        if name not in grouped:
            groups[name if name not in groups else f"{name} alone"] = frozenset([name])
    return groups


def supply_flow(layout: Layout, *, water: Water) -> SupplyFlow:
    """Return pressures and grade lines of everything that feeds outlets.

    Parameters
    ----------
    layout
        The scheme on its ground.
    water
        The water.

    Notes
    -----
    The tank at its lowest useful level is the case of need and clearance. Each pipe carries the
    stated flows of the outlets beyond it that run together. An outlet without a stated flow draws
    nothing; its running pressure is not asked. The pressure at an outlet is that just before its
    valve: total head less the speed of the water, at the outlet's height, the riser passed.
    """
    answer = SupplyFlow()
    groups = groups_of(layout)
    roots = [(SOURCE, None), *((tank_node(tank), tank.name) for tank in layout.tanks)]
    for node, tank in roots:
        first = leaving(layout, node, role="supply")
        if first:
            _Tree(layout, first, tank=tank, water=water, groups=groups).answer(answer)
    return answer


class _Tree:
    """All supply pipes that draw from one tank, or from the source."""

    def __init__(
        self,
        layout: Layout,
        first: Sequence[Pipe],
        *,
        tank: str | None,
        water: Water,
        groups: Mapping[str, frozenset[str]],
    ) -> None:
        self.layout = layout
        self.tank = tank
        self.water = water
        self.first_of: dict[str, Pipe] = {}
        self.pipes: list[Pipe] = []
        heads = [(pipe, pipe) for pipe in first]
        while heads:
            pipe, begin = heads.pop(0)
            self.pipes.append(pipe)
            self.first_of[pipe.name] = begin
            heads += [(p, begin) for p in leaving(layout, pipe.downstream, role="supply")]
        self.last_at = {pipe.downstream: pipe for pipe in self.pipes}
        self.outlets = [outlet for outlet in layout.outlets if outlet.place in self.last_at]
        names = {outlet.name for outlet in self.outlets}
        self.groups = {group: members & names for group, members in groups.items()}
        self.groups = {group: members for group, members in self.groups.items() if members}
        self.beyond = {pipe.name: self.outlets_beyond(pipe) for pipe in self.pipes}

    def outlets_beyond(self, pipe: Pipe) -> list[Outlet]:
        reach = {pipe.downstream}
        for other in self.pipes:
            if other.upstream in reach:
                reach.add(other.downstream)
        return [outlet for outlet in self.outlets if outlet.place in reach]

    def levels(self) -> tuple[FloatArray, FloatArray]:
        """Return the lowest and the full level of the water it draws from."""
        if self.tank is not None:
            return self.layout.lowest_m[self.tank], self.layout.full_m[self.tank]
        level_m = self.layout.source_level_m
        if level_m is None:
            raise AssertionError("a pipe from a source that does not exist")
        return level_m, level_m

    def answer(self, answer: SupplyFlow) -> None:
        """Add the tree's results."""
        low_m, full_m = self.levels()
        low = {group: self.run(group, low_m) for group in self.groups}
        full = {group: self.run(group, full_m) for group in self.groups}
        for pipe in self.pipes:
            if not self.beyond[pipe.name]:
                answer.not_asked.append(f"pipe.{pipe.name}.outlet")
            cases = [group for group in self.groups if pipe.name in low[group]]
            moving = [group for group in cases if low[group][pipe.name].flow_m3_s > 0]
            if moving:
                answer.running[pipe.name], answer.running_full[pipe.name] = _worst(
                    [low[group][pipe.name] for group in moving],
                    [full[group][pipe.name] for group in moving],
                )
                answer.by_group[pipe.name] = {group: low[group][pipe.name] for group in cases}
                # Water that stands still in this pipe may stand lower while others draw.
                answer.pressure_head_m[pipe.name] = np.asarray(
                    np.minimum.reduce([low[group][pipe.name].pressure_head_m for group in cases])
                )
        for outlet in self.outlets:
            answer.outlets[outlet.name] = self.outlet_result(outlet, low, full)
            if outlet.flow_m3_s is None:
                answer.not_asked.append(f"outlet.{outlet.name}.flow")
            if outlet.needs_pa is None:
                answer.not_asked.append(f"outlet.{outlet.name}.pressure")
        if self.tank is None:
            for group, members in self.groups.items():
                answer.demand_m3_s[group] = self.flow_of(self.outlets, members)

    def flow_of(self, outlets: Sequence[Outlet], members: frozenset[str]) -> FloatArray:
        flows = [
            o.flow_m3_s.value for o in outlets if o.name in members and o.flow_m3_s is not None
        ]
        return np.asarray(float(sum(flows)))

    def run(self, group: str, level_m: FloatArray) -> dict[str, HydraulicGradeLine]:
        """Return the grade lines while a group runs, as far as bores are known."""
        lines: dict[str, HydraulicGradeLine] = {}
        begin = {pipe.name for pipe in self.first_of.values()}
        for pipe in self.pipes:
            before = None if pipe.name in begin else self.last_at[pipe.upstream].name
            if pipe.spec is None or (before is not None and before not in lines):
                continue
            lines[pipe.name] = grade_line(
                pipe,
                self.flow_of(self.beyond[pipe.name], self.groups[group]),
                upstream_head_m=level_m if before is None else lines[before].downstream_head_m,
                water=self.water,
                group=group,
            )
        return lines

    def running_pa(self, outlet: Outlet, lines: Mapping[str, HydraulicGradeLine]) -> FloatArray:
        """Return the pressure just before an outlet's valve."""
        last = self.last_at[outlet.place]
        flow = np.asarray(outlet.flow_m3_s.value if outlet.flow_m3_s is not None else 0.0)
        own_m = slope_of(last, flow, water=self.water) * self.layout.outlet_riser_m[outlet.name]
        speed_m = velocity_head_m(flow, inside_m=last.inside_m)
        head_m = lines[last.name].downstream_head_m - own_m - speed_m
        return self.water.pressure_pa(head_m - self.layout.outlet_level_m[outlet.name])

    def outlet_result(
        self,
        outlet: Outlet,
        low: Mapping[str, Mapping[str, HydraulicGradeLine]],
        full: Mapping[str, Mapping[str, HydraulicGradeLine]],
    ) -> OutletResult:
        """Return the result of one outlet in the worst of its groups."""
        low_m, full_m = self.levels()
        level_m = self.layout.outlet_level_m[outlet.name]
        last = self.last_at[outlet.place].name
        cases = [g for g, members in self.groups.items() if outlet.name in members]
        running_low = running_full = stand_m = None
        enough: NDArray[np.bool_] | None = None
        worst: str | None = None
        if outlet.flow_m3_s is not None and all(last in low[group] for group in cases):
            each_low = [self.running_pa(outlet, low[group]) for group in cases]
            each_full = [self.running_pa(outlet, full[group]) for group in cases]
            running_low = np.asarray(np.minimum.reduce(each_low))
            running_full = np.asarray(np.minimum.reduce(each_full))
            worst = cases[int(np.argmin([np.mean(pressure) for pressure in each_low]))]
            if outlet.needs_pa is not None:
                enough = np.asarray(running_low >= outlet.needs_pa.value)
                stand_m = self.stand_needed(outlet, cases, each_low, low)
        return OutletResult(
            level_m=level_m,
            static_full_pa=self.water.pressure_pa(full_m - level_m),
            static_low_pa=self.water.pressure_pa(low_m - level_m),
            running_full_pa=running_full,
            running_low_pa=running_low,
            enough=enough,
            stand_needed_m=stand_m,
            group=worst,
            fed_by=self.tank or SOURCE,
        )

    def stand_needed(
        self,
        outlet: Outlet,
        cases: Sequence[str],
        pressures_pa: Sequence[FloatArray],
        low: Mapping[str, Mapping[str, HydraulicGradeLine]],
    ) -> FloatArray | None:
        """Return the least stand that meets an outlet's need.

        A metre of stand adds a metre of head and a metre of riser in the first pipe, unless that
        pipe's whole length is stated.
        """
        if self.tank is None or outlet.needs_pa is None:
            return None
        place = next(t.place for t in self.layout.tanks if t.name == self.tank)
        stand_m = self.layout.deck_m[self.tank] - self.layout.ground.elevation_of(place)
        first = self.first_of[self.last_at[outlet.place].name]
        metre_pa = self.water.pressure_pa(1.0)
        stands = []
        for group, pressure_pa in zip(cases, pressures_pa, strict=True):
            gain: FloatArray = np.ones(())
            if first.run.length_m is None:
                flow = low[group][first.name].flow_m3_s
                gain = np.asarray(1.0 - slope_of(first, flow, water=self.water))
            with np.errstate(divide="ignore", invalid="ignore"):
                more_m = (outlet.needs_pa.value - pressure_pa) / (metre_pa * gain)
            stands.append(np.where(gain > 0, np.maximum(stand_m + more_m, 0.0), np.nan))
        most = np.asarray(np.maximum.reduce(np.broadcast_arrays(*stands)))
        return most if np.any(np.isfinite(most)) else None


def _worst(
    low: Sequence[HydraulicGradeLine], full: Sequence[HydraulicGradeLine]
) -> tuple[HydraulicGradeLine, HydraulicGradeLine]:
    """Return the case that leaves the least head at the pipe's end, entry by entry."""
    if len(low) == 1:
        return low[0], full[0]
    ends = np.stack(np.broadcast_arrays(*(line.downstream_head_m for line in low)))
    pick = np.argmin(ends, axis=0)
    group = low[int(np.argmin([np.mean(line.downstream_head_m) for line in low]))].group
    return _picked(low, pick, group), _picked(full, pick, group)


def _picked(
    lines: Sequence[HydraulicGradeLine], pick: NDArray[np.intp], group: str | None
) -> HydraulicGradeLine:
    def scalar(values: Sequence[FloatArray]) -> FloatArray:
        stack = np.stack([np.broadcast_to(value, pick.shape) for value in values])
        return np.asarray(np.take_along_axis(stack, pick[None], axis=0)[0])

    def along(values: Sequence[FloatArray]) -> FloatArray:
        shape = (*pick.shape, values[0].shape[-1])
        stack = np.stack([np.broadcast_to(value, shape) for value in values])
        return np.asarray(np.take_along_axis(stack, pick[None, ..., None], axis=0)[0])

    return HydraulicGradeLine(
        flow_m3_s=scalar([line.flow_m3_s for line in lines]),
        velocity_m_s=scalar([line.velocity_m_s for line in lines]),
        total_head_m=along([line.total_head_m for line in lines]),
        grade_m=along([line.grade_m for line in lines]),
        pressure_head_m=along([line.pressure_head_m for line in lines]),
        upstream_head_m=scalar([line.upstream_head_m for line in lines]),
        downstream_head_m=scalar([line.downstream_head_m for line in lines]),
        head_loss_m=scalar([line.head_loss_m for line in lines]),
        head_loss_hazen_williams_m=scalar([line.head_loss_hazen_williams_m for line in lines]),
        group=group,
    )
