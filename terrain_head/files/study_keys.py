"""Every table and key of the study file: what it holds, what may stand there, what if left out.

docs/study_file.md prints these rows; a test holds the two together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from terrain_head.base.units import Dimension
from terrain_head.files.raster_kinds import RASTER_KINDS


class Kind(StrEnum):
    """What may stand after the equals sign; the value says it in words."""

    TEXT = "a text"
    NAMES = "a list of names"
    WORD = "one of a few words"
    QUANTITY = "a quantity"
    SPREAD = "a standard error"
    FLOW = "a flow, or one for each month"
    COUNT = "a whole number"
    FILE = "a file"
    FILES = "a file, or a list of files"
    ERRORS = "a table of reading and angle"
    LAT_LON = "latitude, longitude"
    COORDINATES = "a list of two numbers"
    SPEC = "a pipe of the table, or a table of its own values"
    FITTINGS = "a table of fittings and how many"


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key.

    Parameters
    ----------
    kind
        What stands there.
    meaning, left_out
        What it means, and what holds if it is left out; as docs/study_file.md prints them.
    example
        A right value, as it stands after the equals sign.
    dimension
        Of a quantity.
    above, at_least, at_most
        Bounds of a quantity or count, SI.
    words
        The words that may stand there.
    required
        Whether its table means nothing without it.
    """

    kind: Kind
    meaning: str
    left_out: str
    example: str
    dimension: Dimension | None = None
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    words: tuple[str, ...] = ()
    required: bool = False


Keys = Mapping[str, Key]


def _length(meaning: str, left_out: str, example: str, *, floor: float | None = None) -> Key:
    return Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.LENGTH,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        at_least=floor,
    )


def _size(meaning: str, left_out: str, example: str) -> Key:
    return Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.LENGTH,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        above=0.0,
    )


def _flow(meaning: str, left_out: str, example: str) -> Key:
    return Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.FLOW,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        above=0.0,
    )


def _share(meaning: str, left_out: str, example: str) -> Key:
    return Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.RATIO,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        above=0.0,
        at_most=1.0,
    )


def _text(meaning: str, left_out: str, example: str, *, required: bool = False) -> Key:
    return Key(
        kind=Kind.TEXT,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        required=required,
    )


def _word(meaning: str, left_out: str, *words: str) -> Key:
    return Key(
        kind=Kind.WORD,
        meaning=meaning,
        left_out=left_out,
        example=f'"{words[0]}"',
        words=words,
    )


def _count(meaning: str) -> Key:
    return Key(kind=Kind.COUNT, meaning=meaning, left_out="one", example="1", at_least=1.0)


def _files(meaning: str, left_out: str, example: str) -> Key:
    return Key(kind=Kind.FILES, meaning=meaning, left_out=left_out, example=f'"{example}"')


def _names(meaning: str, left_out: str, example: str) -> Key:
    return Key(kind=Kind.NAMES, meaning=meaning, left_out=left_out, example=example)


TOP: Keys = {
    "title": _text("name of the scheme", "the folder's name", "Fernlea Hollow"),
    "units": _word("how results are shown", "metric", "metric", "us"),
    "feet": _word("with us units: 7.9 ft or 7 ft 11 in", "tenths", "tenths", "inches"),
}

GROUND: Keys = {
    "book": _files("level book with the rod readings", "no book", "field_book.csv"),
    "book_unit": _word(
        "unit of the readings where the book's heading names none",
        "the heading must say",
        "ft",
        "m",
        "cm",
        "mm",
        "in",
        "ft-in",
    ),
    "rod": _word(
        "direct: the rod's figures are elevations rising upward",
        "normal",
        "normal",
        "direct",
    ),
    "level_error": Key(
        kind=Kind.ERRORS,
        meaning="standard error of one rod reading, and of the line of sight",
        left_out="a usual one is taken and said",
        example='{ reading = "1.5 mm", angle = "10 arcsec" }',
    ),
    "heights": Key(
        kind=Kind.FILE,
        meaning="height differences by other means (water level, hose)",
        left_out="none",
        example='"heights.csv"',
    ),
    "map": _files("named points and routes", "no map", "map.geojson"),
    "map_error": Key(
        kind=Kind.SPREAD,
        dimension=Dimension.LENGTH,
        meaning="how well the map's marks are placed",
        left_out="not counted",
        example='"0.5 m"',
        above=0.0,
    ),
    "dem": _files("elevation raster", "no raster", "dem.tif"),
    "dem_unit": _word(
        "unit of its heights where the raster does not say",
        "the raster must say",
        "m",
        "ft",
        "ftUS",
    ),
    "dem_error": Key(
        kind=Kind.SPREAD,
        dimension=Dimension.LENGTH,
        meaning="how wrong its heights are",
        left_out="not known, and said",
        example='"0.3 m"',
        above=0.0,
    ),
    "dem_kind": _word("a published class of rasters, instead of dem_error", "none", *RASTER_KINDS),
    "dem_range": _size(
        "where the correlation of its error has fallen to 5 %",
        "neighbours are taken as independent",
        "60 m",
    ),
    "crs": _text("coordinate system of what carries none", "each file must say", "EPSG:26915"),
}

PLACE: Keys = {
    "lat_lon": Key(
        kind=Kind.LAT_LON,
        meaning="position, latitude first [deg]",
        left_out="the map's, if it has the point",
        example='"46.5062, -93.9195"',
    ),
    "coordinates": Key(
        kind=Kind.COORDINATES,
        meaning="position in crs, instead of lat_lon",
        left_out="the same",
        example="[429401.3, 5150640.2]",
    ),
    "elevation": _length("height", "the book's or the raster's", "312.4 +- 0.05 m"),
}

