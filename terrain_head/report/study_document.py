"""The answer to a study as one JSON document."""

from __future__ import annotations

from typing import Any

import numpy as np

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.arrival import Arrival, arrivals
from terrain_head.assessment.finding import Finding
from terrain_head.assessment.foreseen import Foreseen
from terrain_head.assessment.largest_flow import largest_flows
from terrain_head.assessment.measure_next import Question, measure_next
from terrain_head.assessment.measurements import Measurement
from terrain_head.assessment.truck import filling_of
from terrain_head.base.json_units import json_spread
from terrain_head.base.middle import middle_of
from terrain_head.base.units import METRIC
from terrain_head.ground.ground import Origin
from terrain_head.report.cycle_document import cycle_document
from terrain_head.report.measurement import (
    Json,
    bare_list,
    dumps,
    json_taken,
    likelihood,
    measurement,
)
from terrain_head.report.pipe_document import along_document, filling_document
from terrain_head.report.size_words import sizes_document
from terrain_head.report.ways_words import ways_document
from terrain_head.report.words import finding_text
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.solution import OutletResult, PipeResult, RamResult, TankResult

__all__ = ["dumps", "finding_document", "study_document"]


def study_document(answer: Answer) -> Json:
    """Return the answer as a document: metric, full precision, null for what is not known.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    solution = answer.solution
    layout = answer.layout
    ram, stated = solution.ram, layout.ram
    arrives = arrivals(answer)
    plane = answer.plane
    largest = largest_flows(solution)
    return {
        "title": answer.title,
        "choice": answer.choice,
        "plane": None
        if plane is None
        else {"latitude": plane.latitude, "longitude": plane.longitude},
        "datum": answer.ground.datum,
        "places": _places(answer),
        "fall": _result(answer, "fall", "m", ram.fall_m if ram else None),
        "lift": _result(answer, "lift", "m", ram.lift_m if ram else None),
        "drive_pipe_length": _pipe_length(answer, stated.drive if stated else None),
        "delivery_pipe_length": _pipe_length(answer, stated.delivery if stated else None),
        "ram": None if ram is None else _ram(answer, ram),
        "tanks": {name: _tank(answer, name, one) for name, one in solution.tanks.items()},
        "outlets": {
            name: _outlet(answer, name, arrival=arrives[name]) for name in solution.outlets
        },
        "stand_sweep": _stand_sweep(answer),
        "pipes": {
            name: _pipe(answer, one, solution.pipes.get(name))
            | along_document(answer, one, largest=largest.get(name))
            for name, one in layout.pipes.items()
        },
        "sizes": sizes_document(answer),
        "ways_to_pressure": ways_document(answer),
        "findings": [finding_document(one) for one in answer.findings],
        "taken": [json_taken(one) for one in answer.taken],
        "not_asked": list(answer.not_asked),
        "doubt": None
        if answer.drawn is None
        else {name: dict(shares) for name, shares in answer.drawn.shares.items()},
        "measure_next": None
        if answer.drawn is None
        else [_question(one) for one in measure_next(answer)],
        "budget": None,
    }


def finding_document(finding: Finding) -> Json:
    """Return one finding with its sentence in metric units."""
    where = finding.where
    return {
        "kind": finding.kind,
        "severity": finding.severity,
        "text": finding_text(finding, units=METRIC),
        "where": {
            "pipe": where.pipe,
            "station": where.station_m,
            "place": where.place,
            "outlet": where.outlet,
        },
        "value": measurement(finding.value, finding.unit),
        "limit": measurement(finding.limit, finding.unit),
        "source": None if finding.source is None else str(finding.source),
    }


def _question(question: Question) -> Json:
    together = question.together
    return {
        "need": {"kind": question.kind, "name": question.name},
        "chance": question.chance,
        "measurements": [_to_measure(one) for one in question.measurements],
        "together": None if together is None else _foreseen(together),
    }


def _to_measure(one: Measurement) -> Json:
    return {
        "kind": one.kind,
        "of": one.of or None,
        "station": measurement(one.station_m, "m"),
        "std": json_spread(one.std, one.unit),
        "unit": one.unit,
        "minutes": one.minutes,
        **_foreseen(one.foreseen),
        "source": str(one.citation),
    }


def _foreseen(told: Foreseen | None) -> Json:
    """Return what is foreseen, null where nobody knows how wrong the heights are now."""
    return {
        "narrower": None if told is None else told.narrower,
        "known": None if told is None else told.known,
    }


def _std(answer: Answer, name: str) -> float | None:
    spread = answer.spread.get(name)
    return None if spread is None else spread.std


def _result(answer: Answer, name: str, unit: str, values: Any) -> Json | None:  # noqa: ANN401 - a value, draws or None
    if answer.drawn is None:
        return measurement(values, unit, std_si=_std(answer, name))
    if name in answer.drawn.unknown:
        return measurement(values, unit)
    return measurement(values, unit, std_si=_std(answer, name), likely=answer.drawn.likely(name))


def _places(answer: Answer) -> Json:
    ground = answer.ground
    count = len(ground.names)
    joint = ground.covariance_of(list(range(count))) if count else None
    places = {}
    for i, name in enumerate(ground.names):
        variance = (
            float("nan") if joint is None else float(np.sum(joint.factor[i] ** 2) + joint.own[i])
        )
        std = float(np.sqrt(variance)) if np.isfinite(variance) else None
        places[name] = {
            "elevation": measurement(ground.elevation_of(name), "m", std_si=std),
            "origin": Origin(int(ground.origin[i])).word,
            "east": measurement(ground.east_m[i], "m"),
            "north": measurement(ground.north_m[i], "m"),
        }
    return places


def _pipe_length(answer: Answer, pipe: str | None) -> Json | None:
    one = None if pipe is None else answer.layout.pipes.get(pipe)
    return None if one is None else _result(answer, f"pipe.{one.name}.length", "m", one.length_m)


def _ram(answer: Answer, ram: RamResult) -> Json:
    asked = any(
        value is not None
        for value in (ram.breakeven_flow_m3_s, ram.breakeven_efficiency, ram.breakeven_fall_m)
    )
    lift = middle_of(ram.lift_m)
    loss = middle_of(ram.delivery_loss_m)
    head = None if lift is None or loss is None else lift + loss
    stated = answer.layout.ram
    return {
        "used": _result(answer, "used", "L/min", ram.used_m3_s),
        "delivered": _result(answer, "delivered", "L/min", ram.delivered_m3_s),
        "wasted": _result(answer, "wasted", "L/min", ram.wasted_m3_s),
        "passed_by": _result(answer, "passed_by", "L/min", ram.passed_by_m3_s),
        "stopped": likelihood(ram.stopped),
        "efficiency": _result(answer, "efficiency", "1", ram.efficiency),
        "efficiency_origin": ram.efficiency_origin,
        "efficiency_low": measurement(ram.efficiency_low, "1"),
        "efficiency_high": measurement(ram.efficiency_high, "1"),
        "efficiency_sources": [str(one) for one in ram.efficiency_citations],
        "rankine": measurement(ram.rankine, "1"),
        "delivery_head": _result(answer, "delivery_head", "m", head),
        "delivery_loss": _result(answer, "delivery_loss", "m", ram.delivery_loss_m),
        "per_day": _result(answer, "delivered", "m3/d", ram.delivered_m3_s),
        "count": 1 if stated is None else stated.count,
        "cycle": cycle_document(answer),
        "breakeven": {
            "flow": measurement(ram.breakeven_flow_m3_s, "L/min"),
            "efficiency": measurement(ram.breakeven_efficiency, "1"),
            "fall": measurement(ram.breakeven_fall_m, "m"),
        }
        if asked
        else None,
    }


def _tank(answer: Answer, name: str, tank: TankResult) -> Json:
    def one(key: str, unit: str, values: Any) -> Json | None:  # noqa: ANN401 - a value, draws or None
        return _result(answer, f"tank.{name}.{key}", unit, values)

    stated = {one.name: one for one in answer.layout.tanks}.get(name)
    needs = stated.needed_m3_s if stated else None
    return {
        "needs": None if needs is None else measurement(needs.value, "L/min", std_si=needs.std),
        "chance": _chance(answer, f"tank.{name}.needed"),
        "deck": one("deck", "m", tank.deck_m),
        "full_level": one("full_level", "m", tank.full_level_m),
        "lowest_level": one("lowest_level", "m", tank.lowest_level_m),
        "inlet_level": one("inlet_level", "m", tank.inlet_level_m),
        "inflow": one("inflow", "L/min", tank.inflow_m3_s),
        "fill_time": one("fill_time", "s", tank.fill_time_s),
        "weight_full": one("weight_full", "kg", tank.weight_full_kg),
        "volume": one("volume", "m3", tank.volume_m3),
        "useful": one("useful", "m3", tank.useful_m3),
    }


def _outlet(answer: Answer, name: str, *, arrival: Arrival) -> Json:
    outlet = answer.solution.outlets[name]
    stated = {one.name: one for one in answer.layout.outlets}.get(name)
    flow = stated.flow_m3_s if stated else None
    needs = stated.needs_pa if stated else None

    def one(key: str, values: Any) -> Json | None:  # noqa: ANN401 - a value, draws or None
        return _result(answer, f"outlet.{name}.{key}", "kPa", values)

    return {
        "level": _result(answer, f"outlet.{name}.level", "m", outlet.level_m),
        "static_full": one("static_full", outlet.static_full_pa),
        "static_low": one("static_low", outlet.static_low_pa),
        "running_full": one("running_full", outlet.running_full_pa),
        "running_low": one("running_low", outlet.running_low_pa),
        "flow": _result(answer, f"outlet.{name}.flow", "L/min", outlet.flow_m3_s)
        if stated is not None and stated.opens is not None
        else None
        if flow is None
        else measurement(flow.value, "L/min", std_si=flow.std),
        "needs": None if needs is None else measurement(needs.value, "kPa", std_si=needs.std),
        "enough": _enough(outlet, arrival=arrival),
        "chance": None if arrival == "can't tell" else _chance(answer, f"outlet.{name}.served"),
        "stand_needed": None
        if outlet.stand_needed_m is None
        else {
            "middle": _result(answer, f"outlet.{name}.stand_needed", "m", outlet.stand_needed_m),
            "sure": None
            if answer.drawn is None
            else measurement(answer.drawn.stand_sure_m(name), "m"),
        },
        "together": outlet.group,
        "fed_by": outlet.fed_by,
        **filling_document(None if stated is None else filling_of(answer.solution, stated)),
    }


def _enough(outlet: OutletResult, *, arrival: Arrival) -> bool | None:
    """Return whether an outlet gets water at the pressure it needs, None where not known."""
    if outlet.enough is None or arrival == "can't tell":
        return None
    return arrival == "water" and likelihood(outlet.enough)


def _chance(answer: Answer, need: str) -> float | None:
    return None if answer.drawn is None else answer.drawn.chance.get(need)


def _stand_sweep(answer: Answer) -> Json | None:
    sweep = answer.solution.stand_sweep
    if sweep is None:
        return None
    return {
        "tank": sweep.tank,
        "stand": bare_list(sweep.stand_m),
        "running_low": {
            name: bare_list(values, "kPa") for name, values in sweep.running_low_pa.items()
        },
        "per_day": bare_list(sweep.inflow_m3_s, "m3/d"),
    }


def _pipe(answer: Answer, pipe: Pipe, result: PipeResult | None) -> Json:
    ground = pipe.profile
    running = result.running if result else None
    stations = ground.station_m.size
    static = middle_of(result.static_m) if result else None
    rating = pipe.spec.rating_pa if pipe.spec else None

    def one(key: str, unit: str, values: Any) -> Json | None:  # noqa: ANN401 - a value, draws or None
        return _result(answer, f"pipe.{pipe.name}.{key}", unit, values)

    return {
        "from": pipe.upstream,
        "to": pipe.downstream,
        "role": pipe.role,
        "spec": pipe.spec.label if pipe.spec else None,
        "length": one("length", "m", pipe.length_m),
        "plan_length": measurement(ground.plan_length_m, "m"),
        "flow": one("flow", "L/min", result.flow_m3_s if result else None),
        "velocity": one("velocity", "m/s", result.velocity_m_s if result else None),
        "together": running.group if running else None,
        "head_loss": one("head_loss", "m", running.head_loss_m if running else None),
        "head_loss_hazen_williams": measurement(
            running.head_loss_hazen_williams_m if running else None, "m"
        ),
        "max_static": one("max_static", "kPa", result.max_static_pa if result else None),
        "rating": measurement(rating, "kPa"),
        "min_clearance": one("min_clearance", "m", result.min_clearance_m if result else None),
        "min_clearance_station": measurement(
            result.min_clearance_station_m if result else None, "m"
        ),
        "stations": bare_list(ground.station_m),
        "ground": bare_list(ground.elevation_m),
        "ground_std": bare_list(ground.std_m),
        "origin": [Origin(int(code)).word for code in ground.origin],
        "pipe": bare_list(pipe.pipe_m),
        "static": None if static is None else [static] * stations,
        "head": bare_list(running.total_head_m if running else None),
        "hydraulic_grade_line": bare_list(running.grade_m if running else None),
    }
