"""What to do first about a need that is not met."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle_of
from terrain_head.scheme.ends import tank_node
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.parts import Outlet, Tank
from terrain_head.scheme.solution import OutletResult, RamResult, Solution, StandSweep

Cure = Literal[
    "raise the stand", "wider pipe", "higher tank", "another ram", "less pipe loss", "more water"
]
"""``raise the stand``, ``wider pipe``, ``higher tank`` (no pipe is wide enough) cure pressure;
``another ram`` (water passes by), ``less pipe loss`` (of the delivery pipe), ``more water`` (of
the source, or more fall, or a better ram) cure a want of water."""


_SLACK = 1 + 1e-9
_LOSS_WORTH_CURING = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix:
    """The first thing to do about a need that is not met.

    Parameters
    ----------
    cure
        What to do.
    tank, pipe
        On which tank or pipe.
    stand_now_m, stand_needed_m
        The stand as it is and as it would meet the need [m].
    stand_sure_m
        The stand that meets the need nine times in ten, None where that is not known [m].
    water_lost_m3_s
        What the higher stand costs of the water that arrives, None where not known [m3/s].
    passed_by_m3_s
        What passes the ram by [m3/s].
    flow_needed_m3_s, fall_needed_m, efficiency_needed
        What source, fall or ram would have to be, each for itself [m3/s], [m], [1].
    """

    cure: Cure
    tank: str | None = None
    pipe: str | None = None
    stand_now_m: float | None = None
    stand_needed_m: float | None = None
    stand_sure_m: float | None = None
    water_lost_m3_s: float | None = None
    passed_by_m3_s: float | None = None
    flow_needed_m3_s: float | None = None
    fall_needed_m: float | None = None
    efficiency_needed: float | None = None


def water_fix(solution: Solution, tank: Tank) -> Fix:
    """Return the first cure for a want of water: what costs least to try comes first.

    Parameters
    ----------
    solution, tank
        The choice, solved, and its tank that wants water.
    """
    filling = [p for p in solution.layout.pipes.values() if p.downstream == tank_node(tank)]
    pipe = filling[0].name if filling else None
    ram = solution.ram
    if ram is None:
        capacity = None if pipe is None else solution.gravity_capacity_m3_s.get(pipe)
        given = middle_of(solution.layout.source_flow_m3_s)
        carried = middle_of(capacity)
        if carried is None or given is None:
            return Fix(cure="more water", tank=tank.name)
        if carried < given * solution.layout.share:
            return Fix(cure="wider pipe", tank=tank.name, pipe=pipe)
        return Fix(cure="more water", tank=tank.name)
    passed_by = middle_of(ram.passed_by_m3_s)
    if passed_by is not None and passed_by > 0:
        return Fix(cure="another ram", tank=tank.name, passed_by_m3_s=passed_by)
    lift, loss = middle_of(ram.lift_m), middle_of(ram.delivery_loss_m)
    got, wanted = middle_of(ram.delivered_m3_s), tank.needed_m3_s
    if (
        lift is not None
        and loss is not None
        and loss > _LOSS_WORTH_CURING * lift
        and got is not None
        and wanted is not None
        and _without_loss(got, ram=ram, lift_m=lift, loss_m=loss) * _SLACK >= wanted.value
    ):
        return Fix(cure="less pipe loss", tank=tank.name, pipe=pipe)
    return Fix(
        cure="more water",
        tank=tank.name,
        flow_needed_m3_s=middle_of(ram.breakeven_flow_m3_s),
        fall_needed_m=middle_of(ram.breakeven_fall_m),
        efficiency_needed=middle_of(ram.breakeven_efficiency),
    )


def _without_loss(got_m3_s: float, *, ram: RamResult, lift_m: float, loss_m: float) -> float:
    """Return what a pipe without loss would bring at the same efficiency [m3/s]."""
    most = middle_of(ram.used_m3_s)
    freed = got_m3_s * (lift_m + loss_m) / lift_m if lift_m > 0 else got_m3_s
    return freed if most is None else min(freed, most)


def pressure_fix(answer: Answer, outlet: Outlet, *, result: OutletResult) -> Fix:
    """Return the first cure for a want of pressure: the stand where one helps, else pipes.

    Parameters
    ----------
    answer, outlet, result
        The choice, its outlet that wants pressure, and what that gets.
    """
    solution = answer.solution
    needed = middle_of(result.stand_needed_m)
    sure = None if answer.drawn is None else answer.drawn.stand_sure_m(outlet.name)
    tank = next((one for one in solution.layout.tanks if one.name == result.fed_by), None)
    if tank is not None and needed is not None:
        now = tank.stand_m.value
        built = needed if sure is None else sure
        return Fix(
            cure="raise the stand",
            tank=tank.name,
            stand_now_m=now,
            stand_needed_m=needed,
            stand_sure_m=sure,
            water_lost_m3_s=water_lost(solution.stand_sweep, tank.name, from_m=now, to_m=built),
        )
    still = middle_of(result.static_low_pa)
    if still is not None and outlet.needs_pa is not None and still < outlet.needs_pa.value:
        return Fix(cure="higher tank", tank=None if tank is None else tank.name)
    worst = costliest_pipe(solution, outlet.place)
    return Fix(cure="wider pipe", pipe=None if worst is None else worst.name)


def water_lost(sweep: StandSweep | None, tank: str, *, from_m: float, to_m: float) -> float | None:
    """Return what a higher stand costs of the water that arrives, None where not known.

    Parameters
    ----------
    sweep
        What each height of the stand gives.
    tank
        Name of the tank that is raised.
    from_m, to_m
        The stand as it is and as it would be [m].

    Returns
    -------
    float or None
        Water lost; None outside the sweep [m3/s].
    """
    if sweep is None or sweep.inflow_m3_s is None or sweep.tank != tank:
        return None
    before, after = np.interp(
        [from_m, to_m], sweep.stand_m, sweep.inflow_m3_s, left=np.nan, right=np.nan
    )
    return middle_of(before - after)


def costliest_pipe(solution: Solution, place: str) -> Pipe | None:
    """Return the pipe with the greatest head loss on the way to a place, None without a way."""
    upstream = {pipe.downstream: pipe for pipe in solution.layout.pipes.values()}
    worst: Pipe | None = None
    greatest = -np.inf
    node = place
    while (pipe := upstream.pop(node, None)) is not None and pipe.role in {"supply", "gravity"}:
        result = solution.pipes.get(pipe.name)
        running = None if result is None else result.running
        loss = None if running is None else middle_of(running.head_loss_m)
        if loss is not None and loss > greatest:
            worst, greatest = pipe, loss
        node = pipe.upstream
    return worst
