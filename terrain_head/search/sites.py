"""What each pair of ram spot and tank spot under one spring comes to, and which are worth showing.

Heights count as in the study: fall from the water at the intake to the waste valve, lift from the
waste valve to where the delivery lets go of its water.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

from terrain_head.base.display import LIKELY
from terrain_head.formulas.drive_pipe import DRIVE_RULES, LEAST_FALL_M
from terrain_head.formulas.friction import head_loss_m
from terrain_head.formulas.ram_tables import GREATEST_RATIO
from terrain_head.formulas.ram_tables import LEAST_FALL_M as LEAST_TABLE_FALL_M
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.pumping import Built, flow_lifted, held_efficiency

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

_OF_FALL = [rule for rule in DRIVE_RULES if rule.about == "length/fall"]
LEAST_PER_FALL = min(rule.low for rule in _OF_FALL if rule.low is not None)
GREATEST_PER_FALL = max(rule.high for rule in _OF_FALL if rule.high is not None)
"""Shortest and longest drive pipe by its fall that any of the published rules allows [1]."""

GREATEST_STAND_M = 6.0
"""A taller stand than the study's own is not proposed above this; ours [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteGivens:
    """What holds wherever ram and tank stand, SI.

    Parameters
    ----------
    water_m
        Water level at the intake [m].
    flow_m3_s, flow_std_m3_s
        What the ram may take, and its standard error [m3/s].
    valve_above_m
        Waste valve above the ground [m].
    stand_m
        The least height of the deck [m].
    inlet_m, lowest_m
        Tank's inlet, and its lowest useful water, above the deck [m].
    level_needed_m
        Water level that the worst outlet needs, its pipe's loss left out; None without one [m].
    inside_m, roughness_m
        Of the delivery pipe [m].
    built, efficiency
        As in the study; one of them is given [1].
    needed_m3_s
        Water wanted in the tank, None where nobody said [m3/s].
    temperature_c
        Temperature of the water [C].
    """

    water_m: float
    flow_m3_s: float
    flow_std_m3_s: float = 0.0
    valve_above_m: float = 0.0
    stand_m: float = 0.0
    inlet_m: float = 0.0
    lowest_m: float = 0.0
    level_needed_m: float | None = None
    inside_m: float
    roughness_m: float
    built: Built | None = "bought"
    efficiency: float | None = None
    needed_m3_s: float | None = None
    temperature_c: float = 10.0

    @property
    def viscosity_m2_s(self) -> float:
        """Viscosity of the water [m2/s]."""
        return Water.at(self.temperature_c).viscosity_m2_s


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sites:
    """Pairs of ram spot and tank spot, each array of shape (n,).

    Parameters
    ----------
    ram, tank
        Numbers of the two spots.
    fall_m, lift_m, stand_m
        Fall, lift, and the deck above ground that is needed [m].
    drive_m, delivery_m
        Straight lengths; where `lengths_known` is false the heights alone bound them from
        below [m].
    delivered_m3_s, efficiency
        Water at the tank [m3/s], and the ram's efficiency [1].
    efficiency_std
        Its standard error as the tables spread, 0 where it was measured [1].
    lengths_known
        Whether both lengths are known.
    """

    ram: IndexArray
    tank: IndexArray
    fall_m: FloatArray
    lift_m: FloatArray
    stand_m: FloatArray
    drive_m: FloatArray
    delivery_m: FloatArray
    delivered_m3_s: FloatArray
    efficiency: FloatArray
    efficiency_std: FloatArray
    lengths_known: BoolArray

    def __len__(self) -> int:
        return len(self.ram)

    def take(self, index: NDArray[np.generic]) -> Sites:
        """Return some of them, in the order asked for."""
        return Sites(**{field.name: getattr(self, field.name)[index] for field in fields(self)})


