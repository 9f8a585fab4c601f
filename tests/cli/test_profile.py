"""``terrain-head profile``: what it prints and writes, and how it takes broken input."""

from __future__ import annotations

import csv
import json
import zipfile
from pathlib import Path

import numpy as np
import pytest
import rasterio
from matplotlib.figure import Figure
from rasterio import Affine

from terrain_head.cli.main import run

WEST, NORTH = 665_000.0, 5_219_000.0
SPRING, TANK = "47.10331, 11.17483", "47.10247, 11.17676"


def write_raster(
    path: Path,
    cells: np.ndarray,
    *,
    crs: str | None = "EPSG:32632",
    unit: str | None = "metre",
    transform: Affine | None = None,
    **profile: object,
) -> Path:
    count = cells.shape[0] if cells.ndim == 3 else 1
    options: dict[str, object] = {"driver": "GTiff", **profile}
    with rasterio.open(
        path,
        "w",
        width=cells.shape[-1],
        height=cells.shape[-2],
        count=count,
        dtype=cells.dtype,
        crs=crs,
        transform=transform or Affine(1, 0, WEST, 0, -1, NORTH),
        **options,
    ) as out:
        out.write(cells if cells.ndim == 3 else cells[None])
        if unit is not None:
            out.units = tuple(unit for _ in range(count))
    return path


def hill() -> np.ndarray:
    """Give a hump between two ends, 200 by 200 cells of 1 m."""
    rows, columns = np.mgrid[0:200, 0:200]
    return np.asarray(1030 + 0.1 * columns + 6 * np.exp(-(((columns - 90) / 15.0) ** 2)) + 0 * rows)


def write_map(path: Path) -> Path:
    features = [
        ("Spring", "Point", [WEST + 20, NORTH - 100]),
        ("Tank", "Point", [WEST + 180, NORTH - 100]),
        ("Over", "LineString", [[WEST + 20, NORTH - 100], [WEST + 180, NORTH - 100]]),
        (None, "LineString", [[WEST + 20, NORTH - 100], [WEST + 100, NORTH - 60],
                              [WEST + 180, NORTH - 100]]),
        ("Out", "LineString", [[WEST + 20, NORTH - 100], [WEST + 180, NORTH - 100],
                               [WEST + 201, NORTH - 100]]),
    ]  # fmt: skip
    document = {
        "type": "FeatureCollection",
        "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::32632"}},
        "features": [
            {
                "type": "Feature",
                "properties": {"name": name},
                "geometry": {"type": kind, "coordinates": coordinates},
            }
            for name, kind, coordinates in features
        ],
    }
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


@pytest.fixture
def dem(tmp_path: Path) -> str:
    return str(write_raster(tmp_path / "hill.tif", hill()))


@pytest.fixture
def marks(tmp_path: Path) -> str:
    return str(write_map(tmp_path / "marks.geojson"))


Capture = pytest.CaptureFixture[str]


def said(capsys: Capture) -> str:
    return " ".join(capsys.readouterr().out.split())


def test_without_names_it_lists_what_the_map_has(dem: str, marks: str, capsys: Capture) -> None:
    assert run(["profile", "--dem", dem, "--map", marks]) == 0
    out = said(capsys)
    assert "Over (160 m), Out (181 m), track 1 (no name, 179 m). Points: Spring, Tank." in out


def test_without_names_json_holds_what_the_map_has(dem: str, marks: str, capsys: Capture) -> None:
    assert run(["profile", "--dem", dem, "--map", marks, "--json"]) == 0
    held = json.loads(capsys.readouterr().out)
    assert set(held) == {"points", "routes"}
    assert set(held["points"]) == {"Spring", "Tank"}
    assert set(held["routes"]) == {"Over", "Out", "track 1"}
    over = held["routes"]["Over"]
    assert len(over["latitude"]) == len(over["longitude"]) >= 2


def test_the_first_sentence_answers(dem: str, marks: str, capsys: Capture) -> None:
    words = ["--from", "spring", "--to", "TANK", "--dem-error", "0.4 m", "--dem-range", "60 m"]
    assert run(["profile", "--dem", dem, "--map", marks, *words]) == 0
    out = capsys.readouterr().out
    flat = " ".join(out.split())
    assert flat.startswith("Tank is about 16.0 m above Spring (likely 15.1 to 16.9), 16")
    assert "along the ground, one hump." in flat
    assert all(len(line) <= 79 for line in out.splitlines())
    assert out.isascii()


def test_a_route_is_named_by_the_points_at_its_ends(dem: str, marks: str, capsys: Capture) -> None:
    assert run(["profile", "--dem", dem, "--map", marks, "--route", "over"]) == 0
    out = said(capsys)
    assert out.startswith("Tank is about 16.0 m above Spring, 16")
    assert "Nobody said how wrong the heights of hill.tif are" in out


