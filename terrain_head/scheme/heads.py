"""Heads and flows of any net of pipes, found together.

Newton's method on the loss of every link and the balance of every node at once. The flows are
eliminated, so each step is one symmetric linear system in the heads that are sought. The flows
that solve the net are those of least content (the integral of each link's loss over its flow,
less what the fixed heads give): a convex function, along which each step is shortened until it
falls. So the method always comes home, from any start.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from terrain_head.base.citation import Source
from terrain_head.errors import TerrainHeadError
from terrain_head.scheme.heads_joints import Joints
from terrain_head.scheme.heads_links import LEAST_LIFTED, Links
from terrain_head.scheme.heads_stated import (
    BoolArray,
    FloatArray,
    IntArray,
    NoWayForWaterError,
    Stated,
    check_ties,
    check_ways,
    stated,
)

TODINI_PILATI = Source(
    key="todini-pilati-1988",
    author="E. Todini and S. Pilati",
    title="A gradient algorithm for the analysis of pipe networks, in Computer Applications in "
    "Water Supply 1",
    year="1988",
    obtained="from memory",
)

MOST_ITERATIONS = 60
MOST_TRIALS = 30
NEAR = 1e-10
"""Loss and difference of heads agree in every link within so much of the largest of them."""
MOST_SYSTEMS = 5
"""Linear systems solved in one iteration until no held-back link changes its mind."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """Pipes between nodes; every array may have a leading axis of draws.

    Parameters
    ----------
    fixed_head_m
        Total head where it is given, nan at the nodes where it is sought, shape (n,) [m].
    drawn_m3_s
        Water taken out at each node, negative where it is put in; of no effect where the head is
        given, shape (n,) [m3/s].
    start, end
        Nodes of each link; a flow from start to end is positive, shape (m,).
    length_m, inside_m, roughness_m
        Pipe of each link, shape (m,). A link of no length has no friction; without a loss
        coefficient too, its inside diameter is not looked at [m].
    loss_coefficient
        Sum of the coefficients of fittings, in velocity heads, shape (m,) [1].
    power_coefficient, power_exponent
        A further loss ``a |q|^b``, b at least 1, shape (m,); a is 0 where there is none. An
        outlet that gives ``C p^x`` under a head p is a link to a node fixed at its level, with
        a = (1/C)^(1/x) and b = 1/x.
    lift_m4_s
        A ram: water is put in such that flow times the rise of head from start to end is this,
        shape (m,); nan where there is none. The link runs from a node fixed at the waste valve's
        outlet to the ram. 0, with nothing else in the link: the ram stands, nothing
        passes [m4/s].
    one_way
        Whether the link carries water from start to end only, shape (m,).
    viscosity_m2_s
        Kinematic viscosity [m2/s].
    """

    fixed_head_m: ArrayLike
    drawn_m3_s: ArrayLike
    start: ArrayLike
    end: ArrayLike
    length_m: ArrayLike
    inside_m: ArrayLike
    roughness_m: ArrayLike
    loss_coefficient: ArrayLike = 0.0
    power_coefficient: ArrayLike = 0.0
    power_exponent: ArrayLike = 2.0
    lift_m4_s: ArrayLike = np.nan
    one_way: ArrayLike = False
    viscosity_m2_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NetFlow:
    """What the water does in a net.

    Parameters
    ----------
    head_m
        Total head of each node, shape (n,) or (draws, n); nan at nodes that shut links part from
        every fixed head, where any head would do [m].
    flow_m3_s
        Flow of each link from start to end, exactly 0 in one that is shut, shape (m,) or
        (draws, m) [m3/s].
    iterations
        Steps of the slowest draw.
    largest_imbalance_m3_s
        Largest difference between what comes to a node whose head is sought and what leaves it,
        shape () or (draws,) [m3/s].
    """

    head_m: FloatArray
    flow_m3_s: FloatArray
    iterations: int
    largest_imbalance_m3_s: FloatArray


def solve_heads(net: Net) -> NetFlow:
    """Return the heads and flows of a net.

    Parameters
    ----------
    net
        The net.

    Returns
    -------
    NetFlow
        With draws if any of the net's arrays has them.

    Raises
    ------
    InputError
        The arrays do not fit together, or hold what no pipe can have.
    UntiedNodesError
        A part of the net hangs on no fixed head and no ram.
    NoWayForWaterError
        Water drawn or put in cannot get there: links that hold it back are in the way, or a ram
        would have to swallow it.
    TerrainHeadError
        The heads were not found; a fault of this program.

    Notes
    -----
    Loss of a link, with the sign of its flow: Darcy and Weisbach's friction, K V2 / 2g, a power,
    less lift by flow. Heads are found to about 1e-10 of the spread of heads.

    Examples
    --------
    Two tanks feed one tap between them:

    >>> net = Net(
    ...     fixed_head_m=[20.0, 18.0, np.nan], drawn_m3_s=[0.0, 0.0, 0.5e-3],
    ...     start=[0, 1], end=[2, 2], length_m=[200.0, 150.0], inside_m=[0.026, 0.026],
    ...     roughness_m=[7e-6, 7e-6], viscosity_m2_s=1.307e-6,
    ... )
    >>> flow = solve_heads(net)
    >>> print(flow.head_m.round(3), (1000 * flow.flow_m3_s).round(4))
    [20.    18.    16.448] [0.2885 0.2115]

    References
    ----------
    E. Todini and S. Pilati, A gradient algorithm for the analysis of pipe networks, 1988 (from
    memory).
    """
    work = stated(net)
    check_ties(work)
    check_ways(work)
    search = _Search.of(work)
    if work.standing.any():
        search.refuse_stuck(np.arange(search.done.size))
    iterations = 0
    while not search.done.all():
        if iterations == MOST_ITERATIONS:
            search.refuse_drowned(np.flatnonzero(~search.done))
            raise TerrainHeadError(
                f"The heads of the net were not found in {MOST_ITERATIONS} steps."
            )
        search.step()
        iterations += 1
    return search.result(iterations)


@dataclass(slots=True, kw_only=True)
class _Search:
    """Where the search stands, all draws side by side; heads are above the lowest fixed one."""

    work: Stated
    links: Links
    joints: Joints
    least_head: FloatArray
    head: FloatArray
    flow: FloatArray
    shut: BoolArray
    pin: BoolArray
    fresh: BoolArray = field(init=False)
    """Whether the next step must be whole, for the balance does not hold yet."""
    begun: BoolArray = field(init=False)
    done: BoolArray = field(init=False)
    loss: FloatArray = field(init=False)
    slope: FloatArray = field(init=False)
    """Of the links at the flow as it stands."""

    def __post_init__(self) -> None:
        draws = self.head.shape[0]
        self.fresh = np.ones(draws, bool)
        self.begun = np.zeros(draws, bool)
        self.done = np.zeros(draws, bool)
        self.loss, self.slope = self.links.loss_and_slope(self.flow)

    @classmethod
    def of(cls, work: Stated) -> _Search:
        fixed = np.isfinite(work.fixed_head)
        least = np.where(fixed, work.fixed_head, np.inf).min(axis=1)
        spread = np.where(fixed, work.fixed_head, -np.inf).max(axis=1) - least
        links = Links.of(spread_m=spread, **work.laws())
        head = np.where(fixed, work.fixed_head - least[:, np.newaxis], 0.0)
        joints = work.joints
        return cls(
            work=work,
            links=links,
            joints=joints,
            least_head=least,
            head=head,
            flow=np.where(links.lift_m4_s > 0, links.usual_m3_s, 0.0),
            shut=work.standing.copy(),
            pin=joints.loose(~work.standing)[1]
            if work.standing.any()
            else np.zeros(head.shape, bool),
        )

    def step(self) -> None:
        """Bring every draw that is not done one step nearer."""
        rows = np.flatnonzero(~self.done)
        links, shut = self.links.draws(rows), self.shut[rows]
        flow, head = self.flow[rows], self.head[rows]
        begin = ~self.begun[rows]
        loss = self.loss[rows]
        slope = links.eased(self.slope[rows], flow_m3_s=flow, fall_m=self.joints.fall(head))
        if begin.any():
            first_loss, first_slope = links.from_still_water()
            loss = np.where(begin[:, np.newaxis], first_loss, loss)
            slope = np.where(begin[:, np.newaxis], first_slope, slope)
        change, rise = self.direction(rows, loss=loss, slope=slope)
        goal = self.joints.fall(head + rise)
        steer = np.flatnonzero(~self.fresh[rows])
        part = np.ones(rows.size)
        if steer.size:
            some = links.draws(steer)
            held = some.dammed(loss[steer], flow_m3_s=flow[steer])
            part[steer] = _part_to_go(
                some, flow[steer], change=change[steer], goal=goal[steer], loss=held
            )
        self.begun[rows], self.fresh[rows] = True, False
        change *= part[:, np.newaxis]
        flow, head = np.where(shut, 0.0, flow + change), head + rise
        self.flow[rows], self.head[rows] = flow, head
        self.loss[rows], self.slope[rows] = loss, slope = links.loss_and_slope(flow)
        off = _largest(np.where(shut, 0.0, links.dammed(loss, flow_m3_s=flow) - goal))
        near = off <= NEAR * _largest(np.where(shut, 0.0, goal)) + 1e-15 * _largest(head) + 1e-13
        near &= _largest(change) <= 1e-6 * _largest(flow) + 1e-18
        self.close(rows, near=near & (part == 1) & ~begin)

    def direction(
        self, rows: IntArray, *, loss: FloatArray, slope: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Return the changes of flow and of head that solve the net made straight."""
        links, joints = self.links.draws(rows), self.joints
        flow, shut, pin = self.flow[rows], self.shut[rows], self.pin[rows]
        fall = joints.fall(self.head[rows])
        lack = -(joints.leaving(flow) + self.work.drawn[rows])
        held = links.held(flow)
        change, rise = np.zeros(flow.shape), np.zeros(lack.shape)
        todo = np.arange(rows.size)
        for _ in range(MOST_SYSTEMS):
            dam, now = links.dam[todo], flow[todo]
            eases = 1 / np.where(shut[todo], 1.0, np.where(held[todo], dam, slope[todo]))
            alone = (fall[todo] - np.where(held[todo], dam * now, loss[todo])) * eases
            eases[shut[todo]] = 0.0
            alone = np.where(shut[todo], -now, alone)
            rise[todo] = joints.heads(eases, lack[todo] - joints.leaving(alone), pin=pin[todo])
            change[todo] = alone + eases * joints.fall(rise[todo])
            turned = links.draws(todo).held(now + change[todo]) & ~shut[todo]
            again = (turned != held[todo]).any(axis=1)
            held[todo] = turned
            todo = todo[again]
            if not todo.size:
                break
        return change, rise

    def close(self, rows: IntArray, *, near: BoolArray) -> None:
        """Shut what holds water back in draws that have come near; end those that stay so."""
        links = self.links.draws(rows)
        fall = self.joints.fall(self.head[rows])
        held = links.held(self.flow[rows]) & near[:, np.newaxis]
        if near.any():
            self.refuse_drowned(rows[near])
        pulls = fall > 1e-9 * np.ptp(self.head[rows], axis=1)[:, np.newaxis] + 1e-12
        open_again = self.shut[rows] & ~self.work.standing[rows] & pulls
        shut = (self.shut[rows] | held) & ~open_again
        turned = (shut != self.shut[rows]).any(axis=1)
        stay = rows[near & ~turned]
        self.balance(stay)
        self.done[stay] = True
        again = rows[turned]
        if not again.size:
            return
        self.shut[again] = shut[turned]
        self.flow[again] = np.where(shut[turned], 0.0, self.flow[again])
        self.fresh[again] = True
        self.refuse_stuck(again)
        self.pin[again] = self.joints.loose(~shut[turned])[1]

    def balance(self, rows: IntArray) -> None:
        """Take the last rounding out of the balance of the nodes, which short wide pipes leave."""
        if not rows.size:
            return
        joints, flow = self.joints, self.flow[rows]
        eases = np.where(self.shut[rows], 0.0, 1 / np.where(self.shut[rows], 1.0, self.slope[rows]))
        for _ in range(2):
            lack = -(joints.leaving(self.flow[rows]) + self.work.drawn[rows])
            off = np.abs(lack[:, joints.free]).max(axis=1, initial=0.0)
            if np.all(off <= 1e-12 * _largest(flow)):
                break
            rise = joints.heads(eases, lack, pin=self.pin[rows])
            self.head[rows] += rise
            self.flow[rows] += eases * joints.fall(rise)

    def refuse_drowned(self, rows: IntArray) -> None:
        """Raise if a ram would have to swallow water, or lift it a million times too high."""
        links = self.links.draws(rows)
        drowned = self.flow[rows] < 2 * LEAST_LIFTED * links.usual_m3_s
        which = np.flatnonzero((drowned & (links.lift_m4_s > 0)).any(axis=0))
        if which.size:
            raise NoWayForWaterError(np.unique(self.joints.end[which]))

    def refuse_stuck(self, rows: IntArray) -> None:
        """Raise if a part that shut links cut off is not in balance by itself."""
        part = self.joints.parts(~self.shut[rows])
        loose = self.joints.loose(~self.shut[rows])[0]
        drawn = np.where(loose, self.work.drawn[rows], 0.0)
        owed = np.bincount(part.ravel(), drawn.ravel())
        moved = np.bincount(part.ravel(), np.abs(drawn).ravel())
        stuck = (np.abs(owed) > 1e-12 * moved)[part] & (drawn != 0)
        if stuck.any():
            raise NoWayForWaterError(np.flatnonzero(stuck.any(axis=0)))

    def result(self, iterations: int) -> NetFlow:
        """Return what was found."""
        self.flow[self.links.held(self.flow)] = 0.0
        lack = (self.joints.leaving(self.flow) + self.work.drawn)[:, self.joints.free]
        head = self.head + self.least_head[:, np.newaxis]
        if self.shut.any():
            head[self.joints.loose(~self.shut)[0]] = np.nan
        head = np.where(np.isfinite(self.work.fixed_head), self.work.fixed_head, head)
        pick = slice(None) if self.work.drawn_many else 0
        return NetFlow(
            head_m=np.asarray(head[pick]),
            flow_m3_s=np.asarray(self.flow[pick]),
            iterations=iterations,
            largest_imbalance_m3_s=np.asarray(np.abs(lack).max(axis=1, initial=0.0)[pick]),
        )


