"""American PVC pipe: by schedule, and by diameter ratio with one rating for all sizes."""

from __future__ import annotations

from terrain_head.base.citation import Source
from terrain_head.base.units import to_si
from terrain_head.formulas.pipe_rating import (
    MACHINERYS_HANDBOOK,
    PSI_CLASSES_PA,
    PVC_DESIGN_STRESS_PA,
    pressure_class_pa,
    rating_by_outside_pa,
)
from terrain_head.formulas.pipe_warmth import PVC_DERATING
from terrain_head.scheme.pipe_materials import MATERIALS
from terrain_head.scheme.pipe_size import PipeSize

ASTM_D1785 = Source(
    key="astm-d1785",
    author="ASTM",
    title="PVC plastic pipe, schedules 40, 80, and 120, D1785",
    year="2015",
    obtained="read in a copy",
)
ASTM_D2241 = Source(
    key="astm-d2241",
    author="ASTM",
    title="PVC pressure-rated pipe (SDR series), D2241",
    year="no year",
    obtained="read in a copy",
)

# Inches: nominal, outside.
_OUTSIDES = {
    "1/2": (0.5, 0.840), "3/4": (0.75, 1.050), "1": (1.0, 1.315), "1-1/4": (1.25, 1.660),
    "1-1/2": (1.5, 1.900), "2": (2.0, 2.375), "2-1/2": (2.5, 2.875), "3": (3.0, 3.500),
    "4": (4.0, 4.500),
}  # fmt: skip
# Inches and psi: least wall, average inside, rating for a design stress of 2000 psi.
_SCHEDULES = {
    40: {
        "1/2": (0.109, 0.608, 600), "3/4": (0.113, 0.810, 480), "1": (0.133, 1.033, 450),
        "1-1/4": (0.140, 1.364, 370), "1-1/2": (0.145, 1.592, 330), "2": (0.154, 2.049, 280),
        "3": (0.216, 3.042, 260), "4": (0.237, 3.998, 220),
    },
    80: {
        "1/2": (0.147, 0.528, 850), "3/4": (0.154, 0.724, 690), "1": (0.179, 0.935, 630),
        "1-1/4": (0.191, 1.256, 520), "1-1/2": (0.200, 1.476, 470), "2": (0.218, 1.913, 400),
        "3": (0.300, 2.864, 370), "4": (0.337, 3.786, 320),
    },
}  # fmt: skip
# Inches: least wall. Small sizes are thicker than their ratio asks, never under 0.060.
_RATIOS = {
    13.5: {
        "1/2": 0.062, "3/4": 0.078, "1": 0.097, "1-1/4": 0.123, "1-1/2": 0.141, "2": 0.176,
        "2-1/2": 0.213, "3": 0.259, "4": 0.333,
    },
    17.0: {
        "3/4": 0.062, "1": 0.077, "1-1/4": 0.098, "1-1/2": 0.112, "2": 0.140, "2-1/2": 0.169,
        "3": 0.206, "4": 0.265,
    },
    21.0: {
        "3/4": 0.060, "1": 0.063, "1-1/4": 0.079, "1-1/2": 0.090, "2": 0.113, "2-1/2": 0.137,
        "3": 0.167, "4": 0.214,
    },
    26.0: {
        "1": 0.060, "1-1/4": 0.064, "1-1/2": 0.073, "2": 0.091, "2-1/2": 0.110, "3": 0.135,
        "4": 0.173,
    },
    32.5: {
        "1-1/4": 0.060, "1-1/2": 0.060, "2": 0.073, "2-1/2": 0.088, "3": 0.108, "4": 0.138,
    },
    41.0: {"3": 0.085, "4": 0.110},
}  # fmt: skip


def _scheduled(size: str, *, schedule: int, wall: float, average: float, rating: float) -> PipeSize:
    inches, outside = _OUTSIDES[size]
    return PipeSize(
        standard="ASTM D1785",
        material=MATERIALS["PVC"],
        name="PVC",
        size=f"{size} in",
        nominal_m=to_si(inches, "in"),
        grade=f"Sch {schedule}",
        outside_m=to_si(outside, "in"),
        wall_m=to_si(wall, "in"),
        inside_m=to_si(average, "in"),
        inside_basis="average",
        rating_pa=to_si(rating, "psi"),
        citation=ASTM_D1785.at(f"NPS {size}, schedule {schedule}, average inside diameter"),
        rating_citation=MACHINERYS_HANDBOOK.at("p. 2770, table 13"),
        derating=PVC_DERATING,
    )


def _by_ratio(size: str, *, ratio: float, wall: float) -> PipeSize:
    inches, outside = _OUTSIDES[size]
    bears = rating_by_outside_pa(ratio, design_stress_pa=PVC_DESIGN_STRESS_PA)
    return PipeSize(
        standard="ASTM D2241",
        material=MATERIALS["PVC"],
        name="PVC",
        size=f"{size} in",
        nominal_m=to_si(inches, "in"),
        grade=f"SDR {ratio:g}",
        outside_m=to_si(outside, "in"),
        wall_m=to_si(wall, "in"),
        inside_m=to_si(outside - 2 * wall, "in"),
        inside_basis="minimum wall",
        rating_pa=float(pressure_class_pa(bears, classes_pa=PSI_CLASSES_PA)),
        citation=ASTM_D2241.at(f"NPS {size}, SDR {ratio:g}, least wall"),
        rating_citation=MACHINERYS_HANDBOOK.at(
            f"p. 2770, design stress of table 13 by SDR {ratio:g}", obtained="computed"
        ),
        derating=PVC_DERATING,
    )


PVC: tuple[PipeSize, ...] = tuple(
    _scheduled(size, schedule=schedule, wall=wall, average=average, rating=rating)
    for schedule, sizes in _SCHEDULES.items()
    for size, (wall, average, rating) in sizes.items()
)
PVC_BY_RATIO: tuple[PipeSize, ...] = tuple(
    _by_ratio(size, ratio=ratio, wall=wall)
    for ratio, sizes in _RATIOS.items()
    for size, wall in sizes.items()
)
