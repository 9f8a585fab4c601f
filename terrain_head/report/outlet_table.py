"""The outlets of a study as a small table of text."""

from __future__ import annotations

from dataclasses import dataclass

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle_of
from terrain_head.report.measurement import likelihood
from terrain_head.report.speech import Speech
from terrain_head.report.verdict import short_outlets

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
        Pressure asked for, and whether it is met: "yes", "NO" or empty.
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
    rows = []
    for name, one in answer.solution.outlets.items():
        asked = stated[name]
        low, full = middle_of(one.running_low_pa), middle_of(one.running_full_pa)
        enough = likelihood(one.enough)
        rows.append(
            OutletRow(
                name=name,
                flow="" if asked.flow_m3_s is None else say.flow(asked.flow_m3_s.value),
                low="" if low is None else say.pressure(low),
                full="" if full is None else say.pressure(full),
                asked="" if asked.needs_pa is None else say.pressure(asked.needs_pa.value),
                enough="" if enough is None else ("yes" if enough else "NO"),
                group=one.group or "",
            )
        )
    return rows


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
    lines = [f"{f'Outlets, {how}':<28}{heads[0]:<19}{heads[1]:<19}{heads[2]}".rstrip()]
    for row in rows:
        name = f"{row.name[:12]:<12} {row.flow}"
        asked = row.asked.split(" (")[0]
        full = row.full if tanked else ""
        lines.append(f"  {name:<26}{row.low:<19}{full:<19}{asked:<9}{row.enough}".rstrip())
    if left:
        lines.append(f"  and {left} more in the report")
    return lines
