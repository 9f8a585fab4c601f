"""What ``check`` prints: is the file right, what is blank, what would be answered."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

_WIDTH = 79
_LABEL = 16
_MOST_BLANKS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question that a study can answer.

    Parameters
    ----------
    asks
        What is asked: "the fall".
    lacks
        What the study still lacks for it, as keys of the file; empty where it is answered.
    """

    asks: str
    lacks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyCheck:
    """What a study file that is right in itself comes to.

    Parameters
    ----------
    title, file
        Title and file as shown.
    choices
        Names of the choices, ``main`` first.
    blanks
        Line and key of each value still to be filled in.
    questions
        What would be answered, and what is lacking for the rest.
    """

    title: str
    file: str
    choices: tuple[str, ...]
    blanks: tuple[tuple[int, str], ...]
    questions: tuple[Question, ...]


def check_text(check: StudyCheck) -> str:
    """Return the screen of ``check``.

    Examples
    --------
    >>> print(check_text(StudyCheck(title="Bank", file="bank/study.toml", choices=("main",),
    ...     blanks=((3, "[source] flow"),), questions=(Question(asks="the fall"),))))
    BANK                                                            bank/study.toml
    <BLANKLINE>
    The file is right so far. 1 value is still blank.
    <BLANKLINE>
      line 3    [source] flow
    <BLANKLINE>
    Answers         the fall
    """
    parts = [_heading(check), _verdict(check)]
    if check.blanks:
        parts.append(_blanks(check.blanks))
    answered = [question.asks for question in check.questions if not question.lacks]
    lines = _labelled("Answers", [", ".join(answered) if answered else "nothing yet"])
    lines += _labelled(
        "Not asked",
        [
            f"{question.asks}: wants {' and '.join(question.lacks)}"
            for question in check.questions
            if question.lacks
        ],
    )
    if len(check.choices) > 1:
        lines += _labelled("Choices", [", ".join(check.choices)])
    parts.append("\n".join(lines))
    return "\n\n".join(parts)


def _heading(check: StudyCheck) -> str:
    title = check.title.upper()
    room = _WIDTH - len(title) - len(check.file)
    return f"{title}{' ' * room}{check.file}" if room >= 2 else f"{title}\n{check.file}"


def _verdict(check: StudyCheck) -> str:
    count = len(check.blanks)
    if not count:
        return "The file is right, and nothing in it is blank."
    are = "1 value is" if count == 1 else f"{count} values are"
    return f"The file is right so far. {are} still blank."


def _blanks(blanks: Sequence[tuple[int, str]]) -> str:
    lines = [f"  {f'line {line}':<9} {key}" for line, key in blanks[:_MOST_BLANKS]]
    more = len(blanks) - _MOST_BLANKS
    if more > 0:
        lines.append(f"  and {more} more further down")
    return "\n".join(lines)


def _labelled(label: str, paragraphs: Sequence[str]) -> list[str]:
    lines: list[str] = []
    for paragraph in paragraphs:
        wrapped = textwrap.wrap(paragraph, _WIDTH - _LABEL, break_long_words=False)
        for text in wrapped:
            lines.append(f"{label if not lines else '':<{_LABEL}}{text}")
    return lines
