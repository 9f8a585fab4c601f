"""The tables of the report about doubt: ranges, chances, shares; and the legs of a stand."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.drawn_results import results_by_name
from terrain_head.assessment.headline import headline
from terrain_head.base.amounts import pressure_amount
from terrain_head.base.middle import middle_of
from terrain_head.report.doubt_words import (
    Range,
    chance_words,
    day_range,
    day_words,
    likely_range,
    owed_words,
    pressure_range,
)
from terrain_head.report.speech import Speech, height_and_doubt, height_range
from terrain_head.report.table import UNKNOWN, Table


def doubt_table(answer: Answer) -> Table:
    """Return how sure the figures are: range, chance that the need is met, cause of the doubt."""
    ram = "" if answer.layout.ram is None else ", the ram's efficiency"
    return Table(
        title="How sure",
        heads=("figure", "middle", "likely", "needed", "met", "what the doubt is owed to"),
        rows=tuple(_rows(answer)),
        note=(
            "Likely: nine times in ten. Met: yes, at least nine chances in ten; no, at most one. "
            f"The ground, the spring's flow{ram} and the pipes are drawn together as far as they "
            "may be off."
        ),
    )


def _rows(answer: Answer) -> Iterator[tuple[str, ...]]:
    middles = results_by_name(answer.solution)
    shares = {} if answer.drawn is None else answer.drawn.shares
    for name, words in _figures(answer):
        spread = likely_range(answer, name)
        middle = middle_of(middles.get(name))
        if spread is None or middle is None:
            continue
        owed = shares.get(name, shares.get("delivered", {}) if name.endswith("inflow") else {})
        value, ends = _value_and_ends(answer, name, middle, spread)
        yield (words, value, ends, *_need_cells(answer, name), owed_words(owed) or UNKNOWN)


def _figures(answer: Answer) -> Iterator[tuple[str, str]]:
    yield "fall", "fall"
    yield "lift", "lift"
    lone = len(answer.layout.tanks) == 1
    for tank in answer.layout.tanks:
        yield f"tank.{tank.name}.inflow", "into the tank" if lone else f"into {tank.name}"
    running = "running, tank low" if answer.layout.tanks else "running"
    for outlet in answer.layout.outlets:
        yield f"outlet.{outlet.name}.running_low", f"{outlet.name}, {running}"


def _value_and_ends(answer: Answer, name: str, middle: float, spread: Range) -> tuple[str, str]:
    units = answer.units
    if name.startswith("tank."):
        return day_words(middle, spread, units=units), day_range(spread, units)
    if name.startswith("outlet."):
        return pressure_amount(middle, units), pressure_range(spread, units)
    value = height_and_doubt(middle, spread.half, units=units)[0]
    return value, height_range(spread.low, spread.high, units=units)


def _need_cells(answer: Answer, name: str) -> tuple[str, str]:
    say = Speech(units=answer.units)
    for need in headline(answer).needs:
        water = need.kind == "water"
        result = f"tank.{need.name}.inflow" if water else f"outlet.{need.name}.running_low"
        if result == name:
            met = need.sure
            wanted = (
                say.per_day(need.wanted) if water else pressure_amount(need.wanted, answer.units)
            )
            words = chance_words(need.chance) if need.chance is not None else "can't tell"
            return wanted, words if met == "perhaps" else met
    return "", ""


def legs_table(answer: Answer) -> Table:
    """Return the ground at each leg of a stand, and how much lower it is than the highest."""
    say = Speech(units=answer.units)
    rows = []
    for tank in answer.layout.tanks:
        heights = {
            leg: height
            for leg in tank.legs
            if (height := middle_of(answer.ground.elevation_of(leg))) is not None
        }
        top = max(heights.values(), default=0.0)
        for leg, height in heights.items():
            std = _std_between(answer, leg, max(heights, key=lambda one: heights[one]))
            lower = top - height
            rows.append(
                (
                    leg,
                    tank.name,
                    say.height(height),
                    "the highest" if lower <= 0 else say.small(lower),
                    UNKNOWN if std is None else say.give_or_take(std),
                )
            )
    return Table(
        title="Legs of the stand",
        heads=("leg", "tank", "ground", "lower than the highest leg", "give or take"),
        rows=tuple(rows),
        note="A leg is longer by as much as its ground lies lower. See to the footings too.",
    )


def _std_between(answer: Answer, leg: str, highest: str) -> float | None:
    if leg == highest:
        return None
    std = answer.ground.std_of_difference(leg, highest)
    return std if std is not None and np.isfinite(std) and std > 0 else None
