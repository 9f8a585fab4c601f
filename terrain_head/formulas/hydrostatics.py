"""Still water: a head is a pressure."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.units import STANDARD_GRAVITY_M_S2

FloatArray = NDArray[np.float64]


def pressure_from_head_pa(head_m: ArrayLike, *, density_kg_m3: ArrayLike) -> FloatArray:
    """Return the pressure under a column of water.

    Parameters
    ----------
    head_m
        Height of the water over the point; below zero it is suction [m].
    density_kg_m3
        Density of the water [kg/m3].

    Returns
    -------
    FloatArray
        Pressure above the atmosphere's [Pa].

    Notes
    -----
    p = rho g h with g = 9.80665 m/s2. The trade's 0.433 psi a foot and 2.31 ft a psi are this
    relation for water of 62.4 lb/ft3.

    Examples
    --------
    >>> round(float(pressure_from_head_pa(10.0, density_kg_m3=999.7)))
    98037
    """
    head, density = np.asarray(head_m, np.float64), np.asarray(density_kg_m3, np.float64)
    return head * density * STANDARD_GRAVITY_M_S2


def head_from_pressure_m(pressure_pa: ArrayLike, *, density_kg_m3: ArrayLike) -> FloatArray:
    """Return the column of water that gives a pressure.

    Parameters
    ----------
    pressure_pa
        Pressure above the atmosphere's [Pa].
    density_kg_m3
        Density of the water [kg/m3].

    Returns
    -------
    FloatArray
        Height of the water over the point [m].

    Examples
    --------
    >>> round(float(head_from_pressure_m(98037.0, density_kg_m3=999.7)), 3)
    10.0
    """
    pressure, density = np.asarray(pressure_pa, np.float64), np.asarray(density_kg_m3, np.float64)
    return pressure / (density * STANDARD_GRAVITY_M_S2)
