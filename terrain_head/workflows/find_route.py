"""The job of ``terrain-head find route``: where a pipe between two places best goes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from terrain_head.errors import GroundError, InputError, Trouble
from terrain_head.files.maps import nearest_names, read_maps
from terrain_head.files.output import write_whole
from terrain_head.files.raster_files import open_rasters
from terrain_head.files.rasters import lay_rasters
from terrain_head.files.route_file import routes_geojson
from terrain_head.ground.courses import STRAIGHT
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import Course, MapRoute
from terrain_head.ground.places import gather_places
from terrain_head.ground.summits import look_along
from terrain_head.scheme.ends import node_of, place_of
from terrain_head.search.costs import (
    LEAST_GRADE,
    CostGround,
    RouteRates,
    cost_ground,
    evened_heights,
    steepness,
)
from terrain_head.search.route_options import RouteAnswer, RouteKind, RouteOption
from terrain_head.search.routes import FoundRoute, find_routes
from terrain_head.workflows.results import file_name
from terrain_head.workflows.site import Site, ground_of
from terrain_head.workflows.study import OpenedStudy

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

MOST_SEARCHED = 1e6
"""The most cells that are searched; of a larger stretch of land larger cells."""
BESIDE_SHARE, BESIDE_M = 0.5, 60.0
"""How far beside the two places is searched: this share of their distance, or so many metres."""
ROUTES = 2
ROUTES_FILE = "routes.geojson"


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteAsked:
    """What route is asked for.

    Parameters
    ----------
    start, end
        Places of the study, or ``source``, ``ram``, ``tank``.
    kind
        ``pressure``, or ``gravity`` for a line that must keep falling.
    least_grade
        The least fall of a gravity line, None for the usual [1].
    """

    start: str
    end: str
    kind: RouteKind = "pressure"
    least_grade: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """Square cells over the land round two places, rows from north to south.

    Parameters
    ----------
    west_m, north_m
        Middle of the first cell in the local plane [m].
    cell_m
        Distance of two neighbours [m].
    shape
        Rows and columns.
    """

    west_m: float
    north_m: float
    cell_m: float
    shape: tuple[int, int]

    def middles(self) -> tuple[FloatArray, FloatArray]:
        """Return east and north of every cell, each of the shape of the mesh [m]."""
        rows, columns = np.indices(self.shape)
        east = self.west_m + columns.astype(np.float64) * self.cell_m
        return east, self.north_m - rows.astype(np.float64) * self.cell_m

    def row_column(self, points_m: FloatArray) -> FloatArray:
        """Return rows and columns of points, need not be whole, shape (n, 2).

        Parameters
        ----------
        points_m
            East and north, shape (n, 2) [m].
        """
        away = np.column_stack([self.north_m - points_m[:, 1], points_m[:, 0] - self.west_m])
        return away / self.cell_m

    def points_m(self, row_column: FloatArray) -> FloatArray:
        """Return east and north of rows and columns, shape (n, 2) [m].

        Parameters
        ----------
        row_column
            Rows and columns, shape (n, 2).
        """
        away = row_column * self.cell_m
        return np.column_stack([self.west_m + away[:, 1], self.north_m - away[:, 0]])


def find_route(
    opened: OpenedStudy,
    asked: RouteAsked,
    *,
    most: int = ROUTES,
    keep_off: Callable[[Mesh], BoolArray] | None = None,
) -> RouteAnswer:
    """Return the best route between two places of an opened study, and others.

    Parameters
    ----------
    opened
        The study.
    asked
        Which route.
    most
        How many routes are wanted.
    keep_off
        Says of each cell of a mesh whether no pipe may go there, shape (rows, columns); None for
        everywhere allowed. A cell that a forbidden area only touches is to be barred too.

    Raises
    ------
    InputError
        If a name is no place.
    GroundError
        If there is no raster, a place has no position, or no way leads from one to the other.
    """
    study, site = opened.document.study("main"), opened.site
    _refuse_without_raster(site)
    names, points = _ends(opened, asked)
    rates = RouteRates(
        least_grade=None if asked.kind == "pressure" else asked.least_grade or LEAST_GRADE
    )
    mesh, grid = _read_mesh(site, points)
    heights = np.asarray(grid.sample(*mesh.middles()))
    barred = None if keep_off is None else keep_off(mesh)
    ground = cost_ground(heights, cell_m=mesh.cell_m, rates=rates, keep_off=barred)
    ends = mesh.row_column(points)
    _refuse_barred(ground, ends, names=names, heights=heights)
    _refuse_uphill(heights, ends, names=names, asked=asked)
    found = find_routes(ground, ends[0], end=ends[1], most=most)
    if not found.routes:
        raise _no_way(names, rates)
    steep = steepness(evened_heights(heights, cell_m=mesh.cell_m), cell_m=mesh.cell_m)
    told = list(zip(_route_names(names, asked.kind, len(found.routes)), found.routes,
                    strict=True))  # fmt: skip
    line = mesh.points_m(np.linspace(ends[0], ends[1], 400))
    if np.isfinite(grid.sample(line[:, 0], line[:, 1])).all():
        told.append((STRAIGHT, found.straight))
    surveyed = replace(
        site,
        grid=grid,
        map_routes=tuple(
            MapRoute(name=name, corners_m=mesh.points_m(route.corners)) for name, route in told
        ),
    )
    courses = [Course(name=name, start=names[0], end=names[1], route=name) for name, _ in told]
    on_ground = ground_of(surveyed, courses)

    def option(name: str, route: FoundRoute) -> RouteOption:
        profile = on_ground.profiles[name]
        at = np.rint(mesh.row_column(np.column_stack([profile.east_m, profile.north_m])))
        rows, columns = at.astype(np.intp).T
        return RouteOption(
            name=name,
            corners_m=mesh.points_m(route.corners),
            cost_m=route.cost,
            elsewhere=route.elsewhere,
            profile=profile,
            turns=look_along(profile, covariance_of=on_ground.covariance_of),
            steepness=steep[rows, columns],
            upward=found.upward,
        )

    options = [option(name, route) for name, route in told]
    straight = options.pop() if told[-1][0] == STRAIGHT else None
    assert site.plane is not None
    return RouteAnswer(
        title=study.title,
        file=opened.shown,
        units=study.units,
        start=names[0],
        end=names[1],
        kind=asked.kind,
        rates=rates,
        options=tuple(options),
        straight=straight,
        apart_m=found.apart_m,
        cell_m=mesh.cell_m,
        cells=heights.size,
        ground=on_ground,
        grid=grid,
        plane=site.plane,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenRoutes:
    """The files written.

    Parameters
    ----------
    routes
        The map that holds the routes.
    plan
        The picture to look at first.
    """

    routes: Path
    plan: Path


def write_routes(answer: RouteAnswer, folder: Path) -> WrittenRoutes:
    """Write the routes as a map, and draw them.

    Routes of other places that the map held before stay in it.

    Parameters
    ----------
    answer
        The routes on their ground.
    folder
        Where they go; made if it is missing.
    """
    from terrain_head.plots.route_sheet import routes_plan_figure, routes_profile_figure
    from terrain_head.plots.sheet import figure_bytes

    path = folder / ROUTES_FILE
    before = read_maps([path], crs=None).routes if path.exists() else {}
    routes = {option.name: option.corners_m for option in answer.options}
    write_whole(path, routes_geojson(routes, plane=answer.plane, kept=before))
    name = file_name(f"route {answer.start} to {answer.end}")
    for what, figure in (
        ("profile", routes_profile_figure(answer)),
        ("plan", routes_plan_figure(answer)),
    ):
        write_whole(folder / f"{name}-{what}.svg", figure_bytes(figure, kind="svg"))
        picture = write_whole(folder / f"{name}-{what}.png", figure_bytes(figure, kind="png"))
    return WrittenRoutes(routes=path, plan=picture)


def mesh_between(points_m: FloatArray, *, cell_m: float) -> Mesh:
    """Return the cells over the land round two places.

    Parameters
    ----------
    points_m
        East and north of the two, shape (2, 2) [m].
    cell_m
        Side of the raster's cells: no smaller ones are searched [m].
    """
    beside = max(BESIDE_SHARE * float(np.hypot(*(points_m[1] - points_m[0]))), BESIDE_M)
    low, high = points_m.min(axis=0) - beside, points_m.max(axis=0) + beside
    cell = max(cell_m, math.sqrt(float(np.prod(high - low)) / MOST_SEARCHED))
    columns, rows = (int(count) + 1 for count in np.ceil((high - low) / cell))
    return Mesh(west_m=float(low[0]), north_m=float(high[1]), cell_m=cell, shape=(rows, columns))


def _ends(opened: OpenedStudy, asked: RouteAsked) -> tuple[tuple[str, str], FloatArray]:
    """Return the names of the two places and where they are, shape (2, 2) [m]."""
    parts, site = opened.document.study("main").parts, opened.site
    places = gather_places(site.places, site.elevations)
    names, points = [], []
    for option, word in (("--from", asked.start), ("--to", asked.end)):
        place = place_of(node_of(word, parts=parts), parts=parts)
        at = places.find(place)
        if at is None:
            raise InputError(
                f"{option} {word!r} is no place of this study.",
                Trouble(
                    what=f"{nearest_names(word, places.names)}Places known: "
                    f"{', '.join(places.names[:12]) or 'none'}."
                ),
                file=opened.shown,
            )
        if not places.placed(at):
            raise GroundError(
                f"{places.names[at]} has no position.",
                Trouble(what="A route is searched for on the map. Mark the place on it."),
                file=opened.shown,
            )
        names.append(places.names[at])
        points.append(places.points_m[at])
    if float(np.hypot(*(points[1] - points[0]))) < 1.0:
        raise InputError(f"{names[0]} and {names[1]} stand at one spot.", file=opened.shown)
    return (names[0], names[1]), np.array(points)


def _refuse_without_raster(site: Site) -> None:
    if not site.files.dems or site.transform is None:
        raise GroundError(
            "There is no elevation raster to search for a route on.",
            Trouble(
                what="Rod readings tell the ground where the rod stood, and nowhere else. Name a "
                "raster under [ground].",
                write='dem = "dem.tif"',
            ),
        )


def _read_mesh(site: Site, points_m: FloatArray) -> tuple[Mesh, ElevationGrid]:
    """Return the cells round two places and the raster under them; nothing else of it is read."""
    files = site.files
    assert site.transform is not None
    with open_rasters(files.dems, unit=files.dem_unit, crs=files.crs) as opened:
        rasters = lay_rasters(opened, error=files.dem_error, plane=site.transform)
        mesh = mesh_between(points_m, cell_m=rasters.cell_m)
        east, north = mesh.middles()
        return mesh, rasters.read_along(east.ravel(), north.ravel())


def _refuse_barred(
    ground: CostGround, ends: FloatArray, *, names: tuple[str, str], heights: FloatArray
) -> None:
    for name, (row, column) in zip(names, np.rint(ends).astype(np.intp), strict=True):
        if np.isfinite(ground.factor[row, column]):
            continue
        known = np.isfinite(heights[row, column])
        raise GroundError(
            f"No route can begin or end at {name}.",
            Trouble(
                what="It lies where the study says that no pipe may go."
                if known
                else "The raster has no height there."
            ),
        )


def _refuse_uphill(
    heights: FloatArray, ends: FloatArray, *, names: tuple[str, str], asked: RouteAsked
) -> None:
    if asked.kind == "pressure":
        return
    first, last = (heights[tuple(at)] for at in np.rint(ends).astype(np.intp))
    if last >= first:
        raise GroundError(
            f"{names[1]} is not lower than {names[0]}: nothing falls from the one to the other.",
            Trouble(
                what="A gravity line is searched for from its upper end down.",
                write=f'--from "{names[1]}" --to "{names[0]}"',
            ),
        )


def _no_way(names: Sequence[str], rates: RouteRates) -> GroundError:
    if rates.least_grade is None:
        return GroundError(
            f"No way leads from {names[0]} to {names[1]}.",
            Trouble(
                what="Voids of the raster, or areas where no pipe may go, lie between the two "
                "from edge to edge of the land that was searched."
            ),
        )
    return GroundError(
        f"No way from {names[0]} to {names[1]} keeps falling by {100 * rates.least_grade:g} %.",
        Trouble(
            what="A hollow or a rise lies across every way. A pressure pipe can cross it; or state "
            "a smaller fall.",
            write="--kind pressure",
        ),
    )


def _route_names(names: tuple[str, str], kind: RouteKind, count: int) -> list[str]:
    base = f"{names[0]} to {names[1]}"
    fall = " falling" if kind == "gravity" else ""
    return [f"{base}{fall} {number}" for number in range(1, count + 1)]
