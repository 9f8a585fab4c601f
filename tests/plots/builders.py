"""Hand-made ground, pipes and answers for the drawings; every number is invented."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.finding import Finding, Where
from terrain_head.base.covariance import Covariance
from terrain_head.base.measured import Measured
from terrain_head.base.units import METRIC, UnitSystem
from terrain_head.ground.grid import ElevationGrid, RasterError
from terrain_head.ground.ground import Ground, GroundProfile, Origin
from terrain_head.scheme.layout import Layout, Pipe, Role
from terrain_head.scheme.parts import Outlet, Parts, PipeRun, PipeSpec, Ram, Source, Tank
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


def profile(
    name: str,
    *,
    length_m: float,
    start_m: float,
    end_m: float,
    hump_m: float = 0.0,
    std_m: float = 0.05,
    count: int = 60,
    known: bool = True,
    start: tuple[float, float] | None = None,
    bearing_deg: float = 60.0,
    first_index: int = 0,
) -> GroundProfile:
    """Return ground between two heights with a hump or hollow of so many metres on the way."""
    n = count if known else 2
    station = np.linspace(0.0, length_m, n)
    share = station / length_m
    wave = hump_m * np.sin(np.pi * share) ** 2 + 0.12 * hump_m * np.sin(5 * np.pi * share)
    height = start_m + (end_m - start_m) * share + wave
    slope = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(station), np.diff(height)))])
    if start is None:
        east = north = np.full(n, np.nan)
    else:
        turn = np.radians(bearing_deg) + 0.5 * np.sin(np.pi * share)
        east = start[0] + station * np.sin(turn)
        north = start[1] + station * np.cos(turn)
    corner = np.zeros(n, dtype=bool)
    corner[[0, -1]] = True
    return GroundProfile(
        name=name,
        route=name if known else None,
        index=np.arange(first_index, first_index + n),
        station_m=station,
        east_m=east,
        north_m=north,
        elevation_m=height,
        std_m=np.full(n, std_m),
        origin=np.full(n, int(Origin.RASTER), dtype=np.int8),
        along_m=slope,
        corner=corner,
        between_known=known,
    )


WATER_PA_M = 9806.65
SHORT_NAMES = ("house", "beds", "trough", "barn", "hens", "wash", "goats", "orchard")
LONG_NAMES = (
    "upper trough by the old sheepfold gate",
    "house",
    "kitchen garden with the long raised beds",
    "barn beyond the second hedge",
    "washhouse",
    "nursery beds under the south wall",
    "lower trough",
    "cider press in the far shed, north end",
)


def number(value: float) -> FloatArray:
    """Return a scalar of the solver."""
    return np.asarray(float(value))


def hills(east_m: ArrayLike, north_m: ArrayLike) -> FloatArray:
    """Return heights of an invented valley, nan west of 150 m [m]."""
    east, north = np.asarray(east_m, float), np.asarray(north_m, float)
    height = 300 + 0.05 * north + 0.03 * east + 9 * np.sin(east / 70) * np.cos(north / 55)
    return np.where(east < -150, np.nan, height)


GRID = ElevationGrid(
    sample=hills,
    cell_m=1.0,
    error=RasterError(std_m=0.3, range_m=60.0),
    names=("valley.tif",),
    extent_m=(-400.0, -400.0, 900.0, 900.0),
)


def line_of(pipe: Pipe, *, head_m: float, loss_m: float) -> HydraulicGradeLine:
    """Return a grade line that falls evenly from a head."""
    share = pipe.along_m / pipe.along_m[-1]
    grade = head_m - loss_m * share
    return HydraulicGradeLine(
        flow_m3_s=number(2e-4),
        velocity_m_s=number(0.5),
        total_head_m=grade + 0.013,
        grade_m=grade,
        pressure_head_m=grade - pipe.pipe_m,
        upstream_head_m=number(head_m),
        downstream_head_m=number(head_m - loss_m),
        head_loss_m=number(loss_m),
        head_loss_hazen_williams_m=number(loss_m),
    )


class Site:
    """Grows a scheme pipe by pipe."""

    def __init__(self, *, mapped: bool, std_m: float) -> None:
        self.mapped = mapped
        self.std_m = std_m
        self.places: dict[str, tuple[float, tuple[float, float]]] = {}
        self.pipes: dict[str, Pipe] = {}
        self.results: dict[str, PipeResult] = {}
        self.profiles: dict[str, GroundProfile] = {}
        self.count = 100

    def lay(
        self,
        name: str,
        role: Role,
        ends: tuple[str, str],
        places: tuple[str, str],
        *,
        length_m: float,
        end_m: float,
        hump_m: float = 0.0,
        bearing_deg: float = 60.0,
        cover_m: float = 0.0,
        known: bool = True,
        risers_m: tuple[float, float] = (0.0, 0.0),
    ) -> Pipe:
        """Add a pipe between two nodes at two places."""
        start_m, at = self.places[places[0]]
        ground = profile(
            name,
            length_m=length_m,
            start_m=start_m,
            end_m=end_m,
            hump_m=hump_m,
            std_m=self.std_m,
            known=known,
            start=at if self.mapped else None,
            bearing_deg=bearing_deg,
            first_index=self.count,
        )
        self.count += len(ground.station_m)
        here = (float(ground.east_m[-1]), float(ground.north_m[-1]))
        self.places[places[1]] = (end_m, here)
        straight = role == "drive"
        chord = np.interp(ground.station_m, ground.station_m[[0, -1]], [start_m, end_m])
        along = risers_m[0] + ground.along_m
        spec = PipeSpec(
            label="invented 32 mm",
            inside_m=Measured(value=0.026),
            roughness_m=Measured(value=1.5e-6),
            rating_pa=6e5,
        )
        pipe = Pipe(
            run=PipeRun(
                name=name, start=ends[0], end=ends[1], cover_m=Measured(value=cover_m), spec=spec
            ),
            role=role,
            upstream=ends[0],
            downstream=ends[1],
            profile=ground,
            pipe_m=chord if straight else ground.elevation_m - cover_m,
            riser_up_m=number(risers_m[0]),
            riser_down_m=number(risers_m[1]),
            length_m=number(along[-1] + risers_m[1]),
            along_m=along,
            inside_m=number(0.026),
            roughness_m=number(1.5e-6),
            loss_coefficient=number(0),
        )
        self.pipes[name] = pipe
        self.profiles[name] = ground
        return pipe

    def flow(self, pipe: Pipe, *, static_m: float, head_m: float | None, loss_m: float) -> None:
        """Let water stand and run in a pipe."""
        line = None if head_m is None else line_of(pipe, head_m=head_m, loss_m=loss_m)
        self.results[pipe.name] = PipeResult(
            static_m=number(static_m),
            max_static_pa=number((static_m - float(pipe.pipe_m.min())) * WATER_PA_M),
            running=line,
            running_full=line,
            min_clearance_m=None,
            min_clearance_station_m=None,
        )

    def ground(self) -> Ground:
        """Return the whole ground."""
        count = len(self.places)
        return Ground(
            names=tuple(self.places),
            east_m=np.array([at[0] for _, at in self.places.values()]),
            north_m=np.array([at[1] for _, at in self.places.values()]),
            elevation_m=np.array([height for height, _ in self.places.values()]),
            origin=np.zeros(count, dtype=np.int8),
            covariance_of=lambda index: Covariance.independent(np.full(len(index), self.std_m)),
            profiles=self.profiles,
            datum="the book's",
        )


def answer(
    *,
    outlets: int = 2,
    ram: bool = True,
    tank: bool = True,
    tee: bool = False,
    mapped: bool = True,
    long_names: bool = False,
    units: UnitSystem = METRIC,
    choice: str = "main",
    stand_m: float = 3.0,
    hump_m: float = 6.0,
    std_m: float = 0.3,
    delivery_m: float = 400.0,
    lift_m: float = 25.0,
    known: bool = True,
    flowing: bool = True,
    bearing_deg: float = 60.0,
) -> Answer:
    """Return a whole answer: spring, ram, tank and so many outlets.

    Every figure follows from the few that are asked for; nothing is solved.
    """
    names = (LONG_NAMES if long_names else SHORT_NAMES)[:outlets]
    spring = "spring under the three alders" if long_names else "spring"
    knoll = "knoll above the old quarry" if long_names else "knoll"
    site = Site(mapped=mapped, std_m=std_m)
    site.places[spring] = (301.0, (0.0, 0.0))
    level = 301.2
    first = "source"
    first_place = spring
    if ram:
        drive = site.lay(
            "drive", "drive", ("source", "ram"), (spring, "ram"),
            length_m=16.0, end_m=298.0, hump_m=0.3,
        )  # fmt: skip
        site.flow(drive, static_m=level, head_m=None, loss_m=0.0)
        first, first_place = "ram", "ram"
    base = (298.0 + lift_m) if ram else (level - lift_m / 2)
    inlet = base + stand_m + 1.6
    feeding, feeding_place = first, first_place
    if tank:
        delivery = site.lay(
            "delivery", "delivery" if ram else "gravity", (first, "tank"), (first_place, knoll),
            length_m=delivery_m, end_m=base, hump_m=hump_m, cover_m=0.5, known=known,
            risers_m=(0.0, stand_m + 1.6 + 0.5), bearing_deg=bearing_deg,
        )  # fmt: skip
        head = inlet + 4.0 if ram else level
        site.flow(
            delivery, static_m=inlet if ram else level,
            head_m=head if flowing else None, loss_m=head - inlet,
        )  # fmt: skip
        feeding, feeding_place = "tank", knoll
    full = base + stand_m + 1.5 if tank else level
    low = base + stand_m + 0.2 if tank else level
    if tee and names:
        trunk = site.lay(
            "trunk", "supply", (feeding, "gate"), (feeding_place, "gate"),
            length_m=70.0, end_m=base - 4.0, bearing_deg=150.0, cover_m=0.5,
        )  # fmt: skip
        site.flow(trunk, static_m=full, head_m=low if flowing else None, loss_m=0.8)
        feeding, feeding_place, low = "gate", "gate", low - 0.8
    results: dict[str, OutletResult] = {}
    for i, name in enumerate(names):
        end_m = base - 5.0 - 1.7 * ((i * 5) % 8)
        pipe = site.lay(
            f"to {name}", "supply", (feeding, name), (feeding_place, name),
            length_m=45.0 + 38.0 * i, end_m=end_m, hump_m=(-1.0) ** i * 1.5,
            bearing_deg=100.0 + 33.0 * i, cover_m=0.5, risers_m=(0.5, 1.1),
            known=known or i != 1,
        )  # fmt: skip
        loss = 1.0 + 0.4 * i
        site.flow(pipe, static_m=full, head_m=low if flowing else None, loss_m=loss)
        running = (low - loss - end_m - 0.6) * WATER_PA_M
        results[name] = OutletResult(
            level_m=number(end_m + 0.6),
            static_full_pa=number((full - end_m - 0.6) * WATER_PA_M),
            static_low_pa=number((low - end_m - 0.6) * WATER_PA_M),
            running_full_pa=number(running + 1.3 * WATER_PA_M) if flowing else None,
            running_low_pa=number(running) if flowing else None,
            enough=np.asarray(running > 80e3) if flowing else None,
            stand_needed_m=number(max(0.0, stand_m + (80e3 - running) / WATER_PA_M)),
            group="all",
            fed_by="tank" if tank else "source",
        )
    parts = Parts(
        source=Source(place=spring, water_above_m=Measured(value=0.2)),
        ram=Ram(place="ram", valve_above_m=Measured(value=0.2)) if ram else None,
        tanks=(
            Tank(
                name="tank", place=knoll, stand_m=Measured(value=stand_m),
                water_depth_m=Measured(value=1.5), inlet_m=Measured(value=1.6),
            ),
        ) if tank else (),
        pipes=tuple(pipe.run for pipe in site.pipes.values()),
        outlets=tuple(
            Outlet(
                name=name, place=name, height_m=Measured(value=0.6),
                flow_m3_s=Measured(value=2e-4), needs_pa=Measured(value=80e3),
            )
            for name in names
        ),
    )  # fmt: skip
    ground = site.ground()
    layout = Layout(
        parts=parts,
        ground=ground,
        source_level_m=number(level),
        valve_level_m=number(298.2) if ram else None,
        source_flow_m3_s=number(46 / 6e4),
        share=0.8,
        ram_efficiency=None,
        ram_flow_m3_s=None,
        ram_flow_least_m3_s=None,
        ram_flow_most_m3_s=None,
        deck_m={"tank": number(base + stand_m)} if tank else {},
        full_m={"tank": number(full)} if tank else {},
        lowest_m={"tank": number(base + stand_m + 0.2)} if tank else {},
        inlet_m={"tank": number(inlet)} if tank else {},
        pipes=site.pipes,
    )
    tanks = {
        "tank": TankResult(
            deck_m=number(base + stand_m), full_level_m=number(full),
            lowest_level_m=number(base + stand_m + 0.2), inlet_level_m=number(inlet),
            volume_m3=number(2.3), useful_m3=number(2.0), inflow_m3_s=number(2.4 / 6e4),
            fill_time_s=number(5e4), weight_full_kg=number(2300),
        )
    } if tank else {}  # fmt: skip
    return Answer(
        title="Fernlea Hollow",
        choice=choice,
        file="fernlea/study.toml",
        units=units,
        plane=None,
        elevations=None,
        grid=GRID if mapped else None,
        ground=ground,
        layout=layout,
        solution=Solution(
            layout=layout,
            ram=_ram(lift_m + stand_m + 1.4, flowing=flowing) if ram else None,
            pipes=site.results,
            tanks=tanks,
            outlets=results,
            stand_sweep=_sweep(results, stand_m) if tank and flowing and names else None,
            gravity_capacity_m3_s={},
            not_asked=(),
        ),
        findings=_findings(site.pipes, hump_m if known else 0.0),
        taken=(),
        not_asked=(),
    )


def _ram(lift_m: float, *, flowing: bool) -> RamResult:
    return RamResult(
        fall_m=number(3.0), lift_m=number(lift_m), summit_rules=False,
        available_m3_s=number(36.8 / 6e4), used_m3_s=number(36.8 / 6e4),
        delivered_m3_s=number(2.4 / 6e4) if flowing else None, wasted_m3_s=number(34.4 / 6e4),
        passed_by_m3_s=number(0), stopped=np.asarray(a=False), delivery_loss_m=number(4.0),
        head_ratio=number(10.0), efficiency=number(0.6), efficiency_low=None,
        efficiency_high=None, rankine=None, efficiency_origin="measured",
        efficiency_citations=(), sources_disagree=False, breakeven_flow_m3_s=None,
        breakeven_efficiency=None, breakeven_fall_m=None,
    )  # fmt: skip


def _sweep(outlets: Mapping[str, OutletResult], stand_m: float) -> StandSweep:
    stands = np.linspace(0.0, 9.0, 10)
    return StandSweep(
        tank="tank",
        stand_m=stands,
        running_low_pa={
            name: float(result.running_low_pa) + (stands - stand_m) * WATER_PA_M
            for name, result in outlets.items()
            if result.running_low_pa is not None
        },
        inflow_m3_s=(2.4 - 0.08 * (stands - stand_m)) / 6e4,
    )


def _findings(pipes: Mapping[str, Pipe], hump_m: float) -> tuple[Finding, ...]:
    if "delivery" not in pipes or hump_m <= 0:
        return ()
    pipe = pipes["delivery"]
    top = int(np.argmax(pipe.pipe_m[5:-5])) + 5
    return (
        Finding(
            kind="air-high-point",
            severity="care",
            where=Where(pipe="delivery", station_m=float(pipe.profile.station_m[top])),
        ),
    )
