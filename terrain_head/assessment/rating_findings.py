"""Whether every pipe bears what still water, or the ram's beat, puts on it, warm as it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from terrain_head.assessment.break_pressure import BreakPressure, break_pressure_of
from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import RATING_SHARE, SUN_WARM
from terrain_head.base.citation import OURS, Citation
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.parts import PipeSpec


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """The greatest pressure that a pipe must bear day by day.

    Parameters
    ----------
    pipe, spec
        The pipe.
    pressure_pa
        Of still water, or of each beat of the ram where that is more [Pa].
    texts, where
        As the findings say them.
    """

    pipe: Pipe
    spec: PipeSpec
    pressure_pa: float
    texts: Mapping[str, str]
    where: Where


def rating_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge the greatest static pressure of every pipe against what it bears in its water.

    Notes
    -----
    A pipe is as warm as its water. Plastic that lies bare on the ground is judged once more, as
    warm as the sun makes it.
    """
    unrated: dict[str, float] = {}
    for load in _loads(evidence):
        if load.spec.rating_pa is None:
            unrated[load.pipe.name] = load.pressure_pa
        else:
            yield from _judged(evidence, load)
    if unrated:
        yield Finding(
            kind="rating-unknown",
            severity="fine",
            value=max(unrated.values()),
            unit="kPa",
            values={"count": float(len(unrated))},
            texts={"pipes": ", ".join(unrated)},
            source=OURS.at("a pipe is asked for its rating, none is assumed"),
        )


def beat_pa(evidence: Evidence) -> float:
    """Return what every beat of the ram puts on its drive pipe at the least, 0 where not known.

    Notes
    -----
    The delivery valve opens only when the pressure under it has risen to that of the delivery;
    a valve that sticks would let it rise further [Pa].
    """
    lift = None if evidence.ram is None else evidence.lift_m
    loss = None if evidence.ram is None else middle_of(evidence.ram.delivery_loss_m)
    return 0.0 if lift is None else evidence.pressure_pa(lift + (loss or 0.0))


def _loads(evidence: Evidence) -> Iterator[Load]:
    for name, result in evidence.solution.pipes.items():
        pipe = evidence.pipe(name)
        static = middle_of(result.max_static_pa)
        if pipe is None or pipe.spec is None or static is None or static <= 0:
            continue
        lowest = int(middle_along(pipe.pipe_m).argmin())
        texts = {"spec": pipe.spec.label}
        rated = pipe.spec.rating_pa is not None
        if rated and pipe.role == "drive" and beat_pa(evidence) > static:
            static, texts = beat_pa(evidence), texts | {"case": "beat"}
        yield Load(
            pipe=pipe,
            spec=pipe.spec,
            pressure_pa=static,
            texts=texts,
            where=Where(pipe=name, station_m=float(pipe.profile.station_m[lowest])),
        )


def _judged(evidence: Evidence, load: Load) -> Iterator[Finding]:
    water_c = evidence.layout.parts.water_temperature_c
    bears = load.spec.rating_at(water_c)
    if bears is None:
        yield _too_warm(load, water_c)
        return
    # Said only where the water's warmth takes something off.
    warm = {"cool_rating_pa": load.spec.rating_pa, "temperature_c": water_c}
    if bears == load.spec.rating_pa:
        warm = {}
    if load.pressure_pa > bears:
        broken = break_pressure_of(evidence.solution, load.pipe)
        yield Finding(
            kind="pressure-over-rating",
            severity="stop",
            value=load.pressure_pa,
            limit=bears,
            unit="kPa",
            values=known(**warm, **_broken_values(evidence, broken)),
            texts={**load.texts, **_broken_texts(load.pipe, broken)},
            source=_derated_by(load.spec) if warm else load.spec.citation,
            where=load.where,
        )
        return
    if load.pressure_pa > RATING_SHARE.value * bears:
        yield Finding(
            kind="pressure-near-rating",
            severity="care",
            value=load.pressure_pa,
            limit=RATING_SHARE.value * bears,
            unit="kPa",
            values=known(rating_pa=bears, **warm),
            texts=load.texts,
            source=RATING_SHARE.citation,
            where=load.where,
        )
    yield from _sun_findings(load, water_c=water_c, bears_pa=bears)


def _broken_values(evidence: Evidence, broken: BreakPressure | None) -> dict[str, float | None]:
    """Return where the pressure passes the rating, where tanks break it, and what they cost."""
    if broken is None:
        return {}
    tanks = broken.tanks or ()
    values: dict[str, float | None] = {
        "over_from_m": broken.over_from.station_m,
        "tanks": float(len(tanks)),
    }
    for number, tank in enumerate(tanks, start=1):
        values |= {f"tank_{number}_m": tank.station_m, f"ground_{number}_m": tank.ground_m}
    if broken.costs_m is not None and tanks:
        values["costs_pa"] = evidence.pressure_pa(broken.costs_m)
    return values


def _broken_texts(pipe: Pipe, broken: BreakPressure | None) -> dict[str, str]:
    if pipe.role == "delivery":
        return {"case": "delivery"}
    tanks = () if broken is None else broken.tanks or ()
    return {f"tank_{number}": tank.pipe for number, tank in enumerate(tanks, start=1)}


def _too_warm(load: Load, water_c: float) -> Finding:
    table = load.spec.derating
    return Finding(
        kind="water-too-warm",
        severity="care",
        value=water_c,
        limit=None if table is None else table.warmest_c,
        unit="C",
        values=known(pressure_pa=load.pressure_pa, cool_rating_pa=load.spec.rating_pa),
        texts=load.texts,
        source=_derated_by(load.spec),
        where=load.where,
    )


def _sun_findings(load: Load, *, water_c: float, bears_pa: float) -> Iterator[Finding]:
    """Judge plastic that lies bare: near its rating it is told, over what is left it is care."""
    sun_c = max(SUN_WARM.value, water_c)
    left = load.spec.rating_at(sun_c)
    if load.spec.derating is None or load.pipe.run.cover_m.value > 0:
        return
    over = left is None or load.pressure_pa > left
    if not over and load.pressure_pa <= RATING_SHARE.value * bears_pa:
        return
    yield Finding(
        kind="pipe-in-sun",
        severity="care" if over else "fine",
        value=load.pressure_pa,
        limit=left,
        unit="kPa",
        values={"temperature_c": sun_c},
        texts=load.texts,
        source=load.spec.derating.citation,
        where=load.where,
    )


def _derated_by(spec: PipeSpec) -> Citation | None:
    return None if spec.derating is None else spec.derating.citation
