"""Names as people write them: found whatever their capitals, and quoted where a file wants it."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence


def find_name(name: str, names: Sequence[str]) -> int | None:
    """Return where a name stands in a list: as written, else as the only one but for capitals.

    Examples
    --------
    >>> find_name("spring", ["Spring", "Tank"]), find_name("a", ["A", "a"]), find_name("x", [])
    (0, 1, None)
    """
    if name in names:
        return names.index(name)
    folded = name.casefold()
    found = [index for index, other in enumerate(names) if other.casefold() == folded]
    return found[0] if len(found) == 1 else None


def simple_names(names: Sequence[str], *, taken: Sequence[str] = ()) -> list[str]:
    """Return each name as lower-case words that want no quotes, no two alike.

    Parameters
    ----------
    names
        As a person wrote them.
    taken
        What none of them may be called.

    Examples
    --------
    >>> simple_names(["House", "goat shed", "HOUSE?", "drive", "?"], taken=["drive"])
    ['house', 'goat-shed', 'house-2', 'drive-2', '']
    """
    found: list[str] = []
    for name in names:
        base = simple = "-".join(re.findall(r"[^\W_]+", name.casefold()))
        number = 1
        while simple and (simple in taken or simple in found):
            number += 1
            simple = f"{base}-{number}"
        found.append(simple)
    return found


def quoted_key(key: str) -> str:
    """Return a key as TOML wants it written.

    Examples
    --------
    >>> print(quoted_key("beds"), quoted_key("goat shed"))
    beds "goat shed"
    """
    bare = key and all(c.isascii() and (c.isalnum() or c in "-_") for c in key)
    return key if bare else quoted_text(key)


def quoted_text(text: str) -> str:
    r"""Return a text in straight quotes, whatever stands in it.

    Examples
    --------
    >>> print(quoted_text('the "old" tank'))
    "the \"old\" tank"
    """
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def heading(table: str, name: str) -> str:
    """Return the heading of a named table as it stands in a study file.

    Examples
    --------
    >>> heading("pipe", "to beds")
    '[pipe."to beds"]'
    """
    return f"[{table}.{quoted_key(name)}]"
