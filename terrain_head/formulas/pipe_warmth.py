"""How much of its rating a plastic pipe keeps when its water, and so its wall, is warm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Citation, Source
from terrain_head.base.units import to_si
from terrain_head.formulas.pipe_rating import MACHINERYS_HANDBOOK

FloatArray = NDArray[np.float64]

AS_NZS_4130 = Source(
    key="as-nzs-4130",
    author="Standards Australia and Standards New Zealand",
    title="Polyethylene pipes for pressure applications, AS/NZS 4130",
    year="no year",
    obtained="read in a copy",
)
POLYETHYLENE_WARMTH = Source(
    key="polyethylene-warmth",
    author="various texts on plastic pipe",
    title="Ratings of PE4710 in warm water",
    year="no year",
    obtained="from memory",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Derating:
    """What part of its rating a plastic keeps, by the warmth of its wall.

    Parameters
    ----------
    plastic
        The plastic it was printed for.
    temperature_c
        Temperatures of the printed rows, rising; the first is the warmest with the full rating
        [C].
    share
        Part of the rating that is left at each [1].
    citation
        Where it was read.
    """

    plastic: str
    temperature_c: tuple[float, ...]
    share: tuple[float, ...]
    citation: Citation

    @property
    def warmest_c(self) -> float:
        """The warmest row: beyond it nothing is published here [C]."""
        return self.temperature_c[-1]


def _fahrenheit(*degrees: float) -> tuple[float, ...]:
    return tuple(to_si(each, "F") for each in degrees)


PVC_DERATING = Derating(
    plastic="PVC",
    temperature_c=_fahrenheit(73.4, 80.0, 90.0, 100.0, 110.0, 120.0, 130.0, 140.0),
    share=(1.0, 0.88, 0.75, 0.62, 0.50, 0.40, 0.30, 0.22),
    citation=MACHINERYS_HANDBOOK.at("p. 2770, table 14"),
)
PE100_DERATING = Derating(
    plastic="PE100",
    temperature_c=(25.0, 30.0, 35.0, 40.0, 45.0, 50.0),
    share=(1.0, 0.94, 0.89, 0.84, 0.80, 0.76),
    citation=AS_NZS_4130.at("greatest operating pressure of PE100, PN 10"),
)
PE_DERATING = Derating(
    plastic="PE4710",
    temperature_c=_fahrenheit(80.0, 90.0, 100.0),
    share=(1.0, 0.9, 0.8),
    citation=POLYETHYLENE_WARMTH.at("80 F and cooler 1, 90 F 0.9, 100 F 0.8"),
)
"""The one for every polyethylene but PE100: loses more than that at the same warmth."""

DERATINGS: Mapping[str, Derating] = MappingProxyType(
    {"PVC": PVC_DERATING, "PE100": PE100_DERATING, "PE": PE_DERATING}
)
"""By the word for the plastic; any polyethylene that is not printed PE100 is ``PE``."""


def rating_share(temperature_c: ArrayLike, *, derating: Derating) -> FloatArray:
    """Return the part of its rating that a plastic pipe keeps.

    Parameters
    ----------
    temperature_c
        Temperature of its wall, which is that of the water but for pipe in the sun [C].
    derating
        The plastic's table.

    Returns
    -------
    FloatArray
        1 at the table's first row and colder, straight lines between the rows, nan above the
        last [1].

    Examples
    --------
    >>> shares = rating_share([10.0, 32.5, 60.0], derating=PE100_DERATING)
    >>> [round(float(share), 3) for share in shares]
    [1.0, 0.915, nan]

    References
    ----------
    Machinery's Handbook, 31st edition, no year, p. 2770, table 14 (PVC); Standards Australia and
    Standards New Zealand, AS/NZS 4130, no year (PE100, read in a copy); PE4710 from memory.
    """
    warm = np.asarray(temperature_c, np.float64)
    return np.asarray(np.interp(warm, derating.temperature_c, derating.share, right=np.nan))
