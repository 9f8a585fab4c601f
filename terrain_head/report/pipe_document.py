"""What a study's document says of a pipe beside its heads: surge, air, tanks on the way."""

from __future__ import annotations

from terrain_head.assessment.air_findings import spot_at
from terrain_head.assessment.answer import Answer
from terrain_head.assessment.break_pressure import Spot, break_pressure_of
from terrain_head.assessment.largest_flow import LargestFlow
from terrain_head.assessment.surge_findings import surge_in
from terrain_head.assessment.truck import Filling
from terrain_head.assessment.turns import turns_of
from terrain_head.ground.summits import Turns
from terrain_head.report.measurement import Json, measurement
from terrain_head.scheme.layout import Pipe


def along_document(answer: Answer, pipe: Pipe, *, largest: LargestFlow | None) -> Json:
    """Return what happens along a pipe, to stand among its other keys.

    Parameters
    ----------
    answer
        One choice of one study.
    pipe
        One of its pipes.
    largest
        The most that its line carries by itself, None where that is not asked.
    """
    turns = turns_of(pipe, ground=answer.ground)
    known = pipe.profile.between_known
    return {
        "high_points": [turn.station_m for turn in turns.told("high")] if known else None,
        "low_points": [turn.station_m for turn in turns.told("low")] if known else None,
        "at_high_points": _belongs(answer, pipe, turns=turns, high=True) if known else None,
        "at_low_points": _belongs(answer, pipe, turns=turns, high=False) if known else None,
        "surge": _surge(answer, pipe),
        "break_pressure": _broken(answer, pipe),
        "largest_flow": None
        if largest is None
        else {
            "flow": measurement(largest.flow_m3_s, "L/min"),
            "free": measurement(largest.free_m3_s, "L/min"),
            "limit": largest.rules,
            "pipe": largest.pipe,
            "station": measurement(largest.station_m, "m"),
        },
    }


def filling_document(filling: Filling | None) -> Json:
    """Return how an outlet fills, to stand among its other keys.

    Parameters
    ----------
    filling
        The filling, None where the outlet fills nothing.
    """
    surge = None if filling is None else filling.surge
    return {
        "fills": None if filling is None else measurement(filling.volume_m3, "m3"),
        "fill_time": None if filling is None else measurement(filling.time_s, "s"),
        "fill_flow": None
        if filling is None
        else {
            "first": measurement(filling.first_m3_s, "L/min"),
            "last": measurement(filling.last_m3_s, "L/min"),
        },
        "slammed": None
        if filling is None or surge is None
        else {
            "hammer": measurement(surge.hammer_pa, "kPa"),
            "total": measurement(surge.total_pa, "kPa"),
            "allowed": measurement(surge.allowed_pa, "kPa"),
            "closing_time": measurement(filling.closing_s, "s"),
        },
    }


def _belongs(answer: Answer, pipe: Pipe, *, turns: Turns, high: bool) -> list[str]:
    told = turns.told("high" if high else "low")
    return [spot_at(answer.solution, pipe, turn=turn).belongs for turn in told]


def _surge(answer: Answer, pipe: Pipe) -> Json | None:
    surge = surge_in(answer.solution, pipe)
    if surge is None:
        return None
    return {
        "wave_speed": measurement(surge.wave_m_s, "m/s"),
        "hammer": measurement(surge.hammer_pa, "kPa"),
        "total": measurement(surge.total_pa, "kPa"),
        "wave_return": measurement(surge.return_s, "s"),
        "closing_time": measurement(surge.closing_s, "s"),
        "allowed": measurement(surge.allowed_pa, "kPa"),
    }


def _broken(answer: Answer, pipe: Pipe) -> Json | None:
    broken = break_pressure_of(answer.solution, pipe)
    if broken is None:
        return None
    tanks = None if broken.tanks is None else [_spot(one) for one in broken.tanks]
    return {
        "over_from": _spot(broken.over_from),
        "tanks": tanks,
        "costs": measurement(broken.costs_m, "m"),
    }


def _spot(spot: Spot) -> Json:
    return {"pipe": spot.pipe, "station": spot.station_m, "ground": spot.ground_m}
