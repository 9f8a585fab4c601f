"""The outlets of a study as a small table of text."""

from __future__ import annotations

from dataclasses import dataclass

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.headline import Need, headline
from terrain_head.base.middle import middle_of
from terrain_head.report.doubt_words import chance_short
from terrain_head.report.speech import Speech
from terrain_head.report.verdict import short_outlets
from terrain_head.scheme.ends import tank_node
from terrain_head.scheme.solution import Solution

_MOST = 5
_SHOWN = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class OutletRow:
    """One outlet in words; a text is empty where the figure is not known.

    Parameters
    ----------
    name, flow
        Its name and what it draws.
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
    lines = headline(answer)
    needs = {need.name: need for need in lines.needs if need.kind == "pressure"}
    ways = _ways(answer)
    dry_tanks = {
        tank.name
        for tank in answer.layout.tanks
        if (inflow := _inflow(answer.solution, tank.name)) is not None and inflow <= 0
    }
    empty = {tank_node(tank) for tank in answer.layout.tanks if tank.name in dry_tanks}
    sucked = {one.where.pipe for one in answer.findings if one.kind == "pressure-negative"}
    rows = []
    for name, one in answer.solution.outlets.items():
        asked = stated[name]
        low, full = middle_of(one.running_low_pa), middle_of(one.running_full_pa)
        rows.append(
            OutletRow(
                name=name,
                flow="" if asked.flow_m3_s is None else say.flow(asked.flow_m3_s.value),
                low=_pressure(low, say),
                full=_pressure(full, say),
                asked="" if asked.needs_pa is None else say.pressure(asked.needs_pa.value),
                enough=_enough(
                    needs.get(name),
                    believed=lines.book_wrong is None and not ways[asked.place][1] & sucked,
                    dry=one.fed_by in dry_tanks or bool(ways[asked.place][0] & empty),
                ),
                group=one.group or "",
            )
        )
    return rows


def _pressure(pascals: float | None, say: Speech) -> str:
    """Say a running pressure; how far below nought it would be helps nobody."""
    if pascals is None:
        return ""
    return say.pressure(pascals) if pascals > 0 else "runs dry"


def _enough(need: Need | None, *, believed: bool, dry: bool) -> str:
    if need is None:
        return ""
    if dry and need.sure != "no":
        return "no water"
    if not believed:
        return "can't tell"
    if need.sure != "perhaps":
        return {"yes": "yes", "no": "NO"}[need.sure]
    return "can't tell" if need.chance is None else chance_short(need.chance)


def _ways(answer: Answer) -> dict[str, tuple[frozenset[str], frozenset[str]]]:
    """Return the nodes and the pipes that water passes on its way to each outlet's place."""
    into = {pipe.downstream: pipe for pipe in answer.layout.pipes.values()}
    ways = {}
    for outlet in answer.layout.outlets:
        nodes, pipes = {outlet.place}, set()
        pipe = into.get(outlet.place)
        while pipe is not None and pipe.name not in pipes:
            pipes.add(pipe.name)
            nodes.add(pipe.upstream)
            pipe = into.get(pipe.upstream)
        ways[outlet.place] = (frozenset(nodes), frozenset(pipes))
    return ways


def _inflow(solution: Solution, tank: str) -> float | None:
    result = solution.tanks.get(tank)
    return None if result is None else middle_of(result.inflow_m3_s)


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
        full = _short(row.full) if tanked else ""
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
