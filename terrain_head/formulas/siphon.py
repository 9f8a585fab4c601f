"""How far the pressure in a pipe may sink below that of the air, by how high the place lies."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Source
from terrain_head.base.units import STANDARD_GRAVITY_M_S2, to_si
from terrain_head.errors import RangeError, Trouble
from terrain_head.formulas.water import density_kg_m3, vapour_pressure_pa

FloatArray = NDArray[np.float64]

STANDARD_ATMOSPHERE = Source(
    key="standard-atmosphere-1976",
    author="NOAA, NASA, US Air Force",
    title="U.S. Standard Atmosphere; below 11 km that of ISO 2533",
    year="1976",
    obtained="read in a copy",
)
BRITANNICA_HYDRAULICS = Source(
    key="britannica-1911-hydraulics",
    author="Encyclopaedia Britannica, 11th edition",
    title="Hydraulics, volume 14",
    year="1911",
)
SIPHON_NOTE = Source(
    key="siphon-teaching-note",
    author="unnamed",
    title="A teaching note on siphons",
    year="no year",
    obtained="read in a copy",
)

SEA_LEVEL_PA = 101_325.0
"""Pressure of the standard atmosphere at sea level [Pa]."""
SEA_LEVEL_K = 288.15
"""Its temperature there [K]."""
LAPSE_K_M = 0.0065
"""What it cools with each metre of height [K/m]."""
AIR_GAS_CONSTANT = 287.053
"""Gas constant of its air [J/(kg K)]."""
LOWEST_M, HIGHEST_M = -5_000.0, 11_000.0
"""Heights between which it cools evenly [m]."""

PRACTICAL_M = to_si(26.0, "ft")
"""How far a pipe may rise over its hydraulic grade line at sea level; printed 26 ft (8 m) [m]."""
PRACTICAL = SIPHON_NOTE.at("about 26 ft (8 m) in practice")
COLUMN_BREAKS = BRITANNICA_HYDRAULICS.at(
    "section 73: air is released above the hydraulic gradient; above 34 ft the column breaks"
)


def standard_pressure_pa(altitude_m: ArrayLike) -> FloatArray:
    """Return the pressure of the air at a height, on a standard day.

    Parameters
    ----------
    altitude_m
        Height above sea level, any shape [m].

    Returns
    -------
    FloatArray
        Pressure, in the shape of the height [Pa].

    Raises
    ------
    RangeError
        If a height lies below -5 000 m or above 11 000 m.

    Notes
    -----
    p0 (1 - L z / T0)^(g / (R L)), the air cooling evenly with height. Weather moves it by some
    per cent.

    Examples
    --------
    >>> [round(float(pressure), -2) for pressure in standard_pressure_pa([0.0, 1524.0])]
    [101300.0, 84300.0]

    References
    ----------
    NOAA, NASA, US Air Force, U.S. Standard Atmosphere, 1976 (read in a copy).
    """
    altitude = np.asarray(altitude_m, np.float64)
    outside = (altitude < LOWEST_M) | (altitude > HIGHEST_M)
    if np.any(outside):
        found = float(altitude[outside][0])
        raise RangeError(
            "The pressure of the air can't be told.",
            Trouble(what=f"A height of {found:g} m lies outside -5 000 to 11 000 m."),
        )
    exponent = STANDARD_GRAVITY_M_S2 / (AIR_GAS_CONSTANT * LAPSE_K_M)
    return np.asarray(SEA_LEVEL_PA * (1 - LAPSE_K_M * altitude / SEA_LEVEL_K) ** exponent)


def breaking_head_m(altitude_m: ArrayLike, *, temperature_c: ArrayLike) -> FloatArray:
    """Return the head below the air's pressure at which a column of water breaks.

    Parameters
    ----------
    altitude_m
        Height above sea level [m].
    temperature_c
        Temperature of the water [C].

    Returns
    -------
    FloatArray
        Pressure of the air less that of the water's vapour, as a column of this water [m].

    Examples
    --------
    >>> round(float(breaking_head_m(0.0, temperature_c=10.0)), 1)
    10.2

    References
    ----------
    Encyclopaedia Britannica, 11th edition, Hydraulics, volume 14, 1911, section 73.
    """
    spare = standard_pressure_pa(altitude_m) - vapour_pressure_pa(temperature_c)
    return np.asarray(spare / (density_kg_m3(temperature_c) * STANDARD_GRAVITY_M_S2))


def siphon_limit_m(altitude_m: ArrayLike, *, temperature_c: ArrayLike) -> FloatArray:
    """Return how far a pipe may rise over its hydraulic grade line before a siphon fails.

    Parameters
    ----------
    altitude_m
        Height above sea level [m].
    temperature_c
        Temperature of the water [C].

    Returns
    -------
    FloatArray
        The practical height at sea level, less what the air's column has lost on the way up;
        never below 0 [m].

    Notes
    -----
    It keeps as far from the breaking of the column as the practical height does at sea level, in
    water of the same warmth. Air comes out of the water long before.

    Examples
    --------
    >>> [round(float(limit), 1) for limit in siphon_limit_m([0.0, 1000.0], temperature_c=10.0)]
    [7.9, 6.8]

    References
    ----------
    Unnamed, A teaching note on siphons, no year (read in a copy).
    """
    here = breaking_head_m(altitude_m, temperature_c=temperature_c)
    at_sea = breaking_head_m(0.0, temperature_c=temperature_c)
    return np.asarray(np.maximum(PRACTICAL_M - (at_sea - here), 0.0))
