"""The doubt of a difference between two choices: what they share is drawn alike and goes out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.drawn import SURE, likely_of
from terrain_head.assessment.drawn_results import results_by_name

FloatArray = NDArray[np.float64]

HEIGHTS = frozenset({"heights", "raster", "marks"})
"""The causes that better heights would cure."""
_ALIKE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class DifferenceDoubt:
    """How sure the difference of a result between two choices is, SI.

    Parameters
    ----------
    std, low, high
        Standard error of the difference and the ends of its nine-in-ten range; None where some
        draws have no figure. The error of a difference that is the same in every draw is None too:
        no cause that is drawn moves it.
    chance_more
        That the first choice has more of it than the second [1].
    because
        The cause to which most of the difference's doubt is owed; None where that was not shared
        out.
    """

    std: float | None
    low: float | None
    high: float | None
    chance_more: float
    because: str | None

    @property
    def settled(self) -> bool:
        """Whether it can be said which has more, nine times in ten."""
        return max(self.chance_more, 1 - self.chance_more) >= SURE

    @property
    def heights_hide_it(self) -> bool:
        """Whether the heights are not known well enough to say which has more."""
        return not self.settled and self.because in HEIGHTS


@dataclass(frozen=True, slots=True, kw_only=True)
class Undecided:
    """A criterion by which no choice can be called better: the doubt is as large as what differs.

    Parameters
    ----------
    best
        Name of the choice that is best by the middle figures.
    rival
        Name of the one that may be better.
    chance
        That `best` is better than `rival`; less than nine in ten [1].
    because
        The cause to which most of that doubt is owed; ``heights`` or ``raster`` where the heights
        are not known well enough to say.
    """

    best: str
    rival: str
    chance: float
    because: str | None

    @property
    def heights_hide_it(self) -> bool:
        """Whether the heights are not known well enough to say which is better."""
        return self.because in HEIGHTS


def rival_of(
    best: str, by_name: Mapping[str, Answer], *, result: str, better: Literal["more", "less"]
) -> Undecided | None:
    """Return the choice that may well be better than the best, None if none may be.

    Parameters
    ----------
    best
        Name of the choice that is best by the middle figures.
    by_name
        All choices by name, drawn.
    result, better
        Name of the result, and whether more or less of it is better.
    """
    found: list[Undecided] = []
    for name, answer in by_name.items():
        doubt = None if name == best else difference_doubt(by_name[best], answer, result=result)
        if doubt is not None:
            chance = doubt.chance_more if better == "more" else 1 - doubt.chance_more
            found.append(Undecided(best=best, rival=name, chance=chance, because=doubt.because))
    closest = min(found, key=lambda one: one.chance, default=None)
    return closest if closest is not None and closest.chance < SURE else None


def difference_doubt(first: Answer, second: Answer, *, result: str) -> DifferenceDoubt | None:
    """Return the doubt of a result of one choice minus that of another.

    Parameters
    ----------
    first, second
        Two choices of one study, drawn.
    result
        Name of the result, as in `terrain_head.assessment.choices.UNITS`, or ``running.OUTLET``.

    Returns
    -------
    DifferenceDoubt or None
        None where one of them was not drawn or its doubt is not known, or both have the same in
        every draw.

    Notes
    -----
    Draw by draw the two choices stand on the same ground, at the same spring, with the same ram;
    only what differs between them makes the difference doubtful.
    """
    one, other = _drawn_result(first, result), _drawn_result(second, result)
    if one is None or other is None or first.drawn is None or second.drawn is None:
        return None
    apart = np.asarray(one - other)
    known = np.isfinite(apart)
    if not apart.ndim or not known.any():
        return None
    size = np.broadcast_to(np.abs(one), apart.shape)[known].max()
    if np.ptp(apart[known]) <= _ALIKE * size:
        middle = float(np.median(apart[known]))
        if abs(middle) <= _ALIKE * size:
            return None
        return DifferenceDoubt(
            std=None, low=middle, high=middle, chance_more=float(middle > 0), because=None
        )
    likely = likely_of(apart)
    if likely is None:
        return None
    return DifferenceDoubt(
        std=likely.std,
        low=likely.low,
        high=likely.high,
        chance_more=float(np.mean(apart > 0) + np.mean(apart == 0) / 2),
        because=_because(first, second, result),
    )


def compared(answer: Answer, given: Mapping[str, FloatArray], *, result: str) -> FloatArray | None:
    """Return one of the results by which choices are compared, None where it is not given.

    Parameters
    ----------
    answer
        The choice.
    given
        Its results by the names of `terrain_head.assessment.drawn_results.results_by_name`, SI.
    result
        Name of the result.
    """
    layout, solution = answer.layout, answer.solution
    if result.startswith("running."):
        return given.get(f"outlet.{result.removeprefix('running.')}.running_low")
    together: dict[str, tuple[np.ufunc, list[str]]] = {
        "least_running": (
            np.minimum,
            [f"outlet.{outlet.name}.running_low" for outlet in layout.outlets],
        ),
        "stand_needed": (
            np.maximum,
            [
                f"outlet.{name}.stand_needed"
                for name, outlet in solution.outlets.items()
                if outlet.stand_needed_m is not None
            ],
        ),
        "highest_static": (
            np.maximum,
            [
                f"pipe.{name}.max_static"
                for name, pipe in solution.pipes.items()
                if pipe.max_static_pa is not None
            ],
        ),
        "delivery_pipe_length": (
            np.add,
            [f"pipe.{p.name}.length" for p in layout.pipes.values() if p.role == "delivery"],
        ),
        "pipe_length": (
            np.add,
            [f"pipe.{p.name}.length" for p in layout.pipes.values() if p.role != "drive"],
        ),
    }
    if solution.ram is None:
        inflows = [f"tank.{tank.name}.inflow" for tank in layout.tanks]
        together["delivered"] = (np.maximum, inflows)
    if result not in together:
        return given.get(result)
    join, names = together[result]
    return _every(given, names, join)


def _every(given: Mapping[str, FloatArray], names: list[str], join: np.ufunc) -> FloatArray | None:
    """Return all the results named put together, None where one is missing."""
    if not names or any(name not in given for name in names):
        return None
    joined = given[names[0]]
    for name in names[1:]:
        joined = np.asarray(join(joined, given[name]))
    return joined


def _known(answer: Answer) -> dict[str, FloatArray]:
    unknown = frozenset() if answer.drawn is None else answer.drawn.unknown
    results = results_by_name(answer.solution)
    return {
        name: value
        for name, value in results.items()
        if name not in unknown and np.isfinite(value).all()
    }


def _drawn_result(answer: Answer, result: str) -> FloatArray | None:
    if answer.drawn is None:
        return None
    return compared(answer, {**_known(answer), **answer.drawn.samples}, result=result)


def _because(first: Answer, second: Answer, result: str) -> str | None:
    """Return the cause that, drawn anew for both, changes the difference most."""
    if first.drawn is None or second.drawn is None:
        return None
    lengths = [
        len(values)
        for answer in (first.drawn, second.drawn)
        for by_result in answer.swapped.values()
        for values in by_result.values()
    ]
    draws = min(lengths, default=0)
    before = _few_apart(first, second, result, cause=None, draws=draws)
    if before is None:
        return None
    effect: dict[str, float] = {}
    for cause in dict.fromkeys([*first.drawn.swapped, *second.drawn.swapped]):
        after = _few_apart(first, second, result, cause=cause, draws=draws)
        if after is not None:
            effect[cause] = float(np.mean(np.square(after - before)))
    most = max(effect, key=lambda cause: effect[cause], default=None)
    return most if most is not None and effect[most] > 0 else None


def _few_apart(
    first: Answer, second: Answer, result: str, *, cause: str | None, draws: int
) -> FloatArray | None:
    one = _few(first, result, cause=cause, draws=draws)
    other = _few(second, result, cause=cause, draws=draws)
    return None if one is None or other is None else np.asarray(one - other)


def _few(answer: Answer, result: str, *, cause: str | None, draws: int) -> FloatArray | None:
    """Return the first draws of a result, one cause drawn anew."""
    drawn = answer.drawn
    if drawn is None:
        return None
    anew = drawn.unswapped if cause is None else drawn.swapped.get(cause, drawn.unswapped)
    given = {**_known(answer), **{name: values[:draws] for name, values in drawn.samples.items()}}
    given |= {name: values[:draws] for name, values in anew.items()}
    return compared(answer, given, result=result)
