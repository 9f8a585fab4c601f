"""The ram at work: fall, lift, and the water that arrives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypedDict

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.citation import Citation
from terrain_head.scheme.breakeven import BreakEven, breakeven_of
from terrain_head.scheme.ends import node_of
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.lines import all_bores_known, crest_over, let_go_m, tank_at
from terrain_head.scheme.pipe_flow import Water, grade_line
from terrain_head.scheme.pumping import Pump, Pumped, or_none
from terrain_head.scheme.solution import HydraulicGradeLine, RamResult

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RamWork:
    """What the ram and its pipes do.

    Parameters
    ----------
    result
        The ram's result.
    tank
        Name of the tank it fills, None for an open end.
    lift_level_m
        Level over which it lifts, None where not known [m].
    lines
        Hydraulic grade line of each feed and delivery pipe, by its name.
    not_asked
        What could not be answered.
    valve_level_m
        Level against which fall and lift count [m].
    """

    result: RamResult
    valve_level_m: FloatArray
    tank: str | None
    lift_level_m: FloatArray | None
    lines: dict[str, HydraulicGradeLine]
    not_asked: tuple[str, ...]


def work_of(layout: Layout, *, water: Water) -> RamWork | None:
    """Return the work of the ram, None without a ram or without a source.

    Parameters
    ----------
    layout
        The scheme on its ground.
    water
        The water.

    Notes
    -----
    The rams take `count` times the stated flow of one, never more than the source's flow times
    its share, and never more than `flow_most_m3_s` each. One that gets less than
    `flow_least_m3_s` stops: nothing is delivered and everything passes by.
    The fall is the source's level less the loss of the feed pipes at that flow, minus the waste
    valve's level. The delivered flow q solves ``q (lift + losses(q)) = efficiency Q fall``; the
    table of efficiencies is entered with ``(lift + losses) / fall``. If the efficiency was
    measured over the whole line, its losses are in it and are not charged again.
    """
    ram = layout.ram
    if ram is None or layout.source_level_m is None or layout.valve_level_m is None:
        return None
    pump = Pump(layout, ram, water=water, still_fall_m=layout.source_level_m - layout.valve_level_m)
    return _work(pump, valve_level_m=layout.valve_level_m)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Drive:
    """Where the source's water goes; None where not known [m3/s]."""

    available: FloatArray | None
    used: FloatArray | None
    passed_by: FloatArray | None
    stopped: NDArray[np.bool_] | None


def _work(pump: Pump, *, valve_level_m: FloatArray) -> RamWork:
    layout = pump.layout
    drive = _drive_flow(pump)
    tank = _tank_of(pump)
    fall_m = pump.fall_at(drive.used)
    end_m = _end_level(pump, tank)
    crests: list[FloatArray] = []
    lift_m = level_m = None
    summit_rules = False
    pumped: Pumped | None = None
    even = BreakEven()
    lines = _feed_lines(pump, drive.used)
    if end_m is not None:
        crests = crest_over(pump.delivery, end_m=end_m)
        level_m = crests[0][..., 0] if crests else end_m
        lift_m = np.asarray(level_m - valve_level_m)
        summit_rules = bool(np.mean(level_m > end_m) > 0.5)
        if drive.used is not None:
            pumped = pump.lift(drive.used, fall_m=fall_m, lift_m=lift_m)
        wanted = next((t.needed_m3_s for t in layout.tanks if t.name == tank), None)
        if wanted is not None:
            even = breakeven_of(
                pump,
                np.asarray(wanted.value),
                used_m3_s=drive.used,
                fall_m=fall_m,
                lift_m=lift_m,
            )
        if pumped is not None:
            lines.update(_delivery_lines(pump, pumped.delivered_m3_s, crests=crests))
    return RamWork(
        result=RamResult(
            fall_m=fall_m,
            lift_m=lift_m,
            summit_rules=summit_rules,
            available_m3_s=drive.available,
            used_m3_s=drive.used,
            passed_by_m3_s=drive.passed_by,
            stopped=drive.stopped,
            breakeven_flow_m3_s=even.flow_m3_s,
            breakeven_efficiency=even.efficiency,
            breakeven_fall_m=even.fall_m,
            **_pumped_fields(pump, pumped, drive.used),
        ),
        valve_level_m=valve_level_m,
        tank=tank,
        lift_level_m=level_m,
        lines=lines,
        not_asked=_not_asked(pump, drive, fall_m=fall_m, end_m=end_m, pumped=pumped),
    )


def _tank_of(pump: Pump) -> str | None:
    """Return the tank that the ram fills; where no delivery pipe leads on, the only one."""
    layout = pump.layout
    if pump.delivery:
        return tank_at(layout, pump.delivery[-1].downstream)
    if len(layout.tanks) == 1:
        return layout.tanks[0].name
    stated = next((run for run in layout.parts.pipes if run.name == pump.ram.delivery), None)
    ends = () if stated is None else (stated.start, stated.end)
    tanks = [tank_at(layout, node_of(end, parts=layout.parts)) for end in ends]
    return next((tank for tank in tanks if tank is not None), None)


