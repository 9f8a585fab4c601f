"""Outlets and seeps of the study file: where water comes out, and where more of it comes in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from terrain_head.base.citation import OURS
from terrain_head.base.measured import Measured
from terrain_head.files.study_keys import OUTLET, SEEP
from terrain_head.files.study_values import Ledger, TableReader
from terrain_head.scheme.parts import ZERO, Opening, Outlet, Seep, Taken

HOLE_EXPONENT = 0.5
"""Power of the pressure with which water jets through a hole [1]."""
LEAST_EXPONENT = 0.05
"""One that gives less more with pressure than this holds its flow, for all a line can tell [1]."""
_JET = OURS.at("a hole gives with the square root of the pressure")


def read_seep(name: str, values: Mapping[str, Any], *, ledger: Ledger) -> Seep | None:
    """Return a seep, None while its place is open.

    Parameters
    ----------
    name
        Its name.
    values
        Its table as parsed.
    ledger
        Where troubles and blanks go.
    """
    table = TableReader(ledger, ("seep", name), values=values, keys=SEEP)
    place = table.text("place")
    water_above = table.measured("water_above") or ZERO
    flow = table.measured("flow")
    if place is None:
        return None
    return Seep(name=name, place=place, water_above_m=water_above, flow_m3_s=flow)


def read_outlet(name: str, values: Mapping[str, Any], *, ledger: Ledger) -> Outlet | None:
    """Return an outlet, None while its place is open.

    Parameters
    ----------
    name
        Its name.
    values
        Its table as parsed.
    ledger
        Where troubles, blanks and taken values go.
    """
    table = TableReader(ledger, ("outlet", name), values=values, keys=OUTLET)
    place = table.text("place")
    height = table.measured("height") or ZERO
    needs, fills = table.measured("pressure"), table.measured("fills")
    flow, opens = _drawn(table)
    if opens is not None and opens.gives_m3_s is None and needs is not None:
        table.wrong(
            "pressure",
            "water runs out of an open pipe end without pressure. Write what it should draw "
            "instead, or what was measured to come out at what pressure.",
            write='flow = "12 L/min"',
        )
    if fills is not None and not {"flow", "gives"} & set(table.values):
        table.wrong(
            "fills",
            "how fast? Say what it draws, or that it is an open pipe end.",
            write='flow = "open"',
        )
    if place is None:
        return None
    return Outlet(
        name=name,
        place=place,
        height_m=height,
        flow_m3_s=flow,
        needs_pa=needs,
        opens=opens,
        fills_m3=fills,
    )


def _drawn(table: TableReader) -> tuple[Measured | None, Opening | None]:
    """Return the stated flow, or what opens."""
    written = table.values.get("flow")
    is_open = isinstance(written, str) and written.strip().casefold() == "open"
    gives, at = table.measured("gives"), table.measured("at")
    exponent, count = table.measured("exponent"), table.count("count", 1)
    if "gives" in table.values:
        if "flow" in table.values:
            table.wrong("gives", "flow says already what it draws. Keep one of the two.")
        if "at" not in table.values:
            table.wrong(
                "gives",
                "at which pressure? What comes out depends on it.",
                write='at = "100 kPa"',
            )
        if gives is None or at is None:
            return None, None
        return _measured_opening(table, gives, at=at, exponent=exponent, count=count)
    for key in ("at", "exponent"):
        if key in table.values:
            table.wrong(
                key, "it belongs beside gives, the flow that was measured.", write='gives = "4 L/h"'
            )
    if is_open:
        return None, Opening(count=count)
    stated = table.measured("flow")
    if stated is not None and count > 1:
        stated = Measured(value=count * stated.value, std=_times(stated.std, count))
    return stated, None


def _measured_opening(
    table: TableReader, gives: Measured, *, at: Measured, exponent: Measured | None, count: int
) -> tuple[Measured | None, Opening | None]:
    if exponent is None:
        name = ".".join((*table.path, "exponent"))
        table.ledger.taken.append(Taken(key=name, value_si=HOLE_EXPONENT, unit="1", citation=_JET))
        exponent = Measured(value=HOLE_EXPONENT)
    if exponent.value < LEAST_EXPONENT:
        whole = Measured(value=count * gives.value, std=_times(gives.std, count))
        return whole, None
    opening = Opening(gives_m3_s=gives, at_pa=at, count=count)
    return None, replace(opening, exponent=exponent.value)


def _times(std: float | None, count: int) -> float | None:
    return None if std is None else count * std
