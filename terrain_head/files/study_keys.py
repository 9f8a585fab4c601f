"""Every table and key of the study file.

docs/study_file.md prints these rows; a test holds the two together.
"""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.base.units import Dimension
from terrain_head.files.raster_kinds import RASTER_KINDS
from terrain_head.files.study_key import (
    Key,
    Keys,
    Kind,
    count_key,
    files_key,
    flow_key,
    length_key,
    names_key,
    share_key,
    size_key,
    text_key,
    word_key,
)
from terrain_head.formulas.water import GREATEST_TEMPERATURE_C, LEAST_TEMPERATURE_C

TOP: Keys = {
    "title": text_key("name of the scheme", "the folder's name", example="Fernlea Hollow"),
    "units": word_key("how results are shown", "metric", words=("metric", "us")),
    "feet": word_key("with us units: 7.9 ft or 7 ft 11 in", "tenths", words=("tenths", "inches")),
}

GROUND: Keys = {
    "book": files_key("level book with the rod readings", "no book", example="field_book.csv"),
    "book_unit": word_key(
        "unit of the readings where the book's heading names none",
        "the heading must say",
        words=("ft", "m", "cm", "mm", "in", "ft-in"),
    ),
    "rod": word_key(
        "direct: the rod's figures are elevations rising upward",
        "normal",
        words=("normal", "direct"),
    ),
    "level_error": Key(
        kind=Kind.ERRORS,
        meaning="standard error of one rod reading, and of the line of sight",
        left_out="a usual one is taken and said",
        example='{ reading = "1.5 mm", angle = "10 arcsec" }',
    ),
    "instrument": Key(
        kind=Kind.INSTRUMENT,
        meaning="the level or laser, instead of level_error",
        left_out="as level_error says",
        example='{ kind = "rotating laser", accuracy = "1.5 mm at 30 m" }',
    ),
    "heights": Key(
        kind=Kind.FILE,
        meaning="height differences by other means (water level, hose)",
        left_out="none",
        example='"heights.csv"',
    ),
    "map": files_key("named points and routes", "no map", example="map.geojson"),
    "map_error": Key(
        kind=Kind.SPREAD,
        dimension=Dimension.LENGTH,
        meaning="how well the map's marks are placed",
        left_out="not counted",
        example='"0.5 m"',
        above=0.0,
    ),
    "dem": files_key("elevation raster", "no raster", example="dem.tif"),
    "dem_unit": word_key(
        "unit of its heights where the raster does not say",
        "the raster must say",
        words=("m", "ft", "ftUS"),
    ),
    "dem_error": Key(
        kind=Kind.SPREAD,
        dimension=Dimension.LENGTH,
        meaning="how wrong its heights are",
        left_out="not known, and said",
        example='"0.3 m"',
        above=0.0,
    ),
    "dem_kind": word_key(
        "a published class of rasters, instead of dem_error", "none", words=tuple(RASTER_KINDS)
    ),
    "dem_range": size_key(
        "where the correlation of its error has fallen to 5 %",
        "0, 30, 60 and 120 m are tried, the worst kept",
        example="60 m",
    ),
    "crs": text_key(
        "coordinate system of what carries none", "each file must say", example="EPSG:26915"
    ),
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
    "elevation": length_key("height", "the book's or the raster's", example="312.4 +- 0.05 m"),
}

WATER: Keys = {
    "temperature": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.TEMPERATURE,
        meaning="temperature of the water",
        left_out="10 C, listed as taken",
        example='"10 C"',
        at_least=LEAST_TEMPERATURE_C,
        at_most=GREATEST_TEMPERATURE_C,
    ),
}

SOURCE: Keys = {
    "place": text_key("where it is", "must be there", example="spring", required=True),
    "water_above": length_key(
        "water surface above the named point (below it: negative)",
        "0 m, listed as taken",
        example="0.1 m",
    ),
    "flow": Key(
        kind=Kind.FLOW,
        dimension=Dimension.FLOW,
        meaning="what it gives",
        left_out="flows are not answered",
        example='"46 +- 3 L/min"',
        at_least=0.0,
    ),
    "season": word_key("when the flow was measured", "not said", words=("dry", "other")),
    "share": share_key(
        "part of the flow that may be taken", "all of it, listed as taken", example="80 %"
    ),
}

SEEP: Keys = {
    "place": text_key("where it is", "must be there", example="alder", required=True),
    "water_above": length_key(
        "water surface above the named point (below it: negative)",
        "0 m: the named point is the water's surface",
        example="0.1 m",
    ),
    "flow": flow_key("what it gives in the dry season", "it brings nothing", example="6 L/min"),
}

RAM: Keys = {
    "place": text_key("where it stands", "must be there", example="ram", required=True),
    "valve_above": length_key(
        "waste valve's outlet above the named point", "0 m, listed as taken", example="0.2 m"
    ),
    "tail_water_above": length_key(
        "water standing at the ram above the named point, where it can't run off",
        "it runs off",
        example="0.3 m",
    ),
    "drive": text_key("name of the drive pipe", "drive", example="drive"),
    "feed": names_key(
        "pipes from the source to where the drive pipe begins, in the flow's order",
        "it begins at the source",
        example='["feed"]',
    ),
    "delivery": text_key("name of the delivery pipe", "delivery", example="delivery"),
    "laid": word_key(
        "how the drive pipe lies between its ends",
        "straight",
        words=("straight", "along the ground"),
    ),
    "built": word_key(
        "which published efficiencies apply",
        "an efficiency must be stated",
        words=("bought", "home"),
    ),
    "efficiency": share_key("measured efficiency", "a published table gives it", example="58 %"),
    "efficiency_of": word_key(
        "whole line: it was measured at the tank's end", "ram", words=("ram", "whole line")
    ),
    "flow": flow_key("what one ram takes", "all that may be taken", example="18 L/min"),
    "flow_least": flow_key("below it a ram stops", "no such limit", example="12 L/min"),
    "flow_most": flow_key("above it the rest passes by", "no such limit", example="60 L/min"),
    "count": count_key("rams alike, each with its own drive pipe"),
    "beats": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.BEATS,
        meaning="beats of one ram in a minute, counted while it takes the flow of the study",
        left_out="the waste valve is taken to shut at 0.7 of the steady velocity, listed as taken",
        example='"60 /min"',
        above=0.0,
    ),
}

