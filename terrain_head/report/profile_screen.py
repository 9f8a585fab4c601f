"""The screen of ``terrain-head profile``: a sentence, then the few figures."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from terrain_head.base.display import LIKELY, decimals_for, in_unit, station_words, unit_for
from terrain_head.base.units import UnitSystem, from_si
from terrain_head.ground.grid import RasterError
from terrain_head.ground.ground import GroundProfile
from terrain_head.ground.summits import TurningStation
from terrain_head.report.speech import Speech, plain_ascii, sentence_case, wrapped

_COUNTED = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_INDENT = 18
_MOST_TURNS = 6


def profile_screen(
    profile: GroundProfile,
    *,
    ends: tuple[str, str],
    rise_std_m: float | None,
    turns: Sequence[TurningStation],
    rasters: Sequence[str],
    error: RasterError,
    told: Sequence[str],
    units: UnitSystem,
) -> str:
    """Return the whole screen, plain ASCII, at most 79 columns.

    Parameters
    ----------
    profile
        The ground.
    ends
        Names of its two ends.
    rise_std_m
        Standard error of the rise from the one to the other, None where not known [m].
    turns
        High and low points between the ends.
    rasters
        Names of the rasters.
    error
        How wrong they are.
    told
        Findings in words.
    units
        How results are shown.
    """
    say = Speech(units=units)
    lines = wrapped(profile_sentence(profile, ends=ends, rise_std_m=rise_std_m, turns=turns,
                                     units=units))  # fmt: skip
    lines.append("")
    figures = [
        ("level distance", say.length(profile.plan_length_m)),
        ("along the ground", say.length(profile.slope_length_m)),
        *((name, _height(profile, at, units)) for name, at in _labelled_ends(ends)),
        ("highest", _spot(profile, int(np.argmax(profile.elevation_m)), units)),
        ("lowest", _spot(profile, int(np.argmin(profile.elevation_m)), units)),
    ]
    for kind, label in (("high", "high points"), ("low", "low points")):
        found = [turn for turn in turns if turn.kind == kind]
        if found:
            figures.append((label, _turn_words(found, units)))
    figures.append(("heights from", f"{', '.join(rasters)}{_error_words(error, say)}"))
    for label, text in figures:
        lines += [f"  {line}" for line in wrapped(text, label=f"{label}  ", indent=_INDENT,
                                                  width=77)]  # fmt: skip
    for text in told:
        lines += ["", *wrapped(text)]
    return plain_ascii("\n".join(lines))


def profile_sentence(
    profile: GroundProfile,
    *,
    ends: tuple[str, str],
    rise_std_m: float | None,
    turns: Sequence[TurningStation],
    units: UnitSystem,
) -> str:
    """Return the one sentence that answers, beginning with the higher end.

    Parameters
    ----------
    profile, ends, rise_std_m, turns, units
        As for `profile_screen` [m].
    """
    say = Speech(units=units)
    rise = float(profile.elevation_m[-1] - profile.elevation_m[0])
    upper, lower = (ends[1], ends[0]) if rise >= 0 else (ends[0], ends[1])
    above, likely = _rise_words(abs(rise), rise_std_m, units)
    humps = [turn for turn in turns if turn.kind == "high"]
    perhaps = sum(turn.sure is False for turn in humps)
    count = _count(len(humps), "hump")
    if perhaps and perhaps == len(humps):
        count = f"perhaps {count}"
    elif perhaps:
        count = f"{count}, {_COUNTED[perhaps] if perhaps < 10 else perhaps} of them perhaps"
    return (
        f"{sentence_case(upper)} is about {above} above {lower}{likely}, "
        f"{say.length(profile.slope_length_m)} along the ground, {count}."
    )


def inventory_screen(words: str, *, maps: Sequence[str]) -> str:
    """Return what the maps have, and how to ask for a line.

    Parameters
    ----------
    words
        What they have, in words.
    maps
        Their names.
    """
    lines = [
        f"{', '.join(maps)}: which line?", "", *wrapped(words, indent=2), "",
        '  Write    --route "NAME"          for the whole of a line',
        '           --from "A" --to "B"     straight from point to point',
    ]  # fmt: skip
    return plain_ascii("\n".join(lines))


def _count(number: int, word: str) -> str:
    said = _COUNTED[number] if number < len(_COUNTED) else str(number)
    return f"{said} {word}" if number < 2 else f"{said} {word}s"


def _rise_words(rise_m: float, std_m: float | None, units: UnitSystem) -> tuple[str, str]:
    """Return the rise, and its likely range in brackets."""
    grouped = Speech(units=units).grouped
    unit = unit_for("height", units)
    rise = in_unit(rise_m, "height", UnitSystem(name=units.name))
    if std_m is None or std_m <= 0:
        return f"{grouped(rise, 1)} {unit}", ""
    spread = from_si(LIKELY * std_m, unit)
    places = decimals_for(spread, 2)
    low, high = grouped(rise - spread, places), grouped(rise + spread, places)
    return f"{grouped(rise, places)} {unit}", f" (likely {low} to {high})"


def _labelled_ends(ends: tuple[str, str]) -> list[tuple[str, int]]:
    return [(ends[0], 0), (ends[1], -1)]


def _height(profile: GroundProfile, at: int, units: UnitSystem) -> str:
    unit = unit_for("height", units)
    places = 1 if units.name == "us" else 2
    number = from_si(float(profile.elevation_m[at]), unit)
    return f"{Speech(units=units).grouped(number, places)} {unit}"


def _spot(profile: GroundProfile, at: int, units: UnitSystem) -> str:
    height = _height(profile, at, units)
    return f"{height} at {station_words(float(profile.station_m[at]), units)}"


def _turn_words(turns: Sequence[TurningStation], units: UnitSystem) -> str:
    words = [
        f"{'perhaps ' if turn.sure is False else ''}{station_words(turn.station_m, units)}"
        for turn in turns[:_MOST_TURNS]
    ]
    more = f", and {len(turns) - _MOST_TURNS} more" if len(turns) > _MOST_TURNS else ""
    return ", ".join(words) + more


def _error_words(error: RasterError, say: Speech) -> str:
    if error.std_m is None:
        return ""
    unit = unit_for("height", say.units)
    return f", each +- {say.give_or_take(error.std_m)} {unit}"
