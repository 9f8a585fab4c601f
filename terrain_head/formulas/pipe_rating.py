"""What pressure a plastic pipe bears, by its wall and the stress its material is designed for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Source
from terrain_head.base.units import to_si

FloatArray = NDArray[np.float64]

PLASTICS_PIPE_INSTITUTE = Source(
    key="ppi-pe4710-2015",
    author="Plastics Pipe Institute",
    title="PE4710 and PE3608 sample comparison",
    year="2015",
)
MACHINERYS_HANDBOOK = Source(
    key="machinerys-handbook-31",
    author="unnamed",
    title="Machinery's Handbook, 31st edition",
    year="no year",
)
ISO_CLASSES = Source(
    key="iso-pressure-classes",
    author="ISO",
    title="Design stress and pressure classes of polyethylene pipe",
    year="no year",
    obtained="read in a copy",
)
DESIGN_STRESS_PA = {
    "PE4710": to_si(1000.0, "psi"),
    "PE3608": to_si(800.0, "psi"),
    "PE3408": to_si(800.0, "psi"),
}
"""Design stress by the code printed on American polyethylene pipe, printed 1000 and 800 psi [Pa].

PE3408 is the older print of PE3608 (from memory)."""
DESIGN_STRESS = PLASTICS_PIPE_INSTITUTE.at("design stress of PE4710 and PE3608")
PVC_DESIGN_STRESS_PA = to_si(2000.0, "psi")
PVC_DESIGN_STRESS = MACHINERYS_HANDBOOK.at("p. 2770, table 13")
"""Design stress of PVC pipe, printed 2000 psi [Pa]."""
ISO_DESIGN_STRESS_PA = {"PE100": to_si(8.0, "MPa"), "PE80": to_si(6.4, "MPa")}
"""Least strength of 10 and 8 MPa, as the names say, by the design coefficient of 1.25 [Pa]."""
ISO_DESIGN_STRESS = {
    "PE100": ISO_CLASSES.at("PE100: 10 MPa by 1.25"),
    "PE80": ISO_CLASSES.at("PE80: 8 MPa by 1.25", obtained="from memory"),
}
BAR_CLASSES_PA = tuple(
    to_si(bar, "bar") for bar in (2.5, 3.2, 4.0, 5.0, 6.3, 8.0, 10.0, 12.5, 16.0, 20.0, 25.0)
)
"""The standard series of nominal pressures PN [Pa]."""
PSI_CLASSES_PA = tuple(
    to_si(psi, "psi") for psi in (50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0)
)
"""The same steps in psi, as PVC pipe of a diameter ratio is printed (from memory) [Pa]."""
OLDER_PRINT = PLASTICS_PIPE_INSTITUTE.at("PE3408 rated as PE3608", obtained="from memory")


def rating_by_outside_pa(ratio: ArrayLike, *, design_stress_pa: ArrayLike) -> FloatArray:
    """Return the rating of a pipe whose outside diameter is fixed.

    Parameters
    ----------
    ratio
        Outside diameter by wall: DR, SDR [1].
    design_stress_pa
        Hydrostatic design stress of the material [Pa].

    Returns
    -------
    FloatArray
        2 S / (DR - 1) [Pa].

    Examples
    --------
    >>> round(float(rating_by_outside_pa(11.0, design_stress_pa=8.0)), 3)
    1.6
    """
    stress = np.asarray(design_stress_pa, np.float64)
    return 2 * stress / (np.asarray(ratio, np.float64) - 1)


def rating_by_inside_pa(ratio: ArrayLike, *, design_stress_pa: ArrayLike) -> FloatArray:
    """Return the rating of a pipe whose inside diameter is fixed.

    Parameters
    ----------
    ratio
        Inside diameter by wall: SIDR [1].
    design_stress_pa
        Hydrostatic design stress of the material [Pa].

    Returns
    -------
    FloatArray
        2 S / (SIDR + 1) [Pa].

    Examples
    --------
    >>> float(rating_by_inside_pa(15.0, design_stress_pa=800.0))
    100.0
    """
    stress = np.asarray(design_stress_pa, np.float64)
    return 2 * stress / (np.asarray(ratio, np.float64) + 1)


def pressure_class_pa(rating_pa: ArrayLike, *, classes_pa: Sequence[float]) -> FloatArray:
    """Return the class under which a pipe is sold: its rating rounded down to a standard series.

    Parameters
    ----------
    rating_pa
        What wall and design stress give [Pa].
    classes_pa
        The series, rising [Pa].

    Returns
    -------
    FloatArray
        The greatest class that is not above the rating; nan under the least [Pa].

    Notes
    -----
    A rating that misses a class by less than a millionth counts as that class.

    Examples
    --------
    >>> from terrain_head.base.units import from_si
    >>> rating = rating_by_outside_pa(13.6, design_stress_pa=8e6)
    >>> found = pressure_class_pa(rating, classes_pa=BAR_CLASSES_PA)
    >>> round(from_si(float(rating), "bar"), 1), round(from_si(float(found), "bar"), 1)
    (12.7, 12.5)
    """
    series = np.asarray([np.nan, *classes_pa], np.float64)
    rating = np.asarray(rating_pa, np.float64) * (1 + 1e-6)
    return np.asarray(series[np.searchsorted(series[1:], rating, side="right")])
