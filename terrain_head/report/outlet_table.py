"""The outlets of a study as a small table of text."""

from __future__ import annotations

from dataclasses import dataclass

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.arrival import Arrival, arrivals
from terrain_head.assessment.headline import Need, headline
from terrain_head.base.middle import middle_of
from terrain_head.report.doubt_words import chance_short
from terrain_head.report.speech import Speech, duration
from terrain_head.report.verdict import short_outlets
from terrain_head.scheme.parts import Outlet

_MOST = 5
_SHOWN = 4
_FREE = "runs out free"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutletRow:
    """One outlet in words; a text is empty where the figure is not known.

    Parameters
    ----------
    name, flow
        Its name and what it draws; what comes out of an opening.
    low, full
        Running pressure with the tank at its lowest useful level, and full.
    asked, enough
        Pressure asked for, and whether it is met: "yes", "NO", "7 in 10", "no water" (none gets
        there), "can't tell" (heights that can't be believed, a pipe that sucks) or empty.
    group
        The outlets that run together in its worst case.
    """

    name: str
    flow: str
    low: str
    full: str
    asked: str
    enough: str
    group: str


def outlet_rows(answer: Answer) -> list[OutletRow]:
    """Return the outlets in the order of the study."""
    say = Speech(units=answer.units)
    stated = {one.name: one for one in answer.layout.outlets}
    needs = {need.name: need for need in headline(answer).needs if need.kind == "pressure"}
    arrives = arrivals(answer)
    fillings = _fillings(answer, say)
    rows = []
    for name, one in answer.solution.outlets.items():
        asked = stated[name]
        low, full = middle_of(one.running_low_pa), middle_of(one.running_full_pa)
        free = _open_end(asked, middle_of(one.flow_m3_s))
        rows.append(
            OutletRow(
                name=name,
                flow=_flow(asked, middle_of(one.flow_m3_s), say),
                low=free or _pressure(low, say),
                full=fillings.get(name, free) if free == _FREE else _pressure(full, say),
                asked="" if asked.needs_pa is None else say.pressure(asked.needs_pa.value),
                enough=_enough(needs.get(name), arrival=arrives[name]),
                group=one.group or "",
            )
        )
    return rows


def _fillings(answer: Answer, say: Speech) -> dict[str, str]:
    """Say how long what fills so much at a time takes from the full tank, by the outlet's name."""
    return {
        one.where.outlet: f"{say.volume(one.values['volume_m3'])} in {duration(one.value)}"
        for one in answer.findings
        if one.kind == "outlet-fills" and one.where.outlet is not None and one.value is not None
    }


def _flow(outlet: Outlet, flow: float | None, say: Speech) -> str:
    """Say what an outlet draws, or what comes out of it."""
    if outlet.opens is None:
        return "" if outlet.flow_m3_s is None else say.flow(outlet.flow_m3_s.value)
    return "" if flow is None else say.flow(flow)


def _open_end(outlet: Outlet, flow: float | None) -> str:
    """Say how an open pipe end runs; empty for any other outlet."""
    if outlet.opens is None or outlet.opens.gives_m3_s is not None or flow is None:
        return ""
    return _FREE if flow > 0 else "runs dry"


def _pressure(pascals: float | None, say: Speech) -> str:
    """Say a running pressure; how far below nought it would be helps nobody."""
    if pascals is None:
        return ""
    return say.pressure(pascals) if pascals > 0 else "runs dry"


def _enough(need: Need | None, *, arrival: Arrival) -> str:
    if need is None:
        return ""
    if arrival == "can't tell" or (arrival == "no water" and need.sure != "no"):
        return arrival
    if need.sure != "perhaps":
        return {"yes": "yes", "no": "NO"}[need.sure]
    return "can't tell" if need.chance is None else chance_short(need.chance)


def outlet_lines(answer: Answer) -> list[str]:
    """Return the table for the screen; of more than five outlets four, the weakest first.

    Without a tank there is one running pressure only.
    """
    rows = [row for row in outlet_rows(answer) if row.low or row.full]
    if not rows:
        return []
    left = 0
    if len(rows) > _MOST:
        short = short_outlets(answer)
        first = [row for row in rows if row.name in short]
        rest = [row for row in rows if row.name not in short]
        left = len(rows) - _SHOWN
        rows = [*first, *rest][:_SHOWN]
    tanked = bool(answer.solution.tanks)
    groups = {row.group for row in rows}
    how = "all open" if groups <= {"", "all"} else "at their worst"
    heads = ("tank low", "tank full", "asked") if tanked else ("running", "", "asked")
    asked = any(row.asked for row in rows)
    lines = [_line(f"Outlets, {how}", heads if asked else (*heads[:2], ""), "")]
    for row in rows:
        name = f"  {row.name[:12]:<12} {row.flow}"
        full = _short(row.full) if tanked and row.full != _FREE else ""
        lines.append(_line(name, (row.low, full, _short(row.asked)), row.enough))
    if left:
        lines.append(f"  and {left} more in the report")
    return lines


def _short(pressure: str) -> str:
    return pressure.split(" (", maxsplit=1)[0]


def _line(name: str, cells: tuple[str, str, str], enough: str) -> str:
    low, full, asked = cells
    low = low if len(low) <= 19 else _short(low)
    return f"{name:<28}{low:<20}{full:<11}{asked:<10}{enough}".rstrip()
