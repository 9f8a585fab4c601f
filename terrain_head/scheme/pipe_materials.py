"""What pipes are made of: how rough, how stiff, and by what words people know it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from terrain_head.base.citation import Citation, Source
from terrain_head.base.units import to_si
from terrain_head.formulas.pipe_warmth import PE_DERATING, PVC_DERATING, Derating

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
    derating
        What part of its rating is left in warm water, of the plastic under that name that loses
        most; None for metal.
    """

    name: str
    roughness_m: float
    roughness_citation: Citation
    hazen_williams_c: float
    coefficient_citation: Citation
    rigid: bool
    words: tuple[str, ...]
    derating: Derating | None = None


def _material(
    name: str,
    roughness_mm: float,
    coefficient: float,
    *,
    kind: str,
    words: tuple[str, ...],
    derating: Derating | None = None,
) -> Material:
    return Material(
        name=name,
        roughness_m=to_si(roughness_mm, "mm"),
        roughness_citation=ROUGHNESS_TABLES.at(kind),
        hazen_williams_c=coefficient,
        coefficient_citation=PLASTIC_PIPE_TEXTS.at(kind),
        rigid=kind != "plastic, as drawn tubing",
        words=(name.lower(), *words),
        derating=derating,
    )


MATERIALS: Mapping[str, Material] = {
    material.name: material
    for material in (
        _material(
            "PE", 0.0015, 140.0, kind="plastic, as drawn tubing",
            words=("hdpe", "mdpe", "ldpe", "poly", "polyethylene", "polythene", "pe100", "pe80"),
            derating=PE_DERATING,
        ),
        _material(
            "PVC", 0.0015, 140.0, kind="plastic, as drawn tubing",
            words=("upvc", "pvc-u", "pvcu", "cpvc"), derating=PVC_DERATING,
        ),
        _material("steel", 0.045, 130.0, kind="commercial steel", words=("iron pipe",)),
        _material(
            "galvanized steel", 0.15, 120.0, kind="galvanized iron",
            words=("galvanized", "galvanised", "galvanised steel", "galvanized iron"),
        ),
        _material("cast iron", 0.26, 130.0, kind="cast iron", words=("iron", "ductile iron")),
    )
}  # fmt: skip


def find_material(word: str) -> Material | None:
    """Return the material that a person's word means, or None.

    Examples
    --------
    >>> find_material("Poly").name
    'PE'
    """
    wanted = " ".join(word.lower().split())
    return next((each for each in MATERIALS.values() if wanted in each.words), None)
