"""Words for the findings about what can hurt someone, and for the standing cautions."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.finding import Finding
from terrain_head.report.speech import Speech, pipe_words
from terrain_head.report.told import Sayer, Told, amount, limit_of
from terrain_head.scheme.parts import Parts

STAND = (
    "A tank stand carries tons over people's heads. Have it and its footing designed and checked "
    "as local codes ask, by someone licensed to do so."
)
RAM_PARTS = (
    "A ram's drive pipe and body take a blow at each beat, far above the still pressure. Use "
    "parts meant for it, anchor them, keep hands out of the waste valve, and stop the ram before "
    "working on it or closing the delivery."
)
CAUTIONS: tuple[str, ...] = (
    STAND,
    "The sides of a trench fall in without warning. Before digging ask where cables and pipes lie; "
    "shore or slope a deep trench as local rules ask, and never work in it alone.",
    "A pipe under pressure can burst or whip. Test it filled with water, never with air, stand "
    "clear, and let the pressure off before opening a joint.",
    RAM_PARTS,
    "Spring and surface water can carry disease even when clear. Have it tested and treated as "
    "your health authority asks before anyone drinks it, and keep it apart from a public main.",
    "Taking water, damming it or crossing other land may need leave. Ask first.",
    "These figures are a plan, not a design. Local codes and licensed practice come before them.",
)
"""Printed with every report, those on a stand and on a ram where the study has one."""


def cautions_of(parts: Parts) -> tuple[str, ...]:
    """Return the standing cautions that concern a scheme.

    Parameters
    ----------
    parts
        What is built.
    """
    absent = (STAND,) * (not parts.tanks) + (RAM_PARTS,) * (parts.ram is None)
    return tuple(caution for caution in CAUTIONS if caution not in absent)


def _tank_weight(finding: Finding, say: Speech) -> Told:
    stand = finding.values.get("stand_m")
    height = "" if stand is None else f" on a stand {say.stand(stand)} high"
    count = round(finding.values.get("count", 1))
    name = finding.texts.get("tank", "tank")
    named = "" if name == "tank" else f" '{name}'"
    what = f"the tank{named} holds" if count == 1 else f"the {count} tanks{named} hold"
    return Told(
        fact=f"Full, {what} {say.mass(amount(finding))} of water{height}.",
        cure="Have the stand and its footing checked as local codes ask.",
    )


def _trench_deep(finding: Finding, say: Speech) -> Told:
    return Told(
        fact=(
            f"The trench for {pipe_words(finding.where.pipe or '')} is "
            f"{say.height(amount(finding))} deep; from {say.height(limit_of(finding))} on its "
            "sides must be held or sloped."
        ),
        cure="Follow the local rules for trenches, and don't work in it alone.",
    )


def _trench(finding: Finding, say: Speech) -> Told:
    deepest = finding.value
    depth = "" if deepest is None else f", {say.height(deepest)} at the deepest"
    return Told(
        fact=f"Pipes are to be dug in{depth}.",
        cure="Before you dig, ask where cables and other pipes lie.",
    )


def _drinking_water(finding: Finding, say: Speech) -> Told:
    del finding, say
    return Told(
        fact="Spring water is not safe to drink because it is clear.",
        cure="Have it tested, and do what your health authority says, before anyone drinks it.",
    )


def _water_right(finding: Finding, say: Speech) -> Told:
    flow = finding.values.get("flow_m3_s")
    much = "" if flow is None else f" of the spring's {say.flow(flow)}"
    return Told(
        fact=f"{say.share(amount(finding))}{much} is taken; taking water may need leave.",
        cure="Ask who decides about it where you live, and leave some for what lives below.",
    )


WORDS: Mapping[str, Sayer] = {
    "tank-weight": _tank_weight,
    "trench-deep": _trench_deep,
    "trench": _trench,
    "drinking-water": _drinking_water,
    "water-right": _water_right,
}
"""What is said of each kind of finding."""
