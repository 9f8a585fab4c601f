"""Routes of a level book: which points lie on them, and at which station."""

from __future__ import annotations

from terrain_head.files.level_book_cells import Cells
from terrain_head.files.level_book_table import TableRow
from terrain_head.leveling.book import BookRoute

_Station = tuple[float | None, float | None]


class Routes:
    """Gathers the rows that name a route, over all books of a site."""

    def __init__(self) -> None:
        self._routes: dict[str, dict[str, _Station]] = {}

    def read(self, cells: Cells) -> None:
        """Take in the rows of one book; what is wrong is noted with its cells."""
        for row in cells.table.rows:
            station = cells.station(row, "station")
            slope = cells.station(row, "slope_station")
            if "route" in row and "point" in row:
                self._put(cells, row, station, slope)
            elif "station" in row or "slope_station" in row:
                cells.trouble(
                    row, "A station stands here without a route. Write the name of its route."
                )

    def _put(self, cells: Cells, row: TableRow, station: float | None, slope: float | None) -> None:
        name, point = row.get("route"), row.get("point")
        points = self._routes.setdefault(name, {})
        before = points.get(point, (None, None))
        for old, new in zip(before, (station, slope), strict=True):
            if old is not None and new is not None and old != new:
                cells.trouble(
                    row,
                    f"{point} has a second station on route {name}, {abs(new - old):.2f} m from "
                    "the first. One point has one station on a route.",
                )
        points[point] = (
            station if before[0] is None else before[0],
            slope if before[1] is None else before[1],
        )

    def all(self) -> tuple[BookRoute, ...]:
        """Return the routes; where every point has a station they are in its order."""
        return tuple(_route(name, points) for name, points in self._routes.items())


def _route(name: str, points: dict[str, _Station]) -> BookRoute:
    order = list(points)
    for column in (0, 1):
        marks = {point: station[column] for point, station in points.items()}
        values = [mark for mark in marks.values() if mark is not None]
        if len(values) == len(order):
            order.sort(key=lambda point: marks[point] or 0.0)
            break
    taped = any(station[1] is not None for station in points.values())
    return BookRoute(
        name=name,
        points=tuple(order),
        station_m=tuple(points[point][0] for point in order),
        slope_station_m=tuple(points[point][1] for point in order) if taped else (),
    )
