"""Whether water reaches each outlet at all: without it a pressure is worth nothing."""

from __future__ import annotations

from typing import Literal

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.headline import headline
from terrain_head.assessment.ways import way_to
from terrain_head.base.middle import middle_of

Arrival = Literal["water", "no water", "can't tell"]
"""``no water`` where a tank on the way gets none; ``can't tell`` where the heights can't be
believed or a pipe on the way sucks."""


def arrivals(answer: Answer) -> dict[str, Arrival]:
    """Return whether water reaches each outlet, by its name.

    Parameters
    ----------
    answer
        The choice, solved and judged.
    """
    believed = headline(answer).book_wrong is None
    sucked = {one.where.pipe for one in answer.findings if one.kind == "pressure-negative"}
    found: dict[str, Arrival] = {}
    for outlet in answer.layout.outlets:
        way = way_to(answer.layout, outlet, result=answer.solution.outlets.get(outlet.name))
        if any(_dry(answer, tank) for tank in way.tanks):
            found[outlet.name] = "no water"
        elif believed and not way.pipes & sucked:
            found[outlet.name] = "water"
        else:
            found[outlet.name] = "can't tell"
    return found


def _dry(answer: Answer, tank: str) -> bool:
    result = answer.solution.tanks.get(tank)
    inflow = None if result is None else middle_of(result.inflow_m3_s)
    return inflow is not None and inflow <= 0
