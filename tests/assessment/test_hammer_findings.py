"""The full blow of the ram against drive and delivery pipe."""

from __future__ import annotations

import numpy as np
import pytest

from terrain_head.assessment.evidence import Evidence
from terrain_head.scheme.ram_cycle import cycle_of
from tests.assessment.builders import (
    evidence_of,
    found,
    with_layout,
    with_ram_result,
    with_run,
    with_spec,
)


def blow_pa(evidence: Evidence) -> float:
    cycle = cycle_of(evidence.solution)
    assert cycle is not None
    return evidence.pressure_pa(float(cycle.cycle.hammer_most_m))


def test_the_blow_is_the_fall_and_twice_the_mean_velocity_stopped() -> None:
    """1 L/s in 52.5 mm, 1425 m/s: 0.924 m/s, 134 m, and 5 m of fall."""
    assert blow_pa(evidence_of()) == pytest.approx(999.7 * 9.80665 * 139.2, rel=1e-3)


@pytest.mark.parametrize(
    ("times", "severity"), [(1.01, None), (0.99, "care"), (0.51, "care"), (0.49, "stop")]
)
def test_the_drive_pipes_rating_against_a_stuck_valve(times: float, severity: str | None) -> None:
    evidence = evidence_of()
    rated = with_spec(evidence, "drive", rating_pa=times * blow_pa(evidence))
    findings = found(rated, "drive-pipe-hammer")
    assert ([] if severity is None else [severity]) == [one.severity for one in findings]
    for finding in findings:
        assert finding.value == pytest.approx(blow_pa(evidence))
        assert finding.texts["wave"] == "free water"


def test_a_known_wall_softens_the_blow() -> None:
    thin = with_spec(evidence_of(), "drive", wall_m=3.9e-3, rating_pa=1e6)
    (finding,) = found(thin, "drive-pipe-hammer")
    assert finding.texts["wave"] == "wall"
    assert finding.value is not None
    assert finding.value < blow_pa(evidence_of())


@pytest.mark.parametrize(("fittings", "severity"), [({}, "fine"), ({"gate valve": 1}, "care")])
def test_a_delivery_that_is_shut_is_pumped_up(fittings: dict[str, int], severity: str) -> None:
    evidence = with_run(evidence_of(), "delivery", fittings=fittings)
    weak = with_spec(evidence, "delivery", rating_pa=0.99 * blow_pa(evidence))
    (finding,) = found(weak, "delivery-dead-ended")
    assert severity == finding.severity
    assert finding.value == pytest.approx(blow_pa(evidence))
    assert finding.where.station_m == 0.0
    strong = with_spec(evidence, "delivery", rating_pa=1.01 * blow_pa(evidence))
    assert found(strong, "delivery-dead-ended") == []


def test_what_is_not_rated_or_has_no_beat_is_not_judged() -> None:
    kinds = ("drive-pipe-hammer", "delivery-dead-ended")
    bare = with_spec(with_spec(evidence_of(), "drive", rating_pa=None), "delivery", rating_pa=None)
    soft = with_spec(evidence_of(), "drive", rating_pa=1e4, rigid=False, material="PE")
    still = with_spec(with_ram_result(evidence_of(), used_m3_s=None), "drive", rating_pa=1e4)
    none = with_run(with_run(evidence_of(), "drive", spec=None), "delivery", spec=None)
    for evidence in (bare, soft, still, none):
        assert [one for kind in kinds for one in found(evidence, kind)] == []
    unknown = with_layout(evidence_of(), valve_level_m=None)
    weak = with_spec(unknown, "delivery", rating_pa=1e4)
    assert found(weak, "delivery-dead-ended") == []
    assert np.isnan(float(cycle_of(soft.solution).cycle.hammer_m))  # type: ignore[union-attr]
