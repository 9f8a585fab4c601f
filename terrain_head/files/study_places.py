"""The places that a study names, held against those that book, maps and file really have."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from terrain_head.base.names import quoted_text
from terrain_head.errors import InputError, Trouble
from terrain_head.files.study_choices import MAIN
from terrain_head.files.study_file import StudyDocument
from terrain_head.files.study_lines import Path, StudyLines
from terrain_head.files.study_names import dotted, shown_path
from terrain_head.scheme.ends import RAM, SOURCE, seep_node
from terrain_head.scheme.parts import Parts

_MOST_NAMES = 6


def with_known_places(document: StudyDocument, known: Sequence[str]) -> StudyDocument:
    """Return a study whose names are spelled as its places are, whatever their capitals.

    Parameters
    ----------
    document
        The study file.
    known
        Names of all places of book, maps and study.

    Returns
    -------
    StudyDocument
        The same study; names that differ from one place by capitals alone are that place's.

    Raises
    ------
    InputError
        If a name is no place, each such name once, with its line and the nearest names.
    """
    lost: dict[str, list[Path]] = {}
    studies = {}
    for choice, study in document.studies.items():
        for path, name in _named(study.parts):
            if spelled(name, known) is None:
                where = written_in(document.lines, path, choice=choice)
                spots = lost.setdefault(name, [])
                if where not in spots:
                    spots.append(where)
        studies[choice] = replace(
            study, parts=_renamed(study.parts, lambda name: spelled(name, known) or name)
        )
    if lost:
        troubles = [_trouble(document, name, spots, known) for name, spots in lost.items()]
        names = "A name in it is" if len(lost) == 1 else f"{len(lost)} names in it are"
        raise InputError(
            f"{document.path} can't be used yet. {names} no place of this site.",
            *troubles,
            file=str(document.path),
        )
    return replace(document, studies=studies)


def spelled(name: str, known: Sequence[str]) -> str | None:
    """Return a name as its place spells it, None if it means no place or more than one.

    Examples
    --------
    >>> spelled("tank hill", ["Tank hill", "spring"])
    'Tank hill'
    """
    if name in known:
        return name
    folded = name.casefold()
    found = [other for other in known if other.casefold() == folded]
    return found[0] if len(found) == 1 else None


def written_in(lines: StudyLines, path: Path, *, choice: str) -> Path:
    """Return where a value of a choice is written: in the choice itself, else in the study."""
    own = ("choice", choice, *path)
    return own if choice != MAIN and own in lines.spots else path


def _named(parts: Parts) -> Iterator[tuple[Path, str]]:
    """Give every name that must be a place, and where it stands."""
    if parts.source is not None:
        yield (SOURCE, "place"), parts.source.place
    for seep in parts.seeps:
        yield ("seep", seep.name, "place"), seep.place
    if parts.ram is not None:
        yield (RAM, "place"), parts.ram.place
    for tank in parts.tanks:
        table = ("tank",) if tank.name == "tank" else ("tank", tank.name)
        yield (*table, "place"), tank.place
        for number, leg in enumerate(tank.legs):
            yield (*table, "legs", str(number)), leg
    for outlet in parts.outlets:
        yield ("outlet", outlet.name, "place"), outlet.place
    for pipe in parts.pipes:
        for key, end in (("from", pipe.start), ("to", pipe.end)):
            if not _is_part(end, parts):
                yield ("pipe", pipe.name, key), end


def _is_part(end: str, parts: Parts) -> bool:
    """Say whether the end of a pipe is a word for source, seep, ram or a tank."""
    if end.startswith("tank.") or end in {seep_node(seep) for seep in parts.seeps}:
        return True
    has = {SOURCE: parts.source, RAM: parts.ram, "tank": parts.tanks or None}
    return has.get(end) is not None


def _renamed(parts: Parts, right: Callable[[str], str]) -> Parts:
    def ends_of(end: str) -> str:
        return end if _is_part(end, parts) else right(end)

    return replace(
        parts,
        source=parts.source and replace(parts.source, place=right(parts.source.place)),
        seeps=tuple(replace(seep, place=right(seep.place)) for seep in parts.seeps),
        ram=parts.ram and replace(parts.ram, place=right(parts.ram.place)),
        tanks=tuple(
            replace(tank, place=right(tank.place), legs=tuple(right(leg) for leg in tank.legs))
            for tank in parts.tanks
        ),
        outlets=tuple(replace(outlet, place=right(outlet.place)) for outlet in parts.outlets),
        pipes=tuple(
            replace(pipe, start=ends_of(pipe.start), end=ends_of(pipe.end)) for pipe in parts.pipes
        ),
    )


def _trouble(
    document: StudyDocument, name: str, spots: Sequence[Path], known: Sequence[str]
) -> Trouble:
    where = spots[0]
    what = f'{shown_path(_without_number(where))}: "{name}" is no place of this site.'
    others = [document.lines.spot(spot) for spot in spots[1:]]
    lines = [str(spot.value_line or spot.line) for spot in others if spot is not None]
    if lines:
        what += f" So too in line {', '.join(lines)}."
    if name in _GONE and where[0] == "pipe":
        return document.lines.trouble(where, what + " " + _GONE[name])
    if not known:
        what += " Neither book nor map nor [place] holds any place yet."
        return document.lines.trouble(where, what, write='[ground]\nbook = "field_book.csv"')
    ordered = nearest_first(name, known)
    more = len(ordered) - _MOST_NAMES
    what += f" Nearest first: {', '.join(ordered[:_MOST_NAMES])}"
    what += f", and {more} more." if more > 0 else "."
    near = difflib.get_close_matches(name.casefold(), [ordered[0].casefold()], cutoff=0.5)
    in_list = where[-1].isdigit()
    cure = "" if in_list else f"{dotted(document.lines.under_heading(where)[1])} = "
    return document.lines.trouble(
        where, what, write=f"{cure}{quoted_text(ordered[0])}" if near else ""
    )


_GONE: Mapping[str, str] = {
    "tank": "There is no [tank]. Without one let the pipes to the outlets begin at the source.",
    SOURCE: "There is no [source]. It says which place the water comes from.",
}


def _without_number(path: Path) -> Path:
    return path[:-1] if path[-1].isdigit() else path


def nearest_first(name: str, known: Sequence[str]) -> list[str]:
    """Return names in the order in which they are like one name.

    Examples
    --------
    >>> nearest_first("sprng", ["ram", "spring"])
    ['spring', 'ram']
    """
    folded = name.casefold()

    def unlike(other: str) -> float:
        return -difflib.SequenceMatcher(None, folded, other.casefold()).ratio()

    return sorted(dict.fromkeys(known), key=unlike)
