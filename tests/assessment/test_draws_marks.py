"""Marks that stand off: a cause of doubt of their own, beside the raster's errors."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.draws import _DrawnScheme
from terrain_head.workflows.study import answer_choice, open_study

VALLEY = Path(__file__).parents[2] / "sample_surveys" / "valley_raster"
OFF_M = 5.0


@cache
def answer(off_m: float) -> Answer:
    opened = open_study(VALLEY)
    places = tuple(replace(one, position_std_m=off_m) for one in opened.site.map_places)
    return answer_choice(replace(opened, site=replace(opened.site, map_places=places)))


def std(found: Answer, result: str) -> float:
    assert found.drawn is not None
    value = found.drawn.std(result)
    assert value is not None
    return value


def test_the_drawn_fall_has_the_standard_error_that_is_reported() -> None:
    found = answer(OFF_M)
    assert std(found, "fall") == pytest.approx(found.spread["fall"].std, rel=1e-6)
    assert std(found, "lift") == pytest.approx(found.spread["lift"].std, rel=0.02)


def test_what_marks_and_raster_add_to_the_fall_is_told_apart() -> None:
    """Its variance is the sum of the two; without the marks the raster's part is left."""
    found = answer(OFF_M)
    assert found.drawn is not None
    shares = found.drawn.shares["fall"]
    assert sum(shares.values()) == pytest.approx(1.0)
    assert next(iter(shares)) == "marks"
    entries = [found.ground.place("spring"), found.ground.place("ram")]
    assert found.ground.marked is not None
    apart = found.ground.marked(entries)
    of_marks = np.square(apart.by_mark_m[0] - apart.by_mark_m[1]).sum()
    of_raster = apart.unmoved.std_of_difference(0, 1) ** 2
    assert shares["marks"] == pytest.approx(of_marks / (of_marks + of_raster), abs=0.04)
    assert "marks" not in (answer(0.0).drawn or found.drawn).shares["fall"]


def test_taking_the_marks_away_changes_the_variance_by_their_share() -> None:
    found = answer(OFF_M)
    whole = _DrawnScheme.of(found.layout, found.solution, draws=1024)
    number = [cause.name for cause in whole.causes].index("marks")
    rest = replace(whole, causes=whole.causes[:number] + whole.causes[number + 1 :])
    names = ["fall", "delivered", "outlet.house tap.running_low"]
    shares = whole.shares(names)
    rows = np.arange(1024)
    everything = whole.results(rows, np.zeros((1024, len(whole.causes)), bool))
    left = rest.results(rows, np.zeros((1024, len(rest.causes)), bool))
    for name in names:
        gone = 1 - np.var(left[name]) / np.var(everything[name])
        assert shares.alone[name]["marks"] - 0.1 <= gone <= shares.whole[name]["marks"] + 0.1