def test_a_route_without_points_at_its_ends(dem: str, tmp_path: Path, capsys: Capture) -> None:
    line = {
        "type": "Feature",
        "properties": {"name": "ditch"},
        "geometry": {
            "type": "LineString",
            "coordinates": [[11.17483, 47.10331], [11.17676, 47.10247]],
        },
    }
    path = tmp_path / "line.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [line]}), encoding="utf-8")
    assert run(["profile", "--dem", dem, "--map", str(path), "--route", "ditch"]) == 0
    assert "End of ditch is about" in said(capsys)


def test_from_spot_to_spot_needs_no_map(dem: str, capsys: Capture) -> None:
    assert run(["profile", "--dem", dem, "--from", SPRING, "--to", TANK, "--units", "us"]) == 0
    out = said(capsys)
    assert "The second spot is about" in out
    assert " ft above the first spot" in out


def test_json_is_one_document_in_metres(dem: str, marks: str, capsys: Capture) -> None:
    words = ["--route", "Over", "--json", "--units", "us", "--dem-kind", "3dep 1 m"]
    assert run(["profile", "--dem", dem, "--map", marks, *words]) == 0
    out = capsys.readouterr()
    document = json.loads(out.out)
    assert out.err == ""
    assert document["plan_length"]["value"] == pytest.approx(160.0, rel=1e-3)
    assert document["length"]["unit"] == "m"
    assert len(document["stations"]) == len(document["elevation"]) == len(document["std"])
    assert set(document["origin"]) == {"raster"}
    assert document["high_points"] == [pytest.approx(72.4, abs=1.0)]
    assert len(document["low_points"]) == 1
    assert document["plane"]["latitude"] == pytest.approx(47.1, abs=0.05)
    assert document["findings"] == []


