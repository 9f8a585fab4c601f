"""Words for the findings about what pipes bear."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.finding import Finding
from terrain_head.report.finding_words_water import along, pipe_of
from terrain_head.report.speech import Speech, listed, pipe_words, sentence_case
from terrain_head.report.told import Sayer, Told, amount, limit_of


def _load(finding: Finding, say: Speech) -> str:
    """Say what presses: 'Each beat of the ram puts 3 bar or more'."""
    if finding.texts.get("case") == "beat":
        return f"Each beat of the ram puts {say.pressure(amount(finding))} or more"
    return (
        f"{sentence_case(along(finding, say))} still water presses with "
        f"{say.pressure(amount(finding))}"
    )


def _over_rating(finding: Finding, say: Speech) -> Told:
    beat = finding.texts.get("case") == "beat"
    on = f" on {pipe_of(finding)}" if beat else ""
    rated = f"the pipe is rated for {say.pressure(limit_of(finding))}"
    cool, warm = finding.values.get("cool_rating_pa"), finding.values.get("temperature_c")
    if cool is not None and warm is not None:
        rated = (
            f"the pipe, rated for {say.pressure(cool)} in cool water, bears "
            f"{say.pressure(limit_of(finding))} at {say.temperature(warm)}"
        )
    return Told(
        fact=f"{_load(finding, say)}{on}; {rated} and may burst.",
        cure="Take a stronger pipe." if beat else _broken(finding, say),
    )


def _broken(finding: Finding, say: Speech) -> str:
    """Say where open tanks break the pressure, and what they cost."""
    values = finding.values
    over, tanks = values.get("over_from_m"), round(values.get("tanks", 0.0))
    if finding.texts.get("case") == "delivery":
        return "Take a stronger pipe there; higher up a lighter one may do."
    if over is None:
        return "Take a stronger pipe there, or break the pressure in an open tank on the way."
    stronger = f"Take a stronger pipe from {say.length(over)} on"
    if tanks == 0:
        return f"{stronger}; no open tank on the way would leave the water enough head."
    spots: dict[str, list[str]] = {}
    for n in range(1, tanks + 1):
        name = finding.texts[f"tank_{n}"]
        spots.setdefault(name, []).append(say.length(values[f"tank_{n}_m"]))
    along_pipes = listed([f"{listed(at)} along {pipe_words(name)}" for name, at in spots.items()])
    what = "an open tank" if tanks == 1 else f"{tanks} open tanks,"
    cost = values.get("costs_pa")
    takes = "" if cost is None else f"; it costs {say.pressure(cost)} of what runs beyond"
    return f"{stronger}, or break the pressure in {what} {along_pipes}{takes}."


def _near_rating(finding: Finding, say: Speech) -> Told:
    beat = finding.texts.get("case") == "beat"
    rating = finding.values.get("rating_pa")
    warm = finding.values.get("temperature_c")
    of_rating = "" if rating is None else f" of its {say.pressure(rating)}"
    if rating is not None and warm is not None:
        of_rating = f" of the {say.pressure(rating)} the pipe bears at {say.temperature(warm)}"
    on = f" on {pipe_of(finding)}" if beat else ""
    return Told(
        fact=(
            f"{_load(finding, say)}{of_rating}{on}; over {say.pressure(limit_of(finding))} little "
            "is left for water hammer."
        ),
        cure=(
            "Take a stronger pipe."
            if beat
            else "Take the next stronger pipe for that stretch, and close valves slowly."
        ),
    )


def _in_sun(finding: Finding, say: Speech) -> Told:
    left = finding.limit
    pressure = say.pressure(amount(finding))
    warm = say.temperature(finding.values.get("temperature_c", 0.0))
    lies = f"{sentence_case(pipe_of(finding))} is plastic and lies bare in the sun"
    if left is None:
        fact = f"{lies}: nothing is published here of what it bears at {warm}; it has {pressure}."
    elif finding.severity == "fine":
        fact = f"{lies}: at {warm} it bears {say.pressure(left)}, little more than its {pressure}."
    else:
        fact = f"{lies}: at {warm} it bears {say.pressure(left)}, less than its {pressure}."
    return Told(fact=fact, cure="Cover it with earth, shade it, or take the next stronger pipe.")


def _too_warm(finding: Finding, say: Speech) -> Told:
    values = finding.values
    warmest = "" if finding.limit is None else f" over {say.temperature(finding.limit)}"
    cool = values.get("cool_rating_pa")
    rated = "" if cool is None else f"; its {say.pressure(cool)} hold for cool water"
    pressure = values.get("pressure_pa")
    water = say.temperature(amount(finding))
    must = "" if pressure is None else f" It must bear {say.pressure(pressure)}."
    return Told(
        fact=(
            f"{sentence_case(pipe_of(finding))} carries water of {water}; "
            f"nothing is published here of what it bears{warmest}{rated}.{must}"
        ),
        cure="Ask its maker what it bears so warm, or let the water cool first.",
    )


def _rating_unknown(finding: Finding, say: Speech) -> Told:
    pipes = finding.texts.get("pipes", "")
    which = f" ({pipes})" if pipes else ""
    return Told(
        fact=(
            f"Nobody said what pressure the pipes may carry{which}; still water presses with up "
            f"to {say.pressure(amount(finding))}."
        ),
        cure="Read the rating in the print on the pipe, and write it in the study.",
    )


WORDS: Mapping[str, Sayer] = {
    "pressure-over-rating": _over_rating,
    "pressure-near-rating": _near_rating,
    "pipe-in-sun": _in_sun,
    "water-too-warm": _too_warm,
    "rating-unknown": _rating_unknown,
}
"""What is said of each kind of finding."""
