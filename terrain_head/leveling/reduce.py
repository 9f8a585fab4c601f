"""Reduces level books: from readings in order to elevations with their joint doubt."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.covariance import Covariance
from terrain_head.base.units import to_si
from terrain_head.errors import ReductionError, Trouble
from terrain_head.leveling.blunders import blunders_of, first_check_of
from terrain_head.leveling.book import BookFact, KnownElevation, LevelBook
from terrain_head.leveling.connections import Connections
from terrain_head.leveling.doubt import doubt_of
from terrain_head.leveling.elevations import Elevations, Misclosure
from terrain_head.leveling.hand_rule import Carried, carry
from terrain_head.leveling.network import Network
from terrain_head.leveling.page_check import page_checks, sheet_of
from terrain_head.leveling.taped_stations import level_route
from terrain_head.leveling.weights import Weights, weights_of

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

ASSUMED = 100.0
"""What the first point is called, in the book's own unit, where no elevation is known."""


def reduce_book(book: LevelBook) -> Elevations:
    """Return the elevations that a level book comes to.

    Parameters
    ----------
    book
        One or more level books of a site.

    Returns
    -------
    Elevations
        Least-squares elevations, the hand rule's beside them, misclosures, residuals and doubt.

    Raises
    ------
    ReductionError
        If the book holds no reading, or a part of it is tied to nothing known.

    Notes
    -----
    Unknowns are the elevations, each set-up's line of sight, and what is out of level in the
    instrument, which all its sights share (`sight_errors`); what is known of that, and curvature
    less refraction, is taken off the readings first. Known
    elevations are held fixed, or take part as observations where they have a standard error.
    The covariance is multiplied by s0 squared where a chi-square test at 5 % finds the readings
    worse than claimed, never where it finds them better. Where no error at all is stated every
    observation counts alike and s0 gives the scale, but no reading is taken to be surer than its
    own rounding (last figure over the square root of 12).
    """
    points = book.points
    if not points:
        raise ReductionError(
            "The level book holds no readings.",
            Trouble(what="It has a heading and no row that says anything."),
        )
    known = _known(book, points)
    weights = weights_of(book)
    network = _network(book, points, known.entries, weights)
    _refuse_loose_parts(network, points)
    solved = network.solve()
    stds = {entry.point: (entry.elevation_m, entry.std_m or 0.0) for entry in known.entries}
    carried = carry(
        book,
        known=stds,
        variance_m2=np.square(weights.judging_m),
        shared_m=weights.sights.uncorrected_m,
    )
    doubt = doubt_of(book, solved, weights=weights)
    heights = solved.height_m[: len(points)].copy()
    by_name = dict(zip(points, heights.tolist(), strict=True))
    facts = [*book.facts, *known.facts, *weights.facts, *_rod_seems_direct(book, carried)]
    routes = []
    for route in book.routes:
        level, told = level_route(route, by_name)
        routes.append(level)
        facts += told
    is_known = np.array([name in stds for name in points])
    sheet = sheet_of(book, carried, set(stds))
    columns = _hand_columns(points, stds, carried)
    for array in (heights, is_known, *columns, solved.residual_m):
        array.flags.writeable = False

    def covariance_of(index: object) -> Covariance:
        return solved.covariance(np.asarray(index).tolist(), scale=doubt.scale)

    def stds_of_all() -> FloatArray:
        return solved.stds_m(scale=doubt.scale)[: len(points)]

    return Elevations(
        names=points,
        elevation_m=heights,
        by_setups_m=columns[1],
        as_read_m=columns[0],
        known=is_known,
        covariance_of=covariance_of,
        misclosures=carried.misclosures,
        residuals_m=solved.residual_m,
        s0=doubt.s0,
        degrees_of_freedom=solved.degrees_of_freedom,
        reading_std_m=doubt.reading_std_m,
        datum=", ".join(list(stds)[:3]) + (" ..." if len(stds) > 3 else ""),
        assumed_datum=known.assumed,
        hanging=_hanging(network, points),
        routes=tuple(routes),
        sheet=sheet,
        page_checks=page_checks(book, carried.chains, sheet),
        suspects=blunders_of(book, network, solved=solved, weights=weights),
        first_check=first_check_of(book, degrees_of_freedom=solved.degrees_of_freedom),
        likely_factor=doubt.likely_factor,
        reading_stated=book.reading_std_m is not None,
        facts=tuple(facts),
        stds_of_all=stds_of_all,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """Known elevations, or the first point called 100."""

    entries: tuple[KnownElevation, ...]
    assumed: bool
    facts: tuple[BookFact, ...]


def _known(book: LevelBook, points: tuple[str, ...]) -> _Known:
    if book.known:
        return _Known(entries=book.known, assumed=False, facts=())
    unit = "ft" if book.unit in {"ft", "ft-in", "in"} else "m"
    value = to_si(ASSUMED, unit)
    return _Known(
        entries=(KnownElevation(point=points[0], elevation_m=value),),
        assumed=True,
        facts=(
            BookFact(
                kind="first-point-called-100",
                point=points[0],
                values={"elevation_m": value},
                texts={"unit": unit},
            ),
        ),
    )


def _network(
    book: LevelBook, points: tuple[str, ...], known: tuple[KnownElevation, ...], weights: Weights
) -> Network:
    place = {name: index for index, name in enumerate(points)}
    count = len(points)
    fixed = np.full(count + len(book.setups), np.nan)
    ends: list[tuple[int, int, float]] = []
    level_m = _readings_m(book, weights)
    for reading, read_m in zip(book.readings, level_m.tolist(), strict=True):
        level, foot = count + reading.setup, place[reading.point]
        plus, minus = (level, foot) if book.rod == "normal" else (foot, level)
        ends.append((plus, minus, read_m))
    ends += [(place[d.end], place[d.start], d.rise_m) for d in book.differences]
    uncertain = []
    for entry in known:
        if entry.std_m is None:
            fixed[place[entry.point]] = entry.elevation_m
        else:
            ends.append((place[entry.point], -1, entry.elevation_m))
            uncertain.append(entry.std_m)
    sights = weights.sights
    others = len(ends) - len(book.readings)
    return Network(
        plus=np.array([end[0] for end in ends], dtype=np.intp),
        minus=np.array([end[1] for end in ends], dtype=np.intp),
        observed_m=np.array([end[2] for end in ends], dtype=np.float64),
        std_m=np.concatenate([weights.reading_m, weights.difference_m, np.array(uncertain)]),
        fixed_m=fixed,
        shared_m=np.pad(sights.shared_m, ((0, others), (0, 0))),
        worst_m=np.pad(sights.worst_m, (0, others)),
    )


def _readings_m(book: LevelBook, weights: Weights) -> FloatArray:
    """Return what a level line of sight would have read, one per reading [m]."""
    read = np.array([one.reading_m for one in book.readings], dtype=np.float64)
    return np.asarray(read - weights.sights.too_high_m)


def _graph(network: Network) -> tuple[Connections, list[int]]:
    """Return the graph of a network, and the nodes that are tied to the datum."""
    joins = network.minus >= 0
    graph = Connections(
        nodes=len(network.fixed_m), first=network.plus[joins], second=network.minus[joins]
    )
    roots = np.concatenate([np.flatnonzero(~np.isnan(network.fixed_m)), network.plus[~joins]])
    return graph, sorted({int(root) for root in roots})


def _refuse_loose_parts(network: Network, points: tuple[str, ...]) -> None:
    graph, roots = _graph(network)
    part = graph.parts()
    tied = {int(part[root]) for root in roots}
    loose: dict[int, list[str]] = {}
    for name, number in zip(points, part, strict=False):
        if int(number) not in tied:
            loose.setdefault(int(number), []).append(name)
    if not loose:
        return
    raise ReductionError(
        "A part of the survey is tied to nothing known."
        if len(loose) == 1
        else f"{len(loose)} parts of the survey are tied to nothing known.",
        *(
            Trouble(
                what=f"{_listed(names)}: read from each other, but from no point that the rest "
                "of the book knows. Read one of the other points from there too, or write a "
                "known elevation for one of these. Look for a name spelled two ways."
            )
            for names in loose.values()
        ),
        left_alone="Nothing was written.",
    )


def _listed(names: list[str]) -> str:
    shown = ", ".join(names[:8])
    return shown if len(names) <= 8 else f"{shown} and {len(names) - 8} more"


def _hanging(network: Network, points: tuple[str, ...]) -> tuple[str, ...]:
    graph, roots = _graph(network)
    hangs = graph.unchecked(roots)
    return tuple(name for name, alone in zip(points, hangs, strict=False) if alone)


def _hand_columns(
    points: tuple[str, ...], known: Mapping[str, tuple[float, float]], carried: Carried
) -> tuple[FloatArray, FloatArray]:
    pairs = [carried.of_point.get(name, (math.nan, math.nan)) for name in points]
    as_read = np.array([pair[0] for pair in pairs])
    shared = np.array(
        [
            known[name][0] if name in known else pair[1]
            for name, pair in zip(points, pairs, strict=True)
        ]
    )
    return as_read, shared


def _rod_seems_direct(book: LevelBook, carried: Carried) -> list[BookFact]:
    """Tell if the known points that are missed now would be met with the readings turned about."""
    elevations = {entry.point: entry.elevation_m for entry in book.known}
    runs = [run for run in carried.misclosures if run.start != run.end]
    if not runs or not all(run.start in elevations and run.end in elevations for run in runs):
        return []
    if any(run.holds for run in runs) or not all(_meets_turned(run, elevations) for run in runs):
        return []
    return [BookFact(kind="rod-seems-direct", texts={"rod": book.rod})]


def _meets_turned(run: Misclosure, elevations: Mapping[str, float]) -> bool:
    apart = elevations[run.end] - elevations[run.start]
    turned = -(run.computed_minus_known_m + apart) - apart
    return abs(turned) <= run.allowable_m
