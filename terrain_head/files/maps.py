"""Maps: named points and named routes out of GeoJSON, GPX, KML, GeoPackage or Shapefile."""

from __future__ import annotations

import difflib
import struct
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio
import shapely
from numpy.typing import NDArray
from pyogrio.errors import DataLayerError, DataSourceError
from pyproj import CRS, Geod
from shapely.geometry.base import BaseGeometry

from terrain_head.base.names import find_name
from terrain_head.errors import InputError, Trouble
from terrain_head.files.planes import flat, read_crs, to_lonlat

FloatArray = NDArray[np.float64]

_NAME_FIELDS = ("name", "label", "title")
_NUMBER_FIELD = "id"
_SKIPPED_LAYERS = {"track_points", "route_points"}
_SAME_SPOT_DEG = 1e-9
# Well-known binary, OGC 06-103r4: a multi-line is kind 5; heights are a flag or 1000 more.
_MANY_LINES, _HAS_HEIGHT = 5, 0x80000000
_GEOD = Geod(ellps="WGS84")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapContent:
    """What the maps of a site hold.

    Parameters
    ----------
    points
        Longitude and latitude of each named point (WGS 84) [deg].
    routes
        Longitudes and latitudes of the corners of each route, shape (k, 2) [deg]; a line without
        a name is called ``track 1``, ``track 2`` ...
    unnamed
        Routes that were named here for want of a name.
    files
        Names of the files.
    """

    points: Mapping[str, tuple[float, float]]
    routes: Mapping[str, FloatArray]
    unnamed: frozenset[str] = frozenset()
    files: tuple[str, ...] = ()

    def point(self, name: str) -> str:
        """Return a point's name as written in the map, whatever its capitals here.

        Raises
        ------
        InputError
            If the maps hold no such point.
        """
        return self._find(name, list(self.points), "point")

    def route(self, name: str) -> str:
        """Return a route's name as written in the map, whatever its capitals here.

        Raises
        ------
        InputError
            If the maps hold no such route.
        """
        return self._find(name, list(self.routes), "route")

    def _find(self, name: str, held: Sequence[str], kind: str) -> str:
        found = find_name(name if name in held else name.strip(), held)
        if found is not None:
            return held[found]
        files = " and ".join(self.files) or "The map"
        raise InputError(
            f"{files} has no {kind} called {name!r}.",
            Trouble(what=f"{nearest_names(name, held)}{self.words()}"),
            file=self.files[0] if self.files else None,
        )

    def words(self) -> str:
        """Return what the maps have, as words.

        Examples
        --------
        >>> MapContent(points={"Spring": (11.2, 47.1)}, routes={}).words()
        'It has: no line. Points: Spring.'
        """
        lines = [self._line_words(name) for name in self.routes]
        routes = ", ".join(lines) or "no line"
        points = ", ".join(self.points) or "none"
        return f"It has: {routes}. Points: {points}."

    def _line_words(self, name: str) -> str:
        corners = self.routes[name]
        length = _GEOD.line_length(corners[:, 0], corners[:, 1])
        note = "no name, " if name in self.unnamed else ""
        return f"{name} ({note}{length:.0f} m)"


def nearest_names(name: str, held: Sequence[str]) -> str:
    """Return ``Nearest: "Spring". `` or nothing, to begin a message with."""
    folded = {other.casefold(): other for other in held}
    near = difflib.get_close_matches(name.casefold(), list(folded), n=2, cutoff=0.6)
    if not near:
        return ""
    return f"Nearest: {', '.join(repr(folded[other]) for other in near)}. "


def read_maps(paths: Sequence[Path | str], *, crs: str | None) -> MapContent:
    """Read named points and routes from maps.

    Parameters
    ----------
    paths
        Map files; every layer of each is read.
    crs
        Coordinate system of files that carry none.

    Raises
    ------
    InputError
        If a file is missing or no map, carries no system and none is stated, or two maps put one
        name at two places.
    """
    points: dict[str, tuple[float, float]] = {}
    routes: dict[str, FloatArray] = {}
    unnamed: list[FloatArray] = []
    for path in map(Path, paths):
        for name, shape in _features(path, crs):
            if isinstance(shape, tuple):
                _keep_point(points, name, shape, path)
            elif name and name not in routes:
                routes[name] = shape
            elif not name or not np.array_equal(routes[name], shape):
                unnamed.append(shape)
    called: list[str] = []
    for shape in unnamed:
        number = next(n for n in range(1, 10_000) if f"track {n}" not in routes)
        called.append(f"track {number}")
        routes[called[-1]] = shape
    return MapContent(
        points=points,
        routes=routes,
        unnamed=frozenset(called),
        files=tuple(Path(path).name for path in paths),
    )


def _keep_point(
    points: dict[str, tuple[float, float]], name: str, spot: tuple[float, float], path: Path
) -> None:
    if not name:
        return
    before = points.setdefault(name, spot)
    if max(abs(before[0] - spot[0]), abs(before[1] - spot[1])) > _SAME_SPOT_DEG:
        raise InputError(
            f"{path.name}: the name {name!r} stands at two places.",
            Trouble(
                what="One name is one place. Rename one of the points, or take it out.",
                write=f"{name} and {name} 2",
            ),
            file=str(path),
        )


