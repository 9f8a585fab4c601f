"""One table of the study file, read value by value; troubles are gathered, never raised."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from terrain_head.base.measured import Measured
from terrain_head.base.quantities import QuantityError, parse_quantity
from terrain_head.base.units import Dimension, UnitSystem
from terrain_head.errors import Trouble
from terrain_head.files.study_key import Key, Keys, Kind
from terrain_head.files.study_keys import LATER_TABLES, NAMED_TABLES, PLAIN_TABLES
from terrain_head.files.study_lines import Path, StudyLines
from terrain_head.files.study_names import dotted, is_blank, nearest, shown_path
from terrain_head.scheme.parts import Taken

_AT_LEVEL = re.compile(r"\sat\s+[\d.]+\s*%\s*$")


@dataclass(slots=True, kw_only=True)
class Ledger:
    """What reading one choice of a study gathers.

    Parameters
    ----------
    lines
        Text and spots of the file.
    origin
        Where a value of a choice was written, by its path in the merged study.
    units
        How the person reads results: cures are shown in these units.
    replaced
        What a whole value was before the choice, by its path in the merged study.
    troubles, blanks, taken
        What was found wrong, left open, taken for want of the person's own value.
    """

    lines: StudyLines
    origin: dict[Path, Path] = field(default_factory=dict)
    units: UnitSystem = field(default_factory=UnitSystem)
    replaced: dict[Path, object] = field(default_factory=dict)
    troubles: list[Trouble] = field(default_factory=list)
    blanks: list[Path] = field(default_factory=list)
    taken: list[Taken] = field(default_factory=list)

    def written_at(self, path: Path) -> Path:
        """Return where a value of the merged study stands in the file."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.origin:
                return self.origin[path[:length]] + path[length:]
        return path

    def meant(self, right: Path, wrong: Path) -> None:
        """Let a misspelled key be read as the right one, so that nothing follows from the slip."""
        self.origin[right] = self.written_at(wrong)

    def wrong(self, path: Path, what: str, *, write: str = "", mark_key: bool = False) -> None:
        """Note a trouble; `what` follows the key's name and a colon."""
        written = self.written_at(path)
        spot = self.lines.spots.get(written)
        in_list = spot is not None and spot.value is not None and spot.key == spot.value
        shown = shown_path(written[:-1] if in_list else written)
        if len(written) == 1 and spot is not None and spot.value is not None:
            shown = dotted(written)
        self.troubles.append(
            self.lines.trouble(written, f"{shown}: {what}", write=write, mark_key=mark_key)
        )

    def name_of(self, path: Path) -> str:
        """Return the key of a value as it is written under its table's heading."""
        return dotted(self.lines.under_heading(self.written_at(path))[1])

    def quantity(self, path: Path, value: object, *, entry: Key, name: str) -> Measured | None:
        """Return one quantity that stands at a path, noting what is wrong with it."""
        assert entry.dimension is not None
        if self.name_of(path).endswith(f".{name}"):
            name = self.name_of(path)
        cure = f"{name} = {entry.example}"
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if number and entry.dimension is Dimension.RATIO and math.isfinite(float(str(value))):
            value = f"{value}"
        elif number and math.isfinite(float(str(value))):
            usual = usual_unit(entry, self.units)
            self.wrong(
                path,
                f"{value} has no unit; {entry.dimension.value} is wanted.",
                write=f'{name} = "{value} {usual}"',
            )
            return None
        if not isinstance(value, str):
            self.wrong(path, f"{said(value)} is not {entry.dimension.value}.", write=cure)
            return None
        if entry.kind is not Kind.SPREAD and "+" not in value and _AT_LEVEL.search(value):
            self.wrong(
                path, f"{value!r} is a spread; {entry.dimension.value} is wanted.", write=cure
            )
            return None
        try:
            found = parse_quantity(value, entry.dimension, example=entry.example.strip('"'))
        except QuantityError as error:
            trouble = error.trouble
            written = f'{name} = "{trouble.write}"' if trouble.write else cure
            self.wrong(path, trouble.what, write=written)
            return None
        trouble_text = out_of_bounds(found.value, entry, text=value)
        if trouble_text:
            self.wrong(path, trouble_text, write=cure)
            return None
        return found


