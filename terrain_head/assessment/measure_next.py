"""What to measure next: for each need that is not sure, what would settle it, best first."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.causes import FLOW_SHARE, Target, causes_of
from terrain_head.assessment.drawn import SURE, Drawn
from terrain_head.assessment.drawn_ground import DrawnHeights
from terrain_head.assessment.foreseen import Foreseen, foreseen
from terrain_head.assessment.headline import headline
from terrain_head.assessment.streams import stream
from terrain_head.base.citation import OURS, Citation
from terrain_head.base.display import LIKELY
from terrain_head.base.middle import middle_of
from terrain_head.formulas.hydrostatics import head_from_pressure_m
from terrain_head.leveling.allowable import PUBLISHED_CLASSES
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Outlet
from terrain_head.scheme.pipe_flow import Water

FloatArray = NDArray[np.float64]
Kind = Literal[
    "level the fall",
    "level the lift",
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
WORTH = 0.05
"""What narrows a range by less, and tells in fewer of the cases, is not worth going for; ours
[1]."""

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
        Name of the outlet or pipe; empty where the kind says it all.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A need that is not sure, with what would settle it.

    Parameters
    ----------
    kind
        ``water``, ``pressure``, or ``clearance`` (whether a pipe lies under its hydraulic grade
        line).
    name
        Of the tank, outlet or pipe.
    chance
        That it is met, None where that is not known [1].
    measurements
        Those worth going for, by gain per effort, the best first.
    together
        What all of them together tell; None for fewer than two.
    """

    kind: Literal["water", "pressure", "clearance"]
    name: str
    chance: float | None
    measurements: tuple[Measurement, ...]
    together: Foreseen | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Candidate:
    """A measurement with draws of what it measures, shape (draws, m); None if not known.

    ``only`` is kind and name of the one need that it is for, None for any.
    """

    measurement: Measurement
    drawn: FloatArray | None
    only: tuple[str, str] | None = None

    def concerns(self, question: Question) -> bool:
        return self.only in {None, (question.kind, question.name)}

    def errors(self, draws: int) -> FloatArray:
        one = self.measurement
        columns = 1 if self.drawn is None else self.drawn.shape[1]
        return stream(f"measuring {one.kind} {one.of}", draws=draws, columns=columns)


def measure_next(answer: Answer) -> tuple[Question, ...]:
    """Return what would settle each need that is not sure.

    Parameters
    ----------
    answer
        One choice of one study, drawn.

    Returns
    -------
    tuple of Question
        In the order of the needs, then of the pipes; empty where every need is sure or nothing
        was drawn. The same digits every time.

    Notes
    -----
    Gain is the part of the cases in which one would then know; of those that tell equally often,
    the narrowing. Both are divided by the minutes.
    """
    drawn = answer.drawn
    if drawn is None:
        return ()
    candidates: list[_Candidate] | None = None
    questions = []
    for question, result, wanted in _questions(answer, drawn):
        if candidates is None:
            candidates = list(_candidates(answer, drawn))
        questions.append(_settled(question, drawn, candidates, result=result, wanted=wanted))
    return tuple(questions)


def _questions(answer: Answer, drawn: Drawn) -> Iterator[tuple[Question, str, float]]:
    """Yield each need that is not sure, with its result and what is wanted."""
    for need in headline(answer).needs:
        if need.sure == "perhaps":
            result = {"water": f"tank.{need.name}.inflow"}.get(
                need.kind, f"outlet.{need.name}.running_low"
            )
            question = Question(kind=need.kind, name=need.name, chance=need.chance, measurements=())
            yield question, result, need.wanted
    for name, pipe in answer.layout.pipes.items():
        result = f"pipe.{name}.min_clearance"
        at = _least_station_m(answer, name)
        if result not in drawn.samples or not at or not pipe.profile.between_known:
            continue
        chance = float(np.mean(np.nan_to_num(drawn.samples[result], nan=-np.inf) >= 0))
        if 1 - SURE < chance < SURE:
            yield Question(kind="clearance", name=name, chance=chance, measurements=()), result, 0.0


