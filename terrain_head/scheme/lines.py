"""The pipes of a layout in the order in which the water meets them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.ends import standing, tank_node
from terrain_head.scheme.layout import Layout, Pipe, Role
from terrain_head.scheme.parts import Outlet

FloatArray = NDArray[np.float64]
Level = Literal["low", "full"]
"""Whether the tanks stand at their lowest useful level, or full."""


def leaving(layout: Layout, node: str, *, role: Role) -> tuple[Pipe, ...]:
    """Return the pipes of a role that take their water at a node."""
    return tuple(
        pipe for pipe in layout.pipes.values() if pipe.role == role and pipe.upstream == node
    )


def line_from(layout: Layout, node: str, *, role: Role) -> tuple[Pipe, ...]:
    """Return the pipes of a role that lead from a node to a tank, one after another.

    Returns
    -------
    tuple of Pipe
        Branches that come to no tank are passed over; without a tank the way that is written
        first. Empty if no such pipe begins there.
    """
    tanks = {tank_node(tank) for tank in layout.tanks}

    def ways(begin: str) -> Iterator[tuple[Pipe, ...]]:
        for pipe in leaving(layout, begin, role=role):
            further = () if pipe.downstream in tanks else tuple(ways(pipe.downstream))
            yield from ((pipe, *rest) for rest in further or ((),))

    found = list(ways(node))
    to_tank = [way for way in found if way[-1].downstream in tanks]
    return next(iter(to_tank or found), ())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """Pipes that hang together without passing through source, ram or tank.

    Parameters
    ----------
    role
        What they do.
    pipes
        In the order of the study.
    roots, fills
        Nodes where their water comes from, and nodes that they only fill.
    outlets
        Outlets that hang on them.
    """

    role: Role
    pipes: tuple[Pipe, ...]
    roots: tuple[str, ...]
    fills: tuple[str, ...]
    outlets: tuple[Outlet, ...]

    @property
    def branched(self) -> bool:
        """Whether water parts or meets on the way: a tee, a ring, several roots or ends."""
        begins = [pipe.upstream for pipe in self.pipes]
        ends = [pipe.downstream for pipe in self.pipes]
        return len(set(begins)) < len(begins) or len(set(ends)) < len(ends) or len(self.roots) > 1

    @property
    def tree(self) -> bool:
        """Whether water comes to each place in one way only, and all of it from one root."""
        ends = [pipe.downstream for pipe in self.pipes]
        return len(set(ends)) == len(ends) and len(self.roots) == 1

    def holds(self, pipe: Pipe) -> bool:
        """Say whether a pipe is one of them."""
        return any(one.name == pipe.name for one in self.pipes)

    @property
    def bores_known(self) -> bool:
        """Whether a pipe has been chosen for every stretch."""
        return all_bores_known(self.pipes)


def lines_of(layout: Layout, *roles: Role) -> tuple[Line, ...]:
    """Return the lines of some roles, in the order of the study."""
    standing_nodes = set(standing(layout.parts))
    held: dict[str, list[Pipe]] = {}
    for pipe in layout.pipes.values():
        if pipe.role in roles:
            held.setdefault(pipe.line, []).append(pipe)
    lines = []
    for pipes in held.values():
        begins = dict.fromkeys(pipe.upstream for pipe in pipes)
        ends = dict.fromkeys(pipe.downstream for pipe in pipes)
        lines.append(
            Line(
                role=pipes[0].role,
                pipes=tuple(pipes),
                roots=tuple(node for node in begins if node in standing_nodes),
                fills=tuple(n for n in ends if n in standing_nodes and n not in begins),
                outlets=tuple(one for one in layout.outlets if one.place in ends),
            )
        )
    return tuple(lines)


def tank_at(layout: Layout, node: str) -> str | None:
    """Return the name of the tank that is a node, None for any other node."""
    return next((tank.name for tank in layout.tanks if tank_node(tank) == node), None)


def tank_above(layout: Layout, pipe: Pipe) -> str | None:
    """Return the name of the tank whose water stands over a pipe, None where it is the source."""
    before = {other.downstream: other for other in layout.pipes.values()}
    while pipe.upstream in before and tank_at(layout, pipe.upstream) is None:
        pipe = before[pipe.upstream]
    return tank_at(layout, pipe.upstream)


def let_go_m(layout: Layout, tank: str) -> FloatArray:
    """Return the level at which water is let go into a tank.

    Notes
    -----
    The inlet, or the full level where that stands over it: the filling pipe then pushes against
    the tank's own water, and a tank is kept full [m].
    """
    return np.asarray(np.maximum(layout.inlet_m[tank], layout.full_m[tank]))


def all_bores_known(line: Sequence[Pipe]) -> bool:
    """Say whether a pipe has been chosen for every stretch of a line."""
    return all(pipe.spec is not None for pipe in line)


def crest_over(line: Sequence[Pipe], *, end_m: FloatArray) -> list[FloatArray]:
    """Return the level over which the water has yet to be lifted at each station of a line.

    Parameters
    ----------
    line
        Pipes in the order of flow.
    end_m
        Level at which the line lets go of its water [m].

    Returns
    -------
    list of FloatArray
        For each pipe the highest of `end_m` and all pipe from the station onward, one per
        station, never rising along the flow [m].
    """
    crests: list[FloatArray] = []
    yet_m = np.asarray(end_m)
    for pipe in reversed(line):
        highest = np.maximum.accumulate(pipe.pipe_m[..., ::-1], axis=-1)[..., ::-1]
        crests.append(np.maximum(yet_m[..., None], highest))
        yet_m = crests[-1][..., 0]
    return crests[::-1]


def lowest_of(pipe: Pipe) -> FloatArray:
    """Return the elevation of the lowest spot of a pipe, its very ends included [m]."""
    ends_m = np.fmin(pipe.upstream_m, pipe.downstream_m)
    return np.asarray(np.fmin(pipe.pipe_m.min(axis=-1), ends_m))
