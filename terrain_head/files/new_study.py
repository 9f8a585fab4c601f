"""Starts a study file with the person's own points and routes; what is not known is ``"?"``."""

from __future__ import annotations

import os
import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from terrain_head.base.names import quoted_key, quoted_text, simple_names
from terrain_head.errors import InputError, Trouble
from terrain_head.files.level_book import COLUMNS, OTHER_HEADINGS
from terrain_head.files.level_book_table import Table, read_table
from terrain_head.files.maps import read_maps
from terrain_head.files.raster_checks import crs_of, open_raster, stated_unit
from terrain_head.files.readings import FeetInchesError, FigureError, read_figure
from terrain_head.files.study_file import STUDY_NAME

_ROLES = {
    "source": {"spring", "source", "intake", "creek", "stream", "seep"},
    "ram": {"ram"},
    "tank": {"tank", "cistern", "reservoir", "knoll"},
}
_OUTLETS = {
    "house", "tap", "trough", "bed", "beds", "garden", "barn", "orchard", "field", "paddock",
    "stable", "pen", "greenhouse", "kitchen", "shed", "hydrant",
}  # fmt: skip
_LEG = re.compile(r"leg[\s._-]*[a-z0-9]{0,2}", re.IGNORECASE)
_READINGS = ("rod", "bs", "is", "fs")


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyStart:
    """What a new study begins with.

    Parameters
    ----------
    title
        Its title.
    units
        How results will be shown.
    books, maps, dems
        Files as the study names them, relative to its folder.
    lifted_by
        ``ram``, or ``nothing`` for plain gravity.
    unit_missing
        Whether a book's heading names no unit for its readings.
    feet_inches
        Whether those readings are plainly in feet and inches.
    dem_unit_missing
        Whether a raster does not say what its heights are in.
    points, routes
        Names found in books and maps, in their order.
    """

    title: str
    units: Literal["metric", "us"] = "metric"
    books: tuple[str, ...] = ()
    maps: tuple[str, ...] = ()
    dems: tuple[str, ...] = ()
    lifted_by: Literal["ram", "nothing"] = "ram"
    unit_missing: bool = False
    feet_inches: bool = False
    dem_unit_missing: bool = False
    points: tuple[str, ...] = ()
    routes: tuple[str, ...] = ()


def gather_start(
    folder: Path,
    *,
    books: Sequence[Path] = (),
    maps: Sequence[Path] = (),
    dems: Sequence[Path] = (),
    units: Literal["metric", "us"] | None = None,
    lifted_by: Literal["ram", "nothing"] = "ram",
) -> StudyStart:
    """Return what a new study in a folder begins with: names are read, no height is.

    Parameters
    ----------
    folder
        Where the study will stand.
    books, maps, dems
        Files of its ground.
    units
        How results will be shown; None for US units if a book is in feet or inches, else metric.
    lifted_by
        ``ram``, or ``nothing`` for plain gravity.

    Raises
    ------
    InputError
        If the folder has a study already, or a file is missing or can't be read.
    """
    for name in (STUDY_NAME, *(file.name for file in folder.glob("*.toml"))):
        if (folder / name).exists():
            raise InputError(
                f"{folder / name} is there already.",
                Trouble(what="Take another folder, or check this one:", write=_check(folder)),
                file=str(folder / name),
                left_alone="Nothing was written; your files are as they were.",
            )
    for dem in dems:
        if not dem.exists():
            raise InputError(f"There is no file {dem}.", file=str(dem))
    tables = [_book(path) for path in books]
    content = read_maps(maps, crs="EPSG:4326")
    points = [row.get("point") for table in tables for row in table.rows]
    routes = [row.get("route") for table in tables for row in table.rows]
    return StudyStart(
        title=folder.resolve().name,
        units=units or ("us" if any(_in_feet(table) for table in tables) else "metric"),
        lifted_by=lifted_by,
        books=tuple(_relative(path, folder) for path in books),
        maps=tuple(_relative(path, folder) for path in maps),
        dems=tuple(_relative(path, folder) for path in dems),
        unit_missing=not all(_states_unit(table) for table in tables),
        feet_inches=any(_in_feet_inches(table) for table in tables),
        dem_unit_missing=not all(_says_unit(dem) for dem in dems),
        points=tuple(dict.fromkeys(name for name in (*points, *content.points) if name)),
        routes=tuple(dict.fromkeys(name for name in (*routes, *content.routes) if name)),
    )


