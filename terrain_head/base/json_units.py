"""From SI to the units of JSON documents: always metric, the same whatever a person reads."""

from __future__ import annotations

from typing import Literal, get_args

from terrain_head.base.measured import Measured
from terrain_head.base.units import from_si, spread_from_si

JsonUnit = Literal["m", "m/s", "m3", "m3/d", "L/min", "kPa", "s", "kg", "deg", "C", "1"]
"""Every unit that stands in a JSON document; "1" is a bare ratio."""

JSON_UNITS: tuple[str, ...] = get_args(JsonUnit)


def json_unit(value_si: float, unit: str) -> float:
    """Return an SI value in a unit of the JSON documents.

    Parameters
    ----------
    value_si
        The value in SI: m, m/s, m3, m3/s, Pa, s, kg, rad, degrees Celsius or a ratio.
    unit
        One of `JSON_UNITS`.

    Raises
    ------
    ValueError
        If no JSON document knows the unit.

    Examples
    --------
    >>> json_unit(60_000.0, "kPa"), round(json_unit(0.001, "L/min"), 9), json_unit(0.58, "1")
    (60.0, 60.0, 0.58)
    """
    _known(unit)
    return value_si if unit == "1" else from_si(value_si, unit)


def json_spread(std_si: float, unit: str) -> float:
    """Return a standard error given in SI, in a unit of the JSON documents.

    Raises
    ------
    ValueError
        If no JSON document knows the unit.
    """
    _known(unit)
    return std_si if unit == "1" else spread_from_si(std_si, unit)


def json_measured(measured: Measured | None, unit: str) -> dict[str, float | str | None] | None:
    """Return a measurement as it stands in a JSON document; an unknown one is null whole.

    Examples
    --------
    >>> json_measured(Measured(value=2.406), "m")
    {'value': 2.406, 'unit': 'm', 'std': None}
    """
    if measured is None:
        return None
    std = None if measured.std is None else json_spread(measured.std, unit)
    return {"value": json_unit(measured.value, unit), "unit": unit, "std": std}


def _known(unit: str) -> None:
    if unit not in JSON_UNITS:
        raise ValueError(f"{unit!r} is no unit of the JSON documents: {', '.join(JSON_UNITS)}")
