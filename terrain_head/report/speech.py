"""How numbers, places and lists are said in a sentence."""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from terrain_head.base.amounts import (
    flow_amount,
    length_amount,
    pressure_amount,
    significant,
    stand_amount,
)
from terrain_head.base.display import (
    LIKELY,
    Quantity,
    decimals_for,
    decimals_of,
    feet_and_inches,
    grouped,
    in_unit,
    show,
    thousands_mark,
    unit_for,
)
from terrain_head.base.units import DAY_S, UnitSystem, from_si, to_si
from terrain_head.errors import WIDTH

"""Columns of a screen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Speech:
    """Says SI values in one system of units.

    Parameters
    ----------
    units
        How results are shown.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, US, from_si
    >>> Speech(units=METRIC).pressure(87_600.0), Speech(units=US).pressure(87_600.0)
    ('0.88 bar (88 kPa)', '12.7 psi')
    """

    units: UnitSystem

    def say(self, value_si: float, quantity: Quantity, *, std: float | None = None) -> str:
        """Return a value with its unit, digits following the doubt."""
        return str(show(value_si, quantity, self.units, std=std))

    def grouped(self, number: float, decimals: int) -> str:
        """Return a number in the unit shown, thousands set off in the way of these units."""
        return grouped(number, decimals, thousands=thousands_mark(self.units))

    def _significant(self, number: float, digits: int, *, most: int) -> str:
        return significant(number, digits, most=most, thousands=thousands_mark(self.units))

    def height(self, metres: float, *, std: float | None = None) -> str:
        """Return a height or a height difference."""
        return self.say(metres, "height", std=std)

    def head(self, metres: float) -> str:
        """Return a loss or a clearance; in feet and inches it is worth no less than an inch."""
        return self.height(metres, std=to_si(1.0, "in") if self.units.feet == "inches" else None)

    def length(self, metres: float) -> str:
        """Return a length along the ground or a pipe; short ones keep a decimal."""
        return length_amount(metres, self.units)

    def stand(self, metres: float) -> str:
        """Return the height of a stand, rounded up: to 0.1 m, half a foot, or a whole inch."""
        return stand_amount(metres, self.units)

    def small(self, metres: float) -> str:
        """Return a small difference of height: mm or cm, inches or hundredths of a foot."""
        if self.units.name == "us":
            return self.height(metres)
        if abs(metres) < 0.0995:
            return f"{self.grouped(from_si(metres, 'mm'), 0)} mm"
        return self.height(metres)

    def pressure(self, pascals: float) -> str:
        """Return a pressure: bar with kPa in brackets, or psi."""
        text = pressure_amount(pascals, self.units)
        if self.units.name == "metric":
            return f"{text} ({self.grouped(from_si(pascals, 'kPa'), 0)} kPa)"
        return text

    def flow(self, m3_s: float) -> str:
        """Return a flow a minute, three significant digits."""
        return flow_amount(m3_s, self.units)

    def flow_number(self, m3_s: float, *, digits: int = 3) -> str:
        """Return the number of a flow a minute; a decimal that is nought is left out."""
        number = self._significant(in_unit(m3_s, "flow", self.units), digits, most=2)
        return number.rstrip("0").rstrip(".") if "." in number else number

    @property
    def flow_unit(self) -> str:
        """The unit of flows a minute."""
        return unit_for("flow", self.units)

    def per_day(self, m3_s: float) -> str:
        """Return a flow as water a day, two significant digits: its doubt allows no more."""
        return f"{self.per_day_number(m3_s)} {self.per_day_word}"

    def per_day_number(self, m3_s: float) -> str:
        """Return the number of water a day."""
        return self._significant(in_unit(m3_s, "per_day", self.units), 2, most=0)

    @property
    def per_day_word(self) -> str:
        """The unit of water a day, in words."""
        return "litres a day" if self.units.name == "metric" else "gallons a day"

    def volume(self, m3: float) -> str:
        """Return a volume in litres or US gallons."""
        return f"{self.volume_number(m3)} {self.volume_word}"

    def volume_number(self, m3: float) -> str:
        """Return the number of a volume, two significant digits."""
        return self._significant(in_unit(m3, "volume", self.units), 2, most=0)

    @property
    def volume_word(self) -> str:
        """The unit of volumes, in words."""
        return "litres" if self.units.name == "metric" else "gallons"

    def mass(self, kg: float) -> str:
        """Return a mass in kilograms or pounds, two significant digits."""
        number = self._significant(in_unit(kg, "mass", self.units), 2, most=0)
        return f"{number} {unit_for('mass', self.units)}"

    def bore(self, metres: float) -> str:
        """Return an inside diameter; decimals that are nought are left out."""
        shown = show(metres, "bore", self.units)
        return f"{shown.number.rstrip('0').rstrip('.')} {shown.unit}"

    def share(self, part: float) -> str:
        """Return a share in per cent."""
        return self.say(part, "share")

    def temperature(self, celsius: float) -> str:
        """Return a temperature."""
        return self.say(celsius, "temperature")

    def give_or_take(self, std_m: float, *, factor: float = LIKELY) -> str:
        """Return the number of nine cases in ten to either side, in the unit of heights."""
        return spread_number(factor * std_m, "height", units=self.units)


def spread_number(spread_m: float, quantity: Quantity, *, units: UnitSystem) -> str:
    """Return a spread to its first digit (two, where that is a 1), in the unit shown.

    In feet and inches it is rounded as a height of this doubt is, and never to nought.
    """
    if units.feet == "inches" and unit_for(quantity, units) == "ft":
        std_m = None if spread_m < to_si(1.0, "in") else spread_m / LIKELY
        shown = feet_and_inches(spread_m, std=std_m).removeprefix("0 ft ").removeprefix("0-")
        return shown.removesuffix(" 0 in")
    value = in_unit(spread_m, quantity, units)
    decimals = decimals_for(value, _FINEST[units.name] + 1)
    if grouped(value * 10.0**decimals, 0) == "1" and decimals < _FINEST[units.name]:
        decimals += 1
    return grouped(value, max(decimals, 0), thousands=thousands_mark(units))


_FINEST = {"metric": 3, "us": 2}
"""Decimals of a metre or a foot that a level can still tell."""


def sure_height(metres: float, units: UnitSystem, *, std: float | None) -> str:
    """Return a height with as many digits as its doubt leaves, down to what a level can tell.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, US, from_si
    >>> sure_height(3.4853, METRIC, std=0.002), sure_height(3.4853, METRIC, std=0.2)
    ('3.485 m', '3.5 m')
    """
    if std is None or units.feet == "inches":
        return str(show(metres, "height", units, std=std))
    unit = unit_for("height", units)
    spread = std / to_si(1.0, unit)
    decimals = decimals_of(metres / to_si(1.0, unit), std=spread, usual=_FINEST[units.name])
    return str(show(metres, "height", units, decimals=decimals))


def height_and_doubt(metres: float, half_m: float, *, units: UnitSystem) -> tuple[str, str]:
    """Return a height with its unit and the number of its give or take, with the same decimals.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, from_si
    >>> height_and_doubt(2.545, 2.0, units=METRIC)
    ('2.5 m', '2.0')
    >>> height_and_doubt(3.4853, 0.0034, units=METRIC)
    ('3.485 m', '0.003')
    """
    if units.feet == "inches":
        return (
            str(show(metres, "height", units, std=half_m / LIKELY)),
            spread_number(half_m, "height", units=units),
        )
    number, decimals = _with_decimals(metres, half_m, units)
    half = in_unit(half_m, "height", units)
    return (
        f"{number} {unit_for('height', units)}",
        grouped(half, decimals, thousands=thousands_mark(units)),
    )


def height_range(low_m: float, high_m: float, *, units: UnitSystem) -> str:
    """Return the two ends of a range of heights, the unit after the second.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, from_si
    >>> height_range(0.545, 4.545, units=METRIC), height_range(25.8, 30.8, units=METRIC)
    ('0.5 to 4.5 m', '26 to 31 m')
    """
    half = (high_m - low_m) / 2
    if units.feet == "inches":
        ends = (show(end, "height", units, std=half / LIKELY) for end in (low_m, high_m))
        return " to ".join(str(end) for end in ends)
    decimals = _with_decimals((low_m + high_m) / 2, half, units)[1]
    low, high = (
        grouped(in_unit(end, "height", units), decimals, thousands=thousands_mark(units))
        for end in (low_m, high_m)
    )
    return f"{low} to {high} {unit_for('height', units)}"


def _with_decimals(metres: float, half_m: float, units: UnitSystem) -> tuple[str, int]:
    value = in_unit(metres, "height", units)
    std = in_unit(half_m, "height", units) / LIKELY
    decimals = decimals_of(value, std=std, usual=_FINEST[units.name])
    return grouped(value, decimals, thousands=thousands_mark(units)), decimals


def duration(seconds: float) -> str:
    """Return a time as a person says it.

    Examples
    --------
    >>> duration(41_400.0), duration(300_000.0), duration(40.0)
    ('11 h 30 min', '3.5 days', '1 min')
    """
    if seconds >= 2 * DAY_S:
        return f"{grouped(seconds / DAY_S, 1)} days"
    minutes = max(round(seconds / 60), 1)
    if minutes >= 600:
        minutes = round(minutes / 10) * 10
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def listed(words: Sequence[str]) -> str:
    """Return words as a list in a sentence.

    Examples
    --------
    >>> listed(["the beds"]), listed(["the tap", "the beds", "the trough"])
    ('the beds', 'the tap, the beds and the trough')
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def pipe_words(name: str) -> str:
    """Return how a pipe is called in a sentence.

    Examples
    --------
    >>> pipe_words("delivery"), pipe_words("beds")
    ('the delivery pipe', "the pipe 'beds'")
    """
    if name in {"drive", "delivery", "feed"}:
        return f"the {name} pipe"
    return f"the pipe '{name}'"


