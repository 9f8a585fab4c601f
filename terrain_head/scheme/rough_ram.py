"""A ram known by a few numbers: the water it lifts, and what an error of a height does to it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.formulas.drive_pipe import DELIVERY_SIZES, delivery_size_for
from terrain_head.formulas.friction import head_loss_m
from terrain_head.formulas.ram_efficiency import delivered_flow_m3_s
from terrain_head.formulas.ram_tables import GREATEST_RATIO, LEAST_FALL_M
from terrain_head.scheme.parts import WATER_TEMPERATURE_C, Taken
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.pumping import Built, flow_lifted, held_efficiency

FloatArray = NDArray[np.float64]

HEIGHT_DOUBT_M = 0.3
"""What a height paced off by eye or with a hand level may be wrong by; ours [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Low, middle and high of one figure, SI; where it was measured all three are the same."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RoughRam:
    """What is known of the ram and its delivery pipe, SI.

    Parameters
    ----------
    flow_m3_s
        Drive flow [m3/s].
    length_m, inside_m, roughness_m
        Of the delivery pipe; inside diameter nan where not known [m].
    built
        Which published efficiencies apply.
    efficiency
        Measured efficiency, None where the tables must give it [1].
    """

    flow_m3_s: float
    length_m: float
    inside_m: float
    roughness_m: float
    built: Built
    efficiency: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifted:
    """Water lifted and the efficiency at which, friction and (lift + friction)/fall, SI."""

    delivered_m3_s: Spread
    efficiency: Spread
    loss_m: float
    ratio: float


def _loss(given: RoughRam, flow_m3_s: ArrayLike) -> FloatArray:
    viscosity = Water.at(WATER_TEMPERATURE_C).viscosity_m2_s
    return head_loss_m(
        flow_m3_s,
        length_m=given.length_m,
        inside_m=given.inside_m,
        roughness_m=given.roughness_m,
        viscosity_m2_s=viscosity,
    )


def _delivered(
    given: RoughRam,
    *,
    fall_m: ArrayLike,
    lift_m: ArrayLike,
    which: Literal["low", "middle", "high"],
) -> tuple[FloatArray, FloatArray]:
    """Return the water lifted and the efficiency at which; nan beyond the published range."""
    fall, lift = np.broadcast_arrays(np.asarray(fall_m, float), np.asarray(lift_m, float))

    def efficiency_at(ratio: FloatArray) -> FloatArray:
        if given.efficiency is not None:
            return np.full(ratio.shape, given.efficiency)
        return np.asarray(getattr(held_efficiency(ratio, fall, built=given.built), which))

    flow = flow_lifted(
        np.asarray(given.flow_m3_s),
        fall_m=fall,
        lift_m=lift,
        loss_at=lambda flow: _loss(given, flow),
        efficiency_at=efficiency_at,
    )
    ratio = (lift + _loss(given, flow)) / fall
    efficiency = efficiency_at(ratio)
    if given.efficiency is None:
        reached = (ratio <= GREATEST_RATIO) & (fall >= LEAST_FALL_M)
        flow, efficiency = np.where(reached, flow, np.nan), np.where(reached, efficiency, np.nan)
    return flow, efficiency


def water_lifted(given: RoughRam, *, fall_m: float, lift_m: float) -> Lifted | None:
    """Return the water lifted, None beyond the published range.

    Parameters
    ----------
    given
        The ram and its delivery pipe.
    fall_m, lift_m
        Positive, the lift greater than the fall [m].
    """
    found = {
        which: _delivered(given, fall_m=fall_m, lift_m=lift_m, which=which)
        for which in ("low", "middle", "high")
    }
    middle = float(found["middle"][0])
    if not math.isfinite(middle):
        return None
    low, high = (float(np.nan_to_num(found[which][0], nan=0.0)) for which in ("low", "high"))
    loss = float(_loss(given, middle))
    return Lifted(
        delivered_m3_s=Spread(low=low, middle=middle, high=high),
        efficiency=Spread(
            low=float(np.nan_to_num(found["low"][1], nan=0.0)),
            middle=float(found["middle"][1]),
            high=float(found["high"][1]),
        ),
        loss_m=loss,
        ratio=(lift_m + loss) / fall_m,
    )


def with_bore(given: RoughRam, *, fall_m: float, lift_m: float) -> tuple[RoughRam, Taken]:
    """Return the ram with the least published delivery bore for the most that could arrive.

    Parameters
    ----------
    given
        The ram and its delivery pipe.
    fall_m, lift_m
        Positive, the lift greater than the fall [m].

    Returns
    -------
    tuple of RoughRam and Taken
        The widest published bore where none is wide enough.
    """
    best = given.efficiency
    if best is None:
        ratio, fall = np.asarray(lift_m / fall_m), np.asarray(fall_m)
        best = float(held_efficiency(ratio, fall, built=given.built).high)
    flow = delivered_flow_m3_s(given.flow_m3_s, best, fall_m=fall_m, lift_m=lift_m)
    size = delivery_size_for(float(flow)) or DELIVERY_SIZES[-1]
    bored = replace(given, inside_m=size.inside_m)
    taken = Taken(
        key="delivery inside diameter", value_si=size.inside_m, unit="m", citation=size.citation
    )
    return bored, taken


def effects_of_heights(
    given: RoughRam, *, fall_m: float, lift_m: float, water: Lifted | None
) -> tuple[float | None, float | None]:
    """Return what an error of `HEIGHT_DOUBT_M` in fall or in lift does to the water.

    Parameters
    ----------
    given
        The ram and its delivery pipe.
    fall_m, lift_m
        As thought [m].
    water
        What is lifted by them.

    Returns
    -------
    tuple of float or None
        Share of the water gained or lost by the fall, and by the lift; 1 where it may be all of
        it [1].
    """
    if water is None or water.delivered_m3_s.middle <= 0:
        return None, None
    steps = np.array([-HEIGHT_DOUBT_M, HEIGHT_DOUBT_M])

    def most(*, falls: FloatArray, lifts: FloatArray) -> float:
        moved, _ = _delivered(given, fall_m=falls, lift_m=lifts, which="middle")
        change = np.abs(moved / water.delivered_m3_s.middle - 1)
        # Off the published range, or off the ground: all of the water is in doubt.
        return float(np.max(np.nan_to_num(change, nan=1.0)))

    smallest = 1e-6
    return (
        most(falls=np.maximum(fall_m + steps, smallest), lifts=np.full(2, lift_m)),
        most(falls=np.full(2, fall_m), lifts=np.maximum(lift_m + steps, smallest)),
    )
