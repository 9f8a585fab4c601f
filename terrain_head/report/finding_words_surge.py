"""Words for the findings about valves that are shut, and tanks and taps that are joined."""

from __future__ import annotations

import math
from collections.abc import Mapping

from terrain_head.assessment.finding import Finding
from terrain_head.report.finding_words_water import pipe_of
from terrain_head.report.speech import Speech, duration, listed, sentence_case
from terrain_head.report.told import Sayer, Told, amount, limit_of

_SHORT_S = 90.0


def shut_time(seconds: float) -> str:
    """Return the time in which a valve may be shut, rounded up to a whole second or minute.

    Examples
    --------
    >>> shut_time(3.2), shut_time(150.0)
    ('4 s', '3 min')
    """
    if seconds <= _SHORT_S:
        return f"{math.ceil(seconds - 1e-9)} s"
    return f"{math.ceil(seconds / 60)} min"


def _surge_over_rating(finding: Finding, say: Speech) -> Told:
    hammer = finding.values.get("hammer_pa", 0.0)
    closing = finding.values.get("closing_s")
    speed = finding.values.get("velocity_m_s", 0.0)
    return Told(
        fact=(
            f"A valve slammed while water runs {say.say(speed, 'speed')} in {pipe_of(finding)} "
            f"adds {say.pressure(hammer)} to the still pressure: {say.pressure(amount(finding))}, "
            f"where the pipe bears {say.pressure(limit_of(finding))} with such blows."
        ),
        cure=(
            "Take a stronger or a wider pipe."
            if closing is None
            else f"Use a valve that takes {shut_time(closing)} or more to shut, or a wider pipe."
        ),
    )


def _outlet_fills(finding: Finding, say: Speech) -> Told:
    values = finding.values
    name, volume = finding.where.outlet or "it", say.volume(values.get("volume_m3", 0.0))
    shut = _shut(finding, say)
    if finding.texts.get("short"):
        held = values.get("held_m3")
        why = "no water comes" if held is None else f"the full tank gives {say.volume(held)}"
        return Told(
            fact=f"{sentence_case(name)} can't be filled with {volume} at a time: {why}.",
            cure=f"Fill less, or take a larger tank. {shut}".rstrip(),
        )
    first, last = values.get("first_m3_s", 0.0), values.get("last_m3_s", 0.0)
    flows = (
        say.flow(first)
        if math.isclose(first, last, rel_tol=0.01)
        else (f"{say.flow(first)} at first and {say.flow(last)} at last")
    )
    takes = "" if finding.value is None else f" takes {duration(finding.value)}"
    fact = (
        f"Filling {volume} at {name}{takes}, all else shut: {flows}."
        if takes
        else f"Filling {volume} at {name}: {flows}, all else shut."
    )
    return Told(fact=fact, cure=shut)


def _shut(finding: Finding, say: Speech) -> str:
    """Say how its valve must be shut; empty where nobody knows."""
    values = finding.values
    hammer, closing = values.get("hammer_pa"), values.get("closing_s")
    if hammer is None:
        return ""
    if closing is None:
        return f"Slammed, its valve adds {say.pressure(hammer)}: shut it slowly."
    if closing == 0:
        return f"Slammed, its valve adds {say.pressure(hammer)}, which the pipe bears."
    return (
        f"Slammed, its valve adds {say.pressure(hammer)}, more than the pipe bears: take "
        f"{shut_time(closing)} or more to shut it."
    )


def _tank_runs_over(finding: Finding, say: Speech) -> Told:
    tank = finding.texts.get("tank", "tank")
    return Told(
        fact=(
            f"While nothing is drawn, the higher tank on its line runs into the tank '{tank}' with "
            f"{say.flow(amount(finding))}, until that one runs over."
        ),
        cure=f"Put a float valve on the tank '{tank}', or a check valve on its pipe.",
    )


def _delivery_tapped(finding: Finding, say: Speech) -> Told:
    del say
    names = finding.texts.get("outlets", "").split(", ")
    verb = "hangs" if len(names) == 1 else "hang"
    return Told(
        fact=(
            f"{sentence_case(listed(names))} {verb} on the ram's delivery: shut, that is well only "
            "as long as the pipe stays open to the tank."
        ),
        cure="Put no valve between there and the tank.",
    )


WORDS: Mapping[str, Sayer] = {
    "surge-over-rating": _surge_over_rating,
    "outlet-fills": _outlet_fills,
    "tank-runs-over": _tank_runs_over,
    "delivery-tapped": _delivery_tapped,
}
"""What is said of each kind of finding."""
