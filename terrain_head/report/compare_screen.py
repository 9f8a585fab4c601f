"""The choices of a study side by side on one screen, and which is better by what."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Mapping, Sequence

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import ChoiceResults, Comparison
from terrain_head.assessment.headline import headline
from terrain_head.assessment.standing import peers, standing_of
from terrain_head.base.amounts import pressure_amount
from terrain_head.base.middle import middle_of
from terrain_head.base.units import UnitSystem, from_si
from terrain_head.errors import WIDTH
from terrain_head.report.compare_summary import (
    better_by,
    like_with_like,
    summary,
    undecided_words,
)
from terrain_head.report.doubt_words import chance_short, likely_range
from terrain_head.report.speech import (
    Speech,
    height_and_doubt,
    plain_ascii,
    see_it,
    wrapped,
)

__all__ = [
    "RESULT_WORDS",
    "better_by",
    "compare_screen",
    "result_text",
    "side_by_side",
    "stand_words",
    "summary",
    "undecided_words",
]

_LABEL = 25
_LEAST_COLUMN = 13
_GREATEST_COLUMN = 18
_BLOCK = 14

RESULT_WORDS: Mapping[str, str] = {
    "fall": "fall",
    "lift": "lift",
    "delivery_pipe_length": "delivery pipe",
    "pipe_length": "pipe without the drive",
    "delivered": "water a day",
    "least_running": "weakest outlet",
    "highest_static": "highest still pressure",
    "digging": "earth to dig",
    "high_points": "high points",
    "low_points": "low points",
    "stand": "stand",
    "stand_needed": "stand that would do",
    "stand_sure": "stand, 9 times in 10",
    "stand_middle": "stand, as often as not",
}
"""How each result is called; pressures at outlets go by the outlet's name."""

_PRESSURES = {"least_running", "highest_static"}
_NOT_SHOWN = {"least_running"}


