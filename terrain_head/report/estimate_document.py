"""The four-number answer as one JSON document."""

from __future__ import annotations

from terrain_head.report.estimate_screen import REASON_WORDS
from terrain_head.report.measurement import Json, dumps, json_taken, measurement
from terrain_head.scheme.estimate import DriveLength, Estimate
from terrain_head.scheme.rough_ram import HEIGHT_DOUBT_M, Spread

__all__ = ["dumps", "estimate_document"]


def estimate_document(estimate: Estimate) -> Json:
    """Return the rough answer as a document: metric, null for what no published figure tells.

    Parameters
    ----------
    estimate
        The rough answer.
    """
    water = estimate.delivered_m3_s
    size = estimate.drive_size
    usual = estimate.usual_drive_length_m
    wasted = None if water is None else estimate.flow_m3_s - water.middle
    return {
        "worth": estimate.worth,
        "reasons": [
            {
                "reason": reason,
                "text": REASON_WORDS[reason],
                "source": str(estimate.reason_citations[reason]),
            }
            for reason in estimate.reasons
        ],
        "fall": measurement(estimate.fall_m, "m"),
        "lift": measurement(estimate.lift_m, "m"),
        "flow": measurement(estimate.flow_m3_s, "L/min"),
        "delivery_pipe_length": measurement(estimate.length_m, "m"),
        "delivery_pipe_inside": measurement(estimate.inside_m, "m"),
        "delivery_loss": measurement(estimate.delivery_loss_m, "m"),
        "head_ratio": measurement(estimate.head_ratio, "1"),
        "ram": {
            "used": measurement(estimate.flow_m3_s, "L/min"),
            "delivered": measurement(water.middle if water else None, "L/min"),
            "wasted": measurement(wasted, "L/min"),
            "per_day": measurement(water.middle if water else None, "m3/d"),
            "per_day_by_tables": _ends(water, "m3/d"),
            "efficiency": measurement(
                estimate.efficiency.middle if estimate.efficiency else None, "1"
            ),
            "efficiency_by_tables": _ends(estimate.efficiency, "1"),
            "efficiency_origin": "table" if estimate.efficiency_citations else "measured",
            "efficiency_sources": [str(one) for one in estimate.efficiency_citations],
            "built": estimate.built,
        },
        "drive_pipe": {
            "usual_length": measurement(usual.low_m if usual else None, "m"),
            "rules": [_rule(one) for one in estimate.drive_lengths],
            "inside": measurement(size.drive_m if size else None, "m"),
            "inside_source": str(size.citation) if size else None,
        },
        "level_first": {
            "height": estimate.level_first,
            "doubt": measurement(HEIGHT_DOUBT_M, "m"),
            "share_of_water": {"fall": estimate.fall_effect, "lift": estimate.lift_effect},
        },
        "taken": [json_taken(one) for one in estimate.taken],
    }


def _ends(spread: Spread | None, unit: str) -> Json | None:
    if spread is None:
        return None
    return {"low": measurement(spread.low, unit), "high": measurement(spread.high, unit)}


def _rule(rule: DriveLength) -> Json:
    return {
        "rule": rule.rule,
        "low": measurement(rule.low_m, "m"),
        "high": measurement(rule.high_m, "m"),
        "source": str(rule.citation),
    }
