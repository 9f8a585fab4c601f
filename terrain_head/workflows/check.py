"""Checks a study with its files: right or not, what is blank, what it would answer.

Nothing is solved, drawn or written.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from terrain_head.base.names import quoted_key
from terrain_head.errors import InputError, TerrainHeadError, together
from terrain_head.files.study_choices import MAIN
from terrain_head.files.study_file import StudyDocument, missing_files, open_study_file
from terrain_head.files.study_names import shown_path
from terrain_head.files.study_record import Study
from terrain_head.report.check_screen import Question, StudyCheck
from terrain_head.scheme.courses import places_of
from terrain_head.scheme.parts import PipeRun
from terrain_head.workflows.study import OpenedStudy, lay_choice, open_ground


def check_study(path: Path) -> StudyCheck:
    """Return what a study file comes to.

    Parameters
    ----------
    path
        A study file, or a folder with one study in it.

    Returns
    -------
    StudyCheck
        Blanks, choices, and the questions that the study as written answers.

    Raises
    ------
    InputError
        If anything in the file is wrong, a file that it names is not there or wrong, or its names
        and pipes don't fit together.
    SurveyError
        If the level book can't be reduced, or the ground can't be had.
    """
    document = open_study_file(path)
    missing = missing_files(document)
    if missing:
        files = "1 file" if len(missing) == 1 else f"{len(missing)} files"
        raise InputError(
            f"{document.path} is right in itself, but {files} that it names can't be found.",
            *missing,
            file=str(document.path),
        )
    study = document.study()
    unlaid: tuple[str, ...] = ()
    if _has_ground(study) or places_of(study.parts):
        unlaid = _unlaid_pipes(open_ground(document))
    return StudyCheck(
        title=study.title,
        file=str(document.path),
        choices=document.choice_names,
        blanks=_blanks(document),
        questions=_questions(document, unlaid),
    )


def _unlaid_pipes(opened: OpenedStudy) -> tuple[str, ...]:
    """Lay out every choice; return the pipes of the study as written whose way is not known.

    Raises
    ------
    TerrainHeadError
        With all that keeps any of the choices from being answered.
    """
    unlaid: tuple[str, ...] = ()
    wrong: dict[str, TerrainHeadError] = {}
    for choice in opened.document.choice_names:
        try:
            laid = lay_choice(opened, choice=choice)
        except TerrainHeadError as error:
            # What is wrong with the study as written is wrong with its choices too.
            wrong.setdefault(str(error.troubles) + error.headline.rpartition("): ")[-1], error)
        else:
            if choice == MAIN:
                profiles = laid.ground.profiles
                unlaid = tuple(p.name for p in laid.study.parts.pipes if p.name not in profiles)
    if wrong:
        raise together(list(wrong.values()))
    return unlaid


def _blanks(document: StudyDocument) -> tuple[tuple[int, str], ...]:
    found = []
    for key in document.blanks:
        spot = document.lines.spot(key)
        found.append((0 if spot is None else spot.line, shown_path(key)))
    return tuple(found)


def _questions(document: StudyDocument, unlaid: Sequence[str]) -> tuple[Question, ...]:
    study = document.study()
    parts = study.parts
    heights = () if _has_ground(study) else ("[ground] book or dem",)
    source = () if parts.source else (_wanting(document, "source"),)
    ram = () if parts.ram else (_wanting(document, "ram"),)
    tank = () if parts.tanks else (_wanting(document, "tank"),)
    flow = source or (() if parts.source and parts.source.flow_m3_s else ("[source] flow",))
    pipes = {pipe.name: pipe for pipe in parts.pipes}
    questions = []
    if ram == ("[ram]",) and ("pipe",) in document.lines.spots:
        questions.append(Question(asks="how far the water falls", lacks=(*heights, *source)))
    else:
        names = (parts.ram.drive, parts.ram.delivery) if parts.ram else ("drive", "delivery")
        drive: tuple[str, ...] = () if names[0] in pipes else (f"[pipe.{quoted_key(names[0])}]",)
        drive += _length(document, names[0], unlaid)
        delivery = (*_whole(pipes.get(names[1]), names[1]), *_length(document, names[1], unlaid))
        known = parts.ram is not None and (parts.ram.efficiency or parts.ram.built)
        efficiency = () if known or ram else ("[ram] built or efficiency",)
        questions += [
            Question(asks="the fall", lacks=(*heights, *source, *ram)),
            Question(asks="the lift", lacks=(*heights, *ram, *tank)),
            Question(asks="the drive pipe's length", lacks=(*heights, *ram, *drive)),
            Question(
                asks="water a day into the tank",
                lacks=(*heights, *flow, *ram, *efficiency, *tank, *delivery),
            ),
        ]
    if parts.tanks:
        sized = any(tank.diameter_m or tank.volume_m3 for tank in parts.tanks)
        lacks = () if sized else ("[tank] diameter or volume",)
        questions.append(Question(asks="the tank's water and weight", lacks=lacks))
    return (*questions, *_outlet_questions(document, heights, unlaid))


def _wanting(document: StudyDocument, table: str) -> str:
    """Return what a part wants: its place, where only that is blank, or its whole table."""
    return f"[{table}] place" if (table, "place") in document.blanks else f"[{table}]"


def _length(document: StudyDocument, pipe: str, unlaid: Sequence[str]) -> tuple[str, ...]:
    """Return what tells the way of a pipe that has neither route nor length nor positions."""
    if pipe not in unlaid:
        return ()
    written = document.lines.spots.get(("pipe", pipe, "length"))
    spot = written or document.lines.spot(("pipe", pipe))
    line = "" if spot is None else f" (line {spot.line})"
    return (f"[pipe.{quoted_key(pipe)}] length{line}",)


def _outlet_questions(
    document: StudyDocument, heights: tuple[str, ...], unlaid: Sequence[str]
) -> list[Question]:
    study = document.study()
    parts = study.parts
    if not parts.outlets:
        return [Question(asks="pressures at outlets", lacks=("[outlet.NAME]",))]
    questions = []
    for outlet in parts.outlets:
        flow = () if outlet.flow_m3_s else (f"[outlet.{quoted_key(outlet.name)}] flow",)
        way = way_to(outlet.place, study)
        lacks: tuple[str, ...] = (f"a pipe to {outlet.place}",)
        if way:
            lacks = tuple(
                want
                for pipe in way
                for want in (*_whole(pipe, pipe.name), *_length(document, pipe.name, unlaid))
            )
        questions.append(
            Question(asks=f"the pressure at {outlet.name}", lacks=(*heights, *flow, *lacks))
        )
    return questions


def way_to(place: str, study: Study) -> tuple[PipeRun, ...]:
    """Return the pipes that lead from a tank or the source to a place, empty if none does.

    Parameters
    ----------
    place
        Name of a place.
    study
        What the study states; where pipes cross the ground is not asked.
    """
    parts = study.parts
    heads = {"source", *(f"tank.{tank.name}" for tank in parts.tanks), "tank"}
    heads |= {tank.place for tank in parts.tanks} | (
        {parts.source.place} if parts.source else set()
    )
    before_tank = {parts.ram.drive, parts.ram.delivery, *parts.ram.feed} if parts.ram else set()
    supply = [pipe for pipe in parts.pipes if pipe.name not in before_tank]
    ways: list[tuple[str, tuple[PipeRun, ...]]] = [(place, ())]
    seen = {place}
    for node, way in ways:
        if node in heads and way:
            return tuple(reversed(way))
        for pipe in supply:
            ends = {pipe.start, pipe.end}
            if node in ends and (other := (ends - {node}).pop()) not in seen:
                seen.add(other)
                ways.append((other, (*way, pipe)))
    return ()


def _whole(pipe: PipeRun | None, name: str) -> tuple[str, ...]:
    if pipe is None:
        return (f"[pipe.{quoted_key(name)}]",)
    return () if pipe.spec or pipe.choice else (f"[pipe.{quoted_key(name)}] spec",)


def _has_ground(study: Study) -> bool:
    ground = study.ground
    stated = any(place.elevation_m is not None for place in study.places)
    return bool(ground.books or ground.dems or ground.heights or stated)
