"""How a ram answers: from drive flow, fall and lift to the water that arrives."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.formulas.ram_efficiency import rankine_efficiency
from terrain_head.formulas.ram_tables import (
    GREATEST_RATIO,
    LEAST_FALL_M,
    LEAST_RATIO,
    EfficiencyRange,
    table_efficiency,
)
from terrain_head.scheme.bracket import root_between
from terrain_head.scheme.ends import RAM
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import all_bores_known, line_from
from terrain_head.scheme.parts import Ram
from terrain_head.scheme.pipe_flow import Water, loss_of

FloatArray = NDArray[np.float64]
Built = Literal["bought", "home"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pumped:
    """Water lifted, and what came out beside it.

    Parameters
    ----------
    delivered_m3_s
        Water that arrives; nan where the published range does not reach [m3/s].
    loss_m
        Loss of the delivery, None where a bore is not known [m].
    ratio
        Lift, charged losses included, by fall [1].
    efficiency
        The ram's efficiency and its spread [1].
    rankine
        The same work by Rankine's figure [1].
    """

    delivered_m3_s: FloatArray
    loss_m: FloatArray | None
    ratio: FloatArray
    efficiency: EfficiencyRange
    rankine: FloatArray


def held_efficiency(ratio: FloatArray, fall_m: FloatArray, *, built: Built) -> EfficiencyRange:
    """Return the published efficiency for a solver: beyond the tables their last figure is held.

    Parameters
    ----------
    ratio
        (Lift + losses) / fall [1].
    fall_m
        Fall [m].
    built
        Which published efficiencies apply.
    """
    return table_efficiency(
        np.clip(ratio, LEAST_RATIO, GREATEST_RATIO),
        built=built,
        fall_m=np.maximum(fall_m, LEAST_FALL_M),
    )


def flow_lifted(
    used_m3_s: FloatArray,
    *,
    fall_m: FloatArray,
    lift_m: FloatArray,
    loss_at: Callable[[FloatArray], FloatArray],
    efficiency_at: Callable[[FloatArray], FloatArray],
) -> FloatArray:
    """Return the flow q that solves ``q (lift + losses(q)) = efficiency Q fall``.

    Parameters
    ----------
    used_m3_s
        Drive flow, 0 where the rams stop [m3/s].
    fall_m, lift_m
        Fall at that flow, and lift; they spread over each other [m].
    loss_at
        Gives the losses that are charged at a flow [m].
    efficiency_at
        Gives the efficiency at a ratio of (lift + losses) to fall [1].

    Returns
    -------
    FloatArray
        Flow lifted: never more than the drive flow, 0 where there is no fall or no flow [m3/s].
    """

    def surplus(flow: FloatArray) -> FloatArray:
        head_m = lift_m + loss_at(flow)
        with np.errstate(divide="ignore", invalid="ignore"):
            efficiency = efficiency_at(np.asarray(head_m / fall_m))
        return np.asarray(flow * head_m - efficiency * used_m3_s * fall_m)

    works = np.asarray((fall_m > 0) & (used_m3_s > 0))
    shape = np.broadcast_shapes(works.shape, lift_m.shape, surplus(used_m3_s).shape)
    most = np.broadcast_to(used_m3_s, shape)
    root = root_between(surplus, low=np.zeros(shape), high=most)
    # A lift below the fall times the efficiency would take more water than there is.
    return np.where(works, np.where(surplus(most) < 0, most, root), 0.0)


class Pump:
    """A ram between its feed and its delivery."""

    def __init__(self, layout: Layout, ram: Ram, *, water: Water, still_fall_m: FloatArray) -> None:
        self.layout = layout
        self.ram = ram
        self.water = water
        self.still_fall_m = np.asarray(still_fall_m)
        self.feed = tuple(layout.pipes[name] for name in ram.feed if name in layout.pipes)
        self.delivery = line_from(layout, RAM, role="delivery")
        self.whole_line = ram.efficiency_of == "whole line" and layout.ram_efficiency is not None

    @property
    def has_efficiency(self) -> bool:
        """Whether anything gives its efficiency."""
        return self.layout.ram_efficiency is not None or self.ram.built is not None

    @property
    def can_charge(self) -> bool:
        """Whether the losses that are to be charged are known."""
        return self.whole_line or (bool(self.delivery) and all_bores_known(self.delivery))

    def fall_at(self, used: FloatArray | None) -> FloatArray:
        """Return the fall left when the feed pipes carry the drive flow [m]."""
        if used is None or not all_bores_known(self.feed):
            return self.still_fall_m
        return np.asarray(self.still_fall_m - _loss(self.feed, used, self.water))

    def delivery_loss(self, flow: FloatArray) -> FloatArray:
        """Return the loss of the whole delivery at a flow [m]."""
        return _loss(self.delivery, flow, self.water)

    def charged_loss(self, flow: FloatArray) -> FloatArray:
        """Return the loss that the ram's efficiency does not hold already [m]."""
        if self.whole_line:
            return np.zeros(())
        return self.delivery_loss(flow)

    def efficiency_at(self, ratio: FloatArray, fall_m: FloatArray) -> FloatArray:
        """Return the efficiency for a solver: beyond the tables their last figure is held [1]."""
        if self.layout.ram_efficiency is not None or self.ram.built is None:
            return self.published(ratio, fall_m).middle
        return self.departed(held_efficiency(ratio, fall_m, built=self.ram.built)).middle

    def departed(self, table: EfficiencyRange) -> EfficiencyRange:
        """Return the published efficiency, its middle moved as the layout's values ask."""
        departure = self.layout.values.efficiency_departure
        if departure is None:
            return table
        toward = np.where(departure > 0, table.high - table.middle, table.middle - table.low)
        return replace(table, middle=np.maximum(table.middle + departure * toward, 0.0))

    def published(self, ratio: FloatArray, fall_m: FloatArray) -> EfficiencyRange:
        """Return the efficiency with its spread, nan beyond the published range [1]."""
        measured = self.layout.ram_efficiency
        if measured is None and self.ram.built is not None:
            return self.departed(table_efficiency(ratio, built=self.ram.built, fall_m=fall_m))
        middle = np.asarray(np.nan if measured is None else measured)
        return EfficiencyRange(
            middle=middle,
            low=middle,
            high=middle,
            citations=(),
            sources_disagree=np.zeros((), bool),
            within_range=np.isfinite(middle),
        )

    def lift(self, used: FloatArray, *, fall_m: FloatArray, lift_m: FloatArray) -> Pumped | None:
        """Return the water lifted.

        Parameters
        ----------
        used
            Drive flow of all rams, 0 where they stop [m3/s].
        fall_m, lift_m
            Fall at that flow, and lift [m].

        Returns
        -------
        Pumped or None
            None where bore or efficiency are missing, or the tables reach none of the draws.
        """
        if not (self.has_efficiency and self.can_charge):
            return None

        works = np.asarray((fall_m > 0) & (used > 0))
        flow = flow_lifted(
            used,
            fall_m=fall_m,
            lift_m=lift_m,
            loss_at=self.charged_loss,
            efficiency_at=lambda ratio: self.efficiency_at(ratio, fall_m),
        )
        head_m = lift_m + self.charged_loss(flow)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.asarray(np.where(fall_m > 0, head_m / fall_m, np.nan))
            efficiency = self.published(ratio, fall_m)
            rankine = rankine_efficiency(flow, used, lift_m=head_m, fall_m=fall_m)
        if not np.any(efficiency.within_range):
            return None
        known = np.isfinite(efficiency.middle)
        return Pumped(
            delivered_m3_s=np.where(known, flow, np.where(works, np.nan, 0.0)),
            loss_m=self.delivery_loss(flow) if all_bores_known(self.delivery) else None,
            ratio=ratio,
            efficiency=efficiency,
            rankine=np.where(known & works, rankine, np.nan),
        )


def _loss(line: Sequence[Pipe], flow: FloatArray, water: Water) -> FloatArray:
    losses = [loss_of(pipe, flow, water=water) for pipe in line]
    return np.asarray(sum(losses, np.zeros(())))


def or_none(values: FloatArray) -> FloatArray | None:
    """Return the values, None where none of them is known."""
    return np.asarray(values) if np.any(np.isfinite(values)) else None
