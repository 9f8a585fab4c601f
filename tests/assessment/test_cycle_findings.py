"""The ram's blow against its lift, and counted beats against the rest."""

from __future__ import annotations

import pytest

from terrain_head.assessment.evidence import Evidence
from terrain_head.base.measured import Measured
from terrain_head.scheme.ram_cycle import cycle_of
from tests.assessment.builders import (
    evidence_of,
    found,
    with_ram,
    with_ram_result,
    with_spec,
)


def plastic_drive(*, flow_m3_s: float, lift_m: float) -> Evidence:
    """Return a drive pipe in which a wave runs at some 330 m/s."""
    evidence = with_spec(evidence_of(), "drive", material="PE", wall_m=5.8e-3, rigid=False)
    return with_ram_result(evidence, used_m3_s=flow_m3_s, lift_m=lift_m)


@pytest.mark.parametrize(("lift_m", "severity"), [(24.5, None), (31.0, "care"), (45.0, "stop")])
def test_a_blow_that_does_not_reach_the_lift(lift_m: float, severity: str | None) -> None:
    """0.92 m/s at the most: 33 m over the source; likely 0.83: 29 m in all."""
    findings = found(plastic_drive(flow_m3_s=1e-3, lift_m=lift_m), "hammer-below-lift")
    assert ([] if severity is None else [severity]) == [one.severity for one in findings]
    for finding in findings:
        assert finding.value is not None
        assert finding.limit is not None
        assert finding.value < finding.limit


def test_a_steel_drive_pipe_strikes_hard_enough() -> None:
    assert found(evidence_of(), "hammer-below-lift") == []


def test_where_the_wave_is_not_known_no_blow_is_judged() -> None:
    evidence = with_spec(evidence_of(), "drive", material="PE", wall_m=None, rigid=False)
    assert found(with_ram_result(evidence, used_m3_s=1e-5), "hammer-below-lift") == []


def test_without_a_beat_nothing_is_judged() -> None:
    evidence = with_ram(evidence_of(), beats_hz=Measured(value=10.0))
    assert found(with_ram_result(evidence, used_m3_s=None), "beats-do-not-fit") == []


def test_beats_that_no_column_can_have_want_care() -> None:
    beats = cycle_of(evidence_of().solution)
    assert beats is not None
    quickest = float(beats.quickest_hz)
    for hz, told in ((0.99 * quickest, 0), (1.01 * quickest, 1)):
        findings = found(with_ram(evidence_of(), beats_hz=Measured(value=hz)), "beats-do-not-fit")
        assert told == len(findings)
        for finding in findings:
            assert finding.value == pytest.approx(1 / hz)
            assert finding.limit == pytest.approx(1 / quickest)
