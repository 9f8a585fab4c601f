from __future__ import annotations

import numpy as np
import pytest

from terrain_head.base.units import to_si
from tests.assessment.builders import (
    evidence_of,
    found,
    scalar,
    with_layout,
    with_parts,
    with_pipe,
    with_profile,
    with_ram,
    with_ram_result,
    with_run,
    with_spec,
)


@pytest.mark.parametrize(("rigid", "told"), [(True, 0), (None, 0), (False, 1)])
def test_only_a_drive_pipe_known_not_to_be_metal_wants_care(rigid: bool | None, told: int) -> None:
    evidence = with_spec(evidence_of(), "drive", rigid=rigid)
    assert told == len(found(evidence, "drive-plastic"))
    assert found(with_run(evidence, "drive", spec=None), "drive-plastic") == []


def test_a_drive_pipe_within_some_rule_of_length_is_fine_and_the_rules_are_told() -> None:
    (finding,) = found(evidence_of(), "drive-length")
    assert finding.severity == "fine"
    assert "length 5 to 10 falls" in finding.texts["holds"]
    assert "length 2 to 4 falls" in finding.texts["fails"]


@pytest.mark.parametrize(("length_m", "severity"), [(52.4, "fine"), (52.6, "care"), (5.0, "care")])
def test_a_drive_pipe_outside_every_rule_wants_care_and_never_stops(
    length_m: float, severity: str
) -> None:
    """5 m of fall and 52.5 mm of bore: the longest rule is 1 000 bores."""
    evidence = with_pipe(evidence_of(), "drive", length_m=scalar(length_m))
    (finding,) = found(evidence, "drive-length")
    assert severity == finding.severity


def test_no_length_is_judged_against_a_fall_that_is_none() -> None:
    assert found(with_ram_result(evidence_of(), fall_m=-1.0), "drive-length") == []


@pytest.mark.parametrize(
    ("flow_gal_min", "severity"),
    [(7.5, "care"), (7.7, None), (18.8, None), (19.0, "fine"), (37.6, "fine"), (37.9, "care")],
)
def test_the_drive_flow_is_held_against_the_list_for_its_bore(
    flow_gal_min: float, severity: str | None
) -> None:
    """2 in by Ogden, table XI: 8 to 18 gal/min and a twentieth; 1.1 m/s in 52.5 mm is 37.7."""
    flow = to_si(flow_gal_min, "gal/min")
    findings = found(with_ram_result(evidence_of(), used_m3_s=flow), "drive-flow")
    assert ([] if severity is None else [severity]) == [one.severity for one in findings]


def test_each_ram_of_several_takes_its_part() -> None:
    flow = 2 * to_si(15.0, "gal/min")
    evidence = with_ram_result(evidence_of(), used_m3_s=flow)
    assert len(found(evidence, "drive-flow")) == 1
    assert len(found(with_ram(evidence, count=2), "drive-flow")) == 0


def test_without_bore_or_flow_no_drive_flow_is_judged() -> None:
    assert found(with_ram_result(evidence_of(), used_m3_s=None), "drive-flow") == []
    bare = with_pipe(evidence_of(), "drive", inside_m=scalar(np.nan))
    assert found(bare, "drive-flow") == []


@pytest.mark.parametrize(
    ("std_m", "severity", "sure"), [(0.05, "care", "sure"), (0.5, "fine", "perhaps")]
)
def test_a_rise_is_sure_only_where_it_beats_its_error(
    std_m: float, severity: str, sure: str
) -> None:
    heights = {"drive": [100, 99, 99.4, 97, 95]}
    evidence = with_ram(evidence_of(std_m=std_m, heights=heights), laid="along the ground")
    (finding,) = found(evidence, "drive-rises")
    assert (severity, sure) == (finding.severity, finding.texts["sure"])
    assert pytest.approx(finding.value) == 0.4
    assert finding.where.station_m == 12.5


def test_a_drive_pipe_that_only_falls_does_not_rise() -> None:
    evidence = with_ram(evidence_of(), laid="along the ground")
    assert found(evidence, "drive-rises") == []


@pytest.mark.parametrize(("dip_m", "told"), [(0.49, 0), (0.51, 1)])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_straight_pipe_far_from_the_ground_is_told(dip_m: float, told: int, sign: int) -> None:
    evidence = evidence_of()
    line = np.array([100.0, 98.75, 97.5, 96.25, 95.0])
    line[2] += sign * dip_m
    findings = found(with_profile(evidence, "drive", elevation_m=line), "drive-off-ground")
    assert told == len(findings)
    for finding in findings:
        assert dip_m == pytest.approx(finding.value)
        assert ("below_m" if sign > 0 else "above_m") == max(
            ("above_m", "below_m"), key=lambda side: finding.values[side]
        )


@pytest.mark.parametrize(("cut_ft", "told"), [(4.9, 0), (5.1, 1)])
def test_a_deep_cut_for_a_straight_drive_pipe_is_a_deep_trench(cut_ft: float, told: int) -> None:
    line = np.array([100.0, 98.75, 97.5 + to_si(cut_ft, "ft"), 96.25, 95.0])
    evidence = with_profile(evidence_of(), "drive", elevation_m=line)
    assert told == len(found(evidence, "trench-deep"))


def test_ground_that_is_not_known_between_is_not_judged() -> None:
    line = np.array([100.0, 98.75, 90.0, 96.25, 95.0])
    evidence = with_profile(evidence_of(), "drive", elevation_m=line, between_known=False)
    assert found(evidence, "drive-off-ground") == []


def test_a_scheme_without_its_drive_pipe_is_judged_all_the_same() -> None:
    evidence = evidence_of()
    pipes = {name: pipe for name, pipe in evidence.layout.pipes.items() if name != "drive"}
    assert found(with_layout(evidence, pipes=pipes), "drive-length") == []
    assert found(with_parts(evidence, ram=None), "drive-length") == []
