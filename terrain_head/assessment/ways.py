"""The way of the water to an outlet: the pipes and tanks that it passes."""

from __future__ import annotations

from dataclasses import dataclass

from terrain_head.scheme.ends import tank_node
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Outlet
from terrain_head.scheme.solution import OutletResult


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The pipes and tanks that water passes on its way, by their names."""

    pipes: frozenset[str]
    tanks: frozenset[str]


def way_to(layout: Layout, outlet: Outlet, *, result: OutletResult | None) -> Way:
    """Return the way of the water to an outlet.

    Parameters
    ----------
    layout, outlet
        The choice and its outlet.
    result
        What the outlet gets, None where that is not known: the tank that feeds it is on its way
        even where no pipe leads there.
    """
    into = {pipe.downstream: pipe for pipe in layout.pipes.values()}
    nodes, pipes = {outlet.place}, set[str]()
    pipe = into.get(outlet.place)
    while pipe is not None and pipe.name not in pipes:
        pipes.add(pipe.name)
        nodes.add(pipe.upstream)
        pipe = into.get(pipe.upstream)
    fed_by = None if result is None else result.fed_by
    tanks = {tank.name for tank in layout.tanks if fed_by == tank.name or tank_node(tank) in nodes}
    return Way(pipes=frozenset(pipes), tanks=frozenset(tanks))
