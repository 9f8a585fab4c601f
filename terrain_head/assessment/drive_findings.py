"""What the drive pipe must be: of metal, straight, on the ground, of a length that works."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import DRIVE_OFF_GROUND, ENCYCLOPEDIA, TRENCH_DEEP
from terrain_head.base.display import LIKELY
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.formulas.drive_pipe import (
    GREATEST_DRIVE_VELOCITY_M_S,
    USUAL_LENGTH,
    USUAL_LENGTH_PER_FALL,
    check_drive_pipe,
    drive_size_of,
)
from terrain_head.scheme.layout import Pipe

_ROUNDING_M = 1e-6
_PRINTED = 0.05
"""The list of drive flows prints one or two digits: nearer than this to its ends is within it."""


def drive_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge the drive pipe."""
    pipe = evidence.drive
    if pipe is None:
        return
    yield from _material_findings(pipe)
    yield from _length_findings(evidence, pipe)
    yield from _flow_findings(evidence, pipe)
    ram = evidence.layout.ram
    if ram is None or not pipe.profile.between_known:
        return
    if ram.laid == "straight":
        yield from _chord_findings(pipe)
    else:
        yield from _rise_findings(evidence, pipe)


def _material_findings(pipe: Pipe) -> Iterator[Finding]:
    if pipe.spec is not None and pipe.spec.rigid is False:
        yield Finding(
            kind="drive-plastic",
            severity="care",
            texts={"spec": pipe.spec.label, "material": pipe.spec.material},
            source=ENCYCLOPEDIA.at("drive pipe: rigid steel preferred"),
            where=Where(pipe=pipe.name),
        )


def _length_findings(evidence: Evidence, pipe: Pipe) -> Iterator[Finding]:
    length, fall, bore = middle_of(pipe.length_m), evidence.fall_m, middle_of(pipe.inside_m)
    if length is None or fall is None or fall <= 0:
        return
    checks = [
        check
        for check in check_drive_pipe(length_m=length, fall_m=fall, inside_m=bore)
        if check.rule.about != "velocity"
    ]
    met = [check.rule.key for check in checks if check.holds]
    missed = [check.rule.key for check in checks if not check.holds]
    yield Finding(
        kind="drive-length",
        severity="fine" if met else "care",
        value=length,
        unit="m",
        values=known(fall_m=fall, bore_m=bore, usual_m=USUAL_LENGTH_PER_FALL * fall),
        texts={"holds": "; ".join(met), "fails": "; ".join(missed)},
        source=USUAL_LENGTH,
        where=Where(pipe=pipe.name),
    )


def _flow_findings(evidence: Evidence, pipe: Pipe) -> Iterator[Finding]:
    """Hold the flow of one ram against the list by bores, then against the school beyond it."""
    ram, result = evidence.layout.ram, evidence.ram
    used = None if result is None else middle_of(result.used_m3_s)
    bore = middle_of(pipe.inside_m)
    if ram is None or used is None or used <= 0 or bore is None:
        return
    one = used / ram.count
    size = drive_size_of(bore)
    low, high = size.least_flow_m3_s, size.greatest_flow_m3_s
    if low * (1 - _PRINTED) <= one <= high * (1 + _PRINTED):
        return
    most = GREATEST_DRIVE_VELOCITY_M_S * np.pi / 4 * bore**2
    yield Finding(
        kind="drive-flow",
        severity="fine" if high < one <= most else "care",
        value=one,
        limit=low if one < low else high,
        unit="L/min",
        values={"low_m3_s": low, "high_m3_s": high, "most_m3_s": most, "bore_m": bore},
        source=size.citation,
        where=Where(pipe=pipe.name),
    )


def _rise_findings(evidence: Evidence, pipe: Pipe) -> Iterator[Finding]:
    """Find the greatest climb along the flow, and whether it is surer than its error."""
    height = middle_along(pipe.pipe_m)
    lowest_so_far = np.minimum.accumulate(height)
    climb = height - lowest_so_far
    top = int(climb.argmax())
    if climb[top] <= _ROUNDING_M:
        return
    foot = int(height[: top + 1].argmin())
    index = pipe.profile.index
    std = evidence.std_between(int(index[foot]), int(index[top]))
    sure = std is not None and float(climb[top]) > LIKELY * std
    yield Finding(
        kind="drive-rises",
        severity="care" if sure else "fine",
        value=float(climb[top]),
        limit=0.0,
        unit="m",
        values=known(std_m=std),
        texts={"sure": "sure" if sure else "perhaps"},
        source=ENCYCLOPEDIA.at("drive pipe: as straight as possible"),
        where=Where(pipe=pipe.name, station_m=float(pipe.profile.station_m[top])),
    )


def _chord_findings(pipe: Pipe) -> Iterator[Finding]:
    """Compare the straight pipe with the ground under it."""
    over = middle_along(pipe.pipe_m) - middle_along(pipe.profile.elevation_m)
    stations = pipe.profile.station_m
    furthest = int(np.abs(over).argmax())
    if abs(over[furthest]) > DRIVE_OFF_GROUND.value:
        yield Finding(
            kind="drive-off-ground",
            severity="care",
            value=float(abs(over[furthest])),
            limit=DRIVE_OFF_GROUND.value,
            unit="m",
            values={"above_m": max(float(over.max()), 0.0), "below_m": max(float(-over.min()), 0)},
            source=DRIVE_OFF_GROUND.citation,
            where=Where(pipe=pipe.name, station_m=float(stations[furthest])),
        )
    deepest = int(over.argmin())
    if -over[deepest] >= TRENCH_DEEP.value:
        yield Finding(
            kind="trench-deep",
            severity="care",
            value=float(-over[deepest]),
            limit=TRENCH_DEEP.value,
            unit="m",
            source=TRENCH_DEEP.citation,
            where=Where(pipe=pipe.name, station_m=float(stations[deepest])),
        )
