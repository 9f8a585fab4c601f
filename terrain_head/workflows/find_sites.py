"""The job of ``terrain-head find sites``: where ram and tank may stand under one spring."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.display import LIKELY
from terrain_head.base.names import find_name
from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.errors import GroundError, InputError, Trouble
from terrain_head.files.output import write_whole
from terrain_head.files.planes import PlaneTransform
from terrain_head.files.raster_files import open_rasters
from terrain_head.files.rasters import lay_rasters
from terrain_head.formulas.drive_pipe import DELIVERY_SIZES
from terrain_head.formulas.friction import head_loss_m
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import Ground
from terrain_head.ground.raster_error import tried_fields
from terrain_head.ground.stationing import cut_line
from terrain_head.scheme.courses import courses_of
from terrain_head.scheme.parts import Parts
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.pipe_table import MATERIALS
from terrain_head.search.blocks import TankCells, best_cells
from terrain_head.search.pareto import unbeaten
from terrain_head.search.ranked_sites import SiteAnswer, Spot
from terrain_head.search.sites import (
    SiteGivens,
    Sites,
    chance_met,
    costs_of,
    rate_sites,
    water_std,
)
from terrain_head.workflows.site import ground_of
from terrain_head.workflows.study import OpenedStudy

FloatArray = NDArray[np.float64]

SHOWN = 6
RAM_WITHIN_M = 60.0
"""How far from the intake a ram may stand where no route says where the stream runs; ours [m]."""
RAM_STEP_M = 3.0
APART_M = 15.0
"""Sites whose ram and tank both lie nearer to those of a better one are not shown beside it [m]."""
LEAST_GRADE = 0.02
"""A metre of delivery pipe counts as so much lift at least, so that of tanks nearly alike the
nearer is taken; ours [1]."""
MOST_CELLS = 4e6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Found:
    sites: Sites
    rams: FloatArray
    tanks: FloatArray
    looked_at: int
    ram_names: Sequence[str] = ()
    tank_names: Sequence[str] = ()


def find_sites(opened: OpenedStudy, *, along: str = "", within_m: float = 300.0) -> SiteAnswer:
    """Return where ram and tank may stand under the source of an opened study.

    Parameters
    ----------
    opened
        The study.
    along
        Route on which the ram is to stand: of the map, or of the level book; empty for none.
    within_m
        How far from the source a raster is searched [m].

    Raises
    ------
    InputError
        If the study lacks what the search needs, or has no such route.
    GroundError
        If no pair of spots would work.
    """
    study, site = opened.document.study("main"), opened.site
    parts = study.parts
    book = () if site.elevations is None else site.elevations.names
    outlets = [outlet.place for outlet in parts.outlets]
    _refuse_incomplete(parts)
    assert parts.source is not None
    needed = tuple(dict.fromkeys([parts.source.place, *outlets, *book]))
    ground = ground_of(site, courses_of(parts), needed=needed)
    at = ground.place(parts.source.place)
    intake = _spot(ground, at)
    givens, bore_taken = _givens(parts, ground)
    grid = None
    if site.grid is not None and np.isfinite(intake.east_m):
        grid = _read_grid(opened, intake, within_m=within_m)
        route = _map_route(opened, along)
        found = _on_raster(
            givens, intake, grid=_Shifted(grid=grid, shift_m=_shift(ground)), within_m=within_m,
            route=route,
        )  # fmt: skip
    else:
        found = _among_points(givens, ground, at=at, names=book, along=_book_route(opened, along))
    would_work = len(found.sites)
    if not would_work:
        raise _nothing(found.looked_at)
    found = replace(found, sites=_ranked(found))
    shown = found.sites
    covariance = (
        _raster_doubt(grid, intake, found) if grid is not None
        else np.array([
            ground.covariance_of(
                [at, ground.place(found.ram_names[r]), ground.place(found.tank_names[t])]
            ).matrix()
            for r, t in zip(shown.ram, shown.tank, strict=True)
        ])
    )  # fmt: skip
    std = water_std(givens, shown, heights_m2=covariance)
    own = water_std(
        replace(givens, flow_std_m3_s=0.0),
        replace(shown, efficiency_std=np.zeros(len(shown))),
        heights_m2=covariance,
    )
    less = shown.delivered_m3_s[0] - shown.delivered_m3_s
    alike = less <= LIKELY * np.hypot(np.nan_to_num(own), np.nan_to_num(own[0]))
    chance = None
    if givens.needed_m3_s is not None:
        chance = chance_met(shown, needed_m3_s=givens.needed_m3_s, std_m3_s=std)
    return SiteAnswer(
        title=study.title, file=opened.shown, units=study.units, intake=intake,
        rams=tuple(_spots(found.rams, shown.ram, found.ram_names)),
        tanks=tuple(_spots(found.tanks, shown.tank, found.tank_names)),
        sites=shown, givens=givens, std_m3_s=std, chance=chance,
        alike=alike & (shown.lengths_known == shown.lengths_known[0]),
        looked_at=found.looked_at, would_work=would_work,
        within_m=None if grid is None else within_m, along=along, bore_taken=bore_taken,
        grid=grid, plane=site.plane,
    )  # fmt: skip


def write_sites(answer: SiteAnswer, folder: Path) -> Path:
    """Write the sites as a map, one line from intake over ram to tank each, and return its path.

    Parameters
    ----------
    answer
        Sites with positions.
    folder
        Where it goes; made if it is missing.
    """
    assert answer.plane is not None
    transform = PlaneTransform(answer.plane)
    features = []
    for number, (ram, tank) in enumerate(zip(answer.rams, answer.tanks, strict=True)):
        letter = chr(ord("A") + number)
        for what, spots in (("ram", [ram]), ("tank", [tank])):
            features.append(_feature(f"site {letter} {what}", spots, transform))
        features.append(_feature(f"site {letter}", [answer.intake, ram, tank], transform))
    document = {"type": "FeatureCollection", "features": features}
    return write_whole(folder / "sites.geojson", json.dumps(document, indent=1) + "\n")


def _feature(name: str, spots: Sequence[Spot], transform: PlaneTransform) -> dict[str, object]:
    east, north = ([getattr(spot, key) for spot in spots] for key in ("east_m", "north_m"))
    corners = np.column_stack(transform.to_lonlat(east, north)).round(8).tolist()
    lone = len(corners) == 1
    return {
        "type": "Feature",
        "properties": {"name": name},
        "geometry": {
            "type": "Point" if lone else "LineString",
            "coordinates": corners[0] if lone else corners,
        },
    }


def _refuse_incomplete(parts: Parts) -> None:
    troubles = []
    if parts.source is None or parts.source.flow_m3_s is None:
        troubles.append(
            Trouble(what="Where the spring is and what it gives in the dry season.",
                    write='[source]\nplace = "spring"\nflow = "46 L/min"')
        )  # fmt: skip
    if parts.ram is None or (parts.ram.built is None and parts.ram.efficiency is None):
        troubles.append(
            Trouble(what="What kind of ram it is to be.",
                    write='[ram]\nplace = "ram"\nbuilt = "bought"')
        )  # fmt: skip
    if troubles:
        raise InputError("Sites can't be looked for yet; the study does not say:", *troubles)


def _givens(parts: Parts, ground: Ground) -> tuple[SiteGivens, bool]:
    """Return what holds for all sites, and whether the bore was taken."""
    source, ram = parts.source, parts.ram
    assert source is not None
    assert source.flow_m3_s is not None
    assert ram is not None
    flow = source.flow_m3_s.value * source.share
    most = [one.value * ram.count for one in (ram.flow_m3_s, ram.flow_most_m3_s) if one]
    tank = parts.tanks[0] if parts.tanks else None
    water = Water.at(parts.water_temperature_c)
    levels = [
        float(ground.elevation_of(outlet.place)) + outlet.height_m.value
        + (outlet.needs_pa.value if outlet.needs_pa else 0.0)
        / (water.density_kg_m3 * STANDARD_GRAVITY_M_S2)
        for outlet in parts.outlets
    ]  # fmt: skip
    spec = next((pipe.spec for pipe in parts.pipes if pipe.name == ram.delivery), None)
    return SiteGivens(
        water_m=float(ground.elevation_of(source.place)) + source.water_above_m.value,
        flow_m3_s=min([flow, *most]),
        flow_std_m3_s=(source.flow_m3_s.std or 0.0) * source.share,
        valve_above_m=ram.valve_above_m.value,
        stand_m=tank.stand_m.value if tank else 0.0,
        inlet_m=tank.inlet_m.value if tank else 0.0,
        lowest_m=tank.lowest_m.value if tank else 0.0,
        level_needed_m=max(levels) if levels else None,
        inside_m=spec.inside_m.value if spec else DELIVERY_SIZES[0].inside_m,
        roughness_m=spec.roughness_m.value if spec else MATERIALS["PE"].roughness_m,
        built=ram.built,
        efficiency=ram.efficiency.value if ram.efficiency else None,
        needed_m3_s=tank.needed_m3_s.value if tank and tank.needed_m3_s else None,
        temperature_c=parts.water_temperature_c,
    ), spec is None


def _among_points(
    givens: SiteGivens, ground: Ground, *, at: int, names: Sequence[str], along: Sequence[str]
) -> _Found:
    """Return every pair of surveyed points."""
    entries = np.array([ground.place(name) for name in names], dtype=np.intp)
    height = np.asarray(ground.elevation_m[entries])
    allowed = np.ones(len(names), dtype=bool)
    if along:
        allowed = np.array([find_name(name, along) is not None for name in names])
    ram, tank = (axis.ravel() for axis in np.indices((len(names), len(names))))
    pairs = (ram != tank) & (entries[ram] != at) & (entries[tank] != at) & allowed[ram]
    ram, tank = ram[pairs], tank[pairs]
    apart = _lengths(ground)
    sites = rate_sites(
        givens, ram=ram, tank=tank, ram_m=height[ram], tank_m=height[tank],
        drive_m=apart[at, entries[ram]], delivery_m=apart[entries[ram], entries[tank]],
    )  # fmt: skip
    spots = np.column_stack([ground.east_m[entries], ground.north_m[entries], height])
    return _Found(
        sites=sites, rams=spots, tanks=spots, looked_at=len(ram), ram_names=names,
        tank_names=names,
    )  # fmt: skip


def _lengths(ground: Ground) -> FloatArray:
    """Return how far places are apart, by positions or else along one route, nan if unknown [m]."""
    count = len(ground.names)
    east, north = ground.east_m[:count], ground.north_m[:count]
    height = np.asarray(ground.elevation_m)[:count]
    apart = np.sqrt(
        np.square(east[:, None] - east) + np.square(north[:, None] - north)
        + np.square(height[:, None] - height)
    )  # fmt: skip
    for profile in ground.profiles.values():
        named = np.flatnonzero(profile.index < count)
        entry, station = profile.index[named], profile.along_m[named]
        block = np.ix_(entry, entry)
        way = np.abs(station[:, None] - station)
        apart[block] = np.where(np.isnan(apart[block]), way, apart[block])
    return np.asarray(apart)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Shifted:
    grid: ElevationGrid
    shift_m: float

    def __call__(self, east_m: FloatArray, north_m: FloatArray) -> FloatArray:
        return np.asarray(self.grid.sample(east_m, north_m) + self.shift_m)


def _on_raster(
    givens: SiteGivens, intake: Spot, *, grid: _Shifted, within_m: float, route: FloatArray | None
) -> _Found:
    """Return each ram spot with the tank cell that is best reached from it."""
    cell = max(grid.grid.cell_m, 2 * within_m / np.sqrt(MOST_CELLS))
    half = int(within_m // cell)
    steps = np.arange(-half, half + 1) * cell
    east, north = np.meshgrid(intake.east_m + steps, intake.north_m + steps)
    height = grid(east, north)
    away = np.hypot(east - intake.east_m, north - intake.north_m)
    if route is None:
        near = (away > 0) & (away <= RAM_WITHIN_M)
        points = np.column_stack([east[near], north[near]])
    else:
        points = cut_line(route, step_m=RAM_STEP_M).points_m
    rams = np.column_stack([points, grid(points[:, 0], points[:, 1])])
    rams = rams[np.isfinite(rams[:, 2])]
    drive = np.linalg.norm(
        rams - [intake.east_m, intake.north_m, givens.water_m - givens.valve_above_m], axis=1
    )
    tall = np.where(away <= within_m, height, np.nan)
    if givens.level_needed_m is not None:
        enough = givens.level_needed_m - givens.stand_m - givens.lowest_m
        if not np.any(tall >= enough):
            more = enough - float(np.nanmax(tall))
            raise GroundError(
                f"No ground within {within_m:.0f} m of {intake.name} is high enough for the tank.",
                Trouble(
                    what=f"The highest lies {more:.1f} m too low for what the outlets need. Build "
                    "the stand so much higher, ask for less pressure, or look farther with "
                    "--within."
                ),
            )
        tall = np.where(tall >= enough, tall, np.nan)
    cells = TankCells(
        height_m=tall, west_m=intake.east_m - half * cell, south_m=intake.north_m - half * cell,
        cell_m=cell,
    )  # fmt: skip
    typical = givens.needed_m3_s or givens.flow_m3_s / 10
    grade = float(
        head_loss_m(
            typical, length_m=1.0, inside_m=givens.inside_m, roughness_m=givens.roughness_m,
            viscosity_m2_s=givens.viscosity_m2_s,
        )
    )  # fmt: skip
    best = best_cells(cells, rams, within_m=2 * within_m, grade=max(grade, LEAST_GRADE))
    ram = np.flatnonzero(best >= 0)
    tank = best[ram]
    tanks = np.column_stack([east.ravel(), north.ravel(), height.ravel()])
    sites = rate_sites(
        givens, ram=ram, tank=tank, ram_m=rams[ram, 2], tank_m=tanks[tank, 2],
        drive_m=drive[ram], delivery_m=np.linalg.norm(rams[ram] - tanks[tank], axis=1),
    )  # fmt: skip
    return _Found(
        sites=sites, rams=rams, tanks=tanks, looked_at=len(rams) * int(np.isfinite(tall).sum())
    )


def _ranked(found: _Found) -> Sites:
    """Return the sites that are shown: unbeaten, known lengths first, most water first."""
    sites = found.sites
    costs = np.column_stack([costs_of(sites), ~sites.lengths_known])
    sites = sites.take(np.flatnonzero(unbeaten(costs)))
    order = np.lexsort((sites.drive_m, -sites.delivered_m3_s, ~sites.lengths_known))
    kept: list[int] = []
    for one in order:
        spots = (found.rams[sites.ram[one]], found.tanks[sites.tank[one]])
        near = any(
            np.linalg.norm(spots[0] - found.rams[sites.ram[other]]) < APART_M / 2
            and np.linalg.norm(spots[1] - found.tanks[sites.tank[other]]) < APART_M
            for other in kept
        )
        if not near:
            kept.append(int(one))
        if len(kept) == SHOWN:
            break
    return sites.take(np.array(kept, dtype=np.intp))


def _raster_doubt(grid: ElevationGrid, intake: Spot, found: _Found) -> FloatArray:
    """Return the covariance of intake, ram and tank at each site, the worst range's [m2]."""
    fields = tried_fields(grid.error, cell_m=grid.cell_m)
    here = np.array([intake.east_m, intake.north_m])
    matrices = []
    for ram, tank in zip(found.sites.ram, found.sites.tank, strict=True):
        spots = np.array([here, found.rams[ram, :2], found.tanks[tank, :2]])
        tried = [field.between(spots, spots) for field in fields]
        fall = np.array([1.0, -1.0, 0.0])
        matrices.append(
            max(tried, key=lambda matrix: float(fall @ matrix @ fall))
            if tried else np.full((3, 3), np.nan)
        )  # fmt: skip
    return np.array(matrices)


