"""The ``[ground.instrument]`` table: what the instrument's owner knows of it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from terrain_head.base.units import Dimension
from terrain_head.files.study_key import Key, Kind
from terrain_head.files.study_keys import INSTRUMENT
from terrain_head.files.study_values import Ledger, TableReader
from terrain_head.formulas.rotating_laser import half_turn_tilt
from terrain_head.leveling.instrument import Instrument, InstrumentKind

_AT = re.compile(r"\s+at\s+", re.IGNORECASE)


def read_instrument(values: Mapping[str, Any], ledger: Ledger) -> Instrument:
    """Return the instrument that a table describes.

    Parameters
    ----------
    values
        The table as parsed.
    ledger
        Where troubles and blanks go.
    """
    table = TableReader(ledger, ("ground", "instrument"), values=values, keys=INSTRUMENT)
    laser = table.word("kind") == "rotating laser"
    kind: InstrumentKind = "rotating laser" if laser else "optical level"
    read_to, farthest = table.measured("read_to"), table.measured("farthest_sight")
    found = Instrument(
        kind=kind,
        accuracy=_slope(table, "accuracy"),
        read_to_m=None if read_to is None else read_to.value,
        farthest_m=None if farthest is None else farthest.value,
    )
    spread = _slope(table, "half_turn")
    if spread is None:
        return found
    if not laser:
        table.wrong(
            "half_turn",
            "the half-turn check is one of a rotating laser. Write what a two-peg test of the "
            "level showed as its accuracy.",
            write='accuracy = "1.5 mm at 30 m"',
        )
    tilt = half_turn_tilt(spread, 0.0, distance_m=1.0)
    return replace(found, half_turn=float(tilt))


def _slope(table: TableReader, key: str) -> float | None:
    """Return an angle, or a length at a distance, as a slope."""
    text = table.text(key)
    if text is None:
        return None
    path, parts = (*table.path, key), _AT.split(text.removeprefix("+-").strip())
    example = table.keys[key].example
    if len(parts) == 1:
        found = table.ledger.quantity(path, text, _part(Dimension.ANGLE, example), name=key)
        return None if found is None else found.value
    if len(parts) > 2:
        table.wrong(key, "one length at one distance is wanted.")
        return None
    size = _part(Dimension.LENGTH, example)
    out = table.ledger.quantity(path, parts[0], size, name=key)
    distance = table.ledger.quantity(
        path, parts[1], replace(size, at_least=None, above=0.0), name=key
    )
    return None if out is None or distance is None else out.value / distance.value


def _part(dimension: Dimension, example: str) -> Key:
    return Key(
        kind=Kind.QUANTITY,
        dimension=dimension,
        meaning="",
        left_out="",
        example=example,
        at_least=0.0,
    )
