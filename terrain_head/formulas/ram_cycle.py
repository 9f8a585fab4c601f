"""One beat of a hydraulic ram in closed form, the water of the drive pipe taken as a stiff column.

The waste valve opens and the column gathers speed; the valve shuts; the column comes to rest
against the delivery head and pushes water through the delivery valve; it swings back a little, the
waste valve drops, and the next beat begins.

Velocities stand as shares of the steady velocity, which the column would come to if the waste valve
were held open. The relations follow from Newton's law for the column; nobody's test rams stand
behind them. Where they were held against print is said at each.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.units import STANDARD_GRAVITY_M_S2

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spell:
    """A part of the beat: how long it lasts [s], and the water that passes a valve in it [m3]."""

    time_s: FloatArray
    volume_m3: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beat:
    """One whole beat.

    Parameters
    ----------
    accelerating
        From the waste valve's opening to its closing; its water is wasted.
    delivering
        From its closing until the column has stopped; its water is delivered.
    recoiling
        From there until the column runs forward again; its water runs back into the drive pipe.
    """

    accelerating: Spell
    delivering: Spell
    recoiling: Spell

    @property
    def time_s(self) -> FloatArray:
        """How long the beat lasts [s]."""
        parts = (self.accelerating, self.delivering, self.recoiling)
        return np.asarray(sum((part.time_s for part in parts), np.zeros(())))

    @property
    def wasted_m3_s(self) -> FloatArray:
        """Mean flow out of the waste valve [m3/s]."""
        return self.accelerating.volume_m3 / self.time_s

    @property
    def delivered_m3_s(self) -> FloatArray:
        """Mean flow through the delivery valve [m3/s]."""
        return self.delivering.volume_m3 / self.time_s

    @property
    def drive_m3_s(self) -> FloatArray:
        """Mean flow into the drive pipe [m3/s]."""
        into = self.accelerating.volume_m3 + self.delivering.volume_m3 - self.recoiling.volume_m3
        return into / self.time_s


REST = Spell(time_s=np.zeros(()), volume_m3=np.zeros(()))
"""No recoil: the column starts its next beat from where it stopped."""


def steady_velocity_m_s(fall_m: ArrayLike, *, loss_coefficient: ArrayLike) -> FloatArray:
    """Return the velocity in the drive pipe with the waste valve held open.

    Parameters
    ----------
    fall_m
        Fall on the drive pipe [m].
    loss_coefficient
        Of drive pipe and open waste valve together, friction, bends and exit included [1].

    Returns
    -------
    FloatArray
        sqrt(2 g fall / coefficient) [m/s].

    Examples
    --------
    >>> round(float(steady_velocity_m_s(3.0, loss_coefficient=14.71)), 3)
    2.0
    """
    fall, loss = np.asarray(fall_m, np.float64), np.asarray(loss_coefficient, np.float64)
    return np.asarray(np.sqrt(2 * STANDARD_GRAVITY_M_S2 * fall / loss))


def accelerating(
    closing_share: ArrayLike,
    *,
    steady_m_s: ArrayLike,
    fall_m: ArrayLike,
    length_m: ArrayLike,
    inside_m: ArrayLike,
    start_share: ArrayLike = 0.0,
) -> Spell:
    """Return time and wasted water from the waste valve's opening to its closing.

    Parameters
    ----------
    closing_share
        Velocity at which the waste valve shuts, by the steady velocity; under 1 [1].
    steady_m_s
        Velocity with the waste valve held open [m/s].
    fall_m
        Fall on the drive pipe [m].
    length_m, inside_m
        Length and inside diameter of the drive pipe [m].
    start_share
        Velocity at which the spell begins, by the steady velocity: 0 from rest [1].

    Returns
    -------
    Spell
        Its water leaves by the waste valve.

    Notes
    -----
    dV/dt = (g H / L) (1 - (V / V0)2): V = V0 tanh(g H t / (L V0)) from rest. Friction is taken
    as growing with the square of the velocity, whatever the Reynolds number.

    References
    ----------
    Breedveld and Yoon, Hydraulic ram, student report, Cornell University, 2021, has it for a drive
    pipe that stands upright, where H / L is 1.
    """
    share, start, steady, fall = _floats(closing_share, start_share, steady_m_s, fall_m)
    scale_s = np.asarray(length_m, np.float64) * steady / (STANDARD_GRAVITY_M_S2 * fall)
    distance_m = 0.5 * scale_s * steady * (np.log1p(-(start**2)) - np.log1p(-(share**2)))
    return Spell(
        time_s=np.asarray(scale_s * (np.arctanh(share) - np.arctanh(start))),
        volume_m3=np.asarray(_area_m2(inside_m) * distance_m),
    )


def delivering(
    closing_m_s: ArrayLike,
    *,
    raised_m: ArrayLike,
    length_m: ArrayLike,
    inside_m: ArrayLike,
    left_m_s: ArrayLike = 0.0,
    loss_coefficient: ArrayLike = 0.0,
) -> Spell:
    """Return time and delivered water while a stiff column is stopped by the delivery head.

    Parameters
    ----------
    closing_m_s
        Velocity at which the waste valve shut [m/s].
    raised_m
        Delivery head above the water of the source: lift and losses less the fall [m].
    length_m, inside_m
        Length and inside diameter of the drive pipe [m].
    left_m_s
        Velocity at which the delivery ends; 0 where the column is stopped [m/s].
    loss_coefficient
        Of the delivery valve, on the drive pipe's velocity [1].

    Returns
    -------
    Spell
        Its water leaves by the delivery valve.

    Notes
    -----
    dV/dt = -g raised / L - coefficient V2 / (2 L). Without loss the water is A L V2 / (2 g raised).

    References
    ----------
    Breedveld and Yoon, Hydraulic ram, student report, Cornell University, 2021, has it without
    loss.
    """
    closing, left, raised, length = _floats(closing_m_s, left_m_s, raised_m, length_m)
    slowing = STANDARD_GRAVITY_M_S2 * raised / length
    drag = np.asarray(loss_coefficient, np.float64) / (2 * length)
    time_s = _stopping_time_s(closing, slowing, drag) - _stopping_time_s(left, slowing, drag)
    way_m = _stopping_way_m(closing, slowing, drag) - _stopping_way_m(left, slowing, drag)
    return Spell(time_s=np.asarray(time_s), volume_m3=np.asarray(_area_m2(inside_m) * way_m))


def recoiling(
    back_m_s: ArrayLike,
    *,
    steady_m_s: ArrayLike,
    fall_m: ArrayLike,
    length_m: ArrayLike,
    inside_m: ArrayLike,
) -> Spell:
    """Return time and water of the swing back, until the column runs forward again.

    Parameters
    ----------
    back_m_s
        Velocity with which the column starts back, without sign [m/s].
    steady_m_s
        Velocity with the waste valve held open [m/s].
    fall_m
        Fall on the drive pipe [m].
    length_m, inside_m
        Length and inside diameter of the drive pipe [m].

    Returns
    -------
    Spell
        Its water runs back into the drive pipe.

    Notes
    -----
    dV/dt = (g H / L) (1 + (V / V0)2), the waste valve taken as open from the first moment.
    """
    back, steady, fall = _floats(np.abs(back_m_s), steady_m_s, fall_m)
    scale_s = np.asarray(length_m, np.float64) * steady / (STANDARD_GRAVITY_M_S2 * fall)
    share = back / steady
    return Spell(
        time_s=np.asarray(scale_s * np.arctan(share)),
        volume_m3=np.asarray(_area_m2(inside_m) * 0.5 * scale_s * steady * np.log1p(share**2)),
    )


def beat(
    closing_share: ArrayLike,
    *,
    steady_m_s: ArrayLike,
    fall_m: ArrayLike,
    head_m: ArrayLike,
    length_m: ArrayLike,
    inside_m: ArrayLike,
    start_share: ArrayLike = 0.0,
    loss_coefficient: ArrayLike = 0.0,
) -> Beat:
    """Return one beat of a stiff column that does not swing back.

    Parameters
    ----------
    closing_share
        Velocity at which the waste valve shuts, by the steady velocity; under 1 [1].
    steady_m_s
        Velocity with the waste valve held open [m/s].
    fall_m
        Fall on the drive pipe [m].
    head_m
        Delivery head above the ram, losses included; more than the fall [m].
    length_m, inside_m
        Length and inside diameter of the drive pipe [m].
    start_share
        Velocity at which each beat begins and its delivery ends, by the steady velocity [1].
    loss_coefficient
        Of the delivery valve, on the drive pipe's velocity [1].

    Returns
    -------
    Beat
        With no recoil.

    Examples
    --------
    >>> one = beat(0.6, steady_m_s=2.0, fall_m=3.0, head_m=30.0, length_m=15.0, inside_m=0.05)
    >>> round(float(60 / one.time_s), 2)
    77.44
    """
    share, start, steady, fall = _floats(closing_share, start_share, steady_m_s, fall_m)
    return Beat(
        accelerating=accelerating(
            share,
            steady_m_s=steady,
            fall_m=fall,
            length_m=length_m,
            inside_m=inside_m,
            start_share=start,
        ),
        delivering=delivering(
            share * steady,
            raised_m=np.asarray(head_m, np.float64) - fall,
            length_m=length_m,
            inside_m=inside_m,
            left_m_s=start * steady,
            loss_coefficient=loss_coefficient,
        ),
        recoiling=REST,
    )


def ideal_efficiency(closing_share: ArrayLike, *, start_share: ArrayLike = 0.0) -> FloatArray:
    """Return Rankine's efficiency of a stiff column without loss at the delivery valve.

    Parameters
    ----------
    closing_share
        Velocity at which the waste valve shuts, by the steady velocity; under 1 [1].
    start_share
        Velocity at which each beat begins, by the steady velocity; less than `closing_share` [1].

    Returns
    -------
    FloatArray
        (x2 - y2) / ln((1 - y2) / (1 - x2)), whatever fall, lift, length and bore [1].

    Notes
    -----
    All that is lost is lost in drive pipe and waste valve while the column gathers speed: the
    sooner the valve shuts, the less. Real rams lie below it.

    Examples
    --------
    >>> round(float(ideal_efficiency(0.5)), 4)
    0.869
    """
    share, start = _floats(closing_share, start_share)
    lost = np.log1p(-(start**2)) - np.log1p(-(share**2))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(share == 0, 1.0, (share**2 - start**2) / lost)


def _floats(*values: ArrayLike) -> tuple[FloatArray, ...]:
    return tuple(np.asarray(value, np.float64) for value in values)


def _area_m2(inside_m: ArrayLike) -> FloatArray:
    return np.asarray(np.pi / 4 * np.asarray(inside_m, np.float64) ** 2)


def _stopping_time_s(velocity: FloatArray, slowing: FloatArray, drag: FloatArray) -> FloatArray:
    """Return the time in which a velocity is stopped by a steady and a square slowing [s]."""
    root = np.sqrt(drag * velocity**2 / slowing)
    with np.errstate(divide="ignore", invalid="ignore"):
        bent = np.where(root == 0, 1.0, np.arctan(root) / root)
    return np.asarray(velocity / slowing * bent)


def _stopping_way_m(velocity: FloatArray, slowing: FloatArray, drag: FloatArray) -> FloatArray:
    """Return the way that the column goes meanwhile [m]."""
    square = drag * velocity**2 / slowing
    with np.errstate(divide="ignore", invalid="ignore"):
        bent = np.where(square == 0, 1.0, np.log1p(square) / square)
    return np.asarray(velocity**2 / (2 * slowing) * bent)
