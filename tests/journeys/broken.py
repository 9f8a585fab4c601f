"""Samples broken in one place each, as a person breaks them, and what must then be said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
from numpy.typing import NDArray

from tests.journeys.answers import copy_of

ROD, RASTER, BOTH = "orchard_rod", "valley_raster", "hill_farm_both"

PICTURE = (
    b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x02\x00\x00\x00\x02\x08\x02\x00\x00\x00"
    b"\xfd\xd4\x9as\x00\x00\x00\x14IDATx\x9cc\xf8\xcf\xc0\x00\xc2\x0c\xff\x19\x18\xfe\x033\x00"
    b"\x1f\xee\x05\xfb\xf1\xab\xbaw\x00\x00\x00\x00IEND\xaeB`\x82"
)
"""Four pixels of colour."""


Heights = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """One thing broken in one sample.

    Parameters
    ----------
    name
        What is broken.
    sample
        The sample it is broken in.
    code
        The exit code of the command.
    says
        Words that the message must hold: what is wrong, and its cure.
    swaps
        File, text in it, and what stands there instead.
    whole
        A file, and what the whole of it holds instead.
    gone
        A file that is taken away.
    spoil
        What is done to the raster.
    options
        Further words of the command.
    """

    name: str
    sample: str = ROD
    code: int = 3
    says: tuple[str, ...]
    swaps: tuple[tuple[str, str, str], ...] = ()
    whole: tuple[str, bytes] | None = None
    gone: str | None = None
    spoil: Callable[[Path], None] | None = None
    options: tuple[str, ...] = ()

    def make(self, folder: Path) -> Path:
        """Break a copy of the sample under a folder, and return the copy."""
        copy = copy_of(self.sample, folder)
        for file, old, new in self.swaps:
            text = (copy / file).read_text(encoding="utf-8")
            if text.count(old) != 1:
                raise ValueError(f"{self.name}: {old!r} stands {text.count(old)} times")
            (copy / file).write_text(text.replace(old, new), encoding="utf-8")
        if self.whole is not None:
            (copy / self.whole[0]).write_bytes(self.whole[1])
        if self.gone is not None:
            (copy / self.gone).unlink()
        if self.spoil is not None:
            self.spoil(copy)
        return copy


def study(
    name: str,
    old: str,
    new: str,
    *says: str,
    sample: str = ROD,
    code: int = 3,
) -> Broken:
    """Return a sample whose study file is broken in one spot."""
    swaps = (("study.toml", old, new),)
    return Broken(name=name, sample=sample, code=code, says=says, swaps=swaps)


def book(name: str, old: str, new: str, *says: str) -> Broken:
    """Return the orchard with its first level book broken in one spot."""
    return Broken(name=name, says=says, swaps=(("lower.csv", old, new),))


def hill(change: Callable[[Heights], Heights], **profile: Any) -> Callable[[Path], None]:
    """Return what writes the hill's raster anew with other heights or another frame."""

    def spoil(folder: Path) -> None:
        file = folder / "hill.tif"
        with rasterio.open(file) as raster:
            heights, frame = change(raster.read(1)), {**raster.profile, **profile}
            units = raster.units
        frame["height"], frame["width"] = heights.shape
        with rasterio.open(file, "w", **frame) as raster:
            raster.write(heights, 1)
            raster.units = units

    return spoil


def with_a_void(heights: Heights) -> Heights:
    """Return the heights with a band of no data across the delivery."""
    spoiled = heights.copy()
    spoiled[90:94, :] = -9999.0
    return spoiled


PLASTIC = 'spec = { standard = "PE ASTM D2239 1 in SIDR 15", rating = "100 psi" }'
NO_DATUM = (
    ("map.geojson", '"name": "seep"', '"name": "old seep"'),
    ("book.csv", "\nram;", "\nslab;"),
    ("book.csv", "\nbarn;", "\nsill;"),
    ("book.csv", "\nshelf;", "\nrock;"),
    ("study.toml", 'route = "straight"', 'length = "22 m"'),
)
"""Rod and raster left without a point that both know."""

