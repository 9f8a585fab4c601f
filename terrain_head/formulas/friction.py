"""What a pipe takes from the head: friction along its wall, and its fittings.

The loss grows with the flow through all three regimes of the friction factor, and each regime is
turned round in its own way, so that a flow found from a head carries exactly that head.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.formulas.friction_factor import (
    LAMINAR_REYNOLDS,
    TURBULENT_REYNOLDS,
    factor_exponent,
    friction_factor,
    turbulent_factor,
)

FloatArray = NDArray[np.float64]

HAZEN_WILLIAMS_SI = 10.961710
"""In SI; printed 0.2083 for feet in 100 feet, US gallons a minute, inches and 100/C."""

_LN10 = float(np.log(10.0))


def reynolds(flow_m3_s: ArrayLike, *, inside_m: ArrayLike, viscosity_m2_s: ArrayLike) -> FloatArray:
    """Return the Reynolds number of a full round pipe.

    Parameters
    ----------
    flow_m3_s
        Flow, either sign [m3/s].
    inside_m
        Inside diameter [m].
    viscosity_m2_s
        Kinematic viscosity [m2/s].

    Returns
    -------
    FloatArray
        Never negative [1].
    """
    flow, inside = np.asarray(flow_m3_s, np.float64), np.asarray(inside_m, np.float64)
    return 4 * np.abs(flow) / (np.pi * inside * np.asarray(viscosity_m2_s, np.float64))


def velocity_m_s(flow_m3_s: ArrayLike, *, inside_m: ArrayLike) -> FloatArray:
    """Return the mean velocity in a full round pipe.

    Parameters
    ----------
    flow_m3_s
        Flow [m3/s].
    inside_m
        Inside diameter [m].

    Returns
    -------
    FloatArray
        Velocity, with the sign of the flow [m/s].
    """
    flow, inside = np.asarray(flow_m3_s, np.float64), np.asarray(inside_m, np.float64)
    return 4 * flow / (np.pi * inside**2)


def velocity_head_m(flow_m3_s: ArrayLike, *, inside_m: ArrayLike) -> FloatArray:
    """Return the head that the moving water carries in its speed.

    Parameters
    ----------
    flow_m3_s
        Flow [m3/s].
    inside_m
        Inside diameter [m].

    Returns
    -------
    FloatArray
        V2 / 2g [m].
    """
    return velocity_m_s(flow_m3_s, inside_m=inside_m) ** 2 / (2 * STANDARD_GRAVITY_M_S2)


def head_loss_per_metre(
    flow_m3_s: ArrayLike,
    *,
    inside_m: ArrayLike,
    roughness_m: ArrayLike,
    viscosity_m2_s: ArrayLike,
) -> FloatArray:
    """Return the head lost to friction in each metre of a full round pipe.

    Parameters
    ----------
    flow_m3_s
        Flow, either sign [m3/s].
    inside_m
        Inside diameter [m].
    roughness_m
        Absolute roughness of the wall [m].
    viscosity_m2_s
        Kinematic viscosity [m2/s].

    Returns
    -------
    FloatArray
        Loss a metre, with the sign of the flow; 0 in still water, nan where an argument is
        nan [m/m].

    Notes
    -----
    Darcy and Weisbach: f V2 / (2 g D).

    Examples
    --------
    >>> loss = head_loss_per_metre(
    ...     0.3e-3, inside_m=0.026, roughness_m=7e-6, viscosity_m2_s=1.004e-6
    ... )
    >>> round(float(loss), 4)
    0.0178
    """
    flow, inside = np.asarray(flow_m3_s, np.float64), np.asarray(inside_m, np.float64)
    viscosity = np.asarray(viscosity_m2_s, np.float64)
    re = reynolds(flow, inside_m=inside, viscosity_m2_s=viscosity)
    factor = friction_factor(re, np.asarray(roughness_m, np.float64) / inside)
    moving = np.where(re == 0, 0.0, factor)
    head = velocity_head_m(flow, inside_m=inside) + 0 * viscosity
    return np.copysign(moving * head / inside, flow)


def head_loss_m(
    flow_m3_s: ArrayLike,
    *,
    length_m: ArrayLike,
    inside_m: ArrayLike,
    roughness_m: ArrayLike,
    viscosity_m2_s: ArrayLike,
    loss_coefficient: ArrayLike = 0.0,
) -> FloatArray:
    """Return the head lost in a pipe and its fittings.

    Parameters
    ----------
    flow_m3_s
        Flow, either sign [m3/s].
    length_m
        Length along the pipe [m].
    inside_m, roughness_m
        Inside diameter and absolute roughness [m].
    viscosity_m2_s
        Kinematic viscosity [m2/s].
    loss_coefficient
        Sum of the coefficients of fittings, entrance and exit, in velocity heads [1].

    Returns
    -------
    FloatArray
        Loss, with the sign of the flow [m].
    """
    friction = head_loss_per_metre(
        flow_m3_s, inside_m=inside_m, roughness_m=roughness_m, viscosity_m2_s=viscosity_m2_s
    )
    minor = minor_loss_m(flow_m3_s, inside_m=inside_m, loss_coefficient=loss_coefficient)
    return friction * np.asarray(length_m, np.float64) + minor


def head_loss_and_slope_per_metre(
    flow_m3_s: ArrayLike,
    *,
    inside_m: ArrayLike,
    roughness_m: ArrayLike,
    viscosity_m2_s: ArrayLike,
) -> tuple[FloatArray, FloatArray]:
    """Return the head lost in each metre of pipe, and how fast it grows with the flow.

    Parameters
    ----------
    flow_m3_s
        Flow, either sign [m3/s].
    inside_m, roughness_m
        Inside diameter and absolute roughness of the wall [m].
    viscosity_m2_s
        Kinematic viscosity [m2/s].

    Returns
    -------
    loss : FloatArray
        What `head_loss_per_metre` gives [m/m].
    slope : FloatArray
        Its exact derivative by the flow, always more than 0: in still water that of laminar
        flow, at the corners between the regimes that of the side above [s/m3].

    Notes
    -----
    The loss goes with f Q2, so its slope is (2 + d ln f / d ln Re) times loss by flow; laminar
    flow leaves 128 viscosity / (pi g D4), whatever the flow.

    Examples
    --------
    >>> loss, slope = head_loss_and_slope_per_metre(
    ...     0.3e-3, inside_m=0.026, roughness_m=7e-6, viscosity_m2_s=1.004e-6
    ... )
    >>> round(float(slope * 0.3e-3 / loss), 3)
    1.759
    """
    flow, inside = np.asarray(flow_m3_s, np.float64), np.asarray(inside_m, np.float64)
    viscosity, rough = np.asarray(viscosity_m2_s, np.float64), np.asarray(roughness_m, np.float64)
    re = reynolds(flow, inside_m=inside, viscosity_m2_s=viscosity)
    factor = friction_factor(np.maximum(re, 1.0), rough / inside)
    exponent = factor_exponent(np.maximum(re, 1.0), rough / inside, factor=factor)
    still = 128 * viscosity / (np.pi * STANDARD_GRAVITY_M_S2 * inside**4)
    # f by 64/Re is how many times more than a laminar flow this one loses.
    times = np.maximum(factor * re / 64, 1.0)
    loss, slope = still * times * flow, still * times * (2 + exponent)
    return np.asarray(loss), np.asarray(slope)


def minor_loss_m(
    flow_m3_s: ArrayLike, *, inside_m: ArrayLike, loss_coefficient: ArrayLike
) -> FloatArray:
    """Return the head lost in fittings.

    Parameters
    ----------
    flow_m3_s
        Flow, either sign [m3/s].
    inside_m
        Inside diameter of the pipe in which they sit [m].
    loss_coefficient
        Sum of their coefficients, in velocity heads [1].

    Returns
    -------
    FloatArray
        Loss, with the sign of the flow [m].
    """
    head = velocity_head_m(flow_m3_s, inside_m=inside_m)
    return np.copysign(head * np.asarray(loss_coefficient, np.float64), flow_m3_s)


def flow_from_head_loss(
    head_loss_m: ArrayLike,
    *,
    length_m: ArrayLike,
    inside_m: ArrayLike,
    roughness_m: ArrayLike,
    viscosity_m2_s: ArrayLike,
    loss_coefficient: ArrayLike = 0.0,
) -> FloatArray:
    """Return the flow that a loss of head drives through a pipe and its fittings.

    Parameters
    ----------
    head_loss_m
        Head lost between the ends, either sign [m].
    length_m
        Length along the pipe [m].
    inside_m, roughness_m
        Inside diameter and absolute roughness [m].
    viscosity_m2_s
        Kinematic viscosity [m2/s].
    loss_coefficient
        Sum of the coefficients of fittings, entrance and exit, in velocity heads [1].

    Returns
    -------
    FloatArray
        Flow, with the sign of the loss; infinite where neither length nor fitting resists [m3/s].

    Notes
    -----
    The inverse of `head_loss_m`. The head says which regime rules, since the loss grows with the
    flow; each regime is then solved between its own bounds.

    Examples
    --------
    >>> pipe = {"length_m": 400.0, "inside_m": 0.026, "roughness_m": 1.5e-6,
    ...         "viscosity_m2_s": 1.307e-6, "loss_coefficient": 1.5}
    >>> flow = flow_from_head_loss(12.0, **pipe)
    >>> round(float(head_loss_m(flow, **pipe)), 9)
    12.0
    """
    loss, length, inside, roughness, viscosity, minor = np.broadcast_arrays(
        *(
            np.asarray(value, np.float64)
            for value in (
                head_loss_m, length_m, inside_m, roughness_m, viscosity_m2_s, loss_coefficient,
            )
        )
    )  # fmt: skip
    shape = loss.shape
    # h = unit (f L/D + K) Re^2: everything below is in numbers without a unit.
    unit = viscosity**2 / (2 * STANDARD_GRAVITY_M_S2 * inside**2)
    head, slender, rough = (
        np.atleast_1d(np.abs(loss) / unit).ravel(),
        np.atleast_1d(length / inside).ravel(),
        np.atleast_1d(roughness / inside).ravel(),
    )
    minor = np.atleast_1d(minor).ravel()
    re = _reynolds_from_head(head, slender, rough, minor).reshape(shape)
    return np.asarray(np.copysign(re * np.pi * inside * viscosity / 4, loss))


def _reynolds_from_head(
    head: FloatArray, slender: FloatArray, rough: FloatArray, minor: FloatArray
) -> FloatArray:
    with np.errstate(divide="ignore", invalid="ignore"):
        drag = 64 * slender
        re = np.asarray(2 * head / (drag + np.sqrt(drag**2 + 4 * minor * head)))
    re[head == 0] = 0.0
    re[(slender == 0) & (minor == 0) & (head > 0)] = np.inf
    re[np.isnan(rough)] = np.nan
    first = turbulent_factor(np.full(rough.shape, TURBULENT_REYNOLDS), rough)
    begins = (first * slender + minor) * TURBULENT_REYNOLDS**2
    faster = (re > LAMINAR_REYNOLDS) & np.isfinite(re)
    turbulent, between = faster & (head >= begins), faster & (head < begins)
    if turbulent.any():
        pick = turbulent
        re[pick] = _turbulent_reynolds(head[pick], slender[pick], rough[pick], minor[pick])
    if between.any():
        pick = between
        re[pick] = _transition_reynolds(head[pick], slender[pick], first[pick], minor[pick])
    return np.asarray(re)


def _turbulent_reynolds(
    head: FloatArray, slender: FloatArray, rough: FloatArray, minor: FloatArray
) -> FloatArray:
    """Find x = 1 / sqrt f; with no fittings 2.51 x / Re is known and the first step is exact."""
    with np.errstate(divide="ignore", invalid="ignore"):
        wall, root = rough / 3.7, np.sqrt(head)
        x = np.full(head.shape, 8.0)
        # The right side falls by less than a quarter of what x rises: Newton cannot overshoot.
        for _ in range(6):
            resist = np.sqrt(slender + minor * x * x)
            inner = wall + 2.51 * resist / root
            off = x + 2 / _LN10 * np.log(inner)
            slope = 1 + 2 / _LN10 * 2.51 * minor * x / (resist * root * inner)
            x = x - off / slope
        return np.asarray(root / np.sqrt(slender / (x * x) + minor))


def _transition_reynolds(
    head: FloatArray, slender: FloatArray, first: FloatArray, minor: FloatArray
) -> FloatArray:
    """Solve a rising, convex cubic; Newton from its upper end comes down without a miss."""
    at_laminar = 64 / LAMINAR_REYNOLDS
    rise = (first - at_laminar) / (TURBULENT_REYNOLDS - LAMINAR_REYNOLDS)
    base = slender * (at_laminar - rise * LAMINAR_REYNOLDS) + minor
    re = np.full(head.shape, TURBULENT_REYNOLDS)
    for _ in range(8):
        value = (slender * rise * re + base) * re**2 - head
        re -= value / ((3 * slender * rise * re + 2 * base) * re)
    return np.asarray(re)


def hazen_williams_loss_per_metre(
    flow_m3_s: ArrayLike, *, inside_m: ArrayLike, coefficient: ArrayLike
) -> FloatArray:
    """Return the head lost in each metre of pipe by the rule of Hazen and Williams.

    Parameters
    ----------
    flow_m3_s
        Flow, either sign [m3/s].
    inside_m
        Inside diameter [m].
    coefficient
        Their coefficient C: 150 for new plastic, 100 for old steel [1].

    Returns
    -------
    FloatArray
        Loss a metre, with the sign of the flow [m/m].

    Notes
    -----
    Printed for feet in 100 feet, US gallons a minute and inches:
    0.2083 (100/C)^1.852 Q^1.852 / d^4.8655; in SI 10.9617 Q^1.852 / (C^1.852 D^4.8655). The form
    10.67 / D^4.87 that also goes round gives 1 % less. Shown for comparison only: it knows water of
    one warmth, and is low by a sixth and more below 0.2 m/s, where a ram's delivery often works.

    References
    ----------
    Texts on plastic pipe, no year, the form in US units.
    """
    flow, inside = np.asarray(flow_m3_s, np.float64), np.asarray(inside_m, np.float64)
    share = np.abs(flow) / np.asarray(coefficient, np.float64)
    return np.asarray(np.copysign(HAZEN_WILLIAMS_SI * share**1.852 / inside**4.8655, flow))
