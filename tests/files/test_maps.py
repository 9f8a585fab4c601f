"""Maps give named points and routes, whatever the format, in degrees of WGS 84."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio
import pytest
import shapely

from terrain_head.errors import InputError
from terrain_head.files.maps import MapContent, nearest_names, read_maps

SPRING, TANK = (11.2, 47.1), (11.201, 47.102)
BEND = (11.2005, 47.101)

GPX = """<?xml version="1.0"?>
<gpx version="1.1" creator="hand" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="47.1" lon="11.2"><ele>1000</ele><name>Spring</name></wpt>
<wpt lat="47.102" lon="11.201"><name>Tank</name></wpt>
<rte><name>over</name><rtept lat="47.1" lon="11.2"/><rtept lat="47.101" lon="11.2005"/>
<rtept lat="47.102" lon="11.201"/></rte>
<trk><trkseg><trkpt lat="47.1" lon="11.2"/><trkpt lat="47.1" lon="11.2"/>
<trkpt lat="47.101" lon="11.2005"/></trkseg>
<trkseg><trkpt lat="47.102" lon="11.201"><ele>3</ele></trkpt></trkseg></trk>
</gpx>"""
KML = """<?xml version="1.0" encoding="UTF-8"?>
<kml xmlns="http://www.opengis.net/kml/2.2"><Document>
<Folder><name>marks</name>
<Placemark><name>Spring</name><Point><coordinates>11.2,47.1,0</coordinates></Point></Placemark>
<Placemark><name>Tank</name><Point><coordinates>11.201,47.102,0</coordinates></Point></Placemark>
</Folder><Folder><name>lines</name><Placemark><name>over</name><LineString><coordinates>
11.2,47.1,0 11.2005,47.101,0 11.201,47.102,0</coordinates></LineString></Placemark></Folder>
</Document></kml>"""


def features(*rows: tuple[str | None, str, list[Any]], **outer: object) -> str:
    return json.dumps(
        {
            "type": "FeatureCollection",
            **outer,
            "features": [
                {
                    "type": "Feature",
                    "properties": {"name": name},
                    "geometry": {"type": kind, "coordinates": coordinates},
                }
                for name, kind, coordinates in rows
            ],
        }
    )


GEOJSON = features(
    ("Spring", "Point", list(SPRING)),
    ("Tank", "Point", list(TANK)),
    ("over", "LineString", [list(SPRING), list(BEND), list(TANK)]),
)


def write_vector(path: Path, *, layer: str | None = None, crs: str | None = "EPSG:4326") -> Path:
    """Write the same places and line in a format that is not text."""
    points = shapely.to_wkb(shapely.points([SPRING, TANK]))
    line = shapely.to_wkb([shapely.linestrings([SPRING, BEND, TANK])])
    for shapes, kind, names in (
        (points, "Point", ["Spring", "Tank"]),
        (np.array(line, dtype=object), "LineString", ["over"]),
    ):
        folder = path if path.suffix else path / kind
        folder.parent.mkdir(parents=True, exist_ok=True)
        target = path if path.suffix == ".gpkg" else path.with_name(f"{kind}.shp")
        pyogrio.raw.write(
            target,
            shapes,
            field_data=[np.array(names, dtype=object)],
            fields=np.array(["NAME"], dtype=object),
            geometry_type=kind,
            crs=crs,
            layer=kind if path.suffix == ".gpkg" else layer,
            append=path.suffix == ".gpkg" and target.exists(),
        )
    return path


def same_places(content: MapContent) -> None:
    assert list(content.points) == ["Spring", "Tank"]
    assert content.points["Spring"] == pytest.approx(SPRING, abs=1e-9)
    assert content.points["Tank"] == pytest.approx(TANK, abs=1e-9)
    assert content.routes["over"] == pytest.approx(np.array([SPRING, BEND, TANK]), abs=1e-9)


@pytest.mark.parametrize(("name", "text"), [("m.geojson", GEOJSON), ("m.gpx", GPX), ("m.kml", KML)])
def test_three_text_formats_give_the_same_map(name: str, text: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    same_places(read_maps([path], crs=None))


def test_a_geopackage_gives_the_same_map(tmp_path: Path) -> None:
    same_places(read_maps([write_vector(tmp_path / "m.gpkg")], crs=None))


def test_shapefiles_give_the_same_map(tmp_path: Path) -> None:
    write_vector(tmp_path / "m.shp")
    same_places(read_maps([tmp_path / "Point.shp", tmp_path / "LineString.shp"], crs=None))


def test_a_shapefile_without_its_prj_asks_for_the_system(tmp_path: Path) -> None:
    write_vector(tmp_path / "m.shp")
    (tmp_path / "Point.prj").unlink()
    with pytest.raises(InputError, match=r"ends in \.prj"):
        read_maps([tmp_path / "Point.shp"], crs=None)
    content = read_maps([tmp_path / "Point.shp"], crs="EPSG:4326")
    assert content.points["Spring"] == pytest.approx(SPRING, abs=1e-9)


def test_coordinates_of_another_system_come_to_degrees(tmp_path: Path) -> None:
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::32632"}}
    path = tmp_path / "utm.geojson"
    path.write_text(
        features(("Spring", "Point", [666_937.5, 5_218_673.0]), crs=crs), encoding="utf-8"
    )
    longitude, latitude = read_maps([path], crs=None).points["Spring"]
    assert longitude == pytest.approx(11.2, abs=2e-3)
    assert latitude == pytest.approx(47.1, abs=2e-3)


def test_a_track_without_a_name_is_recognised_and_its_pieces_joined(tmp_path: Path) -> None:
    path = tmp_path / "walk.gpx"
    path.write_text(GPX, encoding="utf-8")
    content = read_maps([path], crs=None)
    assert content.unnamed == frozenset({"track 1"})
    assert content.routes["track 1"] == pytest.approx(np.array([SPRING, BEND, TANK]), abs=1e-9)
    assert content.words() == (
        "It has: over (235 m), track 1 (no name, 235 m). Points: Spring, Tank."
    )
    with pytest.raises(InputError, match=r"track 1 \(no name, 235 m\)\. Points: Spring, Tank\."):
        content.route("delivery")


def test_names_match_whatever_their_capitals() -> None:
    line = np.array([SPRING, TANK])
    content = MapContent(
        points={"Spring": SPRING, "a": SPRING, "A": TANK}, routes={"Over the Hump": line}
    )
    assert content.point("SPRING") == "Spring"
    assert content.point("A") == "A"
    assert content.route("over the hump") == "Over the Hump"
    with pytest.raises(InputError, match=r"The map has no point called 'Sprng'"):
        content.point("Sprng")


def test_the_nearest_names_are_shown() -> None:
    assert nearest_names("sprng", ["Spring", "Tank"]) == "Nearest: 'Spring'. "
    assert nearest_names("zzz", ["Spring", "Tank"]) == ""


def test_two_maps_may_hold_the_same_place_but_not_at_two_spots(tmp_path: Path) -> None:
    first, second, third = (tmp_path / f"{n}.geojson" for n in "abc")
    first.write_text(GEOJSON, encoding="utf-8")
    second.write_text(GEOJSON, encoding="utf-8")
    third.write_text(features(("Tank", "Point", [11.3, 47.1])), encoding="utf-8")
    same_places(read_maps([first, second], crs=None))
    with pytest.raises(InputError, match="'Tank' stands at two places"):
        read_maps([first, third], crs=None)


def test_a_line_of_a_name_already_taken_keeps_no_name(tmp_path: Path) -> None:
    path = tmp_path / "m.geojson"
    line = [list(SPRING), list(TANK)]
    path.write_text(
        features(
            ("track 1", "LineString", line),
            ("track 1", "LineString", [list(TANK), [11.3, 47.1]]),
            ("twice", "MultiPoint", [list(SPRING)]),
            (None, "Point", list(SPRING)),
            ("stub", "LineString", [list(SPRING), list(SPRING)]),
            ("field", "Polygon", [[*line, [11.2, 47.2], list(SPRING)]]),
            ("gone", "GeometryCollection", []),
        ),
        encoding="utf-8",
    )
    content = read_maps([path], crs=None)
    assert list(content.routes) == ["track 1", "track 2"]
    assert list(content.points) == ["twice"]


def test_names_may_be_numbers_or_missing(tmp_path: Path) -> None:
    path = tmp_path / "m.geojson"
    rows = [
        {
            "type": "Feature",
            "properties": properties,
            "geometry": {"type": "Point", "coordinates": [11.2 + n / 100, 47.1]},
        }
        for n, properties in enumerate([{"id": 1.0}, {"id": 2.5}, {"id": None}])
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": rows}), encoding="utf-8")
    assert list(read_maps([path], crs=None).points) == ["1", "2.5"]
    for row in rows:
        row["properties"] = {"height": 3}
    path.write_text(json.dumps({"type": "FeatureCollection", "features": rows}), encoding="utf-8")
    assert list(read_maps([path], crs=None).points) == []


@pytest.mark.parametrize(
    ("name", "content"),
    [("m.gpx", b""), ("m.geojson", b"not json"), ("m.kml", bytes(range(256))), ("m.gpkg", b"x")],
)
def test_what_is_no_map_is_said_so(name: str, content: bytes, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError, match="can't be read as a map"):
        read_maps([path], crs=None)
    with pytest.raises(InputError, match="There is no file"):
        read_maps([tmp_path / "none.gpx"], crs=None)


def test_another_name_serves_where_the_first_is_blank(tmp_path: Path) -> None:
    text = {"type": "FeatureCollection", "features": [
        {"type": "Feature", "properties": {"id": n, "name": name, "label": label},
         "geometry": {"type": "Point", "coordinates": [11.2 + n, 47.1]}}
        for n, (name, label) in enumerate([("Spring", "x"), (None, "Tank"), ("", None)])
    ]}  # fmt: skip
    path = tmp_path / "map.geojson"
    path.write_text(json.dumps(text), encoding="utf-8")
    assert list(read_maps([path], crs=None).points) == ["Spring", "Tank"]


def test_a_mark_with_several_shapes_gives_each_of_them(tmp_path: Path) -> None:
    path = tmp_path / "map.kml"
    path.write_text(
        """<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>over</name>
        <MultiGeometry><Point><coordinates>11.2,47.1</coordinates></Point><LineString><coordinates>
        11.2,47.1 11.201,47.102</coordinates></LineString></MultiGeometry></Placemark></Document>
        </kml>""",
        encoding="utf-8",
    )
    found = read_maps([path], crs=None)
    assert found.points == {"over": pytest.approx(SPRING)}
    assert found.routes["over"] == pytest.approx(np.array([SPRING, TANK]))


def test_a_geojson_that_is_not_in_degrees_takes_the_stated_system(tmp_path: Path) -> None:
    """The format means degrees where it names no system; metres can't be that."""
    path = tmp_path / "map.geojson"
    path.write_text(features(("Spring", "Point", [429_452.3, 5_150_685.4])), encoding="utf-8")
    longitude, latitude = read_maps([path], crs="EPSG:26915").points["Spring"]
    assert (latitude, longitude) == pytest.approx((46.50604, -93.91951), abs=1e-5)
    path.write_text(GEOJSON, encoding="utf-8")
    assert read_maps([path], crs="EPSG:26915").points["Spring"] == pytest.approx(SPRING)
