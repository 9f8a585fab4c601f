"""What pressure a plastic pipe bears, by its wall and the stress its material is designed for."""

from __future__ import annotations

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
DESIGN_STRESS_PA = {
    "PE4710": to_si(1000.0, "psi"),
    "PE3608": to_si(800.0, "psi"),
    "PE3408": to_si(800.0, "psi"),
}
"""Design stress by the code printed on American polyethylene pipe, printed 1000 and 800 psi [Pa].

PE3408 is the older print of PE3608 (from memory)."""
DESIGN_STRESS = PLASTICS_PIPE_INSTITUTE.at("design stress of PE4710 and PE3608")
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