class TableReader:
    """One table: unknown keys are noted at once, the others are read by name.

    Parameters
    ----------
    ledger
        Where troubles and blanks go.
    path
        Path of the table in the merged study.
    values
        The table as parsed.
    keys
        What it may hold.
    """

    def __init__(
        self, ledger: Ledger, path: Path, *, values: Mapping[str, Any], keys: Keys
    ) -> None:
        self.ledger = ledger
        self.path = path
        self.keys = keys
        self.values: dict[str, Any] = {}
        for written, value in values.items():
            key = written if written in keys else self._unknown(written, value, values)
            if key is None:
                continue
            if is_blank(value):
                ledger.blanks.append(ledger.written_at((*path, key)))
            else:
                self.values[key] = value
        self._missing(values)

    def _missing(self, values: Mapping[str, Any]) -> None:
        for key, entry in self.keys.items():
            if entry.required and key not in values and key not in self.values:
                written = self.ledger.written_at((*self.path, key))
                heading, name = self.ledger.lines.under_heading(written)
                above = f"[{dotted(heading)}]\n" if heading else ""
                self.ledger.wrong(
                    self.path,
                    f"{key} is missing ({entry.meaning}).",
                    write=f"{above}{dotted(name)} = {entry.example}",
                )

    def _unknown(self, key: str, value: object, values: Mapping[str, Any]) -> str | None:
        """Note a key that is none; return the one that was meant, if that seems clear."""
        near = nearest(key, self.keys)
        known = ", ".join(self.keys)
        write = ""
        if near is not None:
            own = f'"{value}"' if isinstance(value, str) else self.keys[near].example
            write = f"{self.ledger.name_of((*self.path, key)).removesuffix(key)}{near} = {own}"
        self.ledger.wrong(
            (*self.path, key),
            f"there is no such {'table' if isinstance(value, dict) else 'key'}."
            + ("" if near else home_of(key) or f" Known here: {known}."),
            write=write,
            mark_key=True,
        )
        if near is None or near in values:
            return None
        self.ledger.meant((*self.path, near), (*self.path, key))
        return near

    def wrong(self, key: str, what: str, *, write: str = "") -> None:
        """Note a trouble of one value; the cure is the key's example unless said otherwise."""
        path = (*self.path, key)
        cure = write or f"{key} = {self.keys[key].example}"
        if cure.startswith(f"{key} = "):
            cure = self.ledger.name_of(path) + cure[len(key) :]
        self.ledger.wrong(path, what, write=cure)

    def text(self, key: str) -> str | None:
        """Return a text, or None where it is left out, blank or wrong."""
        value = self.values.get(key)
        if value is None:
            return None
        entry = self.keys[key]
        if not isinstance(value, str):
            cure = f'{key} = "{value}"' if type(value) in {int, float} else ""
            self.wrong(key, f"{said(value)} is not {entry.kind.value}.", write=cure)
        elif not value.strip():
            self.wrong(key, 'nothing stands between the quotes; "?" keeps it open.')
        elif any(ord(char) < 32 for char in value):
            self.wrong(
                key,
                "a backslash was read as a control character. Write / between folders.",
                write=f'{key} = "{_slashes(value)}"',
            )
        else:
            return value.strip()
        return None

    def word(self, key: str) -> str | None:
        """Return one of the words of a key, or None."""
        value = self.text(key)
        if value is None:
            return None
        words = self.keys[key].words
        for word in words:
            if value.casefold() == word.casefold():
                return word
        near = nearest(value, words)
        known = " or ".join(f'"{word}"' for word in words)
        self.wrong(
            key,
            f'"{value}" is not known. It may be {known}.',
            write=f'{key} = "{near or words[0]}"',
        )
        return None

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts; one text alone stands for a list of it."""
        value = self.values.get(key)
        if value is None:
            return ()
        if isinstance(value, str):
            text = self.text(key)
            return () if text is None else (text,)
        return self._items((*self.path, key), value, key)

    def _items(self, path: Path, value: object, key: str) -> tuple[str, ...]:
        if not isinstance(value, list):
            self.wrong(key, f"{said(value)} is not {self.keys[key].kind.value}.")
            return ()
        found: list[str] = []
        for number, item in enumerate(value):
            spot = (*path, str(number))
            if is_blank(item):
                self.ledger.blanks.append(self.ledger.written_at(spot))
            elif not isinstance(item, str) or not item.strip():
                self.ledger.wrong(spot, f"{said(item)} is not a text.", write=f'"{item}"')
            elif any(ord(char) < 32 for char in item):
                self.ledger.wrong(
                    spot,
                    "a backslash was read as a control character. Write / between folders.",
                    write=f'"{_slashes(item)}"',
                )
            else:
                found.append(item.strip())
        return tuple(found)

    def count(self, key: str, default: int) -> int:
        """Return a whole number of things."""
        value = self.values.get(key)
        if value is None:
            return default
        if isinstance(value, bool) or not isinstance(value, int):
            self.wrong(key, f"{said(value)} is not a whole number.")
        elif value < 1:
            self.wrong(key, f"{value} is fewer than one.")
        else:
            return value
        return default

    def measured(self, key: str) -> Measured | None:
        """Return a quantity, or None where it is left out, blank or wrong."""
        value = self.values.get(key)
        if value is None:
            return None
        return self.ledger.quantity((*self.path, key), value, entry=self.keys[key], name=key)

    def spread(self, key: str) -> float | None:
        """Return a standard error, or None."""
        value = self.values.get(key)
        if isinstance(value, str):
            value = value.strip().removeprefix("+-").removeprefix("+/-")
        if value is None:
            return None
        found = self.ledger.quantity((*self.path, key), value, entry=self.keys[key], name=key)
        return None if found is None else found.value


def home_of(key: str) -> str:
    """Return where a key belongs, as the end of a message; empty if nowhere or anywhere."""
    tables = {**PLAIN_TABLES, **{f"{name}.NAME": keys for name, keys in NAMED_TABLES.items()}}
    homes = [name for name, keys in tables.items() if key in keys and name != "tank.NAME"]
    return f" It belongs under {' or '.join(f'[{name}]' for name in homes[:2])}." if homes else ""


def out_of_bounds(value_si: float, entry: Key, *, text: str) -> str:
    """Return what is wrong with a value beyond its key's bounds, empty if nothing is."""
    if entry.at_most is not None and value_si > entry.at_most:
        unit = " C" if entry.dimension is Dimension.TEMPERATURE else ""
        most = "100 %" if entry.dimension is Dimension.RATIO else f"{entry.at_most:g}{unit}"
        extra = f' Did you mean "{text} %"?' if _bare_percent(text, entry) else ""
        return f"'{text}' is more than {most}.{extra}"
    if entry.above is not None and value_si <= entry.above:
        return f"'{text}' must be more than zero."
    if entry.at_least is not None and value_si < entry.at_least:
        return f"'{text}' is below zero, which makes no sense here."
    return ""


