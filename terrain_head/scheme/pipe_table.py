"""The pipes that are known by their standard: what they measure, and what they bear.

Where a standard fixes the outside, the inside depends on the wall that is really there; each row
says whether its inside diameter is the average, the one left by the least wall, or nominal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from terrain_head.base.citation import Citation, Source
from terrain_head.base.measured import Measured
from terrain_head.base.units import to_si
from terrain_head.scheme.parts import PipeSpec

Basis = Literal["average", "minimum wall", "nominal", "stated"]

ASME_B36_10 = Source(
    key="asme-b36-10",
    author="ASME",
    title="Welded and seamless wrought steel pipe, B36.10M",
    year="2004",
    obtained="read in a copy",
)
ASTM_D1785 = Source(
    key="astm-d1785",
    author="ASTM",
    title="PVC plastic pipe, schedules 40, 80, and 120, D1785",
    year="2015",
    obtained="read in a copy",
)
ISO_4427 = Source(
    key="iso-4427-2",
    author="ISO",
    title="Polyethylene pipes for water supply, 4427-2",
    year="2007",
    obtained="read in a copy",
)
ASTM_D2239 = Source(
    key="astm-d2239",
    author="ASTM",
    title="PE plastic pipe (SIDR-PR) based on controlled inside diameter, D2239",
    year="2012",
    obtained="from memory",
)
MACHINERYS_HANDBOOK = Source(
    key="machinerys-handbook-31",
    author="unnamed",
    title="Machinery's Handbook, 31st edition",
    year="no year",
)
ROUGHNESS_TABLES = Source(
    key="roughness-tables",
    author="various textbooks",
    title="Absolute roughness of pipes",
    year="no year",
    obtained="read in a copy",
)
PLASTIC_PIPE_TEXTS = Source(
    key="plastic-pipe-texts",
    author="various texts on plastic pipe",
    title="Coefficients of Hazen and Williams",
    year="no year",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What a pipe is made of.

    Parameters
    ----------
    name
        As shown.
    roughness_m
        Absolute roughness of its wall when new [m].
    hazen_williams_c
        Coefficient for the comparison by Hazen-Williams [1].
    rigid
        Whether it is metal.
    words
        How else it is written, lower case.
    """

    name: str
    roughness_m: float
    roughness_citation: Citation
    hazen_williams_c: float
    coefficient_citation: Citation
    rigid: bool
    words: tuple[str, ...]


def _material(
    name: str, roughness_mm: float, coefficient: float, *, kind: str, words: tuple[str, ...]
) -> Material:
    return Material(
        name=name,
        roughness_m=to_si(roughness_mm, "mm"),
        roughness_citation=ROUGHNESS_TABLES.at(kind),
        hazen_williams_c=coefficient,
        coefficient_citation=PLASTIC_PIPE_TEXTS.at(kind),
        rigid=kind != "plastic, as drawn tubing",
        words=(name.lower(), *words),
    )


MATERIALS: Mapping[str, Material] = {
    material.name: material
    for material in (
        _material(
            "PE", 0.0015, 140.0, kind="plastic, as drawn tubing",
            words=("hdpe", "mdpe", "ldpe", "poly", "polyethylene", "polythene", "pe100", "pe80"),
        ),
        _material(
            "PVC", 0.0015, 140.0, kind="plastic, as drawn tubing", words=("upvc", "pvc-u", "cpvc"),
        ),
        _material("steel", 0.045, 130.0, kind="commercial steel", words=("iron pipe",)),
        _material(
            "galvanized steel", 0.15, 120.0, kind="galvanized iron",
            words=("galvanized", "galvanised", "galvanised steel", "galvanized iron"),
        ),
        _material("cast iron", 0.26, 130.0, kind="cast iron", words=("iron", "ductile iron")),
    )
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeSize:
    """One row: one size of one standard.

    Parameters
    ----------
    standard
        As it is printed on the pipe: ``ASTM D1785``.
    material
        What it is made of.
    name
        The word that stands before the standard: ``PE100``.
    size
        Nominal size as said: ``1-1/2 in``, ``32 mm``.
    nominal_m
        The same as a length, for comparing sizes [m].
    grade
        ``Sch 40``, ``SDR 11``, ``SIDR 15``.
    outside_m, wall_m, inside_m
        Diameters and wall [m].
    inside_basis
        ``average``, ``minimum wall`` or ``nominal``.
    rating_pa
        Pressure it bears at about 23 C and cooler; None where the print on the pipe must say [Pa].
    citation, rating_citation
        Where the size and the rating were read.
    """

    standard: str
    material: Material
    name: str
    size: str
    nominal_m: float
    grade: str
    outside_m: float
    wall_m: float
    inside_m: float
    inside_basis: Basis
    rating_pa: float | None = None
    citation: Citation
    rating_citation: Citation | None = None

    @property
    def label(self) -> str:
        """The row in one line, as it is written in a study file."""
        return f"{self.name} {self.standard} {self.size} {self.grade}"

    def spec(self, *, rating_pa: float | None = None) -> PipeSpec:
        """Return the row as a pipe to lay.

        Parameters
        ----------
        rating_pa
            What the print on the pipe says; the row's own rating is used where it is None [Pa].
        """
        return PipeSpec(
            label=self.label,
            inside_m=Measured(value=self.inside_m),
            roughness_m=Measured(value=self.material.roughness_m),
            wall_m=self.wall_m,
            rating_pa=self.rating_pa if rating_pa is None else rating_pa,
            material=self.material.name,
            rigid=self.material.rigid,
            hazen_williams_c=self.material.hazen_williams_c,
            citation=self.citation,
            inside_basis=self.inside_basis,
        )


def _steel(size: str, inches: float, *, outside: float, wall: float) -> PipeSize:
    return PipeSize(
        standard="ASME B36.10",
        material=MATERIALS["steel"],
        name="steel",
        size=f"{size} in",
        nominal_m=to_si(inches, "in"),
        grade="Sch 40",
        outside_m=to_si(outside, "in"),
        wall_m=to_si(wall, "in"),
        inside_m=to_si(outside - 2 * wall, "in"),
        inside_basis="nominal",
        citation=ASME_B36_10.at(f"NPS {size}, schedule 40"),
    )


def _pvc(size: str, inches: float, *, outside: float, average: float, rating: float) -> PipeSize:
    least_wall = next(row.wall_m for row in STEEL if row.size == f"{size} in")
    return PipeSize(
        standard="ASTM D1785",
        material=MATERIALS["PVC"],
        name="PVC",
        size=f"{size} in",
        nominal_m=to_si(inches, "in"),
        grade="Sch 40",
        outside_m=to_si(outside, "in"),
        wall_m=least_wall,
        inside_m=to_si(average, "in"),
        inside_basis="average",
        rating_pa=to_si(rating, "psi"),
        citation=ASTM_D1785.at(f"NPS {size}, schedule 40, average inside diameter"),
        rating_citation=MACHINERYS_HANDBOOK.at("p. 2770, table 13"),
    )


def _pe100(outside_mm: float, wall_mm: float, *, ratio: int, bar: float) -> PipeSize:
    return PipeSize(
        standard="ISO 4427",
        material=MATERIALS["PE"],
        name="PE100",
        size=f"{outside_mm:g} mm",
        nominal_m=to_si(outside_mm, "mm"),
        grade=f"SDR {ratio}",
        outside_m=to_si(outside_mm, "mm"),
        wall_m=to_si(wall_mm, "mm"),
        inside_m=to_si(outside_mm - 2 * wall_mm, "mm"),
        inside_basis="minimum wall",
        rating_pa=to_si(bar, "bar"),
        citation=ISO_4427.at(f"{outside_mm:g} mm, SDR {ratio}"),
        rating_citation=ISO_4427.at(f"PE100, SDR {ratio}: PN {bar:g}"),
    )


def _controlled_inside(size: str, inches: float, *, inside: float, ratio: float) -> PipeSize:
    wall = max(inside / ratio, 0.060)
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
    )


