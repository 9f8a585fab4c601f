"""One key of the study file: what may stand there, what it means, what holds if it is left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from terrain_head.base.units import Dimension


class Kind(StrEnum):
    """What may stand after the equals sign; the value says it in words."""

    TEXT = "a text"
    NAMES = "a list of names"
    WORD = "one of a few words"
    QUANTITY = "a quantity"
    SPREAD = "a standard error"
    FLOW = "a flow, or one for each month"
    OUTFLOW = 'a flow, or "open"'
    COUNT = "a whole number"
    FILE = "a file"
    FILES = "a file, or a list of files"
    ERRORS = "a table of reading and angle"
    INSTRUMENT = "a table of its own, below"
    PAIR = "a list of two lengths"
    LAT_LON = "latitude, longitude"
    COORDINATES = "a list of two numbers"
    SPEC = "a pipe of the table, or a table of its own values"
    FITTINGS = "a table of fittings and how many"
    PRICES = "a table of pipes and their prices"
    PRICE = "a number"


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key.

    Parameters
    ----------
    kind
        What stands there.
    meaning, left_out
        What it means, and what holds if it is left out; as docs/study_file.md prints them.
    example
        A right value, as it stands after the equals sign.
    dimension
        Of a quantity.
    above, at_least, at_most
        Bounds of a quantity or count, SI.
    words
        The words that may stand there.
    required
        Whether its table means nothing without it.
    """

    kind: Kind
    meaning: str
    left_out: str
    example: str
    dimension: Dimension | None = None
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    words: tuple[str, ...] = ()
    required: bool = False


Keys = Mapping[str, Key]


def length_key(meaning: str, left_out: str, *, example: str, floor: float | None = None) -> Key:
    """Return a key that holds a length, down to `floor` if one is given [m]."""
    return Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.LENGTH,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        at_least=floor,
    )


def size_key(meaning: str, left_out: str, *, example: str) -> Key:
    """Return a key that holds a length of more than zero."""
    return Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.LENGTH,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        above=0.0,
    )


def flow_key(meaning: str, left_out: str, *, example: str) -> Key:
    """Return a key that holds a flow of more than zero."""
    return Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.FLOW,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        above=0.0,
    )


def share_key(meaning: str, left_out: str, *, example: str) -> Key:
    """Return a key that holds a share up to the whole."""
    return Key(
        kind=Kind.QUANTITY,
        dimension=Dimension.RATIO,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        above=0.0,
        at_most=1.0,
    )


def text_key(meaning: str, left_out: str, *, example: str, required: bool = False) -> Key:
    """Return a key that holds a text."""
    return Key(
        kind=Kind.TEXT,
        meaning=meaning,
        left_out=left_out,
        example=f'"{example}"',
        required=required,
    )


def word_key(meaning: str, left_out: str, *, words: tuple[str, ...]) -> Key:
    """Return a key that holds one of some words, the first as example."""
    return Key(
        kind=Kind.WORD,
        meaning=meaning,
        left_out=left_out,
        example=f'"{words[0]}"',
        words=words,
    )


def count_key(meaning: str) -> Key:
    """Return a key that holds a number of things."""
    return Key(kind=Kind.COUNT, meaning=meaning, left_out="one", example="1", at_least=1.0)


def files_key(meaning: str, left_out: str, *, example: str) -> Key:
    """Return a key that holds one file or several."""
    return Key(kind=Kind.FILES, meaning=meaning, left_out=left_out, example=f'"{example}"')


def names_key(meaning: str, left_out: str, *, example: str) -> Key:
    """Return a key that holds a list of names."""
    return Key(kind=Kind.NAMES, meaning=meaning, left_out=left_out, example=example)


def pair_key(meaning: str, left_out: str, *, example: str) -> Key:
    """Return a key that holds a list of two lengths and must be there."""
    return Key(
        kind=Kind.PAIR,
        dimension=Dimension.LENGTH,
        meaning=meaning,
        left_out=left_out,
        example=example,
        required=True,
    )
