"""Measurements that could be made next: what each would measure, how well, for what effort."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.causes import FLOW_SHARE, Target, causes_of
from terrain_head.assessment.drawn import Drawn
from terrain_head.assessment.drawn_ground import DrawnHeights
from terrain_head.assessment.foreseen import Foreseen
from terrain_head.assessment.streams import stream
from terrain_head.base.citation import OURS, Citation
from terrain_head.base.display import LIKELY
from terrain_head.base.middle import middle_of
from terrain_head.formulas.hydrostatics import head_from_pressure_m
from terrain_head.leveling.allowable import PUBLISHED_CLASSES
from terrain_head.scheme.ends import tank_node
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Outlet, Tank
from terrain_head.scheme.pipe_flow import Water

FloatArray = NDArray[np.float64]
Kind = Literal[
    "level the fall",
    "level the lift",
    "level a tank",
    "level an outlet",
    "time the spring",
    "time the ram",
    "caliper the pipes",
    "shoot a stake",
]

TIMINGS = 10
"""How often the spring is timed again."""
BUCKET_SHARE = 0.01
"""Standard error of the bucket's own volume, which more timings do not mend; ours [1]."""
RAM_SHARE = 0.03
"""Of an efficiency from a day of timed flows: two flows of 2 % each, rounded up; ours [1]."""
CALIPER_M = 1e-4
"""Of an inside diameter measured four ways at a cut end; ours [m]."""
ENDS_M = 0.01
"""Of a leveled difference, for finding water surface, valve and tap; ours [m]."""
SET_UP_M = 60.0
"""Ground that one set-up of a level covers; ours [m]."""

_MINUTES_OUT = 30.0
_MINUTES_SET_UP = 10.0
_MINUTES_TIMINGS = 40.0
_MINUTES_RAM = 120.0
_MINUTES_PIPE = 10.0
_LEVELING = next(one for one in PUBLISHED_CLASSES if one.name == "construction")


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """A measurement not made yet, and what it is expected to tell of one need.

    Parameters
    ----------
    kind
        What to do.
    of
        Name of the tank, outlet or pipe; empty where the kind says it all.
    station_m
        Where on that pipe, None for the other kinds [m].
    std
        Standard error that it would have, SI; for pipes that of each [m], [m3/s], [1].
    unit
        Its unit in a document.
    minutes
        Work that it takes two people; ours [min].
    foreseen
        None where nobody knows how wrong the heights are now: then it comes first.
    citation
        Where the standard error is published, or the plain word that it is ours.
    """

    kind: Kind
    of: str = ""
    station_m: float | None = None
    std: float
    unit: str
    minutes: float
    foreseen: Foreseen | None
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """A measurement with draws of what it measures.

    Parameters
    ----------
    measurement
        The measurement, nothing foreseen of it yet.
    drawn
        Draws of the quantities that it measures, shape (draws, m), SI; None where nobody knows how
        wrong they are.
    only
        Kind and name of the one need that it is for, None for any.
    """

    measurement: Measurement
    drawn: FloatArray | None
    only: tuple[str, str] | None = None

    def errors(self, draws: int) -> FloatArray:
        """Return standard normal draws of its errors, shape (draws, m) [1]."""
        one = self.measurement
        columns = 1 if self.drawn is None else self.drawn.shape[1]
        return stream(f"measuring {one.kind} {one.of}", draws=draws, columns=columns)


def candidates(answer: Answer, drawn: Drawn) -> Iterator[Candidate]:
    """Yield every measurement that the scheme has something for.

    Parameters
    ----------
    answer
        One choice of one study.
    drawn
        Its draws.
    """
    layout = answer.layout
    if layout.ram is not None:
        tank = layout.tanks[0].name if layout.tanks else ""
        for kind, result, pipe in _RAM_LEVELS:
            name = getattr(layout.ram, pipe)
            length_m = _length_m(layout, [name])
            if result in drawn.samples:
                yield Candidate(
                    measurement=_leveled(kind, length_m=length_m),
                    drawn=drawn.samples[result][:, None],
                )
            elif result in drawn.unknown:
                yield Candidate(
                    measurement=_leveled(kind, length_m=length_m), drawn=None, only=("water", tank)
                )
    else:
        for fed in layout.tanks:
            yield from _tank_level(layout, drawn, fed)
    for outlet in layout.outlets:
        yield from _outlet_level(answer, drawn, outlet)
    yield from _by_cause(answer, drawn)
    for name in layout.pipes:
        yield from _stake(answer, drawn, name)


_RAM_LEVELS: tuple[tuple[Kind, str, Literal["drive", "delivery"]], ...] = (
    ("level the fall", "fall", "drive"),
    ("level the lift", "lift", "delivery"),
)


def _leveled(
    kind: Kind, *, of: str = "", length_m: float, station_m: float | None = None
) -> Measurement:
    """Return the leveling of a difference, out and back."""
    return Measurement(
        kind=kind,
        of=of,
        station_m=station_m,
        std=math.hypot(ENDS_M, _LEVELING.allowable_m(length_m) / LIKELY),
        unit="m",
        minutes=_MINUTES_OUT + _MINUTES_SET_UP * math.ceil(length_m / SET_UP_M),
        foreseen=None,
        citation=_LEVELING.citation,
    )


