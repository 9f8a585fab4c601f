"""Whether every pipe stays under pressure while it runs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.largest_flow import largest_flows
from terrain_head.assessment.limits import CLEARANCE, NEGATIVE
from terrain_head.base.citation import OURS
from terrain_head.base.display import LIKELY
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.formulas.siphon import HIGHEST_M, LOWEST_M, siphon_limit_m
from terrain_head.scheme.ends import SOURCE, seep_node, tank_node
from terrain_head.scheme.joining import ENTRANCE_COEFFICIENT
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.lines import let_go_m, tank_above
from terrain_head.scheme.solution import HydraulicGradeLine, PipeResult

FloatArray = NDArray[np.float64]
INTAKE_LOSS = ENTRANCE_COEFFICIENT
"""Loss coefficient of the entrance from standing water, as the solver takes it [1]."""
_ROUNDING_M = 1e-6


def pressure_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge the running pressure of every pipe but the drive pipe."""
    told: set[str] = set()
    for name, result in evidence.solution.pipes.items():
        pipe = evidence.pipe(name)
        if pipe is None:
            continue
        uphill = _uphill_finding(evidence, pipe)
        if uphill is not None:
            yield uphill
        elif result.running is not None and pipe.role != "drive":
            for finding in _clearance_findings(
                evidence, pipe, result=result, running=result.running
            ):
                joint = _joint_of(finding, pipe)
                if joint not in told:
                    yield finding
                told |= set() if joint is None else {joint}


def _joint_of(finding: Finding, pipe: Pipe) -> str | None:
    """Return the node at which a pipe sucks, None where it does not, or sucks on its way.

    Where pipes are joined the spot is one, and told with the first of them.
    """
    first, last = (float(pipe.profile.station_m[end]) for end in (0, -1))
    at = finding.where.station_m
    if finding.kind != "pressure-negative" or at not in {first, last}:
        return None
    return pipe.upstream if at == first else pipe.downstream


def judged_stations(evidence: Evidence, pipe: Pipe) -> NDArray[np.bool_]:
    """Return at which stations a pipe must run full, shape (n,).

    Notes
    -----
    Not where it begins in the open water of the source, nor where it lets go of its water into a
    tank: there the pressure is nothing by nature. The end of a feed pipe counts: the water in the
    box stands no lower than the pipe that fills it. Where the ground between the ends is not
    known, only the ends are stations.
    """
    judged = np.ones(len(pipe.profile.station_m), dtype=np.bool_)
    if pipe.upstream == SOURCE:
        judged[0] = False
    tanks = {tank_node(tank) for tank in evidence.layout.tanks}
    if pipe.downstream in tanks:
        judged[-1] = False
    return judged


def _clearance_findings(
    evidence: Evidence, pipe: Pipe, *, result: PipeResult, running: HydraulicGradeLine
) -> Iterator[Finding]:
    cases = cases_of(evidence, pipe, running=running)
    heads = np.stack([middle_along(case.pressure_head_m) for case in cases])
    head, worst = heads.min(axis=0), heads.argmin(axis=0)
    groups = [cases[case].group or "" for case in worst]
    judged = judged_stations(evidence, pipe)
    under_m, intake_m = _over_intake(cases[worst[0]], head_m=float(head[0]))
    if head[0] < -_ROUNDING_M and (
        pipe.upstream in {SOURCE, *(seep_node(seep) for seep in evidence.layout.parts.seeps)}
        or (evidence.tank_at(pipe.upstream) is not None and under_m >= -_ROUNDING_M)
    ):
        judged[0] = False
        yield _intake_finding(evidence, pipe, under_m=max(under_m, 0.0), needed_m=intake_m)
    if not judged.any():
        return
    at = int(np.where(judged, head, np.inf).argmin())
    least = float(head[at])
    std = _std_of_clearance(evidence, pipe, at=at)
    where = Where(pipe=pipe.name, station_m=float(pipe.profile.station_m[at]))
    if least < -_ROUNDING_M:
        yield Finding(
            kind="pressure-negative",
            severity="stop",
            value=least,
            limit=NEGATIVE.value,
            unit="m",
            values=known(std_m=std, **_sucking(evidence, pipe, at=at)),
            texts={"group": groups[at]},
            source=NEGATIVE.citation,
            where=where,
        )
        return
    yield from _small_clearance_findings(
        evidence, pipe, head_m=head, judged=judged & _deep(pipe, result), groups=groups
    )


