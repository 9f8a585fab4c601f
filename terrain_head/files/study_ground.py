"""The ``[ground]`` and ``[place]`` tables: which files, how well they know it, stated places."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from terrain_head.files.raster_kinds import RASTER_KINDS, raster_error
from terrain_head.files.study_instrument import read_instrument
from terrain_head.files.study_key import Key, Kind
from terrain_head.files.study_keys import GROUND, LEVEL_ERROR, PLACE
from terrain_head.files.study_names import is_blank, nearest
from terrain_head.files.study_record import GroundFiles, StatedPlace
from terrain_head.files.study_values import Ledger, TableReader
from terrain_head.ground.grid import RasterError
from terrain_head.ground.raster_error import BETWEEN, BETWEEN_RANGE_M
from terrain_head.leveling.instrument import Instrument
from terrain_head.scheme.parts import Taken


def read_ground(values: Mapping[str, Any], ledger: Ledger, *, folder: Path) -> GroundFiles:
    """Return the files of the ground.

    Parameters
    ----------
    values
        The ``[ground]`` table as parsed.
    ledger
        Where troubles and blanks go.
    folder
        The folder of the study file; paths are relative to it.
    """
    table = TableReader(ledger, ("ground",), values=values, keys=GROUND)
    reading, angle = _level_error(table)
    instrument = _instrument(table)
    if instrument is not None:
        reading = instrument.read_to_m
    heights = table.text("heights")
    rod: Literal["normal", "direct"] = "direct" if table.word("rod") == "direct" else "normal"
    return GroundFiles(
        books=tuple(folder / name for name in table.texts("book")),
        book_unit=table.word("book_unit"),
        reading_std_m=reading,
        angle_std_rad=angle,
        farthest_m=None if instrument is None else instrument.farthest_m,
        instrument=instrument,
        heights=None if heights is None else folder / heights,
        rod=rod,
        maps=tuple(folder / name for name in table.texts("map")),
        map_error_m=table.spread("map_error"),
        dems=tuple(folder / name for name in table.texts("dem")),
        dem_unit=table.word("dem_unit"),
        dem_error=_raster_error(table),
        crs=table.text("crs"),
    )


def _raster_error(table: TableReader) -> RasterError:
    stated = table.spread("dem_error")
    kind = table.word("dem_kind")
    distance = table.measured("dem_range")
    if stated is not None and kind is not None:
        table.wrong(
            "dem_kind",
            "dem_error says it already. Keep one of the two.",
            write=f'dem_kind = "{kind}"',
        )
    error = raster_error(
        std_m=stated,
        published=None if kind is None else RASTER_KINDS[kind],
        range_m=None if distance is None else distance.value,
    )
    if distance is None and error.std_m is not None:
        table.ledger.taken.append(
            Taken(key="ground.dem_range", value_si=BETWEEN_RANGE_M, unit="m", citation=BETWEEN)
        )
    return error


def _instrument(table: TableReader) -> Instrument | None:
    given = table.values.get("instrument")
    if given is None:
        return None
    if not isinstance(given, dict):
        table.wrong("instrument", "a table of what is known of the instrument is wanted.")
        return None
    if "level_error" in table.values:
        table.wrong("instrument", "level_error says it already. Keep one of the two.")
    return read_instrument(given, table.ledger)


def _level_error(table: TableReader) -> tuple[float | None, float | None]:
    given = table.values.get("level_error")
    if given is None:
        return None, None
    if not isinstance(given, dict):
        table.wrong("level_error", "a table of reading and angle is wanted.")
        return None, None
    found: dict[str, float] = {}
    for name, value in given.items():
        path = (*table.path, "level_error", name)
        if name not in LEVEL_ERROR:
            near = nearest(name, LEVEL_ERROR) or "reading"
            table.ledger.wrong(
                path,
                "there is no such key. Known here: reading, angle.",
                write=f'{near} = "{_SPREADS[near]}"',
                mark_key=True,
            )
        elif is_blank(value):
            table.ledger.blanks.append(path)
        else:
            entry = Key(
                kind=Kind.SPREAD,
                dimension=LEVEL_ERROR[name],
                meaning="",
                left_out="",
                example=f'"{_SPREADS[name]}"',
                at_least=0.0,
            )
            measured = table.ledger.quantity(path, value, entry=entry, name=name)
            if measured is not None:
                found[name] = measured.value
    return found.get("reading"), found.get("angle")


_SPREADS = {"reading": "1.5 mm", "angle": "10 arcsec"}


def read_places(
    values: Mapping[str, Any], ledger: Ledger, *, crs: str | None
) -> tuple[StatedPlace, ...]:
    """Return the places that the file itself describes.

    Parameters
    ----------
    values
        The ``[place.NAME]`` tables as parsed, by name.
    ledger
        Where troubles and blanks go.
    crs
        The study's coordinate system, which ``coordinates`` need.
    """
    return tuple(_place(name, table, ledger, crs=crs) for name, table in values.items())


def _place(name: str, values: Mapping[str, Any], ledger: Ledger, *, crs: str | None) -> StatedPlace:
    table = TableReader(ledger, ("place", name), values=values, keys=PLACE)
    if not values:
        ledger.wrong(table.path, "nothing is said about this place.", write=_BOX)
    lat_lon = _lat_lon(table)
    pair = _coordinates(table)
    if "lat_lon" in table.values and "coordinates" in table.values:
        table.wrong("coordinates", "lat_lon says it already. Keep one of the two.")
    elif pair is not None and crs is None:
        table.wrong(
            "coordinates",
            "in which coordinate system? [ground] must name it as crs.",
            write='[ground]\ncrs = "EPSG:26915"',
        )
    elevation = table.measured("elevation")
    return StatedPlace(
        name=name,
        latitude=None if lat_lon is None else lat_lon[0],
        longitude=None if lat_lon is None else lat_lon[1],
        x=None if pair is None else pair[0],
        y=None if pair is None else pair[1],
        elevation_m=None if elevation is None else elevation.value,
        elevation_std_m=None if elevation is None else elevation.std,
    )


_BOX = 'lat_lon = "46.5062, -93.9195"\nelevation = "312.4 +- 0.05 m"'


_LAT_LON = re.compile(
    r"""^\s*(?P<lat>[+-]?\d+(?:\.\d+)?)\s*°?\s*(?P<ns>[NSns])?\s*[,;\s]\s*
    (?P<lon>[+-]?\d+(?:\.\d+)?)\s*°?\s*(?P<ew>[EWew])?\s*$""",
    re.VERBOSE,
)


def _lat_lon(table: TableReader) -> tuple[float, float] | None:
    text = table.text("lat_lon")
    if text is None:
        return None
    match = _LAT_LON.match(text)
    if match is None:
        table.wrong("lat_lon", f"{text!r} is not a latitude and a longitude in degrees.")
        return None
    latitude = float(match["lat"]) * (-1 if match["ns"] in {"S", "s"} else 1)
    longitude = float(match["lon"]) * (-1 if match["ew"] in {"W", "w"} else 1)
    if abs(latitude) > 90 and abs(longitude) <= 90:
        table.wrong(
            "lat_lon",
            f"latitude {latitude:g} is beyond 90; these two look swapped. Latitude comes first.",
            write=f'lat_lon = "{longitude:.9g}, {latitude:.9g}"',
        )
    elif abs(latitude) > 90 or abs(longitude) > 180:
        table.wrong("lat_lon", f"{text!r} is not on the globe: latitude to 90, longitude to 180.")
    else:
        return latitude, longitude
    return None


def _coordinates(table: TableReader) -> tuple[float, float] | None:
    value = table.values.get("coordinates")
    if value is None:
        return None
    numbers = value if isinstance(value, list) else []
    plain = [
        float(item)
        for item in numbers
        if isinstance(item, int | float) and not isinstance(item, bool) and math.isfinite(item)
    ]
    if len(numbers) != 2 or len(plain) != 2:
        table.wrong("coordinates", "two numbers in one list are wanted, x (east) first.")
        return None
    return plain[0], plain[1]
