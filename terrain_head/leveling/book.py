"""A level book as it was kept: set-ups and readings in order, no arithmetic done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from terrain_head.leveling.instrument import Instrument

SightKind = Literal["bs", "is", "fs"]
Rod = Literal["normal", "direct"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRoute:
    """A route of the level book: its points with their stations, in order.

    Parameters
    ----------
    points
        Names of the points.
    station_m
        Level distance from the route's beginning, None where none was written [m].
    slope_station_m
        Distance taped along the ground, None where none was written; empty where the book has no
        such column [m]. The reduction turns it into level distance.
    """

    name: str
    points: tuple[str, ...]
    station_m: tuple[float | None, ...]
    slope_station_m: tuple[float | None, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading of the rod.

    Parameters
    ----------
    setup
        Position of its set-up in the book's list of set-ups.
    point
        Where the rod stood.
    kind
        Backsight, intermediate sight or foresight.
    written
        The reading as it stands in the book.
    reading_m
        The same in metres; negative where the rod hung upside down [m].
    step_m
        Half of it is the rounding of the last figure written [m].
    distance_m
        Length of the sight, if written [m].
    direction_rad
        Which way the rod stood from the instrument, clockwise from north, if written [rad].
    file, line
        Position of the file in the book's list of files, and line counted from 1.
    """

    setup: int
    point: str
    kind: SightKind
    written: str
    reading_m: float
    step_m: float = 0.0
    distance_m: float | None = None
    direction_rad: float | None = None
    file: int = 0
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """One standing of the instrument: what was read from it.

    Parameters
    ----------
    label
        Its name where the book gives one, else its number.
    readings
        Positions of its readings in the book's list.
    back, ahead
        Position of the backsight that begins it and of the foresight that closes it, if any.
    head_rad
        Which way the mark on a laser's head faced, clockwise from north, if written [rad].
    """

    label: str
    readings: tuple[int, ...]
    back: int | None
    ahead: int | None
    head_rad: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownElevation:
    """A point whose elevation the book states; `std_m` None where it is held fixed [m]."""

    point: str
    elevation_m: float
    std_m: float | None = None
    file: int = 0
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightDifference:
    """A height difference had by other means: hose, hand level, barometer.

    Parameters
    ----------
    start, end
        The two points.
    rise_m
        How much higher `end` is than `start` [m].
    std_m
        Its standard error, None where none was written and none is known [m].
    how
        How it was had, in the person's words.
    way
        Name of the known way whose standard error was taken; empty where the person wrote one,
        or where the way is not known.
    """

    start: str
    end: str
    rise_m: float
    std_m: float | None
    how: str = ""
    way: str = ""
    file: int = 0
    line: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRow:
    """One row of the field book.

    Parameters
    ----------
    point
        Where the rod stood.
    back, between, ahead
        Positions of its readings in the book's list, None where the cell is blank.
    worked_m, worked_step_m
        Elevation reduced by hand, and one unit of the last figure written [m].
    """

    file: int
    line: int
    point: str
    back: int | None = None
    between: int | None = None
    ahead: int | None = None
    worked_m: float | None = None
    worked_step_m: float = 0.0
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BookFact:
    """Something about a book that the person must know although the work goes on.

    Parameters
    ----------
    kind
        A fixed key such as ``unknown-column``; `terrain_head.report.reduce_words` knows them all.
    point, file, line
        Where it stands, None where that does not apply; the file is named as shown.
    values, texts
        Numbers in SI and words of the sentence, by name.
    """

    kind: str
    point: str | None = None
    file: str | None = None
    line: int | None = None
    values: Mapping[str, float] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelBook:
    """One or more level books of one site, as one network.

    Parameters
    ----------
    files
        Names of the books as shown.
    unit
        Unit in which the readings of the first book are written: ft, ft-in, in, m, cm or mm.
    readings, setups, rows
        All readings, set-ups and rows in the order observed.
    known, differences, routes
        Stated elevations, height differences by other means, routes with their stations.
    reading_std_m
        Standard error of a rod reading as stated, None where it was not [m].
    angle_std_rad
        Standard error of the line of sight as stated, None where it was not [rad].
    farthest_m
        Longest that a sight without a distance may be, None where none is known [m].
    instrument
        What was read with, None where only `angle_std_rad` is known of it, or nothing.
    rod
        ``normal``: the figures grow from the foot up. ``direct``: the figures are elevations,
        greater where the ground is higher.
    facts
        What the reader saw and the person must know.
    """

    files: tuple[str, ...] = ()
    unit: str = "m"
    readings: tuple[Reading, ...] = ()
    setups: tuple[SetUp, ...] = ()
    rows: tuple[BookRow, ...] = ()
    known: tuple[KnownElevation, ...] = ()
    differences: tuple[HeightDifference, ...] = ()
    routes: tuple[BookRoute, ...] = ()
    reading_std_m: float | None = None
    angle_std_rad: float | None = None
    farthest_m: float | None = None
    instrument: Instrument | None = None
    rod: Rod = "normal"
    facts: tuple[BookFact, ...] = ()

    @property
    def points(self) -> tuple[str, ...]:
        """Names of all points in order of first sight; those never read come last."""
        names = dict.fromkeys(reading.point for reading in self.readings)
        for difference in self.differences:
            names.setdefault(difference.start)
            names.setdefault(difference.end)
        names.update(dict.fromkeys(known.point for known in self.known))
        return tuple(names)
