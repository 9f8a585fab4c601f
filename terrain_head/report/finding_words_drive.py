"""Words for the findings about the drive pipe."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from terrain_head.assessment.finding import Finding
from terrain_head.base.units import from_si
from terrain_head.report.finding_words_ram import along
from terrain_head.report.speech import Speech
from terrain_head.report.told import Sayer, Told, amount, limit_of


def _drive_plastic(finding: Finding, say: Speech) -> Told:
    del say
    spec = finding.texts.get("spec", "")
    named = f" ({spec})" if spec else ""
    return Told(
        fact=(
            f"The drive pipe is not of metal{named}. It gives a little at each beat, which takes "
            "lift away, and each beat works at its joints."
        ),
        cure="Take steel, or count on less water than is said here.",
    )


def _nominal(bore_m: float, say: Speech) -> str:
    """Say a bore as the published list of drive pipes has it: whole millimetres, or inches."""
    if say.units.name == "us":
        eighths = Fraction(round(from_si(bore_m, "in") * 8), 8)
        whole, part = divmod(eighths, 1)
        parts = [str(int(whole))] if whole else []
        parts += [f"{part.numerator}/{part.denominator}"] if part else []
        return f"{'-'.join(parts)} in bore"
    return f"{from_si(bore_m, 'mm'):.0f} mm bore"


def _drive_length(finding: Finding, say: Speech) -> Told:
    length = say.length(amount(finding))
    holds, fails = finding.texts.get("holds", ""), finding.texts.get("fails", "")
    if finding.severity == "care":
        return Told(
            fact=f"The drive pipe, {length}, fits none of the published rules of length.",
            cure=(
                "Too long a pipe wants an open box or stand-pipe part of the way; too short a one "
                "wants the ram further off."
            ),
        )
    met = f" It meets: {holds}." if holds else ""
    unmet = f" It does not meet: {fails}." if fails else ""
    fact = f"The drive pipe is {length} long. Published rules differ.{met}{unmet}"
    usual = finding.values.get("usual_m")
    if usual is None:
        return Told(fact=fact, cure="")
    return Told(
        fact=fact,
        cure=f"In doubt follow the usual one, seven times the fall: {say.length(usual)} here.",
    )


def _drive_flow(finding: Finding, say: Speech) -> Told:
    low, high = finding.values.get("low_m3_s"), finding.values.get("high_m3_s")
    bore = finding.values.get("bore_m")
    of_bore = "" if bore is None else f" of {_nominal(bore, say)}"
    span = (
        f"{say.flow(low)} to {say.flow(high)}"
        if low is not None and high is not None
        else f"as far as {say.flow(limit_of(finding))}"
    )
    return Told(
        fact=(
            f"The drive pipe{of_bore} is to carry {say.flow(amount(finding))}; the published range "
            f"for it is {span}."
        ),
        cure="A drive pipe of another bore, or several rams each with its own, fits it better.",
    )


def _perhaps(finding: Finding) -> bool:
    return finding.texts.get("sure") == "perhaps"


def _drive_rises(finding: Finding, say: Speech) -> Told:
    rise = say.small(amount(finding))
    where = along(finding, say)
    if _perhaps(finding):
        return Told(
            fact=f"The drive pipe perhaps rises by {rise}{where}; the heights can't tell.",
            cure="Read the rod there before you lay it.",
        )
    return Told(
        fact=f"The drive pipe rises by {rise} on its way to the ram{where}: air stays in it.",
        cure="Lay it falling all the way.",
    )


def _drive_off_ground(finding: Finding, say: Speech) -> Told:
    above, below = finding.values.get("above_m"), finding.values.get("below_m")
    parts = []
    if above is not None and above > 0:
        parts.append(f"up to {say.height(above)} above it")
    if below is not None and below > 0:
        parts.append(f"up to {say.height(below)} below it")
    how = f" ({' and '.join(parts)})" if parts else ""
    return Told(
        fact=(
            f"Laid straight, the drive pipe lies {say.height(amount(finding))} off the "
            f"ground{how}{along(finding, say)}."
        ),
        cure="Stand it on firm supports, or cut a trench; or choose another spot for the ram.",
    )


def _hammer_below_lift(finding: Finding, say: Speech) -> Told:
    velocity, enough = say.say(amount(finding), "speed"), say.say(limit_of(finding), "speed")
    if finding.severity == "stop":
        return Told(
            fact=(
                f"The water in the drive pipe comes to {velocity} at the most; stopped at once it "
                f"would have to run {enough} to open the delivery valve against the lift."
            ),
            cure="A narrower drive pipe, more drive flow or a stiffer pipe gives a harder blow.",
        )
    return Told(
        fact=(
            f"The waste valve likely shuts at {velocity}. The blow then hardly reaches the "
            f"delivery head; {enough} would be enough."
        ),
        cure="A narrower or stiffer drive pipe, or more drive flow, strikes harder.",
    )


def _drive_pipe_hammer(finding: Finding, say: Speech) -> Told:
    stiff = finding.texts.get("wave") == "free water"
    taken = " (its wall is not known; it is taken as stiff)" if stiff else ""
    times = amount(finding) / limit_of(finding)
    much = f", {times:.1f} times its rating" if finding.severity == "stop" else ""
    return Told(
        fact=(
            "Should the delivery valve stick, each beat would strike the drive pipe with as much "
            f"as {say.pressure(amount(finding))}{taken}{much}; it is rated "
            f"{say.pressure(limit_of(finding))}."
        ),
        cure=(
            "Take a drive pipe with a higher rating, and look after the valve; keep clear of the "
            "pipe while you start the ram."
        ),
    )


def _delivery_dead_ended(finding: Finding, say: Speech) -> Told:
    fittings = finding.texts.get("fittings", "")
    shut = f"by its {fittings}, " if fittings else "by ice or a crushed pipe, say, "
    return Told(
        fact=(
            f"Were the delivery pipe shut {shut}the ram would pump it up to as much as "
            f"{say.pressure(amount(finding))}; it is rated {say.pressure(limit_of(finding))}."
        ),
        cure="Stop the ram before anything is shut, or fit a relief valve at the ram.",
    )


def _beats_do_not_fit(finding: Finding, say: Speech) -> Told:
    counted = _beats(finding.values.get("beats_hz", 1 / amount(finding)))
    quickest = _beats(finding.values.get("quickest_hz", 1 / limit_of(finding)))
    flow = finding.values.get("flow_m3_s")
    of_flow = "" if flow is None else f" and with {say.flow(flow)}"
    return Told(
        fact=(
            f"{counted} beats a minute do not fit: in this drive pipe, under this fall"
            f"{of_flow} a ram makes {quickest} at the most."
        ),
        cure="Count again, and measure the flow into the ram; the beats are left aside meanwhile.",
    )


def _beats(hz: float) -> str:
    return f"{from_si(hz, '/min'):.0f}"


WORDS: Mapping[str, Sayer] = {
    "hammer-below-lift": _hammer_below_lift,
    "drive-pipe-hammer": _drive_pipe_hammer,
    "delivery-dead-ended": _delivery_dead_ended,
    "beats-do-not-fit": _beats_do_not_fit,
    "drive-plastic": _drive_plastic,
    "drive-length": _drive_length,
    "drive-flow": _drive_flow,
    "drive-rises": _drive_rises,
    "drive-off-ground": _drive_off_ground,
}
"""What is said of each kind of finding."""
