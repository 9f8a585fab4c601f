"""High and low points of a line along a route: where air gathers, where water stays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.display import LIKELY
from terrain_head.base.middle import middle_along
from terrain_head.ground.ground import GroundProfile, JointDoubt

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]
Kind = Literal["high", "low"]
KINDS: tuple[Kind, ...] = ("high", "low")

LEAST_HUMP_M = 0.05
"""A hump under this is none, nor one under the pipe's bore: air slips past it; ours [m]."""
COARSER = 2.0
"""Each look along the line overlooks humps this many times as high as the look before."""
MOST_TURNS = 60
"""More high and low points than this along one line are noise: only coarser ones are told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TurningStation:
    """A high or a low point between the two ends of a line.

    Parameters
    ----------
    kind
        ``high`` or ``low``.
    position
        Which station of the profile it is, counted from 0.
    station_m, elevation_m
        Level distance from the start, and height of the line there [m].
    before_m, after_m
        Height difference to the turn (or end) before it and to the one after it, never negative
        [m].
    sure
        Whether both are surer than their error: true nine times in ten; None where the error is
        not known.
    """

    kind: Kind
    position: int
    station_m: float
    elevation_m: float
    before_m: float
    after_m: float
    sure: bool | None

    @property
    def stands_out_m(self) -> float:
        """The lesser of the two height differences [m]."""
        return min(self.before_m, self.after_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Turns:
    """High and low points of one line.

    Parameters
    ----------
    sure
        Higher (or lower) than their surroundings nine times in ten.
    perhaps
        Those that may be error of the heights.
    """

    sure: tuple[TurningStation, ...]
    perhaps: tuple[TurningStation, ...]

    def told(self, kind: Kind) -> tuple[TurningStation, ...]:
        """Return those worth telling, in order: the sure, or all where no error is known."""
        unknown = [turn for turn in self.perhaps if turn.sure is None]
        worth = (turn for turn in (*self.sure, *unknown) if turn.kind == kind)
        return tuple(sorted(worth, key=lambda turn: turn.position))

    def shown(self) -> tuple[TurningStation, ...]:
        """Return those told; of a kind that has none, the one that stands out most perhaps."""
        found: list[TurningStation] = []
        for kind in KINDS:
            perhaps = [turn for turn in self.perhaps if turn.kind == kind]
            most = sorted(perhaps, key=lambda turn: -turn.stands_out_m)[:1]
            found += self.told(kind) or most
        return tuple(sorted(found, key=lambda turn: turn.position))


def turning_points(elevation_m: ArrayLike, *, hysteresis_m: float) -> tuple[IndexArray, IndexArray]:
    """Return the positions of the high and of the low points of a line, its ends left out.

    Parameters
    ----------
    elevation_m
        Height of the line at each station, shape (n,) [m].
    hysteresis_m
        A high point is one from which the line falls by at least this on both sides before it
        rises above it again; low points likewise [m].

    Returns
    -------
    high, low
        Positions, rising; highs and lows take turns. Of a level stretch the first station.

    Examples
    --------
    >>> turning_points([0.0, 3.0, 2.9, 3.1, 1.0, 4.0], hysteresis_m=0.5)
    (array([3]), array([4]))
    """
    height = np.asarray(elevation_m, dtype=np.float64)
    highs: list[int] = []
    lows: list[int] = []
    least = max(hysteresis_m, np.finfo(np.float64).tiny)
    way = 0
    top = bottom = 0
    turns = _bends(height)
    values = height[turns].tolist()
    for at, value in enumerate(values):
        if value > values[top]:
            top = at
        if value < values[bottom]:
            bottom = at
        if way >= 0 and values[top] - value >= least:
            if way > 0:
                highs.append(top)
            way, bottom = -1, at
            top = at
        elif way <= 0 and value - values[bottom] >= least:
            if way < 0:
                lows.append(bottom)
            way, top = 1, at
            bottom = at
    return turns[np.array(highs, dtype=np.intp)], turns[np.array(lows, dtype=np.intp)]


def _bends(height: FloatArray) -> IndexArray:
    """Return the ends and every station where rise and fall change."""
    step = np.sign(np.diff(height))
    moving = np.flatnonzero(step)
    turned = np.flatnonzero(np.diff(step[moving]) != 0)
    inner = moving[turned] + 1
    return np.concatenate([[0], inner, [len(height) - 1]]).astype(np.intp)


def turning_stations(
    profile: GroundProfile,
    *,
    hysteresis_m: float,
    elevation_m: FloatArray | None = None,
    covariance_of: JointDoubt | None = None,
) -> tuple[TurningStation, ...]:
    """Return the high and low points along a profile, in order, with what they stand out by.

    Parameters
    ----------
    profile
        The ground; where nothing is known between its ends it has no turning stations.
    hysteresis_m
        As in `turning_points` [m].
    elevation_m
        Another line over the same stations (a pipe), of its draws the middle; None for the ground
        itself, shape (n,) or (draws, n) [m].
    covariance_of
        Forms the joint covariance of the ground, to tell which differences are sure; None leaves
        that open.
    """
    line = middle_along(profile.elevation_m if elevation_m is None else elevation_m)
    if not profile.between_known or len(line) < 3:
        return ()
    highs, lows = turning_points(line, hysteresis_m=hysteresis_m)
    inner = np.sort(np.concatenate([highs, lows]))
    chain = np.concatenate([[0], inner, [len(line) - 1]])
    # A turn may be an end itself where the line starts out level: each entry is asked for once.
    chain = np.unique(chain)
    differences = np.abs(np.diff(line[chain]))
    sure = _surer(profile.index[chain], differences, covariance_of)
    high = set(highs.tolist())
    return tuple(
        TurningStation(
            kind="high" if int(position) in high else "low",
            position=int(position),
            station_m=float(profile.station_m[position]),
            elevation_m=float(line[position]),
            before_m=float(differences[n]),
            after_m=float(differences[n + 1]),
            sure=None if sure is None else bool(sure[n] and sure[n + 1]),
        )
        for n, position in enumerate(chain[1:-1])
    )


def look_along(
    profile: GroundProfile,
    *,
    elevation_m: FloatArray | None = None,
    bore_m: float | None = None,
    covariance_of: JointDoubt | None = None,
) -> Turns:
    """Return the high and low points along a profile, the sure ones apart from those perhaps.

    Parameters
    ----------
    profile
        The ground.
    elevation_m
        As in `turning_stations`, shape (n,) or (draws, n) [m].
    bore_m
        Bore of the pipe that lies there: air slips past a lower hump; None without a pipe [m].
    covariance_of
        Forms the joint covariance of the ground; None leaves open what is sure.

    Returns
    -------
    Turns
        None where the ground between the ends is not known.

    Notes
    -----
    Small humps on a large one hide that the large one is sure. So the line is looked along again
    and again, each time overlooking humps twice as high; what is sure in any look is sure. The
    first look is the finest that finds no more than `MOST_TURNS`.
    """
    line = middle_along(profile.elevation_m if elevation_m is None else elevation_m)
    hysteresis = max(LEAST_HUMP_M, bore_m or 0.0)
    height = float(np.ptp(line))
    while len(turning_stations(profile, hysteresis_m=hysteresis, elevation_m=line)) > MOST_TURNS:
        hysteresis *= COARSER
    sure: dict[int, TurningStation] = {}
    finest: tuple[TurningStation, ...] | None = None
    while finest is None or hysteresis <= height:
        turns = turning_stations(
            profile, hysteresis_m=hysteresis, elevation_m=line, covariance_of=covariance_of
        )
        finest = turns if finest is None else finest
        sure.update({turn.position: turn for turn in turns if turn.sure})
        hysteresis *= COARSER
    return Turns(
        sure=tuple(sure[position] for position in sorted(sure)),
        perhaps=tuple(turn for turn in finest if turn.position not in sure),
    )


def _surer(
    entries: IndexArray, differences_m: FloatArray, covariance_of: JointDoubt | None
) -> NDArray[np.bool_] | None:
    """Say which height differences are surer than their error, None if that is not known."""
    if covariance_of is None:
        return None
    joint = covariance_of([int(entry) for entry in entries])
    std = np.array([joint.std_of_difference(n, n + 1) for n in range(len(entries) - 1)])
    if np.isnan(std).any():
        return None
    return np.asarray(differences_m > LIKELY * std)