def _sucking(evidence: Evidence, pipe: Pipe, *, at: int) -> dict[str, float | None]:
    """Return how far a pipe may rise over its grade line there, and the flow at which it does not.

    Notes
    -----
    The height above the sea is known only where the datum is a real one; else the limit is that
    at sea level, and no altitude is told.
    """
    warm = evidence.layout.parts.water_temperature_c
    height = float(middle_along(pipe.pipe_m)[at])
    real = evidence.real_heights and LOWEST_M < height < HIGHEST_M
    largest = largest_flows(evidence.solution).get(pipe.name)
    dips = largest is not None and largest.rules == "dip"
    return {
        "siphon_m": middle_of(siphon_limit_m(height if real else 0.0, temperature_c=warm)),
        "altitude_m": height if real else None,
        "largest_m3_s": largest.flow_m3_s if largest is not None and dips else None,
    }


def cases_of(
    evidence: Evidence, pipe: Pipe, *, running: HydraulicGradeLine
) -> Sequence[HydraulicGradeLine]:
    """Return the running cases of a pipe: one for each group of outlets, else the only one."""
    return tuple(evidence.solution.by_group.get(pipe.name, {}).values()) or (running,)


def _over_intake(case: HydraulicGradeLine, *, head_m: float) -> tuple[float, float]:
    """Return the water that stands over an intake, and what its flow takes of it [m]."""
    velocity = middle_of(case.velocity_m_s) or 0.0
    intake_m = (1 + INTAKE_LOSS) * velocity**2 / (2 * STANDARD_GRAVITY_M_S2)
    return head_m + intake_m, intake_m


def _small_clearance_findings(
    evidence: Evidence,
    pipe: Pipe,
    *,
    head_m: FloatArray,
    judged: NDArray[np.bool_],
    groups: Sequence[str],
) -> Iterator[Finding]:
    if not judged.any():
        return
    at = int(np.where(judged, head_m, np.inf).argmin())
    std = _std_of_clearance(evidence, pipe, at=at)
    limit = max(CLEARANCE.value, 0.0 if std is None else LIKELY * std)
    if head_m[at] < limit:
        yield Finding(
            kind="clearance-small",
            severity="care",
            value=float(head_m[at]),
            limit=limit,
            unit="m",
            values=known(std_m=std),
            texts={"group": groups[at]},
            source=CLEARANCE.citation,
            where=Where(pipe=pipe.name, station_m=float(pipe.profile.station_m[at])),
        )


def _deep(pipe: Pipe, result: PipeResult) -> NDArray[np.bool_]:
    """Return at which stations between the ends still water stands high enough to lose some.

    Notes
    -----
    Close under open water the clearance is small by nature, and no wider pipe mends it.
    """
    level = middle_of(result.static_m)
    pipe_m = middle_along(pipe.pipe_m)
    deep = np.ones(len(pipe_m), dtype=np.bool_)
    if level is not None:
        deep = np.asarray(level - pipe_m >= CLEARANCE.value)
    deep[[0, -1]] = False
    return deep


def _uphill_finding(evidence: Evidence, pipe: Pipe) -> Finding | None:
    """Tell of a tank that lies above the water that should fill it by itself."""
    tank = evidence.tank_at(pipe.downstream)
    if pipe.role != "gravity" or tank is None:
        return None
    upper = tank_above(evidence.layout, pipe)
    levels = evidence.layout.lowest_m
    water = evidence.layout.source_level_m if upper is None else levels[upper]
    level, inlet = middle_of(water), middle_of(let_go_m(evidence.layout, tank.name))
    if level is None or inlet is None or level > inlet:
        return None
    return Finding(
        kind="pressure-negative",
        severity="stop",
        value=level - inlet,
        limit=NEGATIVE.value,
        unit="m",
        texts={"group": "", "tank": tank.name},
        source=NEGATIVE.citation,
        where=Where(pipe=pipe.name, station_m=float(pipe.profile.station_m[-1])),
    )


def _intake_finding(evidence: Evidence, pipe: Pipe, *, under_m: float, needed_m: float) -> Finding:
    return Finding(
        kind="intake-shallow",
        severity="care",
        value=under_m,
        limit=needed_m,
        unit="m",
        source=OURS.at("entrance loss and velocity head stand over the intake"),
        where=Where(pipe=pipe.name, place=evidence.place_of(pipe.upstream)),
    )


def _std_of_clearance(evidence: Evidence, pipe: Pipe, *, at: int) -> float | None:
    """Return the error of the ground at a station against the water that feeds the pipe [m]."""
    tank = evidence.delivery_tank
    held = evidence.place_of(pipe.upstream)
    place = tank.place if pipe.role == "delivery" and tank is not None else held
    if place not in evidence.ground.names:
        return None
    return evidence.std_between(evidence.ground.place(place), int(pipe.profile.index[at]))