def _read_grid(opened: OpenedStudy, intake: Spot, *, within_m: float) -> ElevationGrid:
    """Read the raster within reach of the intake, and no more of it."""
    site = opened.site
    assert site.transform is not None
    files = site.files
    with open_rasters(files.dems, unit=files.dem_unit, crs=files.crs) as rasters:
        laid = lay_rasters(rasters, error=files.dem_error, plane=site.transform)
        here = np.array([intake.east_m]), np.array([intake.north_m])
        grid = laid.read_site(*here, margin_m=within_m + laid.cell_m, most_cells=16e6)
    if grid is None:
        raise GroundError(
            f"Within {within_m:.0f} m there are more cells than can be looked at.",
            Trouble(what="Look less far.", write="--within 500m"),
        )
    return grid


def _map_route(opened: OpenedStudy, along: str) -> FloatArray | None:
    if not along:
        return None
    routes = opened.site.map_routes
    at = find_name(along, [route.name for route in routes])
    if at is None:
        raise _no_route(along, [route.name for route in routes])
    return routes[at].corners_m


def _book_route(opened: OpenedStudy, along: str) -> Sequence[str]:
    if not along:
        return ()
    routes = opened.site.book_routes
    at = find_name(along, [route.name for route in routes])
    if at is None:
        raise _no_route(along, [route.name for route in routes])
    return routes[at].points


