"""The tables of the report about valves that are slammed, and large ones that fill a truck."""

from __future__ import annotations

import math

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.surge_findings import PipeSurge, surge_in
from terrain_head.assessment.truck import filling_of
from terrain_head.report.finding_words_surge import shut_time
from terrain_head.report.speech import Speech, duration
from terrain_head.report.table import UNKNOWN, Table


def surge_table(answer: Answer) -> Table:
    """Return what a valve that is slammed raises in each pipe, and what the pipe bears.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    say = Speech(units=answer.units)
    surges = [surge_in(answer.solution, pipe) for pipe in answer.layout.pipes.values()]
    return Table(
        title="If a valve is slammed",
        heads=(
            "pipe",
            "water runs",
            "wave runs",
            "there and back",
            "adds",
            "with still water",
            "may come to",
            "shut in no less than",
        ),
        rows=tuple(_row(surge, say) for surge in surges if surge is not None),
        note=(
            "The wave runs through the water up to the open water and back; a valve shut faster "
            "than that adds all of it. What it may come to holds for blows of every day: 1.5 times "
            "the rating of polyethylene, the bare rating of any other pipe."
        ),
    )


def filling_table(answer: Answer) -> Table:
    """Return how long each outlet takes that fills so much at a time.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    say = Speech(units=answer.units)
    rows = []
    for outlet in answer.layout.outlets:
        filling = filling_of(answer.solution, outlet)
        if filling is None:
            continue
        time_s, closing, surge = filling.time_s, filling.closing_s, filling.surge
        rows.append(
            (
                outlet.name,
                say.volume(filling.volume_m3),
                UNKNOWN if time_s is None else _takes(time_s),
                say.flow(filling.first_m3_s),
                say.flow(filling.last_m3_s),
                UNKNOWN if surge is None else say.pressure(surge.hammer_pa),
                UNKNOWN if closing is None else _shut(closing),
            )
        )
    return Table(
        title="Filling so much at a time",
        heads=(
            "outlet",
            "fills",
            "takes",
            "draws at first",
            "at last",
            "its valve slammed adds",
            "shut in no less than",
        ),
        rows=tuple(rows),
        note=(
            "From the full tank, the level sinking, while nothing flows in and nothing else is "
            "open. Every pipe on the way bears a valve shut as slowly as said."
        ),
    )


def _takes(time_s: float) -> str:
    return duration(time_s) if math.isfinite(time_s) else "not enough water"


def _shut(closing_s: float) -> str:
    return shut_time(closing_s) if closing_s > 0 else "any time"


def _row(surge: PipeSurge, say: Speech) -> tuple[str, ...]:
    closing = surge.closing_s
    return (
        surge.pipe,
        say.say(surge.velocity_m_s, "speed"),
        say.say(surge.wave_m_s, "speed"),
        f"{surge.return_s:.1f} s",
        say.pressure(surge.hammer_pa),
        say.pressure(surge.total_pa),
        UNKNOWN if surge.allowed_pa is None else say.pressure(surge.allowed_pa),
        UNKNOWN if closing is None else _shut(closing),
    )
