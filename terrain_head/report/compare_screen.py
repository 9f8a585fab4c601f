"""The choices of a study side by side on one screen, and which is better by what."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Mapping, Sequence

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import ChoiceResults, Comparison
from terrain_head.assessment.differences import difference_doubt
from terrain_head.assessment.headline import headline
from terrain_head.base.amounts import pressure_amount
from terrain_head.base.middle import middle_of
from terrain_head.base.units import UnitSystem, from_si
from terrain_head.errors import WIDTH
from terrain_head.report.doubt_words import cases_words, chance_short, likely_range
from terrain_head.report.speech import (
    Speech,
    height_and_doubt,
    listed,
    plain_ascii,
    see_it,
    wrapped,
)

_LABEL = 25
_LEAST_COLUMN = 13
_GREATEST_COLUMN = 18
_BLOCK = 14

BETTER_WORDS: Mapping[str, str] = {
    "water": "more water",
    "pressure": "more pressure at the weakest outlet",
    "fall": "more fall",
    "lift": "less lift",
    "pipe": "less pipe",
    "digging": "less digging",
    "high points": "fewer high points",
    "static pressure": "less still pressure in the pipes",
    "stand": "a lower stand",
}
"""What a choice is better by, for each criterion of `terrain_head.assessment.choices.CRITERIA`."""

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
    lines += _better(comparison)
    open_yet = undecided_words(comparison)
    if open_yet:
        lines += wrapped(open_yet, label="Can't tell", indent=_BLOCK)
    if results_folder is not None:
        lines += see_it(
            results_folder, picture="choices-profile.png", page="choices.html", indent=_BLOCK
        )
    return "\n".join(plain_ascii(line.rstrip()) for line in lines) + "\n"


def summary(comparison: Comparison, *, units: UnitSystem, answers: Sequence[Answer] = ()) -> str:
    """Return in a few sentences which choices meet the needs, bring most water, are least work.

    Parameters
    ----------
    comparison
        How the choices compare.
    units
        How figures are shown.
    answers
        Every choice; without them nothing is said of the needs.
    """
    say = Speech(units=units)
    sentences = _needs(answers)
    most = comparison.better.get("water")
    by_name = {one.name: one for one in comparison.choices}
    if most is not None:
        best = by_name[most].results["delivered"]
        others = [one.results["delivered"] for one in comparison.choices if one.name != most]
        next_best = max((one for one in others if one is not None), default=None)
        if best is not None and next_best is not None:
            text = (
                f"'{most}' brings the most water: {say.per_day(best)}, against "
                f"{say.per_day_number(next_best)}"
            )
            chance = _chance_of_most(most, answers)
            sentences.append(f"{text}." if chance is None else f"{text}; {cases_words(chance)}.")
    least = comparison.better.get("digging") or comparison.better.get("pipe")
    if least is not None:
        also = "also " if least == most else ""
        sentences.append(f"'{least}' is {also}the least work to lay.")
    if not sentences:
        return "No choice stands out in water or in work."
    return " ".join(sentences)


def _chance_of_most(most: str, answers: Sequence[Answer]) -> float | None:
    """Return the chance that a choice brings more water than its closest rival."""
    by_name = {answer.choice: answer for answer in answers}
    if most not in by_name:
        return None
    doubts = [
        difference_doubt(by_name[most], other, result="delivered")
        for name, other in by_name.items()
        if name != most
    ]
    return min((one.chance_more for one in doubts if one is not None), default=None)


def _needs(answers: Sequence[Answer]) -> list[str]:
    """Say which choices give all that was asked for."""
    met = {f"'{answer.choice}'": _met(answer) for answer in answers}
    full = [name for name, word in met.items() if word == "yes"]
    open_yet = [name for name, word in met.items() if word not in {"yes", "no", ""}]
    if not any(met.values()):
        return []
    if len(full) == len(met):
        return ["Every choice gives all you asked for."]
    if len(open_yet) == len(met) and len(met) > 1:
        return ["Every choice may give all you asked for; none surely does."]
    sentences = []
    if full:
        sentences.append(f"{listed(full)} give{'s' if len(full) == 1 else ''} all you asked for.")
    if open_yet:
        sentences.append(f"{listed(open_yet)} may give all you asked for.")
    return sentences or ["No choice gives all you asked for."]


def better_by(comparison: Comparison) -> list[tuple[str, str]]:
    """Return each choice that is better by something, and by what in words."""
    found = []
    for choice in comparison.choices:
        words = [
            BETTER_WORDS[criterion]
            for criterion, name in comparison.better.items()
            if name == choice.name
        ]
        if words:
            found.append((choice.name, listed(words)))
    return found


def _better(comparison: Comparison) -> list[str]:
    lines: list[str] = []
    for name, words in better_by(comparison):
        text = f"'{name}': {words}."
        lines += wrapped(text, label="" if lines else "Better by", indent=_BLOCK)
    return lines


def undecided_words(comparison: Comparison) -> str:
    """Return what can't be said for the doubt, and why; empty where all can be said.

    Parameters
    ----------
    comparison
        How the choices compare.
    """
    by_cause: dict[bool, list[str]] = {}
    for criterion, one in comparison.undecided.items():
        words = f"{BETTER_WORDS[criterion]} ('{one.best}' {chance_short(max(one.chance, 0.5))})"
        by_cause.setdefault(one.heights_hide_it, []).append(words)
    sentences = []
    for heights, words_of in by_cause.items():
        why = "the heights are not known well enough" if heights else "the doubt is too large"
        sentences.append(f"Which has {listed(words_of)}: {why} to say.")
    return " ".join(sentences)


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
        if name in _NOT_SHOWN or all(value is None for value in values):
            continue
        cells = (_cell(answer, one, name) for answer, one in zip(answers, values, strict=True))
        rows.append((result_name(name), tuple(cells)))
    return rows


def _cell(answer: Answer, value_si: float | None, name: str) -> str:
    if name == "stand_needed":
        return _stand_cell(answer)
    if value_si is None:
        return "-"
    spread = likely_range(answer, name) if name in {"fall", "lift"} else None
    if spread is not None:
        return height_and_doubt(value_si, spread.half, answer.units)[0]
    return result_text(value_si, name, units=answer.units)


def _stand_cell(answer: Answer) -> str:
    """Say the stand that meets every need nine times in ten."""
    lines = headline(answer)
    needs = [need for need in lines.needs if need.kind == "pressure"]
    if not needs or not answer.layout.tanks:
        return "-"
    stands: list[float] = []
    for need in needs:
        middle = middle_of(answer.solution.outlets[need.name].stand_needed_m)
        sure = None if answer.drawn is None else answer.drawn.stand_sure_m(need.name)
        drawn = answer.drawn is not None and f"outlet.{need.name}.stand_needed" in (
            answer.drawn.samples
        )
        best = sure if drawn else middle
        if best is None:
            return "no stand does"
        stands.append(best)
    return stand_words(max(stands), answer.units)


def stand_words(metres: float, units: UnitSystem) -> str:
    """Return the stand that would do, or that none is needed."""
    return Speech(units=units).stand(metres) if metres > 0 else "none needed"


def _met(answer: Answer) -> str:
    lines = headline(answer)
    if lines.book_wrong is not None:
        return "can't tell"
    if lines.stops:
        return "no"
    if not lines.needs:
        return "can't tell" if lines.depends_on_heights else ""
    words = {need.sure for need in lines.needs}
    if "no" in words:
        return "no"
    chances = [need.chance for need in lines.needs if need.sure == "perhaps"]
    known = [chance for chance in chances if chance is not None]
    if len(known) < len(chances) or (lines.depends_on_heights and not known):
        return "can't tell"
    return chance_short(min(known)) if known else "yes"


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
    unit = "ft3" if say.units.name == "us" else "m3"
    number = from_si(m3, unit)
    return f"{say.grouped(number, -1 if number >= 1000 else 0)} {unit}"
