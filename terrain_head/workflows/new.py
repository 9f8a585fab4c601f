"""Starts a study beside the person's data. Nothing that exists is touched."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from terrain_head.files.new_study import gather_start, study_text
from terrain_head.files.output import write_whole
from terrain_head.files.study_file import STUDY_NAME, open_study_file
from terrain_head.report.check_screen import StartedStudy


def new_study(
    folder: Path,
    *,
    books: Sequence[Path] = (),
    maps: Sequence[Path] = (),
    dems: Sequence[Path] = (),
    units: Literal["metric", "us"] | None = None,
    lifted_by: Literal["ram", "nothing"] = "ram",
) -> StartedStudy:
    """Write a study file with the names of books and maps filled in.

    Parameters
    ----------
    folder
        Where it goes; made if it is not there.
    books, maps, dems
        Files of its ground; the study names them relative to its folder.
    units
        How results will be shown; None for US units if a book is in feet or inches, else metric.
    lifted_by
        ``ram``, or ``nothing`` for plain gravity.

    Returns
    -------
    StartedStudy
        The file, and how much of it is still blank.

    Raises
    ------
    InputError
        If the folder has a study already, or a file can't be read; nothing is written then.
    """
    start = gather_start(
        folder, books=books, maps=maps, dems=dems, units=units, lifted_by=lifted_by
    )
    file = write_whole(folder / STUDY_NAME, study_text(start))
    document = open_study_file(file)
    return StartedStudy(
        file=str(file),
        folder=str(folder),
        points=len(start.points),
        routes=len(start.routes),
        blanks=len(document.blanks),
    )
