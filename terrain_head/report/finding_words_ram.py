"""Words for the findings about the ram: its heights, its water, its efficiency."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.finding import Finding
from terrain_head.base.display import grouped
from terrain_head.report.speech import Speech
from terrain_head.report.told import Sayer, Told, amount, limit_of


def _fall_negative(finding: Finding, say: Speech) -> Told:
    rise = say.height(-amount(finding), std=finding.values.get("std_m"))
    return Told(
        fact=f"The ram comes out {rise} above the spring's water.",
        cure=(
            "See whether the two names are swapped, or the places marked where they stand. From "
            'a level book with a rod whose numbers grow upward, write rod = "direct" in the study.'
        )
        if _leveled(finding)
        else (
            "See whether the two names are swapped, and level from one to the other: the raster "
            "may be that far off."
        ),
    )


def _leveled(finding: Finding) -> bool:
    """Say whether the height came from a rod, as far as the finding tells."""
    origin = finding.texts.get("origin", "")
    return "raster" not in origin


def _lift_negative(finding: Finding, say: Speech) -> Told:
    drop = say.height(-amount(finding), std=finding.values.get("std_m"))
    return Told(
        fact=f"The tank's inlet comes out {drop} below the ram: nothing is to be lifted.",
        cure="See whether the two names are swapped, or lead the water there without a ram.",
    )


def _fall_too_small(finding: Finding, say: Speech) -> Told:
    return Told(
        fact=(
            f"A fall of {say.height(amount(finding))} is less than any ram is said to run on "
            f"({say.height(limit_of(finding))})."
        ),
        cure="Look for a lower place for the ram, or a higher one to take the water from.",
    )


def _fall_small(finding: Finding, say: Speech) -> Told:
    least = finding.values.get("ogden_least_m")
    beside = (
        "" if least is None else f" The table of drive pipes asks at least {say.height(least)}."
    )
    return Told(
        fact=(
            f"A fall of {say.height(amount(finding))} is small; "
            f"{say.height(limit_of(finding))} or more is what is usually worth a ram.{beside}"
        ),
        cure="A ram set lower down the slope lifts more.",
    )


_ORIGINS = {
    "raster": "The heights come from the raster, and it is that rough.",
    "stated": "The heights were stated with that much doubt.",
    "interpolated": "The heights were put in between two known ones.",
}


def _fall_doubtful(finding: Finding, say: Speech) -> Told:
    std = finding.values.get("std_m")
    fall = finding.values["fall_m"]
    origin = finding.texts.get("origin", "")
    why = next((words for word, words in _ORIGINS.items() if word in origin), "")
    return Told(
        fact=(
            f"The fall, about {say.height(fall, std=std)}, may be off by "
            f"{say.share(amount(finding))} of itself. {why}"
        ).strip(),
        cure=(
            "Level from the spring to the ram, with a rod or a clear hose full of water, before "
            "you buy anything."
        ),
    )


def _ram_stops(finding: Finding, say: Speech) -> Told:
    gets = (
        "The ram gets too little water to keep beating"
        if finding.value is None
        else f"One ram would get {say.flow(finding.value)}"
    )
    least = "" if finding.limit is None else f"; below {say.flow(finding.limit)} it stops beating"
    return Told(
        fact=f"{gets}{least}.",
        cure="Take a smaller ram, or fewer of them, or find more water.",
    )


def _ratio(finding: Finding) -> str:
    return grouped(amount(finding), 0 if amount(finding) >= 20 else 1)


def _lift_beyond_range(finding: Finding, say: Speech) -> Told:
    del say
    known = (
        "The efficiency you measured is used beyond it."
        if finding.severity == "care"
        else "No published figure says how much water would arrive."
    )
    return Told(
        fact=(
            f"The water must be pushed {_ratio(finding)} times as high as it falls; the published "
            f"output table ends at {grouped(limit_of(finding), 0)}. {known}"
        ),
        cure="More fall or less lift is needed: a lower ram, or a lower tank.",
    )


def _lift_ratio_high(finding: Finding, say: Speech) -> Told:
    del say
    nothing = finding.values.get("no_output_ratio")
    beside = (
        ""
        if nothing is None
        else f" Another source expects no water at all from {grouped(nothing, 0)} times upward."
    )
    return Told(
        fact=(
            f"The water is pushed {_ratio(finding)} times as high as it falls; about "
            f"{grouped(limit_of(finding), 0)} times is said to be the most.{beside}"
        ),
        cure="Count on little water, or seek more fall.",
    )


def _efficiency(finding: Finding, say: Speech) -> tuple[str, str]:
    low, high = finding.values.get("low"), finding.values.get("high")
    span = "" if low is None or high is None else f"{say.share(low)} to {say.share(high)}"
    return say.share(amount(finding)), span


def _efficiency_disagrees(finding: Finding, say: Speech) -> Told:
    middle, span = _efficiency(finding, say)
    spread = f"; they run from {span}" if span else ""
    return Told(
        fact=f"The published efficiencies for this lift disagree{spread}. {middle} was used.",
        cure="Measure it on a ram like yours, or count on the lower figure.",
    )


def _efficiency_from_table(finding: Finding, say: Speech) -> Told:
    middle, span = _efficiency(finding, say)
    spread = f" ({span} all fit it)" if span else ""
    return Told(
        fact=f"The ram's efficiency, {middle}, comes from a published table{spread}.",
        cure="Once the ram runs, measure what it lifts and spills, and write it in the study.",
    )


def _flow_season(finding: Finding, say: Speech) -> Told:
    flow = say.flow(amount(finding))
    if finding.texts.get("season") == "other":
        return Told(
            fact=f"The spring's {flow} was not measured in the dry season.",
            cure="Measure again when the spring is at its lowest: the ram must run on that.",
        )
    return Told(
        fact=f"It was not said when the spring's {flow} was measured.",
        cure="What counts is the dry season; measure then, and say so in the study.",
    )


def _ram_outruns_spring(finding: Finding, say: Speech) -> Told:
    return Told(
        fact=(
            f"The ram would take {say.flow(amount(finding))}, but only "
            f"{say.flow(limit_of(finding))} may be taken from the spring."
        ),
        cure="It was worked out with what there is. Choose a ram that runs well on that.",
    )


def _ram_not_needed(finding: Finding, say: Speech) -> Told:
    return Told(
        fact=(
            f"The tank is to be filled {say.height(amount(finding))} above the ram, and the spring "
            f"stands {say.height(limit_of(finding))} above it: water runs there by itself."
        ),
        cure="Lay a pipe from the spring to the tank and leave out the ram.",
    )


def _back_pressure(finding: Finding, say: Speech) -> Told:
    return Told(
        fact=(
            f"The lift puts only {say.pressure(amount(finding))} on the ram's outlet; "
            f"{say.pressure(limit_of(finding))} is said to be the least that keeps it beating."
        ),
        cure="A higher tank, or a delivery pipe led over higher ground, gives it that.",
    )


def _ram_drain(finding: Finding, say: Speech) -> Told:
    why = finding.texts.get("why", "spill")
    if why == "tail water":
        return Told(
            fact=(
                f"Water stands {say.small(amount(finding))} over the waste valve. The fall is "
                "counted from there, and a drowned valve beats badly."
            ),
            cure="Lead the spilled water away lower down, or raise the ram.",
        )
    if why == "below ground":
        return Told(
            fact="The waste valve lies below the ground around it: what it spills can't run off.",
            cure="Dig a drain from the ram's pit to lower ground, or raise the ram.",
        )
    spilled = finding.values.get("wasted_m3_s", finding.value)
    much = "The spilled water" if spilled is None else f"The ram spills {say.flow(spilled)}, which"
    return Told(
        fact=f"{much} must run away freely from the ram at all times.",
        cure="Dig it a drain that can't silt up.",
    )


def _water_passes_by(finding: Finding, say: Speech) -> Told:
    used = finding.values.get("used_m3_s")
    takes = "" if used is None else f"The rams take {say.flow(used)}; "
    return Told(
        fact=f"{takes}{say.flow(amount(finding))} more may be taken and passes by unused.",
        cure="A larger ram, or one more, would lift some of it.",
    )


AT_ITS_BEGINNING_M = 0.5
"""A spot nearer than this to the beginning of a pipe is called its beginning [m]."""


def along(finding: Finding, say: Speech) -> str:
    """Say a spot on the pipe just named: ', 83 m along'; empty where there is none."""
    station = finding.where.station_m
    if station is None:
        return ""
    return (
        f", {say.length(station)} along" if station >= AT_ITS_BEGINNING_M else ", at its beginning"
    )


def _summit_sets_lift(finding: Finding, say: Speech) -> Told:
    above = "" if finding.value is None else f" {say.height(finding.value)}"
    return Told(
        fact=(
            f"The delivery pipe goes over a summit{above} above the tank's inlet"
            f"{along(finding, say)}, and the ram must lift over it."
        ),
        cure="A route around the summit gives more water.",
    )


WORDS: Mapping[str, Sayer] = {
    "fall-negative": _fall_negative,
    "lift-negative": _lift_negative,
    "fall-too-small": _fall_too_small,
    "fall-small": _fall_small,
    "fall-doubtful": _fall_doubtful,
    "ram-stops": _ram_stops,
    "lift-beyond-range": _lift_beyond_range,
    "lift-ratio-high": _lift_ratio_high,
    "efficiency-disagrees": _efficiency_disagrees,
    "efficiency-from-table": _efficiency_from_table,
    "flow-season": _flow_season,
    "ram-outruns-spring": _ram_outruns_spring,
    "ram-not-needed": _ram_not_needed,
    "lift-below-back-pressure": _back_pressure,
    "ram-drain": _ram_drain,
    "water-passes-by": _water_passes_by,
    "summit-sets-lift": _summit_sets_lift,
}
"""What is said of each kind of finding."""
