"""The ``[costs]`` table: what pipe, stand and trench cost, in any money."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from terrain_head.base.quantities import QuantityError
from terrain_head.base.units import from_si
from terrain_head.files.pipe_wish import label_of
from terrain_head.files.study_keys import COSTS
from terrain_head.files.study_names import is_blank
from terrain_head.files.study_values import Ledger, TableReader, said
from terrain_head.scheme.pipe_choice import Prices


def read_costs(values: Mapping[str, Any], ledger: Ledger) -> Prices:
    """Return what is paid for each metre.

    Parameters
    ----------
    values
        The table as parsed; its numbers count for each metre, with US units for each foot.
    ledger
        Where troubles and blanks go.
    """
    table = TableReader(ledger, ("costs",), values=values, keys=COSTS)
    unit = "ft" if ledger.units.name == "us" else "m"
    per_metre = from_si(1.0, unit)
    single = {
        key: None if (price := _price(table, key)) is None else price * per_metre
        for key in ("stand", "trench")
    }
    pipes = {label: price * per_metre for label, price in _pipes(table).items()}
    return Prices(pipe=pipes, stand=single["stand"], trench=single["trench"])


def _price(table: TableReader, key: str) -> float | None:
    value = table.values.get(key)
    if value is None:
        return None
    if not _is_price(value):
        table.wrong(key, f"{said(value)} is not a price: a bare number, 0 or more.")
        return None
    return float(value)


def _pipes(table: TableReader) -> dict[str, float]:
    given = table.values.get("pipe")
    if given is None:
        return {}
    if not isinstance(given, dict):
        table.wrong("pipe", "a table of pipes and their prices is wanted.")
        return {}
    found: dict[str, float] = {}
    for text, value in given.items():
        path = (*table.path, "pipe", text)
        if is_blank(value):
            table.ledger.blanks.append(table.ledger.written_at(path))
            continue
        try:
            label = label_of(text)
        except QuantityError as error:
            lines = error.trouble.write.splitlines()
            near = lines[0].removeprefix("spec = ") if lines else ""
            cure = f"pipe = {{ {near} = {said(value)} }}" if near.startswith('"') else ""
            table.ledger.wrong(path, error.trouble.what, write=cure, mark_key=True)
            continue
        if _is_price(value):
            found[label] = float(value)
        else:
            table.ledger.wrong(
                path,
                f"{said(value)} is not a price: a bare number, 0 or more.",
                write=f'pipe = {{ "{label}" = 2.10 }}',
            )
    return found


def _is_price(value: object) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and math.isfinite(float(str(value))) and float(str(value)) >= 0
