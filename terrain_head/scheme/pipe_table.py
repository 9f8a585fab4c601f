"""The pipes that are known by their standard: what they measure, and what they bear.

Where a standard fixes the outside, the inside depends on the wall that is really there; each row
says whether its inside diameter is the average, the one left by the least wall, or nominal. Rows
were read in copies of the standards, which each row's citation says; what could not be read is
left out. Not a row is looked up by a material's name in any library.
"""

from __future__ import annotations

from terrain_head.formulas.pipe_rating import MACHINERYS_HANDBOOK
from terrain_head.scheme.pipe_materials import MATERIALS, Material, find_material
from terrain_head.scheme.pipe_size import PRINTED_CODES, Basis, PipeSize
from terrain_head.scheme.pipe_table_pe_metric import PE80, PE100
from terrain_head.scheme.pipe_table_pe_us import (
    PE_CONTROLLED,
    PE_COPPER_SIZES,
    PE_IRON_SIZES,
    SIDR_RATIOS,
)
from terrain_head.scheme.pipe_table_pvc import PVC, PVC_BY_RATIO
from terrain_head.scheme.pipe_table_steel import STEEL, STEEL_THREADED

__all__ = [
    "MACHINERYS_HANDBOOK",
    "MATERIALS",
    "PE80",
    "PE100",
    "PE_CONTROLLED",
    "PE_COPPER_SIZES",
    "PE_IRON_SIZES",
    "PIPE_TABLE",
    "PRINTED_CODES",
    "PVC",
    "PVC_BY_RATIO",
    "SIDR_RATIOS",
    "STEEL",
    "STEEL_THREADED",
    "Basis",
    "Material",
    "PipeSize",
    "find_material",
]

PIPE_TABLE: tuple[PipeSize, ...] = (
    *STEEL,
    *STEEL_THREADED,
    *PVC,
    *PVC_BY_RATIO,
    *PE100,
    *PE80,
    *PE_CONTROLLED,
    *PE_IRON_SIZES,
    *PE_COPPER_SIZES,
)
"""Every row, those of one standard and grade beside each other."""
