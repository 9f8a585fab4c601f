"""What a picture shows, in at most sixty words, for those who can't see it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.arrival import arrivals
from terrain_head.base.amounts import (
    day_amount,
    flow_amount,
    length_amount,
    pressure_amount,
    stand_amount,
)
from terrain_head.base.display import show
from terrain_head.base.middle import middle, middle_along
from terrain_head.plots.pegs import pegs_of
from terrain_head.plots.plan_sheet import spots_of
from terrain_head.plots.runs import water_runs
from terrain_head.plots.stand_sheet import crossing, sure_stand
from terrain_head.plots.system_sheet import heading

MOST_WORDS = 60
_WINDS = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip


def text_alternative(answer: Answer, *, picture: Literal["system", "plan", "stand"]) -> str:
    """Say what a picture shows.

    Parameters
    ----------
    answer
        What the picture was drawn from.
    picture
        Which one.

    Returns
    -------
    str
        Whole sentences, at most 60 words.
    """
    say = {"system": _system, "plan": _plan, "stand": _stand}[picture]
    return fitted(say(answer))


def fitted(sentences: Iterable[str], *, most: int = MOST_WORDS) -> str:
    """Return as many sentences as fit, the first ones first; a first one too long is cut.

    Examples
    --------
    >>> fitted(["One two three.", "Four five six seven.", "Eight."], most=4)
    'One two three. Eight.'
    """
    kept: list[str] = []
    for sentence in sentences:
        words = sentence.split()
        room = most - len(kept)
        if len(words) <= room:
            kept += words
        elif not kept:
            kept = [*words[: most - 1], "..."]
    return " ".join(kept)


def _system(answer: Answer) -> Iterator[str]:
    units = answer.units
    runs = water_runs(answer)
    if not runs:
        yield f"{heading(answer)}: no pipe is laid yet."
        return
    pegs = pegs_of(answer.layout)
    pipes = [answer.layout.pipes[name] for name in runs[0].pipes]
    first, last = pegs[pipes[0].upstream].name, pegs[pipes[-1].downstream].name
    yield f"{heading(answer)} in profile, from {first} to {last}."
    ram = answer.solution.ram
    if ram is not None:
        lift = "" if ram.lift_m is None else f" and lifts {_height(answer, 'lift', ram.lift_m)}"
        yield f"The ram stands {_height(answer, 'fall', ram.fall_m)} below the water{lift}."
    short, enough = [], []
    arrives = arrivals(answer)
    for outlet in answer.layout.outlets:
        result = answer.solution.outlets.get(outlet.name)
        if result is None:
            continue
        if result.running_low_pa is None:
            if outlet.opens is not None and result.flow_m3_s is not None:
                flow = flow_amount(middle(result.flow_m3_s), units)
                enough.append(f"{outlet.name} lets out {flow}.")
            continue
        pressure = pressure_amount(middle(result.running_low_pa), units)
        if arrives[outlet.name] == "no water":
            short.append(f"no water gets to {outlet.name}.")
        elif result.enough is not None and np.median(result.enough) < 0.5:
            short.append(f"{outlet.name} has too little pressure, {pressure}.")
        else:
            enough.append(f"{outlet.name} has {pressure} while it runs.")
    for sentence in (*short, *enough):
        yield sentence[0].upper() + sentence[1:]
    for pipe in pipes:
        length = length_amount(middle(pipe.length_m), units)
        yield f"Pipe {pipe.name}: {length}."


def _plan(answer: Answer) -> Iterator[str]:
    pegs = pegs_of(answer.layout)
    spots = spots_of(answer.layout, pegs)
    if len(spots) < 2:
        yield f"{heading(answer)}: no plan, since no positions are known."
        return
    yield f"Plan of {heading(answer)}, north up, with {len(spots)} places and their pipes."
    nodes = iter(spots.items())
    start, origin = next(nodes)
    for node, at in nodes:
        east, north = at[0] - origin[0], at[1] - origin[1]
        away = length_amount(float(np.hypot(east, north)), answer.units)
        yield f"{pegs[node].name}: {away} {wind(east, north)} of {pegs[start].name}."


def _stand(answer: Answer) -> Iterator[str]:
    sweep, units = answer.solution.stand_sweep, answer.units
    if sweep is None:
        yield f"{heading(answer)}: no stand was compared."
        return
    low, high = (stand_amount(float(sweep.stand_m[i]), units) for i in (0, -1))
    yield f"What a stand of {low} to {high} gives at {heading(answer)}."
    if sweep.inflow_m3_s is not None:
        water = middle_along(sweep.inflow_m3_s)
        least, most = (day_amount(float(water[i]), units) for i in (-1, 0))
        yield f"The higher it is, the less water arrives: {most} down to {least}."
    for outlet in answer.layout.outlets:
        values = sweep.running_low_pa.get(outlet.name)
        if values is None or outlet.needs_pa is None:
            continue
        need = outlet.needs_pa.value
        at = crossing(sweep.stand_m, middle_along(values), need=need)
        asked = pressure_amount(need, units)
        if at is not None:
            from_here = stand_amount(at, units)
            sure = sure_stand(answer, outlet.name, least_m=float(sweep.stand_m[0]))
            if sure is None:
                yield f"{outlet.name} has its {asked} from a stand of {from_here} up."
            else:
                yield (
                    f"{outlet.name} has its {asked} nine times in ten from a stand of "
                    f"{stand_amount(sure, units)} up, as often as not from {from_here} up."
                )
        else:
            always = middle_along(values)[0] >= need
            yield f"{outlet.name} {'always' if always else 'never'} has its {asked}."


def wind(east_m: float, north_m: float) -> str:
    """Return the direction of a spot seen from another, by the eight winds.

    Parameters
    ----------
    east_m, north_m
        How far east and north it lies [m].

    Examples
    --------
    >>> wind(10.0, 9.0), wind(-5.0, 0.1)
    ('north-east', 'west')
    """
    return _WINDS[round(float(np.degrees(np.arctan2(east_m, north_m))) / 45) % 8]


def _height(answer: Answer, name: str, value: NDArray[np.float64]) -> str:
    return str(show(middle(value), "height", answer.units, std=answer.std_told(name)))
