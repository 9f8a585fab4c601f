"""Hand-made evidence: a small scheme that gives no trouble, and ways to spoil it."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.evidence import Evidence
from terrain_head.assessment.finding import Finding
from terrain_head.assessment.judge import judge
from terrain_head.base.citation import COMMON_PRACTICE
from terrain_head.base.covariance import Covariance
from terrain_head.base.measured import Measured
from terrain_head.ground.grid import ElevationGrid, RasterError
from terrain_head.ground.ground import Ground, GroundProfile, Origin
from terrain_head.leveling.elevations import Elevations, Misclosure
from terrain_head.scheme.layout import Layout, Pipe, Role
from terrain_head.scheme.parts import Outlet, Parts, PipeRun, PipeSpec, Ram, Source, Tank
from terrain_head.scheme.solution import (
    HydraulicGradeLine,
    OutletResult,
    PipeResult,
    RamResult,
    Solution,
    TankResult,
)

PRACTICE = COMMON_PRACTICE.at("")
STEEL = PipeSpec(
    label="steel 2 in",
    inside_m=Measured(value=0.0525),
    roughness_m=Measured(value=4.5e-5),
    rating_pa=5e6,
    material="steel",
    rigid=True,
)
PLASTIC = PipeSpec(
    label="PE 32 mm",
    inside_m=Measured(value=0.026),
    roughness_m=Measured(value=1.5e-6),
    rating_pa=1.6e6,
    material="PE",
    rigid=False,
)
STATIONS = {"drive": 25.0, "delivery": 200.0, "beds": 120.0}
ENDS = {"drive": ("spring", "ram"), "delivery": ("ram", "knoll"), "beds": ("knoll", "beds")}
NODES = {"drive": ("source", "ram"), "delivery": ("ram", "tank"), "beds": ("tank", "beds")}
ROLES: Mapping[str, Role] = {"drive": "drive", "delivery": "delivery", "beds": "supply"}
PLACES = {"spring": 100.0, "ram": 95.0, "knoll": 118.0, "beds": 104.0}


def scalar(value: float) -> NDArray[np.float64]:
    return np.asarray(value, dtype=np.float64)


def evidence_of(
    *,
    datum_m: float = 0.0,
    std_m: float = 0.01,
    heights: Mapping[str, Sequence[float]] | None = None,
) -> Evidence:
    """Return a scheme without trouble: 5 m of fall, 24.5 m of lift, a tank on the ground.

    Parameters
    ----------
    datum_m
        Added to every elevation [m].
    std_m
        Standard error of each elevation, all apart; nan for unknown [m].
    heights
        Ground at evenly spaced stations of a pipe, both ends among them, by its name [m].
    """
    courses = {
        name: np.linspace(PLACES[first], PLACES[last], 5) for name, (first, last) in ENDS.items()
    }
    courses.update({name: np.asarray(line, np.float64) for name, line in (heights or {}).items()})
    elevation = list(PLACES.values())
    names = tuple(PLACES)
    profiles: dict[str, GroundProfile] = {}
    for name, line in courses.items():
        first, last = ENDS[name]
        inner = list(range(len(elevation), len(elevation) + len(line) - 2))
        elevation.extend(line[1:-1])
        index = np.array([names.index(first), *inner, names.index(last)])
        profiles[name] = profile_of(name, index=index, line=line + datum_m, std_m=std_m)
    total = len(elevation)
    ground = Ground(
        names=names,
        east_m=np.full(total, np.nan),
        north_m=np.full(total, np.nan),
        elevation_m=np.array(elevation) + datum_m,
        origin=np.full(total, Origin.LEVELED, dtype=np.int8),
        covariance_of=lambda index: Covariance.independent(np.full(len(index), std_m)),
        profiles=profiles,
        datum="assumed",
    )
    layout = _layout(ground, datum_m=datum_m)
    known = None if np.isnan(std_m) else std_m
    return Evidence(
        ground=ground,
        layout=layout,
        solution=_solution(layout, datum_m=datum_m),
        elevations=elevations_of(datum_m=datum_m),
        grid=None,
        spread={"fall": Measured(value=5.0, std=known), "lift": Measured(value=24.5, std=known)},
    )


def profile_of(
    name: str, *, index: NDArray[np.intp], line: NDArray[np.float64], std_m: float
) -> GroundProfile:
    count = len(line)
    station = np.linspace(0.0, STATIONS[name], count)
    return GroundProfile(
        name=name,
        route=name,
        index=index,
        station_m=station,
        east_m=np.full(count, np.nan),
        north_m=np.full(count, np.nan),
        elevation_m=line,
        std_m=np.full(count, std_m),
        origin=np.full(count, Origin.LEVELED, dtype=np.int8),
        along_m=station,
        corner=np.ones(count, dtype=np.bool_),
        between_known=True,
    )


def _layout(ground: Ground, *, datum_m: float) -> Layout:
    parts = Parts(
        source=Source(
            place="spring",
            water_above_m=Measured(value=0.0),
            flow_m3_s=Measured(value=1e-3),
            season="dry",
        ),
        ram=Ram(place="ram", built="bought", efficiency=Measured(value=0.6)),
        tanks=(
            Tank(
                name="tank",
                place="knoll",
                water_depth_m=Measured(value=1.5),
                lowest_m=Measured(value=0.2),
                inlet_m=Measured(value=1.5),
                diameter_m=Measured(value=1.4),
            ),
        ),
        outlets=(
            Outlet(
                name="beds",
                place="beds",
                height_m=Measured(value=0.6),
                flow_m3_s=Measured(value=2e-4),
                needs_pa=Measured(value=6e4),
            ),
        ),
        pipes=tuple(
            PipeRun(name=name, start=start, end=end, spec=STEEL if name == "drive" else PLASTIC)
            for name, (start, end) in NODES.items()
        ),
    )
    pipes = {
        run.name: Pipe(
            run=run,
            role=ROLES[run.name],
            upstream=run.start,
            downstream=run.end,
            profile=ground.profiles[run.name],
            pipe_m=ground.profiles[run.name].elevation_m,
            riser_up_m=scalar(0.0),
            riser_down_m=scalar(0.0),
            length_m=scalar(STATIONS[run.name]),
            along_m=ground.profiles[run.name].along_m,
            inside_m=scalar(run.spec.inside_m.value if run.spec else np.nan),
            roughness_m=scalar(run.spec.roughness_m.value if run.spec else np.nan),
            loss_coefficient=scalar(0.0),
        )
        for run in parts.pipes
    }
    return Layout(
        parts=parts,
        ground=ground,
        source_level_m=scalar(100.0 + datum_m),
        valve_level_m=scalar(95.0 + datum_m),
        source_flow_m3_s=scalar(1e-3),
        share=1.0,
        ram_efficiency=scalar(0.6),
        ram_flow_m3_s=None,
        ram_flow_least_m3_s=None,
        ram_flow_most_m3_s=None,
        deck_m={"tank": scalar(118.0 + datum_m)},
        full_m={"tank": scalar(119.5 + datum_m)},
        lowest_m={"tank": scalar(118.2 + datum_m)},
        inlet_m={"tank": scalar(119.5 + datum_m)},
        pipes=pipes,
    )


def line_of(
    pipe: Pipe, *, pressure_head_m: ArrayLike, flow_m3_s: float, velocity_m_s: float
) -> HydraulicGradeLine:
    head = np.broadcast_to(np.asarray(pressure_head_m, np.float64), pipe.pipe_m.shape)
    grade = pipe.pipe_m + head
    return HydraulicGradeLine(
        flow_m3_s=scalar(flow_m3_s),
        velocity_m_s=scalar(velocity_m_s),
        total_head_m=grade,
        grade_m=grade,
        pressure_head_m=head,
        upstream_head_m=scalar(grade[0]),
        downstream_head_m=scalar(grade[-1]),
        head_loss_m=scalar(float(grade[0] - grade[-1])),
        head_loss_hazen_williams_m=scalar(float(grade[0] - grade[-1])),
        group="all" if pipe.role == "supply" else None,
    )


def _pipe_result(pipe: Pipe, *, static_level_m: float) -> PipeResult:
    running = None
    if pipe.role != "drive":
        running = line_of(pipe, pressure_head_m=5.0, flow_m3_s=1e-4, velocity_m_s=0.2)
    return PipeResult(
        static_m=scalar(static_level_m),
        max_static_pa=scalar(2e5),
        running=running,
        running_full=running,
        min_clearance_m=None if running is None else scalar(5.0),
        min_clearance_station_m=None if running is None else scalar(0.0),
    )


def _solution(layout: Layout, *, datum_m: float) -> Solution:
    return Solution(
        layout=layout,
        ram=RamResult(
            fall_m=scalar(5.0),
            lift_m=scalar(24.5),
            summit_rules=False,
            available_m3_s=scalar(1e-3),
            used_m3_s=scalar(1e-3),
            delivered_m3_s=scalar(1e-4),
            wasted_m3_s=scalar(9e-4),
            passed_by_m3_s=scalar(0.0),
            stopped=np.asarray(False),
            delivery_loss_m=scalar(0.5),
            head_ratio=scalar(5.0),
            efficiency=scalar(0.6),
            efficiency_low=None,
            efficiency_high=None,
            rankine=scalar(0.5),
            efficiency_origin="measured",
            efficiency_citations=(),
            sources_disagree=False,
            breakeven_flow_m3_s=None,
            breakeven_efficiency=None,
            breakeven_fall_m=None,
        ),
        pipes={
            name: _pipe_result(pipe, static_level_m=119.5 + datum_m)
            for name, pipe in layout.pipes.items()
        },
        tanks={
            "tank": TankResult(
                deck_m=scalar(118.0 + datum_m),
                full_level_m=scalar(119.5 + datum_m),
                lowest_level_m=scalar(118.2 + datum_m),
                inlet_level_m=scalar(119.5 + datum_m),
                volume_m3=scalar(2.3),
                useful_m3=scalar(2.0),
                inflow_m3_s=scalar(1e-4),
                fill_time_s=scalar(2e4),
                weight_full_kg=scalar(2300.0),
            )
        },
        outlets={
            "beds": OutletResult(
                level_m=scalar(104.6 + datum_m),
                static_full_pa=scalar(1.46e5),
                static_low_pa=scalar(1.33e5),
                running_full_pa=scalar(1.2e5),
                running_low_pa=scalar(1.1e5),
                enough=np.asarray(True),
                stand_needed_m=scalar(0.0),
                group="all",
                fed_by="tank",
            )
        },
        stand_sweep=None,
        gravity_capacity_m3_s={},
        not_asked=(),
    )


def elevations_of(*, datum_m: float = 0.0, **changes: Any) -> Elevations:
    book = Elevations(
        names=("spring", "ram", "knoll", "beds"),
        elevation_m=np.array([100.0, 95.0, 118.0, 104.0]) + datum_m,
        by_setups_m=np.full(4, np.nan),
        as_read_m=np.full(4, np.nan),
        known=np.array([True, False, False, False]),
        covariance_of=lambda index: Covariance.independent(np.full(len(index), 0.01)),
        misclosures=(),
        residuals_m=np.zeros(6),
        s0=1.0,
        degrees_of_freedom=2,
        reading_std_m=0.0015,
        datum="spring",
        assumed_datum=False,
        hanging=(),
    )
    return dataclasses.replace(book, **changes)


def run_of_levels(out_m: float, *, holds: bool) -> Misclosure:
    return Misclosure(
        start="spring",
        end="spring",
        computed_minus_known_m=out_m,
        allowable_m=0.01,
        setups=4,
        length_m=None,
        rule="the readings",
        citation=PRACTICE,
        holds=holds,
    )


def raster_of(std_m: float | None) -> ElevationGrid:
    def sample(east_m: ArrayLike, north_m: ArrayLike) -> NDArray[np.float64]:
        return np.zeros(np.broadcast_shapes(np.shape(east_m), np.shape(north_m)))

    return ElevationGrid(
        sample=sample,
        cell_m=1.0,
        error=RasterError(std_m=std_m, range_m=None),
        names=("hill.tif",),
        extent_m=(0.0, 0.0, 1.0, 1.0),
    )


def with_parts(evidence: Evidence, **changes: Any) -> Evidence:
    parts = dataclasses.replace(evidence.layout.parts, **changes)
    return with_layout(evidence, parts=parts)


def with_layout(evidence: Evidence, **changes: Any) -> Evidence:
    layout = dataclasses.replace(evidence.layout, **changes)
    solution = dataclasses.replace(evidence.solution, layout=layout)
    return dataclasses.replace(evidence, layout=layout, solution=solution)


def with_source(evidence: Evidence, **changes: Any) -> Evidence:
    assert evidence.layout.source is not None
    return with_parts(evidence, source=dataclasses.replace(evidence.layout.source, **changes))


def with_ram(evidence: Evidence, **changes: Any) -> Evidence:
    assert evidence.layout.ram is not None
    return with_parts(evidence, ram=dataclasses.replace(evidence.layout.ram, **changes))


def with_tank(evidence: Evidence, **changes: Any) -> Evidence:
    return with_parts(evidence, tanks=(dataclasses.replace(evidence.layout.tanks[0], **changes),))


def with_outlet(evidence: Evidence, **changes: Any) -> Evidence:
    outlet = dataclasses.replace(evidence.layout.outlets[0], **changes)
    return with_parts(evidence, outlets=(outlet,))


def with_pipe(evidence: Evidence, name: str, **changes: Any) -> Evidence:
    pipe = dataclasses.replace(evidence.layout.pipes[name], **changes)
    return with_layout(evidence, pipes={**evidence.layout.pipes, name: pipe})


def with_run(evidence: Evidence, name: str, **changes: Any) -> Evidence:
    run = dataclasses.replace(evidence.layout.pipes[name].run, **changes)
    return with_pipe(evidence, name, run=run)


def with_spec(evidence: Evidence, name: str, **changes: Any) -> Evidence:
    spec = evidence.layout.pipes[name].spec
    assert spec is not None
    return with_run(evidence, name, spec=dataclasses.replace(spec, **changes))


def with_profile(evidence: Evidence, name: str, **changes: Any) -> Evidence:
    profile = dataclasses.replace(evidence.layout.pipes[name].profile, **changes)
    return with_pipe(evidence, name, profile=profile)


def with_ground(evidence: Evidence, **changes: Any) -> Evidence:
    return dataclasses.replace(evidence, ground=dataclasses.replace(evidence.ground, **changes))


def with_solution(evidence: Evidence, **changes: Any) -> Evidence:
    return dataclasses.replace(evidence, solution=dataclasses.replace(evidence.solution, **changes))


def with_ram_result(evidence: Evidence, **changes: Any) -> Evidence:
    assert evidence.solution.ram is not None
    arrays: dict[str, Any] = {
        name: scalar(value) if isinstance(value, float) else value
        for name, value in changes.items()
    }
    return with_solution(evidence, ram=dataclasses.replace(evidence.solution.ram, **arrays))


def with_pipe_result(evidence: Evidence, name: str, **changes: Any) -> Evidence:
    result = dataclasses.replace(evidence.solution.pipes[name], **changes)
    return with_solution(evidence, pipes={**evidence.solution.pipes, name: result})


def with_running(
    evidence: Evidence,
    name: str,
    *,
    pressure_head_m: ArrayLike = 5.0,
    flow_m3_s: float = 1e-4,
    velocity_m_s: float = 0.2,
) -> Evidence:
    running = line_of(
        evidence.layout.pipes[name],
        pressure_head_m=pressure_head_m,
        flow_m3_s=flow_m3_s,
        velocity_m_s=velocity_m_s,
    )
    return with_pipe_result(evidence, name, running=running)


def with_tank_result(evidence: Evidence, **changes: Any) -> Evidence:
    result = dataclasses.replace(evidence.solution.tanks["tank"], **changes)
    return with_solution(evidence, tanks={"tank": result})


def with_outlet_result(evidence: Evidence, **changes: Any) -> Evidence:
    result = dataclasses.replace(evidence.solution.outlets["beds"], **changes)
    return with_solution(evidence, outlets={"beds": result})


def with_spread(evidence: Evidence, **changes: Measured) -> Evidence:
    return dataclasses.replace(evidence, spread={**evidence.spread, **changes})


def findings_of(evidence: Evidence) -> tuple[Finding, ...]:
    return judge(
        ground=evidence.ground,
        layout=evidence.layout,
        solution=evidence.solution,
        elevations=evidence.elevations,
        grid=evidence.grid,
        spread=evidence.spread,
    )


def found(evidence: Evidence, kind: str) -> list[Finding]:
    """Return the findings of one kind."""
    return [finding for finding in findings_of(evidence) if finding.kind == kind]


def answer_of(evidence: Evidence, *, choice: str = "main") -> Answer:
    """Return the answer that the evidence comes to."""
    return Answer(
        title="Quiet Hollow",
        choice=choice,
        file="quiet/study.toml",
        plane=None,
        elevations=evidence.elevations,
        grid=evidence.grid,
        ground=evidence.ground,
        layout=evidence.layout,
        solution=evidence.solution,
        findings=findings_of(evidence),
        taken=evidence.layout.parts.taken,
        not_asked=evidence.solution.not_asked,
        spread=evidence.spread,
    )
