"""The cheapest sizes of a tree of pipes whose flows are stated: exact, from the leaves upward.

What a pipe of a size asks of the head where it begins follows from what lies beyond it. Of all
sets of sizes beyond a place only those are kept that no other beats in cost and in every head.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.sizes_bound import RestCost, SizedPipe, outward

__all__ = ["PickedSizes", "SizedPipe", "cheapest_sizes"]

FloatArray = NDArray[np.float64]

_BLOCK = 256
_SLACK = 1 + 1e-12
_FEW, _MORE = 200, 1_000
_MOST = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class PickedSizes:
    """The size of every pipe.

    Parameters
    ----------
    sizes
        Number of the size by the name of the pipe.
    proven
        Whether no set of sizes can be cheaper; False where there were too many to hold against
        each other, which takes several cases that have little to do with one another.
    """

    sizes: Mapping[str, int]
    proven: bool


def cheapest_sizes(
    pipes: Sequence[SizedPipe], *, root: str, level_m: FloatArray
) -> PickedSizes | None:
    """Return the cheapest size of every pipe such that each case finds the head it needs.

    Parameters
    ----------
    pipes
        The pipes of a tree, in any order; each has at least one size.
    root
        The node where all their water begins.
    level_m
        Total head there in each case, shape (cases,), at least one [m].

    Returns
    -------
    PickedSizes or None
        Of sets that cost the same one that leaves more head. None where no sizes do.

    Notes
    -----
    Losses never depend on the other sizes, since the flows are stated; so the head needed at a
    node is the greatest of what the pipes beyond it need, and what is beaten beyond a node is
    beaten on the whole. Two bounds thin the sets out and lose nothing: no pipe can need more head
    than its node has with the widest sizes before it; and what the rest costs at the least, one
    case alone and all heads rounded to its favour (`terrain_head.scheme.sizes_bound`), may not
    lead above the cost of a set that is known to do, found by keeping few sets at each pipe.

    Examples
    --------
    >>> import numpy as np
    >>> line = SizedPipe(name="line", upstream="tank", downstream="tap",
    ...     loss_m=np.array([[5.0], [1.0]]), needed_m=np.array([[12.0], [8.0]]),
    ...     cost=np.array([20.0, 32.0]))
    >>> cheapest_sizes([line], root="tank", level_m=np.array([10.0]))
    PickedSizes(sizes={'line': 1}, proven=True)
    """
    tree = _Tree(pipes, root=root, level_m=np.asarray(level_m, np.float64))
    known = tree.best(most_cost=np.inf, most_sets=_FEW)
    proven = True
    try:
        found = tree.best(most_cost=np.inf if known is None else known[0] * _SLACK, most_sets=None)
    except _TooManyError:
        found, proven = tree.best(most_cost=np.inf, most_sets=_MORE) or known, False
    if found is None:
        return None
    sizes = dict(zip(tree.names, (int(number) for number in found[1]), strict=True))
    return PickedSizes(sizes=sizes, proven=proven)


class _TooManyError(Exception):
    """More sets than can be held against each other in a breath."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Front:
    """Sets of sizes that no other beats: heads needed (sets, cases), costs, and the sizes."""

    needed_m: FloatArray
    cost: FloatArray
    sizes: NDArray[np.int16]

    def kept(self, keep: NDArray[np.intp]) -> Self:
        """Return some of the sets."""
        return type(self)(
            needed_m=self.needed_m[keep], cost=self.cost[keep], sizes=self.sizes[keep]
        )


