"""The ground of a site: every place and every station of every route, once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.covariance import Covariance
from terrain_head.base.names import find_name
from terrain_head.ground.fusion import Agreement

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]
OriginArray = NDArray[np.int8]


class Origin(IntEnum):
    """Where an elevation came from; the name in lower case is what files and screens say."""

    LEVELED = 0
    STATED = 1
    RASTER = 2
    FUSED = 3
    INTERPOLATED = 4

    @property
    def word(self) -> str:
        """The word for it."""
        return self.name.lower()


class JointDoubt(Protocol):
    """Forms the joint covariance of the entries of a ground asked for; nan own where unknown."""

    def __call__(self, index: Sequence[int]) -> Covariance:
        """Return the covariance of these entries; each may be named once."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MarkedDoubt:
    """The joint doubt of entries, and apart from it what misplaced marks add.

    Parameters
    ----------
    unmoved
        Covariance were every mark where its place is.
    names
        The places of which a mark's error moves one of the entries.
    by_mark_m
        By how much each entry moves with the error of each mark, a standard error of it, shape
        (n, marks) [m].
    """

    unmoved: Covariance
    names: tuple[str, ...]
    by_mark_m: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenPlace:
    """A named place as the files give it, before its height is settled.

    Parameters
    ----------
    name
        Its name; one name is one place whatever file it stands in.
    east_m, north_m
        Position in the local plane, None where there is none [m].
    stated_elevation_m, stated_std_m
        A height written in the study, and its standard error [m].
    position_std_m
        Standard error of its position on each axis [m].
    """

    name: str
    east_m: float | None = None
    north_m: float | None = None
    stated_elevation_m: float | None = None
    stated_std_m: float | None = None
    position_std_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapRoute:
    """A route drawn on a map: its corners in the local plane, shape (k, 2) [m]."""

    name: str
    corners_m: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """Where one pipe is to go.

    Parameters
    ----------
    name
        Name of the pipe.
    start, end
        Names of the places it joins.
    route
        Name of a route, ``straight``, or None for a route of the pipe's own name, else straight,
        else the length alone; with none of these it gets no profile.
    length_m
        Taped length of the pipe, if stated [m].
    """

    name: str
    start: str
    end: str
    route: str | None = None
    length_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteJoin:
    """A fact worth telling: a pipe's end stood off its route and was joined by a straight leg."""

    pipe: str
    route: str
    place: str
    gap_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DatumShift:
    """How the raster was moved onto the datum of the book.

    Parameters
    ----------
    shift_m
        Constant added to every height of the raster [m].
    shift_std_m
        Its standard error, None where the raster's error is not known [m].
    places
        The places that have both heights.
    left_over_m
        Known height minus moved raster height at each, before the raster is bent to them [m].
    agreement
        Whether that is no more than the errors explain, None where they are not known.
    """

    shift_m: float
    shift_std_m: float | None
    places: tuple[str, ...]
    left_over_m: tuple[float, ...]
    agreement: Agreement | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroundProfile:
    """The ground along one pipe's course: a view of a `Ground`.

    Parameters
    ----------
    name
        Name of the pipe (or route).
    route
        Name of the route it follows, ``straight``, or None where only the length is known.
    index
        Entry of the ground at each station, shape (n,).
    station_m
        Level distance from the start, rising strictly, shape (n,) [m].
    east_m, north_m
        Position in the local plane, nan where there is none, shape (n,) [m].
    elevation_m
        Ground elevation, shape (n,) or (draws, n) [m].
    std_m
        Standard error of the elevation, nan where not known, shape (n,) [m].
    origin
        `Origin` of each elevation, shape (n,).
    along_m
        Distance along the slope to each station, cell noise smoothed out, shape (n,) [m].
    corner
        Whether the station is a bend or end of the route as drawn (or a rod point), shape (n,).
    between_known
        False where only the ends and a length are known: clearance and high points are unknown.
    """

    name: str
    route: str | None
    index: IndexArray
    station_m: FloatArray
    east_m: FloatArray
    north_m: FloatArray
    elevation_m: FloatArray
    std_m: FloatArray
    origin: OriginArray
    along_m: FloatArray
    corner: NDArray[np.bool_]
    between_known: bool

    @property
    def plan_length_m(self) -> float:
        """Level length [m]."""
        return float(self.station_m[-1] - self.station_m[0])

    @property
    def slope_length_m(self) -> float:
        """Length along the slope [m]."""
        return float(self.along_m[-1] - self.along_m[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedBeside:
    """A height that the study states of a leveled place; the leveled one is used.

    Parameters
    ----------
    place
        Name of the place.
    stated_minus_leveled_m
        What the two differ by [m].
    std_m
        Standard error of that difference as far as it is known: of the leveled height alone where
        nobody said that of the stated one; None where it is not known either [m].
    """

    place: str
    stated_minus_leveled_m: float
    std_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """Every place and every station of the site in one vector, on one datum.

    Parameters
    ----------
    names
        Names of the places; they are the first entries of the vector.
    east_m, north_m
        Position in the local plane, nan where there is none, shape (n,) [m].
    elevation_m
        Elevation, shape (n,) or (draws, n) [m].
    origin
        `Origin` of each elevation, shape (n,).
    covariance_of
        Forms the joint covariance of chosen entries.
    profiles
        Ground profile of each pipe whose way is known, by its name.
    datum
        Name of the datum.
    marked
        Forms the same covariance with the marks apart; None where no mark is misplaced.
    shift
        How the raster was moved onto it, where there are book and raster.
    joins
        Ends that stood off their route.
    placed_by_route
        Places that had no position of their own and took the end of a route: place, route.
    stated_beside
        Leveled places for which the study states another height.
    """

    names: tuple[str, ...]
    east_m: FloatArray
    north_m: FloatArray
    elevation_m: FloatArray
    origin: OriginArray
    covariance_of: JointDoubt
    profiles: Mapping[str, GroundProfile]
    datum: str
    marked: Callable[[Sequence[int]], MarkedDoubt] | None = None
    shift: DatumShift | None = None
    joins: tuple[RouteJoin, ...] = ()
    placed_by_route: tuple[tuple[str, str], ...] = ()
    stated_beside: tuple[StatedBeside, ...] = ()

    def place(self, name: str) -> int:
        """Return the entry of a named place, whatever its capitals where that is clear.

        Raises
        ------
        KeyError
            If the site has no such place.
        """
        found = find_name(name, self.names)
        if found is None:
            raise KeyError(name)
        return found

    def elevation_of(self, name: str) -> FloatArray:
        """Return the elevation of a place, shape () or (draws,) [m]."""
        return np.asarray(self.elevation_m[..., self.place(name)])

    def std_of_difference(self, first: str, second: str) -> float | None:
        """Return the standard error of the height difference of two places, None if unknown [m]."""
        entries = [self.place(first), self.place(second)]
        if entries[0] == entries[1]:
            return 0.0
        joint = self.covariance_of(entries)
        std = joint.std_of_difference(0, 1)
        return None if np.isnan(std) else std
