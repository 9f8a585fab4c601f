"""The choices of a study side by side: what each gives, and which is better by what."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.differences import (
    DifferenceDoubt,
    Undecided,
    difference_doubt,
    rival_of,
)
from terrain_head.assessment.turns import turns_of
from terrain_head.base.citation import COMMON_PRACTICE
from terrain_head.base.middle import middle_of
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.solution import Solution

TRENCH_WIDTH_M = 0.3
"""Width of a trench dug by hand for one small pipe [m]."""
TRENCH_WIDTH = COMMON_PRACTICE.at("width of a trench dug by hand")
MAIN = "main"
SAME = 1e-2
"""Share by which two results must differ before one is called better; ours [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """One thing by which a choice may be better.

    Parameters
    ----------
    result
        Name of the result that is compared.
    better
        Whether more or less of it is better.
    """

    result: str
    better: Literal["more", "less"]


CRITERIA: Mapping[str, Criterion] = {
    "water": Criterion(result="delivered", better="more"),
    "pressure": Criterion(result="least_running", better="more"),
    "fall": Criterion(result="fall", better="more"),
    "lift": Criterion(result="lift", better="less"),
    "pipe": Criterion(result="pipe_length", better="less"),
    "digging": Criterion(result="digging", better="less"),
    "high points": Criterion(result="high_points", better="less"),
    "static pressure": Criterion(result="highest_static", better="less"),
    "stand": Criterion(result="stand", better="less"),
}
UNITS: Mapping[str, str] = {
    "fall": "m",
    "lift": "m",
    "delivery_pipe_length": "m",
    "pipe_length": "m",
    "delivered": "m3/d",
    "least_running": "kPa",
    "highest_static": "kPa",
    "digging": "m3",
    "high_points": "1",
    "low_points": "1",
    "stand": "m",
    "stand_needed": "m",
}
"""JSON unit of each result; running pressures are ``running.OUTLET``, in kPa."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceResults:
    """What one choice comes to.

    Parameters
    ----------
    name
        Name of the choice.
    results
        By the names of `UNITS` and ``running.OUTLET``, SI; None where the data do not reach.
    cost
        None: costs are not asked for yet.
    """

    name: str
    results: Mapping[str, float | None]
    cost: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """How much more of a result a choice has than the one it is held against, SI.

    Parameters
    ----------
    name, against
        Names of the choice and of the one it is held against.
    result, unit, value
        Name of the result, its JSON unit, and how much more there is of it.
    doubt
        How sure that is; None where nothing was drawn or some doubt is not known.
    chance_better
        That the choice is the better one by this result; None without doubt, or where more of it
        is neither better nor worse [1].
    """

    name: str
    against: str
    result: str
    value: float
    unit: str
    doubt: DifferenceDoubt | None = None
    chance_better: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """The choices side by side.

    Parameters
    ----------
    choices
        In the order of the study.
    against
        Name of the choice the others are held against.
    differences
        Of every other choice, in every result that both have.
    better
        By each criterion of `CRITERIA` the one best choice; None for a tie, where a choice does
        not reach the result, and where it is undecided.
    undecided
        The criteria by which there is a best choice, but not nine times in ten.
    """

    choices: tuple[ChoiceResults, ...]
    against: str
    differences: tuple[Difference, ...]
    better: Mapping[str, str | None]
    undecided: Mapping[str, Undecided] = field(default_factory=dict)


def compare(answers: Sequence[Answer]) -> Comparison:
    """Return the choices of one study side by side.

    Parameters
    ----------
    answers
        One for each choice; the one called ``main``, else the first, is what they are held
        against.

    Returns
    -------
    Comparison
        Data only.

    Raises
    ------
    ValueError
        If there is no answer at all.
    """
    if not answers:
        raise ValueError("nothing to compare")
    choices = tuple(results_of(answer) for answer in answers)
    by_name = {answer.choice: answer for answer in answers}
    base = next((choice for choice in choices if choice.name == MAIN), choices[0])
    differences = tuple(
        _with_doubt(difference, by_name)
        for choice in choices
        if choice is not base
        for difference in _differences(choice, base)
    )
    better = {name: best_by(criterion, choices) for name, criterion in CRITERIA.items()}
    undecided = {
        name: open_yet
        for name, best in better.items()
        if best is not None
        and (
            open_yet := rival_of(
                best, by_name, result=CRITERIA[name].result, better=CRITERIA[name].better
            )
        )
        is not None
    }
    return Comparison(
        choices=choices,
        against=base.name,
        differences=differences,
        better={name: None if name in undecided else best for name, best in better.items()},
        undecided=undecided,
    )


_SENSE: Mapping[str, Literal["more", "less"]] = {
    criterion.result: criterion.better for criterion in CRITERIA.values()
}


def _with_doubt(difference: Difference, by_name: Mapping[str, Answer]) -> Difference:
    """Return a difference with its doubt and the chance that it is one for the better."""
    doubt = difference_doubt(
        by_name[difference.name], by_name[difference.against], result=difference.result
    )
    if doubt is None:
        return difference
    running = difference.result.startswith("running.")
    sense = "more" if running else _SENSE.get(difference.result)
    chance = None
    if sense is not None:
        chance = doubt.chance_more if sense == "more" else 1 - doubt.chance_more
    return replace(difference, doubt=doubt, chance_better=chance)


def results_of(answer: Answer) -> ChoiceResults:
    """Return the headline results of one choice, SI."""
    layout, solution = answer.layout, answer.solution
    ram = solution.ram
    running = {
        f"running.{name}": middle_of(result.running_low_pa)
        for name, result in solution.outlets.items()
    }
    delivery = [pipe for pipe in layout.pipes.values() if pipe.role == "delivery"]
    others = [pipe for pipe in layout.pipes.values() if pipe.role != "drive"]
    known = bool(others) and all(pipe.profile.between_known for pipe in others)
    turns = [turns_of(pipe, ground=answer.ground) for pipe in others]
    return ChoiceResults(
        name=answer.choice,
        results={
            "fall": None if ram is None else middle_of(ram.fall_m),
            "lift": None if ram is None else middle_of(ram.lift_m),
            "delivery_pipe_length": _total_length(delivery),
            "pipe_length": _total_length(others),
            "delivered": _delivered(layout, solution),
            "least_running": _least(list(running.values())),
            "highest_static": _highest_static(solution),
            "digging": digging_m3(layout),
            "high_points": float(sum(len(turn.told("high")) for turn in turns)) if known else None,
            "low_points": float(sum(len(turn.told("low")) for turn in turns)) if known else None,
            "stand": max((tank.stand_m.value for tank in layout.tanks), default=None),
            "stand_needed": _stand_needed(solution),
            **running,
        },
    )


def digging_m3(layout: Layout) -> float:
    """Return the earth to be moved for all pipes that are to be covered.

    Parameters
    ----------
    layout
        The scheme on its ground.

    Returns
    -------
    float
        Length along the slope times width times cover [m3].

    Notes
    -----
    Trenches with upright sides, `TRENCH_WIDTH_M` wide, to the depth of the cover. The cut for a
    straight drive pipe is not in it.

    References
    ----------
    Width: common practice, no source.
    """
    covered = [pipe for pipe in layout.pipes.values() if pipe.role != "drive"]
    return sum(
        pipe.profile.slope_length_m * TRENCH_WIDTH_M * pipe.run.cover_m.value for pipe in covered
    )


def best_by(criterion: Criterion, choices: Sequence[ChoiceResults]) -> str | None:
    """Return the name of the one best choice, None for a tie or where a result is missing."""
    values = [choice.results[criterion.result] for choice in choices]
    known = [value for value in values if value is not None]
    if len(known) < len(values) or len(values) < 2:
        return None
    best = max(known) if criterion.better == "more" else min(known)
    as_good = [
        choice.name
        for choice, value in zip(choices, known, strict=True)
        if math.isclose(value, best, rel_tol=SAME, abs_tol=1e-12)
    ]
    return as_good[0] if len(as_good) == 1 else None


def _differences(choice: ChoiceResults, base: ChoiceResults) -> list[Difference]:
    found = []
    for result, value in choice.results.items():
        other = base.results.get(result)
        if value is not None and other is not None:
            unit = UNITS.get(result, "kPa")
            found.append(
                Difference(
                    name=choice.name,
                    against=base.name,
                    result=result,
                    value=value - other,
                    unit=unit,
                )
            )
    return found


def _least(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return min(known) if known and len(known) == len(values) else None


def _total_length(pipes: Sequence[Pipe]) -> float | None:
    lengths = [middle_of(pipe.length_m) for pipe in pipes]
    known = [length for length in lengths if length is not None]
    return sum(known) if known and len(known) == len(lengths) else None


def _delivered(layout: Layout, solution: Solution) -> float | None:
    """Return the water that the ram (or the source) brings into tanks [m3/s]."""
    if solution.ram is not None:
        return middle_of(solution.ram.delivered_m3_s)
    inflows = [middle_of(result.inflow_m3_s) for result in solution.tanks.values()]
    known = [inflow for inflow in inflows if inflow is not None]
    return max(known, default=None) if layout.tanks else None


def _highest_static(solution: Solution) -> float | None:
    pressures = [middle_of(result.max_static_pa) for result in solution.pipes.values()]
    return max((pressure for pressure in pressures if pressure is not None), default=None)


def _stand_needed(solution: Solution) -> float | None:
    stands = [middle_of(result.stand_needed_m) for result in solution.outlets.values()]
    return max((stand for stand in stands if stand is not None), default=None)
