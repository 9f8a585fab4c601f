"""What each size of each pipe of a tree asks for: losses, heads needed, speeds, all at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.gravity import levels_of
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import Line, tank_at
from terrain_head.scheme.parts import PipeSpec
from terrain_head.scheme.pipe_flow import Water, grade_line
from terrain_head.scheme.sizes import SizedPipe
from terrain_head.scheme.supply import groups_of
from terrain_head.scheme.supply_tree import SupplyTree, flow_of

FloatArray = NDArray[np.float64]

_HAIR_M = 1e-9
"""Asked on top of each need, so that rounding never leaves one short [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TreeTables:
    """A tree of pipes, ready for `terrain_head.scheme.sizes.cheapest_sizes`.

    Parameters
    ----------
    pipes
        The pipes; a pipe whose size is given has that one size, at no cost.
    speed_m_s
        Greatest speed over the groups by the name of the pipe, shape (sizes,) [m/s].
    root
        The node where their water begins.
    level_m
        Lowest useful level there, shape (groups,) [m].
    """

    pipes: tuple[SizedPipe, ...]
    speed_m_s: Mapping[str, FloatArray]
    root: str
    level_m: FloatArray


def with_spec(pipe: Pipe, spec: PipeSpec) -> Pipe:
    """Return a pipe as it lies, of another size: nothing else about it changes."""
    return replace(
        pipe,
        run=replace(pipe.run, spec=spec),
        inside_m=np.asarray(spec.inside_m.value),
        roughness_m=np.asarray(spec.roughness_m.value),
    )


def must_run_full(layout: Layout, pipe: Pipe) -> NDArray[np.bool_]:
    """Return at which stations a size can be held to keep the pipe under pressure, shape (n,).

    Notes
    -----
    Not where it draws from standing water, nor where it lets go of its water into a tank: there
    the depth of the intake and the air decide, not the size.
    """
    held = np.ones(len(pipe.profile.station_m), dtype=np.bool_)
    standing = pipe.entrance_coefficient > 0
    if standing:
        held[0] = False
    if tank_at(layout, pipe.downstream) is not None:
        held[-1] = False
    return held


def tree_tables(
    layout: Layout,
    line: Line,
    *,
    specs: Mapping[str, Sequence[PipeSpec]],
    cost: Mapping[str, FloatArray],
    water: Water,
) -> TreeTables:
    """Return what each size of each pipe of a tree with stated flows asks for.

    Parameters
    ----------
    layout
        The scheme on its ground, without draws.
    line
        A tree whose outlets state their flows.
    specs
        The sizes that each pipe may have, by its name; at least one for every pipe.
    cost
        Cost of each of them, by the name of the pipe, shape (sizes,).
    water
        The water.
    """
    tried = tuple(_tried(pipe, specs[pipe.name]) for pipe in line.pipes)
    tree = SupplyTree(layout, replace(line, pipes=tried), water=water, groups=groups_of(layout))
    groups = list(tree.groups)
    sized, speeds = [], {}
    for pipe in tree.ordered:
        held = must_run_full(layout, pipe)
        losses, needs, speed = [], [], np.zeros(len(specs[pipe.name]))
        for group in groups:
            flow = flow_of(tree.beyond[pipe.name], tree.groups[group])
            running = grade_line(pipe, flow, upstream_head_m=0.0, water=water)
            shape = (len(specs[pipe.name]),)
            loss_m = np.broadcast_to(running.head_loss_m, shape)
            head_m = np.broadcast_to(running.pressure_head_m, (*shape, held.size))
            need_m = np.where(held, -head_m, -np.inf).max(axis=-1)
            need_m = np.maximum(need_m, loss_m + _outlets_need_m(tree, pipe, group=group))
            losses.append(loss_m)
            needs.append(need_m + _HAIR_M)
            speed = np.maximum(speed, np.abs(running.velocity_m_s))
        sized.append(
            SizedPipe(
                name=pipe.name,
                upstream=pipe.upstream,
                downstream=pipe.downstream,
                loss_m=np.stack(losses, axis=-1),
                needed_m=np.stack(needs, axis=-1),
                cost=cost[pipe.name],
            )
        )
        speeds[pipe.name] = speed
    low_m = levels_of(layout, tree.root)[0]
    return TreeTables(
        pipes=tuple(sized),
        speed_m_s=speeds,
        root=tree.root,
        level_m=np.full(len(groups), float(low_m)),
    )


def _tried(pipe: Pipe, specs: Sequence[PipeSpec]) -> Pipe:
    """Return a pipe of all its sizes at once, the sizes along the first axis."""
    return replace(
        pipe,
        inside_m=np.array([spec.inside_m.value for spec in specs]),
        roughness_m=np.array([spec.roughness_m.value for spec in specs]),
    )


def _outlets_need_m(tree: SupplyTree, pipe: Pipe, *, group: str) -> FloatArray:
    """Return the head that the outlets at a pipe's end need there, shape (sizes,) [m]."""
    needed_m = np.full(pipe.inside_m.shape, -np.inf)
    for outlet in tree.line.outlets:
        here = outlet.place == pipe.downstream and outlet.name in tree.groups[group]
        if not here or outlet.flow_m3_s is None:
            continue
        wanted_pa = 0.0 if outlet.needs_pa is None else max(outlet.needs_pa.value, 0.0)
        flow = np.asarray(outlet.flow_m3_s.value)
        without_pa = tree.before_valve_pa(outlet, flow, head_m=np.zeros(()))
        short_m = (wanted_pa - without_pa) / tree.water.pressure_pa(1.0)
        needed_m = np.maximum(needed_m, short_m)
    return needed_m
