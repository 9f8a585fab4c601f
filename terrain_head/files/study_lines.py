"""Where each table, key and value of a study file stands: line and column, for messages."""

from __future__ import annotations

import bisect
import tomllib
from dataclasses import dataclass, replace

from terrain_head.errors import Trouble

Path = tuple[str, ...]
"""Tables and keys from the top of the file down; items of a list by their number as text."""

_WIDEST_EXCERPT = 68
_BLANK = " \t"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a key and its value stand.

    Parameters
    ----------
    line
        Line of the key, counted from 1.
    key
        First column, counted from 0, and width of the key (or table header).
    value_line, value
        The same of the value; None for a table header.
    heading
        Whether it is the heading of a table.
    """

    line: int
    key: tuple[int, int]
    value_line: int | None = None
    value: tuple[int, int] | None = None
    heading: bool = False


class StudyLines:
    r"""The text of a study file, and the spot of everything in it.

    The text must be right TOML: the scan follows its form and checks nothing.

    Parameters
    ----------
    text
        The whole file.

    Examples
    --------
    >>> lines = StudyLines('[tank]\nstand = "3 m"\n')
    >>> lines.spot(("tank", "stand"))
    Spot(line=2, key=(0, 5), value_line=2, value=(8, 5), heading=False)
    """

    def __init__(self, text: str) -> None:
        self.text = text
        self.lines = text.split("\n")
        self.spots: dict[Path, Spot] = _Scan(text).run()

    def spot(self, path: Path) -> Spot | None:
        """Return the spot of a path, or of the nearest table above it; None for the whole file."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.spots:
                return self.spots[path[:length]]
        return None

    def under_heading(self, path: Path) -> tuple[Path, Path]:
        """Return the heading that a path stands under, and how it is written there."""
        for length in range(len(path), 0, -1):
            spot = self.spots.get(path[:length])
            if spot is not None and spot.heading:
                return path[:length], path[length:]
        return (), path

    def trouble(self, path: Path, what: str, *, write: str = "", mark_key: bool = False) -> Trouble:
        """Return a trouble with its line and a mark under the value (or the key)."""
        spot = self.spot(path)
        if spot is None:
            return Trouble(what=what, write=write)
        exact = path in self.spots
        line, mark = spot.line, spot.key
        if exact and not mark_key and spot.value is not None and spot.value_line is not None:
            line, mark = spot.value_line, spot.value
        return marked(self.lines, line, mark=mark, what=what, write=write)


def marked(
    lines: list[str], line: int, *, mark: tuple[int, int], what: str, write: str = ""
) -> Trouble:
    """Return a trouble that shows a line, shortened to fit a screen, with a mark under it."""
    text = lines[line - 1].replace("\t", " ").rstrip()
    column, width = mark
    start = 0
    comment = text.find(" #", column + width)
    if len(text) > _WIDEST_EXCERPT and comment > 0:
        text = text[:comment].rstrip()
    if len(text) > _WIDEST_EXCERPT:
        start = max(0, min(column - 20, len(text) - _WIDEST_EXCERPT))
        text = text[start : start + _WIDEST_EXCERPT]
        column -= start
    width = max(1, min(width, _WIDEST_EXCERPT - column))
    return Trouble(what=what, write=write, line=line, excerpt=text, mark=(column, width))


def _unquoted(key: str) -> str:
    if "\\" not in key:
        return key[1:-1]
    return str(tomllib.loads(f"key = {key}")["key"])


class _Scan:
    """One walk over the text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.spots: dict[Path, Spot] = {}
        self.starts = [0] + [i + 1 for i, char in enumerate(text) if char == "\n"]

    def run(self) -> dict[Path, Spot]:
        """Return the spots of the whole text."""
        table: Path = ()
        self._skip(lines=True)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._skip(lines=True)
        return self.spots

    def _place(self, offset: int) -> tuple[int, int]:
        line = bisect.bisect_right(self.starts, offset)
        return line, offset - self.starts[line - 1]

    def _skip(self, *, lines: bool) -> None:
        while self.at < len(self.text):
            char = self.text[self.at]
            if char == "#":
                end = self.text.find("\n", self.at)
                self.at = len(self.text) if end < 0 else end
            elif char in _BLANK or (lines and char in "\r\n"):
                self.at += 1
            else:
                return

    def _header(self) -> Path:
        start = self.at
        while self.text[self.at] == "[":
            self.at += 1
        path = self._keys()
        while self.at < len(self.text) and self.text[self.at] == "]":
            self.at += 1
        line, column = self._place(start)
        spot = Spot(line=line, key=(column, self.at - start))
        for length in range(1, len(path)):
            self.spots.setdefault(path[:length], spot)
        self.spots[path] = replace(spot, heading=True)
        return path

    def _keys(self) -> Path:
        keys: list[str] = []
        while True:
            self._skip(lines=False)
            start = self.at
            if self.text[self.at] in "\"'":
                self._string()
                keys.append(_unquoted(self.text[start : self.at]))
            else:
                while self.text[self.at] not in " \t.=]":
                    self.at += 1
                keys.append(self.text[start : self.at])
            self._skip(lines=False)
            if self.text[self.at] != ".":
                return tuple(keys)
            self.at += 1

    def _pair(self, table: Path) -> None:
        start = self.at
        keys = self._keys()
        path = (*table, *keys)
        line, column = self._place(start)
        key = (column, len(self.text[start : self.at].rstrip()))
        self._skip(lines=False)
        self.at += 1  # the equals sign
        self._skip(lines=False)
        for length in range(len(table) + 1, len(path)):
            self.spots.setdefault(path[:length], Spot(line=line, key=key))
        self._value(path, key=(line, key))

    def _value(self, path: Path, key: tuple[int, tuple[int, int]] | None = None) -> None:
        start = self.at
        char = self.text[start]
        if char in "\"'":
            self._string()
        elif char == "[":
            self._list(path)
        elif char == "{":
            self._inline_table(path)
        else:
            while self.at < len(self.text) and self.text[self.at] not in ",]}\r\n#":
                self.at += 1
        line, column = self._place(start)
        shown = self.text[start : self.at].split("\n", 1)[0].rstrip()
        value = (column, max(len(shown), 1))
        key_line, key_mark = key or (line, value)
        self.spots[path] = Spot(line=key_line, key=key_mark, value_line=line, value=value)

    def _string(self) -> None:
        quote = self.text[self.at]
        closing = quote * 3 if self.text.startswith(quote * 3, self.at) else quote
        self.at += len(closing)
        while not self.text.startswith(closing, self.at):
            self.at += 2 if quote == '"' and self.text[self.at] == "\\" else 1
        self.at += len(closing)
        while len(closing) == 3 and self.text[self.at : self.at + 1] == quote:
            self.at += 1  # a long text may end in quotes of its own

    def _list(self, path: Path) -> None:
        self.at += 1
        count = 0
        while True:
            self._skip(lines=True)
            char = self.text[self.at]
            if char == "]":
                self.at += 1
                return
            if char == ",":
                self.at += 1
            else:
                self._value((*path, str(count)))
                count += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        while True:
            self._skip(lines=True)
            char = self.text[self.at]
            if char == "}":
                self.at += 1
                return
            if char == ",":
                self.at += 1
            else:
                self._pair(path)
