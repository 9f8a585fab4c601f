"""Rasters are read where they lie, never resampled, and give no height that they do not have."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import matplotlib.cbook
import numpy as np
import pytest
import rasterio
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from rasterio import Affine
from rasterio.enums import ColorInterp

from terrain_head.base.units import to_si
from terrain_head.errors import InputError
from terrain_head.files.planes import PlaneTransform, choose_plane, read_crs, to_lonlat
from terrain_head.files.raster_files import open_rasters
from terrain_head.files.rasters import RasterSet, lay_rasters
from terrain_head.ground.grid import ElevationGrid, RasterError
from terrain_head.ground.plane import LocalPlane
from terrain_head.ground.stationing import cut_line

FloatArray = NDArray[np.float64]
NO_ERROR = RasterError(std_m=None, range_m=None)
HERE = LocalPlane(latitude=40.0, longitude=-105.5)


def save(
    path: Path,
    cells: NDArray[np.generic],
    *,
    crs: str | None = "EPSG:32613",
    transform: Affine | None = None,
    unit: str | None = "metre",
    tags: dict[str, str] | None = None,
    **profile: Any,
) -> Path:
    options: dict[str, Any] = {"driver": "GTiff", **profile}
    with rasterio.open(
        path,
        "w",
        width=cells.shape[1],
        height=cells.shape[0],
        count=1,
        dtype=cells.dtype,
        crs=crs,
        transform=Affine(1, 0, 457_300, 0, -1, 4_428_000) if transform is None else transform,
        **options,
    ) as out:
        out.write(cells, 1)
        if unit is not None:
            out.units = (unit,)
        if tags:
            out.update_tags(**tags)
    return path


def opened(
    *paths: Path, plane: LocalPlane = HERE, unit: str | None = None
) -> AbstractContextManager[RasterSet]:
    """Open rasters at once, so that what is wrong is raised here; they are open for a block."""
    files = ExitStack()
    rasters = files.enter_context(open_rasters(paths, unit=unit, crs=None))
    laid = lay_rasters(rasters, error=NO_ERROR, plane=PlaneTransform(plane))

    @contextmanager
    def block() -> Iterator[RasterSet]:
        with files:
            yield laid

    return block()


@dataclass(frozen=True)
class System:
    """A coordinate system and cells of about 1 m in it."""

    crs: str
    across: float
    up: float
    turned_deg: float = 0.0

    def transform(self, x: float, y: float, *, cells: int) -> Affine:
        """Return the transform of a raster whose middle is at x, y."""
        turned = Affine.rotation(self.turned_deg)
        scaled = Affine(self.across, 0.0, 0.0, 0.0, -self.up, 0.0)
        linear = turned @ scaled
        dx, dy = linear @ (cells / 2, cells / 2)
        return Affine(linear.a, linear.b, x - dx, linear.d, linear.e, y - dy)


SYSTEMS = {
    "longitude and latitude": System("EPSG:4326", 1.2e-5, 0.9e-5),
    "UTM": System("EPSG:32613", 1.0, 1.0),
    "a state plane in US survey feet": System("EPSG:2232", 3.28, 3.28),
    "Web Mercator": System("EPSG:3857", 1.3, 1.3),
    "turned by its transform": System("EPSG:32613", 1.0, 1.1, turned_deg=23.0),
}


def tilted(system: System, plane: PlaneTransform, *, cells: int) -> tuple[FloatArray, Affine]:
    """Fill cell centres with the heights of a plane that is tilted in the local plane."""
    x, y = (float(value) for value in plane.to_crs(read_crs(system.crs), 0.0, 0.0))
    transform = system.transform(x, y, cells=cells)
    columns, rows = np.meshgrid(np.arange(cells) + 0.5, np.arange(cells) + 0.5)
    centre_x = transform.a * columns + transform.b * rows + transform.c
    centre_y = transform.d * columns + transform.e * rows + transform.f
    east, north = plane.from_crs(read_crs(system.crs), centre_x, centre_y)
    return 1500 + 0.21 * east - 0.13 * north, transform


@pytest.mark.parametrize("name", list(SYSTEMS))
def test_a_tilted_plane_is_read_to_a_millimetre(name: str, tmp_path: Path) -> None:
    """Legs to 500 m in five systems: heights within 1 mm."""
    system, plane = SYSTEMS[name], PlaneTransform(HERE)
    cells, transform = tilted(system, plane, cells=640)
    path = save(tmp_path / "plane.tif", cells, crs=system.crs, transform=transform)
    for corners in ([[-180, -175], [180, 172]], [[-100, 210], [-20, -200]], [[3, 5], [3, 9]]):
        line = cut_line(corners, step_m=0.9)
        east, north = line.points_m.T
        with opened(path) as rasters:
            heights = rasters.read_along(east, north).sample(east, north)
        assert np.abs(heights - (1500 + 0.21 * east - 0.13 * north)).max() < 1e-3


@pytest.mark.parametrize("latitude", [-41.3, 0.0, 40.0, 64.5])
@pytest.mark.parametrize("azimuth", [0.0, 37.0, 90.0, 141.0])
def test_plan_lengths_are_geodesic(latitude: float, azimuth: float) -> None:
    """Independent library: geographiclib; a part in a million, on sites up to 9 km wide."""
    far = Geodesic.WGS84.Direct(latitude, 11.5, azimuth, 9_000.0)
    plane = PlaneTransform(choose_plane([11.5, far["lon2"]], [latitude, far["lat2"]]))
    for reach in (5.0, 500.0, 9_000.0):
        end = Geodesic.WGS84.Direct(latitude, 11.5, azimuth, reach)
        east, north = plane.to_local([11.5, end["lon2"]], [latitude, end["lat2"]])
        length = np.hypot(east[1] - east[0], north[1] - north[0])
        assert length == pytest.approx(reach, rel=1e-6)


@pytest.mark.parametrize(
    ("ends", "length_m", "azimuth_deg"),
    [
        (((44.0, -72.5), (44.0, -72.499)), 80.20619, None),
        (((44.0, -72.5), (44.001, -72.5)), 111.11225, None),
        (((44.0, -72.5), (44.0045, -72.4938)), 705.17544, 44.8401),
    ],
)
def test_geodesics_of_a_farm(
    ends: tuple[tuple[float, float], tuple[float, float]],
    length_m: float,
    azimuth_deg: float | None,
) -> None:
    """Figures computed with geographiclib (C. F. F. Karney), WGS 84; within 1 mm."""
    (latitude, longitude), (latitude_2, longitude_2) = ends
    plane = PlaneTransform(LocalPlane(latitude=latitude, longitude=longitude))
    east, north = plane.to_local([longitude, longitude_2], [latitude, latitude_2])
    assert np.hypot(east[1], north[1]) == pytest.approx(length_m, abs=1e-3)
    if azimuth_deg is not None:
        assert np.degrees(np.arctan2(east[1], north[1])) == pytest.approx(azimuth_deg, abs=1e-3)


# NASA Shuttle Radar Topography Mission, 3 arc-seconds, as carried by matplotlib (public domain).
# Its file gives the northern edge as the southern one; the true extent follows from cell size and
# count (344 rows of 3 arc-seconds south of 36.446250 N).
JACKSBORO_NORTH, JACKSBORO_WEST, THREE_SECONDS = 36.446250, -84.413750, 1 / 1200


@pytest.fixture(scope="module")
def jacksboro(tmp_path_factory: pytest.TempPathFactory) -> Path:
    sample: Any = matplotlib.cbook.get_sample_data("jacksboro_fault_dem.npz")
    with sample:
        cells = sample["elevation"].astype(np.int16)
    transform = Affine(THREE_SECONDS, 0, JACKSBORO_WEST, 0, -THREE_SECONDS, JACKSBORO_NORTH)
    path = tmp_path_factory.mktemp("srtm") / "jacksboro.tif"
    return save(path, cells, crs="EPSG:4326", transform=transform)


def jacksboro_at(row: float, column: float) -> tuple[float, float]:
    """Return longitude and latitude of a point in rows and columns, whole at cell centres."""
    return (
        JACKSBORO_WEST + (column + 0.5) * THREE_SECONDS,
        JACKSBORO_NORTH - (row + 0.5) * THREE_SECONDS,
    )


@pytest.mark.parametrize(
    ("row", "column", "height"),
    [
        (172, 201, 583.0),
        (100, 200, 522.0), (100, 201, 534.0), (100, 202, 520.0), (100, 205, 519.0),
        (101, 200, 504.0), (101, 202, 496.0), (101, 205, 515.0),
        (0, 0, 483.0), (0, 402, 444.0), (343, 0, 545.0), (343, 402, 272.0),
        (100.5, 200.5, 516.25),
        (297, 219, 1076.0),
    ],
)  # fmt: skip
def test_the_srtm_sample_at_its_cells(
    jacksboro: Path, row: float, column: float, height: float
) -> None:
    """Cells as they stand in the array; between four of them their mean."""
    longitude, latitude = jacksboro_at(row, column)
    plane = PlaneTransform(choose_plane([longitude], [latitude]))
    with opened(jacksboro, plane=plane.plane) as rasters:
        east, north = plane.to_local([longitude], [latitude])
        assert rasters.read_along(east, north).sample(east, north)[0] == pytest.approx(
            height, abs=1e-4
        )


def test_the_srtm_sample_in_size_and_distance(jacksboro: Path) -> None:
    """A cell at 36.3 N is 74.851 m wide; two centres lie 2 907.882 m apart (geographiclib)."""
    ends = [jacksboro_at(100, 200), jacksboro_at(120, 230)]
    longitudes, latitudes = zip(*ends, strict=True)
    plane = PlaneTransform(choose_plane(longitudes, latitudes))
    east, north = plane.to_local(longitudes, latitudes)
    assert np.hypot(np.ptp(east), np.ptp(north)) == pytest.approx(2907.882, abs=1e-3)
    middle = LocalPlane(latitude=36.3, longitude=-84.2)
    with opened(jacksboro, plane=middle) as rasters:
        assert rasters.cell_m == pytest.approx(74.851, abs=1e-2)


def bumpy(rows: int, columns: int) -> FloatArray:
    return np.random.default_rng(7).normal(500.0, 5.0, (rows, columns)).astype(np.float32)


def tiles_of(folder: Path, cells: FloatArray, *, blocks: tuple[int, int]) -> list[Path]:
    """Cut an array into two tiles side by side, of different block sizes."""
    left = save(folder / "left.tif", cells[:, :150], tiled=True, blockxsize=blocks[0],
                blockysize=blocks[0])  # fmt: skip
    transform = Affine(1, 0, 457_300 + 150 + 1e-7, 0, -1, 4_428_000)
    layout: dict[str, Any] = {"tiled": False}
    if blocks[1]:
        layout = {"tiled": True, "blockxsize": blocks[1], "blockysize": blocks[1]}
    right = save(folder / "right.tif", cells[:, 150:], transform=transform, **layout)
    return [left, right]


@pytest.mark.parametrize("blocks", [(64, 64), (64, 128), (128, 16), (128, 0)])
@pytest.mark.parametrize("swapped", [False, True])
def test_tiles_side_by_side_are_one_raster(
    blocks: tuple[int, int], *, swapped: bool, tmp_path: Path
) -> None:
    cells = bumpy(200, 300)
    whole = save(tmp_path / "whole.tif", cells)
    tiles = tiles_of(tmp_path, cells, blocks=blocks)
    plane = PlaneTransform(HERE)
    crs = read_crs("EPSG:32613")
    rng = np.random.default_rng(1)
    x, y = 457_300 + rng.uniform(1, 299, 4000), 4_428_000 - rng.uniform(1, 199, 4000)
    x[:500] = 457_450 + rng.uniform(-0.5, 0.5, 500)
    east, north = plane.from_crs(crs, x, y)
    with opened(whole) as one, opened(*(tiles[::-1] if swapped else tiles)) as two:
        expected = one.read_along(east, north).sample(east, north)
        heights = two.read_along(east, north).sample(east, north)
    assert np.isfinite(heights).all()
    assert np.abs(heights - expected).max() < 1e-5


def test_where_tiles_lie_on_each_other_the_first_that_has_a_height_gives_it(
    tmp_path: Path,
) -> None:
    first = np.full((50, 50), 10.0, dtype=np.float32)
    first[20:30, 20:30] = -9999
    upper = save(tmp_path / "upper.tif", first, nodata=-9999)
    under = save(tmp_path / "under.tif", np.full((50, 50), 20.0, dtype=np.float32))
    east, north = PlaneTransform(HERE).from_crs(
        read_crs("EPSG:32613"), [457_310.0, 457_325.0], [4_427_990.0, 4_427_975.0]
    )
    with opened(upper, under) as rasters:
        assert rasters.read_along(east, north).sample(east, north).tolist() == [10.0, 20.0]
    with opened(under, upper) as rasters:
        assert rasters.read_along(east, north).sample(east, north).tolist() == [20.0, 20.0]


def _slope(x: FloatArray, y: FloatArray) -> FloatArray:
    return np.asarray(100 + 0.2 * (x - 457_300) + 0.1 * (4_428_000 - y))


def _sloping_tile(path: Path, west: float, north: float, *, side: float) -> Path:
    middles = (np.arange(40) + 0.5) * side
    x, y = np.meshgrid(west + middles, north - middles)
    return save(path, _slope(x, y), transform=Affine(side, 0, west, 0, -side, north))


@pytest.mark.parametrize(
    ("north", "side"), [(4_428_000.4, 1.0), (4_428_000.0, 2.0), (4_428_010.0, 3.0)]
)
def test_heights_run_straight_across_the_seam_of_two_grids(
    north: float, side: float, tmp_path: Path
) -> None:
    """Tiles that only abut: a plane is exact in the strip between their outermost centres."""
    first = _sloping_tile(tmp_path / "first.tif", 457_300, 4_428_000, side=1.0)
    second = _sloping_tile(tmp_path / "second.tif", 457_340, north, side=side)
    x, y = np.linspace(457_330, 457_350, 201), np.full(201, 4_427_980.3)
    east, north_m = PlaneTransform(HERE).from_crs(read_crs("EPSG:32613"), x, y)
    for paths in ((first, second), (second, first)):
        with opened(*paths) as rasters:
            heights = rasters.read_along(east, north_m).sample(east, north_m)
            assert heights == pytest.approx(_slope(x, y), abs=1e-3)
            on_demand = rasters.on_demand().sample(east[::-1], north_m[::-1])
            assert on_demand == pytest.approx(heights[::-1], abs=1e-9)


@pytest.mark.parametrize("gap", [0.1, 1.0])
def test_a_gap_between_two_grids_is_never_bridged(gap: float, tmp_path: Path) -> None:
    first = _sloping_tile(tmp_path / "first.tif", 457_300, 4_428_000, side=1.0)
    second = _sloping_tile(tmp_path / "second.tif", 457_340 + gap, 4_428_000.4, side=1.0)
    x = np.array([457_339.4, 457_339.6, 457_340 + gap / 2, 457_340.4 + gap, 457_340.6 + gap])
    east, north = PlaneTransform(HERE).from_crs(read_crs("EPSG:32613"), x, np.full(5, 4_427_980.3))
    with opened(first, second) as rasters:
        heights = rasters.read_along(east, north).sample(east, north)
    assert np.isfinite(heights).tolist() == [True, False, False, False, True]


def test_a_void_at_a_seam_is_no_height(tmp_path: Path) -> None:
    cells = np.full((40, 40), 100.0)
    cells[:, -1] = np.nan
    first = save(tmp_path / "first.tif", cells)
    second = _sloping_tile(tmp_path / "second.tif", 457_340, 4_428_000.4, side=1.0)
    east, north = PlaneTransform(HERE).from_crs(read_crs("EPSG:32613"), 457_340.0, 4_427_980.3)
    with opened(first, second) as rasters:
        assert np.isnan(rasters.read_along(east, north).sample(east, north))


def test_rasters_of_other_grids_stand_in_for_each_other(tmp_path: Path) -> None:
    """A coarse raster in another system serves where the fine one ends."""
    plane = PlaneTransform(HERE)
    fine, at = tilted(SYSTEMS["UTM"], plane, cells=100)
    coarse, wide = tilted(System("EPSG:4326", 1.2e-4, 0.9e-4), plane, cells=80)
    paths = [
        save(tmp_path / "fine.tif", fine, transform=at),
        save(tmp_path / "coarse.tif", coarse, crs="EPSG:4326", transform=wide),
    ]
    east, north = np.linspace(-200, 200, 60), np.linspace(-30, 150, 60)
    with opened(*paths) as rasters:
        assert rasters.cell_m == pytest.approx(1.0, rel=1e-3)
        heights = rasters.read_along(east, north).sample(east, north)
    assert np.abs(heights - (1500 + 0.21 * east - 0.13 * north)).max() < 5e-3


@pytest.mark.parametrize(
    ("unit", "name"),
    [
        ("ft", "ft"), ("foot", "ft"), ("Feet", "ft"), ("US survey foot", "ftUS"),
        ("ftUS", "ftUS"), ("us-ft", "ftUS"), ("m", "m"), ("metre", "m"), ("meters", "m"),
    ],
)  # fmt: skip
def test_feet_are_the_feet_they_say_they_are(unit: str, name: str, tmp_path: Path) -> None:
    """International foot 0.3048 m, US survey foot 1200/3937 m, both exactly."""
    path = save(tmp_path / "feet.tif", np.full((9, 9), 3937, dtype=np.int16), unit=unit)
    assert height_of(path) == pytest.approx(3937 * to_si(1, name), rel=1e-15)


@pytest.mark.parametrize(
    ("code", "factor"), [("5703", 1.0), ("6360", 1200 / 3937), ("8228", 0.3048)]
)
def test_the_vertical_system_says_the_unit_too(code: str, factor: float, tmp_path: Path) -> None:
    """NAVD 88 height in metres, US survey feet and feet (EPSG dataset)."""
    path = save(
        tmp_path / "datum.tif", np.full((9, 9), 1000.0), crs=f"EPSG:26913+{code}", unit=None
    )
    assert height_of(path) == pytest.approx(1000 * factor, rel=1e-12)


def test_the_unit_may_be_said_beside_the_file(tmp_path: Path) -> None:
    path = save(tmp_path / "bare.tif", np.full((9, 9), 3937.0), unit=None)
    assert height_of(path, unit="ftUS") == pytest.approx(1200.0, rel=1e-15)
    assert height_of(path, unit="m") == 3937.0


def test_a_unit_that_contradicts_the_file_is_refused_with_both_meanings(tmp_path: Path) -> None:
    path = save(tmp_path / "metres.tif", np.full((9, 9), 1200.0))
    with pytest.raises(
        InputError, match="says that its heights are in m; dem_unit says ft"
    ) as told:
        opened(path, unit="ft")
    words = str(told.value)
    assert "1 200 m (3 940 ft)" in words
    assert "1 200 ft (366 m)" in words
    assert height_of(path, unit="m") == 1200.0
    with pytest.raises(InputError, match="'chains' of the heights is not known"):
        opened(path, unit="chains")
    cure = told.value.troubles[1].write
    assert cure is not None
    (tmp_path / "metres.tif.aux.xml").write_text(cure, encoding="utf-8")
    assert height_of(path, unit="ft") == pytest.approx(to_si(1200.0, "ft"))


def test_beside_a_file_that_says_no_unit_the_unit_is_said_for_that_one(tmp_path: Path) -> None:
    metres = save(tmp_path / "metres.tif", np.full((9, 9), 1200.0))
    feet = save(
        tmp_path / "feet.tif",
        np.full((9, 9), 1000.0),
        unit=None,
        transform=Affine(1, 0, 457_309, 0, -1, 4_428_000),
    )
    plane = PlaneTransform(HERE)
    east, north = plane.from_crs(read_crs("EPSG:32613"), [457_304.5, 457_313.5], [4_427_995.5] * 2)
    with opened(metres, feet, unit="ft") as rasters:
        heights = rasters.read_along(east, north).sample(east, north)
    assert heights == pytest.approx([1200.0, to_si(1000.0, "ft")])


def height_of(path: Path, *, unit: str | None = None) -> float:
    east, north = PlaneTransform(HERE).from_crs(read_crs("EPSG:32613"), 457_304.2, 4_427_995.7)
    with opened(path, unit=unit) as rasters:
        return float(rasters.read_along(east, north).sample(east, north))


def test_scale_and_offset_of_the_file_are_applied(tmp_path: Path) -> None:
    path = save(tmp_path / "packed.tif", np.full((9, 9), 4000, dtype=np.int16))
    with rasterio.open(path, "r+") as packed:
        packed.scales, packed.offsets = (0.1,), (100.0,)
    assert height_of(path) == pytest.approx(500.0)


@pytest.mark.parametrize(
    ("kind", "nodata"),
    [
        ("float32", -9999.0), ("float32", -3.4028230607370965e38), ("float32", np.nan),
        ("float64", -999999.0), ("int16", -32768), ("uint16", 65535), ("int32", 0),
        ("float32", None),
    ],
)  # fmt: skip
def test_nothing_is_never_a_height(kind: str, nodata: float | None, tmp_path: Path) -> None:
    cells = np.full((9, 9), 700, dtype=kind)
    cells[4, 4] = np.nan if nodata is None else nodata
    path = save(tmp_path / "void.tif", cells, nodata=nodata)
    plane = PlaneTransform(HERE)
    east, north = plane.from_crs(
        read_crs("EPSG:32613"), [457_304.5, 457_303.7, 457_302.0], [4_427_995.5] * 3
    )
    with opened(path) as rasters:
        grid = rasters.read_along(east, north)
        heights = grid.sample(east, north)
        assert np.isnan(heights[:2]).all()
        assert heights[2] == 700.0
        assert grid.gap is not None
        assert grid.gap(float(east[0]), float(north[0])).reason == "void"


@pytest.mark.parametrize("unit", ["metre", "US survey foot"])
@pytest.mark.parametrize(
    ("kind", "mark"),
    [("float32", -9999.0), ("float64", -999999.0), ("int16", -32768), ("uint16", 65535)],
)
def test_a_mark_for_nothing_that_the_file_does_not_tell_of_is_no_height(
    kind: str, mark: float, unit: str, tmp_path: Path
) -> None:
    """No land on earth lies so low or so high."""
    cells = np.full((9, 9), 700, dtype=kind)
    cells[4, 4] = mark
    path = save(tmp_path / "untold.tif", cells, unit=unit)
    assert np.isnan(height_of(path))
    silent = save(tmp_path / "silent.tif", cells, unit=None)
    with pytest.raises(InputError, match="run from 700 to 700"):
        opened(silent)


def test_heights_below_the_sea_are_heights(tmp_path: Path) -> None:
    assert height_of(save(tmp_path / "shore.tif", np.full((9, 9), -428.0))) == -428.0


def test_a_layer_that_says_what_is_seen_through_is_a_mask(tmp_path: Path) -> None:
    profile: dict[str, Any] = {
        "driver": "GTiff", "width": 9, "height": 9, "count": 2, "dtype": "float32",
        "crs": "EPSG:32613", "transform": Affine(1, 0, 457_300, 0, -1, 4_428_000),
    }  # fmt: skip
    for opaque, expected in ((255.0, 700.0), (0.0, np.nan)):
        with rasterio.open(tmp_path / "alpha.tif", "w", **profile) as out:
            out.write(np.full((9, 9), 700, dtype=np.float32), 1)
            out.write(np.full((9, 9), opaque, dtype=np.float32), 2)
            out.colorinterp = (ColorInterp.gray, ColorInterp.alpha)
            out.units = ("metre", "")
        assert height_of(tmp_path / "alpha.tif") == pytest.approx(expected, nan_ok=True)


def test_the_question_about_the_unit_shows_heights_not_stored_numbers(tmp_path: Path) -> None:
    path = save(tmp_path / "packed.tif", np.full((9, 9), 4000, dtype=np.int16), unit=None)
    with rasterio.open(path, "r+") as packed:
        packed.scales, packed.offsets = (0.1,), (100.0,)
    with pytest.raises(InputError, match="run from 500 to 500"):
        opened(path)


def test_a_mask_beside_the_heights_is_obeyed(tmp_path: Path) -> None:
    path = save(tmp_path / "masked.tif", np.zeros((9, 9), dtype=np.float32))
    with rasterio.Env(GDAL_TIFF_INTERNAL_MASK=True), rasterio.open(path, "r+") as masked:
        mask = np.full((9, 9), 255, dtype=np.uint8)
        mask[4:, :] = 0
        masked.write_mask(mask)
    assert np.isnan(height_of(path))


def test_a_height_at_a_post_stands_at_the_post(tmp_path: Path) -> None:
    """Where a file's numbers belong to posts, a post is the middle of a cell."""
    area = save(tmp_path / "area.tif", bumpy(9, 9))
    post = save(tmp_path / "post.tif", bumpy(9, 9), tags={"AREA_OR_POINT": "Point"})
    assert height_of(post) == height_of(area)


