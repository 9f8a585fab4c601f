"""Steel pipe: American by schedule, European by series. What it bears, its print must say."""

from __future__ import annotations

from terrain_head.base.citation import Source
from terrain_head.base.units import to_si
from terrain_head.scheme.pipe_materials import MATERIALS
from terrain_head.scheme.pipe_size import PipeSize

ASME_B36_10 = Source(
    key="asme-b36-10",
    author="ASME",
    title="Welded and seamless wrought steel pipe, B36.10M",
    year="2004",
    obtained="read in a copy",
)
EN_10255 = Source(
    key="en-10255",
    author="European Committee for Standardization",
    title="Non-alloy steel tubes suitable for welding and threading, EN 10255 (before: BS 1387)",
    year="no year",
    obtained="read in a copy",
)

# Nominal inches, the same as a number, the metric name of the size (from memory).
_NAMES = {
    "1/2": (0.5, 15), "3/4": (0.75, 20), "1": (1.0, 25), "1-1/4": (1.25, 32), "1-1/2": (1.5, 40),
    "2": (2.0, 50), "2-1/2": (2.5, 65), "3": (3.0, 80), "4": (4.0, 100),
}  # fmt: skip
# Inches: outside, wall of schedule 40, of schedule 80. Pipe to ASTM A53 has these sizes.
_SCHEDULES = {
    "1/2": (0.840, 0.109, 0.147), "3/4": (1.050, 0.113, 0.154), "1": (1.315, 0.133, 0.179),
    "1-1/4": (1.660, 0.140, 0.191), "1-1/2": (1.900, 0.145, 0.200), "2": (2.375, 0.154, 0.218),
    "2-1/2": (2.875, 0.203, 0.276), "3": (3.500, 0.216, 0.300), "4": (4.500, 0.237, 0.337),
}  # fmt: skip
# Millimetres: greatest outside, wall of the medium series, of the heavy one.
_SERIES = {
    15: (21.7, 2.6, 3.2), 20: (27.2, 2.6, 3.2), 25: (34.2, 3.2, 4.0), 32: (42.9, 3.2, 4.0),
    40: (48.8, 3.2, 4.0), 50: (60.8, 3.6, 4.5), 65: (76.6, 3.6, 4.5), 80: (89.5, 4.0, 5.0),
    100: (114.9, 4.5, 5.4),
}  # fmt: skip


def _scheduled(size: str, *, outside: float, wall: float, schedule: int) -> PipeSize:
    inches, metric = _NAMES[size]
    return PipeSize(
        standard="ASME B36.10",
        material=MATERIALS["steel"],
        name="steel",
        size=f"{size} in",
        nominal_m=to_si(inches, "in"),
        other_sizes_m=(to_si(metric, "mm"),),
        grade=f"Sch {schedule}",
        outside_m=to_si(outside, "in"),
        wall_m=to_si(wall, "in"),
        inside_m=to_si(outside - 2 * wall, "in"),
        inside_basis="nominal",
        citation=ASME_B36_10.at(f"NPS {size}, schedule {schedule}"),
    )


def _threaded(metric: int, *, outside: float, wall: float, series: str) -> PipeSize:
    inches = next(number for number, name in _NAMES.values() if name == metric)
    return PipeSize(
        standard="EN 10255",
        material=MATERIALS["steel"],
        name="steel",
        size=f"DN {metric}",
        nominal_m=to_si(metric, "mm"),
        other_sizes_m=(to_si(inches, "in"),),
        grade=series,
        outside_m=to_si(outside, "mm"),
        wall_m=to_si(wall, "mm"),
        inside_m=to_si(outside - 2 * wall, "mm"),
        inside_basis="nominal",
        citation=EN_10255.at(f"DN {metric}, {series}: greatest outside, nominal wall"),
    )


STEEL: tuple[PipeSize, ...] = (
    *(
        _scheduled(size, outside=outside, wall=wall, schedule=40)
        for size, (outside, wall, _) in _SCHEDULES.items()
    ),
    *(
        _scheduled(size, outside=outside, wall=wall, schedule=80)
        for size, (outside, _, wall) in _SCHEDULES.items()
    ),
)
STEEL_THREADED: tuple[PipeSize, ...] = (
    *(
        _threaded(metric, outside=outside, wall=wall, series="medium")
        for metric, (outside, wall, _) in _SERIES.items()
    ),
    *(
        _threaded(metric, outside=outside, wall=wall, series="heavy")
        for metric, (outside, _, wall) in _SERIES.items()
    ),
)
