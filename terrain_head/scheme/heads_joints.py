"""How the links of a net are joined, and the linear system in the heads of its joints."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph
from scipy.sparse.linalg import splu

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]

MOST_DENSE = 60
"""Nets of up to so many unknown heads are solved as full matrices, all draws at once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joints:
    """The ends of the links, and which heads are sought.

    Parameters
    ----------
    start, end
        Node at each end of each link, shape (m,).
    free
        Nodes whose head is sought, shape (k,).
    count
        Number of nodes n.
    """

    start: IntArray
    end: IntArray
    free: IntArray
    count: int

    def fall(self, head: FloatArray) -> FloatArray:
        """Return the head at the start less that at the end of each link, shape (draws, m)."""
        return np.asarray(head[:, self.start] - head[:, self.end])

    def leaving(self, flow: FloatArray) -> FloatArray:
        """Return what leaves each node by its links, shape (draws, n)."""
        draws = flow.shape[0]
        base = self.count * np.arange(draws)[:, np.newaxis]
        out = np.bincount((base + self.start).ravel(), flow.ravel(), draws * self.count)
        into = np.bincount((base + self.end).ravel(), flow.ravel(), draws * self.count)
        return np.asarray((out - into).reshape(draws, self.count))

    def parts(self, passable: BoolArray) -> IntArray:
        """Give a number to each part of the net that the passable links hold together.

        Parameters
        ----------
        passable
            Shape (draws, m).

        Returns
        -------
        IntArray
            Number of the part of each node, no two draws sharing one, shape (draws, n).
        """
        draws = passable.shape[0]
        row, link = np.nonzero(passable)
        size = draws * self.count
        ends = (row * self.count + self.start[link], row * self.count + self.end[link])
        graph = sparse.coo_array((np.ones(row.size, np.int8), ends), shape=(size, size))
        _, label = csgraph.connected_components(graph.tocsr(), directed=False)
        return np.asarray(label, np.intp).reshape(draws, self.count)

    def reached(self, begin: BoolArray, *, tail: IntArray, head: IntArray) -> BoolArray:
        """Say which nodes ways lead to from some nodes.

        Parameters
        ----------
        begin
            The nodes to begin from, shape (n,).
        tail, head
            Ends of the ways, each passed from tail to head only.
        """
        beyond = np.flatnonzero(begin)
        tail = np.concatenate([tail, np.full(beyond.size, self.count)])
        head = np.concatenate([head, beyond])
        size = self.count + 1
        graph = sparse.coo_array((np.ones(tail.size, np.int8), (tail, head)), shape=(size, size))
        order = csgraph.breadth_first_order(
            graph.tocsr(), self.count, directed=True, return_predecessors=False
        )
        reached = np.zeros(size, bool)
        reached[order] = True
        return reached[:-1]

    def loose(self, passable: BoolArray) -> tuple[BoolArray, BoolArray]:
        """Say which nodes hang on no fixed head, and pick one of each such part.

        Parameters
        ----------
        passable
            Shape (draws, m).

        Returns
        -------
        tuple of BoolArray
            The loose nodes, and one node of each loose part, each of shape (draws, n).
        """
        part = self.parts(passable)
        fixed = np.ones(self.count, bool)
        fixed[self.free] = False
        tied = np.zeros(part.max(initial=0) + 1, bool)
        tied[part[:, fixed].ravel()] = True
        loose = ~tied[part]
        _, first = np.unique(part.ravel(), return_index=True)
        pin = np.zeros(part.size, bool)
        pin[first] = True
        return loose, pin.reshape(part.shape) & loose

    def heads(self, conductance: FloatArray, flow: FloatArray, *, pin: BoolArray) -> FloatArray:
        """Return the heads at which links of given conductance carry given flows away.

        Parameters
        ----------
        conductance
            Flow by head of each link, shape (draws, m) [m2/s].
        flow
            What is put in at each node, shape (draws, n) [m3/s].
        pin
            Free nodes held where they are, one of each part tied to nothing, shape (draws, n).

        Returns
        -------
        FloatArray
            0 at nodes that are not free, shape (draws, n) [m].
        """
        head = np.zeros(flow.shape)
        if not self.free.size:
            return head
        stiff = np.where(pin, np.maximum(conductance.max(axis=1, initial=0.0), 1e-30)[:, None], 0.0)
        stiff, flow = stiff[:, self.free], flow[:, self.free]
        if self.free.size <= MOST_DENSE:
            head[:, self.free] = self._by_full_matrix(conductance, flow, stiff)
        else:
            for row in range(flow.shape[0]):
                matrix = self._sparse(conductance[row], stiff[row])
                head[row, self.free] = splu(
                    matrix,
                    permc_spec="MMD_AT_PLUS_A",
                    diag_pivot_thresh=0.0,
                    options={"SymmetricMode": True},
                ).solve(flow[row])
        return head

    def _by_full_matrix(
        self, conductance: FloatArray, flow: FloatArray, stiff: FloatArray
    ) -> FloatArray:
        draws, size = flow.shape
        row, column, link, sign = self._entries()
        base = size * size * np.arange(draws)[:, np.newaxis]
        values = conductance[:, link] * sign
        place = (base + row * size + column).ravel()
        summed = np.bincount(place, values.ravel(), draws * size * size)
        full = np.asarray(summed, np.float64).reshape(draws, size, size)
        every = np.arange(size)
        full[:, every, every] += stiff
        return np.asarray(np.linalg.solve(full, flow[:, :, np.newaxis])[:, :, 0])

    def _sparse(self, conductance: FloatArray, stiff: FloatArray) -> sparse.csc_array:
        row, column, link, sign = self._entries()
        every = np.arange(stiff.size)
        return sparse.coo_array(
            (
                np.concatenate([conductance[link] * sign, stiff]),
                (np.concatenate([row, every]), np.concatenate([column, every])),
            ),
            shape=(stiff.size, stiff.size),
        ).tocsc()

    def _entries(self) -> tuple[IntArray, IntArray, IntArray, FloatArray]:
        """Return where each link stands in the matrix, and with which sign."""
        place = np.full(self.count, -1)
        place[self.free] = np.arange(self.free.size)
        first, second = place[self.start], place[self.end]
        row = np.concatenate([first, second, first, second])
        column = np.concatenate([first, second, second, first])
        link = np.tile(np.arange(self.start.size), 4)
        sign = np.repeat([1.0, -1.0], 2 * self.start.size)
        inside = (row >= 0) & (column >= 0)
        return row[inside], column[inside], link[inside], sign[inside]
