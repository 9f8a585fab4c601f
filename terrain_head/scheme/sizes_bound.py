"""What the rest of a tree of pipes costs at the least, once a part of it has its sizes.

One case is looked at alone, and every head is rounded in favour of the smaller pipe: so the
figure is never above the true one, and sets of sizes that lead above a known cost may be dropped.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_STEPS = 512
_HAIR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SizedPipe:
    """One pipe of a tree with the sizes that it may have.

    Parameters
    ----------
    name
        Its name.
    upstream, downstream
        Nodes where it begins and ends.
    loss_m
        Head lost between the nodes, shape (sizes, cases) [m].
    needed_m
        Head that it must find where it begins for what lies on it and hangs at its end, pipes
        beyond not counted, shape (sizes, cases); -inf where nothing asks [m].
    cost
        Of each size, in any measure that adds up, never below 0, shape (sizes,).
    """

    name: str
    upstream: str
    downstream: str
    loss_m: FloatArray
    needed_m: FloatArray
    cost: FloatArray


def outward(pipes: Sequence[SizedPipe], *, root: str) -> list[SizedPipe]:
    """Return the pipes of a tree in the order in which the water meets them.

    Parameters
    ----------
    pipes
        In any order.
    root
        Where their water begins.
    """
    ordered: list[SizedPipe] = []
    nodes = [root]
    while nodes:
        node = nodes.pop(0)
        here = [pipe for pipe in pipes if pipe.upstream == node]
        ordered += here
        nodes += [pipe.downstream for pipe in here]
    return ordered


class RestCost:
    """Least costs by the head at a node, for each case by itself.

    Parameters
    ----------
    ordered
        The pipes, from the root outward.
    root
        Where their water begins.
    level_m
        Total head there in each case, shape (cases,) [m].

    Notes
    -----
    Heads are numbered upward: 0 is a head below all that is needed anywhere, 1 to `_STEPS` + 1 run
    evenly from the least that is needed to the level of the root.
    """

    def __init__(self, ordered: Sequence[SizedPipe], *, root: str, level_m: FloatArray) -> None:
        self.level_m = level_m
        cases = level_m.size
        needed_m = [np.where(np.isfinite(p.needed_m), p.needed_m, np.inf) for p in ordered]
        least_m = np.min([one.min(axis=0) for one in needed_m], axis=0)
        self.low_m = np.where(least_m < level_m, least_m, level_m - 1.0)
        self.step_m = (level_m - self.low_m) / _STEPS
        self.heads_m = self.low_m[:, None] + self.step_m[:, None] * np.arange(_STEPS + 1)
        self.beyond: dict[str, list[SizedPipe]] = {}
        for pipe in ordered:
            self.beyond.setdefault(pipe.upstream, []).append(pipe)
        nothing = np.zeros((cases, _STEPS + 2))
        self.part: dict[str, FloatArray] = {}
        node_cost: dict[str, FloatArray] = {}
        for pipe in reversed(ordered):
            after = node_cost.get(pipe.downstream, nothing)
            self.part[pipe.name] = self._along(pipe, after)
            node_cost[pipe.upstream] = node_cost.get(pipe.upstream, nothing) + self.part[pipe.name]
        # Only the level of the root itself is there at the root.
        self.outside: dict[str, FloatArray] = {root: nothing}
        for pipe in ordered:
            rest = self.beside(pipe.upstream, held=[pipe.name])
            self.outside[pipe.downstream] = self._before(pipe, rest)

    def _along(self, pipe: SizedPipe, after: FloatArray) -> FloatArray:
        """Return the least cost of a pipe and all beyond it, by the head where it begins."""
        heads_m = np.concatenate([np.full((self.level_m.size, 1), -np.inf), self.heads_m], axis=1)
        best = np.full(after.shape, np.inf)
        for loss_m, needed_m, cost in zip(pipe.loss_m, pipe.needed_m, pipe.cost, strict=True):
            there = self._number(heads_m - loss_m[:, None], up=1)
            total = cost + np.take_along_axis(after, there, axis=1)
            met = heads_m + self.step_m[:, None] + _HAIR >= needed_m[:, None]
            met |= np.isneginf(needed_m)[:, None]
            best = np.minimum(best, np.where(met, total, np.inf))
        return best

    def _before(self, pipe: SizedPipe, rest: FloatArray) -> FloatArray:
        """Return the least cost of all that is not beyond a pipe, by the head needed at its end."""
        heads_m = np.concatenate([np.full((self.level_m.size, 1), -np.inf), self.heads_m], axis=1)
        best = np.full(rest.shape, np.inf)
        for loss_m, needed_m, cost in zip(pipe.loss_m, pipe.needed_m, pipe.cost, strict=True):
            wanted_m = np.maximum(heads_m + loss_m[:, None], needed_m[:, None])
            over = wanted_m > self.level_m[:, None] + self.step_m[:, None] + _HAIR
            here = self._number(wanted_m, up=0)
            total = cost + np.take_along_axis(rest, here, axis=1)
            best = np.minimum(best, np.where(over, np.inf, total))
        return best

    def _number(self, heads_m: FloatArray, *, up: int) -> NDArray[np.intp]:
        """Return the numbers of heads, shape (cases, heads), each rounded down, or one further."""
        with np.errstate(invalid="ignore"):
            steps = (heads_m - self.low_m[:, None]) / self.step_m[:, None]
        steps = np.floor(np.clip(steps - _HAIR * (1 - 2 * up), -2.0, _STEPS + 2.0))
        return np.clip(steps.astype(np.intp) + 1 + up, 0, _STEPS + 1)

    def beside(self, node: str, *, held: Sequence[str]) -> FloatArray:
        """Return the least cost of all that is neither beyond a node nor before it held already.

        Parameters
        ----------
        node
            The node.
        held
            Names of pipes that begin there and have their sizes.

        Returns
        -------
        FloatArray
            By the number of the head that what is held needs at the node, shape (cases, heads).
        """
        total = self.outside[node].copy()
        for pipe in self.beyond.get(node, []):
            if pipe.name not in held:
                total = total + self.part[pipe.name]
        # More head than what is held needs may serve the others better.
        return np.asarray(np.minimum.accumulate(total[:, ::-1], axis=1)[:, ::-1])

    def least(self, needed_m: FloatArray, *, rest: FloatArray) -> FloatArray:
        """Return what the rest costs at the least for each of some sets, shape (sets,).

        Parameters
        ----------
        needed_m
            Heads that they need, shape (sets, cases) [m].
        rest
            What `beside` returned.
        """
        numbers = self._number(needed_m.T, up=0)
        return np.asarray(np.take_along_axis(rest, numbers, axis=1).max(axis=0))
