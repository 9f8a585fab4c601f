"""A level book as it was kept: set-ups and readings in order, no arithmetic done."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRoute:
    """A route of the level book: its points with their stations, in order.

    Parameters
    ----------
    points
        Names of the points.
    station_m
        Level distance from the route's beginning, None where none was written [m].
    """

    name: str
    points: tuple[str, ...]
    station_m: tuple[float | None, ...]
