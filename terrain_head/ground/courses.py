"""Where each pipe goes: along a route of map or book, straight, or known by length alone."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.names import find_name, quoted_key
from terrain_head.errors import GroundError, InputError, Trouble
from terrain_head.ground.ground import Course, MapRoute, RouteJoin
from terrain_head.ground.places import Places
from terrain_head.ground.stationing import (
    SAME_SPOT_M,
    Line,
    comes_first,
    cut_line,
    distances,
    nearest_spot,
)
from terrain_head.leveling.book import BookRoute

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

JOIN_TOLD_M = 2.0
"""An end off its route by more than this is told [m]. Our convention."""
JOIN_MOST_M = 25.0
"""An end off its route by more than this is an error [m]. Our convention."""
STRAIGHT = "straight"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Path:
    """The stations of one pipe's course, heights not settled yet.

    Stations are kept in the order from which they are reckoned; `turned` says that the pipe is
    written the other way round.

    Parameters
    ----------
    course
        The course as stated.
    route
        Name of the route followed, ``straight``, or None for the length alone.
    points_m
        Positions, nan where there are none, shape (n, 2) [m].
    station_m
        Level distance, rising, shape (n,) [m]; nan for the length alone, until heights are known.
    corner
        Bends, ends and rod points, shape (n,).
    place
        Place that stands at a station, -1 where none does, shape (n,).
    rod
        Whether each station is a point of the book (or only the ends are known).
    joins
        Ends that stood off the route.
    """

    course: Course
    route: str | None
    points_m: FloatArray
    station_m: FloatArray
    corner: NDArray[np.bool_]
    place: IndexArray
    rod: bool
    turned: bool
    joins: tuple[RouteJoin, ...] = ()


class CourseFinder:
    """Turns courses into paths.

    Parameters
    ----------
    places
        The places of the site.
    map_routes, book_routes
        Routes of the maps and of the level book.
    step_m
        The most between two stations; None for corners alone [m].
    """

    def __init__(
        self,
        places: Places,
        *,
        map_routes: Sequence[MapRoute],
        book_routes: Sequence[BookRoute],
        step_m: float | None,
    ) -> None:
        self._places = replace(places, points_m=places.points_m.copy())
        self.placed_by_route: list[tuple[str, str]] = []
        self._maps = {route.name: route for route in map_routes}
        self._books = {route.name: route for route in book_routes}
        self._step_m = step_m
        self._lines: dict[str, Line] = {}

    @property
    def places(self) -> Places:
        """The places, those that took the end of a route among them."""
        return self._places

    def path(self, course: Course) -> Path | None:
        """Return the path of a course, None where no route, position or length tells its way.

        Raises
        ------
        InputError
            If it names a place or a route that there is not.
        GroundError
            If it can't be laid as stated, or an end stands too far off its route.
        """
        start, end = self._end(course, course.start), self._end(course, course.end)
        if start == end:
            raise InputError(f'Pipe "{course.name}" begins and ends at {course.start}.')
        if course.route == STRAIGHT:
            return self._straight(course, start, end)
        wanted = course.name if course.route is None else course.route
        in_book = find_name(wanted, list(self._books))
        in_map = find_name(wanted, list(self._maps))
        book = None if in_book is None else list(self._books.values())[in_book]
        drawn = None if in_map is None else list(self._maps.values())[in_map]
        if book is not None and (drawn is None or self._between(book, start, end)):
            return self._by_rod(course, book, start, end)
        if drawn is not None:
            return self._by_map(course, drawn, start, end)
        if course.route is not None:
            raise self._no_route(course)
        if self._places.placed(start) and self._places.placed(end):
            return self._straight(course, start, end)
        if course.length_m is not None:
            return self._by_length(course, start, end)
        return None

    def _end(self, course: Course, name: str) -> int:
        index = self._places.find(name)
        if index is None:
            near = difflib.get_close_matches(name, self._places.names, n=2)
            hint = f"Nearest: {', '.join(near)}. " if near else ""
            known = ", ".join(self._places.names[:12]) or "none"
            raise InputError(
                f'Pipe "{course.name}" ends at {name!r}, which is no place of this site.',
                Trouble(what=f"{hint}Places known: {known}."),
            )
        return index

    def _no_route(self, course: Course) -> InputError:
        routes = [*self._books, *self._maps]
        near = difflib.get_close_matches(course.route or "", routes, n=2)
        hint = f"Nearest: {', '.join(near)}. " if near else ""
        return InputError(
            f'Pipe "{course.name}" goes along {course.route!r}, but there is no such route.',
            Trouble(
                what=f"{hint}Routes known: {', '.join(routes) or 'none'}.",
                write=f'route = "{near[0] if near else STRAIGHT}"',
            ),
        )

    def _straight(self, course: Course, start: int, end: int) -> Path:
        bare = [n for n in (start, end) if not self._places.placed(n)]
        if bare:
            head = quoted_key(self._places.names[bare[0]])
            raise GroundError(
                f'Pipe "{course.name}" can\'t be laid straight.',
                Trouble(
                    what=f"{self._places.names[bare[0]]} has no position. Mark it on the map, or "
                    "write where it is.",
                    write=f'[place.{head}]\nlat_lon = "46.5062, -93.9195"',
                ),
            )
        first, last = self._places.points_m[start], self._places.points_m[end]
        if np.hypot(*(last - first)) < SAME_SPOT_M:
            raise GroundError(
                f'The two ends of pipe "{course.name}" stand at one spot.',
                Trouble(what=f"{course.start} and {course.end} have the same position."),
            )
        turned = not comes_first(first, last)
        if turned:
            first, last = last, first
            start, end = end, start
        return _path(
            course, STRAIGHT, cut_line([first, last], step_m=self._step_m), (start, end),
            turned=turned,
        )  # fmt: skip

    def _by_length(self, course: Course, start: int, end: int) -> Path:
        return Path(
            course=course,
            route=None,
            points_m=self._places.points_m[[start, end]],
            station_m=np.array([0.0, np.nan]),
            corner=np.ones(2, dtype=np.bool_),
            place=np.array([start, end]),
            rod=True,
            turned=False,
        )

    def _by_map(self, course: Course, route: MapRoute, start: int, end: int) -> Path:
        line = self._line(route)
        ends = self._positions(line, start, end)
        self._settle(route, (start, end), ends)
        feet = [nearest_spot(line, point) for point in ends]
        joins = []
        for name, foot in zip((course.start, course.end), feet, strict=True):
            if foot.gap_m > JOIN_MOST_M:
                raise GroundError(
                    f'{name} stands {foot.gap_m:.0f} m off route "{route.name}" of pipe '
                    f'"{course.name}".',
                    Trouble(
                        what=f"A straight leg joins an end to its route up to {JOIN_MOST_M:.0f} m. "
                        f'Draw the route as far as {name}, or leave it: route = "straight".'
                    ),
                )
            if foot.gap_m > JOIN_TOLD_M:
                joins.append(
                    RouteJoin(pipe=course.name, route=route.name, place=name, gap_m=foot.gap_m)
                )
        turned = feet[0].station_m > feet[1].station_m
        order = (1, 0) if turned else (0, 1)
        first, last = feet[order[0]], feet[order[1]]
        if last.station_m - first.station_m < SAME_SPOT_M:
            raise GroundError(
                f'Pipe "{course.name}" takes no stretch of route "{route.name}".',
                Trouble(
                    what=f"{course.start} and {course.end} both come to the route at the same "
                    'spot. Write route = "straight" if it goes straight.'
                ),
            )
        inside = (line.station_m > first.station_m + SAME_SPOT_M) & (
            line.station_m < last.station_m - SAME_SPOT_M
        )
        pieces = [line.points_m[inside]]
        corners = [line.corner[inside]]
        for foot, point, at_start in ((first, ends[order[0]], True), (last, ends[order[1]], False)):
            near, flags = self._end_piece(point, foot.point_m, foot.gap_m)
            pieces.insert(0 if at_start else len(pieces), near if at_start else near[::-1])
            corners.insert(0 if at_start else len(corners), flags if at_start else flags[::-1])
        points = np.concatenate(pieces)
        whole = Line(points_m=points, station_m=distances(points), corner=np.concatenate(corners))
        both = (end, start) if turned else (start, end)
        path = _path(course, route.name, whole, both, turned=turned)
        return replace(path, joins=tuple(joins))

    def _end_piece(
        self, point: FloatArray, foot: FloatArray, gap_m: float
    ) -> tuple[FloatArray, NDArray[np.bool_]]:
        """Return the stations from an end up to the route, the end first."""
        if gap_m < SAME_SPOT_M:
            return point[None, :], np.ones(1, dtype=np.bool_)
        leg = cut_line([point, foot], step_m=self._step_m)
        return leg.points_m, leg.corner

    def _settle(
        self, route: MapRoute, index: tuple[int, int], ends: tuple[FloatArray, FloatArray]
    ) -> None:
        for place, point in zip(index, ends, strict=True):
            if not self._places.placed(place):
                self._places.points_m[place] = point
                self.placed_by_route.append((self._places.names[place], route.name))

    def _positions(self, line: Line, start: int, end: int) -> tuple[FloatArray, FloatArray]:
        """Return the two ends; one that has no position takes the end of the route."""
        first, last = line.points_m[0], line.points_m[-1]
        at = [self._places.points_m[n] if self._places.placed(n) else None for n in (start, end)]
        if at[0] is None and at[1] is None:
            return first, last
        if at[0] is not None and at[1] is not None:
            return at[0], at[1]
        known = at[0] if at[0] is not None else at[1]
        assert known is not None
        nearer_first = np.hypot(*(known - first)) <= np.hypot(*(known - last))
        other = last if nearer_first else first
        return (other, known) if at[0] is None else (known, other)

    def _line(self, route: MapRoute) -> Line:
        if route.name not in self._lines:
            self._lines[route.name] = cut_line(route.corners_m, step_m=self._step_m)
        return self._lines[route.name]

    def _between(self, book: BookRoute, start: int, end: int) -> bool:
        """Say whether the book has points of a route other than the two ends."""
        found = {self._places.find(point) for point in book.points}
        return bool(found - {start, end, None})

    def _by_rod(self, course: Course, book: BookRoute, start: int, end: int) -> Path:
        rows = [self._row(course, book, point) for point in book.points]
        station = self._rod_stations(course, book, rows)
        order = np.argsort(station, kind="stable")
        station, rows = station[order], [rows[n] for n in order]
        twice = np.flatnonzero(np.diff(station) <= 0)
        if len(twice):
            names = [self._places.names[rows[n]] for n in (twice[0], twice[0] + 1)]
            raise InputError(
                f'Route "{book.name}" of the level book has two points at one station.',
                Trouble(what=f"{names[0]} and {names[1]} both stand at {station[twice[0]]:g} m."),
            )
        first, last = _row_of(rows, start), _row_of(rows, end)
        first, last = _ends_of(first, last, len(rows))
        if first == last:
            raise GroundError(
                f'Pipe "{course.name}" takes no stretch of route "{book.name}".',
                Trouble(what="Its two ends come to one and the same row of the level book."),
            )
        turned = first > last
        low, high = min(first, last), max(first, last)
        place = np.array(rows[low : high + 1], dtype=np.intp)
        place[0], place[-1] = (end, start) if turned else (start, end)
        return Path(
            course=course,
            route=book.name,
            points_m=self._places.points_m[place],
            station_m=station[low : high + 1] - station[low],
            corner=np.ones(len(place), dtype=np.bool_),
            place=place,
            rod=True,
            turned=turned,
        )

    def _row(self, course: Course, book: BookRoute, point: str) -> int:
        index = self._places.find(point)
        if index is None:
            raise InputError(
                f'Route "{book.name}" of pipe "{course.name}" names {point!r}, which has no height.'
            )
        return index

    def _rod_stations(self, course: Course, book: BookRoute, rows: Sequence[int]) -> FloatArray:
        if None not in book.station_m:
            return np.array(book.station_m, dtype=np.float64)
        points = self._places.points_m[list(rows)]
        if np.isfinite(points).all():
            return distances(points)
        missing = [
            name for name, station in zip(book.points, book.station_m, strict=True)
            if station is None
        ]  # fmt: skip
        raise GroundError(
            f'Route "{book.name}" of pipe "{course.name}" has points without a station.',
            Trouble(
                what=f"{', '.join(missing)}: how far along it is not known. Tape it and write the "
                "station (level distance from the beginning) in its row."
            ),
        )


def _row_of(rows: Sequence[int], place: int) -> int | None:
    return list(rows).index(place) if place in rows else None


def _ends_of(first: int | None, last: int | None, count: int) -> tuple[int, int]:
    """Return the rows of the two ends; one without a row stands at the first or the last."""
    if first is None and last is None:
        return 0, count - 1
    if first is None:
        return (count - 1 if last == 0 else 0), last if last is not None else 0
    if last is None:
        return first, (0 if first == count - 1 else count - 1)
    return first, last


def _path(course: Course, route: str, line: Line, ends: tuple[int, int], *, turned: bool) -> Path:
    place = np.full(len(line.station_m), -1, dtype=np.intp)
    place[[0, -1]] = ends
    return Path(
        course=course,
        route=route,
        points_m=line.points_m,
        station_m=line.station_m,
        corner=line.corner,
        place=place,
        rod=False,
        turned=turned,
    )