def test_unknown_doubt_is_null_and_told(dem: str, marks: str, capsys: Capture) -> None:
    words = ["--from", "Spring", "--to", "Tank", "--json"]
    assert run(["profile", "--dem", dem, "--map", marks, *words]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["std"] is None
    assert [finding["kind"] for finding in document["findings"]] == ["raster-error-unknown"]


def test_a_table_and_a_picture_are_written(dem: str, marks: str, tmp_path: Path) -> None:
    base = ["profile", "--dem", dem, "--map", marks, "--route", "Over", "--step", "20 m"]
    table, picture = tmp_path / "out" / "line.csv", tmp_path / "line.png"
    assert run([*base, "-o", str(table)]) == 0
    with table.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert len(rows) == 9 or len(rows) == 10
    assert float(rows[0]["elevation [m]"]) == pytest.approx(1031.95, abs=0.01)
    assert rows[0]["std [m]"] == ""
    assert float(rows[-1]["latitude"]) == pytest.approx(47.1, abs=0.05)
    assert run([*base, "--units", "us", "-o", str(table)]) == 0
    assert table.read_text(encoding="utf-8").startswith("station [ft],")
    assert run([*base, "-o", str(picture)]) == 0
    assert picture.read_bytes().startswith(b"\x89PNG")
    assert run([*base, "-o", str(picture.with_suffix(".svg"))]) == 0
    assert not list(tmp_path.rglob(".*"))


def test_a_zip_as_downloaded(dem: str, tmp_path: Path, capsys: Capture) -> None:
    packed = tmp_path / "download (1).zip"
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("readme.txt", "heights")
        archive.write(dem, "tiles/hill.tif")
    assert run(["profile", "--dem", str(packed), "--from", SPRING, "--to", TANK]) == 0
    assert "above" in said(capsys)


def broken(tmp_path: Path) -> dict[str, tuple[list[str], int, str]]:
    """Give broken inputs: the command, its exit code, words of the message."""
    good = str(write_raster(tmp_path / "good.tif", hill()))
    marks = str(write_map(tmp_path / "marks.geojson"))
    (tmp_path / "empty.tif").write_bytes(b"")
    (tmp_path / "words.tif").write_text("not a raster", encoding="utf-8")
    (tmp_path / "noise.geojson").write_bytes(bytes(range(256)))
    shade = np.full((3, 40, 40), 90, dtype=np.uint8)
    picture = write_raster(tmp_path / "shade.tif", shade, unit=None)
    grey = write_raster(tmp_path / "grey.tif", shade[0], unit=None)
    unitless = write_raster(tmp_path / "unitless.tif", hill() + 4, unit=None)
    placeless = write_raster(tmp_path / "placeless.tif", hill(), crs=None)
    layers = write_raster(tmp_path / "layers.tif", np.stack([hill(), hill()]))
    Figure(figsize=(1, 1)).savefig(tmp_path / "map.png")
    hole = hill()
    hole[100:103, 95:106] = -9999
    holed = write_raster(tmp_path / "holed.tif", hole, nodata=-9999)
    with zipfile.ZipFile(tmp_path / "words.zip", "w") as archive:
        archive.writestr("readme.txt", "no heights")
    line = ["--from", SPRING, "--to", TANK]
    mapped = ["--map", marks, "--from", "Spring", "--to", "Tank"]

    def case(dem: object, *words: str) -> list[str]:
        return ["profile", "--dem", str(dem), *words]

    return {
        "missing raster": (case(tmp_path / "none.tif", *line), 3, "There is no file"),
        "empty raster": (case(tmp_path / "empty.tif", *line), 3, "not one byte"),
        "text as raster": (case(tmp_path / "words.tif", *line), 3, "can't be read as a raster"),
        "picture": (case(picture, *line), 3, "is a picture, not heights. Its cells"),
        "grey picture": (case(grey, *line), 3, "bare-earth elevation"),
        "picture without a place": (case(tmp_path / "map.png", *line), 3, "is a picture"),
        "two layers": (case(layers, *line), 3, "holds 2 layers"),
        "no unit": (
            case(unitless, *line), 3,
            "Heights here run from 1 034 to 1 054. Is your valley about 1 030 m (3 380 ft) high, "
            "or 1 030 ft (314 m)?",
        ),
        "unit unknown": (case(unitless, *line, "--dem-unit", "ells"), 3, "'ells'"),
        "unit against the file": (case(good, *line, "--dem-unit", "ft"), 3, "heights are in m"),
        "no system": (case(placeless, *line), 3, 'crs = "EPSG:26915"'),
        "system unknown": (case(placeless, *line, "--crs", "EPSG:0"), 3, "is not known"),
        "zip without raster": (case(tmp_path / "words.zip", *line), 3, "holds no raster"),
        "swapped": (
            case(good, "--from", "11.17483, 47.10331", "--to", "11.17676, 47.10247"), 3,
            "look swapped",
        ),
        "off the globe": (case(good, "--from", "147.1, 11.2", "--to", TANK), 3, "off the globe"),
        "no such point": (
            case(good, "--map", marks, "--from", "Sprong", "--to", "Tank"), 3,
            "Nearest: 'Spring'",
        ),
        "no such route": (
            case(good, "--map", marks, "--route", "ovr"), 3, "track 1 (no name, 179 m)",
        ),
        "map of noise": (
            case(good, "--map", str(tmp_path / "noise.geojson"), "--route", "a"), 3,
            "can't be read as a map",
        ),
        "missing map": (
            case(good, "--map", str(tmp_path / "none.gpx"), "--route", "a"), 3, "no file",
        ),
        "off the edge": (
            case(good, "--map", marks, "--route", "Out"), 4,
            "the raster ends at its east edge; the line goes on for",
        ),
        "beyond the raster": (
            case(good, "--from", SPRING, "--to", "47.1033, 11.1900"), 4, "No height was made up",
        ),
        "a void": (case(holed, *mapped), 4, "has a hole on the straight line from Spring to Tank"),
        "one end only": (case(good, "--from", SPRING), 2, "--from wants --to"),
        "no line": (case(good), 2, "Which line?"),
        "a name without a map": (case(good, "--from", "Spring", "--to", TANK), 2, "is no position"),
        "one spot": (case(good, "--from", TANK, "--to", TANK), 2, "one spot"),
        "no step": (case(good, *line, "--step", "0 m"), 2, "more than 0"),
        "a step without unit": (case(good, *line, "--step", "5"), 2, "no unit"),
        "unknown kind": (case(good, *line, "--dem-kind", "guess"), 2, "Copernicus"),
        "unknown output": (case(good, *line, "-o", "line.docx"), 2, "no kind of file"),
    }  # fmt: skip


@pytest.mark.parametrize(
    "name",
    [
        "missing raster", "empty raster", "text as raster", "picture", "grey picture",
        "picture without a place",
        "two layers", "no unit", "unit unknown", "unit against the file", "no system",
        "system unknown", "zip without raster", "swapped", "off the globe", "no such point",
        "no such route", "map of noise", "missing map", "off the edge", "beyond the raster",
        "a void", "one end only", "no line", "a name without a map", "one spot", "no step",
        "a step without unit", "unknown kind", "unknown output",
    ],
)  # fmt: skip
def test_broken_input_gets_one_clear_message(
    name: str, tmp_path: Path, capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One message with the cure, the right exit code, nothing written."""
    monkeypatch.chdir(tmp_path)
    words, code, told = broken(tmp_path)[name]
    words = [word.replace(f"{tmp_path}/", "") for word in words]
    before = sorted(tmp_path.rglob("*"))
    assert run([*words, *([] if "-o" in words else ["-o", "result.csv"])]) == code
    heard = capsys.readouterr()
    assert heard.out == ""
    assert told in " ".join(heard.err.split())
    assert "Traceback" not in heard.err
    assert all(len(line) <= 79 for line in heard.err.splitlines())
    assert sorted(tmp_path.rglob("*")) == before
