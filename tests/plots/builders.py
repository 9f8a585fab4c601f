"""Hand-made ground, pipes and answers for the drawings; every number is invented."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from terrain_head.ground.ground import GroundProfile, Origin

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
