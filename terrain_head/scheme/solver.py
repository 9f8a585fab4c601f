"""The one solver: from a layout to everything that the water does in it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.formulas.friction import velocity_m_s as mean_velocity_m_s
from terrain_head.formulas.loads import water_mass_kg
from terrain_head.formulas.storage import fill_time_s, upright_volume_m3
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.ends import node_of
from terrain_head.scheme.gravity import gravity_flow, levels_of
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import lines_of, lowest_of
from terrain_head.scheme.nets import Work
from terrain_head.scheme.parts import Tank
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.ram_work import RamWork, work_of
from terrain_head.scheme.solution import (
    HydraulicGradeLine,
    PipeResult,
    Solution,
    StandSweep,
    TankResult,
)
from terrain_head.scheme.supply import supply_flow
from terrain_head.scheme.supply_line import Extra

FloatArray = NDArray[np.float64]

SWEEP_POINTS = 25
LEAST_SWEEP_M = 6.0
MOST_SWEEP_M = 20.0
"""A stand sweep reaches between these heights, unless the stand is higher; our choice."""


def solve(layout: Layout, *, leave_out: Collection[Extra] = ()) -> Solution:
    """Return everything that the water does in a scheme, as far as its data go.

    Parameters
    ----------
    layout
        The scheme on its ground; scalars and elevations may have a leading axis of draws.
    leave_out
        What is not wanted, so that many draws cost less.

    Returns
    -------
    Solution
        What the data do not reach is None, and said in `Solution.not_asked`.

    Notes
    -----
    The stand sweep is made for a layout without draws.
    """
    solution = _solve(layout, leave_out=leave_out)
    return replace(solution, stand_sweep=_stand_sweep(solution))


def _solve(layout: Layout, *, leave_out: Collection[Extra] = ()) -> Solution:
    water = Water.at(layout.parts.water_temperature_c)
    work = work_of(layout, water=water)
    pumped: dict[str, FloatArray] = {}
    if work is not None and work.tank is not None and work.result.delivered_m3_s is not None:
        pumped[work.tank] = work.result.delivered_m3_s
    gravity = gravity_flow(layout, inflow_m3_s=pumped, water=water)
    inflow = {**pumped, **gravity.inflow_m3_s}
    supply = supply_flow(
        layout,
        water=water,
        work=None if work is None else _pushed(work),
        inflow_m3_s=inflow,
        leave_out=leave_out,
    )
    lines = work.lines if work is not None else {}
    running = {**lines, **gravity.running, **supply.running}
    running_full = {**lines, **gravity.running_full, **supply.running_full}
    source, share = layout.source_flow_m3_s, layout.share
    return Solution(
        layout=layout,
        ram=work.result if work is not None else None,
        pipes={
            name: _pipe_result(
                layout,
                pipe,
                work=work,
                water=water,
                running=running.get(name),
                running_full=running_full.get(name),
                pressure_head_m=supply.pressure_head_m.get(name),
            )
            for name, pipe in layout.pipes.items()
        },
        tanks={
            tank.name: _tank_result(
                layout, tank, inflow=inflow.get(tank.name), density_kg_m3=water.density_kg_m3
            )
            for tank in layout.tanks
        },
        outlets=supply.outlets,
        stand_sweep=None,
        gravity_capacity_m3_s=gravity.capacity_m3_s,
        not_asked=_not_asked(layout, work, [*gravity.not_asked, *supply.not_asked]),
        available_m3_s=None if source is None else np.asarray(source * share),
        source_demand_m3_s=supply.demand_m3_s,
        by_group=supply.by_group,
        runs_over_m3_s=supply.runs_over_m3_s,
    )


def _pushed(work: RamWork) -> Work | None:
    """Return what the ram puts into its delivery: as much as while it fills the tank."""
    result, level_m = work.result, work.valve_level_m
    if result.delivered_m3_s is None or result.lift_m is None or result.delivery_loss_m is None:
        return None
    head_m = result.lift_m + result.delivery_loss_m
    return Work(level_m=level_m, lift_m4_s=np.asarray(result.delivered_m3_s * head_m))


def _pipe_result(
    layout: Layout,
    pipe: Pipe,
    *,
    work: RamWork | None,
    water: Water,
    running: HydraulicGradeLine | None,
    running_full: HydraulicGradeLine | None,
    pressure_head_m: FloatArray | None,
) -> PipeResult:
    static_m = _still_level(layout, pipe, work)
    clearance_m = station_m = None
    if running is not None and pipe.profile.between_known:
        head_m = running.pressure_head_m if pressure_head_m is None else pressure_head_m
        spot = np.argmin(head_m, axis=-1)
        clearance_m = np.asarray(head_m.min(axis=-1))
        station_m = np.asarray(pipe.profile.station_m[spot])
    flow_m3_s, velocity_m_s = (
        _drive_flow(layout, pipe, work)
        if running is None
        else (running.flow_m3_s, running.velocity_m_s)
    )
    return PipeResult(
        flow_m3_s=flow_m3_s,
        velocity_m_s=velocity_m_s,
        static_m=static_m,
        max_static_pa=None if static_m is None else water.pressure_pa(static_m - lowest_of(pipe)),
        running=running,
        running_full=running_full,
        min_clearance_m=clearance_m,
        min_clearance_station_m=station_m,
    )


def _drive_flow(
    layout: Layout, pipe: Pipe, work: RamWork | None
) -> tuple[FloatArray | None, FloatArray | None]:
    """Return the mean flow and velocity in a drive pipe: each ram has its own."""
    used = None if work is None else work.result.used_m3_s
    if pipe.role != "drive" or layout.ram is None or used is None:
        return None, None
    flow = np.asarray(used / layout.ram.count)
    if pipe.spec is None:
        return flow, None
    return flow, mean_velocity_m_s(flow, inside_m=pipe.inside_m)


def _still_level(layout: Layout, pipe: Pipe, work: RamWork | None) -> FloatArray | None:
    """Return the level of still water over a pipe."""
    if pipe.role == "delivery":
        return None if work is None else work.lift_level_m
    if pipe.role in {"drive", "feed"}:
        return layout.source_level_m
    roots = next(line.roots for line in lines_of(layout, pipe.role) if line.holds(pipe))
    levels = [levels_of(layout, root)[1] for root in roots]
    return np.asarray(np.maximum.reduce(np.broadcast_arrays(*levels)))


def _tank_result(
    layout: Layout, tank: Tank, *, inflow: FloatArray | None, density_kg_m3: float
) -> TankResult:
    depth_m = tank.water_depth_m.value
    volume: FloatArray | None = None
    if tank.volume_m3 is not None:
        volume = np.asarray(tank.count * tank.volume_m3.value)
    elif tank.diameter_m is not None:
        volume = np.asarray(tank.count * upright_volume_m3(tank.diameter_m.value, depth_m=depth_m))
    useful = None if volume is None else volume * (1.0 - tank.lowest_m.value / depth_m)
    fill_s = None
    if useful is not None and inflow is not None:
        fill_s = fill_time_s(useful, flow_m3_s=inflow)
    return TankResult(
        deck_m=layout.deck_m[tank.name],
        full_level_m=layout.full_m[tank.name],
        lowest_level_m=layout.lowest_m[tank.name],
        inlet_level_m=layout.inlet_m[tank.name],
        volume_m3=volume,
        useful_m3=useful,
        inflow_m3_s=inflow,
        fill_time_s=fill_s,
        weight_full_kg=(
            None if volume is None else water_mass_kg(volume, density_kg_m3=density_kg_m3)
        ),
    )


def _not_asked(layout: Layout, work: RamWork | None, more: list[str]) -> tuple[str, ...]:
    keys: list[str] = []
    if layout.source is None:
        keys.append("source")
    if work is not None:
        keys += work.not_asked
    if not layout.tanks:
        keys.append("tank")
    runs = layout.parts.pipes
    unlaid = [run.name for run in runs if run.name not in layout.ground.profiles]
    keys = [key for key in keys if key.removeprefix("pipe.") not in unlaid]
    keys += [f"pipe.{name}.length" for name in unlaid]
    keys += [f"pipe.{run.name}.spec" for run in runs if run.spec is None]
    for tank in layout.tanks:
        if tank.volume_m3 is None and tank.diameter_m is None:
            keys.append(f"{'tank' if tank.name == 'tank' else f'tank.{tank.name}'}.volume")
    if not layout.outlets:
        keys.append("outlets")
    met = {node_of(end, parts=layout.parts) for run in runs for end in (run.start, run.end)}
    keys += [f"outlet.{one.name}.pipe" for one in layout.outlets if one.place not in met]
    return tuple(dict.fromkeys(keys + more))


def _stand_sweep(solution: Solution) -> StandSweep | None:
    """Return what each height of the stand gives, for the tank that feeds the most outlets."""
    layout = solution.layout
    fed: dict[str, list[str]] = {tank.name: [] for tank in layout.tanks}
    for name, outlet in solution.outlets.items():
        if outlet.fed_by in fed and outlet.running_low_pa is not None:
            fed[outlet.fed_by].append(name)
    best = max(fed, key=lambda tank: len(fed[tank]), default=None)
    if best is None or not fed[best]:
        return None
    if layout.values.drawn or layout.deck_m[best].ndim:
        return None
    place = next(tank.place for tank in layout.tanks if tank.name == best)
    stand_m = float(layout.deck_m[best] - layout.ground.elevation_of(place))
    needed = [solution.outlets[name].stand_needed_m for name in fed[best]]
    wishes = [1.2 * float(stand) for stand in needed if stand is not None]
    wish_m = min(max(wishes, default=0.0), MOST_SWEEP_M)
    top_m = float(np.ceil(max(LEAST_SWEEP_M, 1.5 * stand_m, wish_m)))
    stands_m = np.linspace(0.0, top_m, SWEEP_POINTS)
    swept = _solve(
        with_values(layout, stand_m={best: stands_m}), leave_out=("stands", "full tanks")
    )
    pressures = {name: swept.outlets[name].running_low_pa for name in fed[best]}
    inflow = swept.tanks[best].inflow_m3_s
    return StandSweep(
        tank=best,
        stand_m=stands_m,
        running_low_pa={
            name: np.array(np.broadcast_to(pressure, stands_m.shape))
            for name, pressure in pressures.items()
            if pressure is not None
        },
        inflow_m3_s=(None if inflow is None else np.array(np.broadcast_to(inflow, stands_m.shape))),
    )