def _largest(value: FloatArray) -> FloatArray:
    return np.asarray(np.abs(value).max(axis=1, initial=0.0))


def _part_to_go(
    links: Links, flow: FloatArray, *, change: FloatArray, goal: FloatArray, loss: FloatArray
) -> FloatArray:
    """Return how much of a change to make: all, or to where the content is about least.

    The content grows along the change by the sum of change times what loss there is beyond the
    goal; that only rises on the way, since every loss rises with its flow.
    """

    def growth(part: FloatArray, rows: IntArray) -> FloatArray:
        there = links.draws(rows).loss_m(flow[rows] + part[:, np.newaxis] * change[rows])
        return np.asarray((change[rows] * (there - goal[rows])).sum(axis=1))

    part = np.ones(flow.shape[0])
    first = (change * (loss - goal)).sum(axis=1)
    noise = 1e-13 * (np.abs(change) * (np.abs(loss) + np.abs(goal))).sum(axis=1)
    last = growth(part, np.arange(part.size))
    rows = np.flatnonzero((first < -noise) & (last > 0.1 * np.abs(first)))
    low, high = np.zeros(rows.size), np.ones(rows.size)
    at_low, at_high = first[rows], last[rows]
    for _ in range(MOST_TRIALS):
        if not rows.size:
            break
        width = high - low
        middle = np.clip(
            low - at_low * width / (at_high - at_low), low + 0.1 * width, high - 0.1 * width
        )
        here = growth(middle, rows)
        part[rows] = middle
        below = here < 0
        low, at_low = np.where(below, middle, low), np.where(below, here, at_low)
        high, at_high = np.where(below, high, middle), np.where(below, at_high, here)
        left = np.abs(here) > 0.1 * np.abs(first[rows])
        rows, low, high = rows[left], low[left], high[left]
        at_low, at_high = at_low[left], at_high[left]
    return part
