"""The job of comparing: every choice of a study solved, side by side."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import Comparison, compare
from terrain_head.errors import InputError, Trouble
from terrain_head.workflows.study import answer_all, open_study


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ComparedStudy:
    """The choices of a study, solved, and how they compare.

    Parameters
    ----------
    path
        The study file.
    answers
        Every choice, ``main`` first.
    comparison
        What differs, and which is better by what.
    """

    path: Path
    answers: tuple[Answer, ...]
    comparison: Comparison


def compare_study(path: Path) -> ComparedStudy:
    """Open a study, solve every choice of it and compare them.

    Raises
    ------
    InputError
        If a file is wrong or missing, or the study has no choice to compare.
    SurveyError
        If the survey can't be reduced or the ground of a choice can't be had.
    """
    opened = open_study(path)
    if len(opened.document.choice_names) < 2:
        raise InputError(
            f"{opened.shown} has no choices to compare.",
            Trouble(
                what="A choice overrides values of the study under a name of its own; the study "
                'as written is "main".',
                write='[choice.ridge]\npipe.delivery.route = "ridge"',
            ),
            file=opened.shown,
        )
    answers = answer_all(opened)
    return ComparedStudy(path=opened.document.path, answers=answers, comparison=compare(answers))
