"""Water by its temperature: density, viscosity, vapour pressure."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Source
from terrain_head.errors import RangeError, Trouble

FloatArray = NDArray[np.float64]

LEAST_TEMPERATURE_C = 0.0
GREATEST_TEMPERATURE_C = 60.0

KELL = Source(
    key="kell-1975",
    author="G. S. Kell",
    title="Density, thermal expansivity, and compressibility of liquid water from 0 to 150 C, "
    "J. Chem. Eng. Data 20",
    year="1975",
    obtained="from memory",
)
KESTIN = Source(
    key="kestin-1978",
    author="J. Kestin, M. Sokolov, W. A. Wakeham",
    title="Viscosity of liquid water in the range -8 C to 150 C, J. Phys. Chem. Ref. Data 7",
    year="1978",
    obtained="from memory",
)
FAO_56 = Source(
    key="fao-56",
    author="R. G. Allen and others",
    title="Crop evapotranspiration, FAO Irrigation and Drainage Paper 56",
    year="1998",
    obtained="read in a copy",
)


def density_kg_m3(temperature_c: ArrayLike) -> FloatArray:
    """Return the density of water at atmospheric pressure.

    Parameters
    ----------
    temperature_c
        Temperature, any shape [C].

    Returns
    -------
    FloatArray
        Density, in the shape of the temperature; nan where that is nan [kg/m3].

    Raises
    ------
    RangeError
        If a temperature lies outside 0 to 60 C.

    Notes
    -----
    Kell's quotient of polynomials, published for 0 to 150 C.

    Examples
    --------
    >>> round(float(density_kg_m3(10.0)), 1)
    999.7

    References
    ----------
    G. S. Kell, Density, thermal expansivity, and compressibility of liquid water from 0 to 150 C,
    J. Chem. Eng. Data 20, 1975, eq. 16 (from memory).
    """
    t = _checked(temperature_c)
    numerator = 999.83952 + t * (
        16.945176
        + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return numerator / (1 + 16.879850e-3 * t)


def dynamic_viscosity_pa_s(temperature_c: ArrayLike) -> FloatArray:
    """Return the dynamic viscosity of water.

    Parameters
    ----------
    temperature_c
        Temperature, any shape [C].

    Returns
    -------
    FloatArray
        Viscosity, in the shape of the temperature; nan where that is nan [Pa s].

    Raises
    ------
    RangeError
        If a temperature lies outside 0 to 60 C.

    References
    ----------
    J. Kestin, M. Sokolov, W. A. Wakeham, Viscosity of liquid water in the range -8 C to 150 C,
    J. Phys. Chem. Ref. Data 7, 1978 (from memory).
    """
    t = _checked(temperature_c)
    below = 20.0 - t
    exponent = below / (t + 96.0) * (1.2364 - 1.37e-3 * below + 5.7e-6 * below**2)
    return np.asarray(1.002e-3 * 10.0**exponent)


def kinematic_viscosity_m2_s(temperature_c: ArrayLike) -> FloatArray:
    """Return the kinematic viscosity of water: dynamic viscosity by density.

    Parameters
    ----------
    temperature_c
        Temperature, any shape [C].

    Returns
    -------
    FloatArray
        Viscosity, in the shape of the temperature; nan where that is nan [m2/s].

    Raises
    ------
    RangeError
        If a temperature lies outside 0 to 60 C.

    Examples
    --------
    >>> print(f"{float(kinematic_viscosity_m2_s(10.0)):.3e}")
    1.307e-06
    """
    return dynamic_viscosity_pa_s(temperature_c) / density_kg_m3(temperature_c)


def vapour_pressure_pa(temperature_c: ArrayLike) -> FloatArray:
    """Return the saturation vapour pressure over water.

    Parameters
    ----------
    temperature_c
        Temperature, any shape [C].

    Returns
    -------
    FloatArray
        Absolute pressure, in the shape of the temperature; nan where that is nan [Pa].

    Raises
    ------
    RangeError
        If a temperature lies outside 0 to 60 C.

    References
    ----------
    R. G. Allen and others, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56, 1998,
    eq. 11 (from memory).
    """
    t = _checked(temperature_c)
    return np.asarray(610.8 * np.exp(17.27 * t / (t + 237.3)))


def _checked(temperature_c: ArrayLike) -> FloatArray:
    t = np.asarray(temperature_c, dtype=np.float64)
    beyond = (t < LEAST_TEMPERATURE_C) | (t > GREATEST_TEMPERATURE_C)
    if np.any(beyond):
        found = float(t[beyond].flat[0])
        raise RangeError(
            f"Water of {found:g} C is beyond what the program knows.",
            Trouble(
                what="Density and viscosity of water are used from 0 to 60 C.",
                write='temperature = "10 C"',
            ),
        )
    return t
