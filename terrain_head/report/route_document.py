"""Routes that were found, as JSON."""

from __future__ import annotations

from typing import Any

from terrain_head.report.measurement import bare_list, measurement
from terrain_head.search.costs import RATES_TAKEN
from terrain_head.search.route_options import RouteAnswer, RouteOption

Json = dict[str, Any]


def route_document(answer: RouteAnswer) -> Json:
    """Return what was found between two places as a JSON document, always metric.

    Parameters
    ----------
    answer
        The routes on their ground.
    """
    rates = answer.rates
    return {
        "title": answer.title,
        "from": answer.start,
        "to": answer.end,
        "kind": answer.kind,
        "routes": [_route(option) for option in answer.options],
        "straight": None if answer.straight is None else _route(answer.straight),
        "apart": measurement(answer.apart_m, "m"),
        "searched": {"cells": answer.cells, "cell": measurement(answer.cell_m, "m")},
        "taken": {
            "lost_climb": measurement(rates.lost_climb, "1"),
            "twice_at": measurement(rates.twice_at, "1"),
            "least_grade": None
            if rates.least_grade is None
            else measurement(rates.least_grade, "1"),
            "source": str(RATES_TAKEN),
        },
        "plane": {"latitude": answer.plane.latitude, "longitude": answer.plane.longitude},
    }


def _route(option: RouteOption) -> Json:
    profile = option.profile
    steep = option.steep_stretch_m()
    return {
        "name": option.name,
        "corners": {
            "east": bare_list(option.corners_m[:, 0]),
            "north": bare_list(option.corners_m[:, 1]),
        },
        "cost": measurement(option.cost_m, "m") if option.may_be else None,
        "may_be": option.may_be,
        "elsewhere": option.elsewhere,
        "length": measurement(profile.slope_length_m, "m"),
        "plan_length": measurement(profile.plan_length_m, "m"),
        "rise": measurement(float(profile.elevation_m[-1] - profile.elevation_m[0]), "m"),
        "lost_climb": measurement(option.lost_climb_m, "m"),
        "highest": {
            "station": float(profile.station_m[option.highest]),
            "elevation": measurement(
                float(profile.elevation_m[option.highest]),
                "m",
                std_si=float(profile.std_m[option.highest]),
            ),
        },
        "high_points": [turn.station_m for turn in option.turns.told("high")],
        "low_points": [turn.station_m for turn in option.turns.told("low")],
        "steepest": measurement(float(option.steepness.max()), "1"),
        "steep_stretch": None if steep is None else list(steep),
        "stations": bare_list(profile.station_m),
        "ground": bare_list(profile.elevation_m),
        "ground_std": bare_list(profile.std_m),
    }
