"""What the water does: the result of the one solver.

Scalars are arrays of shape () or (draws,); along a pipe stations are last, (n,) or (draws, n).
A value that the study's data do not reach is None.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.citation import Citation
from terrain_head.scheme.layout import Layout

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HydraulicGradeLine:
    """Head along one pipe in the direction of flow; total head never rises along it.

    Stations are those of the pipe's ground profile; the heads stand in the buried pipe, so the
    riser at an end lies beyond the first or last of them.

    Parameters
    ----------
    flow_m3_s, velocity_m_s
        Flow and mean velocity [m3/s], [m/s].
    total_head_m, grade_m
        Total head and hydraulic grade line at each station [m].
    pressure_head_m
        Hydraulic grade line minus pipe [m].
    upstream_head_m, downstream_head_m
        Total head at the end nodes, outside entrance and risers [m].
    head_loss_m
        Whole loss between the end nodes, risers, fittings, entrance and exit included [m].
    head_loss_hazen_williams_m
        The same by Hazen-Williams, for comparison [m].
    group
        Name of the outlets that run together in this case, None for a pipe that knows no groups.
    """

    flow_m3_s: FloatArray
    velocity_m_s: FloatArray
    total_head_m: FloatArray
    grade_m: FloatArray
    pressure_head_m: FloatArray
    upstream_head_m: FloatArray
    downstream_head_m: FloatArray
    head_loss_m: FloatArray
    head_loss_hazen_williams_m: FloatArray
    group: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PipeResult:
    """One pipe's answer.

    Parameters
    ----------
    flow_m3_s, velocity_m_s
        Flow and mean velocity in its worst running case; of a drive pipe the mean over the beats
        of one ram [m3/s], [m/s].
    static_m
        Level of still water over the pipe: full tank, or source; one per pipe [m].
    max_static_pa
        Greatest static pressure along it [Pa].
    running
        Its worst running case (tank at its lowest level, of the groups for which water runs in it
        the one that leaves least head); None for a drive pipe, or where flow or bore is not known.
    running_full
        The same with the tank full.
    min_clearance_m
        Least height of the hydraulic grade line over the pipe in any case (at the lowest level,
        whichever group runs), None where the ground between the ends is not known [m].
    min_clearance_station_m
        Where that is [m].
    """

    static_m: FloatArray | None
    max_static_pa: FloatArray | None
    running: HydraulicGradeLine | None
    running_full: HydraulicGradeLine | None
    min_clearance_m: FloatArray | None
    min_clearance_station_m: FloatArray | None
    flow_m3_s: FloatArray | None = None
    velocity_m_s: FloatArray | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RamResult:
    """The ram at work; flows are of all rams together [m3/s].

    Parameters
    ----------
    fall_m, lift_m
        Fall on the drive pipe, and lift over the highest of inlet, full level and summit [m].
    summit_rules
        Whether the delivery pipe's summit stands above the tank's inlet, so that it sets the lift.
    available_m3_s
        What may be taken from the source [m3/s].
    used_m3_s, delivered_m3_s, wasted_m3_s
        Drive flow, water at the tank, water spilled at the ram [m3/s].
    passed_by_m3_s
        What may be taken but is more than the rams take [m3/s].
    stopped
        Whether the flow is below the least the ram needs.
    delivery_loss_m
        Friction and fittings of the delivery pipe at that flow [m].
    head_ratio
        (lift + losses) / fall [1].
    efficiency, efficiency_low, efficiency_high
        The ram's own efficiency, and the spread of the published sources [1].
    rankine
        The same work by Rankine's figure [1].
    efficiency_origin
        ``measured``, ``table``, or None where nothing gives it.
    efficiency_citations
        The tables it came from.
    sources_disagree
        Whether the published sources differ by more than their own spread.
    breakeven_flow_m3_s, breakeven_efficiency, breakeven_fall_m
        The least source flow, efficiency and fall at which the water wanted still arrives [m3/s],
        [1], [m]; None where none is asked.
    """

    fall_m: FloatArray
    lift_m: FloatArray | None
    summit_rules: bool
    available_m3_s: FloatArray | None
    used_m3_s: FloatArray | None
    delivered_m3_s: FloatArray | None
    wasted_m3_s: FloatArray | None
    passed_by_m3_s: FloatArray | None
    stopped: NDArray[np.bool_] | None
    delivery_loss_m: FloatArray | None
    head_ratio: FloatArray | None
    efficiency: FloatArray | None
    efficiency_low: FloatArray | None
    efficiency_high: FloatArray | None
    rankine: FloatArray | None
    efficiency_origin: Literal["measured", "table"] | None
    efficiency_citations: tuple[Citation, ...]
    sources_disagree: bool
    breakeven_flow_m3_s: FloatArray | None
    breakeven_efficiency: FloatArray | None
    breakeven_fall_m: FloatArray | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TankResult:
    """One tank: levels [m], volumes of all its tanks together [m3], mass of the full water [kg]."""

    deck_m: FloatArray
    full_level_m: FloatArray
    lowest_level_m: FloatArray
    inlet_level_m: FloatArray
    volume_m3: FloatArray | None
    useful_m3: FloatArray | None
    inflow_m3_s: FloatArray | None
    fill_time_s: FloatArray | None
    weight_full_kg: FloatArray | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutletResult:
    """One outlet in the worst of the groups it runs in; pressures at the height of the outlet [Pa].

    Parameters
    ----------
    level_m
        Elevation of the outlet [m].
    static_full_pa, static_low_pa
        Nothing flowing; tank full, tank at its lowest useful level [Pa].
    running_full_pa, running_low_pa
        Just before its valve while its group runs [Pa].
    enough
        Whether the running pressure at the lowest level meets the need; None where none is stated.
    stand_needed_m
        Least stand at which it would; None where not stated or no stand carries it [m].
    group
        The group that gives the least pressure.
    fed_by
        Name of the tank, ``source``, or the node where its line begins else.
    flow_m3_s
        What it draws in the worst of its groups: the stated flow, or what comes out of an opening;
        None where neither is known [m3/s].
    """

    level_m: FloatArray
    static_full_pa: FloatArray | None
    static_low_pa: FloatArray | None
    running_full_pa: FloatArray | None
    running_low_pa: FloatArray | None
    enough: NDArray[np.bool_] | None
    stand_needed_m: FloatArray | None
    group: str | None
    fed_by: str | None
    flow_m3_s: FloatArray | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StandSweep:
    """What each height of the stand gives: each metre of stand is a metre of lift.

    Parameters
    ----------
    tank
        Name of the tank that is raised.
    stand_m
        Heights, shape (k,) [m].
    running_low_pa
        Running pressure of each outlet, shape (k,) [Pa].
    inflow_m3_s
        Water that arrives, shape (k,), None where not known [m3/s].
    """

    tank: str
    stand_m: FloatArray
    running_low_pa: Mapping[str, FloatArray]
    inflow_m3_s: FloatArray | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solution:
    """The whole answer of the solver, pipes, tanks and outlets by name.

    Parameters
    ----------
    gravity_capacity_m3_s
        For each pipe of role ``gravity``: what it would carry running full, by its name
        [m3/s].
    not_asked
        What could not be answered for want of data, by fixed key words: ``source``, ``flow`` (of
        the source), ``tank``, ``outlets``, ``ram.efficiency`` (neither measured nor published),
        ``pipe.NAME`` (the ram's delivery pipe is not there), ``pipe.NAME.spec``,
        ``pipe.NAME.outlet`` (it leads to no outlet), ``tank.NAME.volume`` (``tank.volume`` of a
        lone one), ``outlet.NAME.flow``, ``outlet.NAME.pressure`` (what it needs),
        ``outlet.NAME.pipe`` (no pipe comes to it).
    available_m3_s
        What may be taken from the source, None where its flow is not known [m3/s].
    source_demand_m3_s
        Stated flows together of each group of outlets that draws straight from the source [m3/s].
    by_group
        For each supply pipe, the running case of every group of outlets by the group's name; the
        tank at its lowest level.
    runs_over_m3_s
        What runs into a tank from a higher one on the same line while nothing is drawn, by the
        name of the tank [m3/s].
    """

    layout: Layout
    ram: RamResult | None
    pipes: Mapping[str, PipeResult]
    tanks: Mapping[str, TankResult]
    outlets: Mapping[str, OutletResult]
    stand_sweep: StandSweep | None
    gravity_capacity_m3_s: Mapping[str, FloatArray]
    not_asked: tuple[str, ...]
    available_m3_s: FloatArray | None = None
    source_demand_m3_s: Mapping[str, FloatArray] = field(default_factory=dict)
    by_group: Mapping[str, Mapping[str, HydraulicGradeLine]] = field(default_factory=dict)
    runs_over_m3_s: Mapping[str, FloatArray] = field(default_factory=dict)
