"""What water weighs."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.units import STANDARD_GRAVITY_M_S2

FloatArray = NDArray[np.float64]


def water_mass_kg(volume_m3: ArrayLike, *, density_kg_m3: ArrayLike) -> FloatArray:
    """Return the mass of a volume of water.

    Parameters
    ----------
    volume_m3
        Volume [m3].
    density_kg_m3
        Density of the water [kg/m3].

    Returns
    -------
    FloatArray
        Mass; a US gallon comes to a little over 8 lb [kg].

    Examples
    --------
    >>> round(float(water_mass_kg(2.2, density_kg_m3=999.7)), 1)
    2199.3
    """
    return np.asarray(volume_m3, np.float64) * np.asarray(density_kg_m3, np.float64)


def weight_n(mass_kg: ArrayLike) -> FloatArray:
    """Return the force with which a mass stands on the ground.

    Parameters
    ----------
    mass_kg
        Mass [kg].

    Returns
    -------
    FloatArray
        Weight at standard gravity [N].
    """
    return np.asarray(mass_kg, np.float64) * STANDARD_GRAVITY_M_S2
