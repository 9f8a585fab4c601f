"""Stations as surveyors write them: ``125``, ``1+25``, ``0+125``."""

from __future__ import annotations

import re

from terrain_head.base.units import to_si
from terrain_head.files.readings import FigureError, read_figure

_PLUS = re.compile(r"^(?P<full>\d+)\+(?P<rest>\d+)(?:[.](?P<part>\d+))?$")
_FULL_STATION = {2: 100.0, 3: 1000.0}


def read_station(text: str, unit: str, *, comma: str = "") -> float:
    """Return the distance that a station mark states [m].

    Two figures after the plus mean full stations of 100, three mean full stations of 1000, in the
    unit of the column.

    Raises
    ------
    FigureError
        If the cell is neither a number nor a station mark.

    Examples
    --------
    >>> read_station("1+25", "m"), read_station("0+125", "m"), read_station("125", "m")
    (125.0, 125.0, 125.0)
    """
    cell = text.strip().replace(" ", "")
    if comma == ",":
        cell = cell.replace(",", ".")
    if "+" not in cell:
        return read_figure(text, unit, comma=comma, plain_feet="decimal").value_m
    match = _PLUS.match(cell)
    size = None if match is None else _FULL_STATION.get(len(match["rest"]))
    if match is None or size is None:
        raise FigureError(
            f'is "{text}". Write two figures after the plus for stations of 100 (1+25), three '
            "for stations of 1000 (0+125), or the plain distance (125)."
        )
    distance = float(match["full"]) * size + float(f"{match['rest']}.{match['part'] or 0}")
    return to_si(distance, "ft" if unit == "ft-in" else unit)
