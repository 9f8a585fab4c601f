"""What to measure next, in words."""

from __future__ import annotations

import textwrap

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.foreseen import Foreseen
from terrain_head.assessment.measure_next import Question, measure_next
from terrain_head.assessment.measurements import TIMINGS, Measurement
from terrain_head.errors import WIDTH
from terrain_head.report.doubt_words import chance_words, part_words
from terrain_head.report.speech import Speech, sentence_case
from terrain_head.scheme.ends import SOURCE

MOST = 3
"""How many measurements are told of one need; the document has all."""
_TEN = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_NOTHING = "nothing that is measured soon would tell"
_STATED = "level the places on its way whose heights nobody knows to be right"
_HOUR_MIN = 60.0
_LEAST_KNOWN, _LEAST_NARROWER, _LEAST_MORE = 0.1, 0.15, 0.05


def measure_lines(answer: Answer) -> list[str]:
    """Return what would settle each need that is not sure, best for its effort first.

    Parameters
    ----------
    answer
        One choice of one study.

    Returns
    -------
    list of str
        Lines of at most 79 columns, without a heading; empty where every need is sure.
    """
    lines: list[str] = []
    for question in measure_next(answer):
        lines += textwrap.wrap(_asked(question), WIDTH)
        told = [_line(one, answer) for one in _worth_telling(question)]
        for text in told or [_NOTHING if question.chance is not None else _STATED]:
            lines += textwrap.wrap(f"- {text}", WIDTH, subsequent_indent="  ")
        lines += textwrap.wrap(_together(question), WIDTH, subsequent_indent="  ")
    return lines


def measure_first(answer: Answer) -> str:
    """Return what is best measured next, as one sentence; empty where nothing would tell.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    for question in measure_next(answer):
        told = [one for one in _worth_telling(question) if _worth(one.foreseen)]
        if told:
            return f"{sentence_case(_line(told[0], answer))}."
    return ""


def _worth_telling(question: Question) -> list[Measurement]:
    """Return the first measurement, and the next ones that tell something alone or together."""
    first, *others = question.measurements or (None,)
    if first is None:
        return []
    if not _together(question):
        others = [one for one in others if _worth(one.foreseen)]
    return [first, *others][:MOST]


def _worth(told: Foreseen | None) -> bool:
    return told is None or told.known >= _LEAST_KNOWN or told.narrower >= _LEAST_NARROWER


def _together(question: Question) -> str:
    """Return what all together tell, empty where it is no more than the best one does."""
    alone = [one.foreseen.known for one in question.measurements if one.foreseen is not None]
    if question.together is None or question.together.known < max(alone) + _LEAST_MORE:
        return ""
    count = "both" if len(question.measurements) == 2 else "all"
    return f"- {count} together: {_told(question.together)}"


def _asked(question: Question) -> str:
    what = {
        "water": f"enough water reaches {_tank(question.name)}",
        "pressure": f"the pressure at {question.name} is enough",
        "clearance": f"pipe {question.name} stays full at its highest stretch",
    }[question.kind]
    now = "not known" if question.chance is None else chance_words(question.chance)
    return f"To know whether {what} (now {now}):"


def _tank(name: str) -> str:
    return "the tank" if name == "tank" else f"the tank '{name}'"


def _line(one: Measurement, answer: Answer) -> str:
    say = Speech(units=answer.units)
    outlet = answer.solution.outlets.get(one.of)
    above = "the tank" if outlet is None or outlet.fed_by != SOURCE else "the spring"
    what = {
        "level the fall": "level from the spring to the ram",
        "level the lift": "level from the ram to the tank",
        "level a tank": f"level from the spring to {_tank(one.of)}",
        "level an outlet": f"level from {above} to {one.of}",
        "time the spring": f"time the spring {TIMINGS} times more",
        "time the ram": "let the ram run a day, and time what it takes and gives",
        "caliper the pipes": "measure the pipes' inside diameters with a caliper",
        "shoot a stake": (
            f"level to pipe {one.of} at "
            f"{'its least clear spot' if one.station_m is None else say.length(one.station_m)}"
        ),
    }[one.kind]
    return f"{what} ({_effort(one.minutes)}): {_told(one.foreseen)}"


def _effort(minutes: float) -> str:
    """Return the work in words.

    Examples
    --------
    >>> _effort(40.0), _effort(70.0), _effort(120.0)
    ('40 minutes', '1 1/2 hours', '2 hours')
    """
    if minutes <= _HOUR_MIN:
        return f"{minutes:.0f} minutes"
    halves = -int(-minutes // (_HOUR_MIN / 2))
    return f"{halves // 2}{' 1/2' if halves % 2 else ''} hours"


def _told(told: Foreseen | None) -> str:
    """Return what a measurement is expected to tell.

    Examples
    --------
    >>> _told(Foreseen(narrower=0.4, known=0.71)), _told(None)
    ('tells in seven cases of ten, range narrower by 2/5', 'comes first, its height is not known')
    """
    if told is None:
        return "comes first, its height is not known"
    cases = f"tells in {_TEN[round(10 * told.known)]} cases of ten"
    if told.known >= 0.95:
        cases = "tells in nearly every case"
    elif round(10 * told.known) <= 1:
        cases = "seldom tells by itself"
    part = part_words(told.narrower)
    if part in {"all", "nearly all"}:
        return f"{cases}, hardly any doubt left"
    return f"{cases}, range narrower by {part}"
