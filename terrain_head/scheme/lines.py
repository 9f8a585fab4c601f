"""The pipes of a layout in the order in which the water meets them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.ends import tank_node
from terrain_head.scheme.layout import Layout, Pipe, Role

FloatArray = NDArray[np.float64]


def leaving(layout: Layout, node: str, *, role: Role) -> tuple[Pipe, ...]:
    """Return the pipes of a role that take their water at a node."""
    return tuple(
        pipe for pipe in layout.pipes.values() if pipe.role == role and pipe.upstream == node
    )


def line_from(layout: Layout, node: str, *, role: Role) -> tuple[Pipe, ...]:
    """Return the unbranched line of a role that begins at a node, empty if there is none."""
    tanks = {tank_node(tank) for tank in layout.tanks}
    line: list[Pipe] = []
    while following := leaving(layout, node, role=role):
        line.append(following[0])
        node = following[0].downstream
        if node in tanks:
            break
    return tuple(line)


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