@pytest.mark.parametrize("west", [254.4, -105.6])
def test_longitudes_may_be_counted_from_0_to_360(west: float, tmp_path: Path) -> None:
    transform = Affine(0.01, 0, west, 0, -0.01, 40.1)
    path = save(
        tmp_path / "round.tif", np.full((20, 20), 7.0), crs="EPSG:4326", transform=transform
    )
    with opened(path) as rasters:
        assert rasters.read_along([0.0], [0.0]).sample(0.0, 0.0) == 7.0


def test_only_touched_blocks_are_read(tmp_path: Path) -> None:
    path = save(
        tmp_path / "large.tif", bumpy(1024, 1024), tiled=True, blockxsize=128, blockysize=128
    )
    plane = PlaneTransform(HERE)
    x = np.linspace(457_310, 457_390, 50)
    east, north = plane.from_crs(read_crs("EPSG:32613"), x, np.full(50, 4_427_900.0))
    with opened(path) as rasters:
        grid = rasters.read_along(east, north)
        assert [len(mosaic.store) for mosaic in rasters._mosaics] == [1]
        assert grid.gap is not None
        far = [float(v) for v in plane.from_crs(read_crs("EPSG:32613"), 457_900.0, 4_427_500.0)]
        assert grid.gap(*far).reason == "unread"
        assert np.isnan(grid.sample(*far))
        assert np.isfinite(rasters.on_demand().sample(*far))


