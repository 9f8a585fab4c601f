"""One pipe as a table for a spreadsheet: ground, pipe, water, station by station."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle_of
from terrain_head.base.units import from_si
from terrain_head.formulas.hydrostatics import pressure_from_head_pa
from terrain_head.formulas.water import density_kg_m3
from terrain_head.ground.ground import Origin

FloatArray = NDArray[np.float64]

_UNITS = {"metric": ("m", "bar"), "us": ("ft", "psi")}


def pipe_csv(answer: Answer, pipe_name: str) -> str:
    """Return a table along one pipe as CSV text, in the units in which the study is shown.

    Parameters
    ----------
    answer
        One choice of one study.
    pipe_name
        Name of the pipe.

    Returns
    -------
    str
        A heading with the unit of each column in brackets, then one row a station; a cell is
        empty where its figure is not known. "give or take" holds nine cases in ten.

    Raises
    ------
    KeyError
        If the study has no such pipe.
    """
    pipe = answer.layout.pipes[pipe_name]
    result = answer.solution.pipes.get(pipe_name)
    running = None if result is None else result.running
    ground = pipe.profile
    count = ground.station_m.size
    length, pressure = _UNITS[answer.units.name]
    unknown = np.full(count, np.nan)
    static = middle_of(result.static_m) if result else None
    pressure_pa = unknown if running is None else _pressure_of(running.pressure_head_m, answer)
    columns: list[tuple[str, Sequence[str]]] = [
        (f"station [{length}]", _cells(ground.station_m, length)),
        (f"along the pipe [{length}]", _cells(pipe.along_m, length)),
        (f"ground [{length}]", _cells(ground.elevation_m, length)),
        (
            f"give or take [{length}]",
            _cells(answer.half_range_m(ground.std_m, origin=ground.origin), length),
        ),
        ("origin", [Origin(int(code)).word for code in ground.origin]),
        (f"pipe [{length}]", _cells(pipe.pipe_m, length)),
        (f"static level [{length}]", _cells(unknown if static is None else static, length, count)),
        (f"total head [{length}]", _cells(running.total_head_m if running else unknown, length)),
        (
            f"hydraulic grade line [{length}]",
            _cells(running.grade_m if running else unknown, length),
        ),
        (f"pressure [{pressure}]", _cells(pressure_pa, pressure)),
    ]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([heading for heading, _ in columns])
    writer.writerows(zip(*(cells for _, cells in columns), strict=True))
    return text.getvalue()


def _pressure_of(head_m: ArrayLike, answer: Answer) -> FloatArray:
    density = float(density_kg_m3(answer.layout.parts.water_temperature_c))
    return pressure_from_head_pa(head_m, density_kg_m3=density)


def _cells(values_si: ArrayLike, unit: str, count: int | None = None) -> list[str]:
    """Return numbers as text in a unit, millimetres or a thousandth; empty for nan."""
    array = np.asarray(values_si, dtype=float)
    if array.ndim > 1:
        array = np.median(array, axis=0)
    if count is not None:
        array = np.broadcast_to(array, (count,))
    return [f"{from_si(float(x), unit):.3f}" if np.isfinite(x) else "" for x in array]