TANK: Keys = {
    "place": text_key("where it stands", "must be there", example="knoll", required=True),
    "stand": length_key("deck above ground", "it stands on the ground", example="3.0 m", floor=0.0),
    "water_depth": size_key(
        "water when full, above the deck", "1.5 m, listed as taken", example="1.5 m"
    ),
    "lowest": length_key(
        "lowest useful water above the deck", "0 m, listed as taken", example="0.2 m", floor=0.0
    ),
    "inlet": length_key(
        "where the filling pipe lets go of its water, above the deck",
        "at water_depth",
        example="1.6 m",
        floor=0.0,
    ),
    "diameter": size_key(
        "inside diameter of an upright tank", "volumes are not answered", example="1.4 m"
    ),
    "volume": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.VOLUME,
        meaning="water of the whole water_depth, instead of diameter",
        left_out="volumes are not answered",
        example='"2.2 m3"',
        above=0.0,
    ),
    "legs": names_key(
        "places of the stand's legs", "none", example='["leg1", "leg2", "leg3", "leg4"]'
    ),
    "count": count_key("tanks alike, joined, side by side on one stand"),
    "needed": flow_key(
        "water wanted into this tank",
        "the least flow that does is not answered",
        example="600 gal/day",
    ),
}

PIPE: Keys = {
    "from": text_key("where it begins", "must be there", example="ram", required=True),
    "to": text_key("where it ends", "must be there", example="tank", required=True),
    "route": text_key(
        'the route it follows, or "straight"',
        "a route of the pipe's own name, else straight, else length alone",
        example="east",
    ),
    "length": size_key(
        "of the pipe as taped, risers included", "along the ground", example="62 ft"
    ),
    "cover": length_key("depth below ground", "laid on the ground", example="0.4 m", floor=0.0),
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
    "more_loss": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.RATIO,
        meaning="loss coefficient of what no fitting names (a strainer, a narrowing), in "
        "velocity heads",
        left_out="none",
        example="0.3",
        at_least=0.0,
    ),
}

OUTLET: Keys = {
    "place": text_key("where it is", "must be there", example="beds", required=True),
    "height": length_key("above ground", "at the ground", example="0.6 m"),
    "flow": Key(
        kind=Kind.OUTFLOW,
        dimension=Dimension.FLOW,
        meaning='what it draws while running; "open": whatever comes out of the open pipe end',
        left_out="its pressures are not answered",
        example='"12 L/min"',
        above=0.0,
    ),
    "gives": flow_key(
        "instead of flow: what one dripper or sprinkler was measured to give",
        "it draws its flow",
        example="4 L/min",
    ),
    "at": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.PRESSURE,
        meaning="the pressure at which it gives that",
        left_out="must be there beside gives",
        example='"100 kPa"',
        above=0.0,
    ),
    "exponent": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.RATIO,
        meaning="power of the pressure with which it gives more: 0.5 a hole, 1 a seeping hose, "
        "0 one that holds its flow",
        left_out="0.5, listed as taken",
        example="0.5",
        at_least=0.0,
        at_most=1.0,
    ),
    "count": count_key("drippers or sprinklers alike, side by side"),
    "pressure": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.PRESSURE,
        meaning="needed just before its valve, while running",
        left_out="whether it is enough is not answered",
        example='"60 kPa"',
        at_least=0.0,
    ),
    "fills": Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.VOLUME,
        meaning="how much it fills at a time: a truck, a fire pump's tank",
        left_out="how long that takes is not answered",
        example='"2000 L"',
        above=0.0,
    ),
}

COSTS: Keys = {
    "pipe": Key(
        kind=Kind.PRICES,
        meaning="price of each pipe by its spec, for each metre (with us units: each foot)",
        left_out="the smallest pipe is chosen",
        example='{ "PE100 ISO 4427 32 mm SDR 11" = 2.10 }',
    ),
    "stand": Key(
        kind=Kind.PRICE,
        meaning="price of each metre (foot) of a stand's height",
        left_out="not told",
        example="140",
    ),
    "trench": Key(
        kind=Kind.PRICE,
        meaning="price of each metre (foot) of trench",
        left_out="not told",
        example="3.5",
    ),
}

PLAIN_TABLES: Mapping[str, Keys] = {
    "ground": GROUND,
    "water": WATER,
    "source": SOURCE,
    "ram": RAM,
    "tank": TANK,
    "costs": COSTS,
}
NAMED_TABLES: Mapping[str, Keys] = {
    "place": PLACE,
    "seep": SEEP,
    "tank": TANK,
    "pipe": PIPE,
    "outlet": OUTLET,
}
"""Tables of tables: ``[pipe.drive]``. A tank may stand alone or have a name."""

TABLE_NAMES = (
    "ground", "place", "water", "source", "seep", "ram", "tank", "pipe", "outlet", "together",
    "costs", "choice",
)  # fmt: skip

LATER_TABLES = (
    "draw", "climate", "limits", "storage", "demand", "search",
)  # fmt: skip
"""Tables that the file will know some day; until then they are refused by name."""

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
LEVEL_ERROR: Mapping[str, Dimension] = {"reading": Dimension.LENGTH, "angle": Dimension.ANGLE}
