"""Pipes that hang together: their rings, their tees, and the way their water goes."""

from __future__ import annotations

from collections.abc import Mapping, Set

Ends = tuple[str, str]
"""The two end nodes of a pipe."""


class JoinedPipes:
    """Pipes that hang together without passing through source, ram or tank.

    Parameters
    ----------
    ends
        The two end nodes of each pipe by its name.
    fixed
        Nodes where source, ram and tanks stand.

    Examples
    --------
    >>> pipes = JoinedPipes({"a": ("tank", "fork"), "b": ("beds", "fork")}, fixed={"tank"})
    >>> pipes.directions("tank")["b"]
    ('fork', 'beds')
    >>> pipes.plain
    True
    """

    def __init__(self, ends: Mapping[str, Ends], fixed: Set[str]) -> None:
        self.ends = dict(ends)
        self.nodes = {node for pair in ends.values() for node in pair}
        self.fixed = sorted(self.nodes & fixed)

    def at(self, node: str) -> list[str]:
        """Return the pipes that end at a node."""
        return [name for name, pair in self.ends.items() if node in pair]

    @property
    def plain(self) -> bool:
        """Whether they are one line without a tee from one beginning to one end."""
        return not self.ring() and not self.branches() and len(self.fixed) <= 2

    def ring(self) -> list[str]:
        """Return the pipes that close a ring, none if there is no ring."""
        left = dict(self.ends)
        while True:
            degree: dict[str, int] = {}
            for pair in left.values():
                for node in pair:
                    degree[node] = degree.get(node, 0) + 1
            loose = [name for name, pair in left.items() if min(degree[n] for n in pair) == 1]
            if not loose:
                return list(left)
            for name in loose:
                del left[name]

    def branches(self) -> list[str]:
        """Return the places where more than two pipes meet."""
        return sorted(
            node for node in self.nodes if node not in self.fixed and len(self.at(node)) > 2
        )

    def directions(self, *roots: str) -> dict[str, Ends]:
        """Return the ends of each pipe in the direction of flow away from some nodes.

        In a ring nobody knows beforehand which way the water goes: there a pipe leads from the
        node that is met first, so that no way leads round in a circle.
        """
        met = {root: number for number, root in enumerate(roots)}
        heads = list(met)
        while heads:
            head = heads.pop(0)
            if head in self.fixed and head not in roots:
                continue
            for name in self.at(head):
                first, second = self.ends[name]
                tail = second if first == head else first
                if tail not in met:
                    met[tail] = len(met)
                    heads.append(tail)
        return {
            name: pair if met[pair[0]] <= met[pair[1]] else (pair[1], pair[0])
            for name, pair in self.ends.items()
        }

    def within(self, other: JoinedPipes) -> JoinedPipes:
        """Return these pipes together with others."""
        return JoinedPipes({**self.ends, **other.ends}, set(self.fixed) | set(other.fixed))
