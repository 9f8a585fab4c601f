"""Which pipes are part of a ring: water can reach their two ends another way too."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.scheme.joined_pipes import Ends
from terrain_head.scheme.layout import Layout


def ring_pipes(layout: Layout) -> frozenset[str]:
    """Return the names of the pipes that are part of a ring.

    Parameters
    ----------
    layout
        The scheme.

    Returns
    -------
    frozenset of str
        Empty where every pipe is the only way.
    """
    lines: dict[str, dict[str, Ends]] = {}
    for pipe in layout.pipes.values():
        lines.setdefault(pipe.line, {})[pipe.name] = (pipe.upstream, pipe.downstream)
    return frozenset(name for ends in lines.values() for name in in_rings(ends))


def ring_count(layout: Layout) -> int:
    """Return how many rings there are: how many pipes could be cut and all still hang together.

    Parameters
    ----------
    layout
        The scheme.
    """
    ringed = [layout.pipes[name] for name in sorted(ring_pipes(layout))]
    ends = {pipe.name: (pipe.upstream, pipe.downstream) for pipe in ringed}
    left = {node for pair in ends.values() for node in pair}
    count = len(ends) - len(left)
    while left:
        left -= _reached(ends, next(iter(left)), "")
        count += 1
    return count


def in_rings(ends: Mapping[str, Ends]) -> list[str]:
    """Return the pipes whose ends hang together without them too.

    Parameters
    ----------
    ends
        The two end nodes of each pipe by its name; pipes that hang together.

    Examples
    --------
    >>> ends = {"main": ("tank", "a"), "left": ("a", "b"), "right": ("a", "b"), "far": ("b", "c")}
    >>> in_rings(ends)
    ['left', 'right']
    """
    return [name for name, (start, end) in ends.items() if end in _reached(ends, start, name)]


def _reached(ends: Mapping[str, Ends], start: str, without: str) -> set[str]:
    """Return the nodes that hang together with one, a pipe taken out."""
    met, heads = {start}, [start]
    while heads:
        here = heads.pop()
        for name, (first, second) in ends.items():
            if name != without and here in (first, second):
                other = second if here == first else first
                if other not in met:
                    met.add(other)
                    heads.append(other)
    return met
