"""Cures that fit the study file at hand: into the table that is there, never beside it."""

from __future__ import annotations

import tomllib
from dataclasses import replace

from terrain_head.errors import TerrainHeadError, Trouble
from terrain_head.files.study_choices import MAIN
from terrain_head.files.study_lines import Path, StudyLines
from terrain_head.files.study_names import shown_path


def told_in(
    error: TerrainHeadError, *, lines: StudyLines, choice: str, file: str
) -> TerrainHeadError:
    """Return an error whose cures say the line of the study that they belong to.

    Parameters
    ----------
    error
        What a scheme or its ground can't live with.
    lines
        The study file.
    choice
        The choice that was laid out; any but the study as written is named.
    file
        The study file as shown.
    """
    headline = error.headline
    if choice != MAIN:
        spot = lines.spot(("choice", choice))
        line = "" if spot is None else f" (line {spot.line})"
        headline = f'Choice "{choice}"{line}: {headline}'
    troubles = [_placed(trouble, lines, choice) for trouble in error.troubles]
    return type(error)(headline, *troubles, file=error.file or file, left_alone=error.left_alone)


def _placed(trouble: Trouble, lines: StudyLines, choice: str) -> Trouble:
    """Return a trouble that points at the table which its cure begins with, if that is there."""
    head, _, rest = trouble.write.partition("\n")
    table = _heading(head)
    if trouble.line is not None or table is None:
        return trouble
    written = tuple(key for key in (_key(row) for row in rest.splitlines()) if key)
    for path in (("choice", choice, *table, *written[:1]), (*table, *written[:1])):
        if written and path in lines.spots:
            found = lines.trouble(path, trouble.what, write=rest)
            inner = path[: -len(written[:1])]
            return found if inner == lines.under_heading(path)[0] else replace(found, write="")
    if table not in lines.spots:
        return trouble
    found = lines.trouble(table, trouble.what, write=rest)
    if rest:
        what = f"{trouble.what} It belongs under {shown_path(table)}, line {found.line}."
        found = replace(found, what=what)
    return found


def _heading(text: str) -> Path | None:
    """Return the path of a table's heading, None if the text is none."""
    if not text.startswith("["):
        return None
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return None
    path: list[str] = []
    while values:
        key, values = next(iter(values.items()))
        path.append(key)
    return tuple(path)


def _key(row: str) -> str | None:
    name, equals, _ = row.partition("=")
    return name.strip() if equals else None
