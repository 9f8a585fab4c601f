"""Choices: the file as written is ``main``; each other choice overrides some of its values."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from terrain_head.errors import Trouble
from terrain_head.files.study_keys import NAMED_TABLES
from terrain_head.files.study_lines import Path, StudyLines
from terrain_head.files.study_names import dotted, is_blank, nearest, shown_path

MAIN = "main"
FIXED = ("ground", "title", "units", "feet")
"""What no choice changes: the ground is one, and a study is shown in one way."""

_WHOLE = frozenset({"flow", "spec"})
_EITHER_OR: Mapping[str, tuple[str, ...]] = {
    "diameter": ("volume",),
    "volume": ("diameter",),
    "lat_lon": ("coordinates",),
    "coordinates": ("lat_lon",),
}
"""Two ways to say one thing: a choice that writes one takes the other away."""


@dataclass(slots=True, kw_only=True)
class Merged:
    """A study as one choice has it.

    Parameters
    ----------
    values
        The merged tables, without ``choice``.
    origin
        Where overriding values were written, by their path in the merged study.
    gone
        Tables that the choice took away.
    troubles
        What is wrong with the choice itself.
    replaced
        What whole values, such as a ``spec``, were before the choice, by their path.
    """

    values: dict[str, Any]
    origin: dict[Path, Path] = field(default_factory=dict)
    gone: set[Path] = field(default_factory=set)
    troubles: list[Trouble] = field(default_factory=list)
    replaced: dict[Path, object] = field(default_factory=dict)


def choice_names(raw: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the names of the choices, ``main`` first."""
    choices = raw.get("choice", {})
    return (MAIN, *(choices if isinstance(choices, dict) else ()))


def merge(raw: Mapping[str, Any], choice: str, *, lines: StudyLines) -> Merged:
    """Return the study as a choice has it.

    Parameters
    ----------
    raw
        The whole file as parsed.
    choice
        Name of a choice, or ``main``.
    lines
        The file's text, for messages.

    Returns
    -------
    Merged
        Its tables. ``without`` takes tables away first; then tables merge key by key, and texts,
        numbers, lists, whole ``spec`` and ``flow`` values are replaced.
    """
    values = {key: copy.deepcopy(value) for key, value in raw.items() if key != "choice"}
    merged = Merged(values=values)
    if choice == MAIN:
        return merged
    changes = raw["choice"][choice]
    where: Path = ("choice", choice)
    if not isinstance(changes, dict):
        merged.troubles.append(
            lines.trouble(
                where,
                f"{shown_path(where)}: a choice is a table of the values that it changes.",
                write=f'[{dotted(where)}]\ntank.stand = "4 m"',
            )
        )
        return merged
    _take_away(merged, changes.get("without", []), (*where, "without"), lines=lines)
    for key, value in changes.items():
        if key == "without":
            continue
        if key in FIXED:
            merged.troubles.append(
                lines.trouble(
                    (*where, key),
                    f"{shown_path((*where, key))}: a choice can't change {key}. It is one for the"
                    " whole study; keep a second study file for another.",
                    mark_key=True,
                )
            )
        elif key == "choice":
            merged.troubles.append(
                lines.trouble(
                    (*where, key),
                    f"{shown_path((*where, key))}: a choice holds no choices.",
                    mark_key=True,
                )
            )
        else:
            _override(merged, values, (key,), value, source=(*where, key))
    return merged


def _override(
    merged: Merged, into: dict[str, Any], path: Path, value: object, *, source: Path
) -> None:
    key = path[-1]
    old = into.get(key)
    if isinstance(value, dict) and isinstance(old, dict) and key not in _WHOLE:
        for inner, changed in value.items():
            _override(merged, old, (*path, inner), changed, source=(*source, inner))
        return
    for other in _EITHER_OR.get(key, ()):
        into.pop(other, None)
    if key in _WHOLE and old is not None:
        merged.replaced[path] = old
    into[key] = copy.deepcopy(value)
    merged.origin[path] = source


def _take_away(merged: Merged, without: object, where: Path, *, lines: StudyLines) -> None:
    names = [without] if isinstance(without, str) else without
    if not isinstance(names, list):
        merged.troubles.append(
            lines.trouble(
                where,
                f"{shown_path(where)}: a list of tables is wanted.",
                write='without = ["pipe.beds", "outlet.beds"]',
            )
        )
        return
    known = _tables(merged.values)
    for number, name in enumerate(names):
        if is_blank(name):
            continue
        path = known.get(name.strip()) if isinstance(name, str) else None
        if path is None:
            near = nearest(str(name), known)
            merged.troubles.append(
                lines.trouble(
                    (*where, str(number)),
                    f"{shown_path(where)}: the study has no table {name!r} to take away."
                    + ("" if near else f" It has: {', '.join(known)}."),
                    write=f'without = ["{near}"]' if near else "",
                )
            )
            continue
        merged.gone.add(path)
        holder = merged.values
        for key in path[:-1]:
            holder = holder[key]
        holder.pop(path[-1], None)
        if len(path) == 2 and not holder:
            merged.values.pop(path[0], None)


def _tables(values: Mapping[str, Any]) -> dict[str, Path]:
    """Return every table that can be taken away, by the ways its name may be written."""
    found: dict[str, Path] = {}
    for table, held in values.items():
        if not isinstance(held, dict) or table in FIXED:
            continue
        found[table] = (table,)
        if table in NAMED_TABLES:
            for name, inner in held.items():
                if isinstance(inner, dict) and not (
                    table == "tank" and name in NAMED_TABLES[table]
                ):
                    path = (table, name)
                    found[dotted(path)] = path
                    found[".".join(path)] = path
    return found
