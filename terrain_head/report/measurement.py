"""Measurements and lists as they stand in a JSON document: always metric, never nan."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from terrain_head.assessment.drawn import Likely
from terrain_head.base.json_units import json_spread, json_unit
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.scheme.parts import Taken

Json = dict[str, Any]


def likelihood(flags: ArrayLike | None) -> bool | None:
    """Return whether something holds in most of its draws, None where it is not known."""
    if flags is None:
        return None
    return bool(np.mean(np.asarray(flags, dtype=float)) > 0.5)


def measurement(
    values: ArrayLike | None,
    unit: str,
    *,
    std_si: float | None = None,
    likely: Likely | None = None,
) -> Json | None:
    """Return ``{"value", "unit", "std"}``, or None where the value is not known.

    Parameters
    ----------
    values
        The value in SI, or one per draw, shape () or (draws,).
    unit
        Unit of the document: "m", "kPa", "L/min", "1" ...
    std_si
        Its standard error in SI; None where it was not computed, or only `likely` has it.
    likely
        What draws of it came to: adds ``low`` and ``high``, between which lie nine in ten.

    Examples
    --------
    >>> measurement(2.5, "m", std_si=0.01)
    {'value': 2.5, 'unit': 'm', 'std': 0.01}
    """
    value = middle_of(values)
    if value is None:
        return None
    if std_si is None and likely is not None:
        std_si = likely.std
    std = None
    if std_si is not None and np.isfinite(std_si):
        std = json_spread(std_si, unit)
    document: Json = {"value": json_unit(value, unit), "unit": unit, "std": std}
    if likely is not None:
        document["low"] = None if likely.low is None else json_unit(likely.low, unit)
        document["high"] = None if likely.high is None else json_unit(likely.high, unit)
    return document


def bare_list(values: ArrayLike | None, unit: str = "m") -> list[float | None] | None:
    """Return bare numbers along the last axis; None for one that is not known.

    None whole where nothing along the list is known. Of draws the middle is listed.

    Examples
    --------
    >>> bare_list([1.0, float("nan")]), bare_list([float("nan")])
    ([1.0, None], None)
    """
    if values is None:
        return None
    array = middle_along(values)
    if not np.isfinite(array).any():
        return None
    return [json_unit(float(x), unit) if np.isfinite(x) else None for x in array]


def json_taken(taken: Taken) -> Json:
    """Return a value taken: a measurement or a word, with its key and source."""
    value: Json | str | None = taken.word
    if taken.value_si is not None:
        value = {"value": json_unit(taken.value_si, taken.unit), "unit": taken.unit, "std": None}
    return {"key": taken.key, "value": value, "source": str(taken.citation)}


def dumps(document: Mapping[str, Any]) -> str:
    """Return a document as JSON text, full precision, a newline at its end.

    Raises
    ------
    ValueError
        If a nan or an infinity got into it.
    """
    return json.dumps(document, indent=1, allow_nan=False, ensure_ascii=False) + "\n"
