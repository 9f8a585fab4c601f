"""The table of the report about valves that are shut."""

from __future__ import annotations

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.surge_findings import PipeSurge, surge_in
from terrain_head.report.finding_words_surge import shut_time
from terrain_head.report.speech import Speech
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
        UNKNOWN if closing is None else shut_time(closing) if closing > 0 else "any time",
    )
