"""The job of ``terrain-head pipes``: which pipes are known by their standard."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Sequence
from fractions import Fraction

from terrain_head.base.quantities import QuantityError, parse_quantity
from terrain_head.base.units import Dimension, to_si
from terrain_head.errors import Trouble, UsageError
from terrain_head.scheme.pipe_table import MATERIALS, PIPE_TABLE, PipeSize, find_material

_SAME_SIZE_M = 1e-6
_SIZE = re.compile(
    r"(?:(?P<whole>\d+)[\s-]+)?(?P<over>\d+)/(?P<under>[1-9]\d*)\s*(?P<inch>in|inch|inches|\"|'')?"
    r"|(?P<dn>dn)?\s*(?P<plain>\d+(?:\.\d+)?)\s*(?P<unit>in|inch|inches|\"|''|mm)?"
)


def pipe_rows(
    *,
    standard: str | None = None,
    size: str | None = None,
    material: str | None = None,
    rating: str | None = None,
    inside: str | None = None,
) -> tuple[PipeSize, ...]:
    """Return the rows of the pipe table that fit all that is asked; None asks nothing.

    Parameters
    ----------
    standard
        Words of the row: ``PVC``, ``D2239``, ``"SDR 11"``.
    size
        Nominal size, the unit may be left out: ``32 mm``, ``1-1/2``, ``DN 25``.
    material
        What it is made of, as people say it: ``poly``, ``PE100``, ``galvanised``.
    rating
        The least pressure it must bear in cool water: ``"10 bar"``. A row whose print decides
        fits if its strongest pipe does; one of which no rating is known does not.
    inside
        The least inside diameter: ``"26 mm"``.

    Returns
    -------
    tuple of PipeSize
        In the order of the table, at least one.

    Raises
    ------
    UsageError
        If nothing fits, or a size or a pressure can't be read.

    Examples
    --------
    >>> [row.label for row in pipe_rows(standard="sdr 17", size="32")]
    ['PE100 ISO 4427 32 mm SDR 17', 'PE80 ISO 4427 32 mm SDR 17']
    >>> [row.grade for row in pipe_rows(material="pvc", size="2 in", rating="250 psi")]
    ['Sch 40', 'Sch 80', 'SDR 13.5', 'SDR 17']
    """
    rows: Sequence[PipeSize] = PIPE_TABLE
    if material is not None:
        rows = _of_material(rows, material)
    if standard is not None:
        rows = _of_standard(rows, standard)
    if size is not None:
        rows = _of_size(rows, size)
    if inside is not None:
        least = _quantity(inside, Dimension.LENGTH, option="inside", example="26 mm")
        rows = _at_least(rows, lambda row: row.inside_m, least=least, text=f"an inside of {inside}")
    if rating is not None:
        least = _quantity(rating, Dimension.PRESSURE, option="rating", example="10 bar")
        rows = _at_least(rows, lambda row: row.most_pa, least=least, text=f"a rating of {rating}")
    return tuple(rows)


def _of_material(rows: Sequence[PipeSize], word: str) -> list[PipeSize]:
    wanted = find_material(word)
    name = "".join(word.upper().split())
    found = [row for row in rows if row.name == name != row.material.name]
    if not found and wanted is not None:
        rigid = wanted.rigid and "steel" in wanted.name
        found = [row for row in rows if row.material is wanted or (rigid and row.material.rigid)]
    if not found:
        held = {row.material.name for row in rows}
        known = ", ".join(each for each in MATERIALS if each in held)
        raise UsageError(
            f"No pipe of the table is made of {word!r}.",
            Trouble(what=f"It holds: {known}.", write="terrain-head pipes --material PE"),
            left_alone="",
        )
    return found


def _of_standard(rows: Sequence[PipeSize], words: str) -> list[PipeSize]:
    found = [row for row in rows if _has_words(row, words)]
    if not found:
        known = tuple(dict.fromkeys(f"{row.name} {row.standard} {row.grade}" for row in rows))
        said = sorted({word.lower() for name in known for word in name.split()})
        near = difflib.get_close_matches(words.lower(), said, n=1)
        raise UsageError(
            f"No pipe of the table has the words {words!r}.",
            Trouble(
                what="It holds: " + "; ".join(known) + ".",
                write=f"terrain-head pipes --standard {near[0] if near else 'PVC'}",
            ),
            left_alone="",
        )
    return found


def _has_words(row: PipeSize, words: str) -> bool:
    # "d1785" and "astm d1785" both fit; "sch 40" must not fit "400".
    label = f" {row.name} {row.standard} {row.grade} {row.material.name} ".lower()
    return all(f" {word} " in label for word in re.split(r"[\s-]+", words.lower().strip()))


def _of_size(rows: Sequence[PipeSize], size: str) -> list[PipeSize]:
    wanted = _lengths_m(size)
    found = [
        row
        for row in rows
        if any(
            abs(own - each) < _SAME_SIZE_M
            for own in (row.nominal_m, *row.other_sizes_m)
            for each in wanted
        )
    ]
    if not found:
        sizes = ", ".join(dict.fromkeys(row.size for row in rows))
        raise UsageError(
            f"No pipe of the table has the size {size!r}.",
            Trouble(
                what=f"Sizes there: {sizes}.",
                write=f'terrain-head pipes --size "{rows[0].size}"',
            ),
            left_alone="",
        )
    return found


def _lengths_m(size: str) -> tuple[float, ...]:
    """Return what a nominal size may mean [m]: without a unit inches or millimetres."""
    match = _SIZE.fullmatch(size.strip().lower())
    if match is None:
        return ()
    if match["over"] is not None:
        inches = Fraction(int(match["over"]), int(match["under"])) + int(match["whole"] or 0)
        return (to_si(float(inches), "in"),)
    number = float(match["plain"])
    if match["dn"] or match["unit"] == "mm":
        return (to_si(number, "mm"),)
    return (to_si(number, "in"),) if match["unit"] else (to_si(number, "in"), to_si(number, "mm"))


def _at_least(
    rows: Sequence[PipeSize],
    value: Callable[[PipeSize], float | None],
    *,
    least: float,
    text: str,
) -> list[PipeSize]:
    # A class printed in bar and asked for in psi still fits: a thousandth is no difference.
    found = [row for row in rows if (own := value(row)) is not None and own >= 0.999 * least]
    if not found:
        best = max(rows, key=lambda row: value(row) or 0.0)
        raise UsageError(
            f"No pipe of the table that fits the rest has {text}.",
            Trouble(
                what=f"Nearest to it: {best.label}.",
                write=f'terrain-head pipes --standard "{best.standard}" --size "{best.size}"',
            ),
            left_alone="",
        )
    return found


def _quantity(text: str, dimension: Dimension, *, option: str, example: str) -> float:
    try:
        return parse_quantity(text, dimension, example=example).value
    except QuantityError as error:
        raise UsageError(
            f"--{option}: {error.trouble.what}",
            Trouble(
                what="Number and unit are wanted.",
                write=f'terrain-head pipes --{option} "{example}"',
            ),
            left_alone="",
        ) from error
