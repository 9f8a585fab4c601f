"""How far a run of levels may miss: this instrument's own figure, and the published classes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from terrain_head.base.citation import OURS, Citation, Source
from terrain_head.base.display import LIKELY
from terrain_head.base.units import to_si

READING_STD_M = 0.003
"""Taken where no reading error is stated: about a hundredth of a foot, a rod held by hand and
read to its last mark [m]."""
READING_STD_SOURCE = OURS.at("reading error taken where none is stated")
OWN_RULE = OURS.at("nine cases in ten of the stated reading error over the run's readings")

FGCC_1984 = Source(
    key="fgcc-1984",
    author="Federal Geodetic Control Committee",
    title="Standards and Specifications for Geodetic Control Networks",
    year="1984",
    obtained="from memory",
)
CONSTRUCTION_FEET = Source(
    key="construction-levels-feet",
    author="",
    title="Classes of construction leveling in feet",
    year="no year",
    obtained="from memory",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedClass:
    """A published class: the most a run may miss grows with the root of its length.

    Parameters
    ----------
    name
        Name of the class.
    rule
        The rule as printed.
    root_length_m
        Allowable misclosure of a run of 1 m [m].
    """

    name: str
    rule: str
    root_length_m: float
    citation: Citation

    def allowable_m(self, length_m: float) -> float:
        """Return the most that a run of this length may miss [m].

        Examples
        --------
        >>> third = next(c for c in PUBLISHED_CLASSES if c.name == "third order")
        >>> round(third.allowable_m(1500.0) * 1000, 1)
        14.7
        """
        return self.root_length_m * math.sqrt(length_m)


def _per_km(name: str, millimetres: float) -> PublishedClass:
    return PublishedClass(
        name=name,
        rule=f"{millimetres:g} mm x sqrt(km)",
        root_length_m=to_si(millimetres, "mm") / math.sqrt(to_si(1.0, "km")),
        citation=FGCC_1984.at("section 3.5, loop misclosure"),
    )


def _per_mile(name: str, feet: float) -> PublishedClass:
    return PublishedClass(
        name=name,
        rule=f"{feet:g} ft x sqrt(miles)",
        root_length_m=to_si(feet, "ft") / math.sqrt(to_si(1.0, "mi")),
        citation=CONSTRUCTION_FEET.at(name),
    )


PUBLISHED_CLASSES = (
    _per_km("first order, class I", 4.0),
    _per_km("first order, class II", 5.0),
    _per_km("second order, class I", 6.0),
    _per_km("second order, class II", 8.0),
    _per_km("third order", 12.0),
    _per_mile("construction", 0.05),
    _per_mile("rough construction", 0.1),
)


def likely_most(variance_m2: float) -> float:
    """Return the most that an error of this variance comes to, nine times in ten [m]."""
    return LIKELY * math.sqrt(variance_m2)
