"""The choices of a study side by side as one JSON document."""

from __future__ import annotations

from collections.abc import Sequence

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import UNITS, ChoiceResults, Comparison
from terrain_head.base.json_units import json_spread
from terrain_head.base.units import METRIC
from terrain_head.report.compare_screen import summary
from terrain_head.report.measurement import Json, dumps, measurement

__all__ = ["compare_document", "dumps"]


def compare_document(comparison: Comparison, *, answers: Sequence[Answer] = ()) -> Json:
    """Return the comparison as a document: metric, null for what the data do not reach.

    Parameters
    ----------
    comparison
        How the choices compare.
    answers
        Every choice; without them the summary says nothing of the needs.
    """
    return {
        "choices": [_choice(one) for one in comparison.choices],
        "differences": [
            {
                "name": one.name,
                "against": one.against,
                "result": one.result,
                "value": {
                    "value": json_spread(one.value, one.unit),
                    "unit": one.unit,
                    "std": None,
                },
                "chance_better": one.chance_better,
            }
            for one in comparison.differences
        ],
        "better": dict(comparison.better),
        "summary": summary(comparison, units=METRIC, answers=answers),
    }


def _choice(choice: ChoiceResults) -> Json:
    results = {
        name: measurement(value, UNITS[name])
        for name, value in choice.results.items()
        if not name.startswith("running.")
    }
    running = {
        name.removeprefix("running."): measurement(value, "kPa")
        for name, value in choice.results.items()
        if name.startswith("running.")
    }
    return {"name": choice.name, **results, "running": running, "cost": choice.cost}
