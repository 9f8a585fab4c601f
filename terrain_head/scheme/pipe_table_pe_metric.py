"""Metric polyethylene pipe, PE100 and PE80, by outside diameter and diameter ratio."""

from __future__ import annotations

import math

from terrain_head.base.citation import Citation, Source
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.pipe_rating import (
    BAR_CLASSES_PA,
    ISO_DESIGN_STRESS,
    ISO_DESIGN_STRESS_PA,
    pressure_class_pa,
    rating_by_outside_pa,
)
from terrain_head.formulas.pipe_warmth import PE100_DERATING, PE_DERATING
from terrain_head.scheme.pipe_materials import MATERIALS
from terrain_head.scheme.pipe_size import PipeSize

ISO_4427 = Source(
    key="iso-4427-2",
    author="ISO",
    title="Polyethylene pipes for water supply, 4427-2",
    year="2007",
    obtained="read in a copy",
)

_OUTSIDES_MM = (20, 25, 32, 40, 50, 63, 75, 90, 110)
# Millimetres: least wall by outside.
_WALLS = {
    11.0: {
        20: 2.0, 25: 2.3, 32: 3.0, 40: 3.7, 50: 4.6, 63: 5.8, 75: 6.8, 90: 8.2, 110: 10.0,
    },
    17.0: {32: 2.0, 40: 2.4, 50: 3.0, 63: 3.8, 75: 4.5, 90: 5.4, 110: 6.6},
}  # fmt: skip
_LEAST_WALL_MM = 2.0
RATIOS = {"PE100": (7.4, 9.0, 11.0, 13.6, 17.0, 21.0, 26.0), "PE80": (11.0, 13.6, 17.0)}
"""Which ratios the table holds; the walls of 11 and 17 were read, the others follow."""


def computed_wall_mm(outside_mm: float, ratio: float) -> float:
    """Return the wall that a diameter ratio asks for, rounded up to a tenth.

    Parameters
    ----------
    outside_mm
        Outside diameter in millimetres [mm].
    ratio
        Outside diameter by wall [1].

    Notes
    -----
    Leaves the walls that were read by 0.1 mm at the most.

    Examples
    --------
    >>> computed_wall_mm(32, 11.0), computed_wall_mm(110, 11.0)
    (3.0, 10.0)
    """
    return math.ceil(round(10 * outside_mm / ratio, 6)) / 10


def _walls(ratio: float) -> dict[int, float]:
    """Return the least wall by outside, both in millimetres, of sizes that are thick enough."""
    if ratio in _WALLS:
        return _WALLS[ratio]
    walls = {outside: computed_wall_mm(outside, ratio) for outside in _OUTSIDES_MM}
    return {outside: wall for outside, wall in walls.items() if wall >= _LEAST_WALL_MM}


def _size_citation(outside_mm: int, ratio: float) -> Citation:
    where = f"{outside_mm:g} mm, SDR {ratio:g}"
    if ratio in _WALLS:
        return ISO_4427.at(where)
    return ISO_4427.at(f"{where}: outside by ratio, rounded up to 0.1 mm", obtained="computed")


def _metric(name: str, outside_mm: int, *, wall_mm: float, ratio: float) -> PipeSize:
    bears = rating_by_outside_pa(ratio, design_stress_pa=ISO_DESIGN_STRESS_PA[name])
    rating = float(pressure_class_pa(bears, classes_pa=BAR_CLASSES_PA))
    printed = ISO_4427.at(f"PE100, SDR {ratio:g}: PN {from_si(rating, 'bar'):g}")
    return PipeSize(
        standard="ISO 4427",
        material=MATERIALS["PE"],
        name=name,
        size=f"{outside_mm:g} mm",
        nominal_m=to_si(outside_mm, "mm"),
        grade=f"SDR {ratio:g}",
        outside_m=to_si(outside_mm, "mm"),
        wall_m=to_si(wall_mm, "mm"),
        inside_m=to_si(outside_mm - 2 * wall_mm, "mm"),
        inside_basis="minimum wall",
        rating_pa=rating,
        citation=_size_citation(outside_mm, ratio),
        rating_citation=printed if name == "PE100" else ISO_DESIGN_STRESS[name],
        derating=PE100_DERATING if name == "PE100" else PE_DERATING,
    )


def _all_of(name: str) -> tuple[PipeSize, ...]:
    return tuple(
        _metric(name, outside, wall_mm=wall, ratio=ratio)
        for ratio in RATIOS[name]
        for outside, wall in _walls(ratio).items()
    )


PE100: tuple[PipeSize, ...] = _all_of("PE100")
PE80: tuple[PipeSize, ...] = _all_of("PE80")