BROKEN = (
    # The study file.
    study("missing unit", 'valve_above = "0.6 ft"', "valve_above = 0.6",
          "line 22", "0.6 has no unit", 'valve_above = "0.6 ft"'),
    study("unknown key", 'stand = "6 ft"', 'stnad = "6 ft"',
          "line 27", "no such key", 'stand = "6 ft"'),
    study("unknown table", "[water]", "[watter]", "line 11", "no such table", "[water]"),
    study("unit of the wrong kind", 'flow = "5 gal/min"', 'flow = "5 gal"',
          "line 63", "a volume; a flow is wanted"),
    study("unit that is none", 'cover = "1 ft"', 'cover = "1 foots"',
          "line 57", "'foots'", "Known: m, cm, mm"),
    study("negative flow", '"5 +- 0.2 gal in 21 s"', '"-14 gal/min"', "line 16", "below zero"),
    study("negative length", 'length = "54 ft"', 'length = "-54 ft"', "line 37", "more than zero"),
    study("NaN in a text", 'needed = "600 gal/day"', 'needed = "nan gal/day"',
          "line 32", "not a number that can be used"),
    study("bare NaN", 'share = "80 %"', "share = nan", "line 18", "no number", 'share = "80 %"'),
    study("share over all of it", 'share = "80 %"', 'share = "130 %"',
          "line 18", "more than 100 %"),
    study("inch mark", 'stand = "6 ft"', 'stand = "6\' 3-1/2""',
          "line 27", "the inch mark ended the text", 'stand = "6 ft 3-1/2 in"'),
    study("decimal comma", 'length = "54 ft"', 'length = "54,5 ft"',
          "line 37", "holds a comma", 'length = "54.5 ft"'),
    study("backslash path", '"lower.csv", "upper.csv"', '"rod\\upper.csv", "upper.csv"',
          "line 8", "Write / between folders", 'book = ["rod/upper.csv", "upper.csv"]'),
    study("blank in a bare name", '[outlet."house tap"]', "[outlet.house tap]",
          "line 60", "put the name in quotes", '[outlet."house tap"]'),
    study("table twice", "[outlet.beds]", '[outlet."house tap"]',
          "line 66", "written twice", "line 60"),
    study("text without its end", 'title = "Hobnail Ridge"', 'title = "Hobnail Ridge',
          "line 4", "the quote that ends the text is missing"),
    study("season unknown", 'season = "dry"', 'season = "summer"', "line 17", '"dry" or "other"'),
    study("water as hot as in a kettle", 'temperature = "52 F"', 'temperature = "90 C"',
          "line 12", "more than 60 C"),
    study("ice", 'temperature = "52 F"', 'temperature = "-4 C"', "line 12", "below zero"),
    study("plastic of unknown size", PLASTIC + "\nfittings", PLASTIC.replace("1 in", "7/8 in")
          + "\nfittings", "line 44", "no pipe of 7/8 in", 'spec = "PE ASTM D2239 3/4 in SIDR 15"'),
    study("rating that is a length", 'rating = "500 psi"', 'rating = "500 ft"',
          "line 38", "a pressure is wanted"),
    study("fitting unknown", '"gate valve" = 1', '"gait valve" = 1',
          "line 52", "no such fitting", "Near it: gate valve"),
    study("part of a fitting", '"gate valve" = 1', '"gate valve" = 1.5',
          "line 52", "not a whole number"),
    study("source that is nowhere", 'place = "spring" ', '# place = "spring" ',
          "line 14", "place is missing", 'place = "spring"'),
    study("diameter and volume", 'diameter = "4 ft"', 'diameter = "4 ft"\nvolume = "400 gal"',
          "line 31", "Keep one of the two"),
    study("lowest water over the full level", 'lowest = "0.5 ft"', 'lowest = "6 ft"',
          "line 29", "above the water of the full tank"),
    study("outlet of a group that is none", '["house tap", "beds"]', '["house tap", "bed"]',
          "line 74", 'no outlet "bed"', "house tap", "beds"),
    study("tank unknown", 'to = "tank"', 'to = "tank.upper"',
          "line 42", 'no tank "tank.upper"', 'to = "tank"'),
    study("point not in the book", 'place = "ram"', 'place = "rahm"',
          "line 21", '"rahm" is no place', "Nearest first: ram"),
    study("leg not in the book", '"leg 4"', '"leg 5"',
          '"leg 5" is no place', "Nearest first: leg", '"leg 1"'),
    study("route not found", 'cover = "1 ft"', 'cover = "1 ft"\nroute = "bedline"',
          "no such route", 'route = "bed line"'),
    study("pipes that join each other only",
          'from = "tank"\nto = "house"', 'from = "beds"\nto = "house"',
          'Pipe "house line" is joined to nothing', 'from = "tank"'),
    study("two deliveries", "[outlet.beds]",
          '[pipe.second]\nfrom = "ram"\nto = "tank"\nlength = "300 ft"\n\n[outlet.beds]',
          '"delivery" and "second" both leave the ram', "Leave one"),
    study("pipe tied to nothing", "[outlet.beds]",
          '[pipe.spare]\nfrom = "b80"\nto = "b160"\nlength = "80 ft"\n\n[outlet.beds]',
          '"spare" is joined to nothing', 'from = "tank"'),
    study("choice of a pipe that is none", 'pipe."house line".spec', 'pipe."hose line".spec',
          "line 80", "from is missing"),
    study("choice without what is not there", 'tank.stand = "9 ft"', 'without = ["pipe.bedline"]',
          "line 77", "no table", "pipe.bed line"),
    study("table of a later version", "[together]", '[draw]\nhouse = "300 gal/day"\n\n[together]',
          "line 72", "not built yet"),
    Broken(name="choice unknown", code=2, options=("--choice", "taler stand"),
           says=("no choice", '"taler stand"', "Did you mean", "wider line")),
    # Files that are not there, or not what they should be.
    study("book not there", '"lower.csv"', '"lowest.csv"', "lowest.csv", "lower.csv"),
    study("raster not there", 'dem = "hill.tif"', 'dem = "hills.tif"',
          "no file hill_farm_both/hills.tif", "hill.tif", sample=BOTH),
    study("map not there", 'map = "map.geojson"', 'map = "maps.geojson"',
          "no file valley_raster/maps.geojson", "spelled", sample=RASTER),
    study("map for a book", 'book = "book.csv"', 'book = "map.geojson"',
          "neither form of a level book", "point,bs [ft],is,fs,elevation", sample=BOTH),
    study("raster for a map", 'map = "map.geojson"', 'map = "hill.tif"',
          "can't be read as a map", "GeoJSON", sample=BOTH),
    Broken(name="empty study", whole=("study.toml", b""), says=("is empty", "[ground]")),
    Broken(name="binary study", whole=("study.toml", PICTURE), says=("no text", "UTF-8")),
    Broken(name="no study in the folder", gone="study.toml",
           says=("holds no study file", "terrain-head new orchard_rod")),
    # The level book.
    book("readings without a unit", "bs [ft],is [ft],fs [ft],elevation [ft]",
         "bs,is,fs,elevation", "line 2", "carry no unit", "Write bs [ft]"),
    book("two elevations for one point", "TP2,12.20,,1.31,,,,", "nail,12.20,,1.31,1001.00,,,",
         "line 9", "a second elevation", "line 3"),
    book("foresight before any backsight", "nail,3.87,,,1000.00", "nail,,,3.87,1000.00",
         "line 3", "no reading back came before it", "belongs under bs"),
    book("spreadsheet date", "d180,,10.52", "d180,,8-May", "line 10", "a date", "Set the column"),
    book("NaN for a reading", "d180,,10.52", "d180,,nan", "line 10", "Leave the cell blank"),
    book("words for a reading", "d180,,10.52", "d180,,about ten",
         "line 10", "not a number in ft", "Write the figure alone"),
    book("letter in a station", "2+40", "2+4o", "line 11", "two figures after the plus"),
    book("row without a point", "TP3,11.70", ",11.70", "line 12", "Write its name"),
    Broken(name="empty book", whole=("lower.csv", b""), says=("lower.csv is empty",)),
    Broken(name="binary book", whole=("lower.csv", bytes(range(256)) * 4),
           says=("lower.csv is not text", "CSV UTF-8")),
    Broken(name="heading alone", whole=("lower.csv", b"point,bs [ft],is [ft],fs [ft]\n"),
           says=("line 1", "no row under it")),
    # The raster and the map.
    study("unit of the raster unknown", 'dem_unit = "m"', 'dem_unit = "yd"',
          "line 11", '"m" or "ft" or "ftUS"', sample=RASTER),
    study("heights without a unit", 'dem_unit = "m"', "", "unit", 'dem_unit = "m"', sample=RASTER),
    study("class of raster unknown", 'dem_error = "0.3 m"', 'dem_kind = "lidar"',
          "line 14", "SRTM", sample=BOTH),
    Broken(name="picture instead of raster", sample=BOTH, whole=("hill.tif", PICTURE),
           says=("a picture, not heights", "bare-earth elevation")),
    Broken(name="empty raster", sample=BOTH, whole=("hill.tif", b""),
           says=("is empty", "Fetch it again")),
    Broken(name="text for a raster", sample=BOTH, whole=("hill.tif", b"no heights here\n"),
           says=("can't be read as a raster", "Fetch it again")),
    Broken(name="raster without a coordinate system", sample=BOTH,
           spoil=hill(lambda heights: heights, crs=None),
           says=("coordinate system", "EPSG:26915")),
    Broken(name="void across a route", sample=BOTH, code=4, spoil=hill(with_a_void),
           says=("has a hole on route", "At 0+091", "N, 15", "Go round the hole")),
    Broken(name="raster all void", sample=BOTH, code=4,
           spoil=hill(lambda heights: np.full_like(heights, -9999.0)),
           says=("has a hole", "a second raster")),
    Broken(name="route that leaves the raster", sample=BOTH, code=4,
           spoil=hill(lambda heights: heights[:, :110]),
           says=("does not reach", "east edge", "N, 15", "the next tile to the east")),
    Broken(name="rod and raster on no shared datum", sample=BOTH, code=4, swaps=NO_DATUM,
           says=("no place in common", "level ram too")),
    Broken(name="end 30 m off its route", sample=RASTER, code=4, swaps=(
        ("map.geojson", "[[-93.9182941, 46.5058809], [-93.9186964",
         "[[-93.9186850, 46.5058809], [-93.9186964"),),
        says=('ram stands 30 m off route "over the hump"', 'route = "straight"')),
    study("route unknown of the map", 'route = "over the hump"', 'route = "over the hmp"',
          "no such route", 'route = "over the hump"', sample=RASTER),
    Broken(name="latitude where longitude belongs", sample=RASTER, swaps=(
        ("map.geojson", "[-93.9181603, 46.5056749]", "[46.5056749, -93.9181603]"),),
        says=("look swapped: spring", "in a GeoJSON file longitude does")),
    Broken(name="empty map", sample=RASTER, whole=("map.geojson", b""),
           says=("can't be read as a map",)),
    Broken(name="map that broke off", sample=RASTER,
           whole=("map.geojson", b'{"type": "FeatureCollection", "features": ['),
           says=("can't be read as a map", "broke off")),
)  # fmt: skip
"""Each is broken in one place only, in an invented sample."""
