"""Opening a site: every file of its ground once, all of it carried into one local plane."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.errors import InputError, TerrainHeadError, Trouble
from terrain_head.files.maps import MapContent, read_maps
from terrain_head.files.planes import PlaneTransform, choose_plane, read_crs, to_lonlat
from terrain_head.files.raster_bounds import refuse_swapped
from terrain_head.files.raster_files import RasterFile, open_rasters
from terrain_head.files.rasters import RasterSet, lay_rasters
from terrain_head.files.study_record import GroundFiles, StatedPlace, Study
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import Course, GivenPlace, Ground, MapRoute
from terrain_head.ground.plane import LocalPlane
from terrain_head.ground.stationing import cut_line
from terrain_head.ground.survey import survey_ground
from terrain_head.leveling.book import BookRoute, LevelBook
from terrain_head.leveling.elevations import Elevations
from terrain_head.scheme.courses import courses_of, places_of
from terrain_head.workflows.reduce import reduce_level_books

FloatArray = NDArray[np.float64]

MARGIN_M = 150.0
"""How far beyond the outermost place or route a site's raster is read, so that places and bends
can be moved without opening it again [m]."""
MOST_CELLS = 16e6
"""The most cells that are read ahead; of a larger site only what its places, its routes and the
courses of all its choices touch."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Site:
    """A site with its files read: nothing is opened again to solve it.

    Parameters
    ----------
    plane
        The local plane, None where nothing has a position.
    transform
        Carries coordinates in and out of it.
    files
        What was opened.
    book
        The level books as written, None without one.
    elevations
        What they come to.
    maps
        What the maps hold, in degrees, None without one.
    map_places, map_routes
        The same in the local plane.
    book_routes
        Routes of the level book, with level stations.
    stated
        Places that the study file itself describes, of the choice at hand.
    grid
        Raster heights, None without a raster.
    """

    plane: LocalPlane | None
    transform: PlaneTransform | None
    files: GroundFiles
    book: LevelBook | None
    elevations: Elevations | None
    maps: MapContent | None
    map_places: tuple[GivenPlace, ...]
    map_routes: tuple[MapRoute, ...]
    book_routes: tuple[BookRoute, ...]
    stated: tuple[GivenPlace, ...]
    grid: ElevationGrid | None

    @property
    def places(self) -> tuple[GivenPlace, ...]:
        """Places of study and maps, the study's first: what stands first wins."""
        return (*self.stated, *self.map_places)


def open_site(studies: Sequence[Study]) -> Site:
    """Open the files of a study's ground.

    Parameters
    ----------
    studies
        The study's choices, ``main`` first: the files of the ground are the same for all, the
        places need not be, and the raster is read for those of all of them.

    Returns
    -------
    Site
        With the places of the first choice; `with_places` gives another's.

    Raises
    ------
    InputError
        If a file is wrong or missing, or a position lies off the globe or far from the others.
    ReductionError
        If the level book gives no elevations.
    """
    files = studies[0].ground
    reduced = None
    if files.books or files.heights is not None:
        reduced = reduce_level_books(
            files.books,
            unit=files.book_unit,
            rod=files.rod,
            reading_std_m=files.reading_std_m,
            angle_std_rad=files.angle_std_rad,
            farthest_m=files.farthest_m,
            instrument=files.instrument,
            heights=files.heights,
        )
    maps = read_maps(files.maps, crs=files.crs) if files.maps else None
    stated = [place for study in studies for place in study.places]
    positions = list(_positions(maps, stated, files))
    elevations = None if reduced is None else reduced.elevations
    _refuse_unplaced(files, positions)
    with open_rasters(files.dems, unit=files.dem_unit, crs=files.crs) as rasters:
        refuse_swapped(rasters, positions)
        transform = _transform(positions)
        site = Site(
            plane=None if transform is None else transform.plane,
            transform=transform,
            files=files,
            book=None if reduced is None else reduced.book,
            elevations=elevations,
            maps=maps,
            map_places=_map_places(maps, transform, files),
            map_routes=_map_routes(maps, transform),
            book_routes=() if elevations is None else elevations.routes,
            stated=(),
            grid=None,
        )
        site = replace(site, grid=_read_rasters(rasters, site, studies, at=positions))
    return with_places(site, studies[0])


def with_places(site: Site, study: Study) -> Site:
    """Return a site with the places that one choice describes; no file is opened."""
    return replace(
        site,
        stated=tuple(_stated_place(place, site.transform, site.files) for place in study.places),
    )


def names_of(site: Site, studies: Sequence[Study]) -> tuple[str, ...]:
    """Return the names of all places of a site, each as it was first written.

    Parameters
    ----------
    site
        The site.
    studies
        The study's choices: a place that only one of them describes is a place too.
    """
    stated = [place.name for study in studies for place in study.places]
    given: dict[str, str] = {}
    for name in (*stated, *(place.name for place in site.map_places)):
        given.setdefault(name.casefold(), name)
    book = () if site.elevations is None else site.elevations.names
    return (*given.values(), *(name for name in book if name.casefold() not in given))


