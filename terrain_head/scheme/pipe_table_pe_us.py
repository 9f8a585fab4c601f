"""American polyethylene pipe: by its inside, by copper tube size, and by iron pipe size.

What it bears hangs on the material code of its print, PE4710 or PE3608: no row has a rating.
"""

from __future__ import annotations

from terrain_head.base.citation import Citation, Source
from terrain_head.base.units import to_si
from terrain_head.formulas.pipe_warmth import PE_DERATING
from terrain_head.scheme.pipe_materials import MATERIALS
from terrain_head.scheme.pipe_size import PRINTED_CODES, PipeSize

ASTM_D2239 = Source(
    key="astm-d2239",
    author="ASTM",
    title="PE plastic pipe (SIDR-PR) based on controlled inside diameter, D2239",
    year="2012",
    obtained="from memory",
)
ASTM_D2737 = Source(
    key="astm-d2737",
    author="ASTM",
    title="PE plastic tubing, copper tube sizes, D2737",
    year="no year",
    obtained="read in a copy",
)
ASTM_D3035 = Source(
    key="astm-d3035",
    author="ASTM",
    title="PE plastic pipe (DR-PR) based on controlled outside diameter, D3035",
    year="no year",
    obtained="read in a copy",
)
ASTM_F2619 = Source(
    key="astm-f2619",
    author="ASTM",
    title="High-density polyethylene line pipe, F2619",
    year="2020",
    obtained="read in a copy",
)

SIDR_RATIOS = (7.0, 9.0, 11.5, 15.0, 19.0)
# Inches: nominal, inside. The insides agree with a reprinted table of losses to 1 %.
_INSIDES = {
    "1/2": (0.5, 0.622), "3/4": (0.75, 0.824), "1": (1.0, 1.049), "1-1/4": (1.25, 1.380),
    "1-1/2": (1.5, 1.610), "2": (2.0, 2.067),
}  # fmt: skip
_LEAST_WALL = 0.060
# Inches: nominal, outside.
_COPPER_SIZES = {
    "3/4": (0.75, 0.875), "1": (1.0, 1.125), "1-1/4": (1.25, 1.375), "1-1/2": (1.5, 1.625),
    "2": (2.0, 2.125),
}  # fmt: skip
_IRON_SIZES = {
    "1/2": (0.5, 0.840), "3/4": (0.75, 1.050), "1": (1.0, 1.315), "1-1/4": (1.25, 1.660),
    "1-1/2": (1.5, 1.900), "2": (2.0, 2.375), "3": (3.0, 3.500), "4": (4.0, 4.500),
}  # fmt: skip
# Inches: least wall. DR 9 and DR 11 stand in copies of both standards and are the same there.
_IRON_WALLS = {
    7.0: {
        "1/2": 0.120, "3/4": 0.150, "1": 0.188, "1-1/4": 0.237, "1-1/2": 0.271, "2": 0.339,
        "3": 0.500, "4": 0.643,
    },
    9.0: {
        "1/2": 0.093, "3/4": 0.117, "1": 0.146, "1-1/4": 0.184, "1-1/2": 0.211, "2": 0.264,
        "3": 0.389, "4": 0.500,
    },
    11.0: {
        "1/2": 0.076, "3/4": 0.095, "1": 0.120, "1-1/4": 0.151, "1-1/2": 0.173, "2": 0.216,
        "3": 0.318, "4": 0.409,
    },
    13.5: {
        "1/2": 0.062, "3/4": 0.078, "1": 0.097, "1-1/4": 0.123, "1-1/2": 0.141, "2": 0.176,
        "3": 0.259, "4": 0.333,
    },
    17.0: {"2": 0.140, "3": 0.206, "4": 0.265},
}  # fmt: skip


def _by_inside(size: str, *, ratio: float) -> PipeSize:
    inches, inside = _INSIDES[size]
    wall = max(inside / ratio, _LEAST_WALL)
    return PipeSize(
        standard="ASTM D2239",
        material=MATERIALS["PE"],
        name="PE",
        size=f"{size} in",
        nominal_m=to_si(inches, "in"),
        grade=f"SIDR {ratio:g}",
        outside_m=to_si(inside + 2 * wall, "in"),
        wall_m=to_si(wall, "in"),
        inside_m=to_si(inside, "in"),
        inside_basis="nominal",
        citation=ASTM_D2239.at(f"{size} in, SIDR {ratio:g}"),
        codes=PRINTED_CODES,
        derating=PE_DERATING,
    )


def _by_outside(
    size: str, *, outside: float, wall: float, standard: str, grade: str, citation: Citation
) -> PipeSize:
    return PipeSize(
        standard=standard,
        material=MATERIALS["PE"],
        name="PE",
        size=f"{size} in",
        nominal_m=to_si(_IRON_SIZES[size][0], "in"),
        grade=grade,
        outside_m=to_si(outside, "in"),
        wall_m=to_si(wall, "in"),
        inside_m=to_si(outside - 2 * wall, "in"),
        inside_basis="minimum wall",
        citation=citation,
        codes=PRINTED_CODES,
        derating=PE_DERATING,
    )


def _iron_citation(size: str, ratio: float) -> Citation:
    if ratio in {9.0, 11.0}:
        return ASTM_D3035.at(f"{size} in, DR {ratio:g}")
    return ASTM_F2619.at(f"{size} in, DR {ratio:g}: the outside and wall of D3035")


PE_CONTROLLED: tuple[PipeSize, ...] = tuple(
    _by_inside(size, ratio=ratio) for ratio in SIDR_RATIOS for size in _INSIDES
)
PE_COPPER_SIZES: tuple[PipeSize, ...] = tuple(
    _by_outside(
        size,
        outside=outside,
        wall=outside / 9,
        standard="ASTM D2737",
        grade="SDR 9",
        citation=ASTM_D2737.at(f"{size} in, SDR 9: outside; its ninth part is the wall"),
    )
    for size, (_, outside) in _COPPER_SIZES.items()
)
PE_IRON_SIZES: tuple[PipeSize, ...] = tuple(
    _by_outside(
        size,
        outside=_IRON_SIZES[size][1],
        wall=wall,
        standard="ASTM D3035",
        grade=f"DR {ratio:g}",
        citation=_iron_citation(size, ratio),
    )
    for ratio, walls in _IRON_WALLS.items()
    for size, wall in walls.items()
)
