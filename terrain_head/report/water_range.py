"""How much the water that arrives may be: likely, or what heights and published tables allow."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle_of


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterRange:
    """The least and the most that may arrive [m3/s].

    Parameters
    ----------
    low, high
        Ends of the range [m3/s].
    because
        ``likely``: doubt was computed, nine in ten; ``heights``: what the doubt of the fall
        allows; ``tables``: what the published efficiencies allow.
    """

    low: float
    high: float
    because: Literal["likely", "heights", "tables"]

    def straddles(self, wanted_m3_s: float) -> bool:
        """Return whether a need lies inside the range, so that nobody can say it is met."""
        return self.low <= wanted_m3_s <= self.high


def water_range(answer: Answer, inflow_m3_s: float) -> WaterRange | None:
    """Return the range of the water that arrives in a tank, None where none is known.

    Parameters
    ----------
    answer
        One choice of one study.
    inflow_m3_s
        What arrives by the middle figures [m3/s].

    Notes
    -----
    Water goes as fall and as efficiency, friction apart, which is small beside the lift; so the
    ends are the middle figure times the shares of the ends.
    """
    half = likely_half(answer, "delivered")
    if half is not None:
        return WaterRange(
            low=max(inflow_m3_s - half, 0.0), high=inflow_m3_s + half, because="likely"
        )
    ram = answer.solution.ram
    if ram is None:
        return None
    doubtful = any(one.kind == "fall-doubtful" for one in answer.findings)
    fall, half = middle_of(ram.fall_m), likely_half(answer, "fall")
    if doubtful and fall and half is not None:
        share = half / fall
        return WaterRange(
            low=inflow_m3_s * max(1 - share, 0.0), high=inflow_m3_s * (1 + share), because="heights"
        )
    used = middle_of(ram.efficiency)
    low, high = middle_of(ram.efficiency_low), middle_of(ram.efficiency_high)
    if ram.efficiency_origin != "table" or not used or low is None or high is None:
        return None
    return WaterRange(
        low=inflow_m3_s * low / used, high=inflow_m3_s * high / used, because="tables"
    )


def enough(
    answer: Answer, inflow_m3_s: float, *, wanted_m3_s: float
) -> Literal["yes", "perhaps", "no"]:
    """Return whether the water that arrives is enough; perhaps where the need lies in its range.

    Parameters
    ----------
    answer
        One choice of one study.
    inflow_m3_s, wanted_m3_s
        What arrives by the middle figures, and what is needed [m3/s].
    """
    spread = water_range(answer, inflow_m3_s)
    if spread is not None and spread.straddles(wanted_m3_s):
        return "perhaps"
    return "yes" if inflow_m3_s >= wanted_m3_s else "no"


def likely_half(answer: Answer, name: str) -> float | None:
    """Return the half width that holds nine cases in ten of a result, None if not computed."""
    spread = answer.spread.get(name)
    return None if spread is None else spread.half_range
