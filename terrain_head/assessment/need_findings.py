"""Whether tanks and outlets get what they need, and what a full tank weighs."""

from __future__ import annotations

from collections.abc import Iterator

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import PRACTICE
from terrain_head.base.citation import OURS
from terrain_head.base.middle import middle_of
from terrain_head.scheme.ends import tank_node
from terrain_head.scheme.parts import Outlet, Tank
from terrain_head.scheme.solution import OutletResult, TankResult

_SLACK = 1 + 1e-9


def need_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge every tank and every outlet."""
    for tank in evidence.layout.tanks:
        result = evidence.solution.tanks.get(tank.name)
        if result is not None:
            yield from _tank_findings(evidence, tank, result)
    for outlet in evidence.layout.outlets:
        pressed = evidence.solution.outlets.get(outlet.name)
        if pressed is not None:
            yield from _outlet_findings(outlet, pressed)


def _tank_findings(evidence: Evidence, tank: Tank, result: TankResult) -> Iterator[Finding]:
    where, texts = Where(place=tank.place), {"tank": tank.name}
    inflow = middle_of(result.inflow_m3_s)
    needed = None if tank.needed_m3_s is None else tank.needed_m3_s.value
    if inflow is not None and needed is not None and inflow * _SLACK < needed:
        yield Finding(
            kind="tank-short",
            severity="care",
            value=inflow,
            limit=needed,
            unit="m3/d",
            values={"missing_m3_s": needed - inflow},
            texts=texts,
            where=where,
        )
    mass = middle_of(result.weight_full_kg)
    if mass is not None and tank.stand_m.value > 0:
        yield Finding(
            kind="tank-weight",
            severity="care",
            value=mass,
            unit="kg",
            values={"stand_m": tank.stand_m.value, "count": float(tank.count)},
            texts=texts,
            source=PRACTICE,
            where=where,
        )
    under = tank.inlet_m.value < tank.water_depth_m.value / _SLACK
    if under and not _floats_for_outlets(evidence, tank):
        yield Finding(
            kind="inlet-below-full",
            severity="care",
            value=tank.inlet_m.value,
            limit=tank.water_depth_m.value,
            unit="m",
            texts=texts,
            source=OURS.at("the lift counts to the full level where that stands over the inlet"),
            where=where,
        )


def _floats_for_outlets(evidence: Evidence, tank: Tank) -> bool:
    """Say whether a tank gives water back through its inlet to outlets on the way to it."""
    pipes = evidence.layout.pipes.values()
    filling = {pipe.line for pipe in pipes if pipe.downstream == tank_node(tank)}
    passed = {pipe.downstream for pipe in pipes if pipe.line in filling}
    return tank.inlet_m.value <= tank.lowest_m.value and any(
        outlet.place in passed for outlet in evidence.layout.outlets
    )


def _outlet_findings(outlet: Outlet, result: OutletResult) -> Iterator[Finding]:
    running = middle_of(result.running_low_pa)
    out = middle_of(result.flow_m3_s)
    if running is None and outlet.opens is not None and out is not None and out <= 0:
        running = 0.0
    if running is None:
        return
    flow = None if outlet.flow_m3_s is None else outlet.flow_m3_s.value
    needs = None if outlet.needs_pa is None else outlet.needs_pa.value
    where = Where(place=outlet.place, outlet=outlet.name)
    texts = {"group": result.group or "", "fed_by": result.fed_by or ""}
    if running <= 0:
        yield Finding(
            kind="outlet-dry",
            severity="stop",
            value=running,
            limit=0.0,
            unit="kPa",
            values=known(flow_m3_s=flow),
            texts=texts,
            source=OURS.at("water runs out only under pressure"),
            where=where,
        )
    elif needs is not None and running * _SLACK < needs:
        yield Finding(
            kind="outlet-short",
            severity="care",
            value=running,
            limit=needs,
            unit="kPa",
            values=known(
                missing_pa=needs - running,
                flow_m3_s=flow,
                stand_needed_m=middle_of(result.stand_needed_m),
            ),
            texts=texts,
            where=where,
        )
