"""Invented hills: ground and parts made by hand, for the tests of the scheme."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.covariance import Covariance
from terrain_head.base.measured import Measured
from terrain_head.ground.ground import Ground, GroundProfile, Origin
from terrain_head.scheme.ends import node_of, place_of
from terrain_head.scheme.parts import Outlet, Parts, PipeRun, PipeSpec, Ram, Source, Tank

FloatArray = NDArray[np.float64]


def m(value: float) -> Measured:
    """Return a value without doubt."""
    return Measured(value=value)


def spec(inside_m: float, *, roughness_m: float = 7e-6, c: float = 140.0) -> PipeSpec:
    """Return a pipe given by its inside diameter."""
    return PipeSpec(
        label=f"{inside_m * 1000:g} mm",
        inside_m=m(inside_m),
        roughness_m=m(roughness_m),
        hazen_williams_c=c,
    )


def run(
    name: str,
    start: str,
    end: str,
    *,
    bore_m: float | None = 0.026,
    cover_m: float = 0.0,
    length_m: float | None = None,
    fittings: Mapping[str, int] | None = None,
    roughness_m: float = 7e-6,
) -> PipeRun:
    """Return a pipe between two ends."""
    return PipeRun(
        name=name,
        start=start,
        end=end,
        spec=None if bore_m is None else spec(bore_m, roughness_m=roughness_m),
        cover_m=m(cover_m),
        length_m=None if length_m is None else m(length_m),
        fittings=fittings or {},
    )


def tank(
    name: str = "tank",
    place: str = "knoll",
    *,
    stand_m: float = 0.0,
    depth_m: float = 1.5,
    lowest_m: float = 0.2,
    inlet_m: float = 1.6,
    needed_m3_s: float | None = None,
    diameter_m: float | None = 1.4,
    volume_m3: float | None = None,
    count: int = 1,
) -> Tank:
    """Return a tank."""
    return Tank(
        name=name,
        place=place,
        stand_m=m(stand_m),
        water_depth_m=m(depth_m),
        lowest_m=m(lowest_m),
        inlet_m=m(inlet_m),
        diameter_m=None if diameter_m is None else m(diameter_m),
        volume_m3=None if volume_m3 is None else m(volume_m3),
        needed_m3_s=None if needed_m3_s is None else m(needed_m3_s),
        count=count,
    )


def outlet(
    name: str,
    *,
    place: str | None = None,
    height_m: float = 0.0,
    flow_m3_s: float | None = 2e-4,
    needs_pa: float | None = 6e4,
) -> Outlet:
    """Return an outlet."""
    return Outlet(
        name=name,
        place=place or name,
        height_m=m(height_m),
        flow_m3_s=None if flow_m3_s is None else m(flow_m3_s),
        needs_pa=None if needs_pa is None else m(needs_pa),
    )


def hill(
    parts: Parts,
    heights_m: Mapping[str, float],
    *,
    between: Mapping[str, Sequence[float]] | None = None,
    plan_m: Mapping[str, float] | None = None,
    stations: Mapping[str, Sequence[float]] | None = None,
    length_alone: Sequence[str] = (),
) -> Ground:
    """Return a ground without coordinates on which these parts stand.

    Parameters
    ----------
    parts
        The parts; each pipe gets a profile between its two places as they were written.
    heights_m
        Elevation of each place [m].
    between
        Elevations between the two ends of a pipe, by its name [m].
    plan_m
        Level length of a pipe, 100 m where none is given [m].
    stations
        Stations of a pipe where they are not evenly spaced, the ends included [m].
    length_alone
        Pipes of which only the length is known.
    """
    between, plan_m, stations = between or {}, plan_m or {}, stations or {}
    names = tuple(heights_m)
    heights = [float(heights_m[name]) for name in names]
    profiles: dict[str, GroundProfile] = {}
    for pipe in parts.pipes:
        ends = [
            names.index(place_of(node_of(end, parts=parts), parts=parts))
            for end in (pipe.start, pipe.end)
        ]
        inner = [float(height) for height in between.get(pipe.name, ())]
        index = np.asarray([ends[0], *range(len(heights), len(heights) + len(inner)), ends[1]])
        heights += inner
        elevation = np.asarray([heights[i] for i in index])
        station = np.asarray(
            stations.get(pipe.name, np.linspace(0.0, plan_m.get(pipe.name, 100.0), len(index))),
            float,
        )
        along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(station), np.diff(elevation)))])
        profiles[pipe.name] = GroundProfile(
            name=pipe.name,
            route=None if pipe.name in length_alone else pipe.name,
            index=index,
            station_m=station,
            east_m=np.full(len(index), np.nan),
            north_m=np.full(len(index), np.nan),
            elevation_m=elevation,
            std_m=np.full(len(index), np.nan),
            origin=np.full(len(index), Origin.LEVELED, dtype=np.int8),
            along_m=along,
            corner=np.ones(len(index), bool),
            between_known=pipe.name not in length_alone,
        )
    elevation = np.asarray(heights)
    return Ground(
        names=names,
        east_m=np.full(len(heights), np.nan),
        north_m=np.full(len(heights), np.nan),
        elevation_m=elevation,
        origin=np.full(len(heights), Origin.LEVELED, dtype=np.int8),
        covariance_of=lambda index: Covariance.independent(np.full(len(index), 0.01)),
        profiles=profiles,
        datum="invented",
    )


HEIGHTS = {"spring": 100.0, "hollow": 97.0, "knoll": 118.0, "bend": 104.0, "house": 106.0,
           "beds": 101.0}  # fmt: skip


def ram_parts(
    *,
    efficiency: float | None = 0.58,
    needed_m3_s: float | None = 3e-5,
    stand_m: float = 3.0,
) -> Parts:
    """Return a ram that fills a tank, which feeds a house and beds over one tee."""
    return Parts(
        source=Source(place="spring", flow_m3_s=m(46e-3 / 60), share=0.8),
        ram=Ram(
            place="hollow",
            valve_above_m=m(0.2),
            efficiency=None if efficiency is None else m(efficiency),
            built="bought",
            flow_m3_s=m(30e-3 / 60),
        ),
        tanks=(tank(stand_m=stand_m, needed_m3_s=needed_m3_s),),
        pipes=(
            run("drive", "source", "ram", bore_m=0.0525, roughness_m=4.5e-5),
            run("delivery", "ram", "tank", cover_m=0.4, fittings={"gate valve": 1}),
            run("main", "tank", "bend", cover_m=0.5),
            run("to house", "bend", "house", cover_m=0.5),
            run("to beds", "beds", "bend", cover_m=0.3, bore_m=0.0204),
        ),
        outlets=(
            outlet("tap", place="house", height_m=1.0),
            outlet("beds", height_m=0.6, flow_m3_s=3e-4, needs_pa=5e4),
        ),
    )


def ram_hill(parts: Parts) -> Ground:
    """Return the ground for `ram_parts`."""
    return hill(
        parts,
        HEIGHTS,
        between={"delivery": [103.0, 110.0, 109.0, 115.0], "to beds": [99.0, 103.0]},
        plan_m={"drive": 16.0, "delivery": 180.0, "main": 90.0, "to house": 60.0, "to beds": 40.0},
    )


def known(values: FloatArray | None) -> float:
    """Return a scalar that must be known."""
    assert values is not None
    return float(values)


def there(values: FloatArray | None) -> FloatArray:
    """Return an array that must be known."""
    assert values is not None
    return values