def sentence_case(text: str) -> str:
    """Return a text with its first letter large."""
    return text[:1].upper() + text[1:]


def wrapped(text: str, *, label: str = "", indent: int = 0, width: int = WIDTH) -> list[str]:
    """Return a text broken into lines, a label before the first.

    Parameters
    ----------
    text
        One paragraph.
    label
        Stands at the head of the first line, padded to the indent.
    indent
        Columns before each line.
    width
        Columns of a whole line.
    """
    lines = textwrap.wrap(
        _UNIT_AFTER_NUMBER.sub(_JOINED, text),
        width,
        initial_indent=f"{label:<{indent}}" if indent else label,
        subsequent_indent=" " * indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace(_JOINED, " ") for line in lines]


def path_lines(path: str, *, width: int) -> list[str]:
    """Return a path broken after its slashes where it is longer than a line.

    Examples
    --------
    >>> path_lines("farm/upper spring/study-results", width=20)
    ['farm/upper spring/', 'study-results']
    """
    lines = [""]
    for part in re.findall(r"[^/]*/|[^/]+", path):
        if lines[-1] and len(lines[-1]) + len(part) > width:
            lines.append("")
        lines[-1] += part
    return [line[at : at + width] for line in lines for at in range(0, len(line), width)]


def see_it(folder: str, *, picture: str, page: str, indent: int) -> list[str]:
    """Return the lines that say where to look, none longer than a screen is wide.

    Parameters
    ----------
    folder
        Where the results went, as the person would type it.
    picture, page
        Names of the picture to look at first and of the page that holds everything.
    indent
        Columns before each line.
    """
    folder = folder.rstrip("/") + "/"
    files = f"{picture}   all of it: {page}"
    lines = path_lines(folder, width=WIDTH - indent)
    if indent + len(lines[-1]) + len(files) <= WIDTH:
        lines[-1] += files
    else:
        lines.append(files)
    return [f"{'' if n else 'See it':<{indent}}{line}" for n, line in enumerate(lines)]


# A number stays on one line, with its unit and with thousands that a blank sets off.
_JOINED = "\x00"
_UNIT_AFTER_NUMBER = re.compile(
    r"(?<=\d) (?=(?:%|(?:m|mm|ft|in|L/min|gal/min|bar|psi|kg|lb|C|F|h|min|m/s|ft/s|\d{3})\b))"
)


def plain_ascii(text: str) -> str:
    """Return a text as a plain terminal prints it: what is not ASCII becomes the nearest letter."""
    table = {"\u2013": "-", "\u2014": "-", "\u2019": "'", "\u2018": "'", "\u00b0": " deg"}
    folded = unicodedata.normalize("NFKD", "".join(table.get(c, c) for c in text))
    kept = "".join(c for c in folded if not unicodedata.combining(c))
    return kept.encode("ascii", "replace").decode("ascii")
