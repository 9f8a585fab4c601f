"""The job of ``terrain-head pipes``: which pipes are known by their standard."""

from __future__ import annotations

import difflib
import re
from fractions import Fraction

from terrain_head.errors import Trouble, UsageError
from terrain_head.scheme.pipe_table import PIPE_TABLE, PipeSize


def pipe_rows(*, standard: str | None = None, size: str | None = None) -> tuple[PipeSize, ...]:
    """Return the rows of the pipe table that fit a word and a size.

    Parameters
    ----------
    standard
        Words of the row: ``PVC``, ``D2239``, ``"SDR 11"``; None for all.
    size
        Nominal size, the unit may be left out: ``32 mm``, ``1-1/2``; None for all.

    Returns
    -------
    tuple of PipeSize
        In the order of the table, at least one.

    Raises
    ------
    UsageError
        If nothing fits.

    Examples
    --------
    >>> [row.label for row in pipe_rows(standard="sdr 17", size="32")]
    ['PE100 ISO 4427 32 mm SDR 17']
    """
    rows = [row for row in PIPE_TABLE if standard is None or _has_words(row, standard)]
    if not rows:
        known = tuple(dict.fromkeys(f"{row.name} {row.standard} {row.grade}" for row in PIPE_TABLE))
        words = sorted({word.lower() for name in known for word in name.split()})
        near = difflib.get_close_matches(str(standard).lower(), words, n=1)
        raise UsageError(
            f"No pipe of the table has the words {standard!r}.",
            Trouble(
                what="It holds: " + "; ".join(known) + ".",
                write=f"terrain-head pipes --standard {near[0] if near else 'PVC'}",
            ),
            left_alone="",
        )
    fitting = [row for row in rows if size is None or _is_size(row, size)]
    if not fitting:
        sizes = ", ".join(dict.fromkeys(row.size for row in rows))
        raise UsageError(
            f"No pipe of the table has the size {size!r}.",
            Trouble(
                what=f"Sizes there: {sizes}.",
                write=f'terrain-head pipes --size "{rows[0].size}"',
            ),
            left_alone="",
        )
    return tuple(fitting)


def _has_words(row: PipeSize, words: str) -> bool:
    # "d1785" and "astm d1785" both fit; "sch 40" must not fit "400".
    label = f" {row.name} {row.standard} {row.grade} {row.material.name} ".lower()
    return all(f" {word} " in label for word in re.split(r"[\s-]+", words.lower().strip()))


def _is_size(row: PipeSize, size: str) -> bool:
    wanted = _number_and_unit(size)
    if wanted is None:
        return False
    number, unit = wanted
    own_number, own_unit = _number_and_unit(row.size) or (number, unit)
    return number == own_number and unit in {"", own_unit}


def _number_and_unit(text: str) -> tuple[Fraction, str] | None:
    match = re.fullmatch(
        r"(?:(\d+)[\s-]+)?(\d+)/([1-9]\d*)\s*(in|inch|inches|\"|'')?|(\d+(?:\.\d+)?)\s*([a-z\"']*)",
        text.strip().lower(),
    )
    if match is None:
        return None
    whole, over, under, inch, plain, unit = match.groups()
    word = inch or unit or ""
    short = "in" if word in {"in", "inch", "inches", '"', "''"} else word
    if over is not None:
        return Fraction(int(over), int(under)) + int(whole or 0), short
    return Fraction(plain), short