# Inches: nominal, outside, wall.
STEEL: tuple[PipeSize, ...] = (
    _steel("1/2", 0.5, outside=0.840, wall=0.109),
    _steel("3/4", 0.75, outside=1.050, wall=0.113),
    _steel("1", 1.0, outside=1.315, wall=0.133),
    _steel("1-1/4", 1.25, outside=1.660, wall=0.140),
    _steel("1-1/2", 1.5, outside=1.900, wall=0.145),
    _steel("2", 2.0, outside=2.375, wall=0.154),
    _steel("2-1/2", 2.5, outside=2.875, wall=0.203),
    _steel("3", 3.0, outside=3.500, wall=0.216),
    _steel("4", 4.0, outside=4.500, wall=0.237),
)
# Inches and psi: nominal, outside, average inside, rating for a design stress of 2000 psi.
PVC: tuple[PipeSize, ...] = (
    _pvc("1/2", 0.5, outside=0.840, average=0.608, rating=600),
    _pvc("3/4", 0.75, outside=1.050, average=0.810, rating=480),
    _pvc("1", 1.0, outside=1.315, average=1.033, rating=450),
    _pvc("1-1/4", 1.25, outside=1.660, average=1.364, rating=370),
    _pvc("1-1/2", 1.5, outside=1.900, average=1.592, rating=330),
    _pvc("2", 2.0, outside=2.375, average=2.049, rating=280),
    _pvc("3", 3.0, outside=3.500, average=3.042, rating=260),
    _pvc("4", 4.0, outside=4.500, average=3.998, rating=220),
)
# Millimetres: outside, least wall.
_SDR_11 = (
    (20, 2.0), (25, 2.3), (32, 3.0), (40, 3.7), (50, 4.6), (63, 5.8), (75, 6.8), (90, 8.2),
    (110, 10.0),
)  # fmt: skip
_SDR_17 = ((32, 2.0), (40, 2.4), (50, 3.0), (63, 3.8), (75, 4.5), (90, 5.4), (110, 6.6))
PE100: tuple[PipeSize, ...] = (
    *(_pe100(outside, wall, ratio=11, bar=16.0) for outside, wall in _SDR_11),
    *(_pe100(outside, wall, ratio=17, bar=10.0) for outside, wall in _SDR_17),
)
# Inches: nominal, inside. The insides agree with a reprinted table of losses to 1 %.
_CONTROLLED = (
    ("1/2", 0.5, 0.622), ("3/4", 0.75, 0.824), ("1", 1.0, 1.049), ("1-1/4", 1.25, 1.380),
    ("1-1/2", 1.5, 1.610), ("2", 2.0, 2.067),
)  # fmt: skip
SIDR_RATIOS = (7.0, 9.0, 11.5, 15.0, 19.0)
PE_CONTROLLED: tuple[PipeSize, ...] = tuple(
    _controlled_inside(size, inches, inside=inside, ratio=ratio)
    for ratio in SIDR_RATIOS
    for size, inches, inside in _CONTROLLED
)

PIPE_TABLE: tuple[PipeSize, ...] = (*STEEL, *PVC, *PE100, *PE_CONTROLLED)


def find_material(word: str) -> Material | None:
    """Return the material that a person's word means, or None.

    Examples
    --------
    >>> find_material("Poly").name
    'PE'
    """
    wanted = " ".join(word.lower().split())
    return next((each for each in MATERIALS.values() if wanted in each.words), None)
