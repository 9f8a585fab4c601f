"""The four-number answer on one screen."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.base.units import UnitSystem
from terrain_head.report.speech import Speech, listed, plain_ascii, wrapped
from terrain_head.report.words import value_text
from terrain_head.scheme.estimate import Estimate, Reason
from terrain_head.scheme.rough_ram import HEIGHT_DOUBT_M

_ROW = 17
_BLOCK = 14

REASON_WORDS: Mapping[Reason, str] = {
    "fall-negative": "The ram would stand above its water: a ram must stand below it.",
    "lift-negative": "The delivery would end below the ram: water runs there by itself.",
    "fall-too-small": "The fall is less than any ram is said to run on.",
    "ram-not-needed": (
        "The delivery would end no higher than the spring: water runs there by itself, in a pipe "
        "without a ram."
    ),
    "beyond-table": "The lift is so many times the fall that no published table reaches it.",
    "fall-under-table": "The published output table begins at a greater fall: no figure is known.",
    "ratio-high": "The water must be pushed further than rams are said to push it well.",
    "maybe-nothing": "One published table expects next to nothing at this lift.",
}
"""Why it is not worth surveying, or only perhaps."""


def estimate_screen(estimate: Estimate, *, units: UnitSystem) -> str:
    """Return the screen of the four-number answer, at most 79 columns.

    Parameters
    ----------
    estimate
        The rough answer.
    units
        How it is shown.
    """
    say = Speech(units=units)
    lines = [*wrapped(_sentence(estimate, say)), ""]
    lines += _row("Why", " ".join(REASON_WORDS[reason] for reason in estimate.reasons))
    lines += _row("What to do", _to_do(estimate, say))
    lines += ["", *_block("You said", _given(estimate, say))]
    lines += _block("The ram", _ram(estimate, say))
    lines += _block("Drive pipe", _drive(estimate, say))
    lines += _block("Taken", _taken(estimate, units))
    lines += _block("From", _sources(estimate))
    return "\n".join(plain_ascii(line.rstrip()) for line in lines) + "\n"


def _row(label: str, text: str) -> list[str]:
    return wrapped(text, label=f"  {label}", indent=_ROW) if text else []


def _block(label: str, text: str) -> list[str]:
    return wrapped(text, label=label, indent=_BLOCK) if text else []


def _sentence(estimate: Estimate, say: Speech) -> str:
    water = estimate.delivered_m3_s
    if estimate.worth == "no":
        return "Not worth surveying as it stands."
    if water is None:
        return "Perhaps worth surveying; how much water would arrive no published figure tells."
    about = f"about {say.per_day(water.middle)} would arrive"
    span = ""
    if water.low < water.high:
        low, high = say.per_day_number(water.low), say.per_day_number(water.high)
        span = f" (published efficiencies give {low} to {high})"
    if estimate.worth == "yes":
        return f"Worth surveying: {about}{span}."
    return f"Perhaps worth surveying: {about}{span}."


def _to_do(estimate: Estimate, say: Speech) -> str:
    if "fall-negative" in estimate.reasons:
        return "Look for a spot for the ram lower down, or check which of the two is higher."
    if {"lift-negative", "ram-not-needed"} & set(estimate.reasons):
        return "Lay a pipe straight from the spring, without a ram."
    if {"fall-too-small", "beyond-table"} & set(estimate.reasons):
        return "Look for more fall (a lower spot for the ram) or less lift, and ask again."
    first = "fall" if estimate.level_first == "fall" else "lift"
    where = {
        "fall": "from the spring's water down to the ram",
        "lift": "from the ram up to the tank",
    }[first]
    text = f"Level the {first} first, {where}, with a rod or a clear hose full of water."
    fall, lift = estimate.fall_effect, estimate.lift_effect
    if fall is None or lift is None:
        return text
    doubt = say.say(HEIGHT_DOUBT_M, "water_column")
    return (
        f"{text} An error of {doubt} in the fall changes the water by {_share(fall, say)}, in the "
        f"lift by {_share(lift, say)}."
    )


def _share(part: float, say: Speech) -> str:
    if part >= 0.995:
        return "all of it"
    return "less than 1 %" if part < 0.005 else say.share(part)


def _given(estimate: Estimate, say: Speech) -> str:
    return (
        f"fall {say.height(estimate.fall_m)}, lift {say.height(estimate.lift_m)}, "
        f"{say.flow(estimate.flow_m3_s)}, delivery pipe {say.length(estimate.length_m)}"
    )


def _ram(estimate: Estimate, say: Speech) -> str:
    water, efficiency = estimate.delivered_m3_s, estimate.efficiency
    if water is None or efficiency is None:
        return ""
    lifts = say.flow_number(water.middle, digits=2)
    spills = say.flow_number(estimate.flow_m3_s - water.middle)
    text = (
        f"takes {say.flow(estimate.flow_m3_s)}, lifts {lifts}, spills {spills}, efficiency "
        f"{say.share(efficiency.middle)}"
    )
    if efficiency.low < efficiency.high:
        text += f" ({say.share(efficiency.low)} to {say.share(efficiency.high)})"
    return text


def _drive(estimate: Estimate, say: Speech) -> str:
    usual = estimate.usual_drive_length_m
    if usual is None or estimate.worth == "no":
        return ""
    shortest = min(rule.low_m for rule in estimate.drive_lengths)
    longest = max(rule.high_m for rule in estimate.drive_lengths)
    text = (
        f"about {say.length(usual.low_m)}, 7 times the fall, is usual; the published rules allow "
        f"{say.length(shortest)} to {say.length(longest)}, not all of them the same"
    )
    size = estimate.drive_size
    if size is not None:
        text += f"; {say.bore(size.drive_m)} bore is listed for this flow"
    return text + "."


def _taken(estimate: Estimate, units: UnitSystem) -> str:
    words = []
    for one in estimate.taken:
        if one.value_si is None:
            words.append(f"{one.word} ram" if one.key == "built" else one.word)
        else:
            value = value_text(one.value_si, one.unit, units=units, key=one.key)
            name = "water" if one.key == "water.temperature" else one.key
            words.append(f"{name} {value}")
    return listed(words)


def _sources(estimate: Estimate) -> str:
    if estimate.worth == "no":
        cited = list(estimate.reason_citations.values())
    else:
        cited = [*estimate.efficiency_citations, *estimate.reason_citations.values()]
    seen = dict.fromkeys(str(one) for one in cited)
    return "; ".join(seen)
