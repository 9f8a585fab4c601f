"""Names in a study file: the nearest right spelling, and how a key is called in a message."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from terrain_head.base.names import quoted_key
from terrain_head.files.study_lines import Path

BLANK = "?"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that is spelled most like a word, or None if none is near.

    Examples
    --------
    >>> nearest("delivry", ["drive", "delivery"])
    'delivery'
    """
    folded = {name.casefold(): name for name in known}
    close = difflib.get_close_matches(word.casefold(), list(folded), n=1, cutoff=0.6)
    return folded[close[0]] if close else None


def is_blank(value: object) -> bool:
    """Return whether a value is still to be filled in."""
    return isinstance(value, str) and value.strip() == BLANK


def shown_path(path: Path) -> str:
    """Return a path as a person finds it in the file.

    Examples
    --------
    >>> shown_path(("pipe", "east", "cover")), shown_path(("choice", "low", "tank", "stand"))
    ('[pipe.east] cover', '[choice.low] tank.stand')
    """
    depth = heading_depth(path)
    head, rest = path[:depth], path[depth:]
    if not rest:
        return f"[{dotted(head)}]" if depth > 1 or path[0] not in _TOP_WORDS else path[0]
    return f"[{dotted(head)}] {dotted(rest)}"


def heading_depth(path: Path) -> int:
    """Return how many parts of a path stand in the heading of its table."""
    named = path[0] in {"place", "pipe", "outlet", "choice"}
    return 2 if named or (path[0] == "tank" and len(path) == 3) else 1


_TOP_WORDS = frozenset({"title", "units", "feet"})


def dotted(path: Iterable[str]) -> str:
    """Return keys joined by points, those that want quotes in quotes."""
    return ".".join(quoted_key(key) for key in path)
