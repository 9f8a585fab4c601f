"""What another drive pipe or waste valve would do to the beat of a scheme's ram.

The drive flow, fall and delivery head are held: a waste valve that shuts at another moment is set
anew until the ram takes the same water.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.formulas.surge import ELASTIC_MODULUS_PA, wave_speed_m_s
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.ram_cycle import Cycle, Drive, RamCycle, cycle_for, cycle_of
from terrain_head.scheme.solution import Solution

FloatArray = NDArray[np.float64]

Changed = Literal["nothing", "length", "bore", "wall", "material", "closing"]
"""``closing``: the share of the steady velocity at which the waste valve shuts."""

LENGTHS = (0.5, 2.0)
BORES = (0.8, 1.25)
WALLS = (0.5,)
CLOSINGS = (0.5, 0.9)
"""Changes that are shown: times the length, the bore and the wall, and closing shares; ours."""
PLASTIC = "PE"
PLASTIC_BORE_PER_WALL = 9.0
"""A plastic drive pipe for comparison: polyethylene of SDR 11, whose bore is nine walls; ours."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Variant:
    """One other drive pipe or setting.

    Parameters
    ----------
    changed
        What is changed.
    times
        Length, bore or wall by what it is now; of ``closing`` the share itself [1].
    material
        The other material, empty where it stays.
    cycle
        The beat that it gives.
    """

    changed: Changed
    times: float
    material: str = ""
    cycle: Cycle


def variants_of(solution: Solution) -> tuple[Variant, ...]:
    """Return the beat of a scheme's ram as it is and with one thing changed at a time.

    Parameters
    ----------
    solution
        The scheme, solved.

    Returns
    -------
    tuple of Variant
        The ram as it is first; none where it has no beat.
    """
    found = cycle_of(solution)
    ram = solution.layout.ram
    if found is None or ram is None:
        return ()
    return tuple(_variants(found, solution.layout.pipes[ram.drive]))


def _variants(found: RamCycle, pipe: Pipe) -> Iterator[Variant]:
    drive = found.drive
    yield Variant(changed="nothing", times=1.0, cycle=found.cycle)
    for times in LENGTHS:
        longer = replace(drive, length_m=np.asarray(times * drive.length_m))
        yield Variant(changed="length", times=times, cycle=cycle_for(longer))
    for times in BORES:
        yield Variant(changed="bore", times=times, cycle=cycle_for(_of_bore(drive, pipe, times)))
    spec = pipe.spec
    if spec is not None and found.wave_origin == "wall" and spec.wall_m is not None:
        for times in WALLS:
            wave = wave_speed_m_s(
                inside_m=drive.inside_m,
                wall_m=times * spec.wall_m,
                modulus_pa=ELASTIC_MODULUS_PA[spec.material],
            )
            thin = replace(drive, wave_m_s=wave)
            yield Variant(changed="wall", times=times, cycle=cycle_for(thin))
    if spec is not None and spec.rigid is not False:
        wave = wave_speed_m_s(
            inside_m=PLASTIC_BORE_PER_WALL, wall_m=1.0, modulus_pa=ELASTIC_MODULUS_PA[PLASTIC]
        )
        soft = replace(drive, wave_m_s=wave)
        yield Variant(changed="material", times=1.0, material=PLASTIC, cycle=cycle_for(soft))
    for share in CLOSINGS:
        other = replace(drive, closing_share=np.asarray(share))
        yield Variant(changed="closing", times=share, cycle=cycle_for(other))


def _of_bore(drive: Drive, pipe: Pipe, times: float) -> Drive:
    """Return the drive with another bore and the same wall."""
    wave = drive.wave_m_s
    spec = pipe.spec
    if spec is not None and spec.wall_m is not None and spec.material in ELASTIC_MODULUS_PA:
        wave = wave_speed_m_s(
            inside_m=times * drive.inside_m,
            wall_m=spec.wall_m,
            modulus_pa=ELASTIC_MODULUS_PA[spec.material],
        )
    return replace(drive, inside_m=np.asarray(times * drive.inside_m), wave_m_s=wave)