def compare_screen(
    answers: Sequence[Answer], comparison: Comparison, *, results_folder: str | None = None
) -> str:
    """Return the choices side by side as plain text, at most 79 columns.

    Parameters
    ----------
    answers
        Every choice, solved and judged, at least one.
    comparison
        How they compare.
    results_folder
        Where pictures and page went; None if nowhere.
    """
    first = answers[0]
    title = plain_ascii(first.title).upper()
    gap = max(WIDTH - len(title) - len(first.file), 2)
    lines = [f"{title}{' ' * gap}{first.file}", ""]
    lines += wrapped(summary(comparison, units=first.units, answers=answers))
    lines.append("")
    width = min(max((WIDTH - _LABEL) // len(answers), _LEAST_COLUMN), _GREATEST_COLUMN)
    at_once = (WIDTH - _LABEL) // width
    for start in range(0, len(answers), at_once):
        part = slice(start, start + at_once)
        choices = comparison.choices[part]
        lines += _heads([one.name for one in choices], width)
        rows = side_by_side(answers[part], choices)
        lines += [_line(label, cells, width) for label, cells in rows]
        lines.append("")
    held = like_with_like(comparison, answers=answers)
    lines += _better(held, peers(answers))
    open_yet = undecided_words(held)
    if open_yet:
        lines += wrapped(open_yet, label="Can't tell", indent=_BLOCK)
    if results_folder is not None:
        lines += see_it(
            results_folder, picture="choices-profile.png", page="choices.html", indent=_BLOCK
        )
    return "\n".join(plain_ascii(line.rstrip()) for line in lines) + "\n"


def side_by_side(
    answers: Sequence[Answer], choices: Sequence[ChoiceResults]
) -> list[tuple[str, tuple[str, ...]]]:
    """Return the name of each result and its text for each choice; results none has left out.

    Parameters
    ----------
    answers, choices
        The choices, solved, and their results, in the same order.
    """
    rows: list[tuple[str, tuple[str, ...]]] = []
    met = tuple(_met(answer) for answer in answers)
    if any(met):
        rows.append(("all needs met", met))
    for name in dict.fromkeys(name for one in choices for name in one.results):
        values = [one.results.get(name) for one in choices]
        if name in _NOT_SHOWN or not any(values if name == "digging" else map(_given, values)):
            continue
        if name == "stand_needed":
            rows += _stand_rows(answers)
            continue
        cells = (_cell(answer, one, name) for answer, one in zip(answers, values, strict=True))
        rows.append((result_name(name), tuple(cells)))
    return rows


def _cell(answer: Answer, value_si: float | None, name: str) -> str:
    if value_si is None:
        return "-"
    spread = likely_range(answer, name) if name in {"fall", "lift"} else None
    if spread is not None:
        return height_and_doubt(value_si, spread.half, units=answer.units)[0]
    return result_text(value_si, name, units=answer.units)


def _given(value: float | None) -> bool:
    return value is not None


def _stand_rows(answers: Sequence[Answer]) -> list[tuple[str, tuple[str, ...]]]:
    """Return the stand that meets every need: nine times in ten, and its middle beside it."""
    middles = tuple(_stand_cell(answer, _stand_middle) for answer in answers)
    if all(answer.drawn is None for answer in answers):
        return [(RESULT_WORDS["stand_needed"], middles)]
    sure = tuple(_stand_cell(answer, _stand_sure) for answer in answers)
    rows = [(RESULT_WORDS["stand_sure"], sure)]
    return rows if sure == middles else [*rows, (RESULT_WORDS["stand_middle"], middles)]


def _stand_cell(answer: Answer, stand_of: Callable[[Answer, str], float | None]) -> str:
    """Say the stand that meets every need for pressure, by one way of taking it."""
    needs = [need.name for need in headline(answer).needs if need.kind == "pressure"]
    if not needs or not answer.layout.tanks:
        return "-"
    stands = [stand_of(answer, name) for name in needs]
    known = [stand for stand in stands if stand is not None]
    return "no stand does" if len(known) < len(stands) else stand_words(max(known), answer.units)


def _stand_middle(answer: Answer, name: str) -> float | None:
    return middle_of(answer.solution.outlets[name].stand_needed_m)


def _stand_sure(answer: Answer, name: str) -> float | None:
    drawn = answer.drawn
    if drawn is None or f"outlet.{name}.stand_needed" not in drawn.samples:
        return _stand_middle(answer, name)
    return drawn.stand_sure_m(name)


def stand_words(metres: float, units: UnitSystem) -> str:
    """Return the stand that would do, or that none is needed."""
    return Speech(units=units).stand(metres) if metres > 0 else "none needed"


def _met(answer: Answer) -> str:
    standing = standing_of(answer)
    if standing.met == "perhaps" and standing.chance is not None:
        return chance_short(standing.chance)
    return "" if standing.met == "not asked" else standing.met


def _better(comparison: Comparison, answers: Sequence[Answer]) -> list[str]:
    lines: list[str] = []
    for name, words in better_by(comparison, answers=answers):
        text = f"'{name}': {words}."
        lines += wrapped(text, label="" if lines else "Better by", indent=_BLOCK)
    return lines


def _heads(names: Sequence[str], width: int) -> list[str]:
    """Return the names over the columns, a long one folded on as many lines as it takes."""
    folded = [textwrap.wrap(name, width - 1) or [""] for name in names]
    most = max(len(lines) for lines in folded)
    padded = [[""] * (most - len(lines)) + lines for lines in folded]
    return [_line("", row, width) for row in zip(*padded, strict=True)]


def _line(label: str, cells: Sequence[str], width: int) -> str:
    text = "".join(f"{cell[: width - 1]:<{width}}" for cell in cells)
    return f"{label[: _LABEL - 1]:<{_LABEL}}{text}"


def result_name(name: str) -> str:
    """Return how a result is called.

    Examples
    --------
    >>> result_name("running.house tap"), result_name("delivered")
    ('house tap, running', 'water a day')
    """
    if name.startswith("running."):
        return f"{name.removeprefix('running.')}, running"
    return RESULT_WORDS[name]


def result_text(value_si: float, name: str, *, units: UnitSystem) -> str:
    """Return a result as a short text with its unit.

    Parameters
    ----------
    value_si
        The value, SI.
    name
        Name of the result.
    units
        How it is shown.
    """
    say = Speech(units=units)
    us = units.name == "us"
    if name in _PRESSURES or name.startswith("running."):
        if name.startswith("running.") and value_si <= 0:
            return "runs dry"
        return pressure_amount(value_si, units)
    if name == "delivered":
        return f"{say.per_day_number(value_si)} {'gal' if us else 'L'}"
    sayers: Mapping[str, Callable[[float], str]] = {
        "high_points": lambda count: say.grouped(count, 0),
        "low_points": lambda count: say.grouped(count, 0),
        "digging": lambda m3: _earth(m3, say),
        "stand": say.stand,
        "stand_needed": lambda metres: stand_words(metres, units),
        "pipe_length": say.length,
        "delivery_pipe_length": say.length,
    }
    return sayers.get(name, say.height)(value_si)


def _earth(m3: float, say: Speech) -> str:
    if m3 <= 0:
        return "none"
    unit = "ft3" if say.units.name == "us" else "m3"
    number = from_si(m3, unit)
    return f"{say.grouped(number, -1 if number >= 1000 else 0)} {unit}"