def rate_sites(
    givens: SiteGivens,
    *,
    ram: IndexArray,
    tank: IndexArray,
    ram_m: FloatArray,
    tank_m: FloatArray,
    drive_m: FloatArray,
    delivery_m: FloatArray,
) -> Sites:
    """Return what pairs of spots come to; those where no ram would work are left out.

    Parameters
    ----------
    givens
        What holds for all.
    ram, tank
        Numbers of the spots of each pair, shape (n,).
    ram_m, tank_m
        Height of the ground at both, shape (n,) [m].
    drive_m, delivery_m
        Straight lengths of both pipes, nan where not known, shape (n,) [m].

    Returns
    -------
    Sites
        Left out are: a fall of less than 0.5 m (1 m where the published tables give the
        efficiency), a lift no greater than the fall, (lift + loss)/fall beyond the tables, a
        drive pipe that no published rule allows, a stand of more than 6 m, and no water.
    """
    valve = ram_m + givens.valve_above_m
    fall = givens.water_m - valve
    wanted = givens.stand_m
    stand = np.full(len(tank), wanted)
    if givens.level_needed_m is not None:
        stand = np.maximum(stand, givens.level_needed_m - givens.lowest_m - tank_m)
    lift = tank_m + stand + givens.inlet_m - valve
    known = np.isfinite(drive_m) & np.isfinite(delivery_m)
    drive = np.where(np.isfinite(drive_m), drive_m, np.maximum(fall, 0.0))
    delivery = np.where(np.isfinite(delivery_m), delivery_m, np.abs(tank_m - ram_m))
    per_fall = np.divide(drive, fall, out=np.full(len(fall), np.inf), where=fall > 0)
    least = LEAST_FALL_M if givens.efficiency is not None else LEAST_TABLE_FALL_M
    good = (fall >= least) & (lift > fall) & (per_fall <= GREATEST_PER_FALL)
    good &= (per_fall >= LEAST_PER_FALL) | ~np.isfinite(drive_m)
    good &= stand <= max(GREATEST_STAND_M, givens.stand_m)
    at = np.flatnonzero(good)
    flow, middle, std, ratio = _water(givens, fall[at], lift_m=lift[at], length_m=delivery[at])
    works = (flow > 0) & ((ratio <= GREATEST_RATIO) | (givens.efficiency is not None))
    at = at[works]
    return Sites(
        ram=ram[at], tank=tank[at], fall_m=fall[at], lift_m=lift[at], stand_m=stand[at],
        drive_m=drive[at], delivery_m=delivery[at], delivered_m3_s=flow[works],
        efficiency=middle[works], efficiency_std=std[works], lengths_known=known[at],
    )  # fmt: skip


def _water(
    givens: SiteGivens, fall: FloatArray, *, lift_m: FloatArray, length_m: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return water, efficiency, its standard error, and (lift + loss)/fall."""

    def loss(flow: FloatArray) -> FloatArray:
        return head_loss_m(
            flow, length_m=length_m, inside_m=givens.inside_m, roughness_m=givens.roughness_m,
            viscosity_m2_s=givens.viscosity_m2_s,
        )  # fmt: skip

    def efficiency(ratio: FloatArray) -> FloatArray:
        if givens.efficiency is not None or givens.built is None:
            return np.full(ratio.shape, givens.efficiency or 0.0)
        return held_efficiency(ratio, fall, built=givens.built).middle

    flow = flow_lifted(
        np.asarray(givens.flow_m3_s), fall_m=fall, lift_m=lift_m, loss_at=loss,
        efficiency_at=efficiency,
    )  # fmt: skip
    ratio = np.asarray((lift_m + loss(flow)) / fall)
    std = np.zeros(len(fall))
    if givens.efficiency is None and givens.built is not None:
        table = held_efficiency(ratio, fall, built=givens.built)
        std = (table.high - np.maximum(table.low, 0.0)) / (2 * LIKELY)
    return flow, efficiency(ratio), std, ratio


def costs_of(sites: Sites) -> FloatArray:
    """Return in what sites compete, less is better: water, both lengths, stand, shape (n, 4)."""
    return np.column_stack([-sites.delivered_m3_s, sites.drive_m, sites.delivery_m, sites.stand_m])


def water_std(givens: SiteGivens, sites: Sites, *, heights_m2: FloatArray) -> FloatArray:
    """Return the standard error of the water at the tank, to first order, shape (n,) [m3/s].

    Parameters
    ----------
    givens
        What holds for all.
    sites
        The sites.
    heights_m2
        Covariance of the heights of intake, ram and tank at each, nan where not known, shape
        (n, 3, 3) [m2].

    Notes
    -----
    ``dq/q = dQ/Q + de/e + dH/H - dh/h``; the change of efficiency and friction with the ratio is
    left out. The ram's own height is in the fall and in the lift.
    """
    fall, lift = sites.fall_m, sites.lift_m
    weights = np.stack([1 / fall, 1 / lift - 1 / fall, -1 / lift], axis=-1)
    heights = np.einsum("ni,nij,nj->n", weights, heights_m2, weights)
    flow = (givens.flow_std_m3_s / givens.flow_m3_s) ** 2
    own = (sites.efficiency_std / sites.efficiency) ** 2
    return np.asarray(sites.delivered_m3_s * np.sqrt(np.maximum(heights, 0.0) + flow + own))


def chance_met(sites: Sites, *, needed_m3_s: float, std_m3_s: FloatArray) -> FloatArray:
    """Return the chance that the need is met, nan where the doubt is not known, shape (n,).

    Parameters
    ----------
    sites
        The sites.
    needed_m3_s
        Water wanted [m3/s].
    std_m3_s
        Standard error of the water at each [m3/s].
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(norm.cdf((sites.delivered_m3_s - needed_m3_s) / std_m3_s))
