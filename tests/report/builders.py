"""Hand-made answers for the tests of the report: an invented hill, every figure put in by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.drawn import Drawn
from terrain_head.assessment.finding import Finding, Where
from terrain_head.base.citation import OURS, Source
from terrain_head.base.covariance import Covariance
from terrain_head.base.measured import Measured
from terrain_head.base.units import METRIC, UnitSystem, to_si
from terrain_head.ground.ground import Ground, GroundProfile, Origin
from terrain_head.ground.plane import LocalPlane
from terrain_head.scheme import parts as p
from terrain_head.scheme.layout import Layout, Pipe, Role
from terrain_head.scheme.solution import (
    HydraulicGradeLine,
    OutletResult,
    PipeResult,
    RamResult,
    Solution,
    StandSweep,
    TankResult,
)

FloatArray = NDArray[np.float64]
BOOK = Source(key="invented-for-tests", author="A. Nother", title="A Book on Rams", year="1911")

PLACES = ("spring", "ram", "knoll", "house", "beds")
HEIGHT = {"spring": 100.0, "ram": 97.39, "knoll": 118.2, "house": 106.1, "beds": 101.4}
EAST = {"spring": 0.0, "ram": 14.0, "knoll": 180.0, "house": 90.0, "beds": 60.0}


def a(value: ArrayLike) -> FloatArray:
    """Return an array."""
    return np.asarray(value, dtype=float)


def doubt(index: Sequence[int]) -> Covariance:
    """Return independent doubt of 4 mm an entry."""
    n = len(index)
    return Covariance(factor=np.zeros((n, 1)), own=np.full(n, 16e-6))


def profile(name: str, start: str, end: str, *, between_known: bool = True) -> GroundProfile:
    """Return a ground profile of five stations with one hump."""
    stations = np.linspace(0.0, abs(EAST[end] - EAST[start]), 5)
    hump = a([0.0, 0.4, 1.1, 0.2, 0.0]) if name != "drive" else np.zeros(5)
    ground = np.linspace(HEIGHT[start], HEIGHT[end], 5) + hump
    return GroundProfile(
        name=name,
        route=name,
        index=np.arange(5),
        station_m=stations,
        east_m=np.linspace(EAST[start], EAST[end], 5),
        north_m=np.zeros(5),
        elevation_m=ground,
        std_m=a([0.004, 0.01, np.nan, 0.01, 0.004]),
        origin=np.asarray([Origin.LEVELED, 2, 2, 4, Origin.LEVELED], dtype=np.int8),
        along_m=stations * 1.01,
        corner=np.asarray([True, False, True, False, True]),
        between_known=between_known,
    )


STEEL = p.PipeSpec(
    label="steel ASME B36.10 2 in Sch 40",
    inside_m=Measured(value=0.0525),
    roughness_m=Measured(value=4.6e-5),
    material="steel",
    rigid=True,
)
PE = p.PipeSpec(
    label="PE100 ISO 4427 32 mm SDR 11",
    inside_m=Measured(value=0.0262),
    roughness_m=Measured(value=1.5e-6),
    rating_pa=16e5,
    material="PE",
    rigid=False,
)


def pipe(name: str, role: Role, start: str, end: str, *, ends: tuple[str, str], bore: bool) -> Pipe:
    """Return a pipe on its ground, 0.4 m deep, the drive pipe on top."""
    ground = profile(name, start, end)
    cover = 0.0 if role == "drive" else 0.4
    spec = (STEEL if role == "drive" else PE) if bore else None
    return Pipe(
        run=p.PipeRun(
            name=name, start=ends[0], end=ends[1], cover_m=Measured(value=cover), spec=spec
        ),
        role=role,
        upstream=ends[0],
        downstream=ends[1],
        profile=ground,
        pipe_m=ground.elevation_m - cover,
        riser_up_m=a(0.0),
        riser_down_m=a(cover),
        length_m=a(ground.slope_length_m + cover),
        along_m=ground.along_m,
        inside_m=a(spec.inside_m.value if spec else np.nan),
        roughness_m=a(spec.roughness_m.value if spec else np.nan),
        loss_coefficient=a(1.2),
    )


def grade(line: Pipe, flow_l_min: float, top_m: float, loss_m: float) -> HydraulicGradeLine:
    """Return a straight hydraulic grade line."""
    n = line.profile.station_m.size
    head = np.linspace(top_m, top_m - loss_m, n)
    return HydraulicGradeLine(
        flow_m3_s=a(to_si(flow_l_min, "L/min")),
        velocity_m_s=a(0.31),
        total_head_m=head,
        grade_m=head - 0.005,
        pressure_head_m=head - 0.005 - line.pipe_m,
        upstream_head_m=a(top_m),
        downstream_head_m=a(top_m - loss_m),
        head_loss_m=a(loss_m),
        head_loss_hazen_williams_m=a(loss_m * 1.04),
    )


def outlet_result(*, running_kpa: float, enough: bool | None) -> OutletResult:
    """Return an outlet with pressures about the running one given."""
    return OutletResult(
        level_m=a(107.3),
        static_full_pa=a((running_kpa + 24) * 1e3),
        static_low_pa=a((running_kpa + 11) * 1e3),
        running_full_pa=a((running_kpa + 13) * 1e3),
        running_low_pa=a(running_kpa * 1e3),
        enough=None if enough is None else np.asarray(enough),
        stand_needed_m=None if enough is None else a(3.6),
        group="all",
        fed_by="tank",
    )


FINDINGS = (
    Finding(
        kind="outlet-short",
        severity="care",
        value=87.6e3,
        limit=103e3,
        unit="kPa",
        values={"stand_needed_m": 3.6},
        texts={"group": "all", "fed_by": "tank"},
        where=Where(outlet="house tap"),
    ),
    Finding(
        kind="air-high-point",
        severity="care",
        value=0.7,
        unit="m",
        values={"std_m": 0.03, "count": 1.0},
        texts={"sure": "sure"},
        source=BOOK.at("p. 12"),
        where=Where(pipe="delivery", station_m=83.0),
    ),
)


def answer(
    *,
    units: UnitSystem = METRIC,
    title: str = "Pell Bank",
    ram: bool = True,
    tank: bool = True,
    outlets: int = 2,
    flow: bool = True,
    coordinates: bool = True,
    choice: str = "main",
    findings: tuple[Finding, ...] = FINDINGS,
    fall_m: float = 2.41,
    fall_std_m: float | None = 0.012,
    per_day_l: float = 3680.0,
    needed_l: float | None = 2600.0,
    stopped: bool = False,
) -> Answer:
    """Return an answer with the parts asked for."""
    east = a([EAST[name] for name in PLACES]) if coordinates else np.full(5, np.nan)
    bore = flow
    pipes: dict[str, Pipe] = {}
    if ram:
        pipes["drive"] = pipe("drive", "drive", "spring", "ram", ends=("source", "ram"), bore=bore)
        pipes["delivery"] = pipe(
            "delivery", "delivery", "ram", "knoll", ends=("ram", "tank"), bore=bore
        )
    elif tank:
        pipes["gravity"] = pipe(
            "gravity", "gravity", "knoll", "house", ends=("source", "tank"), bore=bore
        )
    if outlets:
        start = "tank" if tank else "source"
        pipes["house"] = pipe("house", "supply", "knoll", "house", ends=(start, "house"), bore=bore)
    ground = Ground(
        names=PLACES,
        east_m=east,
        north_m=np.zeros(5) if coordinates else np.full(5, np.nan),
        elevation_m=a([HEIGHT[name] for name in PLACES]),
        origin=np.asarray([0, 0, 0, 1, 2], dtype=np.int8),
        covariance_of=doubt,
        profiles={name: one.profile for name, one in pipes.items()},
        datum="BM1",
    )
    names = ["house tap", "beds", *(f"trough {i}" for i in range(3, 9))][:outlets]
    parts = p.Parts(
        source=p.Source(
            place="spring",
            flow_m3_s=Measured(value=to_si(53.0, "L/min"), std=to_si(3.0, "L/min"))
            if flow
            else None,
            share=0.8,
        ),
        ram=p.Ram(place="ram", built="bought") if ram else None,
        tanks=(
            p.Tank(
                name="tank",
                place="knoll",
                stand_m=Measured(value=2.0),
                water_depth_m=Measured(value=1.5),
                lowest_m=Measured(value=0.2),
                inlet_m=Measured(value=1.6),
                diameter_m=Measured(value=1.4),
                needed_m3_s=None if needed_l is None else Measured(value=to_si(needed_l, "L/d")),
            ),
        )
        if tank
        else (),
        pipes=tuple(one.run for one in pipes.values()),
        outlets=tuple(
            p.Outlet(
                name=name,
                place="house" if i == 0 else "beds",
                height_m=Measured(value=1.2),
                flow_m3_s=Measured(value=to_si(12.0, "L/min")) if flow else None,
                needs_pa=Measured(value=103e3 if i == 0 else 60e3),
            )
            for i, name in enumerate(names)
        ),
    )
    layout = Layout(
        parts=parts,
        ground=ground,
        source_level_m=a(100.0),
        valve_level_m=a(100.0 - fall_m) if ram else None,
        source_flow_m3_s=a(to_si(53.0, "L/min")) if flow else None,
        share=0.8,
        ram_efficiency=None,
        ram_flow_m3_s=None,
        ram_flow_least_m3_s=None,
        ram_flow_most_m3_s=None,
        deck_m={"tank": a(120.2)} if tank else {},
        full_m={"tank": a(121.7)} if tank else {},
        lowest_m={"tank": a(120.4)} if tank else {},
        inlet_m={"tank": a(121.8)} if tank else {},
        pipes=pipes,
    )
    delivered = to_si(per_day_l, "L/d")
    solution = Solution(
        layout=layout,
        ram=_ram(fall_m, delivered, flow=flow, stopped=stopped) if ram else None,
        pipes={name: _pipe_result(one, flow=flow) for name, one in pipes.items()},
        tanks={"tank": _tank(delivered if flow else None)} if tank else {},
        outlets={
            name: outlet_result(running_kpa=87.6 if i == 0 else 128.0 + i, enough=i > 0)
            if flow
            else outlet_result(running_kpa=100.0, enough=None)
            for i, name in enumerate(names)
        },
        stand_sweep=_sweep(names) if tank and flow and names else None,
        gravity_capacity_m3_s={},
        not_asked=(),
    )
    spread: Mapping[str, Measured] = (
        {}
        if fall_std_m is None
        else {
            "fall": Measured(value=fall_m, std=fall_std_m),
            "lift": Measured(value=24.21, std=0.03),
        }
    )
    return Answer(
        title=title,
        choice=choice,
        file="bank/study.toml",
        units=units,
        plane=LocalPlane(latitude=46.5, longitude=-93.9) if coordinates else None,
        elevations=None,
        grid=None,
        ground=ground,
        layout=layout,
        solution=solution,
        findings=findings,
        taken=(
            p.Taken(
                key="water.temperature", value_si=10.0, unit="C", citation=OURS.at("cool spring")
            ),
            p.Taken(key="ram.built", word="bought", citation=BOOK.at("table 1")),
        ),
        not_asked=solution.not_asked,
        spread=spread,
    )


def drawn(
    whole: Answer,
    *,
    middles: Mapping[str, float],
    stds: Mapping[str, float],
    shares: Mapping[str, Mapping[str, float]] | None = None,
    unknown: frozenset[str] = frozenset(),
) -> Answer:
    """Return an answer whose results named are drawn normally, with the chances they give."""
    normal = a([NormalDist().inv_cdf((i + 0.5) / 400) for i in range(400)])
    samples = {name: middle + stds[name] * normal for name, middle in middles.items()}
    wanted = {f"tank.{one.name}.needed": one.needed_m3_s for one in whole.layout.tanks}
    wanted |= {f"outlet.{one.name}.needs": one.needs_pa for one in whole.layout.outlets}
    result = {"needed": "inflow", "needs": "running_low"}
    chance = {}
    for need, value in wanted.items():
        head, _, last = need.rpartition(".")
        name = f"{head}.{result[last]}"
        if value is not None and name in samples and name not in unknown:
            chance[need] = float(np.mean(samples[name] >= value.value))
    return replace(
        whole,
        drawn=Drawn(
            draws=400, samples=samples, unknown=unknown, chance=chance, shares=shares or {}
        ),
    )


def drawn_water(whole: Answer, per_day_l: float, std_l: float, *, cause: str = "raster") -> Answer:
    """Return an answer whose water a day is drawn, its doubt owed to one cause."""
    name = "tank.tank.inflow"
    return drawn(
        whole,
        middles={name: to_si(per_day_l, "L/d")},
        stds={name: to_si(std_l, "L/d")},
        shares={"delivered": {cause: 0.62, "source flow": 0.38}},
    )


def _ram(fall_m: float, delivered: float, *, flow: bool, stopped: bool) -> RamResult:
    used = to_si(42.4, "L/min")
    return RamResult(
        fall_m=a(fall_m),
        lift_m=a(24.21),
        summit_rules=False,
        available_m3_s=a(used) if flow else None,
        used_m3_s=a(used) if flow else None,
        delivered_m3_s=a(delivered) if flow else None,
        wasted_m3_s=a(used - delivered) if flow else None,
        passed_by_m3_s=a(0.0) if flow else None,
        stopped=np.asarray(stopped) if flow else None,
        delivery_loss_m=a(0.4) if flow else None,
        head_ratio=a(10.2) if flow else None,
        efficiency=a(0.60) if flow else None,
        efficiency_low=a(0.44) if flow else None,
        efficiency_high=a(0.65) if flow else None,
        rankine=a(0.57) if flow else None,
        efficiency_origin="table" if flow else None,
        efficiency_citations=(BOOK.at("table 1"),),
        sources_disagree=True,
        breakeven_flow_m3_s=a(to_si(37.4, "L/min")) if flow else None,
        breakeven_efficiency=a(0.42) if flow else None,
        breakeven_fall_m=a(1.75) if flow else None,
    )


def _tank(inflow: float | None) -> TankResult:
    return TankResult(
        deck_m=a(120.2),
        full_level_m=a(121.7),
        lowest_level_m=a(120.4),
        inlet_level_m=a(121.8),
        volume_m3=a(2.309),
        useful_m3=a(2.001),
        inflow_m3_s=None if inflow is None else a(inflow),
        fill_time_s=None if inflow is None else a(2.001 / inflow),
        weight_full_kg=a(2308.0),
    )


def _pipe_result(one: Pipe, *, flow: bool) -> PipeResult:
    running = None
    if flow and one.role != "drive":
        running = grade(one, 2.6 if one.role == "delivery" else 24.0, 122.2, 0.4)
    return PipeResult(
        flow_m3_s=running.flow_m3_s if running else None,
        velocity_m_s=running.velocity_m_s if running else None,
        static_m=a(100.0 if one.role == "drive" else 121.7),
        max_static_pa=a(2.3e5),
        running=running,
        running_full=running,
        min_clearance_m=a(2.1) if running else None,
        min_clearance_station_m=a(83.0) if running else None,
    )


def _sweep(names: list[str]) -> StandSweep:
    stands = np.linspace(0.0, 6.0, 4)
    return StandSweep(
        tank="tank",
        stand_m=stands,
        running_low_pa=dict.fromkeys(names, 70000.0 + 9800.0 * stands),
        inflow_m3_s=to_si(4000.0, "L/d") - to_si(150.0, "L/d") * stands,
    )
