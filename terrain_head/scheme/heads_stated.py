"""A net as stated, seen through: its arrays of one shape, its parts tied."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

import numpy as np
from numpy.typing import NDArray

from terrain_head.errors import InputError, Trouble
from terrain_head.scheme.heads_joints import Joints

if TYPE_CHECKING:
    from terrain_head.scheme.heads import Net

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]


class UntiedNodesError(InputError):
    """A part of a net hangs on no fixed head and no ram.

    Parameters
    ----------
    nodes
        Its nodes.
    """

    def __init__(self, nodes: IntArray) -> None:
        super().__init__(
            f"The pipes at {named_nodes(nodes)} hang on no fixed head and no ram.",
            Trouble(
                what="No tank, source or ram says how high the water stands there.",
                write="a pipe from there to a tank, the source or the ram",
            ),
        )
        self.nodes = tuple(int(node) for node in nodes)


class NoWayForWaterError(InputError):
    """Water drawn or put in cannot get there.

    Parameters
    ----------
    nodes
        The nodes about which it is stuck.
    """

    def __init__(self, nodes: IntArray) -> None:
        super().__init__(
            f"Water drawn or put in at {named_nodes(nodes)}, or beyond, cannot get there.",
            Trouble(what="Pipes that carry water one way only, or a ram, stand in its way."),
        )
        self.nodes = tuple(int(node) for node in nodes)


def named_nodes(nodes: IntArray) -> str:
    """Return the words for some nodes."""
    few = ", ".join(str(int(node)) for node in nodes[:8])
    return f"{'node' if len(nodes) == 1 else 'nodes'} {few}{', ...' if len(nodes) > 8 else ''}"


class Laws(TypedDict):
    """What `Links.of` asks for."""

    length_m: FloatArray
    inside_m: FloatArray
    roughness_m: FloatArray
    loss_coefficient: FloatArray
    power: FloatArray
    exponent: FloatArray
    lift_m4_s: FloatArray
    one_way: BoolArray
    viscosity_m2_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """A net with every array of shape (draws, n) or (draws, m).

    Parameters
    ----------
    joints
        Its ends.
    fixed_head, drawn
        As stated, shape (draws, n).
    length, inside, roughness, loss, power, exponent, lift
        As stated, shape (draws, m); 0 lift where there is none.
    one_way
        Shape (draws, m).
    standing
        Rams that stand still: links with nothing but a lift of 0, shape (draws, m).
    viscosity
        Kinematic viscosity [m2/s].
    drawn_many
        Whether the net was stated with draws.
    """

    joints: Joints
    fixed_head: FloatArray
    drawn: FloatArray
    length: FloatArray
    inside: FloatArray
    roughness: FloatArray
    loss: FloatArray
    power: FloatArray
    exponent: FloatArray
    lift: FloatArray
    one_way: BoolArray
    standing: BoolArray
    viscosity: float
    drawn_many: bool

    def laws(self) -> Laws:
        """Return what makes the links."""
        return {
            "length_m": self.length,
            "inside_m": self.inside,
            "roughness_m": self.roughness,
            "loss_coefficient": self.loss,
            "power": self.power,
            "exponent": self.exponent,
            "lift_m4_s": self.lift,
            "one_way": self.one_way,
            "viscosity_m2_s": self.viscosity,
        }


def stated(net: Net) -> Stated:
    """Return a net with all its arrays of one shape.

    Parameters
    ----------
    net
        The net.

    Raises
    ------
    InputError
        With all that is wrong in its arrays.
    """
    start, end = np.asarray(net.start, np.intp), np.asarray(net.end, np.intp)
    at_nodes = [np.asarray(one, np.float64) for one in (net.fixed_head_m, net.drawn_m3_s)]
    at_links = [
        np.asarray(one, np.float64)
        for one in (
            net.length_m, net.inside_m, net.roughness_m, net.loss_coefficient,
            net.power_coefficient, net.power_exponent, net.lift_m4_s, net.one_way,
        )
    ]  # fmt: skip
    wide = [one for one in at_nodes + at_links if one.ndim > 1]
    draws = max((one.shape[0] for one in wide), default=1)
    count, links = at_nodes[0].shape[-1], start.size
    try:
        fixed, drawn = (np.array(np.broadcast_to(one, (draws, count))) for one in at_nodes)
        length, inside, rough, loss, power, exponent, lift, one_way = (
            np.array(np.broadcast_to(one, (draws, links))) for one in at_links
        )
    except ValueError as wrong:
        raise InputError(f"The arrays of the net do not fit together: {wrong}.") from wrong
    bare = (length == 0) & (loss == 0) & (power == 0)
    work = Stated(
        joints=Joints(
            start=start, end=end, free=np.flatnonzero(np.isnan(fixed).any(axis=0)), count=count
        ),
        fixed_head=fixed,
        drawn=drawn,
        length=length,
        inside=inside,
        roughness=rough,
        loss=loss,
        power=power,
        exponent=exponent,
        lift=np.nan_to_num(lift, nan=0.0),
        one_way=one_way.astype(bool),
        standing=bare & (lift == 0),
        viscosity=float(net.viscosity_m2_s),
        drawn_many=bool(wide),
    )
    troubles = list(_troubles(work, bare & np.isnan(lift)))
    if troubles:
        raise InputError("The net cannot be solved as it is stated.", *troubles)
    return work


def _troubles(work: Stated, bare: BoolArray) -> list[Trouble]:
    joints = work.joints
    within = (joints.start >= 0) & (joints.start < joints.count)
    within &= (joints.end >= 0) & (joints.end < joints.count)
    free = np.isnan(work.fixed_head)
    friction = work.length > 0
    pipe = friction | (work.loss > 0)
    checks: list[tuple[str, BoolArray]] = [
        ("a node that is not in the net", ~within[np.newaxis]),
        ("neither length, loss nor lift", bare),
        ("a length that is not 0 or more", ~_at_least(work.length, 0.0)),
        ("an inside diameter that is not more than 0", pipe & ~(_at_least(work.inside, 1e-9))),
        ("a roughness that is not 0 or more", friction & ~_at_least(work.roughness, 0.0)),
        ("a loss coefficient that is not 0 or more", ~_at_least(work.loss, 0.0)),
        ("a power coefficient that is not 0 or more", ~_at_least(work.power, 0.0)),
        ("an exponent under 1", (work.power > 0) & ~_at_least(work.exponent, 1.0)),
        ("a lift that is not 0 or more", ~_at_least(work.lift, 0.0)),
        ("a ram with no height to lift to", _idle(work) if within.all() else bare[:0]),
    ]
    found = []
    for what, wrong in checks:
        which = np.flatnonzero(wrong.any(axis=0))
        if which.size:
            found.append(Trouble(what=f"{named_nodes(which).replace('node', 'link')}: {what}."))
    nodes: list[tuple[str, BoolArray]] = [
        ("the head is given in some draws and sought in others", free & ~free.all(axis=0)),
        ("a head that is infinite", np.isinf(work.fixed_head)),
        ("what is drawn is not a number", ~np.isfinite(work.drawn)),
    ]
    for what, wrong in nodes:
        which = np.flatnonzero(wrong.any(axis=0))
        if which.size:
            found.append(Trouble(what=f"{named_nodes(which)}: {what}."))
    if not _at_least(np.asarray(work.viscosity), 1e-12):
        found.append(Trouble(what=f"A viscosity of {work.viscosity} m2/s."))
    return found


def _idle(work: Stated) -> BoolArray:
    """Say which rams give to a level at or below their own with nothing in the way."""
    bare = (work.length == 0) & (work.loss == 0) & (work.power == 0) & (work.lift > 0)
    fall = work.joints.fall(work.fixed_head)
    return np.asarray(bare & (np.nan_to_num(fall, nan=-1.0) >= 0))


def _at_least(value: FloatArray, least: float) -> BoolArray:
    return np.asarray(np.isfinite(value) & (value >= least))


def check_ties(work: Stated) -> None:
    """See that every part of a net hangs on a fixed head or a ram.

    Parameters
    ----------
    work
        The net.

    Raises
    ------
    UntiedNodesError
        With the nodes of such parts.
    """
    loose, _ = work.joints.loose(np.ones(work.standing[:1].shape, bool))
    if loose.any():
        raise UntiedNodesError(np.flatnonzero(loose[0]))


def check_ways(work: Stated) -> None:
    """See that water drawn can come and water put in can go, for all one-way links.

    Parameters
    ----------
    work
        The net.

    Raises
    ------
    NoWayForWaterError
        With the nodes that no way leads to, or from.
    """
    joints = work.joints
    ram = (work.lift > 0).any(axis=0)
    one_way = work.one_way.all(axis=0) | ram
    passable = ~work.standing.all(axis=0)
    fixed = np.asarray(np.isfinite(work.fixed_head).all(axis=0))
    taken = np.asarray((work.drawn > 0).any(axis=0) & ~fixed)
    given = np.asarray((work.drawn < 0).any(axis=0) & ~fixed)
    back = passable & ~one_way
    tail = np.concatenate([joints.start[passable], joints.end[back]])
    head = np.concatenate([joints.end[passable], joints.start[back]])
    given_by_rams = given.copy()
    given_by_rams[joints.end[ram]] = True
    stuck = taken & ~joints.reached(fixed | given, tail=tail, head=head)
    stuck |= given_by_rams & ~fixed & ~joints.reached(fixed | taken, tail=head, head=tail)
    if stuck.any():
        raise NoWayForWaterError(np.flatnonzero(stuck))