def _no_route(along: str, known: Sequence[str]) -> InputError:
    return InputError(
        f'There is no route "{along}" to look along.',
        Trouble(what=f"Routes here: {', '.join(known) or 'none'}."),
    )


def _nothing(looked_at: int) -> GroundError:
    return GroundError(
        f"None of {looked_at} pairs of ram spot and tank spot would work.",
        Trouble(
            what="A ram wants at least 1 m of fall (0.5 m where its efficiency was measured), a "
            "drive pipe of 2 to 10 times the fall, and a tank above the spring. Survey lower "
            "ground below the spring, or higher ground for the tank."
        ),
    )


def _shift(ground: Ground) -> float:
    return 0.0 if ground.shift is None else ground.shift.shift_m


def _spot(ground: Ground, at: int) -> Spot:
    return Spot(
        name=ground.names[at], east_m=float(ground.east_m[at]), north_m=float(ground.north_m[at]),
        elevation_m=float(ground.elevation_m[at]),
    )  # fmt: skip


def _spots(points: FloatArray, index: NDArray[np.intp], names: Sequence[str]) -> list[Spot]:
    return [
        Spot(
            name=names[at] if names else "", east_m=float(points[at, 0]),
            north_m=float(points[at, 1]), elevation_m=float(points[at, 2]),
        )
        for at in index
    ]  # fmt: skip
