"""What the published rules make of one drive pipe: lengths, bores and flows, and where they agree.

The rules of `terrain_head.formulas.drive_pipe` turned round: not whether a pipe meets them, but
which pipes would.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Citation
from terrain_head.formulas.drive_pipe import (
    DRIVE_RULES,
    MEAN_DRIVE_VELOCITY_M_S,
    OGDEN,
    TRULLINGER,
)

FloatArray = NDArray[np.float64]

DRIVE_PER_DELIVERY = 2.0
"""Bore of the drive pipe by that of the delivery pipe, as printed [1]."""
ABOUT = 0.1
"""How far from it a bore may be and still be about twice as wide; ours [1]."""
_TWICE_DELIVERY = TRULLINGER.at("p. 27, the drive pipe twice the delivery pipe")
_LIST = OGDEN.at("table XI, bores and flows turned into velocities")


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """What one rule allows of a length or a bore.

    Parameters
    ----------
    key
        Key of the rule.
    low_m, high_m
        From and to; infinite where it has no upper end [m].
    citation
        Where it stands.
    """

    key: str
    low_m: float
    high_m: float
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """Where most rules meet.

    Parameters
    ----------
    low_m, high_m
        From and to; infinite where none of them has an upper end [m].
    agree, differ
        Keys of the rules that allow all of it, and of those that allow none of it or a part.
    """

    low_m: float
    high_m: float
    agree: tuple[str, ...]
    differ: tuple[str, ...]


def lengths_allowed(*, fall_m: float, inside_m: float | None = None) -> tuple[Allowed, ...]:
    """Return what each published rule allows of the drive pipe's length.

    Parameters
    ----------
    fall_m
        Fall on it [m].
    inside_m
        Its inside diameter; rules that need it are left out where it is None [m].

    Examples
    --------
    >>> [(round(one.low_m, 1), round(one.high_m, 1)) for one in lengths_allowed(fall_m=2.0)]
    [(10.0, 20.0), (6.0, 14.0), (7.6, 15.2), (4.0, 8.0)]
    """
    scale = {"length/fall": fall_m, "length": 1.0}
    if inside_m is not None:
        scale["length/bore"] = inside_m
    return tuple(
        Allowed(
            key=rule.key,
            low_m=0.0 if rule.low is None else rule.low * scale[rule.about],
            high_m=np.inf if rule.high is None else rule.high * scale[rule.about],
            citation=rule.citation,
        )
        for rule in DRIVE_RULES
        if rule.about in scale
    )


def bores_allowed(
    *, flow_m3_s: float, delivery_inside_m: float | None = None
) -> tuple[Allowed, ...]:
    """Return what each published rule allows of the drive pipe's bore.

    Parameters
    ----------
    flow_m3_s
        Whole flow into the one ram it feeds; above 0 [m3/s].
    delivery_inside_m
        Inside diameter of the delivery pipe of one ram; its rule is left out where None [m].

    Examples
    --------
    >>> list_, worksheet = bores_allowed(flow_m3_s=5e-4)
    >>> round(list_.low_m, 3), round(list_.high_m, 3), round(worksheet.low_m, 3)
    (0.031, 0.056, 0.024)
    """
    allowed = [
        Allowed(
            key=rule.key,
            low_m=0.0 if rule.high is None else _bore_m(flow_m3_s, rule.high),
            high_m=np.inf if rule.low is None else _bore_m(flow_m3_s, rule.low),
            citation=rule.citation,
        )
        for rule in DRIVE_RULES
        if rule.about == "velocity"
    ]
    if delivery_inside_m is not None:
        twice = DRIVE_PER_DELIVERY * delivery_inside_m
        allowed.append(
            Allowed(
                key="about twice the delivery pipe's bore",
                low_m=(1 - ABOUT) * twice,
                high_m=(1 + ABOUT) * twice,
                citation=_TWICE_DELIVERY,
            )
        )
    return tuple(allowed)


def agreed(allowed: Sequence[Allowed]) -> Agreed:
    """Return the range that most rules allow whole, of several such that of the rule named first.

    Parameters
    ----------
    allowed
        What each rule allows, the one to be followed in doubt first; at least one.

    Examples
    --------
    >>> both = agreed(lengths_allowed(fall_m=2.0))
    >>> round(both.low_m, 1), round(both.high_m, 1), both.differ
    (10.0, 14.0, ('length 2 to 4 falls',))
    """
    met = max(
        ([one.low_m <= start.low_m <= one.high_m for one in allowed] for start in allowed),
        key=lambda flags: (sum(flags), flags),
    )
    best = [one for one, holds in zip(allowed, met, strict=True) if holds]
    return Agreed(
        low_m=max(one.low_m for one in best),
        high_m=min(one.high_m for one in best),
        agree=tuple(one.key for one in best),
        differ=tuple(one.key for one, holds in zip(allowed, met, strict=True) if not holds),
    )


def drive_flow_range_m3_s(inside_m: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Return the least and the most mean flow that a drive pipe of a bore is listed for.

    Parameters
    ----------
    inside_m
        Its inside diameter [m].

    Returns
    -------
    tuple of FloatArray
        Least and most flow into its one ram, at 0.2 and 0.65 m/s over the beats [m3/s].

    References
    ----------
    H. N. Ogden, Rural Hygiene, table XI, its bores and flows turned into velocities.
    """
    area = np.pi / 4 * np.asarray(inside_m, np.float64) ** 2
    slow, fast = MEAN_DRIVE_VELOCITY_M_S
    return np.asarray(slow * area), np.asarray(fast * area)


DRIVE_FLOW_RANGE = _LIST
"""Where the range of drive flows was read."""


def _bore_m(flow_m3_s: float, velocity_m_s: float) -> float:
    return float(np.sqrt(4 * flow_m3_s / (np.pi * velocity_m_s)))