def _end_level(pump: Pump, tank: str | None) -> FloatArray | None:
    """Return the level where the delivery lets go of its water."""
    if tank is not None:
        return let_go_m(pump.layout, tank)
    return pump.delivery[-1].downstream_m if pump.delivery else None


def _drive_flow(pump: Pump) -> _Drive:
    """Return what may be taken, what the rams take, what passes by, and whether they stop."""
    layout, count = pump.layout, pump.ram.count
    source = layout.source_flow_m3_s
    available = None if source is None else np.asarray(source * layout.share)
    if layout.ram_flow_m3_s is None and available is None:
        return _Drive(available=None, used=None, passed_by=None, stopped=None)
    limits = [
        np.asarray(count * flow)
        for flow in (layout.ram_flow_m3_s, layout.ram_flow_most_m3_s)
        if flow is not None
    ]
    if available is not None:
        limits.append(available)
    used = np.asarray(np.minimum.reduce(np.broadcast_arrays(*limits)))
    least = layout.ram_flow_least_m3_s
    stopped = np.zeros(used.shape, bool) if least is None else np.asarray(used < count * least)
    used = np.where(stopped, 0.0, used)
    return _Drive(
        available=available,
        used=used,
        passed_by=None if available is None else np.asarray(available - used),
        stopped=stopped,
    )


class _PumpedFields(TypedDict):
    delivered_m3_s: FloatArray | None
    wasted_m3_s: FloatArray | None
    delivery_loss_m: FloatArray | None
    head_ratio: FloatArray | None
    efficiency: FloatArray | None
    efficiency_low: FloatArray | None
    efficiency_high: FloatArray | None
    rankine: FloatArray | None
    efficiency_origin: Literal["measured", "table"] | None
    efficiency_citations: tuple[Citation, ...]
    sources_disagree: bool


def _pumped_fields(pump: Pump, pumped: Pumped | None, used: FloatArray | None) -> _PumpedFields:
    if pumped is None or used is None:
        return _PumpedFields(
            delivered_m3_s=None,
            wasted_m3_s=None,
            delivery_loss_m=None,
            head_ratio=None,
            efficiency=None,
            efficiency_low=None,
            efficiency_high=None,
            rankine=None,
            efficiency_origin=None,
            efficiency_citations=(),
            sources_disagree=False,
        )
    return _PumpedFields(
        delivered_m3_s=pumped.delivered_m3_s,
        wasted_m3_s=np.asarray(used - pumped.delivered_m3_s),
        delivery_loss_m=pumped.loss_m,
        head_ratio=or_none(pumped.ratio),
        efficiency=pumped.efficiency.middle,
        efficiency_low=pumped.efficiency.low,
        efficiency_high=pumped.efficiency.high,
        rankine=or_none(pumped.rankine),
        efficiency_origin="table" if pump.layout.ram_efficiency is None else "measured",
        efficiency_citations=pumped.efficiency.citations,
        sources_disagree=bool(np.any(pumped.efficiency.sources_disagree)),
    )


def _feed_lines(pump: Pump, used: FloatArray | None) -> dict[str, HydraulicGradeLine]:
    """Return the hydraulic grade lines of the feed pipes."""
    lines: dict[str, HydraulicGradeLine] = {}
    head_m = pump.layout.source_level_m
    if used is None or head_m is None or not all_bores_known(pump.feed):
        return lines
    for pipe in pump.feed:
        lines[pipe.name] = grade_line(pipe, used, upstream_head_m=head_m, water=pump.water)
        head_m = lines[pipe.name].downstream_head_m
    return lines


def _delivery_lines(
    pump: Pump, delivered: FloatArray, *, crests: Sequence[FloatArray]
) -> dict[str, HydraulicGradeLine]:
    """Return the hydraulic grade lines of the delivery pipes.

    Behind a summit that stands above the tank's inlet the water runs down with the ground: what
    it was lifted too high is given back there.
    """
    lines: dict[str, HydraulicGradeLine] = {}
    if not crests or not all_bores_known(pump.delivery):
        return lines
    above_m = crests[0][..., 0]
    head_m = np.asarray(above_m + pump.delivery_loss(delivered))
    for pipe, crest_m in zip(pump.delivery, crests, strict=True):
        lines[pipe.name] = grade_line(
            pipe,
            delivered,
            upstream_head_m=head_m,
            water=pump.water,
            given_back_m=above_m[..., None] - crest_m,
        )
        head_m, above_m = lines[pipe.name].downstream_head_m, crest_m[..., -1]
    return lines


def _not_asked(
    pump: Pump,
    drive: _Drive,
    *,
    fall_m: FloatArray,
    end_m: FloatArray | None,
    pumped: Pumped | None,
) -> tuple[str, ...]:
    keys = []
    if drive.used is None:
        keys.append("flow")
    if end_m is None:
        keys.append("tank")
    if not pump.delivery and not pump.whole_line:
        keys.append(f"pipe.{pump.ram.delivery}")
    asked = pump.can_charge and end_m is not None and drive.used is not None
    asked = asked and bool(np.any(fall_m > 0))
    if not pump.has_efficiency or (asked and pumped is None):
        keys.append("ram.efficiency")
    return tuple(keys)