class _Tree:
    """The tree, its pipes from the root outward."""

    def __init__(self, pipes: Sequence[SizedPipe], *, root: str, level_m: FloatArray) -> None:
        self.root = root
        self.level_m = level_m
        self.ordered = outward(pipes, root=root)
        self.beyond: dict[str, list[SizedPipe]] = {}
        for pipe in self.ordered:
            self.beyond.setdefault(pipe.upstream, []).append(pipe)
        self.names = [pipe.name for pipe in self.ordered]
        self.place = {name: number for number, name in enumerate(self.names)}
        # The most head that a node can have: the widest sizes on the way to it.
        self.most_m = {root: level_m}
        for pipe in self.ordered:
            least_m = pipe.loss_m.min(axis=0)
            self.most_m[pipe.downstream] = self.most_m[pipe.upstream] - least_m
        self.rest = RestCost(self.ordered, root=root, level_m=level_m)

    def best(
        self, *, most_cost: float, most_sets: int | None
    ) -> tuple[float, NDArray[np.int16]] | None:
        """Return cost and sizes of the cheapest set, None where none is found.

        Parameters
        ----------
        most_cost
            What it may cost at the most.
        most_sets
            How many sets are kept at each pipe; None for all, so that nothing is lost.
        """
        front = self.at_node(self.root, most_cost=most_cost, most_sets=most_sets)
        if not front.cost.size:
            return None
        at = np.lexsort((front.needed_m.sum(axis=1), front.cost))[0]
        return float(front.cost[at]), front.sizes[at]

    def at_node(self, node: str, *, most_cost: float, most_sets: int | None) -> _Front:
        """Return what may lie beyond a node, by the head that it needs there."""
        front = _Front(
            needed_m=np.full((1, self.level_m.size), -np.inf),
            cost=np.zeros(1),
            sizes=np.zeros((1, len(self.ordered)), np.int16),
        )
        here = self.beyond.get(node, [])
        for number, pipe in enumerate(here):
            beyond = self.at_node(pipe.downstream, most_cost=most_cost, most_sets=most_sets)
            part = self.thinned(
                self.along(pipe, beyond),
                rest=self.rest.beside(node, held=[pipe.name]),
                most_cost=most_cost,
                most_sets=most_sets,
            )
            if number == 0:
                front = part
                continue
            front = self.thinned(
                _joined(front, part),
                rest=self.rest.beside(node, held=[one.name for one in here[: number + 1]]),
                most_cost=most_cost,
                most_sets=most_sets,
            )
        return front

    def along(self, pipe: SizedPipe, beyond: _Front) -> _Front:
        """Return what may lie beyond the beginning of a pipe, that pipe's sizes with it."""
        passed_m = pipe.loss_m[:, None, :] + beyond.needed_m[None, :, :]
        needed_m = np.maximum(pipe.needed_m[:, None, :], passed_m)
        count, sets, cases = needed_m.shape
        sizes = np.broadcast_to(beyond.sizes, (count, *beyond.sizes.shape)).copy()
        sizes[:, :, self.place[pipe.name]] = np.arange(count)[:, None]
        flat_m = needed_m.reshape(count * sets, cases)
        front = _Front(
            needed_m=flat_m,
            cost=(pipe.cost[:, None] + beyond.cost[None, :]).ravel(),
            sizes=sizes.reshape(count * sets, len(self.ordered)),
        )
        holds = (flat_m <= self.most_m[pipe.upstream]).all(axis=1)
        return front.kept(np.flatnonzero(holds))

    def thinned(
        self, front: _Front, *, rest: FloatArray, most_cost: float, most_sets: int | None
    ) -> _Front:
        """Return the sets that no other beats and that may still be part of the cheapest."""
        whole = front.cost + self.rest.least(front.needed_m, rest=rest)
        keep = np.flatnonzero(np.isfinite(whole) & (whole <= most_cost))
        if most_sets is not None and keep.size > most_sets:
            keep = keep[np.argpartition(whole[keep], most_sets)[:most_sets]]
        front = front.kept(keep)
        if not front.cost.size:
            return front
        front = front.kept(np.lexsort((*front.needed_m.T, front.cost)))
        if front.needed_m.shape[1] == 1:
            lowest_m = np.minimum.accumulate(front.needed_m[:, 0])
            below = np.r_[True, front.needed_m[1:, 0] < lowest_m[:-1]]
            return front.kept(np.flatnonzero(below))
        if most_sets is None and front.cost.size > _MOST:
            raise _TooManyError
        return front.kept(_unbeaten(front.needed_m))


def _joined(first: _Front, second: _Front) -> _Front:
    """Return every set of one with every set of the other: two branches of one node."""
    count = first.cost.size * second.cost.size
    needed_m = np.maximum(first.needed_m[:, None], second.needed_m[None])
    return _Front(
        needed_m=needed_m.reshape(count, needed_m.shape[-1]),
        cost=(first.cost[:, None] + second.cost[None]).ravel(),
        sizes=(first.sizes[:, None] + second.sizes[None]).reshape(count, first.sizes.shape[1]),
    )


def _unbeaten(needed_m: FloatArray) -> NDArray[np.intp]:
    """Return which sets no cheaper one beats in every case; the sets come by rising cost."""
    kept = np.empty((0, needed_m.shape[1]))
    found: list[NDArray[np.intp]] = []
    for begin in range(0, len(needed_m), _BLOCK):
        block = needed_m[begin : begin + _BLOCK]
        here = np.arange(begin, begin + len(block))
        beaten_by = np.asarray((kept[None] <= block[:, None]).all(axis=-1))
        open_yet = ~beaten_by.any(axis=1)
        block, here = block[open_yet], here[open_yet]
        below = np.asarray((block[None] <= block[:, None]).all(axis=-1))
        beaten = np.tril(below, k=-1).any(axis=1)
        kept = np.concatenate([kept, block[~beaten]])
        found.append(here[~beaten])
    return np.concatenate(found)