def _bare_percent(text: str, entry: Key) -> bool:
    return entry.dimension is Dimension.RATIO and "%" not in text


def usual_unit(entry: Key, units: UnitSystem) -> str:
    """Return the unit that a person of a unit system would write for a key."""
    metric = entry.example.strip('"').split(" ", 1)[-1].split("+-")[-1].strip()
    metric = metric.lstrip("0123456789. ")
    us = {
        Dimension.LENGTH: "ft",
        Dimension.FLOW: "gal/min",
        Dimension.PRESSURE: "psi",
        Dimension.VOLUME: "gal",
        Dimension.TEMPERATURE: "F",
    }
    if units.name == "us" and entry.dimension in us:
        return us[entry.dimension]
    return metric


def refuse_later(ledger: Ledger, table: str) -> bool:
    """Note a table of a later version; return whether it is one."""
    if table not in LATER_TABLES:
        return False
    ledger.wrong(
        (table,),
        "this table is not built yet. Take it out until then, or put # before its lines.",
        mark_key=True,
    )
    return True


def said(value: object) -> str:
    """Return a value as a message names it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f"{value!r}"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, float) and math.isnan(value):
        return "nan (no number)"
    return str(value)


def _slashes(value: str) -> str:
    letters = {"\t": "/t", "\n": "/n", "\r": "/r", "\f": "/f", "\b": "/b", "\x1b": "/e"}
    return "".join(letters.get(char, char) for char in value)
