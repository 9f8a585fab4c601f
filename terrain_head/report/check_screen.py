"""What ``check`` and ``new`` print: is the file right, what is blank, what is answered."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from terrain_head.errors import WIDTH

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


@dataclass(frozen=True, slots=True, kw_only=True)
class StartedStudy:
    """A study that was just started.

    Parameters
    ----------
    file, folder
        The study file and its folder as shown.
    points, routes, blanks
        How many points and routes are named in it, and how many values are blank.
    """

    file: str
    folder: str
    points: int
    routes: int
    blanks: int


def started_text(started: StartedStudy) -> str:
    """Return what ``new`` prints.

    Examples
    --------
    >>> print(started_text(StartedStudy(file="hill/study.toml", folder="hill", points=3,
    ...     routes=1, blanks=9)))
    Started hill/study.toml with your 3 points and 1 route; 9 values are blank.
    <BLANKLINE>
    Fill in what you know, leave the rest, and look:
      terrain-head check hill
    """
    names = [
        _counted(number, word)
        for number, word in ((started.points, "point"), (started.routes, "route"))
        if number
    ]
    named = f" with your {' and '.join(names)}" if names else ""
    blank = f"{_counted(started.blanks, 'value')} {'is' if started.blanks == 1 else 'are'} blank."
    folder = f'"{started.folder}"' if " " in started.folder else started.folder
    return (
        f"Started {started.file}{named}; {blank}\n\n"
        f"Fill in what you know, leave the rest, and look:\n  terrain-head check {folder}"
    )


def _counted(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


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
    room = WIDTH - len(title) - len(check.file)
    return f"{title}{' ' * room}{check.file}" if room >= 2 else f"{title}\n{check.file}"


def _verdict(check: StudyCheck) -> str:
    count = len(check.blanks)
    if not count:
        return "The file is right, and nothing in it is blank."
    are = "is" if count == 1 else "are"
    return f"The file is right so far. {_counted(count, 'value')} {are} still blank."


def _blanks(blanks: Sequence[tuple[int, str]]) -> str:
    lines = [f"  {f'line {line}':<9} {key}" for line, key in blanks[:_MOST_BLANKS]]
    more = len(blanks) - _MOST_BLANKS
    if more > 0:
        lines.append(f"  and {more} more further down")
    return "\n".join(lines)


def _labelled(label: str, paragraphs: Sequence[str]) -> list[str]:
    lines: list[str] = []
    for paragraph in paragraphs:
        wrapped = textwrap.wrap(paragraph, WIDTH - _LABEL, break_long_words=False)
        for text in wrapped:
            lines.append(f"{label if not lines else '':<{_LABEL}}{text}")
    return lines
