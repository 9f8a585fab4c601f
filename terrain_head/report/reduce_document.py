"""The JSON document of ``terrain-head reduce``: always metric, full precision."""

from __future__ import annotations

import math
from collections.abc import Mapping

from terrain_head.assessment.limits import PRACTICE
from terrain_head.base.citation import OURS, Citation
from terrain_head.base.json_units import json_measured
from terrain_head.base.measured import Measured
from terrain_head.base.units import METRIC
from terrain_head.leveling.book import BookFact, LevelBook
from terrain_head.leveling.elevations import Elevations, Misclosure, PageCheck
from terrain_head.leveling.other_ways import taken_citation
from terrain_head.leveling.suspect import Amended, NextSight, Suspect
from terrain_head.report.reduce_closing import open_runs
from terrain_head.report.reduce_differences import named_points
from terrain_head.report.reduce_words import by_weight, severity, tell

JsonValue = str | int | float | bool | None | list["JsonValue"] | dict[str, "JsonValue"]


def reduce_document(book: LevelBook, elevations: Elevations) -> dict[str, JsonValue]:
    """Return the document that `--json` prints.

    Parameters
    ----------
    book
        The level book.
    elevations
        What it comes to.

    Returns
    -------
    dict
        Keys ``datum, points, readings, page_check, misclosures, reading_std, s0,
        degrees_of_freedom, findings``, and further ones; lengths in metres.
    """
    return {
        "datum": elevations.datum,
        "datum_assumed": elevations.assumed_datum,
        "points": _points(elevations),
        "readings": [
            {
                "row": reading.line,
                "book": book.files[reading.file],
                "point": reading.point,
                "kind": reading.kind,
                "setup": book.setups[reading.setup].label,
                "reading": _metres(reading.reading_m),
                "residual": _metres(float(elevations.residuals_m[index])),
            }
            for index, reading in enumerate(book.readings)
        ],
        "page_check": _page_check(elevations),
        "misclosures": [_misclosure(run) for run in elevations.misclosures],
        "reading_std": _metres(elevations.reading_std_m),
        "likely_factor": elevations.likely_factor,
        "reading_std_stated": elevations.reading_stated,
        "s0": elevations.s0,
        "degrees_of_freedom": elevations.degrees_of_freedom,
        "hanging": list(elevations.hanging),
        "stands_out": [
            _spot(book, suspect.readings[0])
            for suspect in elevations.suspects
            if suspect.certainty == "located" and suspect.readings
        ],
        "closes": not open_runs(elevations),
        "suspects": [_suspect(book, elevations, suspect) for suspect in elevations.suspects],
        "first_check": _sight(elevations.first_check),
        "findings": _findings(elevations),
    }


def _metres(value_m: float, std_m: float | None = None) -> JsonValue:
    if math.isnan(value_m):
        return None
    return _plain(json_measured(Measured(value=value_m, std=std_m), "m"))


def _plain(measured: Mapping[str, float | str | None] | None) -> JsonValue:
    return None if measured is None else dict(measured)


def _points(elevations: Elevations) -> list[JsonValue]:
    routes: dict[str, tuple[str, float | None]] = {}
    for route in elevations.routes:
        for point, station in zip(route.points, route.station_m, strict=True):
            routes.setdefault(point, (route.name, station))
    spread = elevations.std_m().tolist()
    found: list[JsonValue] = []
    for index, name in enumerate(elevations.names):
        on_route = routes.get(name)
        station = None if on_route is None else on_route[1]
        found.append(
            {
                "point": name,
                "elevation": _metres(float(elevations.elevation_m[index]), spread[index]),
                "as_read": _metres(float(elevations.as_read_m[index])),
                "by_setups": _metres(float(elevations.by_setups_m[index])),
                "route": None if on_route is None else on_route[0],
                "station": None if station is None else _metres(station),
                "known": bool(elevations.known[index]),
            }
        )
    return found


def _page_check(elevations: Elevations) -> JsonValue:
    checks = elevations.page_checks
    if not checks:
        return None
    wrong = [check.first_wrong_line for check in checks if check.first_wrong_line is not None]
    return {
        "sum_bs": _metres(sum(check.sum_bs_m for check in checks)),
        "sum_fs": _metres(sum(check.sum_fs_m for check in checks)),
        "last_minus_first": _metres(sum(check.last_minus_first_m for check in checks)),
        "holds": all(check.holds for check in checks),
        "first_wrong_row": min(wrong, default=None),
        "chains": [_chain(check) for check in checks],
    }


def _chain(check: PageCheck) -> JsonValue:
    return {
        "book": check.file,
        "first_row": check.first_line,
        "last_row": check.last_line,
        "sum_bs": _metres(check.sum_bs_m),
        "sum_fs": _metres(check.sum_fs_m),
        "last_minus_first": _metres(check.last_minus_first_m),
        "holds": check.holds,
        "first_wrong_row": check.first_wrong_line,
        "worked": _metres(check.worked_m),
        "right": _metres(check.right_m),
    }


