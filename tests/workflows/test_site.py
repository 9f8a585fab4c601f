"""Opening a site: each file once, everything in one plane; solving opens nothing."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio import Affine

from terrain_head.errors import GroundError, InputError
from terrain_head.files.study_record import GroundFiles, StatedPlace, Study
from terrain_head.ground.grid import RasterError
from terrain_head.ground.ground import Course
from terrain_head.scheme.parts import Parts, PipeRun
from terrain_head.workflows import site as site_module
from terrain_head.workflows.site import ground_of, open_site, with_places

BOOK = """point,bs [m],is [m],fs [m],elevation [m],route,station
nail,1.200,,,100.000,,
spring,,1.500,,,line,0
hump,,0.400,,,line,40
ram,,,3.200,,line,90
"""


def corner() -> tuple[float, float]:
    """Give the north-west corner of the raster in UTM zone 32N: an invented valley."""
    return 665_000.0, 5_219_000.0


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Make a folder with a book, a map and a tilted plane as raster."""
    (tmp_path / "book.csv").write_text(BOOK, encoding="utf-8")
    west, north = corner()
    rows, columns = np.mgrid[0:200, 0:200]
    heights = 500 + 0.1 * (columns + 0.5) + 0.05 * (rows + 0.5)
    with rasterio.open(
        tmp_path / "dem.tif",
        "w",
        driver="GTiff",
        width=200,
        height=200,
        count=1,
        dtype="float64",
        crs="EPSG:32632",
        transform=Affine(1, 0, west, 0, -1, north),
    ) as out:
        out.write(heights, 1)
        out.units = ("metre",)
    feature = [
        ("Spring", "Point", [west + 20, north - 20]),
        ("Tank", "Point", [west + 150, north - 120]),
        ("over", "LineString", [[west + 20, north - 20], [west + 80, north - 20],
                                [west + 150, north - 120]]),
    ]  # fmt: skip
    features = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": {"type": kind, "coordinates": coordinates},
        }
        for name, kind, coordinates in feature
    ]
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::32632"}}
    text = json.dumps({"type": "FeatureCollection", "crs": crs, "features": features})
    (tmp_path / "map.geojson").write_text(text, encoding="utf-8")
    return tmp_path


def study(folder: Path, *, places: tuple[StatedPlace, ...] = (), **files: object) -> Study:
    ground = GroundFiles(
        **files,  # type: ignore[arg-type]
        dem_error=RasterError(std_m=0.3, range_m=60.0),
    )
    return Study(path=folder / "study.toml", title="t", ground=ground, places=places)


def test_rod_alone_needs_no_plane(folder: Path) -> None:
    opened = open_site([study(folder, books=(folder / "book.csv",))])
    assert opened.plane is None
    assert opened.grid is None
    ground = ground_of(opened, [Course(name="line", start="spring", end="ram")])
    profile = ground.profiles["line"]
    assert profile.station_m.tolist() == [0.0, 40.0, 90.0]
    assert profile.elevation_m == pytest.approx([99.7, 100.8, 98.0])
    assert profile.between_known


def test_what_is_known_of_the_instrument_reaches_the_book(folder: Path) -> None:
    books = (folder / "book.csv",)
    opened = open_site(
        [study(folder, books=books, reading_std_m=0.002, angle_std_rad=5e-5, farthest_m=40.0)]
    )
    assert opened.book is not None
    found = opened.book.reading_std_m, opened.book.angle_std_rad, opened.book.farthest_m
    assert (0.002, 5e-5, 40.0) == found


def test_raster_alone_serves_when_all_files_are_gone(folder: Path) -> None:
    opened = open_site([study(folder, maps=(folder / "map.geojson",), dems=(folder / "dem.tif",))])
    for name in ("dem.tif", "map.geojson"):
        (folder / name).unlink()
    ground = ground_of(opened, [Course(name="p", start="spring", end="TANK", route="Over")])
    profile = ground.profiles["p"]
    assert profile.elevation_m[[0, -1]] == pytest.approx([503.0, 521.0], abs=1e-3)
    assert ground.datum == "the heights of dem.tif"
    assert profile.route == "over"


def test_the_raster_is_moved_onto_the_book(folder: Path) -> None:
    opened = open_site(
        [
            study(
                folder,
                books=(folder / "book.csv",),
                maps=(folder / "map.geojson",),
                dems=(folder / "dem.tif",),
            )
        ]
    )
    ground = ground_of(opened, [Course(name="p", start="spring", end="Tank")])
    assert ground.shift is not None
    assert ground.shift.shift_m == pytest.approx(99.7 - 503.0, abs=1e-3)
    assert ground.elevation_of("Tank") == pytest.approx(99.7 + 18.0, abs=2e-3)


