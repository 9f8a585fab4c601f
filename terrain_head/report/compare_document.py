"""The choices of a study side by side as one JSON document."""

from __future__ import annotations

from collections.abc import Sequence

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import UNITS, ChoiceResults, Comparison, Difference
from terrain_head.base.json_units import json_spread
from terrain_head.base.units import METRIC
from terrain_head.report.compare_summary import summary
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
                "value": _difference(one),
                "chance_better": one.chance_better,
                "because": None if one.doubt is None else one.doubt.because,
            }
            for one in comparison.differences
        ],
        "better": dict(comparison.better),
        "undecided": {
            name: {
                "best": one.best,
                "rival": one.rival,
                "chance": one.chance,
                "because": one.because,
            }
            for name, one in comparison.undecided.items()
        },
        "summary": summary(comparison, units=METRIC, answers=answers),
    }


def _difference(one: Difference) -> Json:
    """Return a difference as a measurement: its unit's zero plays no part."""
    document: Json = {"value": json_spread(one.value, one.unit), "unit": one.unit, "std": None}
    for name in () if one.doubt is None else ("std", "low", "high"):
        figure = getattr(one.doubt, name)
        document[name] = None if figure is None else json_spread(figure, one.unit)
    return document


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
