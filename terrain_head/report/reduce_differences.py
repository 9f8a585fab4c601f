"""Which points a person asks about, and how their heights differ."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

from terrain_head.base.display import feet_and_inches
from terrain_head.base.units import UnitSystem, from_si
from terrain_head.leveling.elevations import Elevations

_PASSING = re.compile(
    r"^(?:t\.?p|c\.?p|t|peg|stake|turn(?:ing point)?|change point)[\s._-]*"
    r"(?:\d*|one|two|three|four|five|six|seven|eight|nine|ten)[a-z]?$",
    re.IGNORECASE,
)
_STAKE = re.compile(r"^[a-z]{0,2}[\s-]?[\d+.]+$", re.IGNORECASE)
_WATER = re.compile(r"\b(?:spring|source|intake|seep)\b", re.IGNORECASE)
_RAM = re.compile(r"\bram\b", re.IGNORECASE)
_TANK = re.compile(r"\b(?:tank|cistern|reservoir|knoll)\b", re.IGNORECASE)
_OUTLET = re.compile(
    r"\b(?:house|tap|trough|beds?|garden|barn|orchard|field|paddock|stable|pen|greenhouse|kitchen"
    r"|shed|hydrant|outlet)\b",
    re.IGNORECASE,
)
_MOST = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """How much higher `end` is than `start`, and what holds nine cases in ten beside it [m]."""

    start: str
    end: str
    rise_m: float
    likely_m: float


def named_points(elevations: Elevations) -> tuple[str, ...]:
    """Return the points that a person asks about, in order of first sight.

    Turning points (TP1, CP 2, T3, CP) are left out; so are stakes (12, 1+25, d60) and known points
    as long as two others remain.

    Examples
    --------
    >>> [bool(_PASSING.match(name)) for name in ("TP1", "cp 2", "T.P.3", "tank", "T3", "ram")]
    [True, True, True, False, True, False]
    """
    names = [name for name in elevations.names if not _PASSING.match(name)]
    if len(names) < 2:
        names = list(elevations.names)
    known = {
        name for name, is_known in zip(elevations.names, elevations.known, strict=True) if is_known
    }
    for unwanted in (_STAKE.match, known.__contains__):
        rest = [name for name in names if not unwanted(name)]
        names = rest if len(rest) >= 2 else names
    return tuple(names)


def differences(elevations: Elevations) -> tuple[Difference, ...]:
    """Return how the named points differ, the way of the water first.

    That is spring to ram, ram to tank, tank to each outlet, as far as there are such names; then
    every other named point against the one before it.
    """
    names = named_points(elevations)

    def first(word: re.Pattern[str]) -> str | None:
        return next((name for name in elevations.names if word.search(name)), None)

    way = [name for name in map(first, (_WATER, _RAM, _TANK)) if name is not None]
    pairs = list(pairwise(dict.fromkeys(way)))
    if way:
        outlets = [name for name in names if _OUTLET.search(name) and name not in way]
        pairs += [(way[-1], name) for name in outlets]
    told = {name for pair in pairs for name in pair}
    pairs += [pair for pair in pairwise(names) if not told.issuperset(pair)]
    found = []
    for start, end in pairs[:_MOST]:
        rise, std = elevations.rise(start, end)
        found.append(
            Difference(start=start, end=end, rise_m=rise, likely_m=std * elevations.likely_factor)
        )
    return tuple(found)


def ram_above_spring(difference: Difference) -> bool:
    """Tell whether a ram came out above its spring."""
    return bool(
        _WATER.search(difference.start) and _RAM.search(difference.end) and difference.rise_m > 0
    )


def say_difference(difference: Difference, units: UnitSystem) -> str:
    """Return the sentence that tells a difference, rounded from the unrounded heights.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC
    >>> fall = Difference(start="spring", end="ram", rise_m=-2.406, likely_m=0.009)
    >>> say_difference(fall, METRIC)
    'ram is 2.406 m below spring, give or take 9 mm.'
    """
    return f"{say_rise(difference, units)}, give or take {say_spread(difference.likely_m, units)}."


def say_rise(difference: Difference, units: UnitSystem) -> str:
    """Return a difference without its doubt and without a full stop."""
    side = "below" if difference.rise_m < 0 else "above"
    metres = abs(difference.rise_m)
    if units.name == "metric":
        amount = f"{metres:.3f} m"
    elif units.feet == "inches":
        amount = f"{feet_and_inches(metres)} ({from_si(metres, 'ft'):.2f} ft)"
    else:
        amount = f"{from_si(metres, 'ft'):.2f} ft"
    inches = (
        f" ({feet_and_inches(metres)})" if units.name == "us" and units.feet == "tenths" else ""
    )
    return f"{difference.end} is {amount} {side} {difference.start}{inches}"


def say_spread(likely_m: float, units: UnitSystem) -> str:
    """Return the half width of the range that holds nine cases in ten, as it is printed."""
    if units.name == "metric":
        small = likely_m < 0.1
        return f"{from_si(likely_m, 'mm'):.0f} mm" if small else f"{likely_m:.2f} m"
    return f"{from_si(likely_m, 'ft'):.2f} ft"