WATER: Keys = {
    "temperature": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.TEMPERATURE,
        meaning="temperature of the water",
        left_out="10 C, listed as taken",
        example='"10 C"',
        at_least=0.0,
        at_most=100.0,
    ),
}

SOURCE: Keys = {
    "place": _text("where it is", "must be there", "spring", required=True),
    "water_above": _length(
        "water surface above the named point (below it: negative)",
        "0 m, listed as taken",
        "0.1 m",
    ),
    "flow": Key(
        kind=Kind.FLOW,
        dimension=Dimension.FLOW,
        meaning="what it gives",
        left_out="flows are not answered",
        example='"46 +- 3 L/min"',
        at_least=0.0,
    ),
    "season": _word("when the flow was measured", "not said", "dry", "other"),
    "share": _share("part of the flow that may be taken", "all of it, listed as taken", "80 %"),
}

RAM: Keys = {
    "place": _text("where it stands", "must be there", "ram", required=True),
    "valve_above": _length(
        "waste valve's outlet above the named point", "0 m, listed as taken", "0.2 m"
    ),
    "tail_water_above": _length(
        "water standing at the ram above the named point, where it can't run off",
        "it runs off",
        "0.3 m",
    ),
    "drive": _text("name of the drive pipe", "drive", "drive"),
    "feed": _names(
        "pipes from the source to where the drive pipe begins, in the flow's order",
        "it begins at the source",
        '["feed"]',
    ),
    "delivery": _text("name of the delivery pipe", "delivery", "delivery"),
    "laid": _word(
        "how the drive pipe lies between its ends", "straight", "straight", "along the ground"
    ),
    "built": _word(
        "which published efficiencies apply", "an efficiency must be stated", "bought", "home"
    ),
    "efficiency": _share("measured efficiency", "a published table gives it", "58 %"),
    "efficiency_of": _word(
        "whole line: it was measured at the tank's end", "ram", "ram", "whole line"
    ),
    "flow": _flow("what one ram takes", "all that may be taken", "18 L/min"),
    "flow_least": _flow("below it a ram stops", "no such limit", "12 L/min"),
    "flow_most": _flow("above it the rest passes by", "no such limit", "60 L/min"),
    "count": _count("rams alike, each with its own drive pipe"),
}

TANK: Keys = {
    "place": _text("where it stands", "must be there", "knoll", required=True),
    "stand": _length("deck above ground", "it stands on the ground", "3.0 m", floor=0.0),
    "water_depth": _size("water when full, above the deck", "1.5 m, listed as taken", "1.5 m"),
    "lowest": _length(
        "lowest useful water above the deck", "0 m, listed as taken", "0.2 m", floor=0.0
    ),
    "inlet": _length(
        "where the filling pipe lets go of its water, above the deck",
        "at water_depth",
        "1.6 m",
        floor=0.0,
    ),
    "diameter": _size("inside diameter of an upright tank", "volumes are not answered", "1.4 m"),
    "volume": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.VOLUME,
        meaning="water of the whole water_depth, instead of diameter",
        left_out="volumes are not answered",
        example='"2.2 m3"',
        above=0.0,
    ),
    "legs": _names("places of the stand's legs", "none", '["leg1", "leg2", "leg3", "leg4"]'),
    "count": _count("tanks alike, joined, side by side on one stand"),
    "needed": _flow(
        "water wanted into this tank", "the least flow that does is not answered", "600 gal/day"
    ),
}

PIPE: Keys = {
    "from": _text("where it begins", "must be there", "ram", required=True),
    "to": _text("where it ends", "must be there", "tank", required=True),
    "route": _text(
        'the route it follows, or "straight"',
        "a route of the pipe's own name, else straight, else length alone",
        "east",
    ),
    "length": _size("of the pipe as taped, risers included", "along the ground", "62 ft"),
    "cover": _length("depth below ground", "laid on the ground", "0.4 m", floor=0.0),
    "spec": Key(
        kind=Kind.SPEC,
        meaning="the pipe as it is bought",
        left_out="only lengths are answered",
        example='"PE100 ISO 4427 32 mm SDR 11"',
    ),
    "fittings": Key(
        kind=Kind.FITTINGS,
        meaning="fittings on it, and how many of each",
        left_out="none",
        example='{ "gate valve" = 1, "elbow 90" = 3 }',
    ),
}

OUTLET: Keys = {
    "place": _text("where it is", "must be there", "beds", required=True),
    "height": _length("above ground", "at the ground", "0.6 m"),
    "flow": _flow("what it draws while running", "its pressures are not answered", "12 L/min"),
    "pressure": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.PRESSURE,
        meaning="needed just before its valve, while running",
        left_out="whether it is enough is not answered",
        example='"60 kPa"',
        at_least=0.0,
    ),
}

PLAIN_TABLES: Mapping[str, Keys] = {
    "ground": GROUND,
    "water": WATER,
    "source": SOURCE,
    "ram": RAM,
    "tank": TANK,
}
NAMED_TABLES: Mapping[str, Keys] = {
    "place": PLACE,
    "tank": TANK,
    "pipe": PIPE,
    "outlet": OUTLET,
}
"""Tables of tables: ``[pipe.drive]``. A tank may stand alone or have a name."""

TABLE_NAMES = (
    "ground", "place", "water", "source", "ram", "tank", "pipe", "outlet", "together", "choice",
)  # fmt: skip

LATER_TABLES = (
    "draw", "climate", "costs", "limits", "instrument", "storage", "demand", "search",
)  # fmt: skip
"""Tables that the file will know some day; until then they are refused by name."""

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
LEVEL_ERROR: Mapping[str, Dimension] = {"reading": Dimension.LENGTH, "angle": Dimension.ANGLE}
