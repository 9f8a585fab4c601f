"""Water that runs by itself into a tank: from the source, or from a tank that stands higher."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.formulas.friction import flow_from_head_loss
from terrain_head.scheme.bracket import root_between
from terrain_head.scheme.ends import SOURCE, seep_node
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import Line, let_go_m, line_from, lines_of, tank_at
from terrain_head.scheme.nets import LineNet
from terrain_head.scheme.pipe_flow import Water, grade_line, loss_of
from terrain_head.scheme.solution import HydraulicGradeLine

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GravityFlow:
    """What runs by itself into tanks.

    Parameters
    ----------
    inflow_m3_s
        Into each tank by its name; a tank is missing where that is not known [m3/s].
    capacity_m3_s
        Of each gravity pipe by its name, running full [m3/s].
    running, running_full
        Hydraulic grade line of each pipe by its name, the upper tank low and full.
    not_asked
        What could not be answered.
    """

    inflow_m3_s: dict[str, FloatArray] = field(default_factory=dict)
    capacity_m3_s: dict[str, FloatArray] = field(default_factory=dict)
    running: dict[str, HydraulicGradeLine] = field(default_factory=dict)
    running_full: dict[str, HydraulicGradeLine] = field(default_factory=dict)
    not_asked: list[str] = field(default_factory=list)


def capacity_of(line: Sequence[Pipe], *, head_m: FloatArray, water: Water) -> FloatArray:
    """Return what a line carries running full.

    Parameters
    ----------
    line
        Pipes one after another, their bores known.
    head_m
        Level where the water begins minus level where it is let go [m].
    water
        The water.

    Returns
    -------
    FloatArray
        Flow at which friction, fittings, entrance and exit use up the head; 0 where the line does
        not fall [m3/s].
    """
    head_m = np.maximum(head_m, 0.0)
    if len(line) == 1:
        pipe = line[0]
        ends = pipe.entrance_coefficient + pipe.exit_coefficient
        return flow_from_head_loss(
            head_m,
            length_m=pipe.length_m,
            inside_m=pipe.inside_m,
            roughness_m=pipe.roughness_m,
            viscosity_m2_s=water.viscosity_m2_s,
            loss_coefficient=pipe.loss_coefficient + ends,
        )

    def short_of(flow: FloatArray) -> FloatArray:
        losses = [loss_of(pipe, flow, water=water) for pipe in line]
        return np.asarray(sum(losses, np.zeros(())) - head_m)

    # The exit alone uses up the whole head at this flow.
    last = line[-1]
    most = np.sqrt(2 * STANDARD_GRAVITY_M_S2 * head_m) * np.pi / 4 * last.inside_m**2
    shape = np.broadcast_shapes(short_of(most).shape, most.shape)
    return root_between(short_of, low=np.zeros(shape), high=np.broadcast_to(most, shape))


def gravity_flow(
    layout: Layout, *, inflow_m3_s: Mapping[str, FloatArray], water: Water
) -> GravityFlow:
    """Return what runs by itself into tanks.

    Parameters
    ----------
    layout
        The scheme on its ground.
    inflow_m3_s
        What the ram brings, by the name of the tank [m3/s].
    water
        The water.

    Notes
    -----
    The flow is what the line carries running full, or what comes in above if that is less: what
    may be taken from the source, or the inflow of the upper tank. The capacity counts from the
    upper tank's lowest useful level. Where less comes in than the line could carry, the grade
    line is that of a line throttled at its lower end: the rest of the head is lost there.
    Where the flow of the source is not known, the line runs full and the inflow is not known.
    A line that parts on its way is solved as a net, unthrottled, while no outlet on it draws.
    """
    answer = GravityFlow()
    known = dict(inflow_m3_s)
    for line in _in_order(lines_of(layout, "gravity")):
        if SOURCE in line.roots and layout.source_flow_m3_s is None:
            answer.not_asked.append("flow")
        if not line.bores_known:
            continue
        if line.branched or line.outlets:
            _add_net(answer, LineNet(layout, line, water=water), known=known)
        else:
            _add_plain(answer, layout, line, known=known, water=water)
    return answer


def given_by(
    layout: Layout, node: str, *, inflow_m3_s: Mapping[str, FloatArray]
) -> FloatArray | None:
    """Return the most that a root gives, None where that is not known [m3/s]."""
    tank = tank_at(layout, node)
    if tank is not None:
        return inflow_m3_s.get(tank)
    seep = next((one for one in layout.parts.seeps if seep_node(one) == node), None)
    if seep is not None:
        return None if seep.flow_m3_s is None else np.asarray(seep.flow_m3_s.value)
    source = layout.source_flow_m3_s
    return None if source is None else np.asarray(source * layout.share)


def levels_of(layout: Layout, node: str) -> tuple[FloatArray, FloatArray]:
    """Return the lowest and the full level of the water at a root [m]."""
    tank = tank_at(layout, node)
    if tank is not None:
        return layout.lowest_m[tank], layout.full_m[tank]
    seep = next((one for one in layout.parts.seeps if seep_node(one) == node), None)
    level_m = layout.source_level_m if seep is None else layout.seep_level_m[seep.name]
    if level_m is None:
        raise AssertionError("a pipe from a source that does not exist")
    return level_m, level_m


def _in_order(lines: Sequence[Line]) -> list[Line]:
    """Return the lines, each after those that fill where it begins."""
    left, ordered = list(lines), list[Line]()
    while left:
        filled = {node for line in left for node in line.fills}
        ready = [line for line in left if not filled & set(line.roots)] or left[:1]
        ordered += ready
        left = [line for line in left if line not in ready]
    return ordered


def _fill(
    answer: GravityFlow, tank: str, flow: FloatArray, *, known: dict[str, FloatArray]
) -> None:
    """Add a flow to what already comes into a tank."""
    answer.inflow_m3_s[tank] = np.asarray(known.get(tank, 0.0) + flow)
    known[tank] = answer.inflow_m3_s[tank]


def _add_plain(
    answer: GravityFlow,
    layout: Layout,
    line: Line,
    *,
    known: dict[str, FloatArray],
    water: Water,
) -> None:
    root, (end,) = line.roots[0], line.fills
    pipes = line_from(layout, root, role="gravity")
    limit = given_by(layout, root, inflow_m3_s=known)
    low_m, full_m = levels_of(layout, root)
    lower = tank_at(layout, end)
    end_m = layout.source_level_m if lower is None else let_go_m(layout, lower)
    if end_m is None:
        raise AssertionError("a gravity line that joins no levels")
    capacity = capacity_of(pipes, head_m=np.asarray(low_m - end_m), water=water)
    flow = capacity if limit is None else np.minimum(capacity, limit)
    if limit is not None and lower is not None:
        _fill(answer, lower, flow, known=known)
    most = capacity_of(pipes, head_m=np.asarray(full_m - end_m), water=water)
    flow_full = most if limit is None else np.minimum(most, limit)
    answer.capacity_m3_s.update({pipe.name: capacity for pipe in pipes})
    answer.running.update(_lines(pipes, flow, head_m=low_m, water=water))
    answer.running_full.update(_lines(pipes, flow_full, head_m=full_m, water=water))


def _add_net(answer: GravityFlow, net: LineNet, *, known: dict[str, FloatArray]) -> None:
    line, layout = net.line, net.layout
    limits = {node: given_by(layout, node, inflow_m3_s=known) for node in line.roots}
    most = {node: limit for node, limit in limits.items() if limit is not None}
    filled_m = {node: net.filled_to(node, level="full") for node in line.fills}
    low_m = {node: levels_of(layout, node)[0] for node in line.roots} | filled_m
    full_m = {node: levels_of(layout, node)[1] for node in line.roots} | filled_m
    low = net.run(frozenset(), level_m=low_m, most_m3_s=most)
    full = net.run(frozenset(), level_m=full_m, most_m3_s=most)
    free = net.run(frozenset(), level_m=low_m) if most else low
    answer.capacity_m3_s.update(free.flow_m3_s)
    answer.running.update(net.grade_lines(low, group=None))
    answer.running_full.update(net.grade_lines(full, group=None))
    for node in line.fills:
        tank = tank_at(layout, node)
        if tank is not None and len(most) == len(limits):
            _fill(answer, tank, -low.out_of(node, pipes=line.pipes), known=known)


def _lines(
    line: Sequence[Pipe], flow: FloatArray, *, head_m: FloatArray, water: Water
) -> dict[str, HydraulicGradeLine]:
    lines: dict[str, HydraulicGradeLine] = {}
    for pipe in line:
        lines[pipe.name] = grade_line(pipe, flow, upstream_head_m=head_m, water=water)
        head_m = lines[pipe.name].downstream_head_m
    return lines


def with_seeps(layout: Layout) -> Layout:
    """Return the scheme with what its seeps bring added to the source.

    Each brings what it gives, or what its pipe carries if that is less. A seep whose flow or pipe
    is not known brings nothing.
    """
    water = Water.at(layout.parts.water_temperature_c)
    own = layout.source_flow_m3_s
    brought: FloatArray = np.zeros(())
    told = own is not None
    for line in lines_of(layout, "gravity"):
        if SOURCE not in line.fills or not line.bores_known:
            continue
        limits = {node: given_by(layout, node, inflow_m3_s={}) for node in line.roots}
        most = {node: limit for node, limit in limits.items() if limit is not None}
        if len(most) < len(limits):
            continue
        told = True
        net = LineNet(layout, line, water=water)
        level_m = {node: levels_of(layout, node)[0] for node in line.roots}
        level_m |= {node: net.filled_to(node, level="full") for node in line.fills}
        case = net.run(frozenset(), level_m=level_m, most_m3_s=most)
        brought = np.asarray(brought - case.out_of(SOURCE, pipes=line.pipes))
    if not told:
        return layout
    return replace(layout, source_flow_m3_s=np.asarray((0.0 if own is None else own) + brought))
