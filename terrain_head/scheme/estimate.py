"""The first rough answer from four numbers: whether to survey, and which height to level first."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from terrain_head.base.citation import OURS, Citation
from terrain_head.formulas.drive_pipe import (
    DRIVE_RULES,
    GREATEST_LIFT,
    GREATEST_LIFT_PER_FALL,
    LEAST_FALL,
    LEAST_FALL_M,
    USUAL_LENGTH,
    USUAL_LENGTH_PER_FALL,
    DriveSize,
    drive_size_for,
)
from terrain_head.formulas.ram_tables import (
    EFFICIENCY_BY_RATIO,
    EFFICIENCY_CITATIONS,
    GREATEST_RATIO,
    OUTPUT_TABLE,
)
from terrain_head.formulas.ram_tables import LEAST_FALL_M as LEAST_TABLE_FALL_M
from terrain_head.scheme.parts import WATER_TEMPERATURE_C, Taken
from terrain_head.scheme.pipe_table import MATERIALS
from terrain_head.scheme.pumping import Built
from terrain_head.scheme.rough_ram import (
    Lifted,
    RoughRam,
    Spread,
    effects_of_heights,
    water_lifted,
    with_bore,
)

Worth = Literal["yes", "perhaps", "no"]
Reason = Literal[
    "fall-negative",
    "lift-negative",
    "fall-too-small",
    "ram-not-needed",
    "beyond-table",
    "fall-under-table",
    "ratio-high",
    "maybe-nothing",
]

_BUILT_TAKEN = OURS.at("a bought ram, unless it is said to be home-built")
_COOL = OURS.at("cool spring water")
_PLASTIC = MATERIALS["PE"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DriveLength:
    """What one published rule says of the drive pipe's length: from `low_m` to `high_m` [m]."""

    rule: str
    low_m: float
    high_m: float
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """The four-number answer.

    Parameters
    ----------
    fall_m, lift_m, flow_m3_s, length_m
        As given: fall on the drive pipe, lift above the ram, drive flow, length of the delivery
        pipe [m], [m], [m3/s], [m].
    inside_m
        Inside diameter of the delivery pipe, given or taken; None where nothing is lifted [m].
    built
        Which published efficiencies were used; None where the efficiency was given.
    efficiency
        Of the ram; None beyond the published range [1].
    efficiency_citations
        Where it comes from; empty where it was given.
    delivered_m3_s, delivery_loss_m, head_ratio
        Water that arrives, friction of the delivery pipe, (lift + friction)/fall; None where no
        published figure tells [m3/s], [m], [1].
    drive_lengths, usual_drive_length_m
        The published rules of length, and the usual length among them [m].
    drive_size
        The row of the published bores whose ram takes this flow, None beyond the list.
    worth
        Whether it is worth surveying.
    reasons
        Why it is not, or only perhaps.
    reason_citations
        Where the limit of each reason is published.
    fall_effect, lift_effect
        Share of the water gained or lost, whichever is more, if the fall or the lift is off by
        `HEIGHT_DOUBT_M`; None where no water is told [1].
    level_first
        Which height to level first.
    taken
        Values taken for want of the person's own.
    """

    fall_m: float
    lift_m: float
    flow_m3_s: float
    length_m: float
    inside_m: float | None
    built: Built | None
    efficiency: Spread | None
    efficiency_citations: tuple[Citation, ...]
    delivered_m3_s: Spread | None
    delivery_loss_m: float | None
    head_ratio: float | None
    drive_lengths: tuple[DriveLength, ...]
    usual_drive_length_m: DriveLength | None
    drive_size: DriveSize | None
    worth: Worth
    reasons: tuple[Reason, ...]
    reason_citations: Mapping[Reason, Citation]
    fall_effect: float | None
    lift_effect: float | None
    level_first: Literal["fall", "lift"]
    taken: tuple[Taken, ...]


