"""How long a tank takes to run out: by a hole, by a pipe, and how long so many litres take.

Water stands over the hole, or over the pipe's free end; both are taken as sinking slowly, so that
the flow of each moment is that of its standing head. Nothing flows in meanwhile.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import Source
from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.formulas.friction import flow_from_head_loss

FloatArray = NDArray[np.float64]

CHEMICAL_FLOW = Source(
    key="midoux-rheologie",
    author="Midoux",
    title="Mecanique et rheologie des fluides en genie chimique",
    year="no year",
    obtained="read in a copy",
)
SHARP_HOLE = 0.6
"""Coefficient of a hole with a sharp edge, as printed [1]."""
SHARP_HOLE_CITATION = CHEMICAL_FLOW.at("p. 51, as quoted")

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)


def hole_flow_m3_s(
    head_m: ArrayLike, *, hole_m2: ArrayLike, coefficient: ArrayLike = SHARP_HOLE
) -> FloatArray:
    """Return the flow out of a hole under standing water.

    Parameters
    ----------
    head_m
        Water over the middle of the hole [m].
    hole_m2
        Area of the hole [m2].
    coefficient
        Of the hole; that of a sharp edge where left out [1].

    Returns
    -------
    FloatArray
        c a sqrt(2 g h); nothing where no water stands over it [m3/s].
    """
    head = np.maximum(np.asarray(head_m, np.float64), 0.0)
    area = np.asarray(hole_m2, np.float64) * np.asarray(coefficient, np.float64)
    return np.asarray(area * np.sqrt(2 * STANDARD_GRAVITY_M_S2 * head))


def drain_time_s(
    area_m2: ArrayLike,
    *,
    hole_m2: ArrayLike,
    from_m: ArrayLike,
    to_m: ArrayLike = 0.0,
    coefficient: ArrayLike = SHARP_HOLE,
) -> FloatArray:
    """Return how long an upright tank takes to run out of a hole.

    Parameters
    ----------
    area_m2
        Area of the water in the tank, the same at every depth [m2].
    hole_m2
        Area of the hole, small beside it [m2].
    from_m, to_m
        Water over the middle of the hole at the beginning and at the end; `to_m` at least 0 [m].
    coefficient
        Of the hole; that of a sharp edge where left out [1].

    Returns
    -------
    FloatArray
        2 A / (c a sqrt(2 g)) (sqrt from - sqrt to) [s].

    Examples
    --------
    >>> round(float(drain_time_s(1.0, hole_m2=0.01, from_m=2.0, coefficient=0.62)), 1)
    103.0
    """
    start, end = np.asarray(from_m, np.float64), np.asarray(to_m, np.float64)
    hole = np.asarray(hole_m2, np.float64) * np.asarray(coefficient, np.float64)
    speed = hole * np.sqrt(2 * STANDARD_GRAVITY_M_S2)
    return np.asarray(2 * np.asarray(area_m2, np.float64) / speed * (np.sqrt(start) - np.sqrt(end)))


def pipe_drain_time_s(
    area_m2: ArrayLike,
    *,
    from_m: ArrayLike,
    to_m: ArrayLike,
    length_m: ArrayLike,
    inside_m: ArrayLike,
    roughness_m: ArrayLike,
    viscosity_m2_s: ArrayLike,
    loss_coefficient: ArrayLike,
) -> FloatArray:
    """Return how long an upright tank takes to run out of a pipe with a free end.

    Parameters
    ----------
    area_m2
        Area of the water in the tank, the same at every depth [m2].
    from_m, to_m
        Water over the pipe's free end at the beginning and at the end [m].
    length_m, inside_m, roughness_m
        Of the pipe [m].
    viscosity_m2_s
        Kinematic viscosity [m2/s].
    loss_coefficient
        Fittings, entrance (0.5) and free exit (1.0) together, in velocity heads [1].

    Returns
    -------
    FloatArray
        Time; infinite where the water is to sink to the free end itself, which slow flow in a pipe
        never quite brings about [s].

    Notes
    -----
    Integral of A / Q(h) over the height h, by Gauss in the root of h, where A / Q is nearly even.
    The pipe runs full throughout, which a hump in it may forbid.
    """
    start, end = (np.sqrt(np.asarray(level, np.float64))[..., None] for level in (from_m, to_m))
    root_m = end + (start - end) * (_NODES + 1) / 2
    pipe = (length_m, inside_m, roughness_m, viscosity_m2_s, loss_coefficient)
    length, inside, roughness, viscosity, loss = (
        np.asarray(v, np.float64)[..., None] for v in pipe
    )
    flow = flow_from_head_loss(
        root_m**2,
        length_m=length,
        inside_m=inside,
        roughness_m=roughness,
        viscosity_m2_s=viscosity,
        loss_coefficient=loss,
    )
    # dh = 2 r dr; the nodes lie strictly between the ends, so the flow is never nothing there.
    mean = np.asarray((_WEIGHTS * root_m / flow).sum(axis=-1))
    time_s = np.asarray(area_m2, np.float64) * (start - end)[..., 0] * mean
    return np.where(end[..., 0] > 0, time_s, np.inf)


def draw_time_s(
    volume_m3: ArrayLike,
    *,
    area_m2: ArrayLike,
    from_m: ArrayLike,
    lowest_m: ArrayLike,
    length_m: ArrayLike,
    inside_m: ArrayLike,
    roughness_m: ArrayLike,
    viscosity_m2_s: ArrayLike,
    loss_coefficient: ArrayLike,
) -> FloatArray:
    """Return how long so much water takes from a tank through a pipe: to fill a truck, say.

    Parameters
    ----------
    volume_m3
        Water wanted [m3].
    area_m2
        Area of the water in the tank, the same at every depth [m2].
    from_m, lowest_m
        Water over the pipe's free end at the beginning, and with the tank as low as it may come;
        `lowest_m` above 0 [m].
    length_m, inside_m, roughness_m
        Of the pipe [m].
    viscosity_m2_s
        Kinematic viscosity [m2/s].
    loss_coefficient
        Fittings, entrance (0.5) and free exit (1.0) together, in velocity heads [1].

    Returns
    -------
    FloatArray
        Time; infinite where the tank does not hold so much above its lowest level [s].

    Examples
    --------
    >>> hose = {"length_m": 60.0, "inside_m": 0.05, "roughness_m": 1.5e-6,
    ...         "viscosity_m2_s": 1.307e-6, "loss_coefficient": 1.5}
    >>> tank = {"area_m2": 2.0, "from_m": 10.0, "lowest_m": 8.5}
    >>> bool(draw_time_s(1.0, **tank, **hose) < draw_time_s(2.0, **tank, **hose))
    True
    >>> float(draw_time_s(4.0, **tank, **hose))
    inf
    """
    start, lowest = np.asarray(from_m, np.float64), np.asarray(lowest_m, np.float64)
    sunk = start - np.asarray(volume_m3, np.float64) / np.asarray(area_m2, np.float64)
    # Half a nanometre of water: a tank emptied to its lowest level holds what it was asked for.
    holds = np.asarray(sunk >= lowest - 5e-10)
    time_s = pipe_drain_time_s(
        area_m2,
        from_m=start,
        to_m=np.maximum(sunk, lowest),
        length_m=length_m,
        inside_m=inside_m,
        roughness_m=roughness_m,
        viscosity_m2_s=viscosity_m2_s,
        loss_coefficient=loss_coefficient,
    )
    return np.where(holds, time_s, np.inf)
