"""The beat of the ram in the JSON document."""

from __future__ import annotations

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle_of
from terrain_head.base.units import from_si
from terrain_head.report.measurement import Json, measurement
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.ram_cycle import CLOSING_SHARE_CITATION, cycle_of


def cycle_document(answer: Answer) -> Json | None:
    """Return the beat of one ram, null where flow, heads or bore do not give it.

    Parameters
    ----------
    answer
        One choice of one study.

    Notes
    -----
    ``beats`` is a bare number a minute. ``hammer`` is the greatest pressure of a stuck delivery
    valve, ``hammer_likely`` that of the velocity at which the waste valve likely shuts.
    """
    found = cycle_of(answer.solution)
    if found is None:
        return None
    drive, cycle = found.drive, found.cycle
    beat_s = middle_of(cycle.beat.time_s)
    water = Water.at(answer.layout.parts.water_temperature_c)
    taken = found.share_origin == "taken"
    return {
        "beat_time": measurement(beat_s, "s"),
        "beats": None if beat_s is None else from_si(1 / beat_s, "/min"),
        "closing_share": middle_of(drive.closing_share),
        "closing_share_origin": found.share_origin,
        "closing_share_source": str(CLOSING_SHARE_CITATION) if taken else None,
        "closing_velocity": measurement(cycle.closing_m_s, "m/s"),
        "closing_velocity_most": measurement(cycle.closing_most_m_s, "m/s"),
        "least_closing_velocity": measurement(cycle.least_closing_m_s, "m/s"),
        "steady_velocity": measurement(cycle.steady_m_s, "m/s"),
        "lifted_per_beat": measurement(found.delivered_m3, "m3"),
        "wasted_per_beat": measurement(found.wasted_m3, "m3"),
        "ideal_efficiency": measurement(cycle.ideal_efficiency, "1"),
        "part_of_ideal": measurement(found.factor, "1"),
        "part_of_ideal_origin": found.factor_origin,
        "stepped_share": middle_of(cycle.stepped_share),
        "wave_speed": measurement(drive.wave_m_s, "m/s"),
        "wave_speed_origin": found.wave_origin,
        "hammer_likely": measurement(water.pressure_pa(cycle.hammer_m), "kPa"),
        "hammer": measurement(water.pressure_pa(cycle.hammer_most_m), "kPa"),
    }
