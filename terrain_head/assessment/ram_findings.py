"""Whether the ram keeps beating: its water, its back pressure, its efficiency, its drain."""

from __future__ import annotations

from collections.abc import Iterator

from terrain_head.assessment.evidence import Evidence, known, summit_of
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import BACK_PRESSURE, EXTENSION_RAM, PRACTICE
from terrain_head.base.citation import OURS
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.scheme.parts import Ram
from terrain_head.scheme.solution import RamResult


def ram_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge the ram itself."""
    ram, result = evidence.layout.ram, evidence.ram
    if ram is None or result is None:
        return
    yield from _water_findings(ram, result)
    yield from _back_pressure_findings(evidence, ram, result)
    yield from _efficiency_findings(ram, result)
    yield from _drain_findings(ram, result)
    yield from _summit_findings(evidence, result)


def _water_findings(ram: Ram, result: RamResult) -> Iterator[Finding]:
    where = Where(place=ram.place)
    available = middle_of(result.available_m3_s)
    used = middle_of(result.used_m3_s)
    if result.stopped is not None and middle_of(result.stopped) == 1.0:
        least = None if ram.flow_least_m3_s is None else ram.flow_least_m3_s.value
        one = None if available is None else available / ram.count
        yield Finding(
            kind="ram-stops",
            severity="stop",
            value=one,
            limit=least,
            unit="L/min",
            values=known(available_m3_s=available),
            where=where,
        )
        return
    if ram.flow_m3_s is not None and available is not None:
        wanted = ram.flow_m3_s.value * ram.count
        if wanted > available * (1 + 1e-9):
            yield Finding(
                kind="ram-outruns-spring",
                severity="care",
                value=wanted,
                limit=available,
                unit="L/min",
                values={"count": float(ram.count)},
                where=where,
            )
    passed_by = middle_of(result.passed_by_m3_s)
    if passed_by is not None and passed_by > 1e-9:
        yield Finding(
            kind="water-passes-by",
            severity="fine",
            value=passed_by,
            unit="L/min",
            values=known(used_m3_s=used),
            source=OURS.at("what may be taken less what the rams take"),
            where=where,
        )


def _back_pressure_findings(evidence: Evidence, ram: Ram, result: RamResult) -> Iterator[Finding]:
    lift = middle_of(result.lift_m)
    if lift is None or lift <= 0:
        return
    pressure = evidence.pressure_pa(lift + (middle_of(result.delivery_loss_m) or 0.0))
    if pressure < BACK_PRESSURE.value:
        yield Finding(
            kind="lift-below-back-pressure",
            severity="care",
            value=pressure,
            limit=BACK_PRESSURE.value,
            unit="kPa",
            values={"lift_m": lift},
            source=BACK_PRESSURE.citation,
            where=Where(place=ram.place),
        )


def _efficiency_findings(ram: Ram, result: RamResult) -> Iterator[Finding]:
    efficiency = middle_of(result.efficiency)
    if efficiency is None or result.efficiency_origin != "table":
        return
    citations = result.efficiency_citations
    yield Finding(
        kind="efficiency-disagrees" if result.sources_disagree else "efficiency-from-table",
        severity="care" if result.sources_disagree else "fine",
        value=efficiency,
        values=known(low=middle_of(result.efficiency_low), high=middle_of(result.efficiency_high)),
        texts={"sources": "; ".join(str(citation) for citation in citations)},
        source=citations[0] if citations else None,
        where=Where(place=ram.place),
    )


def _drain_findings(ram: Ram, result: RamResult) -> Iterator[Finding]:
    wasted = middle_of(result.wasted_m3_s)
    source = EXTENSION_RAM.at("the waste must drain away freely")
    where = Where(place=ram.place)
    tail = None if ram.tail_water_above_m is None else ram.tail_water_above_m.value
    valve = ram.valve_above_m.value
    drowned = tail is not None and tail >= valve
    if drowned or valve < 0:
        yield Finding(
            kind="ram-drain",
            severity="care",
            value=tail - valve if drowned and tail is not None else -valve,
            limit=0.0,
            unit="m",
            values=known(wasted_m3_s=wasted),
            texts={"why": "tail water" if drowned else "below ground"},
            source=source,
            where=where,
        )
    elif wasted is not None and wasted > 0:
        yield Finding(
            kind="ram-drain",
            severity="fine",
            value=wasted,
            unit="L/min",
            values={"wasted_m3_s": wasted},
            texts={"why": "spill"},
            source=source,
            where=where,
        )


def _summit_findings(evidence: Evidence, result: RamResult) -> Iterator[Finding]:
    tank = evidence.delivery_tank
    if not result.summit_rules or tank is None:
        return
    delivery, station = summit_of(evidence.delivery_pipes)
    inlet = middle_of(evidence.layout.inlet_m[tank.name])
    top = float(middle_along(delivery.pipe_m)[station])
    yield Finding(
        kind="summit-sets-lift",
        severity="fine",
        value=None if inlet is None else top - inlet,
        unit="m",
        source=OURS.at("water must first be lifted over the summit"),
        where=Where(pipe=delivery.name, station_m=float(delivery.profile.station_m[station])),
    )


def source_findings(evidence: Evidence) -> Iterator[Finding]:
    """Ask whether the flow is that of the dry season, and whether outlets draw more than it."""
    yield from _season_findings(evidence)
    available = middle_of(evidence.solution.available_m3_s)
    for group, drawn in evidence.solution.source_demand_m3_s.items():
        demand = middle_of(drawn)
        if available is None or demand is None or demand <= available * (1 + 1e-9):
            continue
        yield Finding(
            kind="source-outrun",
            severity="care",
            value=demand,
            limit=available,
            unit="L/min",
            texts={"group": group},
            where=Where(place=evidence.source_place),
        )


def _season_findings(evidence: Evidence) -> Iterator[Finding]:
    source = evidence.layout.source
    if source is None or source.flow_m3_s is None or source.monthly_m3_s is not None:
        return
    if source.season == "dry":
        return
    yield Finding(
        kind="flow-season",
        severity="care" if source.season == "other" else "fine",
        value=source.flow_m3_s.value,
        unit="L/min",
        texts={"season": source.season or "not said"},
        source=PRACTICE,
        where=Where(place=source.place),
    )
