"""The job of ``terrain-head profile``: the ground along a line, read off elevation rasters."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.finding import Finding
from terrain_head.assessment.survey_findings import join_findings, unknown_error
from terrain_head.errors import Trouble, UsageError
from terrain_head.files.maps import MapContent, read_maps
from terrain_head.files.planes import PlaneTransform, choose_plane
from terrain_head.files.raster_bounds import refuse_swapped
from terrain_head.files.raster_files import open_rasters
from terrain_head.files.rasters import lay_rasters
from terrain_head.ground.courses import JOIN_TOLD_M, STRAIGHT
from terrain_head.ground.grid import RasterError
from terrain_head.ground.ground import Course, GivenPlace, Ground, GroundProfile, MapRoute
from terrain_head.ground.summits import Turns, look_along
from terrain_head.ground.survey import survey_ground

FloatArray = NDArray[np.float64]
Spot = tuple[str, float, float]

_UNNAMED = {"--from": "the first spot", "--to": "the second spot"}
_PAIR = re.compile(r"^\s*([+-]?\d+(?:\.\d+)?)\s*[,; ]\s*([+-]?\d+(?:\.\d+)?)\s*$")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LineProfile:
    """The ground along a line.

    Parameters
    ----------
    start, end
        Names of its ends.
    profile, ground
        The ground under it, and the joint doubt of its heights.
    transform
        Carries its stations back to latitude and longitude.
    rasters
        Names of the rasters.
    error
        How wrong their heights are.
    turns
        High and low points between the ends, by the rule that a study's pipes go by.
    findings
        What the person must know.
    """

    start: str
    end: str
    profile: GroundProfile
    ground: Ground
    transform: PlaneTransform
    rasters: tuple[str, ...]
    error: RasterError
    turns: Turns
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAsked:
    """What line is asked for: a route, two ends, or the stretch of a route between two ends.

    Parameters
    ----------
    route
        Name of a route of the maps.
    start, end
        Points of the maps, or ``latitude, longitude``.
    """

    route: str | None = None
    start: str | None = None
    end: str | None = None


def map_content(maps: Sequence[Path], *, crs: str | None) -> MapContent:
    """Return what maps hold, to choose from."""
    return read_maps(maps, crs=crs)


def profile_line(
    dems: Sequence[Path],
    asked: LineAsked,
    *,
    maps: Sequence[Path] = (),
    dem_unit: str | None = None,
    crs: str | None = None,
    error: RasterError,
    step_m: float | None = None,
    watch: Callable[[Sequence[tuple[int, int]]], Iterable[tuple[int, int]]] = iter,
) -> LineProfile:
    """Return the ground along a line.

    Parameters
    ----------
    dems
        Elevation rasters.
    asked
        The line.
    maps
        Files of named points and routes.
    dem_unit
        Unit of the heights where the rasters do not say.
    crs
        Coordinate system of what carries none.
    error
        How wrong the heights are.
    step_m
        The most between two stations, None for the side of a cell [m].
    watch
        Goes through the blocks of the raster as they are read (a progress bar).

    Raises
    ------
    UsageError
        If the words do not fit together.
    InputError
        If a file is wrong, or has no such point or route.
    GroundError
        If the line leaves the raster or crosses a void.
    """
    content = read_maps(maps, crs=crs) if maps else MapContent(points={}, routes={})
    route = None if asked.route is None else content.route(asked.route)
    ends = _ends(content, asked, route)
    corners = [] if route is None else [(route, lon, lat) for lon, lat in content.routes[route]]
    (start, _, _), (end, _, _) = ends
    name = route or f"{start} to {end}"
    course = Course(name=name, start=start, end=end, route=route or STRAIGHT)
    with open_rasters(dems, unit=dem_unit, crs=crs) as files:
        refuse_swapped(files, [*ends, *corners])
        spots = np.array([(lon, lat) for _, lon, lat in [*ends, *corners]], dtype=np.float64)
        transform = PlaneTransform(choose_plane(spots[:, 0], spots[:, 1]))
        points = np.column_stack(transform.to_local(spots[:, 0], spots[:, 1]))
        grid = lay_rasters(files, error=error, plane=transform).on_demand(watch=watch)
        ground = survey_ground(
            places=[
                GivenPlace(name=spot[0], east_m=float(x), north_m=float(y))
                for spot, (x, y) in zip(ends, points, strict=False)
            ],
            map_routes=[] if route is None else [MapRoute(name=route, corners_m=points[2:])],
            book_routes=(),
            courses=[course],
            elevations=None,
            grid=grid,
            step_m=step_m,
        )
    profile = ground.profiles[name]
    return LineProfile(
        start=start,
        end=end,
        profile=profile,
        ground=ground,
        transform=transform,
        rasters=grid.names,
        error=error,
        turns=look_along(profile, covariance_of=ground.covariance_of),
        findings=(
            *([unknown_error(grid.names)] if error.std_m is None else ()),
            *join_findings(ground),
        ),
    )


def _ends(content: MapContent, asked: LineAsked, route: str | None) -> tuple[Spot, Spot]:
    """Return name, longitude and latitude of both ends of the line."""
    if (asked.start is None) != (asked.end is None):
        given, missing = ("--from", "--to") if asked.end is None else ("--to", "--from")
        raise UsageError(
            f"{given} wants {missing} beside it.",
            Trouble(
                what="A straight line has two ends: points of the map, or latitude and longitude.",
                write=f'{missing} "47.12345, 11.23456"',
            ),
            left_alone="",
        )
    if asked.start is not None and asked.end is not None:
        ends = _spot(content, asked.start, "--from"), _spot(content, asked.end, "--to")
        if ends[0][1:] == ends[1][1:]:
            raise UsageError("--from and --to are one spot.", left_alone="")
        return ends
    if route is None:
        raise UsageError(
            "Which line?",
            Trouble(
                what="Name a route of a map, or two ends.",
                write='--map map.geojson --route "NAME"\n--from "47.1, 11.2" --to "47.2, 11.3"',
            ),
            left_alone="",
        )
    first, last = content.routes[route][0], content.routes[route][-1]
    return (
        _named_end(content, first, f"start of {route}"),
        _named_end(content, last, f"end of {route}"),
    )


def _spot(content: MapContent, text: str, option: str) -> Spot:
    """Return a point of the maps, or a position written as latitude and longitude."""
    pair = _PAIR.match(text)
    known = {name.casefold() for name in content.points}
    if pair is not None and text.strip().casefold() not in known:
        latitude, longitude = float(pair[1]), float(pair[2])
        return _UNNAMED[option], longitude, latitude
    if not content.files:
        raise UsageError(
            f"{option} {text!r} is no position, and there is no map to look it up in.",
            Trouble(
                what="Write latitude and longitude in degrees, or name the map that has it.",
                write=f'{option} "47.12345, 11.23456"',
            ),
            left_alone="",
        )
    name = content.point(text)
    return (name, *content.points[name])


def _named_end(content: MapContent, spot: FloatArray, otherwise: str) -> Spot:
    """Return an end of a route under the name of the point that is marked there, if one is."""
    longitude, latitude = float(spot[0]), float(spot[1])
    if content.points:
        here = PlaneTransform(choose_plane([longitude], [latitude]))
        marks = np.array(list(content.points.values()))
        gap = np.hypot(*here.to_local(marks[:, 0], marks[:, 1]))
        gap = np.where(np.isfinite(gap), gap, np.inf)
        if gap.min() <= JOIN_TOLD_M:
            return list(content.points)[int(np.argmin(gap))], longitude, latitude
    return otherwise, longitude, latitude
