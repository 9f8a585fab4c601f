"""What is common to every line that feeds outlets: its states, and the worst of them."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.formulas.friction import velocity_head_m
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import Level, Line, tank_at
from terrain_head.scheme.parts import Outlet
from terrain_head.scheme.pipe_flow import Water, slope_of
from terrain_head.scheme.solution import HydraulicGradeLine, OutletResult

FloatArray = NDArray[np.float64]
Extra = Literal["stands", "full tanks"]
"""What a solve may leave out: the stand that each outlet needs, and the case of full tanks, which
is then that of low ones."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SupplyFlow:
    """What the outlets get.

    Parameters
    ----------
    running, running_full
        Worst running case of each pipe on the way to an outlet by its name, among the groups for
        which water runs in it; the tank at its lowest level and full. A pipe is missing where bore
        or flow is not known.
    by_group
        For each of those pipes, the running case of every group by the group's name; the tank at
        its lowest level.
    pressure_head_m
        Least pressure head at each station of those pipes over all groups, the tank at its lowest
        level [m].
    outlets
        Results by the name of the outlet.
    demand_m3_s
        For each group that draws straight from the source, its flows together [m3/s].
    not_asked
        What could not be answered.
    runs_over_m3_s
        What runs into a tank from a higher one on the same line while nothing is drawn, by the
        name of the tank [m3/s].
    """

    running: dict[str, HydraulicGradeLine] = field(default_factory=dict)
    running_full: dict[str, HydraulicGradeLine] = field(default_factory=dict)
    by_group: dict[str, dict[str, HydraulicGradeLine]] = field(default_factory=dict)
    pressure_head_m: dict[str, FloatArray] = field(default_factory=dict)
    outlets: dict[str, OutletResult] = field(default_factory=dict)
    demand_m3_s: dict[str, FloatArray] = field(default_factory=dict)
    not_asked: list[str] = field(default_factory=list)
    runs_over_m3_s: dict[str, FloatArray] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class State:
    """A line while one group of its outlets runs.

    Parameters
    ----------
    lines
        Hydraulic grade line of each pipe by its name, as far as bores are known.
    pressure_pa
        Just before the valve of each running outlet by its name; an open end has none [Pa].
    outlet_m3_s
        Out of each running outlet by its name [m3/s].
    source_m3_s
        What the line takes from the source, None where it begins elsewhere [m3/s].
    """

    lines: Mapping[str, HydraulicGradeLine]
    pressure_pa: Mapping[str, FloatArray]
    outlet_m3_s: Mapping[str, FloatArray]
    source_m3_s: FloatArray | None = None


