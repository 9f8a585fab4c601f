"""The tables of the report about the published rules for the drive pipe."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from terrain_head.assessment.answer import Answer
from terrain_head.base.citation import Citation
from terrain_head.base.middle import middle_of
from terrain_head.formulas.drive_sizing import (
    DRIVE_FLOW_RANGE,
    Allowed,
    agreed,
    bores_allowed,
    drive_flow_range_m3_s,
    lengths_allowed,
)
from terrain_head.report.speech import Speech
from terrain_head.report.table import Table
from terrain_head.scheme.layout import Pipe

_HEADS = ("rule", "from", "to", "this pipe", "read in")
_DIFFER_NOTE = (
    "Not all of them agree. Where most agree: {low} to {high}. Apart: {rest}. In doubt, the first."
)
_AGREED_NOTE = "Where all agree: {low} to {high}."


def lengths_table(answer: Answer) -> Table:
    """Return what each published rule says of the drive pipe's length, and where most agree."""
    say, pipe = Speech(units=answer.units), _drive(answer)
    title = "Length of the drive pipe by published rules"
    fall = None if answer.solution.ram is None else middle_of(answer.solution.ram.fall_m)
    length = None if pipe is None else middle_of(pipe.length_m)
    if pipe is None or fall is None or fall <= 0 or length is None:
        return Table(title=title, heads=_HEADS, rows=())
    allowed = lengths_allowed(fall_m=fall, inside_m=middle_of(pipe.inside_m))
    return _table(title, allowed, value_m=length, said=say.length)


def bores_table(answer: Answer) -> Table:
    """Return what each published rule says of the drive pipe's bore, and of its flow."""
    say, pipe, ram = Speech(units=answer.units), _drive(answer), answer.layout.ram
    title = "Bore of the drive pipe by published rules"
    used = None if answer.solution.ram is None else middle_of(answer.solution.ram.used_m3_s)
    bore = None if pipe is None else middle_of(pipe.inside_m)
    if pipe is None or ram is None or used is None or used <= 0 or bore is None:
        return Table(title=title, heads=_HEADS, rows=())
    delivery = None if ram.count > 1 else _delivery_bore_m(answer)
    allowed = bores_allowed(flow_m3_s=used / ram.count, delivery_inside_m=delivery)
    table = _table(title, allowed, value_m=bore, said=say.bore)
    least, most = (float(flow) for flow in drive_flow_range_m3_s(bore))
    flows = (
        "flow that such a bore is listed for",
        say.flow(least),
        say.flow(most),
        say.flow(used / ram.count),
        _work(DRIVE_FLOW_RANGE),
    )
    return Table(title=title, heads=_HEADS, rows=(*table.rows, flows), note=table.note)


def _table(
    title: str, allowed: Sequence[Allowed], *, value_m: float, said: Callable[[float], str]
) -> Table:
    rows = [
        (
            one.key,
            said(one.low_m) if one.low_m > 0 else "-",
            said(one.high_m) if np.isfinite(one.high_m) else "-",
            f"{said(value_m)}: {'meets it' if one.low_m <= value_m <= one.high_m else 'does not'}",
            _work(one.citation),
        )
        for one in allowed
    ]
    both = agreed(allowed)
    high = said(both.high_m) if np.isfinite(both.high_m) else "any"
    note = _DIFFER_NOTE if both.differ else _AGREED_NOTE
    return Table(
        title=title,
        heads=_HEADS,
        rows=tuple(rows),
        note=note.format(low=said(both.low_m), high=high, rest="; ".join(both.differ)),
    )


def _work(citation: Citation) -> str:
    """Name the work alone: what was read at the place stands in the other cells."""
    return str(citation.source.at("", obtained=citation.obtained))


def _drive(answer: Answer) -> Pipe | None:
    ram = answer.layout.ram
    return None if ram is None else answer.layout.pipes.get(ram.drive)


def _delivery_bore_m(answer: Answer) -> float | None:
    """Return the inside diameter of the first delivery pipe [m]."""
    bores = (
        middle_of(pipe.inside_m) for pipe in answer.layout.pipes.values() if pipe.role == "delivery"
    )
    return next((bore for bore in bores if bore is not None), None)