@pytest.mark.parametrize(
    ("x", "y", "side"),
    [
        (457_290, 4_427_995, "west"), (457_320, 4_427_995, "east"),
        (457_304, 4_428_010, "north"), (457_304, 4_427_980, "south"),
    ],
)  # fmt: skip
def test_beyond_an_edge_the_edge_is_named(x: float, y: float, side: str, tmp_path: Path) -> None:
    path = save(tmp_path / "small.tif", bumpy(9, 9))
    east, north = PlaneTransform(HERE).from_crs(read_crs("EPSG:32613"), x, y)
    with opened(path) as rasters:
        grid = rasters.read_along(east, north)
    assert np.isnan(grid.sample(east, north))
    assert grid.gap is not None
    gap = grid.gap(float(east), float(north))
    assert (gap.reason, gap.side, gap.file) == ("edge", side, "small.tif")
    longitude, latitude = to_lonlat(read_crs("EPSG:32613"), x, y)
    assert gap.spot == f"{float(latitude):.5f} N, {-float(longitude):.5f} W"


@settings(max_examples=60, deadline=None)
@given(x=st.floats(-3, 12), y=st.floats(-3, 12))
def test_a_point_off_the_raster_has_no_height(x: float, y: float, flat_grid: ElevationGrid) -> None:
    """Nine by nine cells of 1 m: heights reach from centre to centre, 0.5 to 8.5."""
    east, north = PlaneTransform(HERE).from_crs(read_crs("EPSG:32613"), 457_300 + x, 4_428_000 - y)
    inside = 0.5 - 1e-5 < x < 8.5 + 1e-5 and 0.5 - 1e-5 < y < 8.5 + 1e-5
    outside = x < 0.5 - 1e-4 or x > 8.5 + 1e-4 or y < 0.5 - 1e-4 or y > 8.5 + 1e-4
    known = bool(np.isfinite(flat_grid.sample(east, north)))
    assert (known or not inside) or abs(x - 0.5) < 1e-4 or abs(y - 0.5) < 1e-4
    assert not (known and outside)