class SupplyLine(ABC):
    """A line that feeds outlets."""

    def __init__(
        self, layout: Layout, line: Line, *, water: Water, groups: Mapping[str, frozenset[str]]
    ) -> None:
        self.layout = layout
        self.line = line
        self.water = water
        names = {outlet.name for outlet in line.outlets}
        here = {group: members & names for group, members in groups.items()}
        self.groups = {group: members for group, members in here.items() if members}
        self.last_at = {pipe.downstream: pipe for pipe in reversed(line.pipes)}

    @abstractmethod
    def state(self, group: str, *, level: Level) -> State:
        """Return the line while a group runs, its tanks full or at their lowest."""

    @abstractmethod
    def static_pa(self, outlet: Outlet, *, level: Level) -> FloatArray:
        """Return the pressure at an outlet while nothing flows out [Pa]."""

    @abstractmethod
    def stand_needed(
        self, outlet: Outlet, cases: Sequence[str], *, low: Mapping[str, State]
    ) -> FloatArray | None:
        """Return the least stand that meets an outlet's need in all its groups [m]."""

    def answer(self, answer: SupplyFlow, *, leave_out: Collection[Extra] = ()) -> None:
        """Add the line's results, but for what is left out."""
        low = {group: self.state(group, level="low") for group in self.groups}
        full = low
        if "full tanks" not in leave_out:
            full = {group: self.state(group, level="full") for group in self.groups}
        for pipe in self.line.pipes:
            self.answer_pipe(answer, pipe, low=low, full=full)
        for outlet in self.line.outlets:
            answer.outlets[outlet.name] = self.outlet_result(
                outlet, low=low, full=full, leave_out=leave_out
            )
            if not outlet.runs:
                answer.not_asked.append(f"outlet.{outlet.name}.flow")
            if outlet.needs_pa is None and not is_open(outlet):
                answer.not_asked.append(f"outlet.{outlet.name}.pressure")
        for group, state in low.items():
            if state.source_m3_s is not None:
                drawn = answer.demand_m3_s.get(group, np.zeros(()))
                answer.demand_m3_s[group] = np.asarray(drawn + state.source_m3_s)

    def answer_pipe(
        self,
        answer: SupplyFlow,
        pipe: Pipe,
        *,
        low: Mapping[str, State],
        full: Mapping[str, State],
    ) -> None:
        """Add one pipe's worst running case."""
        if not self.feeds_outlet(pipe) and self.line.role == "supply":
            answer.not_asked.append(f"pipe.{pipe.name}.outlet")
        cases = [group for group in self.groups if pipe.name in low[group].lines]
        moving = [group for group in cases if np.any(low[group].lines[pipe.name].flow_m3_s)]
        if not moving:
            return
        answer.running[pipe.name], answer.running_full[pipe.name] = _worst(
            [low[group].lines[pipe.name] for group in moving],
            [full[group].lines[pipe.name] for group in moving],
        )
        answer.by_group[pipe.name] = {group: low[group].lines[pipe.name] for group in cases}
        # Water that stands still in this pipe may stand lower while others draw.
        answer.pressure_head_m[pipe.name] = np.asarray(
            np.minimum.reduce([low[group].lines[pipe.name].pressure_head_m for group in cases])
        )

    def feeds_outlet(self, pipe: Pipe) -> bool:
        """Say whether an outlet lies beyond a pipe."""
        return bool(self.outlets_beyond(pipe))

    def outlets_beyond(self, pipe: Pipe) -> list[Outlet]:
        """Return the outlets beyond a pipe, in the order of the study."""
        reach = {pipe.downstream}
        while (
            more := {other.downstream for other in self.line.pipes if other.upstream in reach}
            - reach
        ):
            reach |= more
        return [outlet for outlet in self.line.outlets if outlet.place in reach]

    def before_valve_pa(
        self, outlet: Outlet, flow: FloatArray, *, head_m: FloatArray
    ) -> FloatArray:
        """Return the pressure just before an outlet's valve [Pa].

        Parameters
        ----------
        outlet
            The outlet.
        flow
            What it draws [m3/s].
        head_m
            Total head where its own riser begins [m].
        """
        last = self.last_at[outlet.place]
        own_m = slope_of(last, flow, water=self.water) * self.layout.outlet_riser_m[outlet.name]
        speed_m = velocity_head_m(flow, inside_m=last.inside_m)
        level_m = self.layout.outlet_level_m[outlet.name]
        return self.water.pressure_pa(head_m - own_m - speed_m - level_m)

    def outlet_result(
        self,
        outlet: Outlet,
        *,
        low: Mapping[str, State],
        full: Mapping[str, State],
        leave_out: Collection[Extra],
    ) -> OutletResult:
        """Return the result of one outlet in the worst of its groups."""
        cases = [g for g, members in self.groups.items() if outlet.name in members]
        running_low = running_full = stand_m = flow = None
        enough: NDArray[np.bool_] | None = None
        worst: str | None = None
        if all(outlet.name in low[group].pressure_pa for group in cases):
            each_low = [low[group].pressure_pa[outlet.name] for group in cases]
            each_full = [full[group].pressure_pa[outlet.name] for group in cases]
            running_low = np.asarray(np.minimum.reduce(each_low))
            running_full = np.asarray(np.minimum.reduce(each_full))
            worst = cases[int(np.argmin([np.mean(pressure) for pressure in each_low]))]
            if outlet.needs_pa is not None:
                enough = np.asarray(running_low >= outlet.needs_pa.value)
                if "stands" not in leave_out:
                    stand_m = self.stand_needed(outlet, cases, low=low)
        if all(outlet.name in low[group].outlet_m3_s for group in cases):
            each = [low[group].outlet_m3_s[outlet.name] for group in cases]
            flow = np.asarray(np.minimum.reduce(each))
            if worst is None:
                worst = cases[int(np.argmin([np.mean(one) for one in each]))]
        return OutletResult(
            level_m=self.layout.outlet_level_m[outlet.name],
            static_full_pa=self.static_pa(outlet, level="full"),
            static_low_pa=self.static_pa(outlet, level="low"),
            running_full_pa=running_full,
            running_low_pa=running_low,
            enough=enough,
            stand_needed_m=stand_m,
            group=worst,
            fed_by=tank_at(self.layout, self.root_of(outlet)) or self.root_of(outlet),
            flow_m3_s=flow,
        )

    def root_of(self, outlet: Outlet) -> str:
        """Return the root from which an outlet is met first."""
        node = outlet.place
        while node in self.last_at and node not in self.line.roots:
            node = self.last_at[node].upstream
        return node


def is_open(outlet: Outlet) -> bool:
    """Say whether an outlet is an open pipe end, before which there is no pressure."""
    return outlet.opens is not None and outlet.opens.gives_m3_s is None


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
