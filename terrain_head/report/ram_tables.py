"""The tables of the report about the ram and about the height of the stand."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle_of
from terrain_head.base.units import UnitSystem, to_si
from terrain_head.report.speech import Speech
from terrain_head.report.table import UNKNOWN, Table
from terrain_head.scheme.solution import RamResult, StandSweep

FloatArray = NDArray[np.float64]

_MOST_STANDS = 9


def ram_table(answer: Answer) -> Table:
    """Return the ram's work, and what it would take at the least."""
    ram = answer.solution.ram
    if ram is None:
        return Table(title="The ram", heads=("", ""), rows=())
    return Table(
        title="The ram",
        heads=("", ""),
        rows=(*_ram_flows(answer, ram), *_ram_efficiency(answer, ram), *_least(answer, ram)),
    )


def _ram_flows(answer: Answer, ram: RamResult) -> list[tuple[str, str]]:
    say = Speech(units=answer.units)
    flows = (
        ("may be taken", ram.available_m3_s),
        ("takes", ram.used_m3_s),
        ("lifts", ram.delivered_m3_s),
        ("spills", ram.wasted_m3_s),
        ("passes by", ram.passed_by_m3_s),
    )
    rows = [
        (name, say.flow(value))
        for name, values in flows
        if (value := middle_of(values)) is not None and (value > 0 or name != "passes by")
    ]
    delivered = middle_of(ram.delivered_m3_s)
    if delivered is not None:
        rows.append(("a day", say.per_day(delivered)))
    loss, ratio = middle_of(ram.delivery_loss_m), middle_of(ram.head_ratio)
    if loss is not None:
        rows.append(("head lost in the delivery pipe", say.head(loss)))
    if ratio is not None:
        rows.append(("lift with friction, times the fall", f"{ratio:.1f}"))
    return rows


def _ram_efficiency(answer: Answer, ram: RamResult) -> list[tuple[str, str]]:
    say = Speech(units=answer.units)
    efficiency = middle_of(ram.efficiency)
    if efficiency is None:
        return []
    text = say.share(efficiency)
    low, high = middle_of(ram.efficiency_low), middle_of(ram.efficiency_high)
    if ram.efficiency_origin == "table" and low is not None and high is not None:
        text += f", published {say.share(low)} to {say.share(high)}"
    elif ram.efficiency_origin == "measured":
        text += ", measured"
    rows = [("efficiency (lift by fall)", text)]
    rankine = middle_of(ram.rankine)
    if rankine is not None:
        rows.append(("the same by Rankine", say.share(rankine)))
    sources = "; ".join(str(one) for one in ram.efficiency_citations)
    if sources:
        rows.append(("read in", sources))
    return rows


def _least(answer: Answer, ram: RamResult) -> list[tuple[str, str]]:
    say = Speech(units=answer.units)
    flow = middle_of(ram.breakeven_flow_m3_s)
    efficiency = middle_of(ram.breakeven_efficiency)
    fall = middle_of(ram.breakeven_fall_m)
    rows = []
    if flow is not None:
        rows.append(("least spring that brings what you need", say.flow(flow)))
    if efficiency is not None:
        rows.append(("least efficiency", say.share(efficiency)))
    if fall is not None:
        rows.append(("least fall", say.head(fall)))
    return rows


def stand_table(answer: Answer) -> Table:
    """Return what each height of the stand gives."""
    say = Speech(units=answer.units)
    sweep = answer.solution.stand_sweep
    if sweep is None:
        return Table(title="Height of the stand", heads=("stand",), rows=())
    names = list(sweep.running_low_pa)
    stands = round_stands(sweep.stand_m, answer.units)
    inflows = None if sweep.inflow_m3_s is None else _at(stands, sweep, sweep.inflow_m3_s)
    pressures = [_at(stands, sweep, sweep.running_low_pa[name]) for name in names]
    rows = []
    for i, stand in enumerate(stands):
        inflow = None if inflows is None else middle_of(inflows[i])
        cells = [middle_of(one[i]) for one in pressures]
        rows.append(
            (
                say.stand(float(stand)),
                UNKNOWN if inflow is None else say.per_day(inflow),
                *(UNKNOWN if one is None else say.pressure(one) for one in cells),
            )
        )
    costs = "" if answer.layout.ram is None else " A higher stand is more lift: less water."
    return Table(
        title="Height of the stand",
        heads=("stand", "water a day", *names),
        rows=tuple(rows),
        note=f"Pressure at each outlet with the tank low.{costs}",
    )


def round_stands(stand_m: FloatArray, units: UnitSystem) -> FloatArray:
    """Return heights of the stand in round steps, at most `_MOST_STANDS` of them [m]."""
    unit, steps = ("m", (0.5, 1.0, 2.0)) if units.name == "metric" else ("ft", (1.0, 2.0, 4.0))
    low, high = float(stand_m[0]), float(stand_m[-1])
    for step in steps:
        stands = np.arange(low, high + 1e-9, to_si(step, unit))
        if stands.size <= _MOST_STANDS:
            return stands
    return np.linspace(low, high, _MOST_STANDS)


def _at(stands_m: FloatArray, sweep: StandSweep, values: FloatArray) -> FloatArray:
    """Return values of the sweep at other heights, straight between those computed."""
    array = np.asarray(values, dtype=float)
    if array.ndim > 1:
        array = np.median(array, axis=0)
    return np.asarray(np.interp(stands_m, sweep.stand_m, array))
