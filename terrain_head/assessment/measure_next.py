"""What to measure next: for each need that is not sure, what would settle it, best first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.arrival import arrivals
from terrain_head.assessment.drawn import SURE, Drawn
from terrain_head.assessment.foreseen import Foreseen, foreseen
from terrain_head.assessment.headline import headline
from terrain_head.assessment.measurements import Candidate, Measurement, candidates, least_station_m

FloatArray = NDArray[np.float64]
WORTH = 0.05
"""What narrows a range by less, and tells in fewer of the cases, is not worth going for; ours
[1]."""


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
        was drawn. The pressure of an outlet that gets no water is no question yet. The same digits
        every time.

    Notes
    -----
    Gain is the part of the cases in which one would then know; of those that tell equally often,
    the narrowing. Both are divided by the minutes.
    """
    drawn = answer.drawn
    if drawn is None:
        return ()
    offered: list[Candidate] | None = None
    questions = []
    for question, result, wanted in _questions(answer, drawn):
        if offered is None:
            offered = list(candidates(answer, drawn))
        questions.append(_settled(question, drawn, offered, result=result, wanted=wanted))
    return tuple(questions)


def _questions(answer: Answer, drawn: Drawn) -> Iterator[tuple[Question, str, float]]:
    """Yield each need that is not sure, with its result and what is wanted."""
    arrives = arrivals(answer)
    for need in headline(answer).needs:
        dry = need.kind == "pressure" and arrives[need.name] == "no water"
        if need.sure == "perhaps" and not dry:
            result = f"outlet.{need.name}.running_low"
            if need.kind == "water":
                result = f"tank.{need.name}.inflow"
            question = Question(kind=need.kind, name=need.name, chance=need.chance, measurements=())
            yield question, result, need.wanted
    for name, pipe in answer.layout.pipes.items():
        result = f"pipe.{name}.min_clearance"
        at = least_station_m(answer, name)
        if result not in drawn.samples or not at or not pipe.profile.between_known:
            continue
        chance = float(np.mean(np.nan_to_num(drawn.samples[result], nan=-np.inf) >= 0))
        if 1 - SURE < chance < SURE:
            yield Question(kind="clearance", name=name, chance=chance, measurements=()), result, 0.0


def _settled(
    question: Question,
    drawn: Drawn,
    offered: Sequence[Candidate],
    *,
    result: str,
    wanted: float,
) -> Question:
    """Return a need with what would settle it."""
    concerned = [one for one in offered if one.only in {None, (question.kind, question.name)}]
    samples = drawn.samples.get(result)
    if result in drawn.unknown or samples is None:
        lost = [one.measurement for one in concerned if one.drawn is None]
        return replace(question, measurements=tuple(sorted(lost, key=lambda one: one.minutes)))
    worth: list[tuple[Candidate, Measurement]] = []
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


def _told(samples: FloatArray, chosen: Sequence[Candidate], *, wanted: float) -> Foreseen | None:
    """Return what some measurements tell together, None where one is not drawn."""
    columns = [one.drawn for one in chosen if one.drawn is not None]
    if len(columns) < len(chosen):
        return None
    stds = [
        np.full(one.shape[1], c.measurement.std) for one, c in zip(columns, chosen, strict=True)
    ]
    return foreseen(
        samples,
        np.column_stack(columns),
        std=np.concatenate(stds),
        errors=np.column_stack([one.errors(len(samples)) for one in chosen]),
        wanted=wanted,
    )


def _gain(measurement: Measurement) -> tuple[float, float]:
    told = measurement.foreseen
    if told is None:
        return (0.0, 0.0)
    return (told.known / measurement.minutes, told.narrower / measurement.minutes)
