"""The beat of a scheme's ram: how fast it beats, what each beat moves, and how hard it strikes.

All from the drive flow of one ram, its drive pipe, its fall and its delivery head. Two numbers a
person can't measure with a tape are missing: the share of the steady velocity at which the waste
valve shuts, which measured beats give and which is taken otherwise; and the speed of a pressure
wave, which the wall of the drive pipe gives.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.citation import OURS
from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.formulas.friction import velocity_m_s
from terrain_head.formulas.ram_cycle import Beat, beat, ideal_efficiency
from terrain_head.formulas.ram_cycle_elastic import delivering_in_steps, velocity_step_m_s
from terrain_head.formulas.ram_pace import mean_by_steady, quickness
from terrain_head.formulas.surge import (
    ELASTIC_MODULUS_PA,
    WAVE_IN_FREE_WATER_M_S,
    joukowsky_head_m,
    wave_speed_m_s,
)
from terrain_head.scheme.bracket import root_between
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.solution import RamResult, Solution

FloatArray = NDArray[np.float64]

CLOSING_SHARE = 0.7
"""Share of the steady velocity at which the waste valve is taken to shut, where no beats tell."""
CLOSING_SHARE_CITATION = OURS.at("the waste valve shuts at seven tenths of the steady velocity")
_LATEST = 1 - 1e-12

WaveOrigin = Literal["wall", "free water"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drive:
    """All that the beat of one ram hangs on; every value () or (draws,).

    Parameters
    ----------
    flow_m3_s
        Mean flow into one ram [m3/s].
    fall_m, head_m
        Fall on its drive pipe; delivery head above it, losses included [m].
    length_m, inside_m
        Of its drive pipe [m].
    closing_share
        Velocity at which the waste valve shuts, by the steady velocity [1].
    wave_m_s
        Speed of a pressure wave in its drive pipe; nan where not known [m/s].
    """

    flow_m3_s: FloatArray
    fall_m: FloatArray
    head_m: FloatArray
    length_m: FloatArray
    inside_m: FloatArray
    closing_share: FloatArray
    wave_m_s: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cycle:
    """The ideal beat of one ram; nan where it has none.

    Parameters
    ----------
    closing_m_s, closing_most_m_s
        Velocity at which the waste valve shuts; twice the mean, which it never passes however late
        the valve shuts [m/s].
    steady_m_s
        Velocity with the waste valve held open [m/s].
    beat
        The beat of a stiff column.
    ideal_efficiency
        Rankine's efficiency of that beat [1].
    hammer_m, hammer_most_m
        Head over the ram if the delivery valve sticks, at `closing_m_s` and `closing_most_m_s`:
        the full blow on top of the fall [m].
    least_closing_m_s
        Velocity below which the blow does not reach the delivery head [m/s].
    stepped_share
        Water that comes in whole returns of the wave, by that of a stiff column [1].
    """

    closing_m_s: FloatArray
    closing_most_m_s: FloatArray
    steady_m_s: FloatArray
    beat: Beat
    ideal_efficiency: FloatArray
    hammer_m: FloatArray
    hammer_most_m: FloatArray
    least_closing_m_s: FloatArray
    stepped_share: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RamCycle:
    """The beat of the study's ram; with several rams, of each.

    Parameters
    ----------
    drive
        What it hangs on.
    cycle
        The ideal beat.
    share_origin
        ``beats`` where measured beats gave the closing share, else ``taken``.
    quickest_hz
        The quickest beats that a column starting from rest can have with this flow, pipe and fall
        [1/s].
    wave_origin
        ``wall``: from the drive pipe's wall; ``free water``: a metal pipe whose wall is not known
        is taken as stiff, which is the worst case; None where the wave's speed is not known.
    factor
        What the ram makes of the ideal: its Rankine efficiency by that of the ideal beat; nan
        where its efficiency is not known [1].
    factor_origin
        Where its efficiency came from.
    delivered_m3, wasted_m3
        Water of one beat with the ram's own efficiency; nan where not known [m3].
    """

    drive: Drive
    cycle: Cycle
    share_origin: Literal["beats", "taken"]
    quickest_hz: FloatArray
    wave_origin: WaveOrigin | None
    factor: FloatArray
    factor_origin: Literal["measured", "table"] | None
    delivered_m3: FloatArray
    wasted_m3: FloatArray


def cycle_for(drive: Drive) -> Cycle:
    """Return the ideal beat of one ram.

    Parameters
    ----------
    drive
        What it hangs on; nan comes out where fall or flow are 0 or less, or where the delivery
        head is not above the fall.

    Notes
    -----
    The column starts each beat from rest and is stopped without loss at the delivery valve. Its
    mean velocity is that of the drive flow, which gives the steady velocity; friction and waste
    valve need not be known apart.
    """
    works = (drive.fall_m > 0) & (drive.flow_m3_s > 0) & (drive.head_m > drive.fall_m)
    fall = np.where(works, drive.fall_m, np.nan)
    head = np.asarray(drive.head_m, np.float64)
    mean = velocity_m_s(drive.flow_m3_s, inside_m=drive.inside_m)
    share = drive.closing_share
    steady = np.asarray(mean / mean_by_steady(share, fall_m=fall, head_m=head))
    closing, most = share * steady, np.asarray(np.where(works, 2 * mean, np.nan))
    whole = beat(
        share,
        steady_m_s=steady,
        fall_m=fall,
        head_m=head,
        length_m=drive.length_m,
        inside_m=drive.inside_m,
    )
    stepped = delivering_in_steps(
        closing,
        raised_m=head - fall,
        length_m=drive.length_m,
        inside_m=drive.inside_m,
        wave_speed_m_s=drive.wave_m_s,
    )
    return Cycle(
        closing_m_s=np.asarray(closing),
        closing_most_m_s=most,
        steady_m_s=steady,
        beat=whole,
        ideal_efficiency=np.where(works, ideal_efficiency(share), np.nan),
        hammer_m=np.asarray(fall + joukowsky_head_m(closing, wave_speed_m_s=drive.wave_m_s)),
        hammer_most_m=np.asarray(fall + joukowsky_head_m(most, wave_speed_m_s=drive.wave_m_s)),
        least_closing_m_s=velocity_step_m_s(head - fall, wave_speed_m_s=drive.wave_m_s),
        stepped_share=np.asarray(stepped.volume_m3 / whole.delivering.volume_m3),
    )


def cycle_of(solution: Solution) -> RamCycle | None:
    """Return the beat of a solved scheme's ram, None where flow, heads or bore do not give it.

    Parameters
    ----------
    solution
        The scheme, solved.

    Notes
    -----
    Measured beats give the closing share where they fit: it falls out of length, flow, fall and
    beats. Beats quicker than a column from rest can have are left aside.
    """
    layout, result = solution.layout, solution.ram
    pipe = None if layout.ram is None else layout.pipes.get(layout.ram.drive)
    if layout.ram is None or result is None or pipe is None or pipe.spec is None:
        return None
    if result.used_m3_s is None or result.lift_m is None:
        return None
    loss = 0.0 if result.delivery_loss_m is None else result.delivery_loss_m
    head = np.asarray(result.lift_m + loss)
    works = (result.fall_m > 0) & (result.used_m3_s > 0) & (head > result.fall_m)
    if not np.any(works):
        return None
    wave, origin = wave_in(pipe)
    drive = Drive(
        flow_m3_s=np.where(works, result.used_m3_s / layout.ram.count, np.nan),
        fall_m=result.fall_m,
        head_m=head,
        length_m=pipe.length_m,
        inside_m=pipe.inside_m,
        closing_share=np.asarray(CLOSING_SHARE),
        wave_m_s=wave,
    )
    fits = False
    if layout.ram.beats_hz is not None:
        share = share_from_beats(drive, np.asarray(layout.ram.beats_hz.value))
        fits = bool(np.mean(np.isfinite(share)) > 0.5)
        drive = replace(drive, closing_share=np.where(np.isfinite(share), share, CLOSING_SHARE))
    cycle = cycle_for(drive)
    return _own(result, drive, cycle, fits=fits, origin=origin, count=layout.ram.count)


def share_from_beats(drive: Drive, beats_hz: FloatArray) -> FloatArray:
    """Return the closing share that measured beats tell, nan where they are too quick to fit.

    Parameters
    ----------
    drive
        What the beat hangs on; its own closing share is not looked at.
    beats_hz
        Beats of one ram [1/s].

    Notes
    -----
    The slower the beats, the nearer to the steady velocity the valve shuts.
    """
    number = np.asarray(_pace_s(drive) * beats_hz)

    def missing(share: FloatArray) -> FloatArray:
        return np.asarray(quickness(share, fall_m=drive.fall_m, head_m=drive.head_m) - number)

    low = np.zeros(number.shape)
    slow = np.asarray(missing(np.full(number.shape, _LATEST)) >= 0)
    root = root_between(missing, low=low, high=_LATEST)
    return np.where(slow, _LATEST, root)


def wave_in(pipe: Pipe) -> tuple[FloatArray, WaveOrigin | None]:
    """Return the speed of a pressure wave in a drive pipe, and what it comes from [m/s].

    Parameters
    ----------
    pipe
        The drive pipe. A metal one whose wall or metal is not known is taken as stiff.
    """
    spec = pipe.spec
    if spec is not None and spec.wall_m is not None and spec.material in ELASTIC_MODULUS_PA:
        modulus = ELASTIC_MODULUS_PA[spec.material]
        speed = wave_speed_m_s(inside_m=pipe.inside_m, wall_m=spec.wall_m, modulus_pa=modulus)
        return speed, "wall"
    if spec is not None and spec.rigid:
        return np.asarray(WAVE_IN_FREE_WATER_M_S), "free water"
    return np.asarray(np.nan), None


def _own(
    result: RamResult,
    drive: Drive,
    cycle: Cycle,
    *,
    fits: bool,
    origin: WaveOrigin | None,
    count: int,
) -> RamCycle:
    """Return the beat with what the ram itself makes of it."""
    unknown = np.asarray(np.nan)
    rankine = unknown if result.rankine is None else result.rankine
    lifted = unknown if result.delivered_m3_s is None else result.delivered_m3_s / count
    delivered_m3 = np.asarray(lifted * cycle.beat.time_s)
    return RamCycle(
        drive=drive,
        cycle=cycle,
        share_origin="beats" if fits else "taken",
        quickest_hz=np.asarray(0.5 * (1 - drive.fall_m / drive.head_m) / _pace_s(drive)),
        wave_origin=origin,
        factor=np.asarray(rankine / cycle.ideal_efficiency),
        factor_origin=result.efficiency_origin,
        delivered_m3=delivered_m3,
        wasted_m3=np.asarray(drive.flow_m3_s * cycle.beat.time_s - delivered_m3),
    )


def _pace_s(drive: Drive) -> FloatArray:
    """Return L V / (g H): a quickness is this by the time of a beat [s]."""
    mean = velocity_m_s(drive.flow_m3_s, inside_m=drive.inside_m)
    return np.asarray(drive.length_m * mean / (STANDARD_GRAVITY_M_S2 * drive.fall_m))
