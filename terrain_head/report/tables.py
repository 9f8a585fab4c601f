"""The tables of the report: places, pipes, tanks, outlets, the ram, the stand, the doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.base.display import LIKELY
from terrain_head.base.units import UnitSystem, to_si
from terrain_head.ground.ground import Origin
from terrain_head.report.measurement import middle
from terrain_head.report.outlet_table import outlet_rows
from terrain_head.report.speech import Speech, duration
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.solution import RamResult, StandSweep, TankResult

FloatArray = NDArray[np.float64]

_MOST_STANDS = 9
_UNKNOWN = "-"


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table in words; every row is as long as the heads.

    Parameters
    ----------
    title, note
        Over it and under it.
    heads
        Heads of the columns; the first column is the name of the row.
    rows
        Cells as text.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


def places_table(answer: Answer) -> Table:
    """Return the named places: height, how sure, where it comes from."""
    say = Speech(units=answer.units)
    ground = answer.ground
    rows = []
    for i, name in enumerate(ground.names):
        std = _own_std(answer, i)
        height = middle(ground.elevation_of(name))
        rows.append(
            (
                name,
                _UNKNOWN if height is None else say.height(height, std=std),
                _UNKNOWN if std is None else say.give_or_take(std),
                Origin(int(ground.origin[i])).word,
            )
        )
    return Table(
        title="Places",
        heads=("place", "height", "give or take", "from"),
        rows=tuple(rows),
        note=f"Datum: {ground.datum}. Give or take holds nine times in ten.",
    )


def _own_std(answer: Answer, entry: int) -> float | None:
    joint = answer.ground.covariance_of([entry])
    std = float(np.sqrt(np.sum(joint.factor[0] ** 2) + joint.own[0]))
    return std if np.isfinite(std) and std > 0 else None


def pipes_table(answer: Answer) -> Table:
    """Return the pipes: where they go, what they carry, what presses in them."""
    rows = [_pipe_row(answer, pipe) for pipe in answer.layout.pipes.values()]
    return Table(
        title="Pipes",
        heads=(
            "pipe",
            "from, to",
            "of",
            "length",
            "flow",
            "speed",
            "head lost",
            "by Hazen-Williams",
            "greatest still pressure",
            "rated",
            "least clearance",
        ),
        rows=tuple(rows),
        note=(
            "Length along the slope, risers included. Head lost by Darcy-Weisbach, the worst case; "
            "clearance is the hydraulic grade line over the pipe. Still pressure of a drive pipe "
            "is far below the blow of the ram."
        ),
    )


def _pipe_row(answer: Answer, pipe: Pipe) -> tuple[str, ...]:
    say = Speech(units=answer.units)
    result = answer.solution.pipes.get(pipe.name)
    running = result.running if result else None
    length = middle(pipe.length_m)
    flow = middle(running.flow_m3_s) if running else None
    speed = middle(running.velocity_m_s) if running else None
    lost = middle(running.head_loss_m) if running else None
    other = middle(running.head_loss_hazen_williams_m) if running else None
    still = middle(result.max_static_pa) if result else None
    clear = middle(result.min_clearance_m) if result else None
    rating = pipe.spec.rating_pa if pipe.spec else None
    return (
        pipe.name,
        f"{pipe.upstream} to {pipe.downstream}",
        pipe.spec.label if pipe.spec else "none chosen",
        _UNKNOWN if length is None else say.length(length),
        _UNKNOWN if flow is None else say.flow(flow),
        _UNKNOWN if speed is None else say.say(speed, "speed"),
        _UNKNOWN if lost is None else say.height(lost),
        _UNKNOWN if other is None else say.height(other),
        _UNKNOWN if still is None else say.pressure(still),
        _UNKNOWN if rating is None else say.pressure(rating),
        _UNKNOWN if clear is None else say.height(clear),
    )


def tanks_table(answer: Answer) -> Table:
    """Return the tanks: levels, water, weight."""
    say = Speech(units=answer.units)
    rows = []
    for name, tank in answer.solution.tanks.items():
        rows.append((name, *_levels(tank, say), *_contents(tank, say)))
    return Table(
        title="Tanks",
        heads=(
            "tank",
            "deck",
            "full",
            "lowest useful",
            "inlet",
            "useful water",
            "filled in",
            "water when full",
        ),
        rows=tuple(rows),
    )


def _levels(tank: TankResult, say: Speech) -> tuple[str, ...]:
    levels = (tank.deck_m, tank.full_level_m, tank.lowest_level_m, tank.inlet_level_m)
    known = [middle(level) for level in levels]
    return tuple(_UNKNOWN if level is None else say.height(level) for level in known)


def _contents(tank: TankResult, say: Speech) -> tuple[str, str, str]:
    useful, fill = middle(tank.useful_m3), middle(tank.fill_time_s)
    weight = middle(tank.weight_full_kg)
    return (
        _UNKNOWN if useful is None else say.volume(useful),
        _UNKNOWN if not fill else duration(fill),
        _UNKNOWN if weight is None else say.mass(weight),
    )


def outlets_table(answer: Answer) -> Table:
    """Return the outlets: what they draw, what presses, what was asked."""
    say = Speech(units=answer.units)
    rows = []
    for row in outlet_rows(answer):
        result = answer.solution.outlets[row.name]
        still = middle(result.static_full_pa)
        stand = middle(result.stand_needed_m)
        rows.append(
            (
                row.name,
                row.flow or _UNKNOWN,
                row.low or _UNKNOWN,
                row.full or _UNKNOWN,
                _UNKNOWN if still is None else say.pressure(still),
                row.asked or _UNKNOWN,
                row.enough or _UNKNOWN,
                _UNKNOWN if stand is None else say.stand(stand) if stand > 0 else "none",
                row.group or _UNKNOWN,
            )
        )
    return Table(
        title="Outlets",
        heads=(
            "outlet",
            "draws",
            "tank low",
            "tank full",
            "all shut",
            "asked",
            "enough",
            "stand it would need",
            "with",
        ),
        rows=tuple(rows),
        note=(
            "Pressures just before the outlet's valve, running together with the group named, the "
            "worst of the groups; all shut: with the tank full."
        ),
    )


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
        if (value := middle(values)) is not None and (value > 0 or name != "passes by")
    ]
    delivered = middle(ram.delivered_m3_s)
    if delivered is not None:
        rows.append(("a day", say.per_day(delivered)))
    loss, ratio = middle(ram.delivery_loss_m), middle(ram.head_ratio)
    if loss is not None:
        rows.append(("friction of the delivery", say.height(loss)))
    if ratio is not None:
        rows.append(("lift and friction by fall", f"{ratio:.1f}"))
    return rows


def _ram_efficiency(answer: Answer, ram: RamResult) -> list[tuple[str, str]]:
    say = Speech(units=answer.units)
    efficiency = middle(ram.efficiency)
    if efficiency is None:
        return []
    text = say.share(efficiency)
    low, high = middle(ram.efficiency_low), middle(ram.efficiency_high)
    if ram.efficiency_origin == "table" and low is not None and high is not None:
        text += f", published {say.share(low)} to {say.share(high)}"
    elif ram.efficiency_origin == "measured":
        text += ", measured"
    rows = [("efficiency (lift by fall)", text)]
    rankine = middle(ram.rankine)
    if rankine is not None:
        rows.append(("the same by Rankine", say.share(rankine)))
    sources = "; ".join(str(one) for one in ram.efficiency_citations)
    if sources:
        rows.append(("read in", sources))
    return rows


def _least(answer: Answer, ram: RamResult) -> list[tuple[str, str]]:
    say = Speech(units=answer.units)
    flow = middle(ram.breakeven_flow_m3_s)
    efficiency = middle(ram.breakeven_efficiency)
    fall = middle(ram.breakeven_fall_m)
    rows = []
    if flow is not None:
        rows.append(("least spring that brings what you need", say.flow(flow)))
    if efficiency is not None:
        rows.append(("least efficiency", say.share(efficiency)))
    if fall is not None:
        rows.append(("least fall", say.height(fall)))
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
        inflow = None if inflows is None else middle(inflows[i])
        cells = [middle(one[i]) for one in pressures]
        rows.append(
            (
                say.stand(float(stand)),
                _UNKNOWN if inflow is None else say.per_day(inflow),
                *(_UNKNOWN if one is None else say.pressure(one) for one in cells),
            )
        )
    return Table(
        title="Height of the stand",
        heads=("stand", "water a day", *names),
        rows=tuple(rows),
        note="Pressure at each outlet with the tank low. A higher stand is more lift: less water.",
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


_SPREAD_WORDS = {"fall": "fall", "lift": "lift"}
_CASES = {
    "static_full": "all shut, tank full",
    "static_low": "all shut, tank low",
    "running_full": "running, tank full",
    "running_low": "running, tank low",
}


def doubt_table(answer: Answer) -> Table:
    """Return how sure the figures are that follow from heights alone."""
    say = Speech(units=answer.units)
    rows = []
    for name, one in answer.spread.items():
        words = _spread_name(name)
        if one.std is None or words is None:
            continue
        if name.startswith("outlet."):
            value, spread = say.pressure(one.value), say.pressure(LIKELY * one.std)
        else:
            value = say.height(one.value, std=one.std)
            spread = say.give_or_take(one.std)
        rows.append((words, value, spread))
    return Table(
        title="How sure",
        heads=("figure", "value", "give or take"),
        rows=tuple(rows),
        note=(
            "From the heights alone, nine times in ten. The doubt of flow, efficiency and friction "
            "is not in it."
        ),
    )


def _spread_name(name: str) -> str | None:
    if name in _SPREAD_WORDS:
        return _SPREAD_WORDS[name]
    if name.startswith("outlet."):
        outlet, _, case = name.removeprefix("outlet.").rpartition(".")
        if case in _CASES:
            return f"{outlet}, {_CASES[case]}"
    return None


def filled(tables: Sequence[Table]) -> list[Table]:
    """Return the tables that have rows."""
    return [table for table in tables if table.rows]
