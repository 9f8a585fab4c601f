"""One pipe of the table: one size of one standard, and the pipe to lay that it makes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from terrain_head.base.citation import Citation
from terrain_head.base.measured import Measured
from terrain_head.formulas.pipe_rating import (
    DESIGN_STRESS_PA,
    rating_by_inside_pa,
    rating_by_outside_pa,
)
from terrain_head.formulas.pipe_warmth import Derating
from terrain_head.scheme.parts import PipeSpec
from terrain_head.scheme.pipe_materials import Material

Basis = Literal["average", "minimum wall", "nominal", "stated"]
"""What an inside diameter is: that of the average pipe, the one the least wall leaves (the widest
that it can be), the one in the standard's name, or what a person stated."""
PRINTED_CODES = ("PE4710", "PE3608")
"""The material codes printed on American polyethylene pipe, the stronger first."""


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
        Nominal size as said: ``1-1/2 in``, ``32 mm``, ``DN 25``.
    nominal_m
        The same as a length, for comparing sizes [m].
    other_sizes_m
        By what other lengths people ask for it: a steel pipe of 1 in is DN 25 [m].
    grade
        ``Sch 40``, ``SDR 11``, ``SIDR 15``, ``medium``.
    outside_m, wall_m, inside_m
        Diameters and wall; of plastic the least wall [m].
    inside_basis
        ``average``, ``minimum wall`` or ``nominal``.
    rating_pa
        Pressure it bears in water of about 23 C and cooler; None where the print on the pipe must
        say [Pa].
    citation, rating_citation
        Where the size and the rating were read.
    codes
        The material codes of which one is printed on it and gives its rating, the stronger first.
    derating
        What part of its rating is left in warm water; None for metal.
    """

    standard: str
    material: Material
    name: str
    size: str
    nominal_m: float
    other_sizes_m: tuple[float, ...] = ()
    grade: str
    outside_m: float
    wall_m: float
    inside_m: float
    inside_basis: Basis
    rating_pa: float | None = None
    citation: Citation
    rating_citation: Citation | None = None
    codes: tuple[str, ...] = ()
    derating: Derating | None = None

    @property
    def label(self) -> str:
        """The row in one line, as it is written in a study file."""
        return self.coded()

    @property
    def widest_inside_m(self) -> float:
        """Inside diameter with the wall at its least, where the row has the average one [m]."""
        return max(self.inside_m, self.outside_m - 2 * self.wall_m)

    @property
    def ratio(self) -> float | None:
        """Diameter by wall, as the grade says it; None for a schedule or a series."""
        kind, _, number = self.grade.partition(" ")
        return float(number) if kind in {"DR", "SDR", "SIDR"} else None

    @property
    def ratings_pa(self) -> Mapping[str, float]:
        """What it bears by the material code printed on it, empty where no code decides [Pa]."""
        if self.ratio is None:
            return MappingProxyType({})
        relation = rating_by_inside_pa if self.grade.startswith("SIDR") else rating_by_outside_pa
        return MappingProxyType(
            {
                code: float(relation(self.ratio, design_stress_pa=DESIGN_STRESS_PA[code]))
                for code in self.codes
            }
        )

    @property
    def most_pa(self) -> float | None:
        """What the strongest pipe of the row bears, None where nothing here says [Pa]."""
        return max(self.ratings_pa.values(), default=self.rating_pa)

    def coded(self, code: str | None = None) -> str:
        """Return the row in one line, with the material code that is printed on the pipe.

        Parameters
        ----------
        code
            One of `codes`; None where none was said.
        """
        name = self.name if code is None or code not in self.codes else code
        return f"{name} {self.standard} {self.size} {self.grade}"

    def spec(self, *, rating_pa: float | None = None, code: str | None = None) -> PipeSpec:
        """Return the row as a pipe to lay.

        Parameters
        ----------
        rating_pa
            What the print on the pipe says; the row's own rating, or that of the code, is used
            where it is None [Pa].
        code
            The material code that is printed on the pipe; one that is not of the row is passed
            over.
        """
        if rating_pa is None:
            rating_pa = self.ratings_pa.get(code or "", self.rating_pa)
        return PipeSpec(
            label=self.coded(code),
            inside_m=Measured(value=self.inside_m),
            roughness_m=Measured(value=self.material.roughness_m),
            wall_m=self.wall_m,
            rating_pa=rating_pa,
            material=self.material.name,
            rigid=self.material.rigid,
            hazen_williams_c=self.material.hazen_williams_c,
            citation=self.citation,
            inside_basis=self.inside_basis,
            derating=self.derating,
        )
