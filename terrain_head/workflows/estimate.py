"""The job of ``terrain-head estimate``: four numbers as a person writes them, one rough answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from terrain_head.base.quantities import QuantityError, parse_quantity, system_written
from terrain_head.base.units import METRIC, US, Dimension, UnitSystem
from terrain_head.errors import Trouble, UsageError
from terrain_head.scheme.estimate import Estimate, estimate

_DIMENSIONS: Mapping[str, tuple[Dimension, str]] = {
    "fall": (Dimension.LENGTH, "2.4 m"),
    "lift": (Dimension.LENGTH, "23 m"),
    "flow": (Dimension.FLOW, "40 L/min"),
    "length": (Dimension.LENGTH, "180 m"),
    "inside": (Dimension.LENGTH, "26 mm"),
    "efficiency": (Dimension.RATIO, "55 %"),
}
_POSITIVE = {"flow", "length", "inside"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimated:
    """A rough answer and the units in which its numbers were written."""

    estimate: Estimate
    units: UnitSystem


def estimate_from_texts(
    texts: Mapping[str, str | None], *, built: Literal["bought", "home"] | None = None
) -> Estimated:
    """Return the rough answer to quantities written as texts.

    Parameters
    ----------
    texts
        By option: ``fall``, ``lift``, ``flow``, ``length``, and perhaps ``inside`` and
        ``efficiency``; None for one not given.
    built
        Which published efficiencies apply.

    Raises
    ------
    UsageError
        If a text is not the quantity that is wanted; all of them are told at once.

    Examples
    --------
    >>> told = estimate_from_texts(
    ...     {"fall": "8 ft", "lift": "75 ft", "flow": "10 gal/min", "length": "600 ft"}
    ... )
    >>> told.estimate.worth, told.units.name
    ('yes', 'us')
    """
    values: dict[str, float] = {}
    troubles: list[Trouble] = []
    written = {name: text for name, text in texts.items() if text is not None}
    for name, text in written.items():
        try:
            values[name] = _value(name, text)
        except QuantityError as error:
            write = f'--{name} "{error.trouble.write}"' if error.trouble.write else ""
            troubles.append(Trouble(what=f"--{name}: {error.trouble.what}", write=write))
    if troubles:
        count = len(troubles)
        things = "1 thing" if count == 1 else f"{count} things"
        raise UsageError(
            f"The estimate can't be made yet: {things} to put right.",
            *troubles,
            left_alone="Nothing was computed.",
        )
    rough = estimate(
        fall_m=values["fall"],
        lift_m=values["lift"],
        flow_m3_s=values["flow"],
        length_m=values["length"],
        inside_m=values.get("inside"),
        built=built,
        efficiency=values.get("efficiency"),
    )
    us = sum(
        system_written(written[name], _DIMENSIONS[name][0]) == US
        for name in ("fall", "lift", "flow", "length")
    )
    return Estimated(estimate=rough, units=US if us >= 2 else METRIC)


def _value(name: str, text: str) -> float:
    dimension, example = _DIMENSIONS[name]
    value = parse_quantity(text, dimension, example=example).value
    if name in _POSITIVE and value <= 0:
        raise QuantityError(f"{text!r} must be more than 0.", example)
    if name == "efficiency" and not 0 < value < 1:
        raise QuantityError(f"{text!r} is not between 0 and 100 %.", example)
    return value
