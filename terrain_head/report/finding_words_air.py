"""Words for the findings about high and low points of pipes."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.finding import Finding
from terrain_head.report.finding_words_water import along
from terrain_head.report.speech import Speech
from terrain_head.report.told import Sayer, Told, amount

_BELONGS: Mapping[str, str] = {
    "air valve": "Set an air valve there, or lay it deeper.",
    "tap or air valve": "Put a tap (open while it fills) or an air valve there, or lay it deeper.",
    "open vent": "Lead a vent there up over the still water, or lay it deeper.",
    "lower pipe": "Lay the pipe deeper: it sucks there, so a valve would let more air in.",
}


def _air_high_point(finding: Finding, say: Speech) -> Told:
    spot = along(finding, say)
    height = say.height(amount(finding), std=finding.values.get("std_m"))
    more = _more(finding)
    if finding.texts.get("sure") == "perhaps":
        return Told(
            fact=f"Air may gather {spot}, at a hump of perhaps {height}{more}.",
            cure="Level that spot; if it is a hump, vent it.",
        )
    clearance = finding.values.get("clearance_m")
    close = ""
    if clearance is not None:
        close = f" With only {say.height(clearance)} of head there it may stop the flow."
    # The ram's snifter lets a little air in at every beat.
    air = "Air" if finding.texts.get("belongs") != "air valve" else "Air from the snifter"
    return Told(
        fact=f"{air} will gather {spot}, at a hump of {height}{more}.{close}",
        cure=_BELONGS.get(finding.texts.get("belongs", ""), "Vent it there, or lay it deeper."),
    )


def _water_low_point(finding: Finding, say: Speech) -> Told:
    spot = along(finding, say)
    depth = say.height(amount(finding), std=finding.values.get("std_m"))
    may = "may stay" if finding.texts.get("sure") == "perhaps" else "stays"
    return Told(
        fact=f"Water {may} in a dip of {depth}, {spot}{_more(finding)}, when the pipe is drained.",
        cure="Where it freezes or silts up, put a drain there, best two valves in a row.",
    )


def _more(finding: Finding) -> str:
    count = round(finding.values.get("count", 1))
    if count <= 1:
        return ""
    return f" (the greatest of {count} on this pipe)"


WORDS: Mapping[str, Sayer] = {
    "air-high-point": _air_high_point,
    "water-low-point": _water_low_point,
}
"""What is said of each kind of finding."""