def _settled(
    question: Question,
    drawn: Drawn,
    candidates: Sequence[_Candidate],
    *,
    result: str,
    wanted: float,
) -> Question:
    """Return a need with what would settle it."""
    concerned = [one for one in candidates if one.concerns(question)]
    samples = drawn.samples.get(result)
    if result in drawn.unknown or samples is None:
        lost = [one.measurement for one in concerned if one.drawn is None]
        return replace(question, measurements=tuple(sorted(lost, key=lambda one: one.minutes)))
    worth: list[tuple[_Candidate, Measurement]] = []
    for one in concerned:
        told = _told(samples, [one], wanted=wanted)
        if told is not None and max(told.narrower, told.known) >= WORTH:
            worth.append((one, replace(one.measurement, foreseen=told)))
    worth.sort(key=lambda pair: _gain(pair[1]), reverse=True)
    return replace(
        question,
        measurements=tuple(measurement for _, measurement in worth),
        together=_told(samples, [one for one, _ in worth], wanted=wanted) if worth[1:] else None,
    )


def _told(
    samples: FloatArray, candidates: Sequence[_Candidate], *, wanted: float
) -> Foreseen | None:
    """Return what some measurements tell together, None where one is not drawn."""
    columns = [one.drawn for one in candidates if one.drawn is not None]
    if len(columns) < len(candidates):
        return None
    stds = [
        np.full(one.shape[1], c.measurement.std) for one, c in zip(columns, candidates, strict=True)
    ]
    return foreseen(
        samples,
        np.column_stack(columns),
        std=np.concatenate(stds),
        errors=np.column_stack([one.errors(len(samples)) for one in candidates]),
        wanted=wanted,
    )


def _gain(measurement: Measurement) -> tuple[float, float]:
    told = measurement.foreseen
    if told is None:
        return (0.0, 0.0)
    return (told.known / measurement.minutes, told.narrower / measurement.minutes)


def _candidates(answer: Answer, drawn: Drawn) -> Iterator[_Candidate]:
    """Yield every measurement that the scheme has something for."""
    layout = answer.layout
    if layout.ram is not None:
        tank = layout.tanks[0].name if layout.tanks else ""
        for kind, result, pipe in _RAM_LEVELS:
            name = getattr(layout.ram, pipe)
            length_m = _length_m(layout, [name])
            if result in drawn.samples:
                yield _Candidate(
                    measurement=_leveled(kind, length_m=length_m),
                    drawn=drawn.samples[result][:, None],
                )
            elif result in drawn.unknown:
                yield _Candidate(
                    measurement=_leveled(kind, length_m=length_m), drawn=None, only=("water", tank)
                )
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


def _outlet_level(answer: Answer, drawn: Drawn, outlet: Outlet) -> Iterator[_Candidate]:
    """Yield the leveling of an outlet against the water that feeds it: what stands on it still."""
    result = f"outlet.{outlet.name}.static_low"
    measurement = _leveled(
        "level an outlet", of=outlet.name, length_m=_length_m(answer.layout, _way(answer, outlet))
    )
    if result in drawn.unknown:
        yield _Candidate(measurement=measurement, drawn=None, only=("pressure", outlet.name))
    elif result in drawn.samples:
        water = Water.at(answer.layout.parts.water_temperature_c)
        head_m = head_from_pressure_m(drawn.samples[result], density_kg_m3=water.density_kg_m3)
        yield _Candidate(measurement=measurement, drawn=head_m[:, None])


def _by_cause(answer: Answer, drawn: Drawn) -> Iterator[_Candidate]:
    """Yield the measurements of what is drawn by itself: flow, efficiency, bores.

    The streams of draws go by name, so they are those that the results were drawn with.
    """
    layout = answer.layout
    no_heights = DrawnHeights(by_cause={}, unknown=np.zeros(0, np.bool_))
    causes = causes_of(layout, heights=no_heights, draws=drawn.draws)
    moves = {target: added[0] for cause in causes for target, added in cause.moves.items()}
    flow = None if layout.source is None else layout.source.flow_m3_s
    if flow is not None:
        yield _Candidate(
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
        yield _Candidate(
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
        yield _Candidate(
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


def _stake(answer: Answer, drawn: Drawn, pipe: str) -> Iterator[_Candidate]:
    """Yield the rod on a pipe's least clear station: what of its clearance no loss explains."""
    clearance = drawn.samples.get(f"pipe.{pipe}.min_clearance")
    at = _least_station_m(answer, pipe)
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
    yield _Candidate(
        measurement=_leveled("shoot a stake", of=pipe, length_m=at, station_m=at),
        drawn=ground[:, None],
        only=("clearance", pipe),
    )


def _least_station_m(answer: Answer, pipe: str) -> float | None:
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