def ground_of(site: Site, courses: Sequence[Course], *, needed: Sequence[str] = ()) -> Ground:
    """Return the ground of a site along some courses; no file is opened.

    Parameters
    ----------
    site
        The site.
    courses
        Where the pipes go.
    needed
        Places whose height is wanted although no course ends there.

    Raises
    ------
    InputError
        If a place or a route that is named is not there.
    GroundError
        If the ground can't be had.
    """
    return survey_ground(
        places=site.places,
        map_routes=site.map_routes,
        book_routes=site.book_routes,
        courses=courses,
        elevations=site.elevations,
        grid=site.grid,
        needed=needed,
    )


def _lon_lat(place: StatedPlace, files: GroundFiles) -> tuple[float, float] | None:
    if place.latitude is not None and place.longitude is not None:
        return place.longitude, place.latitude
    if place.x is None or place.y is None:
        return None
    if files.crs is None:
        raise InputError(
            f"[place.{place.name}] has coordinates, but nothing says of which system.",
            Trouble(
                what="The system goes under [ground]; or write latitude and longitude.",
                write='crs = "EPSG:26915"',
            ),
        )
    longitude, latitude = to_lonlat(read_crs(files.crs), place.x, place.y)
    if not np.isfinite(longitude):
        raise InputError(
            f"[place.{place.name}]: {place.x:g}, {place.y:g} is no spot of {files.crs}.",
            Trouble(what="East comes first, then north. Are the two swapped?"),
        )
    return float(longitude), float(latitude)


def _positions(
    maps: MapContent | None, stated: Sequence[StatedPlace], files: GroundFiles
) -> Iterator[tuple[str, float, float]]:
    """Give name, longitude and latitude of everything that has a position."""
    for place in stated:
        spot = _lon_lat(place, files)
        if spot is not None:
            yield (place.name, *spot)
    if maps is not None:
        yield from ((name, *spot) for name, spot in maps.points.items())
        for name, corners in maps.routes.items():
            yield from ((name, float(lon), float(lat)) for lon, lat in corners)


def _transform(positions: Sequence[tuple[str, float, float]]) -> PlaneTransform | None:
    if not positions:
        return None
    longitudes, latitudes = zip(*((lon, lat) for _, lon, lat in positions), strict=True)
    return PlaneTransform(choose_plane(longitudes, latitudes))


def _map_places(
    maps: MapContent | None, transform: PlaneTransform | None, files: GroundFiles
) -> tuple[GivenPlace, ...]:
    if maps is None or transform is None or not maps.points:
        return ()
    spots = np.array(list(maps.points.values()))
    east, north = transform.to_local(spots[:, 0], spots[:, 1])
    return tuple(
        GivenPlace(name=name, east_m=float(e), north_m=float(n), position_std_m=files.map_error_m)
        for name, e, n in zip(maps.points, east, north, strict=True)
    )


def _map_routes(maps: MapContent | None, transform: PlaneTransform | None) -> tuple[MapRoute, ...]:
    if maps is None or transform is None:
        return ()
    return tuple(
        MapRoute(
            name=name,
            corners_m=np.column_stack(transform.to_local(corners[:, 0], corners[:, 1])),
        )
        for name, corners in maps.routes.items()
    )


def _stated_place(
    place: StatedPlace, transform: PlaneTransform | None, files: GroundFiles
) -> GivenPlace:
    spot = _lon_lat(place, files)
    east = north = None
    if spot is not None and transform is not None:
        east, north = (float(value) for value in transform.to_local(*spot))
    return GivenPlace(
        name=place.name,
        east_m=east,
        north_m=north,
        stated_elevation_m=place.elevation_m,
        stated_std_m=place.elevation_std_m,
    )


def _refuse_unplaced(files: GroundFiles, positions: Sequence[tuple[str, float, float]]) -> None:
    if files.dems and not positions:
        raise InputError(
            "There is a raster, but nothing says where on it the places are.",
            Trouble(
                what="A raster gives a height at a position. Name a map with the places marked on "
                "it, or write positions into the study.",
                write='map = "map.geojson"',
            ),
        )


def _read_rasters(
    files: Sequence[RasterFile],
    site: Site,
    studies: Sequence[Study],
    *,
    at: Sequence[tuple[str, float, float]],
) -> ElevationGrid | None:
    if not files or site.transform is None:
        return None
    rasters = lay_rasters(files, error=site.files.dem_error, plane=site.transform)
    spots = np.array([(lon, lat) for _, lon, lat in at])
    east, north = site.transform.to_local(spots[:, 0], spots[:, 1])
    grid = rasters.read_site(east, north, margin_m=MARGIN_M, most_cells=MOST_CELLS)
    return _read_courses(rasters, site, studies) if grid is None else grid


def _read_courses(rasters: RasterSet, site: Site, studies: Sequence[Study]) -> ElevationGrid | None:
    """Read what the places, the routes and the courses of all choices touch, and no more."""
    reading = replace(site, grid=rasters.on_demand())
    for study in studies:
        # What is wrong with a choice is told when it is solved.
        with suppress(TerrainHeadError):
            ground_of(
                with_places(reading, study),
                courses_of(study.parts),
                needed=places_of(study.parts),
            )
    stated = [place for study in studies for place in with_places(site, study).places]
    points = [
        np.array([[place.east_m, place.north_m]]) for place in stated
        if place.east_m is not None and place.north_m is not None
    ]  # fmt: skip
    lines = [cut_line(route.corners_m, step_m=rasters.cell_m).points_m for route in site.map_routes]
    touched = np.concatenate([*points, *lines])
    return rasters.read_along(touched[:, 0], touched[:, 1])
