"""The pipes that lie between a pipe and the open water over it."""

from __future__ import annotations

from terrain_head.scheme.ends import standing
from terrain_head.scheme.layout import Layout, Pipe


def line_down_to(layout: Layout, pipe: Pipe) -> tuple[Pipe, ...]:
    """Return the pipes from the open water (or the ram) down to a pipe, in the order of flow.

    Parameters
    ----------
    layout
        The scheme.
    pipe
        One of its pipes, the last of the answer.

    Notes
    -----
    In a ring there are two ways; the one whose last pipe is written first is taken.
    """
    open_nodes = set(standing(layout.parts))
    into = {one.downstream: one for one in reversed(tuple(layout.pipes.values()))}
    line = [pipe]
    while line[0].upstream not in open_nodes and line[0].upstream in into:
        before = into[line[0].upstream]
        if any(before.name == one.name for one in line):
            break
        line.insert(0, before)
    return tuple(line)
