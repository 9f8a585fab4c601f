"""The delivery of a ram's beat where water and pipe wall give a little: it comes in steps.

A stopped column does not slow all at once. A wave runs up the drive pipe and back, and at each
return the velocity at the valve drops by a step; water is delivered in whole steps only. What the
last step leaves goes into the recoil. In a soft pipe the steps are so coarse that the first of them
may take all the velocity there is: then nothing is delivered.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.units import STANDARD_GRAVITY_M_S2

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ElasticDelivery:
    """The delivery of one beat in steps.

    Parameters
    ----------
    steps
        How many returns of the wave it lasts; 0 where nothing is delivered [1].
    time_s
        Its time [s].
    volume_m3
        Water delivered [m3].
    left_m_s
        Velocity that is left for the recoil, backward where negative [m/s].
    """

    steps: FloatArray
    time_s: FloatArray
    volume_m3: FloatArray
    left_m_s: FloatArray


def velocity_step_m_s(raised_m: ArrayLike, *, wave_speed_m_s: ArrayLike) -> FloatArray:
    """Return the velocity that one wave against a head takes from the column.

    Parameters
    ----------
    raised_m
        Head against which the column is stopped, above what stood there [m].
    wave_speed_m_s
        Speed of a pressure wave in the drive pipe [m/s].

    Returns
    -------
    FloatArray
        g head / a: a column slower than this lifts nothing over that head [m/s].

    Notes
    -----
    With the head above the source it is the least velocity at which anything is delivered. If the
    waste valve stood nearly open to the air when it shut, the column must raise the whole delivery
    head: entered with that, it is the limit to keep clear of.

    Examples
    --------
    >>> round(float(velocity_step_m_s(27.0, wave_speed_m_s=1200.0)), 5)
    0.22065
    """
    raised, wave = np.asarray(raised_m, np.float64), np.asarray(wave_speed_m_s, np.float64)
    return STANDARD_GRAVITY_M_S2 * raised / wave


def delivering_in_steps(
    closing_m_s: ArrayLike,
    *,
    raised_m: ArrayLike,
    length_m: ArrayLike,
    inside_m: ArrayLike,
    wave_speed_m_s: ArrayLike,
) -> ElasticDelivery:
    """Return the delivery of one beat where waves run in the drive pipe.

    Parameters
    ----------
    closing_m_s
        Velocity at which the waste valve shut [m/s].
    raised_m
        Delivery head above the water of the source: lift and losses less the fall; above 0 [m].
    length_m, inside_m
        Length and inside diameter of the drive pipe [m].
    wave_speed_m_s
        Speed of a pressure wave in it [m/s].

    Returns
    -------
    ElasticDelivery
        Never more water than a stiff column delivers; as much where the closing velocity is an
        even number of steps.

    Notes
    -----
    In the n-th return of the wave, 2 L / a long, the velocity at the valve is V - (2n - 1) d with
    d = g raised / a; there are N = floor((V / d + 1) / 2) of them, and they deliver
    A (2 L / a) (N V - N2 d). Friction is left out.

    Examples
    --------
    >>> steel = delivering_in_steps(
    ...     1.2, raised_m=27.0, length_m=15.0, inside_m=0.05, wave_speed_m_s=1200.0
    ... )
    >>> int(steel.steps), round(1000 * float(steel.volume_m3), 5)
    (3, 0.07923)
    """
    closing, length = np.asarray(closing_m_s, np.float64), np.asarray(length_m, np.float64)
    step = velocity_step_m_s(raised_m, wave_speed_m_s=wave_speed_m_s)
    wave_s = 2 * length / np.asarray(wave_speed_m_s, np.float64)
    steps = np.maximum(np.floor((closing / step + 1) / 2), 0.0)
    area_m2 = np.pi / 4 * np.asarray(inside_m, np.float64) ** 2
    return ElasticDelivery(
        steps=np.asarray(steps),
        time_s=np.asarray(steps * wave_s),
        volume_m3=np.asarray(area_m2 * wave_s * (steps * closing - steps**2 * step)),
        left_m_s=np.asarray(closing - 2 * steps * step),
    )
