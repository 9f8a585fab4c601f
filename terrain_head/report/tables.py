"""The tables of the report: places, pipes, tanks, outlets, and how sure the heights are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle_of
from terrain_head.ground.ground import Origin
from terrain_head.report.outlet_table import outlet_rows
from terrain_head.report.speech import Speech, duration
from terrain_head.report.table import UNKNOWN, Table
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.rings import ring_pipes
from terrain_head.scheme.solution import TankResult


def places_table(answer: Answer) -> Table:
    """Return the named places: height, how sure, where it comes from."""
    say = Speech(units=answer.units)
    ground = answer.ground
    rows = []
    for i, name in enumerate(ground.names):
        std = _own_std(answer, i)
        height = middle_of(ground.elevation_of(name))
        factor = float(answer.half_range_m(1.0, origin=ground.origin[i]))
        rows.append(
            (
                name,
                UNKNOWN if height is None else say.height(height, std=std),
                UNKNOWN if std is None else say.give_or_take(std, factor=factor),
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
    rings = ring_pipes(answer.layout)
    rows = [
        _pipe_row(answer, pipe, ringed=pipe.name in rings) for pipe in answer.layout.pipes.values()
    ]
    ring = (
        " In a ring the water finds its own way: from and to are as it runs in the worst case."
        if rings
        else ""
    )
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
            f"is far below the blow of the ram.{ring}"
        ),
    )


def _pipe_row(answer: Answer, pipe: Pipe, *, ringed: bool) -> tuple[str, ...]:
    say = Speech(units=answer.units)
    result = answer.solution.pipes.get(pipe.name)
    running = result.running if result else None
    length = middle_of(pipe.length_m)
    flow = middle_of(running.flow_m3_s) if running else None
    speed = middle_of(running.velocity_m_s) if running else None
    lost = middle_of(running.head_loss_m) if running else None
    other = middle_of(running.head_loss_hazen_williams_m) if running else None
    still = middle_of(result.max_static_pa) if result else None
    clear = middle_of(result.min_clearance_m) if result else None
    rating = pipe.spec.rating_pa if pipe.spec else None
    return (
        pipe.name,
        _way(pipe, flow) + (", in a ring" if ringed else ""),
        pipe.spec.label if pipe.spec else "none chosen",
        UNKNOWN if length is None else say.length(length),
        UNKNOWN if flow is None else say.flow(abs(flow)),
        UNKNOWN if speed is None else say.say(abs(speed), "speed"),
        UNKNOWN if lost is None else say.head(lost),
        UNKNOWN if other is None else say.head(other),
        UNKNOWN if still is None else say.pressure(still),
        UNKNOWN if rating is None else say.pressure(rating),
        UNKNOWN if clear is None else say.head(clear),
    )


def _way(pipe: Pipe, flow: float | None) -> str:
    """Say from where to where the water runs; against the pipe's order where its flow is minus."""
    if flow is not None and flow < 0:
        return f"{pipe.downstream} to {pipe.upstream}"
    return f"{pipe.upstream} to {pipe.downstream}"


def tanks_table(answer: Answer) -> Table:
    """Return the tanks: levels, water, weight."""
    say = Speech(units=answer.units)
    rows = []
    at = {tank.name: tank.place for tank in answer.layout.tanks}
    for name, tank in answer.solution.tanks.items():
        place = at.get(name)
        known = place in answer.ground.names
        std = _own_std(answer, answer.ground.names.index(place)) if place and known else None
        rows.append((name, *_levels(tank, say, std=std), *_contents(tank, say)))
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


def _levels(tank: TankResult, say: Speech, *, std: float | None) -> tuple[str, ...]:
    levels = (tank.deck_m, tank.full_level_m, tank.lowest_level_m, tank.inlet_level_m)
    known = [middle_of(level) for level in levels]
    return tuple(UNKNOWN if level is None else say.height(level, std=std) for level in known)


def _contents(tank: TankResult, say: Speech) -> tuple[str, str, str]:
    useful, fill = middle_of(tank.useful_m3), middle_of(tank.fill_time_s)
    weight = middle_of(tank.weight_full_kg)
    return (
        UNKNOWN if useful is None else say.volume(useful),
        UNKNOWN if not fill else duration(fill),
        UNKNOWN if weight is None else say.mass(weight),
    )


def outlets_table(answer: Answer) -> Table:
    """Return the outlets: what they draw, what presses, what was asked."""
    say = Speech(units=answer.units)
    rows = []
    for row in outlet_rows(answer):
        result = answer.solution.outlets[row.name]
        still = middle_of(result.static_full_pa)
        rows.append(
            (
                row.name,
                row.flow or UNKNOWN,
                row.low or UNKNOWN,
                row.full or UNKNOWN,
                UNKNOWN if still is None else say.pressure(still),
                row.asked or UNKNOWN,
                row.enough or UNKNOWN,
                _stand_needed(answer, row.name, say),
                row.group or UNKNOWN,
            )
        )
    free = (
        " Where an open end runs out free, no pressure is left before it."
        if any("runs out free" in row for row in rows)
        else ""
    )
    table = Table(
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
            "worst of the groups; all shut: with the tank full. The stand meets the need nine "
            "times in ten, its middle as often as not."
        ),
    )
    table = table if answer.solution.tanks else _without_tank(table)
    return replace(table, note=table.note + free)


def _stand_needed(answer: Answer, outlet: str, say: Speech) -> str:
    """Say the stand that meets a need nine times in ten, its middle beside it."""
    middle = middle_of(answer.solution.outlets[outlet].stand_needed_m)
    sure = None if answer.drawn is None else answer.drawn.stand_sure_m(outlet)
    most = middle if sure is None else sure
    if most is None:
        return UNKNOWN
    if most <= 0:
        return "none needed"
    if middle is None or sure is None or say.stand(middle) == say.stand(sure):
        return say.stand(most)
    return f"{say.stand(sure)}, middle {say.stand(max(middle, 0.0))}"


def _without_tank(table: Table) -> Table:
    """Return the table of outlets for a spring that feeds them straight: one running pressure."""
    kept = [i for i, head in enumerate(table.heads) if head not in _OF_A_TANK]
    heads = tuple(table.heads[i] for i in kept)
    return replace(
        table,
        heads=tuple("running" if head == "tank low" else head for head in heads),
        rows=tuple(tuple(row[i] for i in kept) for row in table.rows),
        note=table.note.split(";", maxsplit=1)[0] + ".",
    )


_OF_A_TANK = ("tank full", "stand it would need")


def filled(tables: Sequence[Table]) -> list[Table]:
    """Return the tables that have rows."""
    return [table for table in tables if table.rows]
