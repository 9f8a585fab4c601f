"""A ground profile as JSON and as a table."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.display import unit_for
from terrain_head.base.units import UnitSystem, from_si
from terrain_head.ground.ground import GroundProfile, Origin
from terrain_head.ground.plane import LocalPlane
from terrain_head.report.measurement import bare_list, measurement

Json = dict[str, Any]
FloatArray = NDArray[np.float64]


def profile_document(
    profile: GroundProfile,
    *,
    plane: LocalPlane,
    high_points_m: list[float],
    low_points_m: list[float],
    findings: list[Json],
) -> Json:
    """Return a profile as a JSON document, always metric.

    Parameters
    ----------
    profile
        The ground.
    plane
        The local plane of its east and north.
    high_points_m, low_points_m
        Stations of its high and low points [m].
    findings
        The findings as documents.
    """
    return {
        "name": profile.name,
        "route": profile.route,
        "length": measurement(profile.slope_length_m, "m"),
        "plan_length": measurement(profile.plan_length_m, "m"),
        "stations": bare_list(profile.station_m),
        "east": bare_list(profile.east_m),
        "north": bare_list(profile.north_m),
        "elevation": bare_list(profile.elevation_m),
        "std": bare_list(profile.std_m),
        "origin": [Origin(int(code)).word for code in profile.origin],
        "high_points": high_points_m,
        "low_points": low_points_m,
        "plane": {"latitude": plane.latitude, "longitude": plane.longitude},
        "findings": findings,
    }


def inventory_document(
    points: Mapping[str, tuple[float, float]], routes: Mapping[str, FloatArray]
) -> Json:
    """Return what maps hold as a JSON document: a line may then be asked for by its name.

    Parameters
    ----------
    points
        Longitude and latitude of each named point [deg].
    routes
        Longitudes and latitudes of the corners of each route, shape (k, 2) [deg].

    Examples
    --------
    >>> inventory_document({"Spring": (11.2, 47.1)}, {})
    {'points': {'Spring': {'latitude': 47.1, 'longitude': 11.2}}, 'routes': {}}
    """
    return {
        "points": {
            name: {"latitude": float(latitude), "longitude": float(longitude)}
            for name, (longitude, latitude) in points.items()
        },
        "routes": {
            name: {"latitude": corners[:, 1].tolist(), "longitude": corners[:, 0].tolist()}
            for name, corners in routes.items()
        },
    }


def profile_table(
    profile: GroundProfile,
    *,
    longitude: np.ndarray[Any, np.dtype[np.float64]],
    latitude: np.ndarray[Any, np.dtype[np.float64]],
    units: UnitSystem,
) -> str:
    """Return a profile as CSV text, a station a row; an unknown number is left blank.

    Parameters
    ----------
    profile
        The ground.
    longitude, latitude
        Of each station, shape (n,) [deg].
    units
        Unit of heights and lengths; east and north stay in metres.
    """
    unit = unit_for("height", units)
    text = io.StringIO(newline="")
    write = csv.writer(text, lineterminator="\n").writerow
    write(
        [
            f"station [{unit}]", f"along [{unit}]", f"elevation [{unit}]", f"std [{unit}]",
            "origin", "east [m]", "north [m]", "latitude", "longitude",
        ]
    )  # fmt: skip
    scale = from_si(1.0, unit)
    shown = [
        values * scale
        for values in (profile.station_m, profile.along_m, profile.elevation_m, profile.std_m)
    ]
    for n, code in enumerate(profile.origin):
        write(
            [
                *(_figure(column[n], 4) for column in shown),
                Origin(int(code)).word,
                _figure(profile.east_m[n], 4),
                _figure(profile.north_m[n], 4),
                _figure(latitude[n], 8),
                _figure(longitude[n], 8),
            ]
        )
    return text.getvalue()


def _figure(value: float, decimals: int) -> str:
    return f"{value:.{decimals}f}" if np.isfinite(value) else ""