@pytest.fixture(scope="module")
def flat_grid(tmp_path_factory: pytest.TempPathFactory) -> ElevationGrid:
    path = save(tmp_path_factory.mktemp("flat") / "flat.tif", np.full((9, 9), 5.0))
    plane = PlaneTransform(HERE)
    east, north = plane.from_crs(
        read_crs("EPSG:32613"), [457_300.0, 457_309.0], [4_428_000.0, 4_427_991.0]
    )
    with opened(path) as rasters:
        grid = rasters.read_site(east, north, margin_m=5.0, most_cells=1e6)
    assert grid is not None
    return grid


def test_a_site_too_large_to_keep_is_refused(tmp_path: Path) -> None:
    path = save(tmp_path / "small.tif", bumpy(50, 50))
    with opened(path) as rasters:
        assert rasters.read_site([0.0, 100.0], [0.0, 0.0], margin_m=50.0, most_cells=100) is None


def test_a_raster_far_from_the_site_is_no_trouble_until_it_is_asked(tmp_path: Path) -> None:
    path = save(tmp_path / "far.tif", bumpy(50, 50))
    elsewhere = LocalPlane(latitude=-41.0, longitude=174.0)
    with opened(path, plane=elsewhere) as rasters:
        grid = rasters.read_site([0.0], [0.0], margin_m=50.0, most_cells=1e6)
    assert grid is not None
    assert np.isnan(grid.sample(0.0, 0.0))
    assert grid.gap is not None
    assert grid.gap(0.0, 0.0).reason == "edge"


