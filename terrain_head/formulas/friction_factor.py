"""The Darcy friction factor of a round pipe.

Three regimes, one continuous factor: laminar below a Reynolds number of 2000, turbulent by
Colebrook and White above 4000, and between them it rises on a straight line (our convention:
measurements there scatter).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import OURS, Source

FloatArray = NDArray[np.float64]

LAMINAR_REYNOLDS = 2000.0
TURBULENT_REYNOLDS = 4000.0

COLEBROOK = Source(
    key="colebrook-1939",
    author="C. F. Colebrook",
    title="Turbulent flow in pipes, J. Inst. Civil Engineers 11",
    year="1939",
    obtained="from memory",
)
BETWEEN_REGIMES = OURS.at(
    "friction factor on a straight line between Reynolds numbers 2000 and 4000"
)

_BLOCK = 16_384
_LN10 = float(np.log(10.0))


def friction_factor(reynolds: ArrayLike, relative_roughness: ArrayLike) -> FloatArray:
    """Return the Darcy friction factor.

    Parameters
    ----------
    reynolds
        Reynolds number, zero or more [1].
    relative_roughness
        Roughness by inside diameter, broadcast against it; 0 to 0.05 is the Moody chart [1].

    Returns
    -------
    FloatArray
        Friction factor; infinite in still water, nan where an argument is nan [1].

    Notes
    -----
    64 / Re to Re = 2000. From 4000 the root of Colebrook and White's equation, carried by two
    third-order steps to the last digits of a float. Between, a straight line in Re: the factor
    rises, so the loss grows with the flow.

    Examples
    --------
    >>> float(friction_factor(1000.0, 0.0))
    0.064
    >>> round(float(friction_factor(1e5, 1e-4)), 6)
    0.018514

    References
    ----------
    C. F. Colebrook, Turbulent flow in pipes, J. Inst. Civil Engineers 11, 1939 (from memory).
    """
    re, rough = np.broadcast_arrays(
        np.asarray(reynolds, np.float64), np.asarray(relative_roughness, np.float64)
    )
    factor = np.empty(re.size)
    flat_re, flat_rough = re.ravel(), rough.ravel()
    # Blocks that stay in the processor's cache: twice as fast as whole arrays of a million.
    for begin in range(0, factor.size, _BLOCK):
        part = slice(begin, begin + _BLOCK)
        factor[part] = _factor_of_block(flat_re[part], flat_rough[part])
    return factor.reshape(re.shape)


def _factor_of_block(re: FloatArray, rough: FloatArray) -> FloatArray:
    turbulent = turbulent_factor(np.maximum(re, TURBULENT_REYNOLDS), rough)
    if re.min() >= TURBULENT_REYNOLDS:
        return turbulent
    share = (re - LAMINAR_REYNOLDS) / (TURBULENT_REYNOLDS - LAMINAR_REYNOLDS)
    at_laminar = 64 / LAMINAR_REYNOLDS
    between = at_laminar + np.clip(share, 0.0, 1.0) * (turbulent - at_laminar)
    laminar = np.divide(64.0, re, out=np.full(re.shape, np.inf), where=re != 0)
    blended = np.where(re <= LAMINAR_REYNOLDS, laminar + 0 * rough, between)
    return np.where(re >= TURBULENT_REYNOLDS, turbulent, blended)


def turbulent_factor(re: FloatArray, rough: FloatArray) -> FloatArray:
    """Return the friction factor of Colebrook and White, whatever the Reynolds number.

    Parameters
    ----------
    re
        Reynolds number, more than 0 [1].
    rough
        Roughness by inside diameter, of the same shape [1].

    Returns
    -------
    FloatArray
        The f of x = -2 log10(rough / 3.7 + 2.51 x / Re) with x = 1 / sqrt f [1].
    """
    wall = rough / 3.7
    smooth = 2.51 / re
    # The equation itself, entered with the x of a middling pipe, gives x within half a unit.
    x = np.log(wall + 8.0 * smooth)
    x *= -2 / _LN10
    for _ in range(2):
        # Halley's step: the second derivative costs no further logarithm.
        inner = smooth * x
        inner += wall
        off = np.log(inner)
        off *= 2 / _LN10
        off += x
        bend = np.divide(smooth, inner, out=inner)
        slope = bend * (2 / _LN10)
        slope += 1
        bend *= bend
        bend *= off
        bend /= slope
        bend *= 1 / _LN10
        slope += bend
        off /= slope
        x -= off
    x *= x
    return np.asarray(1 / x)


def factor_exponent(
    reynolds: ArrayLike, relative_roughness: ArrayLike, *, factor: FloatArray
) -> FloatArray:
    """Return how the friction factor goes with the Reynolds number: d ln f / d ln Re.

    Parameters
    ----------
    reynolds
        Reynolds number, zero or more [1].
    relative_roughness
        Roughness by inside diameter [1].
    factor
        What `friction_factor` gives for them, of their common shape [1].

    Returns
    -------
    FloatArray
        -1 in laminar flow, more than 0 between the regimes, from -1 to 0 in turbulent flow; at
        2000 and 4000, where the factor has a corner, the value of the side above [1].

    Notes
    -----
    With x = 1 / sqrt f and b = (2 / ln 10) (2.51 / Re) / (rough / 3.7 + 2.51 x / Re), Colebrook
    and White's equation differentiated gives -2 b / (1 + b). So turbulent loss goes with the
    flow to the power 2 / (1 + b): 2 in a rough pipe, about 1.75 in a smooth one.

    Examples
    --------
    >>> float(factor_exponent(1000.0, 0.0, factor=friction_factor(1000.0, 0.0)))
    -1.0
    >>> round(float(factor_exponent(1e5, 1e-4, factor=friction_factor(1e5, 1e-4))), 3)
    -0.187
    """
    re, rough, known = np.broadcast_arrays(
        np.asarray(reynolds, np.float64), np.asarray(relative_roughness, np.float64), factor
    )
    x = 1 / np.sqrt(known)
    smooth = 2.51 / np.maximum(re, TURBULENT_REYNOLDS)
    bend = smooth * (2 / _LN10) / (rough / 3.7 + smooth * x)
    exponent = np.atleast_1d(np.where(re >= LAMINAR_REYNOLDS, -2 * bend / (1 + bend), -1.0))
    between = np.atleast_1d((re >= LAMINAR_REYNOLDS) & (re < TURBULENT_REYNOLDS))
    if between.any():
        pick_re, pick_rough, pick = (np.atleast_1d(one)[between] for one in (re, rough, known))
        first = turbulent_factor(np.full(pick_re.shape, TURBULENT_REYNOLDS), pick_rough)
        rise = (first - 64 / LAMINAR_REYNOLDS) / (TURBULENT_REYNOLDS - LAMINAR_REYNOLDS)
        exponent[between] = rise * pick_re / pick
    return np.asarray(exponent.reshape(re.shape) + 0 * (re + rough))
