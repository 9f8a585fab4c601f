"""Pipes whose sizes are chosen together: those that hang together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import Line, lines_of


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Job:
    """Pipes whose sizes are chosen together.

    Parameters
    ----------
    line
        The line they belong to, of a ram the line of its delivery.
    pipes
        All pipes that hang together.
    wished
        Names of those whose size is to be chosen.
    stated_tree
        Whether they are a tree below one root whose outlets state their flows.
    """

    line: Line
    pipes: tuple[Pipe, ...]
    wished: tuple[str, ...]
    stated_tree: bool


def jobs_of(layout: Layout, wished: Iterable[str]) -> list[Job]:
    """Return the pipes to be chosen, those together that hang together, the ram's first.

    Parameters
    ----------
    layout
        The scheme on its ground.
    wished
        Names of the pipes whose size is to be chosen.
    """
    names = set(wished)
    jobs = []
    feeds = tuple(pipe for pipe in layout.pipes.values() if pipe.role == "feed")
    lines = [*lines_of(layout, "delivery"), *lines_of(layout, "gravity", "supply")]
    if feeds and not lines_of(layout, "delivery"):
        lines = [*lines_of(layout, "feed"), *lines]
    for line in lines:
        pipes = (*feeds, *line.pipes) if line.role == "delivery" else line.pipes
        here = tuple(pipe.name for pipe in pipes if pipe.name in names)
        known = all(pipe.spec is not None or pipe.name in names for pipe in pipes)
        if here and known:
            stated = line.role == "supply" and line.tree
            stated = stated and all(one.opens is None for one in line.outlets)
            jobs.append(Job(line=line, pipes=pipes, wished=here, stated_tree=stated))
    return jobs