def estimate(
    *,
    fall_m: float,
    lift_m: float,
    flow_m3_s: float,
    length_m: float,
    inside_m: float | None = None,
    built: Built | None = None,
    efficiency: float | None = None,
) -> Estimate:
    """Return the first rough answer from four numbers.

    Parameters
    ----------
    fall_m, lift_m
        Spring above ram, and delivery above ram [m].
    flow_m3_s
        Flow that the ram may take [m3/s].
    length_m
        Length of the delivery pipe [m].
    inside_m
        Inside diameter of the delivery pipe; None takes the least published for the flow [m].
    built
        ``bought`` or ``home``; None takes a bought ram.
    efficiency
        Measured efficiency; None takes the published tables [1].

    Raises
    ------
    ValueError
        If flow or length is not positive, a height is not finite, or the efficiency is not
        between 0 and 1.

    Notes
    -----
    The ram's efficiency and the friction of the delivery pipe are solved together:
    q (lift + friction(q)) = efficiency x Q x fall.

    Examples
    --------
    >>> rough = estimate(fall_m=3.0, lift_m=24.0, flow_m3_s=1e-3, length_m=200.0)
    >>> rough.worth, rough.level_first
    ('yes', 'fall')
    """
    _check(fall_m=fall_m, lift_m=lift_m, flow_m3_s=flow_m3_s, length_m=length_m)
    if efficiency is not None and not 0 < efficiency < 1:
        raise ValueError(f"an efficiency lies between 0 and 1: {efficiency}")
    given, taken = _given(
        RoughRam(
            flow_m3_s=flow_m3_s,
            length_m=length_m,
            inside_m=math.nan if inside_m is None else inside_m,
            roughness_m=_PLASTIC.roughness_m,
            built=built or "bought",
            efficiency=efficiency,
        ),
        fall_m=fall_m,
        lift_m=lift_m,
    )
    if efficiency is None and built is None:
        taken = (Taken(key="built", word="bought", citation=_BUILT_TAKEN), *taken)
    lifts = _lifts(fall_m=fall_m, lift_m=lift_m)
    water = water_lifted(given, fall_m=fall_m, lift_m=lift_m) if lifts else None
    reasons, citations = _reasons(fall_m=fall_m, lift_m=lift_m, water=water, given=given)
    fall_effect, lift_effect = effects_of_heights(given, fall_m=fall_m, lift_m=lift_m, water=water)
    rules = _drive_lengths(fall_m)
    return Estimate(
        fall_m=fall_m,
        lift_m=lift_m,
        flow_m3_s=flow_m3_s,
        length_m=length_m,
        inside_m=given.inside_m if math.isfinite(given.inside_m) else None,
        built=None if efficiency is not None else given.built,
        efficiency=None if water is None else water.efficiency,
        efficiency_citations=() if efficiency is not None else EFFICIENCY_CITATIONS[given.built],
        delivered_m3_s=None if water is None else water.delivered_m3_s,
        delivery_loss_m=None if water is None else water.loss_m,
        head_ratio=None if water is None else water.ratio,
        drive_lengths=rules,
        usual_drive_length_m=None if fall_m <= 0 else _usual(fall_m),
        drive_size=drive_size_for(flow_m3_s),
        worth=_worth(reasons),
        reasons=reasons,
        reason_citations=citations,
        fall_effect=fall_effect,
        lift_effect=lift_effect,
        level_first="fall" if fall_effect is None or fall_effect >= (lift_effect or 0) else "lift",
        taken=taken,
    )


def _lifts(*, fall_m: float, lift_m: float) -> bool:
    return fall_m > 0 and lift_m > fall_m


def _given(ram: RoughRam, *, fall_m: float, lift_m: float) -> tuple[RoughRam, tuple[Taken, ...]]:
    """Return the ram with a bore where none is known, and what is taken if it lifts water."""
    if not _lifts(fall_m=fall_m, lift_m=lift_m):
        return ram, ()
    taken = (
        Taken(
            key="roughness",
            value_si=_PLASTIC.roughness_m,
            unit="m",
            citation=_PLASTIC.roughness_citation,
        ),
        Taken(key="water.temperature", value_si=WATER_TEMPERATURE_C, unit="C", citation=_COOL),
    )
    if math.isfinite(ram.inside_m):
        return ram, taken
    bored, size_taken = with_bore(ram, fall_m=fall_m, lift_m=lift_m)
    return bored, (size_taken, *taken)


def _check(*, fall_m: float, lift_m: float, flow_m3_s: float, length_m: float) -> None:
    if not (math.isfinite(fall_m) and math.isfinite(lift_m)):
        raise ValueError("fall and lift are finite")
    if not (flow_m3_s > 0 and length_m > 0):
        raise ValueError("flow and length are more than 0")


def _drive_lengths(fall_m: float) -> tuple[DriveLength, ...]:
    found = []
    for rule in DRIVE_RULES:
        low, high = rule.low, rule.high
        if low is None or high is None or fall_m <= 0:
            continue
        scale = {"length/fall": fall_m, "length": 1.0}.get(rule.about)
        if scale is not None:
            found.append(
                DriveLength(
                    rule=rule.key, low_m=low * scale, high_m=high * scale, citation=rule.citation
                )
            )
    return tuple(found)


def _usual(fall_m: float) -> DriveLength:
    usual = USUAL_LENGTH_PER_FALL * fall_m
    return DriveLength(rule="usual", low_m=usual, high_m=usual, citation=USUAL_LENGTH)


def _reasons(
    *, fall_m: float, lift_m: float, water: Lifted | None, given: RoughRam
) -> tuple[tuple[Reason, ...], Mapping[Reason, Citation]]:
    plain = OURS.at("a ram stands below its water and lifts above it")
    if fall_m <= 0:
        return ("fall-negative",), {"fall-negative": plain}
    if lift_m <= 0:
        return ("lift-negative",), {"lift-negative": plain}
    found: dict[Reason, Citation] = {}
    if lift_m <= fall_m:
        found["ram-not-needed"] = plain
    if fall_m < LEAST_FALL_M:
        found["fall-too-small"] = LEAST_FALL
    elif fall_m < LEAST_TABLE_FALL_M and given.efficiency is None:
        found["fall-under-table"] = OUTPUT_TABLE
    ratio = lift_m / fall_m if water is None else water.ratio
    if ratio > GREATEST_RATIO:
        found["beyond-table"] = OUTPUT_TABLE
    elif ratio > GREATEST_LIFT_PER_FALL:
        found["ratio-high"] = GREATEST_LIFT
    if water is not None and water.delivered_m3_s.low <= 0:
        found["maybe-nothing"] = EFFICIENCY_BY_RATIO
    return tuple(found), found


def _worth(reasons: tuple[Reason, ...]) -> Worth:
    never = {"fall-negative", "lift-negative", "fall-too-small", "ram-not-needed", "beyond-table"}
    if never & set(reasons):
        return "no"
    return "perhaps" if reasons else "yes"
