"""Whether the heights let a ram work at all: fall, lift, and how sure they are."""

from __future__ import annotations

from collections.abc import Iterator

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import (
    FALL_LEAST,
    FALL_SURE,
    FALL_USUAL,
    RATIO_HIGH,
    RATIO_MOST,
    RATIO_NO_OUTPUT,
)
from terrain_head.base.citation import OURS
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.formulas.drive_pipe import drive_size_of


def fall_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge the fall and its doubt; at most one finding on its size."""
    fall = evidence.fall_m
    source, ram = evidence.source_place, evidence.ram_place
    if fall is None or source is None or ram is None or feed_starves(evidence):
        return
    std = evidence.std_of("fall")
    where = Where(place=ram)
    if fall <= 0 and not _fed(evidence):
        yield Finding(
            kind="fall-negative",
            severity="stop",
            value=fall,
            limit=0.0,
            unit="m",
            values=known(std_m=std),
            texts={"source": source, "ram": ram, "origin": _origins(evidence, source, ram)},
            source=OURS.at("a ram stands below its water"),
            where=where,
        )
        return
    if fall < FALL_LEAST.value:
        yield Finding(
            kind="fall-too-small",
            severity="stop",
            value=fall,
            limit=FALL_LEAST.value,
            unit="m",
            values=known(std_m=std),
            source=FALL_LEAST.citation,
            where=where,
        )
    elif fall < FALL_USUAL.value:
        yield Finding(
            kind="fall-small",
            severity="care",
            value=fall,
            limit=FALL_USUAL.value,
            unit="m",
            values=known(std_m=std, ogden_least_m=least_fall_by_bore(evidence)),
            source=FALL_USUAL.citation,
            where=where,
        )
    half = evidence.half_range_of("fall")
    if half is not None and half >= FALL_SURE.value * fall:
        yield Finding(
            kind="fall-doubtful",
            severity="care",
            value=half / fall,
            limit=FALL_SURE.value,
            values=known(fall_m=fall, std_m=std, half_range_m=half),
            texts={"origin": _origins(evidence, source, ram)},
            source=FALL_SURE.citation,
            where=where,
        )


def _origins(evidence: Evidence, *places: str) -> str:
    """Say where the heights of places come from, each origin once."""
    return ", ".join(sorted({evidence.origin_of(place).word for place in places}))


def feed_starves(evidence: Evidence) -> bool:
    """Return whether the feed pipes can't carry the drive flow, which spoils a sound fall.

    Notes
    -----
    The fall left is then no fall of the ground; the feed pipe's own pressure tells what is wrong.
    """
    fall = evidence.fall_m
    if fall is None or not _fed(evidence) or fall >= FALL_LEAST.value:
        return False
    lines = [
        result.running
        for name, result in evidence.solution.pipes.items()
        if result.running is not None and evidence.layout.pipes[name].role == "feed"
    ]
    return any(middle_along(line.pressure_head_m)[-1] < 0 for line in lines)


def _fed(evidence: Evidence) -> bool:
    """Say whether the ground gives a fall, and feed pipes take from it."""
    layout = evidence.layout
    source, valve = middle_of(layout.source_level_m), middle_of(layout.valve_level_m)
    fed = any(pipe.role == "feed" for pipe in layout.pipes.values())
    return fed and source is not None and valve is not None and source > valve


def least_fall_by_bore(evidence: Evidence) -> float | None:
    """Return Ogden's least fall for the bore of the drive pipe, None without a bore [m]."""
    bore = None if evidence.drive is None else middle_of(evidence.drive.inside_m)
    return None if bore is None else drive_size_of(bore).least_fall_m


def lift_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge the lift against the fall."""
    fall, lift, ram = evidence.fall_m, evidence.lift_m, evidence.ram_place
    if fall is None or lift is None or ram is None:
        return
    where = Where(place=ram)
    tank = evidence.delivery_tank
    name = "" if tank is None else tank.name
    if lift <= 0:
        yield Finding(
            kind="lift-negative",
            severity="stop",
            value=lift,
            limit=0.0,
            unit="m",
            values=known(std_m=evidence.std_of("lift")),
            texts={"tank": name, "ram": ram},
            source=OURS.at("a ram lifts upward"),
            where=where,
        )
    elif 0 < lift <= fall:
        yield Finding(
            kind="ram-not-needed",
            severity="care",
            value=lift,
            limit=fall,
            unit="m",
            values={"fall_m": fall},
            texts={"tank": name},
            source=OURS.at("water runs downhill by itself"),
            where=where,
        )
    if fall > 0 and lift > 0:
        yield from ratio_findings(evidence, lift_m=lift, fall_m=fall)


def ratio_findings(evidence: Evidence, *, lift_m: float, fall_m: float) -> Iterator[Finding]:
    """Judge (lift + losses)/fall against what is published."""
    result = evidence.ram
    stated = None if result is None else middle_of(result.head_ratio)
    ratio = lift_m / fall_m if stated is None else stated
    where = Where(place=evidence.ram_place)
    values = {"fall_m": fall_m, "lift_m": lift_m}
    if ratio > RATIO_MOST.value:
        measured = result is not None and result.efficiency_origin == "measured"
        yield Finding(
            kind="lift-beyond-range",
            severity="care" if measured else "stop",
            value=ratio,
            limit=RATIO_MOST.value,
            values=values,
            source=RATIO_MOST.citation,
            where=where,
        )
    elif ratio > RATIO_HIGH.value:
        yield Finding(
            kind="lift-ratio-high",
            severity="care",
            value=ratio,
            limit=RATIO_HIGH.value,
            values=values | {"no_output_ratio": RATIO_NO_OUTPUT},
            source=RATIO_HIGH.citation,
            where=where,
        )
