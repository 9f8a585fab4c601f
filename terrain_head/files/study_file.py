"""Opens a study file: every table and key of every choice, or every trouble at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from terrain_head.base.names import quoted_key
from terrain_head.base.units import METRIC, UnitSystem
from terrain_head.errors import InputError, Trouble, UsageError
from terrain_head.files import study_syntax
from terrain_head.files.study_choices import MAIN, choice_names, merge
from terrain_head.files.study_ground import read_ground, read_places
from terrain_head.files.study_keys import NAMED_TABLES, TABLE_NAMES, TOP
from terrain_head.files.study_lines import Path as KeyPath
from terrain_head.files.study_lines import StudyLines
from terrain_head.files.study_names import nearest, shown_path
from terrain_head.files.study_parts import read_parts
from terrain_head.files.study_record import GroundFiles, Study
from terrain_head.files.study_values import Ledger, TableReader, home_of, refuse_later

STUDY_NAME = "study.toml"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StudyDocument:
    """A study file that was read through: all its choices are right in themselves.

    Parameters
    ----------
    path
        The study file.
    lines
        Its text, and where everything stands in it.
    choice_names
        Names of its choices, ``main`` first.
    studies
        What each choice states, by its name.
    blanks
        Values still to be filled in, in the order of the file.
    """

    path: Path
    lines: StudyLines
    choice_names: tuple[str, ...]
    studies: Mapping[str, Study]
    blanks: tuple[KeyPath, ...]

    def study(self, choice: str = MAIN) -> Study:
        """Return what one choice states.

        Raises
        ------
        UsageError
            If the file has no such choice.
        """
        if choice not in self.studies:
            near = nearest(choice, self.choice_names)
            known = ", ".join(self.choice_names)
            meant = f' Did you mean "{near}"?' if near else ""
            raise UsageError(
                f'{self.path} has no choice "{choice}".{meant} It has: {known}.',
                file=str(self.path),
            )
        return self.studies[choice]


def open_study_file(path: Path) -> StudyDocument:
    """Return a study file, or the folder's only one, read through.

    Parameters
    ----------
    path
        A study file, or a folder with one study in it.

    Returns
    -------
    StudyDocument
        The studies of all its choices. No other file was opened.

    Raises
    ------
    InputError
        If there is no such file, it is no TOML, or anything in it is wrong; all that is wrong is
        told at once.
    """
    file = find_study_file(path)
    text = study_syntax.read_text(file)
    raw = study_syntax.parse(text, file=file)
    lines = StudyLines(text)
    troubles: list[Trouble] = []
    blanks: list[KeyPath] = []
    studies: dict[str, Study] = {}
    names = choice_names(raw)
    if "choice" in raw and not isinstance(raw["choice"], dict):
        troubles.append(
            lines.trouble(
                ("choice",),
                "choice: a choice is a table with a name.",
                write='[choice.ridge]\npipe.delivery.route = "ridge"',
            )
        )
    if MAIN in names[1:]:
        troubles.append(
            lines.trouble(
                ("choice", MAIN),
                '[choice.main]: "main" is the file as written. Give this choice another name.',
                write="[choice.other]",
            )
        )
        names = tuple(dict.fromkeys(names))
    for name in names:
        studies[name] = _read_choice(
            raw, name, file=file, lines=lines, troubles=troubles, blanks=blanks
        )
    if troubles:
        raise _all_at_once(file, troubles)
    order = sorted(set(blanks), key=lambda key: _line_of(lines, key))
    return StudyDocument(
        path=file, lines=lines, choice_names=names, studies=studies, blanks=tuple(order)
    )


def find_study_file(path: Path) -> Path:
    """Return the study file that a path means: itself, or the only one in the folder.

    Raises
    ------
    InputError
        If there is none, or a folder holds several.
    """
    if path.is_dir():
        found = sorted(path.glob("*.toml"))
        if len(found) == 1:
            return found[0]
        if path / STUDY_NAME in found:
            return path / STUDY_NAME
        if not found:
            raise InputError(
                f"{'This folder' if path == Path() else path} holds no study file.",
                Trouble(
                    what="A study is a file that ends in .toml. This starts one:",
                    write=f"terrain-head new {path}",
                ),
                file=str(path),
            )
        names = ", ".join(file.name for file in found)
        raise InputError(
            f"{path} holds {len(found)} study files: which one?",
            Trouble(what=f"It has {names}.", write=f"terrain-head check {found[0]}"),
            file=str(path),
        )
    if path.suffix.lower() == ".csv" and path.exists():
        raise InputError(
            f"{path} is a sheet, not a study.",
            Trouble(
                what="A study is a file that ends in .toml and names its sheets. A level book "
                "alone is reduced with:",
                write=f"terrain-head reduce {path}",
            ),
            file=str(path),
        )
    if not path.exists():
        near = nearest(path.name, _beside(path))
        raise InputError(
            f"{path}: there is no such file.",
            *([Trouble(what="A name near it:", write=str(path.with_name(near)))] if near else []),
            file=str(path),
        )
    return path


def missing_files(document: StudyDocument) -> tuple[Trouble, ...]:
    """Return a trouble for each file that the study names and that is not there."""
    ground = document.studies[MAIN].ground
    named: list[tuple[KeyPath, Path]] = []
    for key, files in (("book", ground.books), ("map", ground.maps), ("dem", ground.dems)):
        lone = len(files) == 1 and ("ground", key, "0") not in document.lines.spots
        named += [
            (("ground", key) if lone else ("ground", key, str(number)), file)
            for number, file in enumerate(files)
        ]
    if ground.heights is not None:
        named.append((("ground", "heights"), ground.heights))
    troubles = []
    for where, file in named:
        if not file.exists():
            near = nearest(file.name, _beside(file))
            troubles.append(
                document.lines.trouble(
                    where,
                    f"{shown_path(where[:2])}: there is no file {file}.",
                    write=f'{where[1]} = "{near}"' if near else "",
                )
            )
    return tuple(troubles)


def _beside(path: Path) -> list[str]:
    folder = path.parent
    return [file.name for file in folder.iterdir()] if folder.is_dir() else []


def _read_choice(
    raw: Mapping[str, Any],
    choice: str,
    *,
    file: Path,
    lines: StudyLines,
    troubles: list[Trouble],
    blanks: list[KeyPath],
) -> Study:
    merged = merge(raw, choice, lines=lines)
    ledger = Ledger(
        lines=lines,
        origin=merged.origin,
        troubles=merged.troubles,
        replaced=merged.replaced,
    )
    top = {key: value for key, value in merged.values.items() if key in TOP}
    reader = TableReader(ledger, (), values=top, keys=TOP)
    units = _units(reader)
    ledger.units = units
    title = reader.text("title") or file.resolve().parent.name
    tables = _tables(merged.values, ledger)
    ground = GroundFiles()
    if "ground" in tables:
        ground = read_ground(tables["ground"], ledger, folder=file.parent)
    places = read_places(tables.get("place", {}), ledger, crs=ground.crs)
    parts = read_parts(tables, ledger, gone=merged.gone)
    seen = {(trouble.line, trouble.what) for trouble in troubles}
    for trouble in ledger.troubles:
        if (trouble.line, trouble.what) not in seen:
            seen.add((trouble.line, trouble.what))
            troubles.append(trouble)
    blanks += ledger.blanks
    return Study(
        path=file,
        title=title,
        choice=choice,
        units=units,
        ground=ground,
        places=places,
        parts=parts,
    )


def _units(reader: TableReader) -> UnitSystem:
    name = reader.word("units") or "metric"
    feet = reader.word("feet")
    if feet is not None and name == "metric":
        reader.wrong("feet", "it goes with us units only.", write=f'units = "us"\nfeet = "{feet}"')
        return METRIC
    return UnitSystem(name=cast("Any", name), feet=cast("Any", feet or "tenths"))


def _tables(values: Mapping[str, Any], ledger: Ledger) -> dict[str, dict[str, Any]]:
    """Return the tables that can be read; others are noted as troubles."""
    found: dict[str, dict[str, Any]] = {}
    misspelled: list[tuple[str, str]] = []
    for name, held in values.items():
        if name in TOP or refuse_later(ledger, name):
            continue
        if name not in TABLE_NAMES:
            known = (*TABLE_NAMES, *TOP)
            near = nearest(name, known)
            cure = _heading(near, held) if near in TABLE_NAMES else f"{near} = ..." if near else ""
            ledger.wrong(
                (name,),
                f"there is no such {'table' if isinstance(held, dict) else 'key'} here."
                + ("" if near else home_of(name) or f" Tables: {', '.join(TABLE_NAMES)}."),
                write=cure,
                mark_key=True,
            )
            if near in TABLE_NAMES and isinstance(held, dict):
                misspelled.append((name, near))
        elif not isinstance(held, dict):
            example = f"[{name}.east]" if name in NAMED_TABLES and name != "tank" else f"[{name}]"
            ledger.wrong((name,), "a table is wanted here.", write=example, mark_key=True)
        else:
            found[name] = _named(name, held, ledger)
    for name, near in misspelled:
        if near not in values:
            ledger.meant((near,), (name,))
            found[near] = _named(near, values[name], ledger)
        elif near in NAMED_TABLES and near in found:
            for key, inner in values[name].items():
                if key not in found[near] and isinstance(inner, dict):
                    ledger.meant((near, key), (name, key))
                    found[near][key] = inner
    return found


def _heading(table: str | None, held: object) -> str:
    """Return the right heading of a misspelled table."""
    inner = next(iter(held), "") if isinstance(held, dict) else ""
    named = table in NAMED_TABLES and table != "tank" and inner
    return f"[{table}.{quoted_key(inner)}]" if named else f"[{table}]"


def _named(name: str, held: dict[str, Any], ledger: Ledger) -> dict[str, Any]:
    """Return a table of tables without what is no table in it."""
    if name not in NAMED_TABLES or name == "tank":
        return held
    kept = {}
    for key, inner in held.items():
        if isinstance(inner, dict):
            kept[key] = inner
        elif key in NAMED_TABLES[name]:
            ledger.wrong(
                (name, key),
                f"which {name}? Each has a name.",
                write=f"[{name}.east]\n{key} = {NAMED_TABLES[name][key].example}",
                mark_key=True,
            )
        else:
            ledger.wrong(
                (name, key),
                "a table is wanted here.",
                write=f"[{name}.{quoted_key(key)}]",
                mark_key=True,
            )
    return kept


def _line_of(lines: StudyLines, path: KeyPath) -> int:
    spot = lines.spot(path)
    return 0 if spot is None else spot.line


def _all_at_once(file: Path, troubles: list[Trouble]) -> InputError:
    count = len(troubles)
    things = "1 thing" if count == 1 else f"{count} things"
    ordered = sorted(troubles, key=lambda trouble: trouble.line or 0)
    return InputError(f"{file} can't be used yet: {things} to put right.", *ordered, file=str(file))