def _check(folder: Path) -> str:
    return f"terrain-head check {folder}"


def _book(path: Path) -> Table:
    table = read_table(path, names=COLUMNS, others=OTHER_HEADINGS)
    if "point" not in table.columns:
        raise InputError(
            f"{path.name} has no column of points.",
            *table.troubles,
            Trouble(
                what="Its heading wants a column that is called point.",
                write="point,bs [m],is,fs",
                line=table.heading_line,
            ),
            file=path.name,
            left_alone="Nothing was written.",
        )
    return table


def _states_unit(table: Table) -> bool:
    return any(
        column.unit is not None for name, column in table.columns.items() if name in _READINGS
    )


def _in_feet_inches(table: Table) -> bool:
    """Say whether readings without a unit can be nothing but feet and inches."""
    cells = [row.get(name) for row in table.rows for name in _READINGS if name in row]
    for cell in cells:
        try:
            read_figure(cell, "ft", comma=table.comma)
        except FeetInchesError:
            return not _states_unit(table)
        except FigureError:
            continue
    return False


def _in_feet(table: Table) -> bool:
    units = {column.unit for name, column in table.columns.items() if name in _READINGS}
    return bool(units & {"ft", "ft-in", "in"}) or _in_feet_inches(table)


def _says_unit(dem: Path) -> bool:
    """Say whether a raster tells the unit of its heights; what else is wrong is told later."""
    try:
        with open_raster(dem) as dataset:
            return stated_unit(dataset, crs_of(dataset, dem, stated="EPSG:4326")) is not None
    except InputError:
        return False


def _relative(path: Path, folder: Path) -> str:
    try:
        return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()
    except ValueError:  # another drive has no way from here to there
        return path.resolve().as_posix()


def study_text(start: StudyStart) -> str:
    """Return the text of a new study file.

    Parameters
    ----------
    start
        What it begins with.

    Returns
    -------
    str
        A file that can be read as it is: a blank counts as left out.
    """
    blocks = [_top(start)]
    if start.books or start.maps or start.dems:
        blocks.append(_ground(start))
    roles = {role: _first(start.points, words) for role, words in _ROLES.items()}
    blocks.append(_source(roles["source"]))
    if start.lifted_by == "ram":
        blocks += [
            _ram(roles["ram"], start),
            _tank(roles["tank"], start),
            _pipe("drive", "source", "ram", start),
            _pipe("delivery", "ram", "tank", start),
        ]
    else:
        blocks += [_tank(roles["tank"], start), _pipe("main", "source", "tank", start)]
    outlets = [name for name in start.points if _words(name) & _OUTLETS] or ["?"]
    names = simple_names(outlets, taken=("drive", "delivery", "main"))
    for name, place in zip(names, outlets, strict=True):
        blocks += _outlet(name or "tap", place, start)
    return "\n\n".join(blocks) + "\n"


def _top(start: StudyStart) -> str:
    lines = ['# Write a value for each "?", or take its line out: both are right.']
    lines += _listed("Points", start.points)
    lines += _listed("Routes", start.routes)
    lines += [f"title = {quoted_text(start.title)}", f'units = "{start.units}"']
    return "\n".join(lines)


def _listed(label: str, names: Sequence[str]) -> list[str]:
    if not names:
        return []
    plain = ", ".join(re.sub(r"[\x00-\x1f\x7f]", " ", name) for name in names)
    wrapped = textwrap.wrap(f"{label}: {plain}", 76, break_long_words=False)
    return [f"# {line}" for line in wrapped]


