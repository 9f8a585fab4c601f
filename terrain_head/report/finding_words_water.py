"""Words for the findings about pipes, pressures, tanks and outlets."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.finding import Finding
from terrain_head.report.finding_words_ram import AT_ITS_BEGINNING_M
from terrain_head.report.speech import Speech, pipe_words, sentence_case
from terrain_head.report.told import Sayer, Told, amount, limit_of


def pipe_of(finding: Finding) -> str:
    """Say the pipe of a finding: 'the delivery pipe'.

    Parameters
    ----------
    finding
        A finding about a pipe.
    """
    return pipe_words(finding.where.pipe or "")


def along(finding: Finding, say: Speech) -> str:
    """Say a spot on a pipe: '83 m along the delivery pipe'.

    Parameters
    ----------
    finding
        A finding about a pipe.
    say
        The reader's units.
    """
    if finding.where.station_m is None:
        return f"on {pipe_of(finding)}"
    if finding.where.station_m < AT_ITS_BEGINNING_M:
        return f"at the beginning of {pipe_of(finding)}"
    return f"{say.length(finding.where.station_m)} along {pipe_of(finding)}"


def _while_running(finding: Finding) -> str:
    group = finding.texts.get("group", "")
    return "all outlets running" if group in {"", "all"} else f"'{group}' running"


def _outlet(finding: Finding) -> str:
    return sentence_case(finding.where.outlet or "an outlet")


def _pressure_negative(finding: Finding, say: Speech) -> Told:
    under = say.height(-amount(finding), std=finding.values.get("std_m"))
    tank = finding.texts.get("tank")
    if tank is not None:
        which = "The tank" if tank == "tank" else f"The tank '{tank}'"
        return Told(
            fact=(
                f"{which} fills {under} above the water that should run there by itself: no water "
                "gets there."
            ),
            cure="Set it lower, take the water higher up, or lift it with a ram.",
        )
    return Told(
        fact=(
            f"{sentence_case(along(finding, say))} the hydraulic grade line falls {under} below "
            "the pipe: the pipe sucks there, takes in air or dirt, and the flow fails."
        ),
        cure=(
            "A lower route or a wider pipe keeps the line over the pipe; so does "
            f"{_throttled(finding, say)}water that stands higher where the pipe begins."
            f"{_siphon(finding, say)}"
        ),
    )


def _throttled(finding: Finding, say: Speech) -> str:
    """Say the flow at which the pipe does not suck: 'a valve at its end, set to 9 L/min, or '."""
    largest = finding.values.get("largest_m3_s", 0.0)
    return f"a valve at its lower end, set to {say.flow(largest)}, or " if largest > 0 else ""


def _siphon(finding: Finding, say: Speech) -> str:
    """Say what a siphon can do at the most, at this height or at the sea."""
    limit = finding.values.get("siphon_m")
    if limit is None:
        return ""
    most = say.length(limit)
    altitude = finding.values.get("altitude_m")
    if altitude is not None:
        reach = f"{say.length(altitude)} above the sea none reaches over {most}"
    else:
        less = "1 ft for 1,000 ft" if say.units.name == "us" else "1 m for 1 000 m"
        reach = f"at the sea none reaches over {most}, in the hills less ({less})"
    if -amount(finding) > limit:
        return f" It is too high for a siphon, too: {reach}."
    return f" Don't count on a siphon: air fills it in time, and {reach}."


def _clearance_small(finding: Finding, say: Speech) -> Told:
    std = finding.values.get("std_m")
    return Told(
        fact=(
            f"{sentence_case(along(finding, say))} the hydraulic grade line passes only "
            f"{say.height(amount(finding), std=std)} over the pipe; "
            f"{say.height(limit_of(finding))} is wanted."
        ),
        cure="Level that spot, and keep the pipe low there.",
    )


def _outlet_dry(finding: Finding, say: Speech) -> Told:
    del say
    return Told(
        fact=f"{_outlet(finding)} runs dry with {_while_running(finding)}: no pressure is left.",
        cure="A higher tank, a wider pipe or fewer outlets at once would feed it.",
    )


def _outlet_short(finding: Finding, say: Speech) -> Told:
    stand = finding.values.get("stand_needed_m")
    cure = (
        "No stand alone mends it: take a wider pipe, or open fewer outlets at once."
        if stand is None
        else f"A stand {say.stand(stand)} high would give it that by the middle figures, a little "
        "more would surely; so may a wider pipe."
    )
    source = finding.texts.get("fed_by")
    low = "" if source in {None, "source"} else " and the tank low"
    return Told(
        fact=(
            f"{_outlet(finding)} gets {say.pressure(amount(finding))} with "
            f"{_while_running(finding)}{low}; {say.pressure(limit_of(finding))} was asked."
        ),
        cure=cure,
    )


def _tank_short(finding: Finding, say: Speech) -> Told:
    missing = finding.values.get("missing_m3_s")
    some = missing is not None and amount(finding) > 0
    short = f", {say.per_day_number(missing)} too few" if some and missing is not None else ""
    arrive = say.per_day(amount(finding)) if amount(finding) > 0 else "No water"
    verb = "arrive" if amount(finding) > 0 else "arrives"
    return Told(
        fact=(f"{arrive} {verb} in the tank; {say.per_day(limit_of(finding))} are wanted{short}."),
        cure=(
            "More of the source's water brings more, and with a ram more fall or less lift."
            if amount(finding) > 0
            else "See first to what stops it."
        ),
    )


def _inlet_below_full(finding: Finding, say: Speech) -> Told:
    return Told(
        fact=(
            f"The filling pipe ends {say.height(amount(finding))} above the deck, under the full "
            f"level of {say.height(limit_of(finding))}: the water is lifted to that, and so it "
            "was counted."
        ),
        cure="Let it end over the full level, where it can't drain the tank back either.",
    )


_NEXT_TO_NOTHING_M = 1e-3


def _intake_shallow(finding: Finding, say: Speech) -> Told:
    if amount(finding) < _NEXT_TO_NOTHING_M:
        return Told(
            fact=f"No water stands over the intake of {pipe_of(finding)}: it takes in air.",
            cure="Set the intake deeper, or raise the water there.",
        )
    return Told(
        fact=(
            f"Only {say.small(amount(finding))} of water stand over the intake of "
            f"{pipe_of(finding)}; it takes {say.small(limit_of(finding))} to keep air out."
        ),
        cure="Set the intake deeper, or raise the water there.",
    )


def _source_outrun(finding: Finding, say: Speech) -> Told:
    group = finding.texts.get("group", "")
    which = "All outlets together" if group in {"", "all"} else f"The outlets of '{group}'"
    return Told(
        fact=(
            f"{which} draw {say.flow(amount(finding))} straight from the spring; only "
            f"{say.flow(limit_of(finding))} may be taken."
        ),
        cure="Open fewer at once, or store water in a tank between.",
    )


def _gravity_throttle(finding: Finding, say: Speech) -> Told:
    largest = finding.values.get("largest_m3_s")
    more = ""
    if largest is not None:
        dip, which = finding.values.get("dip_m", 0.0), pipe_words(finding.texts.get("dip", ""))
        more = (
            f" Over {say.flow(largest)} its hydraulic grade line would dip below the pipe "
            f"{say.length(dip)} along {which}."
        )
    return Told(
        fact=(
            f"Running full, {pipe_of(finding)} would carry {say.flow(amount(finding))}, but only "
            f"{say.flow(limit_of(finding))} come: it would run part full and gulp air.{more}"
        ),
        cure="Throttle it by a valve at its lower end.",
    )


def _gravity_limits(finding: Finding, say: Speech) -> Told:
    rest = (
        "that the seep gives: the rest spills there."
        if finding.texts.get("from") == "seep"
        else "that may be taken."
    )
    return Told(
        fact=(
            f"Running full, {pipe_of(finding)} carries {say.flow(amount(finding))}, less than the "
            f"{say.flow(limit_of(finding))} {rest}"
        ),
        cure="A wider pipe would bring more.",
    )


def _velocity_high(finding: Finding, say: Speech) -> Told:
    return Told(
        fact=(
            f"The water in {pipe_of(finding)} runs at {say.say(amount(finding), 'speed')}; over "
            f"{say.say(limit_of(finding), 'speed')} a valve shut quickly hits hard."
        ),
        cure="Take a wider pipe, or close its valves slowly.",
    )


def _delivery_velocity(finding: Finding, say: Speech) -> Told:
    return Told(
        fact=(
            f"The water in {pipe_of(finding)} runs at {say.say(amount(finding), 'speed')}; the "
            f"published bores stay under {say.say(limit_of(finding), 'speed')}."
        ),
        cure="A wider delivery pipe loses less lift.",
    )


def _delivery_can_shut(finding: Finding, say: Speech) -> Told:
    del say
    fittings = finding.texts.get("fittings", "")
    what = f"The {fittings}" if fittings else "A fitting"
    return Told(
        fact=(
            f"{what} on {pipe_of(finding)} can shut it. A ram that beats against a shut pipe "
            "raises the pressure until something bursts."
        ),
        cure="Leave it out, or stop the ram before it is ever closed.",
    )


WORDS: Mapping[str, Sayer] = {
    "pressure-negative": _pressure_negative,
    "clearance-small": _clearance_small,
    "outlet-dry": _outlet_dry,
    "outlet-short": _outlet_short,
    "tank-short": _tank_short,
    "inlet-below-full": _inlet_below_full,
    "intake-shallow": _intake_shallow,
    "source-outrun": _source_outrun,
    "gravity-throttle": _gravity_throttle,
    "gravity-limits": _gravity_limits,
    "velocity-high": _velocity_high,
    "delivery-velocity-high": _delivery_velocity,
    "delivery-can-shut": _delivery_can_shut,
}
"""What is said of each kind of finding."""
