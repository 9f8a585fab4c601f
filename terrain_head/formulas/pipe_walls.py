"""How stiff the walls of pipes are, and how much surge their ratings leave room for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from terrain_head.base.citation import Citation, Source
from terrain_head.base.units import to_si
from terrain_head.formulas.pipe_rating import PLASTICS_PIPE_INSTITUTE

SURGE_TABLE = Source(
    key="plastic-surge-table",
    author="unnamed",
    title="Surge in plastic pipe, psi for 1 ft/s",
    year="no year",
    obtained="read in a copy",
)
ELASTIC_MODULI = Source(
    key="elastic-moduli",
    author="various textbooks",
    title="Elastic moduli of pipe materials",
    year="no year",
    obtained="from memory",
)
CROSSLINKED_SURGE = Source(
    key="cross-linked-surge",
    author="unnamed",
    title="Surge in cross-linked polyethylene pipe",
    year="no year",
    obtained="read in a copy",
)
SURGE_NOTES = Source(
    key="pvc-surge-notes",
    author="unnamed",
    title="Notes on the pressure classes of PVC pipe",
    year="no year",
    obtained="read in a copy",
)
AWWA_M55 = Source(
    key="awwa-m55",
    author="American Water Works Association",
    title="PE pipe, design and installation, M55",
    year="no year",
    obtained="read in a copy",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WallModulus:
    """Short-time elastic modulus of what a pipe is made of.

    Parameters
    ----------
    material
        What it is.
    modulus_pa
        Its modulus; that of plastics sinks with warmth and with load [Pa].
    citation
        Where it was read.
    """

    material: str
    modulus_pa: float
    citation: Citation


WALL_MODULI: tuple[WallModulus, ...] = (
    WallModulus(
        material="steel", modulus_pa=to_si(207_000.0, "MPa"), citation=ELASTIC_MODULI.at("steel")
    ),
    WallModulus(
        material="galvanized steel",
        modulus_pa=to_si(207_000.0, "MPa"),
        citation=ELASTIC_MODULI.at("steel; the zinc counts for nothing"),
    ),
    WallModulus(
        material="PVC",
        modulus_pa=to_si(400_000.0, "psi"),
        citation=SURGE_TABLE.at("PVC, E 400 000 psi"),
    ),
    WallModulus(
        material="PE", modulus_pa=to_si(1_000.0, "MPa"), citation=ELASTIC_MODULI.at("PE, 1.0 GPa")
    ),
    WallModulus(
        material="PE4710",
        modulus_pa=to_si(150_000.0, "psi"),
        citation=ELASTIC_MODULI.at("PE4710, 150 000 psi"),
    ),
    WallModulus(
        material="older PE",
        modulus_pa=to_si(115_000.0, "psi"),
        citation=SURGE_TABLE.at("PE, E 115 000 psi"),
    ),
    WallModulus(
        material="cross-linked PE",
        modulus_pa=to_si(67_425.0, "psi"),
        citation=CROSSLINKED_SURGE.at("SDR 11, E 67 425 psi"),
    ),
)
ELASTIC_MODULUS_PA: Mapping[str, float] = MappingProxyType(
    {each.material: each.modulus_pa for each in WALL_MODULI}
)
"""The moduli by the material's name, as a pipe's `material` says it [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurgeAllowance:
    """How far still pressure and surge together may pass a pipe's rating.

    Parameters
    ----------
    material
        What the pipe is made of.
    recurring, occasional
        Of the rating: for surges of every day, and for rare ones [1].
    citation
        Where it was read.
    """

    material: str
    recurring: float
    occasional: float
    citation: Citation


SURGE_ALLOWANCES: Mapping[str, SurgeAllowance] = MappingProxyType(
    {
        "PE": SurgeAllowance(
            material="PE",
            recurring=1.5,
            occasional=2.0,
            citation=PLASTICS_PIPE_INSTITUTE.at("pressure class with recurring, occasional surge"),
        ),
        "PVC": SurgeAllowance(
            material="PVC",
            recurring=1.0,
            occasional=1.0,
            citation=SURGE_NOTES.at("D2241 and C905: the rating holds no surge, it is added"),
        ),
    }
)
"""Of metals none was read. Older C900 classes of PVC already hold the stop of 2 ft/s, with a
safety factor of 2.5 (the same notes); no pipe of that standard is in the table."""
RECURRING_SURGE_M_S = to_si(4.0, "ft/s")
OCCASIONAL_SURGE_M_S = to_si(8.0, "ft/s")
DEFAULT_SURGE = AWWA_M55.at("velocities of recurring and occasional surge")
"""What is stopped where nobody knows, for polyethylene; printed 4 and 8 ft/s [m/s]."""


def allowed_with_surge_pa(rating_pa: float, *, allowance: SurgeAllowance) -> tuple[float, float]:
    """Return what still pressure and surge may come to together.

    Parameters
    ----------
    rating_pa
        The pipe's rating in its water [Pa].
    allowance
        Its material's.

    Returns
    -------
    tuple of float
        With recurring surge, and with occasional surge [Pa].

    Examples
    --------
    >>> allowed_with_surge_pa(200.0, allowance=SURGE_ALLOWANCES["PE"])
    (300.0, 400.0)
    """
    return allowance.recurring * rating_pa, allowance.occasional * rating_pa
