"""The main job: open a study, solve each of its choices, judge them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.book_facts import values_taken
from terrain_head.assessment.draws import DRAWS, draw
from terrain_head.assessment.judge import judge
from terrain_head.assessment.size_choice import ChosenSize, choose_sizes
from terrain_head.assessment.spread import spread_of
from terrain_head.assessment.ways_to_pressure import ways_to_pressure
from terrain_head.base.display import LIKELY
from terrain_head.errors import TerrainHeadError
from terrain_head.files.study_cures import told_in
from terrain_head.files.study_file import StudyDocument, open_study_file
from terrain_head.files.study_places import with_known_places
from terrain_head.files.study_record import Study
from terrain_head.ground.ground import Ground
from terrain_head.scheme.courses import courses_of, places_of
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.solver import solve
from terrain_head.workflows.site import Site, ground_of, names_of, open_site, with_places


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenedStudy:
    """A study with every file of its ground opened and read once.

    Parameters
    ----------
    document
        The study file and its choices.
    site
        Plane, level book, maps and raster blocks.
    shown
        The study file as the person named it.
    """

    document: StudyDocument
    site: Site
    shown: str


def open_study(path: Path) -> OpenedStudy:
    """Open a study file (or the folder it lies in) and all files it names.

    Raises
    ------
    InputError
        If a file is wrong or missing.
    SurveyError
        If the level book can't be reduced.
    """
    return open_ground(open_study_file(path))


def open_ground(document: StudyDocument) -> OpenedStudy:
    """Open all files that a study names, and hold the places it names against them.

    Raises
    ------
    InputError
        If a file is wrong or missing, or a name is no place.
    SurveyError
        If the level book can't be reduced.
    """
    studies = [document.study(name) for name in document.choice_names]
    site = open_site(studies)
    return OpenedStudy(
        document=with_known_places(document, names_of(site, studies)),
        site=site,
        shown=str(document.path),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidChoice:
    """One choice on its ground, the pipes that were left open chosen."""

    study: Study
    site: Site
    ground: Ground
    layout: Layout
    sizes: tuple[ChosenSize, ...] = ()


def lay_choice(opened: OpenedStudy, *, choice: str = "main") -> LaidChoice:
    """Return one choice laid out on its ground; no file is opened.

    Parameters
    ----------
    opened
        What `open_study` returned.
    choice
        Name of the choice, ``main`` for the study as written.

    Raises
    ------
    InputError
        If there is no such choice, or its pipes make no scheme.
    GroundError
        If its ground can't be had.
    """
    study = opened.document.study(choice)
    site = with_places(opened.site, study)
    try:
        ground = ground_of(site, courses_of(study.parts), needed=places_of(study.parts))
        layout, sizes = choose_sizes(lay_out(study.parts, ground=ground))
    except TerrainHeadError as error:
        raise told_in(
            error, lines=opened.document.lines, choice=choice, file=opened.shown
        ) from error
    return LaidChoice(
        study=replace(study, parts=layout.parts),
        site=site,
        ground=ground,
        layout=layout,
        sizes=sizes,
    )


def answer_choice(opened: OpenedStudy, *, choice: str = "main", draws: int = DRAWS) -> Answer:
    """Solve and judge one choice; no file is opened.

    Parameters
    ----------
    opened
        What `open_study` returned.
    choice
        Name of the choice, ``main`` for the study as written.
    draws
        How often it is drawn to tell its doubt; 0 for not at all.

    Raises
    ------
    InputError
        If there is no such choice, or a pipe of it ends nowhere.
    GroundError
        If its ground can't be had.
    """
    laid = lay_choice(opened, choice=choice)
    study, site, ground, layout = laid.study, laid.site, laid.ground, laid.layout
    solution = solve(layout)
    likely_factor = LIKELY if site.elevations is None else site.elevations.likely_factor
    spread = spread_of(ground=ground, layout=layout, solution=solution, likely_factor=likely_factor)
    drawn = None
    if draws:
        drawn = draw(
            layout,
            solution,
            draws=draws,
            places=_places_of_all(opened),
            heights_factor=likely_factor / LIKELY,
        )
    spreads_taken = () if drawn is None else drawn.taken
    findings = judge(
        ground=ground,
        layout=layout,
        solution=solution,
        elevations=site.elevations,
        grid=site.grid,
        spread=spread,
        book=site.book,
        spreads_taken=spreads_taken,
    )
    taken = values_taken(study.parts, elevations=site.elevations)
    return Answer(
        title=study.title,
        choice=choice,
        file=opened.shown,
        units=study.units,
        plane=site.plane,
        elevations=site.elevations,
        grid=site.grid,
        ground=ground,
        layout=layout,
        solution=solution,
        findings=findings,
        taken=(*taken, *spreads_taken),
        not_asked=solution.not_asked,
        spread=spread,
        drawn=drawn,
        sizes=laid.sizes,
        ways=ways_to_pressure(solution, drawn=drawn),
    )


def _places_of_all(opened: OpenedStudy) -> tuple[str, ...]:
    """Return the places of every choice, each once: all choices draw them in one order."""
    names = opened.document.choice_names
    places = [place for name in names for place in places_of(opened.document.study(name).parts)]
    return tuple(dict.fromkeys(places))


def answer_all(opened: OpenedStudy) -> tuple[Answer, ...]:
    """Solve and judge every choice of a study, ``main`` first."""
    return tuple(answer_choice(opened, choice=name) for name in opened.document.choice_names)
