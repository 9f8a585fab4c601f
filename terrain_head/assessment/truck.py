"""A large valve on the tank's line: how long so many litres take, how slowly it must be shut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.surge_findings import PipeSurge, surge_in
from terrain_head.assessment.upstream import line_down_to
from terrain_head.base.citation import OURS
from terrain_head.base.middle import middle_of
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.lines import lines_of
from terrain_head.scheme.parts import Outlet, Tank
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve

FloatArray = NDArray[np.float64]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """How an outlet fills so much water while nothing else is open.

    Parameters
    ----------
    volume_m3
        What is filled at a time [m3].
    time_s
        How long that takes from the full tank; infinite where the tank does not hold so much, or
        where nothing comes; None where the tank's size is not known [s].
    held_m3
        Useful water of the full tank; None where it is filled straight from the source, or the
        tank's size is not known [m3].
    first_m3_s, last_m3_s
        Flow from the full tank, and when all is filled or the tank at its lowest [m3/s].
    surge
        What its valve raises when it is slammed from the full tank; None where not known.
    closing_s
        The quickest closing that every pipe on the way bears, 0 where any does; None where not
        known [s].
    """

    volume_m3: float
    time_s: float | None
    held_m3: float | None
    first_m3_s: float
    last_m3_s: float
    surge: PipeSurge | None
    closing_s: float | None


def filling_of(solution: Solution, outlet: Outlet) -> Filling | None:
    """Return how an outlet fills what it is to fill.

    Parameters
    ----------
    solution
        The scheme, solved.
    outlet
        One of its outlets.

    Returns
    -------
    Filling or None
        None where it fills nothing, what it draws is not known, or several tanks feed it.

    Notes
    -----
    The level sinks so slowly that the flow of each moment is that of its standing level; what
    flows into the tank meanwhile is left out, so that it errs on the slow side. The time is the
    integral of area by flow over the level, by Gauss in the root of its height over the end, each
    node the same scheme solved with its tank so full.
    """
    layout = solution.layout
    result = solution.outlets.get(outlet.name)
    if outlet.fills_m3 is None or result is None or not outlet.runs or layout.values.drawn:
        return None
    line = next((one for one in lines_of(layout, "supply") if outlet in one.outlets), None)
    if line is None or len(line.roots) != 1 or not line.bores_known:
        return None
    others = tuple(one.name for one in layout.outlets if one.name != outlet.name)
    alone = lay_out(
        replace(layout.parts, together={"filling": (outlet.name,), "others": others}),
        ground=layout.ground,
        values=layout.values,
    )
    volume = outlet.fills_m3.value
    tank = next((one for one in layout.tanks if one.name == result.fed_by), None)
    if tank is None:
        return _from_source(alone, outlet, volume_m3=volume)
    return _from_tank(alone, outlet, tank=tank, whole_m3=solution.tanks[tank.name].volume_m3)


def _from_source(alone: Layout, outlet: Outlet, *, volume_m3: float) -> Filling | None:
    solution = solve(alone, leave_out=("stands", "full tanks"))
    flow = middle_of(solution.outlets[outlet.name].flow_m3_s)
    if flow is None:
        return None
    surge, closing = _slammed(solution, outlet)
    return Filling(
        volume_m3=volume_m3,
        time_s=volume_m3 / flow if flow > 0 else np.inf,
        held_m3=None,
        first_m3_s=flow,
        last_m3_s=flow,
        surge=surge,
        closing_s=closing,
    )


def _from_tank(
    alone: Layout, outlet: Outlet, *, tank: Tank, whole_m3: FloatArray | None
) -> Filling | None:
    volume = 0.0 if outlet.fills_m3 is None else outlet.fills_m3.value
    full, lowest = float(alone.full_m[tank.name]), float(alone.lowest_m[tank.name])
    whole = middle_of(whole_m3)
    area = None if whole is None else whole / tank.water_depth_m.value
    sunk = lowest if area is None else full - volume / area
    # Half a nanometre of water: a tank emptied to its lowest level holds what it was asked for.
    holds = sunk >= lowest - 5e-10
    last = max(sunk, lowest)
    end_m = min(float(alone.outlet_level_m[outlet.name]), last)
    over, start = (np.sqrt(level - end_m) for level in (last, full))
    roots = over + (start - over) * (_NODES + 1) / 2
    levels = np.concatenate([[full, last], end_m + roots**2])
    moved = with_values(alone, moved_m={f"tank.{tank.name}.lowest": levels - lowest})
    emptied = solve(moved, leave_out=("stands", "full tanks"))
    flow = emptied.outlets[outlet.name].flow_m3_s
    if flow is None:
        return None
    flows = np.broadcast_to(flow, levels.shape)
    time_s: float | None = None
    if area is not None:
        runs = holds and bool(np.all(flows[2:] > 0))
        mean = float((_WEIGHTS * roots / flows[2:]).sum()) if runs else np.inf
        time_s = area * float(start - over) * mean
    surge, closing = _slammed(emptied, outlet)
    return Filling(
        volume_m3=volume,
        time_s=time_s,
        held_m3=None if area is None else area * (full - lowest),
        first_m3_s=float(flows[0]),
        last_m3_s=float(flows[1]),
        surge=surge,
        closing_s=closing,
    )


def _slammed(solution: Solution, outlet: Outlet) -> tuple[PipeSurge | None, float | None]:
    """Return the surge in the outlet's own pipe, and the closing that every pipe above it bears.

    Parameters
    ----------
    solution
        The scheme while the outlet runs alone; of its draws the first counts.
    outlet
        The outlet.
    """
    pipes = solution.layout.pipes.values()
    last = next((pipe for pipe in pipes if pipe.downstream == outlet.place), None)
    if last is None:
        return None, None
    surges: list[PipeSurge | None] = []
    for pipe in line_down_to(solution.layout, last):
        running = solution.pipes[pipe.name].running
        speed = 0.0 if running is None else float(np.ravel(np.abs(running.velocity_m_s))[0])
        surges.append(surge_in(solution, pipe, velocity_m_s=speed, down_to=last))
    closing: float | None = 0.0
    for surge in surges:
        if surge is None or surge.closing_s is None:
            return surges[-1], None
        closing = max(closing or 0.0, surge.closing_s)
    return surges[-1], closing


def truck_findings(evidence: Evidence) -> Iterator[Finding]:
    """Tell how long each filling takes, and how slowly its valve must be shut.

    Notes
    -----
    It wants care where the tank does not hold so much, and where the valve must not be slammed.
    """
    for outlet in evidence.layout.outlets:
        filling = filling_of(evidence.solution, outlet)
        if filling is None:
            continue
        short = filling.time_s is not None and np.isinf(filling.time_s)
        surge = filling.surge
        hard = surge is not None and surge.borne is False
        yield Finding(
            kind="outlet-fills",
            severity="care" if short or hard or filling.closing_s else "fine",
            value=None if short else filling.time_s,
            unit="s",
            values=known(
                volume_m3=filling.volume_m3,
                held_m3=filling.held_m3,
                first_m3_s=filling.first_m3_s,
                last_m3_s=filling.last_m3_s,
                hammer_pa=None if surge is None else surge.hammer_pa,
                total_pa=None if surge is None else surge.total_pa,
                allowed_pa=None if surge is None else surge.allowed_pa,
                closing_s=filling.closing_s,
            ),
            texts={"short": "yes" if short else ""},
            source=surge.citation
            if surge is not None and filling.closing_s
            else OURS.at("the level sinks, and nothing flows in meanwhile"),
            where=Where(place=outlet.place, outlet=outlet.name),
        )