def test_all_that_is_wrong_with_all_rasters_is_told_at_once(tmp_path: Path) -> None:
    bare = save(tmp_path / "bare.tif", np.full((9, 9), 100.0), unit=None)
    adrift = save(tmp_path / "adrift.tif", np.full((9, 9), 100.0), crs=None)
    with pytest.raises(InputError) as caught:
        opened(bare, adrift, tmp_path / "none.tif")
    message = " ".join(str(caught.value).split())
    for words in ("3 troubles", "metres or feet", "does not name its coordinate system", "no file"):
        assert words in message


@pytest.mark.parametrize("name", ["with blank (1).zip", "{braces}.zip"])
def test_a_zip_is_read_as_downloaded(name: str, tmp_path: Path) -> None:
    inner = save(tmp_path / "inner.tif", np.full((9, 9), 321.0))
    packed = tmp_path / name
    with zipfile.ZipFile(packed, "w") as archive:
        archive.write(inner, "a folder/inner.tif")
    assert height_of(packed) == 321.0


def test_heights_without_a_position_are_refused(tmp_path: Path) -> None:
    with pytest.warns(rasterio.errors.NotGeoreferencedWarning):
        path = save(
            tmp_path / "bare.tif", np.full((9, 9), 1.0), crs=None, transform=Affine.identity()
        )
    with pytest.raises(InputError, match="where on the earth"):
        opened(path)


def test_complex_numbers_are_no_heights(tmp_path: Path) -> None:
    path = save(tmp_path / "complex.tif", np.ones((9, 9), dtype=np.complex64))
    with pytest.raises(InputError, match="complex"):
        opened(path)


def test_a_folder_of_other_rasters_is_shown_where_one_is_missing(tmp_path: Path) -> None:
    save(tmp_path / "north_tile.tif", np.full((9, 9), 1.0))
    with pytest.raises(InputError, match="north_tile"):
        opened(tmp_path / "nroth_tile.tif")
    with pytest.raises(InputError, match="spelled"):
        opened(tmp_path / "no" / "such.tif")


def test_a_raster_all_void_has_nothing_to_say_about_its_unit(tmp_path: Path) -> None:
    path = save(tmp_path / "void.tif", np.full((9, 9), -9999.0), unit=None, nodata=-9999)
    with pytest.raises(InputError, match="no height where it was looked at"):
        opened(path)
