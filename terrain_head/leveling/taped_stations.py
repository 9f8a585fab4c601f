"""Stations taped along the ground become level distances, by the heights of their points."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.errors import ReductionError, Trouble
from terrain_head.formulas.distances import level_distance_m
from terrain_head.leveling.book import BookFact, BookRoute


def level_route(
    route: BookRoute, elevation_m: Mapping[str, float]
) -> tuple[BookRoute, tuple[BookFact, ...]]:
    """Return a route with level stations, and what must be told about it.

    Parameters
    ----------
    route
        A route of the book.
    elevation_m
        Elevations of the book's points [m].

    Returns
    -------
    route
        The route; taped distances are reduced leg by leg, stations written level are kept.
    facts
        Points without an elevation: their legs are taken as level.

    Raises
    ------
    ReductionError
        If a leg rises more than it is long.

    Notes
    -----
    level = sqrt(taped squared - rise squared) for each straight leg.

    Examples
    --------
    >>> taped = BookRoute(
    ...     name="drive", points=("spring", "ram"),
    ...     station_m=(None, None), slope_station_m=(0.0, 100.0),
    ... )
    >>> level, told = level_route(taped, {"spring": 105.0, "ram": 100.0})
    >>> round(level.station_m[1], 5)
    99.87492
    """
    if not any(mark is not None for mark in route.slope_station_m):
        return route, ()
    stations: list[float | None] = []
    facts: list[BookFact] = []
    before: tuple[str, float, float] | None = None
    for point, level, taped in zip(
        route.points, route.station_m, route.slope_station_m, strict=True
    ):
        station = level
        if taped is not None:
            if station is None:
                station = taped
                if before is not None:
                    last, last_taped, last_station = before
                    leg = taped - last_taped
                    if point not in elevation_m or last not in elevation_m:
                        facts.append(BookFact(kind="leg-taken-level", point=point))
                        rise = 0.0
                    else:
                        rise = elevation_m[point] - elevation_m[last]
                    if abs(rise) > leg:
                        raise _too_steep(route.name, last, point, leg=leg, rise=rise)
                    station = last_station + float(level_distance_m(leg, rise_m=rise))
            before = (point, taped, station)
        stations.append(station)
    return (
        BookRoute(
            name=route.name,
            points=route.points,
            station_m=tuple(stations),
            slope_station_m=route.slope_station_m,
        ),
        tuple(facts),
    )


def _too_steep(name: str, start: str, end: str, *, leg: float, rise: float) -> ReductionError:
    return ReductionError(
        f"Route {name} can't be laid out from {start} to {end}.",
        Trouble(
            what=f"They are {leg:.2f} m apart along the tape, but {abs(rise):.2f} m apart in "
            "height. Look at the two slope stations, their unit, and the readings on both.",
        ),
    )
