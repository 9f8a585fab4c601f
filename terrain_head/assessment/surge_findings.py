"""Water hammer in the pipes behind ram, spring and tank: what a valve raises that is slammed.

The ram's own blow is judged with `terrain_head.assessment.hammer_findings`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.hammer_findings import OCCASIONAL
from terrain_head.assessment.upstream import line_down_to
from terrain_head.base.citation import OURS, Citation
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.formulas.pipe_walls import SURGE_ALLOWANCES, SurgeAllowance, allowed_with_surge_pa
from terrain_head.formulas.slow_closing import least_closing_s
from terrain_head.formulas.surge import surge_pressure_pa, wave_return_s
from terrain_head.formulas.water import density_kg_m3
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.parts import PipeSpec
from terrain_head.scheme.ram_cycle import wave_in
from terrain_head.scheme.solution import HydraulicGradeLine, Solution

NO_ALLOWANCE = SurgeAllowance(
    material="",
    recurring=1.0,
    occasional=1.0,
    citation=OURS.at("where no allowance was read, surge and still water stay within the rating"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeSurge:
    """What one pipe has to bear when its running water is stopped at once.

    Parameters
    ----------
    pipe
        Its name.
    velocity_m_s
        The greatest of its running cases [m/s].
    wave_m_s
        Speed of a pressure wave in it [m/s].
    hammer_pa
        What the stop raises on top of the still pressure [Pa].
    return_s
        Time in which the wave runs up to the open water and back: a valve that shuts faster
        raises all of it [s].
    still_pa
        Greatest still pressure in it [Pa].
    allowed_pa
        What still pressure and recurring surge may come to together; None where the pipe has no
        rating in its water [Pa].
    closing_s
        The quickest closing that stays within that, 0 where any does; None where not known, or
        where still water alone is too much [s].
    citation
        Where the allowance was read.
    """

    pipe: str
    velocity_m_s: float
    wave_m_s: float
    hammer_pa: float
    return_s: float
    still_pa: float
    allowed_pa: float | None
    closing_s: float | None
    citation: Citation

    @property
    def total_pa(self) -> float:
        """Still pressure and full hammer together [Pa]."""
        return self.still_pa + self.hammer_pa

    @property
    def borne(self) -> bool | None:
        """Whether the pipe bears a valve slammed shut every day; None where not known."""
        return None if self.allowed_pa is None else self.total_pa <= self.allowed_pa


def allowance_of(spec: PipeSpec) -> SurgeAllowance:
    """Return how far still pressure and surge may pass the rating of a pipe."""
    return SURGE_ALLOWANCES.get(spec.material, NO_ALLOWANCE)


def surge_in(
    solution: Solution,
    pipe: Pipe,
    *,
    velocity_m_s: float | None = None,
    down_to: Pipe | None = None,
) -> PipeSurge | None:
    """Return the surge in a pipe, None where its flow, wall or still pressure is not known.

    Parameters
    ----------
    solution
        The scheme, solved.
    pipe
        One of its pipes; a drive pipe has none here.
    velocity_m_s
        Velocity that is stopped, None for the greatest of its running cases [m/s].
    down_to
        The pipe below it with the valve at its end, None for the pipe itself.

    Notes
    -----
    What is stopped runs at the velocity of the pipe itself; the blow of a valve further down comes
    up through the tees weaker than it is there. The way of the wave is counted to the open water.
    """
    result = solution.pipes.get(pipe.name)
    still = None if result is None else middle_of(result.max_static_pa)
    wave = middle_of(wave_in(pipe)[0])
    speed = _greatest_velocity(solution, pipe) if velocity_m_s is None else velocity_m_s
    if pipe.role == "drive" or pipe.spec is None or still is None or wave is None or not speed:
        return None
    water_c = solution.layout.parts.water_temperature_c
    hammer = surge_pressure_pa(speed, wave_speed_m_s=wave, density_kg_m3=density_kg_m3(water_c))
    back = _return_s(solution, down_to or pipe)
    rating = pipe.spec.rating_at(water_c)
    allowance = allowance_of(pipe.spec)
    allowed = closing = None
    if rating is not None:
        allowed, _ = allowed_with_surge_pa(rating, allowance=allowance)
        slow = least_closing_s(hammer, wave_return_s=back, spare_pa=allowed - still)
        closing = middle_of(slow)
    return PipeSurge(
        pipe=pipe.name,
        velocity_m_s=speed,
        wave_m_s=wave,
        hammer_pa=float(hammer),
        return_s=back,
        still_pa=still,
        allowed_pa=allowed,
        closing_s=closing,
        citation=allowance.citation,
    )


def surge_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge every pipe but the drive pipe against its own water stopped at once.

    Notes
    -----
    A pipe that still water alone strains is told so elsewhere; one that ends where so many litres
    are filled is judged with that valve.
    """
    filling = {one.place for one in evidence.layout.outlets if one.fills_m3 is not None}
    for pipe in evidence.layout.pipes.values():
        surge = surge_in(evidence.solution, pipe)
        if surge is None or pipe.downstream in filling or pipe.spec is None:
            continue
        bears = pipe.spec.rating_at(evidence.layout.parts.water_temperature_c)
        if surge.borne is not False or bears is None or surge.still_pa > bears:
            continue
        lowest = int(middle_along(pipe.pipe_m).argmin())
        yield Finding(
            kind="surge-over-rating",
            severity="stop" if surge.total_pa > OCCASIONAL.value * bears else "care",
            value=surge.total_pa,
            limit=surge.allowed_pa,
            unit="kPa",
            values=known(
                hammer_pa=surge.hammer_pa,
                still_pa=surge.still_pa,
                rating_pa=bears,
                velocity_m_s=surge.velocity_m_s,
                wave_m_s=surge.wave_m_s,
                closing_s=surge.closing_s,
            ),
            texts={"spec": pipe.spec.label},
            source=surge.citation,
            where=Where(pipe=pipe.name, station_m=float(pipe.profile.station_m[lowest])),
        )


def _greatest_velocity(solution: Solution, pipe: Pipe) -> float | None:
    """Return the greatest velocity of a pipe's running cases, None where it has none [m/s]."""
    result = solution.pipes.get(pipe.name)
    if result is None:
        return None
    cases: list[HydraulicGradeLine] = [
        case for case in (result.running, result.running_full) if case is not None
    ]
    cases += solution.by_group.get(pipe.name, {}).values()
    speeds = [middle_of(np.abs(case.velocity_m_s)) for case in cases]
    return max((speed for speed in speeds if speed is not None), default=None)


def _return_s(solution: Solution, pipe: Pipe) -> float:
    """Return the time of a wave to the open water and back, pipe by pipe [s].

    A pipe on the way whose wall is not known counts as the last one.
    """
    line = line_down_to(solution.layout, pipe)
    own = wave_in(pipe)[0]
    waves = [wave if np.all(np.isfinite(wave)) else own for wave, _ in map(wave_in, line)]
    times = [
        wave_return_s(one.length_m, wave_speed_m_s=wave)
        for one, wave in zip(line, waves, strict=True)
    ]
    return middle_of(sum(times, np.zeros(()))) or 0.0