def _features(
    path: Path, crs: str | None
) -> Iterator[tuple[str, tuple[float, float] | FloatArray]]:
    for layer in _layers(path):
        meta, _, shapes, columns = _read_layer(path, layer)
        names = _names(meta, columns, len(shapes) if shapes is not None else 0)
        if shapes is None or not len(shapes):
            continue
        system = _system(meta, path, crs)
        geometries = [_shape(binary) for binary in shapes]
        if crs is not None and system.is_geographic and _off_the_globe(geometries):
            # A GeoJSON without a word on its system is degrees by rule; these are none.
            system = flat(read_crs(crs))
        for name, shape in zip(names, geometries, strict=True):
            yield from ((name, part) for part in _parts(shape, system))


def _layers(path: Path) -> list[str]:
    if not path.exists():
        raise InputError(
            f"There is no file {path}.",
            Trouble(what="Is the name spelled as on the disk?"),
            file=str(path),
        )
    try:
        names = [str(name) for name, kind in pyogrio.list_layers(path) if kind is not None]
    except (DataSourceError, DataLayerError) as error:
        raise _no_map(path) from error
    return [name for name in names if name not in _SKIPPED_LAYERS]


def _read_layer(path: Path, layer: str) -> tuple[dict[str, Any], Any, Any, list[Any]]:
    try:
        meta, ids, shapes, columns = pyogrio.raw.read(path, layer=layer)
    except (DataSourceError, DataLayerError, ValueError) as error:
        raise _no_map(path) from error
    return meta, ids, shapes, list(columns)


def _no_map(path: Path) -> InputError:
    return InputError(
        f"{path.name} can't be read as a map.",
        Trouble(
            what="Named points and lines are wanted, as GeoJSON, GPX, KML, GeoPackage or "
            "Shapefile. A download that broke off looks like this too."
        ),
        file=str(path),
    )


def _names(meta: Mapping[str, Any], columns: Sequence[Any], count: int) -> list[str]:
    fields = [str(field).lower() for field in meta["fields"]]
    held = [columns[fields.index(field)] for field in _NAME_FIELDS if field in fields]
    if not held and _NUMBER_FIELD in fields:
        held = [columns[fields.index(_NUMBER_FIELD)]]
    if not held:
        return [""] * count
    return [next(filter(None, map(_name, row)), "") for row in zip(*held, strict=True)]


def _name(value: object) -> str:
    if value is None or (isinstance(value, float | np.floating) and np.isnan(value)):
        return ""
    if isinstance(value, float | np.floating) and float(value).is_integer():
        return str(int(value))
    return str(value).strip()


def _system(meta: Mapping[str, Any], path: Path, stated: str | None) -> CRS:
    if meta["crs"]:
        return flat(CRS.from_user_input(meta["crs"]))
    if stated is not None:
        return flat(read_crs(stated))
    raise InputError(
        f"{path.name} does not name its coordinate system.",
        Trouble(
            what="A Shapefile keeps it in a file of the same name that ends in .prj. Put that "
            "beside it, or name the system: in the study file under [ground], on the command "
            "line behind --crs.",
            write='crs = "EPSG:26915"',
        ),
        file=str(path),
    )


def _shape(binary: bytes | None) -> BaseGeometry | None:
    """Return a shape; a track with pieces of a single point keeps the points of its pieces."""
    if binary is None:
        return None
    shape: BaseGeometry | None = shapely.from_wkb(binary, on_invalid="ignore")
    if shape is not None:
        return shape
    points = _points_of_lines(binary)
    return shapely.LineString(points) if len(points) > 1 else None


def _points_of_lines(binary: bytes) -> list[tuple[float, float]]:
    """Return the points of a broken line as binary, pieces of one point among them."""
    order = "<" if binary[0] == 1 else ">"
    kind, pieces = struct.unpack_from(f"{order}II", binary, 1)
    if kind not in {_MANY_LINES, _MANY_LINES + 1000, _MANY_LINES | _HAS_HEIGHT}:
        return []
    points: list[tuple[float, float]] = []
    at = 9
    for _ in range(pieces):
        piece, count = struct.unpack_from(f"{order}II", binary, at + 1)
        width = 3 if piece & _HAS_HEIGHT or 1000 <= piece < 2000 else 2
        numbers = struct.unpack_from(f"{order}{width * count}d", binary, at + 9)
        points += zip(numbers[::width], numbers[1::width], strict=True)
        at += 9 + 8 * width * count
    return points


def _off_the_globe(shapes: Sequence[BaseGeometry | None]) -> bool:
    coordinates = np.abs(shapely.get_coordinates([shape for shape in shapes if shape is not None]))
    return bool(np.any((coordinates[:, 0] > 360) | (coordinates[:, 1] > 90)))


def _parts(shape: BaseGeometry | None, system: CRS) -> Iterator[tuple[float, float] | FloatArray]:
    """Give each point, and each line with the pieces of a broken track joined in order."""
    if shape is None or shape.is_empty:
        return
    kind = shape.geom_type
    if kind == "GeometryCollection":
        for member in shapely.get_parts(shape):
            yield from _parts(member, system)
        return
    coordinates = shapely.get_coordinates(shape)
    longitude, latitude = to_lonlat(system, coordinates[:, 0], coordinates[:, 1])
    if kind in {"Point", "MultiPoint"}:
        yield from zip(longitude.tolist(), latitude.tolist(), strict=True)
    elif kind in {"LineString", "MultiLineString"}:
        corners = np.column_stack([longitude, latitude])
        moved = np.r_[True, np.any(np.diff(corners, axis=0) != 0, axis=1)]
        if np.count_nonzero(moved) > 1:
            yield corners[moved]
