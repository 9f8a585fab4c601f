from __future__ import annotations

import pytest

from terrain_head.base.display import LIKELY
from terrain_head.base.measured import Measured
from terrain_head.base.units import to_si
from tests.assessment.builders import (
    evidence_of,
    findings_of,
    found,
    scalar,
    with_parts,
    with_pipe,
    with_ram_result,
    with_spread,
)


def test_a_negative_fall_stops_and_says_nothing_of_small_falls() -> None:
    high = with_ram_result(evidence_of(), fall_m=-2.4)
    (finding,) = found(high, "fall-negative")
    assert (finding.severity, finding.value, finding.limit) == ("stop", -2.4, 0.0)
    assert finding.texts == {"source": "spring", "ram": "ram", "origin": "leveled"}
    assert not {"fall-too-small", "fall-small", "fall-doubtful", "lift-ratio-high"} & {
        one.kind for one in findings_of(high)
    }


@pytest.mark.parametrize(
    ("fall_m", "kind"),
    [
        (0.0, "fall-negative"),
        (0.499, "fall-too-small"),
        (0.5, "fall-small"),
        (1.999, "fall-small"),
        (2.0, None),
    ],
)
def test_a_fall_is_judged_on_both_sides_of_each_limit(fall_m: float, kind: str | None) -> None:
    evidence = with_ram_result(evidence_of(), fall_m=fall_m)
    told = {one.kind for one in findings_of(evidence)}
    assert {kind} - {None} == told & {"fall-negative", "fall-too-small", "fall-small"}


@pytest.mark.parametrize(("bore_in", "least_ft"), [(1.25, 3.0), (1.5, 3.0), (2.0, 2.0)])
def test_the_least_fall_follows_the_bore_of_the_drive_pipe(bore_in: float, least_ft: float) -> None:
    small = with_ram_result(evidence_of(), fall_m=1.0)
    small = with_pipe(small, "drive", inside_m=scalar(to_si(bore_in, "in")))
    (finding,) = found(small, "fall-small")
    assert to_si(least_ft, "ft") == pytest.approx(finding.values["ogden_least_m"])


def test_without_a_drive_pipe_no_least_fall_is_told() -> None:
    small = with_ram_result(evidence_of(), fall_m=1.0)
    small = with_pipe(small, "drive", inside_m=scalar(float("nan")))
    assert "ogden_least_m" not in found(small, "fall-small")[0].values


@pytest.mark.parametrize(("std_m", "told"), [(0.24 * 5 / LIKELY, 0), (0.26 * 5 / LIKELY, 1)])
def test_a_fall_is_doubtful_where_its_likely_half_range_is_a_quarter(
    std_m: float, told: int
) -> None:
    evidence = with_spread(evidence_of(), fall=Measured(value=5.0, std=std_m))
    findings = found(evidence, "fall-doubtful")
    assert told == len(findings)
    for finding in findings:
        assert finding.texts["origin"] == "leveled"
        assert LIKELY * std_m == pytest.approx(finding.values["half_range_m"])


def test_a_fall_without_a_known_error_is_not_called_doubtful() -> None:
    evidence = with_spread(evidence_of(), fall=Measured(value=5.0))
    assert found(evidence, "fall-doubtful") == []


@pytest.mark.parametrize(
    ("lift_m", "kind"),
    [(-1.0, "lift-negative"), (0.0, "lift-negative"), (5.0, "ram-not-needed"), (5.01, None)],
)
def test_a_lift_under_the_fall_needs_no_ram(lift_m: float, kind: str | None) -> None:
    told = {one.kind for one in findings_of(with_ram_result(evidence_of(), lift_m=lift_m))}
    assert {kind} - {None} == told & {"lift-negative", "ram-not-needed"}


@pytest.mark.parametrize(
    ("ratio", "origin", "kind", "severity"),
    [
        (30.0, "table", None, None),
        (30.1, "table", "lift-ratio-high", "care"),
        (40.0, "table", "lift-ratio-high", "care"),
        (40.1, "table", "lift-beyond-range", "stop"),
        (40.1, None, "lift-beyond-range", "stop"),
        (40.1, "measured", "lift-beyond-range", "care"),
    ],
)
def test_lift_over_fall_is_held_against_what_is_published(
    ratio: float, origin: str | None, kind: str | None, severity: str | None
) -> None:
    evidence = with_ram_result(evidence_of(), head_ratio=ratio, efficiency_origin=origin)
    told = {
        one.kind: one.severity
        for one in findings_of(evidence)
        if one.kind in {"lift-ratio-high", "lift-beyond-range"}
    }
    assert ({} if kind is None else {kind: severity}) == told


def test_without_losses_the_ratio_is_lift_by_fall() -> None:
    evidence = with_ram_result(evidence_of(), head_ratio=None, lift_m=160.0)
    assert found(evidence, "lift-ratio-high")[0].value == 32.0


def test_a_gravity_scheme_is_asked_for_no_fall() -> None:
    evidence = with_parts(with_ram_result(evidence_of(), fall_m=-1.0), ram=None)
    assert found(evidence, "fall-negative") == []
    assert found(evidence, "lift-negative") == []