def test_a_choice_has_its_own_places(folder: Path) -> None:
    maps, dems = (folder / "map.geojson",), (folder / "dem.tif",)
    west, north = corner()
    shelf = StatedPlace(name="shelf", x=west + 100, y=north - 100)
    main = study(folder, maps=maps, dems=dems, crs="EPSG:32632")
    lower = study(folder, maps=maps, dems=dems, crs="EPSG:32632", places=(shelf,))
    opened = open_site([main, lower])
    course = [Course(name="p", start="spring", end="shelf")]
    with pytest.raises(InputError, match="no place of this site"):
        ground_of(opened, course)
    ground = ground_of(with_places(opened, lower), course)
    assert ground.elevation_of("shelf") == pytest.approx(515.0, abs=1e-3)


def test_a_site_too_large_to_keep_is_read_where_its_choices_go(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Solving opens nothing even then: each choice serves when the files are gone."""
    monkeypatch.setattr(site_module, "MOST_CELLS", 10.0)
    west, north = corner()
    maps, dems = (folder / "map.geojson",), (folder / "dem.tif",)
    shelf = StatedPlace(name="shelf", x=west + 180, y=north - 150)

    def choice(end: str, *places: StatedPlace) -> Study:
        parts = Parts(pipes=(PipeRun(name="p", start="spring", end=end, route="straight"),))
        bare = study(folder, places=places, crs="EPSG:32632", maps=maps, dems=dems)
        return replace(bare, parts=parts)

    main, lower, wrong = choice("tank"), choice("shelf", shelf), choice("nowhere")
    opened = open_site([main, lower, wrong])
    for name in ("dem.tif", "map.geojson"):
        (folder / name).unlink()
    straight = Course(name="p", start="spring", end="tank", route="straight")
    assert ground_of(opened, [straight]).elevation_of("tank") == pytest.approx(521.0, abs=1e-3)
    along = ground_of(opened, [Course(name="p", start="spring", end="tank", route="over")])
    assert np.isfinite(along.profiles["p"].elevation_m).all()
    below = ground_of(with_places(opened, lower), [replace(straight, end="shelf")])
    assert below.elevation_of("shelf") == pytest.approx(525.5, abs=1e-3)


def test_files_are_closed_once_the_site_is_opened(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[rasterio.DatasetReader] = []
    bare = rasterio.open

    def remember(*args: object, **options: object) -> rasterio.DatasetReader:
        opened.append(bare(*args, **options))
        return opened[-1]

    monkeypatch.setattr(rasterio, "open", remember)
    for most in (1e9, 10.0):
        monkeypatch.setattr(site_module, "MOST_CELLS", most)
        open_site([study(folder, maps=(folder / "map.geojson",), dems=(folder / "dem.tif",))])
        assert opened
        assert all(dataset.closed for dataset in opened)


def test_a_place_in_degrees_may_stand_beside_coordinates(folder: Path) -> None:
    place = StatedPlace(name="box", latitude=47.1, longitude=11.17, elevation_m=700.0)
    opened = open_site([study(folder, places=(place,))])
    assert opened.plane is not None
    assert opened.places[0].stated_elevation_m == 700.0
    assert opened.places[0].east_m == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("place", "crs", "words"),
    [
        (StatedPlace(name="box", x=1.0, y=2.0), None, "nothing says of which system"),
        (StatedPlace(name="box", x=1e30, y=2.0), "EPSG:32632", "is no spot of EPSG:32632"),
        (StatedPlace(name="box", latitude=91.0, longitude=0.0), None, "off the globe"),
        (StatedPlace(name="box", x=1.0, y=2.0), "EPSG:1", "is not known"),
    ],
)
def test_positions_that_can_not_be(
    folder: Path, place: StatedPlace, crs: str | None, words: str
) -> None:
    with pytest.raises(InputError, match=words):
        open_site([study(folder, places=(place,), crs=crs)])


def test_latitude_and_longitude_swapped_are_recognised(folder: Path) -> None:
    place = StatedPlace(name="box", latitude=11.176, longitude=47.1)
    with pytest.raises(InputError, match="look swapped: box"):
        open_site([study(folder, places=(place,), dems=(folder / "dem.tif",))])


def test_a_raster_without_any_position_is_an_error(folder: Path) -> None:
    with pytest.raises(InputError, match="nothing says where on it"):
        open_site([study(folder, dems=(folder / "dem.tif",))])


def test_positions_on_other_hills_are_an_error(folder: Path) -> None:
    far = StatedPlace(name="box", latitude=40.0, longitude=11.0)
    with pytest.raises(InputError, match="50 km apart"):
        open_site([study(folder, maps=(folder / "map.geojson",), places=(far,))])


def test_book_and_raster_without_a_common_place_say_what_to_level(folder: Path) -> None:
    opened = open_site(
        [
            study(
                folder,
                books=(folder / "book.csv",),
                maps=(folder / "map.geojson",),
                dems=(folder / "dem.tif",),
            )
        ]
    )
    alone = [place for place in opened.map_places if place.name != "Spring"]
    apart = replace(opened, map_places=tuple(alone))
    with pytest.raises(GroundError, match="no place in common"):
        ground_of(
            apart,
            [
                Course(name="line", start="spring", end="ram"),
                Course(name="p", start="ram", end="Tank", length_m=200.0),
            ],
        )
