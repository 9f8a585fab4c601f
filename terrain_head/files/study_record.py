"""What a study file states, choice by choice, before any other file is opened."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from terrain_head.base.units import METRIC, UnitSystem
from terrain_head.ground.grid import RasterError
from terrain_head.leveling.instrument import Instrument
from terrain_head.scheme.parts import Parts

UNKNOWN_RASTER_ERROR = RasterError(std_m=None, range_m=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundFiles:
    """The files that the ground comes from, and how well they know it.

    Parameters
    ----------
    books
        Level books.
    book_unit
        Unit of readings whose header names none, as written; None if not said.
    reading_std_m
        Standard error of one rod reading, None if not said [m].
    angle_std_rad
        Standard error of the line of sight, None if not said [rad].
    farthest_m
        Longest that a sight without a distance may be, None if not said [m].
    instrument
        What the book was read with, None if not said.
    heights
        File of height differences by other means.
    rod
        ``direct`` for a rod whose figures are elevations rising upward.
    maps
        Files of named points and routes.
    map_error_m
        Standard error of a mark on each axis, None if not said [m].
    dems
        Elevation rasters.
    dem_unit
        ``m``, ``ft`` or ``ftUS``; None if not said.
    dem_error
        How wrong the rasters' heights are.
    crs
        Coordinate system of what carries none.
    """

    books: tuple[Path, ...] = ()
    book_unit: str | None = None
    reading_std_m: float | None = None
    angle_std_rad: float | None = None
    farthest_m: float | None = None
    instrument: Instrument | None = None
    heights: Path | None = None
    rod: Literal["normal", "direct"] = "normal"
    maps: tuple[Path, ...] = ()
    map_error_m: float | None = None
    dems: tuple[Path, ...] = ()
    dem_unit: str | None = None
    dem_error: RasterError = UNKNOWN_RASTER_ERROR
    crs: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedPlace:
    """A place that a ``[place]`` table describes: position one way or the other, or none.

    Parameters
    ----------
    name
        Its name.
    latitude, longitude
        Position, None where not given so [deg].
    x, y
        Position in the study's `crs`, None where not given so, in the unit of that system.
    elevation_m, elevation_std_m
        Height and its standard error, None where not said [m].
    """

    name: str
    latitude: float | None = None
    longitude: float | None = None
    x: float | None = None
    y: float | None = None
    elevation_m: float | None = None
    elevation_std_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """One choice of one study file.

    Parameters
    ----------
    path
        The study file; the paths of `ground` are already joined to its folder.
    title
        Title, the folder's name where none is written.
    choice
        ``main`` for the file as written.
    units
        How results are shown.
    ground
        Files of the ground.
    places
        Places that the file itself describes.
    parts
        Source, ram, tanks, pipes, outlets, and the values taken for want of the person's own.
    """

    path: Path
    title: str
    choice: str = "main"
    units: UnitSystem = METRIC
    ground: GroundFiles = field(default_factory=GroundFiles)
    places: tuple[StatedPlace, ...] = ()
    parts: Parts = field(default_factory=Parts)
