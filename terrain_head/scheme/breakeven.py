"""The least flow, efficiency and fall with which the water wanted still arrives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.bracket import root_between
from terrain_head.scheme.pumping import Pump, or_none

FloatArray = NDArray[np.float64]
_FEED_STEPS = 400


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BreakEven:
    """Least values, each with all else as it is; None where unknown or none is enough.

    Parameters
    ----------
    flow_m3_s
        Of the source [m3/s].
    efficiency
        Of the ram [1].
    fall_m
        At the same lift and drive flow [m].
    """

    flow_m3_s: FloatArray | None = None
    efficiency: FloatArray | None = None
    fall_m: FloatArray | None = None


def breakeven_of(
    pump: Pump,
    wanted_m3_s: FloatArray,
    *,
    used_m3_s: FloatArray | None,
    fall_m: FloatArray,
    lift_m: FloatArray,
) -> BreakEven:
    """Return the break-even of a ram for the water wanted.

    Parameters
    ----------
    pump
        The ram.
    wanted_m3_s
        Water wanted in the tank [m3/s].
    used_m3_s
        Drive flow, None where it is not known [m3/s].
    fall_m, lift_m
        Fall and lift [m].
    """
    if not pump.can_charge:
        return BreakEven()
    head_m = np.asarray(lift_m + pump.charged_loss(wanted_m3_s))
    work = np.asarray(wanted_m3_s * head_m)
    if not np.any(head_m > 0):
        return BreakEven()
    flow = least_flow(pump, work, head_m=head_m) if pump.has_efficiency else None
    if used_m3_s is None:
        return BreakEven(flow_m3_s=flow)
    with np.errstate(divide="ignore", invalid="ignore"):
        runs = (used_m3_s >= wanted_m3_s) & (used_m3_s > 0) & (fall_m > 0)
        efficiency = np.where(runs, work / (used_m3_s * fall_m), np.nan)
    return BreakEven(
        flow_m3_s=flow,
        efficiency=or_none(efficiency),
        fall_m=least_fall(pump, work, head_m=head_m, used_m3_s=used_m3_s)
        if pump.has_efficiency
        else None,
    )


def least_flow(pump: Pump, work: FloatArray, *, head_m: FloatArray) -> FloatArray | None:
    """Return the least flow of the source.

    Parameters
    ----------
    pump
        The ram.
    work
        Water wanted times the head it is lifted [m4/s].
    head_m
        Lift with the losses that are charged [m].

    Returns
    -------
    FloatArray or None
        Nan where no flow is enough: the feed pipe or the rams can't take it [m3/s].
    """
    layout, count = pump.layout, pump.ram.count
    drive = np.zeros(work.shape)
    settled = np.zeros(work.shape, bool)
    with np.errstate(divide="ignore", invalid="ignore"):
        # From below each step stays below the answer: the feed's loss grows with the flow.
        for _ in range(_FEED_STEPS):
            fall_m = np.maximum(pump.fall_at(drive), 0.0)
            efficiency = pump.published(np.asarray(head_m / fall_m), fall_m).middle
            following = np.asarray(work / (efficiency * fall_m))
            settled = np.abs(following - drive) <= 1e-14 * np.abs(following)
            drive = following
            if np.all(settled | ~np.isfinite(following)):
                break
    drive = np.where(settled & np.isfinite(drive) & (head_m > 0), drive, np.nan)
    # However low the lift, no more can come than goes in.
    drive = np.maximum(drive, work / head_m)
    if layout.ram_flow_least_m3_s is not None:
        drive = np.maximum(drive, count * layout.ram_flow_least_m3_s)
    for most in (layout.ram_flow_m3_s, layout.ram_flow_most_m3_s):
        if most is not None:
            drive = np.where(drive <= count * most, drive, np.nan)
    return or_none(drive / layout.share)


def least_fall(
    pump: Pump, work: FloatArray, *, head_m: FloatArray, used_m3_s: FloatArray
) -> FloatArray | None:
    """Return the least fall at the same lift and drive flow.

    Parameters
    ----------
    pump
        The ram.
    work
        Water wanted times the head it is lifted [m4/s].
    head_m
        Lift with the losses that are charged [m].
    used_m3_s
        Drive flow [m3/s].

    Returns
    -------
    FloatArray or None
        Nan where no fall below the lift is enough [m].
    """

    def surplus(fall_m: FloatArray) -> FloatArray:
        efficiency = pump.efficiency_at(np.asarray(head_m / fall_m), fall_m)
        return np.asarray(efficiency * used_m3_s * fall_m - work)

    shape = np.broadcast_shapes(head_m.shape, used_m3_s.shape, pump.still_fall_m.shape)
    high = np.broadcast_to(head_m, shape)
    fall_m = root_between(surplus, low=high * 1e-6, high=high)
    known = pump.published(np.asarray(head_m / fall_m), fall_m).within_range
    known = known & (used_m3_s * head_m >= work)
    return or_none(np.where(known, fall_m, np.nan))
