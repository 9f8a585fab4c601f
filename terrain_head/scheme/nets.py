"""A line of pipes as a net: where water parts and meets, and what comes out by its own pressure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.ends import SOURCE, place_of
from terrain_head.scheme.heads import Net, NetFlow, solve_heads
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import Level, Line, let_go_m, tank_at
from terrain_head.scheme.parts import Opening, Outlet
from terrain_head.scheme.pipe_flow import Water, grade_line
from terrain_head.scheme.solution import HydraulicGradeLine

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_SLACK = 1 + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Work:
    """What a ram puts into a line: it lifts the more, the less high it must push.

    Parameters
    ----------
    level_m
        Level above which its lift counts [m].
    lift_m4_s
        Flow times the head it is lifted over that level [m4/s].
    """

    level_m: FloatArray
    lift_m4_s: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NetCase:
    """One state of a line.

    Parameters
    ----------
    head_m
        Total head at each node by its name, nan where no water stands [m].
    flow_m3_s
        In each pipe by its name, along its own direction [m3/s].
    outlet_m3_s
        Out of each running outlet by its name [m3/s].
    limited
        Of each root with a limit: whether it gives all it has, and could give more [bool].
    """

    head_m: Mapping[str, FloatArray]
    flow_m3_s: Mapping[str, FloatArray]
    outlet_m3_s: Mapping[str, FloatArray]
    limited: Mapping[str, BoolArray] = field(default_factory=dict)

    def out_of(self, node: str, *, pipes: Sequence[Pipe]) -> FloatArray:
        """Return what a node gives to these pipes; negative: what it takes [m3/s]."""
        given = [self.flow_m3_s[pipe.name] for pipe in pipes if pipe.upstream == node]
        taken = [self.flow_m3_s[pipe.name] for pipe in pipes if pipe.downstream == node]
        return np.asarray(sum(given, np.zeros(())) - sum(taken, np.zeros(())))


class LineNet:
    """A line whose flows follow from heads."""

    def __init__(self, layout: Layout, line: Line, *, water: Water) -> None:
        self.layout = layout
        self.line = line
        self.water = water
        ends = [node for pipe in line.pipes for node in (pipe.upstream, pipe.downstream)]
        self.nodes = list(dict.fromkeys(ends))
        self.number = {node: number for number, node in enumerate(self.nodes)}
        self.arriving = {pipe.downstream: pipe for pipe in reversed(line.pipes)}

    def floats(self, node: str) -> bool:
        """Say whether a tank that is filled through its bottom also gives water back."""
        tank = tank_at(self.layout, node)
        if tank is None:
            return False
        return bool(np.all(self.layout.inlet_m[tank] <= self.layout.lowest_m[tank]))

    def filled_to(self, node: str, *, level: Level) -> FloatArray:
        """Return the level against which a filled node is filled [m]."""
        tank = tank_at(self.layout, node)
        if tank is None:
            level_m = self.layout.source_level_m
            if node != SOURCE or level_m is None:
                return self.layout.ground.elevation_of(place_of(node, parts=self.layout.parts))
            return level_m
        if not self.floats(node):
            return let_go_m(self.layout, tank)
        return self.layout.lowest_m[tank] if level == "low" else self.layout.full_m[tank]

    def run(
        self,
        members: frozenset[str],
        *,
        level_m: Mapping[str, FloatArray],
        most_m3_s: Mapping[str, FloatArray] | None = None,
        work: Work | None = None,
        raised_m: Mapping[str, FloatArray] | None = None,
    ) -> NetCase:
        """Return the state in which some outlets run.

        Parameters
        ----------
        members
            Names of the outlets that run.
        level_m
            Water level of each root and each filled node by its name; a ram has none [m].
        most_m3_s
            The most that a root gives, by its name [m3/s].
        work
            What the ram does, where it is the root.
        raised_m
            How much higher than stated the tank at a root stands, by its node [m].

        Notes
        -----
        A root that would have to give more than it has gives what it has, and the water in its
        pipe stands lower: the upper end then runs part full.
        """
        outlets = [outlet for outlet in self.line.outlets if outlet.name in members]
        limits = dict(most_m3_s or {})
        if not any(self.floats(node) for node in self.line.fills):
            # What is stated is drawn, whether or not the root has it; that is told elsewhere.
            stated = sum((o.flow_m3_s.value for o in outlets if o.flow_m3_s is not None), 0.0)
            limits = {
                n: np.where(most > stated * _SLACK, most, np.inf) for n, most in limits.items()
            }
        net = self.net(outlets, level_m=level_m, work=work, raised_m=raised_m or {})
        flow = solve_heads(net)
        limited = {node: np.zeros(flow.head_m.shape[:-1], bool) for node in limits}
        for _ in range(2 * len(limits)):
            case = self.case(flow, outlets, limited=limited)
            over = {
                node: ~limited[node] & (case.out_of(node, pipes=self.line.pipes) > most * _SLACK)
                for node, most in limits.items()
            }
            if not any(np.any(wide) for wide in over.values()):
                break
            limited = {node: limited[node] | over[node] for node in limits}
            flow = self.limited_flow(net, flow, limited=limited, limits=limits)
        return self.case(flow, outlets, limited=limited)

    def limited_flow(
        self,
        net: Net,
        flow: NetFlow,
        *,
        limited: Mapping[str, BoolArray],
        limits: Mapping[str, FloatArray],
    ) -> NetFlow:
        """Return the flow where some roots give all they have, draw by draw."""
        for pattern in np.unique(
            np.stack(list(limited.values()), axis=-1).reshape(-1, len(limits)), axis=0
        ):
            chosen = [node for node, on in zip(limits, pattern, strict=True) if on]
            if not chosen:
                continue
            shape = (*next(iter(limited.values())).shape, np.shape(net.drawn_m3_s)[-1])
            fixed_m = np.array(np.broadcast_to(np.asarray(net.fixed_head_m), shape))
            drawn = np.array(np.broadcast_to(np.asarray(net.drawn_m3_s), shape))
            for node in chosen:
                fixed_m[..., self.number[node]] = np.nan
                drawn[..., self.number[node]] -= np.where(
                    np.isfinite(limits[node]), limits[node], 0.0
                )
            here = np.logical_and.reduce(
                [limited[node] == on for node, on in zip(limits, pattern, strict=True)]
            )
            tried = solve_heads(replace(net, fixed_head_m=fixed_m, drawn_m3_s=drawn))
            flow = replace(
                flow,
                head_m=np.where(here[..., None], tried.head_m, flow.head_m),
                flow_m3_s=np.where(here[..., None], tried.flow_m3_s, flow.flow_m3_s),
            )
        return flow

    def net(
        self,
        outlets: Sequence[Outlet],
        *,
        level_m: Mapping[str, FloatArray],
        work: Work | None,
        raised_m: Mapping[str, FloatArray],
    ) -> Net:
        """Return the net: nodes of the line, then one in the open air for each opening."""
        links = [self.link_of(pipe, raised_m) for pipe in self.line.pipes]
        fixed = [np.asarray(np.nan)] * len(self.nodes)
        for node, level in level_m.items():
            fixed[self.number[node]] = np.asarray(level + raised_m.get(node, np.zeros(())))
        drawn = [np.zeros(())] * len(self.nodes)
        for outlet in outlets:
            if outlet.flow_m3_s is not None:
                here = self.number[outlet.place]
                drawn[here] = np.asarray(drawn[here] + outlet.flow_m3_s.value)
        for outlet in outlets:
            if outlet.opens is not None:
                links.append(self.opening_link(outlet, outlet.opens, air=len(fixed)))
                fixed.append(self.layout.outlet_level_m[outlet.name])
                drawn.append(np.zeros(()))
        if work is not None:
            root = self.number[self.line.roots[0]]
            links.append(_Link(start=len(fixed), end=root, lift_m4_s=work.lift_m4_s))
            fixed.append(work.level_m)
            drawn.append(np.zeros(()))
        return Net(
            fixed_head_m=_stacked(fixed),
            drawn_m3_s=_stacked(drawn),
            start=np.array([link.start for link in links], np.intp),
            end=np.array([link.end for link in links], np.intp),
            length_m=_stacked([link.length_m for link in links]),
            inside_m=_stacked([link.inside_m for link in links]),
            roughness_m=_stacked([link.roughness_m for link in links]),
            loss_coefficient=_stacked([link.loss_coefficient for link in links]),
            power_coefficient=_stacked([link.power_coefficient for link in links]),
            power_exponent=_stacked([link.power_exponent for link in links]),
            lift_m4_s=_stacked([link.lift_m4_s for link in links]),
            one_way=np.array([link.one_way for link in links]),
            viscosity_m2_s=self.water.viscosity_m2_s,
        )

    def link_of(self, pipe: Pipe, raised_m: Mapping[str, FloatArray]) -> _Link:
        """Return a pipe as a link; a raised tank lengthens the pipe that comes down from it."""
        ends = pipe.entrance_coefficient + pipe.exit_coefficient
        longer_m = np.zeros(())
        if pipe.run.length_m is None:
            longer_m = np.asarray(raised_m.get(pipe.upstream, longer_m))
        lets_go = pipe.downstream in self.line.fills and not self.floats(pipe.downstream)
        return _Link(
            start=self.number[pipe.upstream],
            end=self.number[pipe.downstream],
            length_m=np.asarray(pipe.length_m + longer_m),
            inside_m=pipe.inside_m,
            roughness_m=pipe.roughness_m,
            loss_coefficient=np.asarray(pipe.loss_coefficient + ends),
            one_way=pipe.one_way or lets_go,
        )

    def opening_link(self, outlet: Outlet, opening: Opening, *, air: int) -> _Link:
        """Return an opening as a link into the open air, its own riser included.

        The pressure before it is the hydraulic grade line's, so the speed of the water counts once
        more; out of an open end it is lost.
        """
        last = self.arriving[outlet.place]
        coefficient, exponent = np.zeros(()), np.ones(())
        if opening.gives_m3_s is not None and opening.at_pa is not None:
            exponent = np.asarray(1.0 / opening.exponent)
            at_m = opening.at_pa.value / self.water.pressure_pa(1.0)
            coefficient = at_m / (opening.count * opening.gives_m3_s.value) ** exponent
        return _Link(
            start=self.number[outlet.place],
            end=air,
            length_m=self.layout.outlet_riser_m[outlet.name],
            inside_m=last.inside_m,
            roughness_m=last.roughness_m,
            loss_coefficient=np.ones(()),
            power_coefficient=np.asarray(coefficient),
            power_exponent=exponent,
            one_way=True,
        )

    def case(
        self, flow: NetFlow, outlets: Sequence[Outlet], *, limited: Mapping[str, BoolArray]
    ) -> NetCase:
        """Return a solved net by names."""
        opening = [outlet for outlet in outlets if outlet.opens is not None]
        first = len(self.line.pipes)
        outlet_m3_s = {
            outlet.name: np.asarray(outlet.flow_m3_s.value)
            for outlet in outlets
            if outlet.flow_m3_s is not None
        }
        outlet_m3_s |= {
            outlet.name: flow.flow_m3_s[..., first + number]
            for number, outlet in enumerate(opening)
        }
        return NetCase(
            head_m={node: flow.head_m[..., number] for node, number in self.number.items()},
            flow_m3_s={
                pipe.name: flow.flow_m3_s[..., number]
                for number, pipe in enumerate(self.line.pipes)
            },
            outlet_m3_s=outlet_m3_s,
            limited=limited,
        )

    def grade_lines(self, case: NetCase, *, group: str | None) -> dict[str, HydraulicGradeLine]:
        """Return the hydraulic grade line of every pipe in a state.

        Where a root gives all it has, its pipe runs part full as long as the line would lie below
        it: there the water's surface lies in the pipe.
        """
        part_full = np.zeros((), bool)
        for limited in case.limited.values():
            part_full = np.asarray(part_full | limited)
        lines: dict[str, HydraulicGradeLine] = {}
        for pipe in self.line.pipes:
            head_m = case.head_m[pipe.upstream]
            line = grade_line(
                pipe,
                case.flow_m3_s[pipe.name],
                upstream_head_m=head_m,
                water=self.water,
                group=group,
            )
            if np.any(part_full):
                short_m = np.where(
                    part_full[..., None], np.maximum(pipe.pipe_m - line.grade_m, 0.0), 0.0
                )
                line = replace(
                    line,
                    total_head_m=line.total_head_m + short_m,
                    grade_m=line.grade_m + short_m,
                    pressure_head_m=line.pressure_head_m + short_m,
                )
            lines[pipe.name] = line
        return lines


def _zero() -> FloatArray:
    return np.zeros(())


def _one() -> FloatArray:
    return np.ones(())


def _none() -> FloatArray:
    return np.asarray(np.nan)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Link:
    start: int
    end: int
    length_m: FloatArray = field(default_factory=_zero)
    inside_m: FloatArray = field(default_factory=_one)
    roughness_m: FloatArray = field(default_factory=_zero)
    loss_coefficient: FloatArray = field(default_factory=_zero)
    power_coefficient: FloatArray = field(default_factory=_zero)
    power_exponent: FloatArray = field(default_factory=_one)
    lift_m4_s: FloatArray = field(default_factory=_none)
    one_way: bool = False


def _stacked(values: Sequence[FloatArray]) -> FloatArray:
    """Return values side by side, shape (k,) or (draws, k)."""
    return np.stack(np.broadcast_arrays(*(np.asarray(value, np.float64) for value in values)), -1)
