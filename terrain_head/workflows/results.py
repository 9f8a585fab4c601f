"""The results folder: pictures, a table along each pipe, JSON and a report, each whole or not."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import Comparison
from terrain_head.files.output import write_whole
from terrain_head.report.measurement import dumps
from terrain_head.report.pipe_tables import pipe_csv
from terrain_head.report.report_html import Picture, comparison_html, report_html
from terrain_head.report.study_document import study_document

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_PICTURES: Mapping[str, Literal["system", "plan", "stand"]] = {
    "profile": "system",
    "plan": "plan",
    "stand": "stand",
}
"""What each picture shows, by the name of its file."""

_CHOICES_PICTURES: Mapping[str, str] = {
    "choices-profile": "The delivery pipes of the choices along their ground, over one another",
    "choices-plan": "The routes of the choices on one plan",
}


def results_folder(study_path: Path, *, choice: str = "main") -> Path:
    """Return where the results of a choice go: ``STEM-results`` beside the study.

    Examples
    --------
    >>> results_folder(Path("hill/study.toml")).as_posix()
    'hill/study-results'
    >>> results_folder(Path("hill/study.toml"), choice="by the wood").as_posix()
    'hill/study-results/by-the-wood'
    """
    folder = study_path.with_name(f"{study_path.stem}-results")
    return folder if choice == "main" else folder / file_name(choice)


def file_name(name: str) -> str:
    """Return a name of the study as part of a file's name.

    Examples
    --------
    >>> file_name("bed line / lower")
    'bed-line-lower'
    """
    return re.sub(r"[^\w.]+", "-", name, flags=re.UNICODE).strip("-.") or "unnamed"


def file_names(names: Iterable[str]) -> Mapping[str, str]:
    """Return each name as part of a file's name of its own, also where capitals are not told apart.

    Examples
    --------
    >>> dict(file_names(["bed line", "Bed-line"]))
    {'bed line': 'bed-line', 'Bed-line': 'Bed-line-2'}
    """
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        base = unique = file_name(name)
        number = 1
        while unique.casefold() in taken:
            number += 1
            unique = f"{base}-{number}"
        taken.add(unique.casefold())
        found[name] = unique
    return found


def figures_of(answer: Answer) -> Mapping[str, Figure]:
    """Return the figures of one choice by the name of their file."""
    from terrain_head.plots.plan_sheet import plan_figure
    from terrain_head.plots.stand_sheet import stand_figure
    from terrain_head.plots.system_sheet import system_figure

    figures = {
        "profile": system_figure(answer),
        "plan": plan_figure(answer),
        "stand": stand_figure(answer),
    }
    return {name: figure for name, figure in figures.items() if figure is not None}


def write_results(
    answer: Answer, folder: Path, *, told: Callable[[str], object] = lambda _: None
) -> tuple[Path, ...]:
    """Draw, write and return everything of one choice.

    Parameters
    ----------
    answer
        The choice, solved and judged.
    folder
        Where it goes; made if it is missing.
    told
        Called with the name of each file once it stands.

    Returns
    -------
    tuple of Path
        The files written.
    """
    written = []
    for name, content in _contents(answer):
        written.append(write_whole(folder / name, content))
        told(name)
    return tuple(written)


def count_of_results(answer: Answer) -> int:
    """Return about how many files `write_results` writes, for a progress bar."""
    return 2 * len(_PICTURES) + len(answer.layout.pipes) + 2


def _contents(answer: Answer) -> Iterator[tuple[str, bytes | str]]:
    from terrain_head.plots.alternative import text_alternative
    from terrain_head.plots.sheet import figure_bytes

    pictures: dict[str, Picture] = {}
    for name, figure in figures_of(answer).items():
        svg = figure_bytes(figure, kind="svg")
        yield f"{name}.png", figure_bytes(figure, kind="png")
        yield f"{name}.svg", svg
        text = text_alternative(answer, picture=_PICTURES[name])
        pictures[name] = Picture(data=svg, kind="svg", alternative=text)
    for pipe, name in file_names(answer.layout.pipes).items():
        yield f"pipe-{name}.csv", pipe_csv(answer, pipe)
    yield "results.json", dumps(study_document(answer))
    yield "report.html", report_html(answer, pictures=pictures)


def write_comparison(
    answers: Sequence[Answer], comparison: Comparison, *, folder: Path
) -> tuple[Path, ...]:
    """Draw the choices over one another, and write the pictures and a page that holds them.

    Parameters
    ----------
    answers
        Every choice, solved and judged.
    comparison
        How they compare.
    folder
        Where it goes; made if it is missing.

    Returns
    -------
    tuple of Path
        The files written.
    """
    from terrain_head.plots.choices_sheet import choices_plan_figure, choices_profile_figure
    from terrain_head.plots.sheet import figure_bytes

    figures = {
        "choices-profile": choices_profile_figure(answers),
        "choices-plan": choices_plan_figure(answers),
    }
    names = ", ".join(answer.choice for answer in answers)
    written = []
    pictures: dict[str, Picture] = {}
    for name, figure in figures.items():
        if figure is None:
            continue
        svg = figure_bytes(figure, kind="svg")
        written.append(write_whole(folder / f"{name}.png", figure_bytes(figure, kind="png")))
        written.append(write_whole(folder / f"{name}.svg", svg))
        pictures[name] = Picture(
            data=svg, kind="svg", alternative=f"{_CHOICES_PICTURES[name]}: {names}."
        )
    page = comparison_html(answers, comparison, pictures=pictures)
    written.append(write_whole(folder / "choices.html", page))
    return tuple(written)
