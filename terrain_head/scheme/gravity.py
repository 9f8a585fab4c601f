"""Water that runs by itself into a tank: from the source, or from a tank that stands higher."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.formulas.friction import flow_from_head_loss
from terrain_head.scheme.bracket import root_between
from terrain_head.scheme.ends import SOURCE, tank_node
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import all_bores_known, let_go_m, line_from, tank_at
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
    """
    answer = GravityFlow()
    known = dict(inflow_m3_s)
    for node in _beginnings(layout):
        line = line_from(layout, node, role="gravity")
        upper = tank_at(layout, node)
        lower = tank_at(layout, line[-1].downstream)
        if upper is None:
            source = layout.source_flow_m3_s
            limit = None if source is None else np.asarray(source * layout.share)
            full_m = low_m = layout.source_level_m
            if limit is None:
                answer.not_asked.append("flow")
        else:
            limit = known.get(upper)
            full_m, low_m = layout.full_m[upper], layout.lowest_m[upper]
        if lower is None or low_m is None or full_m is None:
            raise AssertionError("a gravity line that joins no levels")
        if not all_bores_known(line):
            continue
        end_m = let_go_m(layout, lower)
        capacity = capacity_of(line, head_m=np.asarray(low_m - end_m), water=water)
        flow = capacity if limit is None else np.minimum(capacity, limit)
        if limit is not None:
            known[lower] = answer.inflow_m3_s[lower] = flow
        most = capacity_of(line, head_m=np.asarray(full_m - end_m), water=water)
        flow_full = most if limit is None else np.minimum(most, limit)
        answer.capacity_m3_s.update({pipe.name: capacity for pipe in line})
        answer.running.update(_lines(line, flow, head_m=low_m, water=water))
        answer.running_full.update(_lines(line, flow_full, head_m=full_m, water=water))
    return answer


def _beginnings(layout: Layout) -> list[str]:
    """Return the nodes where gravity lines begin, each after the line that fills it."""
    fixed = [SOURCE, *(tank_node(tank) for tank in layout.tanks)]
    begin = [n for n in fixed if line_from(layout, n, role="gravity")]
    into = {line_from(layout, n, role="gravity")[-1].downstream: n for n in begin}
    ordered: list[str] = []
    while begin:
        ready = [n for n in begin if into.get(n) not in begin]
        ordered += ready
        begin = [n for n in begin if n not in ready]
    return ordered


def _lines(
    line: Sequence[Pipe], flow: FloatArray, *, head_m: FloatArray, water: Water
) -> dict[str, HydraulicGradeLine]:
    lines: dict[str, HydraulicGradeLine] = {}
    for pipe in line:
        lines[pipe.name] = grade_line(pipe, flow, upstream_head_m=head_m, water=water)
        head_m = lines[pipe.name].downstream_head_m
    return lines