def _tank_level(layout: Layout, drawn: Drawn, tank: Tank) -> Iterator[Candidate]:
    """Yield the leveling of a tank against the source that fills it by itself."""
    result, feed = f"tank.{tank.name}.drop", []
    upstream = {pipe.downstream: pipe for pipe in layout.pipes.values()}
    node = tank_node(tank)
    while (pipe := upstream.pop(node, None)) is not None:
        feed.append(pipe.name)
        node = pipe.upstream
    measurement = _leveled("level a tank", of=tank.name, length_m=_length_m(layout, feed))
    if result in drawn.unknown:
        yield Candidate(measurement=measurement, drawn=None, only=("water", tank.name))
    elif result in drawn.samples:
        yield Candidate(measurement=measurement, drawn=drawn.samples[result][:, None])


def _outlet_level(answer: Answer, drawn: Drawn, outlet: Outlet) -> Iterator[Candidate]:
    """Yield the leveling of an outlet against the water that feeds it: what stands on it still."""
    result = f"outlet.{outlet.name}.static_low"
    measurement = _leveled(
        "level an outlet", of=outlet.name, length_m=_length_m(answer.layout, _way(answer, outlet))
    )
    if result in drawn.unknown:
        yield Candidate(measurement=measurement, drawn=None, only=("pressure", outlet.name))
    elif result in drawn.samples:
        water = Water.at(answer.layout.parts.water_temperature_c)
        head_m = head_from_pressure_m(drawn.samples[result], density_kg_m3=water.density_kg_m3)
        yield Candidate(measurement=measurement, drawn=head_m[:, None])


def _by_cause(answer: Answer, drawn: Drawn) -> Iterator[Candidate]:
    """Yield the measurements of what is drawn by itself: flow, efficiency, bores.

    The streams of draws go by name, so they are those that the results were drawn with.
    """
    layout = answer.layout
    no_heights = DrawnHeights(by_cause={}, again={}, unknown=np.zeros(0, np.bool_))
    causes = causes_of(layout, heights=no_heights, draws=drawn.draws)
    moves = {target: added for cause in causes for target, added in cause.moves.items()}
    flow = None if layout.source is None else layout.source.flow_m3_s
    if flow is not None:
        yield Candidate(
            measurement=Measurement(
                kind="time the spring",
                std=math.hypot(FLOW_SHARE / math.sqrt(TIMINGS), BUCKET_SHARE) * flow.value,
                unit="L/min",
                minutes=_MINUTES_TIMINGS,
                foreseen=None,
                citation=OURS.at(f"{TIMINGS} timings of 5 % each, a bucket good to 1 %"),
            ),
            drawn=moves[Target("source flow")][:, None],
        )
    efficiency = drawn.samples.get("efficiency")
    middle = middle_of(efficiency)
    if efficiency is not None and middle is not None:
        yield Candidate(
            measurement=Measurement(
                kind="time the ram",
                std=RAM_SHARE * middle,
                unit="1",
                minutes=_MINUTES_RAM,
                foreseen=None,
                citation=OURS.at("efficiency from a day of timed flows: 3 % of it"),
            ),
            drawn=np.where(np.isfinite(efficiency), efficiency, middle)[:, None],
        )
    bores = [added for target, added in moves.items() if target.kind == "inside"]
    if bores:
        yield Candidate(
            measurement=Measurement(
                kind="caliper the pipes",
                std=CALIPER_M,
                unit="m",
                minutes=_MINUTES_PIPE * len(bores),
                foreseen=None,
                citation=OURS.at("inside diameter with a caliper, four ways at a cut end: 0.1 mm"),
            ),
            drawn=np.column_stack(bores),
        )


def _stake(answer: Answer, drawn: Drawn, pipe: str) -> Iterator[Candidate]:
    """Yield the rod on a pipe's least clear station: what of its clearance no loss explains."""
    clearance = drawn.samples.get(f"pipe.{pipe}.min_clearance")
    at = least_station_m(answer, pipe)
    if clearance is None or at is None:
        return
    loss = drawn.samples.get(f"pipe.{pipe}.head_loss", np.zeros(drawn.draws))
    has_figure = np.isfinite(clearance) & np.isfinite(loss)
    if not has_figure.any():
        return
    ground = np.zeros(drawn.draws)
    terms = np.column_stack([np.ones(drawn.draws), loss])[has_figure]
    slope = np.linalg.lstsq(terms, clearance[has_figure], rcond=None)[0]
    ground[has_figure] = clearance[has_figure] - terms @ slope
    yield Candidate(
        measurement=_leveled("shoot a stake", of=pipe, length_m=at, station_m=at),
        drawn=ground[:, None],
        only=("clearance", pipe),
    )


def least_station_m(answer: Answer, pipe: str) -> float | None:
    """Return the station at which a pipe lies least under its hydraulic grade line [m]."""
    result = answer.solution.pipes.get(pipe)
    return None if result is None else middle_of(result.min_clearance_station_m)


def _length_m(layout: Layout, pipes: Sequence[str]) -> float:
    found = [middle_of(layout.pipes[name].length_m) for name in pipes if name in layout.pipes]
    return sum(length for length in found if length is not None)


def _way(answer: Answer, outlet: Outlet) -> list[str]:
    """Return the names of the pipes from an outlet up to its tank."""
    upstream = {pipe.downstream: pipe for pipe in answer.layout.pipes.values()}
    found = []
    node = outlet.place
    while (pipe := upstream.pop(node, None)) is not None and pipe.role in {"supply", "gravity"}:
        found.append(pipe.name)
        node = pipe.upstream
    return found