def _misclosure(run: Misclosure) -> JsonValue:
    return {
        "from": run.start,
        "to": run.end,
        "computed_minus_known": _metres(run.computed_minus_known_m),
        "allowable": _metres(run.allowable_m),
        "rule": run.rule,
        "source": str(run.citation),
        "holds": run.holds,
        "setups": run.setups,
        "length": None if run.length_m is None else _metres(run.length_m),
    }


def _spot(book: LevelBook, index: int) -> dict[str, JsonValue]:
    reading = book.readings[index]
    return {
        "row": reading.line,
        "point": reading.point,
        "book": book.files[reading.file] if book.files else None,
    }


def _suspect(book: LevelBook, elevations: Elevations, suspect: Suspect) -> JsonValue:
    return {
        "certainty": suspect.certainty,
        "readings": [
            {**_spot(book, index), "written": book.readings[index].written}
            for index in suspect.readings
        ],
        "differences": [
            {"from": book.differences[index].start, "to": book.differences[index].end}
            for index in suspect.differences
        ],
        "known": list(suspect.known),
        "stretch": None if suspect.stretch is None else list(suspect.stretch),
        "size": _metres(suspect.size_m, suspect.size_std_m),
        "strength": suspect.strength,
        "may_be": [
            {
                "kind": slip.kind,
                "rows": [book.readings[index].line for index in slip.readings],
                "meant": slip.meant or None,
                "left": _metres(slip.left_m),
            }
            for slip in suspect.misreadings
        ],
        "next_sight": _sight(suspect.next_sight),
        "without": [_amended(book, elevations, one) for one in suspect.amended],
    }


def _amended(book: LevelBook, elevations: Elevations, one: Amended) -> JsonValue:
    """Return the heights of the named points with a set-up left out, or a row turned about."""
    wanted = named_points(elevations)
    then = (elevations.elevation_m + one.change_m).tolist()
    change = one.change_m.tolist()
    return {
        "how": one.how,
        "rows": [book.readings[index].line for index in one.readings],
        "points": [
            {"point": name, "elevation": _metres(height), "change": _metres(moved)}
            for name, height, moved in zip(elevations.names, then, change, strict=True)
            if name in wanted
        ],
    }


def _sight(sight: NextSight | None) -> JsonValue:
    if sight is None:
        return None
    return {
        "point": sight.point,
        "from_setup": sight.setup or None,
        "with": sight.start or None,
        "also": list(sight.also),
        "checks": sight.checks,
        "settles": sight.settles or None,
    }


def _findings(elevations: Elevations) -> list[JsonValue]:
    return [
        {
            "kind": fact.kind,
            "severity": severity(fact),
            "text": tell(fact, METRIC),
            "where": {
                "pipe": None,
                "station": None,
                "place": fact.point,
                "outlet": None,
                "book": fact.file,
                "row": fact.line,
            },
            "value": _value(fact, _VALUES),
            "limit": _value(fact, _LIMITS),
            "source": str(_source(fact)),
        }
        for fact in by_weight(elevations.facts)
    ]


_VALUES: Mapping[str, tuple[str, str]] = {
    "reading-error-taken": ("reading_std_m", "m"),
    "height-error-taken": ("height_std_m", "m"),
    "first-point-called-100": ("elevation_m", "m"),
    "long-reading": ("reading_m", "m"),
    "sights-without-distance": ("count", "1"),
    "tilt-at-its-worst": ("count", "1"),
    "collimation-taken-off": ("slope", "1"),
}
_LIMITS: Mapping[str, tuple[str, str]] = {"long-reading": ("limit_m", "m")}
_SOURCES: Mapping[str, Citation] = {
    "reading-error-taken": OURS.at("the standard error of a rod reading that nobody stated"),
    "first-point-called-100": OURS.at("the first point of a book without a known elevation"),
    "long-reading": OURS.at("the longest rods in common use are 5 to 8 m"),
    "looks-like-feet-inches": OURS.at("decimals of feet that never pass .11"),
}


def _source(fact: BookFact) -> Citation:
    """Return where the number or the rule that a fact is about comes from."""
    if fact.kind == "height-error-taken":
        return taken_citation(fact.texts["way"])
    return _SOURCES.get(fact.kind, PRACTICE)


def _value(fact: BookFact, keys: Mapping[str, tuple[str, str]]) -> JsonValue:
    """Return the number that a fact is about, None where it is about none."""
    key, unit = keys.get(fact.kind, ("", ""))
    value = fact.values.get(key)
    return None if value is None else _plain(json_measured(Measured(value=value), unit))