def _ground(start: StudyStart) -> str:
    lines = ["[ground]"]
    if start.books:
        lines.append(f"book = {_texts(start.books)}")
        if start.unit_missing:
            own = "ft-in" if start.feet_inches else "?"
            lines.append(f'book_unit = "{own}"      # of the readings: ft, m, cm, mm, in, ft-in')
    if start.maps:
        lines.append(f"map = {_texts(start.maps)}")
        lines.append('map_error = "?"      # how well its marks are placed: 5 m for a phone')
    if start.dems:
        lines.append(f"dem = {_texts(start.dems)}")
        if start.dem_unit_missing:
            lines.append('dem_unit = "?"       # of its heights: m, ft or ftUS')
        lines.append('dem_error = "?"      # how wrong its heights are: 0.3 m')
    return "\n".join(lines)


def _source(place: str | None) -> str:
    return "\n".join(
        [
            "[source]",
            f"place = {quoted_text(place or '?')}",
            'water_above = "?"    # water surface above the point',
            'flow = "?"           # in the dry season: 46 L/min, or 5 gal in 33 s',
            'share = "?"          # what may be taken of it: 80 %',
        ]
    )


def _ram(place: str | None, start: StudyStart) -> str:
    return "\n".join(
        [
            "# Plain gravity, no ram? Delete [ram], [pipe.drive] and [pipe.delivery] with all",
            "# their lines, and let one pipe go from source to tank. Or start with --no-ram.",
            "[ram]",
            f"place = {quoted_text(place or '?')}",
            f'valve_above = "?"    # waste valve above the point: {_size(start, 0.2, 0.7)}',
            'built = "?"          # bought or home',
        ]
    )


def _tank(place: str | None, start: StudyStart) -> str:
    legs = [name for name in start.points if _LEG.fullmatch(name)]
    without = [
        "# No tank? Delete [tank] and [pipe.main] with all their lines, and write",
        '# from = "source" in the pipes that begin at the tank.',
    ]
    return "\n".join(
        [
            *(without if start.lifted_by == "nothing" else []),
            "[tank]",
            f"place = {quoted_text(place or '?')}",
            f'stand = "?"          # deck above ground: {_size(start, 3, 10)}',
            f'water_depth = "?"    # when full: {_size(start, 1.5, 5)}',
            f'diameter = "?"       # {_size(start, 1.2, 4)}',
            'needed = "?"         # water wanted into it: '
            + ("600 gal/day" if start.units == "us" else "2000 L/d"),
            *([f"legs = [{', '.join(map(quoted_text, legs))}]"] if legs else []),
        ]
    )


def _pipe(name: str, begins: str, ends: str, start: StudyStart) -> str:
    lines = [
        f"[pipe.{quoted_key(name)}]",
        f"from = {quoted_text(begins)}",
        f"to = {quoted_text(ends)}",
    ]
    own = next((route for route in start.routes if route.casefold() == name.casefold()), None)
    if own is not None:
        lines.append(f"route = {quoted_text(own)}")
    elif start.routes:
        lines.append('route = "?"          # a route named above, or straight')
    else:
        lines.append('length = "?"         # as taped')
    example = "2 in" if start.units == "us" else "32 mm"
    lines.append(f'spec = "?"           # as printed on it; terrain-head pipes --size "{example}"')
    return "\n".join(lines)


def _outlet(name: str, place: str, start: StudyStart) -> list[str]:
    return [
        _pipe(name, "tank", place, start),
        "\n".join(
            [
                f"[outlet.{quoted_key(name)}]",
                f"place = {quoted_text(place)}",
                'flow = "?"           # what it draws: '
                + ("5 gal/min" if start.units == "us" else "12 L/min"),
                'pressure = "?"       # what it needs: '
                + ("10 psi" if start.units == "us" else "0.6 bar"),
            ]
        ),
    ]


def _size(start: StudyStart, metres: float, feet: float) -> str:
    return f"{feet:g} ft" if start.units == "us" else f"{metres:g} m"


def _first(points: Sequence[str], words: set[str]) -> str | None:
    return next((name for name in points if _words(name) & words), None)


def _words(name: str) -> set[str]:
    return set(re.findall(r"[a-z]+", name.casefold()))


def _texts(values: Sequence[str]) -> str:
    if len(values) == 1:
        return quoted_text(values[0])
    return f"[{', '.join(quoted_text(value) for value in values)}]"
