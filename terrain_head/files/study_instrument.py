"""The ``[ground.instrument]`` table: what the instrument's owner knows of it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from terrain_head.base.units import Dimension
from terrain_head.files.instrument_keys import INSTRUMENT, TWO_PEG
from terrain_head.files.study_key import Key, Kind
from terrain_head.files.study_names import is_blank
from terrain_head.files.study_values import Ledger, TableReader
from terrain_head.formulas.rotating_laser import half_turn_tilt
from terrain_head.leveling.instrument import Instrument, InstrumentKind, TwoPegTest

_LOOSE = 1.02  # a tape lies a little crooked
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
        two_peg=_two_peg(table, laser=laser),
    )
    spread = _slope(table, "half_turn")
    if spread is None:
        return found
    if not laser:
        table.wrong(
            "half_turn",
            "the half-turn check is one of a rotating laser. A level has its two-peg test.",
            write="[ground.instrument.two_peg]",
        )
    tilt = half_turn_tilt(spread, 0.0, distance_m=1.0)
    return replace(found, half_turn=float(tilt))


def slope_parts(text: str) -> list[str]:
    """Return an angle alone, or a length and the distance at which it is meant.

    Examples
    --------
    >>> slope_parts("+-1.5 mm at 30 m"), slope_parts("10 arcsec")
    (['1.5 mm', '30 m'], ['10 arcsec'])
    """
    return _AT.split(text.removeprefix("+-").strip())


def _slope(table: TableReader, key: str) -> float | None:
    """Return an angle, or a length at a distance, as a slope."""
    text = table.text(key)
    if text is None:
        return None
    path, parts = (*table.path, key), slope_parts(text)
    example = table.keys[key].example
    if len(parts) == 1:
        found = table.ledger.quantity(path, text, entry=_part(Dimension.ANGLE, example), name=key)
        return None if found is None else found.value
    if len(parts) > 2:
        table.wrong(key, "one length at one distance is wanted.")
        return None
    size = _part(Dimension.LENGTH, example)
    out = table.ledger.quantity(path, parts[0], entry=size, name=key)
    distance = table.ledger.quantity(
        path, parts[1], entry=replace(size, at_least=None, above=0.0), name=key
    )
    return None if out is None or distance is None else out.value / distance.value


def _two_peg(instrument: TableReader, *, laser: bool) -> TwoPegTest | None:
    """Return the two-peg test, None without one or where a part of it is wrong or open."""
    given = instrument.values.get("two_peg")
    if given is None:
        return None
    if laser:
        instrument.wrong(
            "two_peg",
            "the two-peg test is one of a level. A laser has its half-turn check.",
            write='half_turn = "2 mm at 30 m"',
        )
        return None
    if not isinstance(given, dict):
        instrument.wrong("two_peg", "a table of readings and distances is wanted.")
        return None
    path = (*instrument.path, "two_peg")
    table = TableReader(instrument.ledger, path, values=given, keys=TWO_PEG)
    apart = table.measured("apart")
    middle, beyond = _pair(table, "middle"), _pair(table, "beyond")
    sights = _pair(table, "beyond_sights")
    if apart is None or middle is None or beyond is None or sights is None:
        return None
    wrong = _no_test(sights, apart_m=apart.value)
    if wrong:
        table.wrong("beyond_sights", wrong)
        return None
    half = apart.value / 2
    return TwoPegTest(
        middle_m=middle, beyond_m=beyond, middle_sights_m=(half, half), beyond_sights_m=sights
    )


def _no_test(sights_m: tuple[float, float], *, apart_m: float) -> str:
    """Return why the second set-up of a two-peg test can't have stood there, or tells nothing."""
    far, near = max(sights_m), min(sights_m)
    if near <= 0 or far - near > apart_m * _LOOSE or apart_m > (far + near) * _LOOSE:
        return "no spot is so far from two pegs that stand so far apart."
    if far - near < apart_m / 2:
        return (
            "both pegs are nearly as far from there, so the test tells little. Go beyond one of "
            "them, or close to it."
        )
    return ""


def _pair(table: TableReader, key: str) -> tuple[float, float] | None:
    given = table.values.get(key)
    if given is None:
        return None
    if not isinstance(given, list) or len(given) != 2:
        table.wrong(key, "a list of two lengths is wanted, the first peg's first.")
        return None
    one = Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.LENGTH,
        meaning="",
        left_out="",
        example=table.keys[key].example.strip("[]").split(", ")[0],
    )
    found = []
    for number, value in enumerate(given):
        path = (*table.path, key, str(number))
        if is_blank(value):
            table.ledger.blanks.append(table.ledger.written_at(path))
            continue
        length = table.ledger.quantity(path, value, entry=one, name=key)
        if length is not None:
            found.append(length.value)
    return (found[0], found[1]) if len(found) == 2 else None


def _part(dimension: Dimension, example: str) -> Key:
    return Key(
        kind=Kind.QUANTITY,
        dimension=dimension,
        meaning="",
        left_out="",
        example=example,
        at_least=0.0,
    )
