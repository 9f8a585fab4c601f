"""What ties the points of a level book together, and which readings nothing checks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

IndexArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Connections:
    """A graph of points and set-ups, joined by what was observed between them.

    Parameters
    ----------
    nodes
        Number of nodes.
    first, second
        The two nodes that each observation joins, shape (m,).
    """

    nodes: int
    first: IndexArray
    second: IndexArray

    def parts(self) -> IndexArray:
        """Return the number of the connected part of each node, shape (nodes,)."""
        ones = np.ones(len(self.first))
        graph = coo_array((ones, (self.first, self.second)), shape=(self.nodes, self.nodes))
        return np.asarray(connected_components(graph, directed=False)[1], dtype=np.intp)

    def unchecked(self, roots: Sequence[int]) -> BoolArray:
        """Return which nodes hang on a single observation somewhere on their way to a root.

        Parameters
        ----------
        roots
            Nodes of known elevation, at least one; together they count as one.

        Returns
        -------
        numpy.ndarray
            True where one wrong observation would shift the node unseen, shape (nodes,).

        Notes
        -----
        An observation is checked if leaving it out parts nothing. The walk below finds the others
        (the bridges of the graph) in one pass: a node's `low` is the earliest node that can be
        reached from below it by another way than it was entered.
        """
        root = set(roots)
        base = min(root)
        ends = [
            (base if a in root else a, base if b in root else b)
            for a, b in zip(self.first.tolist(), self.second.tolist(), strict=True)
        ]
        ways: list[list[tuple[int, int]]] = [[] for _ in range(self.nodes)]
        for edge, (a, b) in enumerate(ends):
            ways[a].append((b, edge))
            ways[b].append((a, edge))
        order = [-1] * self.nodes
        low = [0] * self.nodes
        above = [-1] * self.nodes
        walked: list[int] = []
        stack = [(base, -1, iter(ways[base]))]
        order[base] = 0
        walked.append(base)
        while stack:
            node, entered, rest = stack[-1]
            for other, edge in rest:
                if edge == entered:
                    continue
                if order[other] < 0:
                    order[other] = low[other] = len(walked)
                    above[other] = node
                    walked.append(other)
                    stack.append((other, edge, iter(ways[other])))
                    break
                low[node] = min(low[node], order[other])
            else:
                stack.pop()
                if above[node] >= 0:
                    low[above[node]] = min(low[above[node]], low[node])
        hangs = np.zeros(self.nodes, dtype=np.bool_)
        for node in walked[1:]:
            bridge = low[node] > order[above[node]]
            hangs[node] = bridge or hangs[above[node]]
        return hangs
