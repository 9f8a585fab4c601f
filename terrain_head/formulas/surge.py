"""Water hammer: the head that stopped water raises, and how fast it runs along the pipe."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Source
from terrain_head.base.units import STANDARD_GRAVITY_M_S2, to_si
from terrain_head.formulas.pipe_walls import ELASTIC_MODULUS_PA

__all__ = [
    "BULK_MODULUS_PA",
    "ELASTIC_MODULUS_PA",
    "WATER_SUPPLY_MANUAL",
    "WAVE_IN_FREE_WATER_M_S",
    "joukowsky_head_m",
    "surge_pressure_pa",
    "wave_return_s",
    "wave_speed_by_ratio_m_s",
    "wave_speed_m_s",
]

FloatArray = NDArray[np.float64]

WATER_SUPPLY_MANUAL = Source(
    key="cpheeo-manual",
    author="Central Public Health and Environmental Engineering Organisation",
    title="Water-supply manual",
    year="no year",
    obtained="read in a copy",
)
WAVE_IN_FREE_WATER_M_S = 1425.0
"""The manual's speed of sound in water, section 6.17.2 [m/s]."""
BULK_MODULUS_PA = 2.07e8 * STANDARD_GRAVITY_M_S2
"""Its bulk modulus of water, printed 2.07e8 kgf/m2 [Pa]."""

RATIO_WAVE_M_S = to_si(4660.0, "ft/s")
"""The surge table's speed of sound in water, printed 4660 ft/s [m/s]."""
RATIO_BULK_MODULUS_PA = to_si(300_000.0, "psi")
"""Its bulk modulus of water, printed 300 000 psi [Pa]."""


def wave_speed_m_s(
    *, inside_m: ArrayLike, wall_m: ArrayLike, modulus_pa: ArrayLike, restraint: float = 1.0
) -> FloatArray:
    """Return the speed of a pressure wave in a thin-walled pipe full of water.

    Parameters
    ----------
    inside_m
        Inside diameter [m].
    wall_m
        Wall [m].
    modulus_pa
        Elastic modulus of the wall [Pa].
    restraint
        1 for a pipe with expansion joints; 1 minus half of Poisson's ratio where held at one end,
        1 minus its square where held at both [1].

    Returns
    -------
    FloatArray
        Wave speed [m/s].

    Notes
    -----
    1425 / sqrt(1 + (k/E) (d/e) c). Trapped air lowers it much further.

    Examples
    --------
    >>> round(float(wave_speed_m_s(inside_m=0.0525, wall_m=0.0039, modulus_pa=207e9)))
    1339

    References
    ----------
    Central Public Health and Environmental Engineering Organisation, Water-supply manual, no
    year, section 6.17.2 (read in a copy).
    """
    slender = np.asarray(inside_m, np.float64) / np.asarray(wall_m, np.float64)
    soft = BULK_MODULUS_PA / np.asarray(modulus_pa, np.float64) * slender * restraint
    return np.asarray(WAVE_IN_FREE_WATER_M_S / np.sqrt(1 + soft))


def wave_speed_by_ratio_m_s(ratio: ArrayLike, *, modulus_pa: ArrayLike) -> FloatArray:
    """Return the speed of a pressure wave in a plastic pipe known by its diameter ratio.

    Parameters
    ----------
    ratio
        Outside diameter by wall: DR, SDR; above 2 [1].
    modulus_pa
        Short-time elastic modulus of the wall [Pa].

    Returns
    -------
    FloatArray
        Wave speed [m/s].

    Notes
    -----
    4660 / sqrt(1 + (K/E) (DR - 2)) ft/s with K = 300 000 psi: the form of `wave_speed_m_s` with
    the inside diameter by the wall written DR - 2, and the constants of texts in US units.

    Examples
    --------
    >>> from terrain_head.base.units import to_si
    >>> round(float(wave_speed_by_ratio_m_s(11.0, modulus_pa=to_si(150_000.0, "psi"))))
    326

    References
    ----------
    Unnamed, Surge in plastic pipe, psi for 1 ft/s, no year (read in a copy).
    """
    slender = np.asarray(ratio, np.float64) - 2
    soft = RATIO_BULK_MODULUS_PA / np.asarray(modulus_pa, np.float64) * slender
    return np.asarray(RATIO_WAVE_M_S / np.sqrt(1 + soft))


def surge_pressure_pa(
    stopped_m_s: ArrayLike, *, wave_speed_m_s: ArrayLike, density_kg_m3: ArrayLike
) -> FloatArray:
    """Return the pressure that water raises when it is stopped at once.

    Parameters
    ----------
    stopped_m_s
        Velocity that is taken from the water [m/s].
    wave_speed_m_s
        Speed of a pressure wave in the pipe [m/s].
    density_kg_m3
        Density of the water [kg/m3].

    Returns
    -------
    FloatArray
        Density times wave speed times velocity, on top of what stood there [Pa].

    Examples
    --------
    >>> round(float(surge_pressure_pa(0.565, wave_speed_m_s=326.0, density_kg_m3=999.7)), -3)
    184000.0
    """
    stopped, wave = np.asarray(stopped_m_s, np.float64), np.asarray(wave_speed_m_s, np.float64)
    return np.asarray(np.asarray(density_kg_m3, np.float64) * wave * stopped)


def joukowsky_head_m(stopped_m_s: ArrayLike, *, wave_speed_m_s: ArrayLike) -> FloatArray:
    """Return the head that water raises when it is stopped at once.

    Parameters
    ----------
    stopped_m_s
        Velocity that is taken from the water [m/s].
    wave_speed_m_s
        Speed of a pressure wave in the pipe [m/s].

    Returns
    -------
    FloatArray
        Head on top of what stood there [m].

    Notes
    -----
    a V / g, in full where the valve shuts faster than a wave runs to the open end and back. A ram
    holds its peak near the delivery head while its delivery valve works; the full head comes when
    that valve sticks.

    Examples
    --------
    >>> round(float(joukowsky_head_m(1.2, wave_speed_m_s=1200.0)))
    147
    """
    stopped, wave = np.asarray(stopped_m_s, np.float64), np.asarray(wave_speed_m_s, np.float64)
    return wave * stopped / STANDARD_GRAVITY_M_S2


def wave_return_s(length_m: ArrayLike, *, wave_speed_m_s: ArrayLike) -> FloatArray:
    """Return the time in which a pressure wave runs to the open end of a pipe and back.

    Parameters
    ----------
    length_m
        Length of the pipe [m].
    wave_speed_m_s
        Speed of a pressure wave in it [m/s].

    Returns
    -------
    FloatArray
        2 L / a: a valve that shuts faster raises the full head [s].
    """
    return 2 * np.asarray(length_m, np.float64) / np.asarray(wave_speed_m_s, np.float64)
