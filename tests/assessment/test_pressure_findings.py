from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from tests.assessment.builders import (
    elevations_of,
    evidence_of,
    found,
    scalar,
    with_layout,
    with_parts,
    with_pipe,
    with_pipe_result,
    with_run,
    with_running,
    with_spec,
)


@pytest.mark.parametrize(
    ("head_m", "kind", "severity"),
    [
        (-0.01, "pressure-negative", "stop"),
        (0.0, "clearance-small", "care"),
        (0.99, "clearance-small", "care"),
        (1.01, None, None),
    ],
)
def test_the_grade_line_must_stay_over_the_pipe(
    head_m: float, kind: str | None, severity: str | None
) -> None:
    evidence = with_running(evidence_of(), "beds", pressure_head_m=[2, 3, head_m, 4, 5])
    told = {
        one.kind: one
        for name in ("pressure-negative", "clearance-small")
        for one in found(evidence, name)
    }
    assert {kind} - {None} == set(told)
    if kind is not None:
        assert severity == told[kind].severity
        assert head_m == told[kind].value
        assert (told[kind].where.pipe, told[kind].where.station_m) == ("beds", 60.0)
        assert told[kind].texts["group"] == "all"


def test_a_clearance_less_than_its_likely_error_is_small() -> None:
    """Two heights of 1 m each, apart: 1.6449 times the square root of 2 is 2.33 m."""
    rough = evidence_of(std_m=1.0)
    close = with_running(rough, "beds", pressure_head_m=[9, 9, 2.3, 9, 9])
    clear = with_running(rough, "beds", pressure_head_m=[9, 9, 2.4, 9, 9])
    (finding,) = found(close, "clearance-small")
    assert pytest.approx(finding.limit, abs=1e-3) == 2.326
    assert found(clear, "clearance-small") == []


def test_an_open_end_in_the_tank_is_no_negative_pressure() -> None:
    evidence = with_running(evidence_of(), "delivery", pressure_head_m=[25, 20, 10, 5, -0.2])
    assert found(evidence, "pressure-negative") == []
    sunk = with_running(evidence_of(), "delivery", pressure_head_m=[25, 20, 10, -0.2, 0])
    assert len(found(sunk, "pressure-negative")) == 1


def test_at_an_outlet_the_last_station_counts() -> None:
    evidence = with_running(evidence_of(), "beds", pressure_head_m=[5, 5, 5, 5, -0.2])
    (finding,) = found(evidence, "pressure-negative")
    assert finding.where.station_m == 120.0


def test_at_the_source_too_little_water_over_the_intake_is_a_care_of_its_own() -> None:
    """1.5 velocity heads at 1 m/s are 0.0765 m."""
    fed = with_pipe(evidence_of(), "beds", upstream="source", role="gravity")
    shallow = with_running(fed, "beds", pressure_head_m=[-0.05, 5, 5, 5, 5], velocity_m_s=1.0)
    deep = with_running(fed, "beds", pressure_head_m=[0.05, 5, 5, 5, 5], velocity_m_s=1.0)
    (finding,) = found(shallow, "intake-shallow")
    assert pytest.approx(finding.limit, abs=1e-4) == 0.0765
    assert pytest.approx(finding.value, abs=1e-4) == 0.0265
    assert found(shallow, "pressure-negative") == []
    assert found(deep, "intake-shallow") == []


def test_a_pipe_of_two_stations_between_source_and_tank_has_nothing_to_judge() -> None:
    evidence = evidence_of(heights={"delivery": [95, 118], "beds": [118, 104]})
    fed = with_pipe(evidence, "delivery", upstream="source", role="gravity")
    fed = with_layout(fed, source_level_m=scalar(130.0))
    fed = with_running(fed, "delivery", pressure_head_m=[-1.0, -1.0])
    assert found(fed, "pressure-negative") == []
    ends = with_running(evidence, "beds", pressure_head_m=[0.2, 0.2])
    assert found(ends, "clearance-small") == []


def test_without_a_place_for_its_head_the_error_is_not_told() -> None:
    evidence = with_pipe(evidence_of(), "beds", upstream="nowhere")
    evidence = with_running(evidence, "beds", pressure_head_m=[9, 9, 0.5, 9, 9])
    assert found(evidence, "clearance-small")[0].values == {}


@pytest.mark.parametrize(
    ("static_pa", "kind"),
    [
        (1.15e6, None),
        (1.16e6, "pressure-near-rating"),
        (1.6e6, "pressure-near-rating"),
        (1.61e6, "pressure-over-rating"),
    ],
)
def test_still_water_is_held_against_the_rating(static_pa: float, kind: str | None) -> None:
    evidence = with_pipe_result(evidence_of(), "beds", max_static_pa=scalar(static_pa))
    told = [
        one.kind
        for name in ("pressure-near-rating", "pressure-over-rating")
        for one in found(evidence, name)
    ]
    assert ([] if kind is None else [kind]) == told


def test_the_greatest_static_pressure_stands_at_the_lowest_station() -> None:
    evidence = evidence_of(heights={"beds": [118, 110, 101, 103, 104]})
    evidence = with_pipe_result(evidence, "beds", max_static_pa=scalar(2e6))
    (finding,) = found(evidence, "pressure-over-rating")
    assert finding.where.station_m == 60.0
    assert finding.texts["spec"] == "PE 32 mm"


def test_pipes_without_a_rating_are_named_together() -> None:
    evidence = with_spec(evidence_of(), "beds", rating_pa=None)
    evidence = with_spec(evidence, "delivery", rating_pa=None)
    evidence = with_spec(evidence, "drive", rating_pa=None)
    (finding,) = found(evidence, "rating-unknown")
    assert finding.texts["pipes"] == "drive, delivery, beds"
    assert finding.values["count"] == 3.0


def test_a_pipe_not_chosen_yet_is_not_asked_for_its_rating() -> None:
    assert found(with_run(evidence_of(), "beds", spec=None), "rating-unknown") == []
    unknown = with_pipe_result(evidence_of(), "beds", max_static_pa=None)
    assert found(with_spec(unknown, "beds", rating_pa=None), "rating-unknown") == []


def test_a_result_without_its_pipe_is_passed_over() -> None:
    evidence = with_running(evidence_of(), "beds", pressure_head_m=-1.0)
    pipes = {name: pipe for name, pipe in evidence.layout.pipes.items() if name != "beds"}
    assert found(with_layout(evidence, pipes=pipes), "pressure-negative") == []


def test_a_pipe_whose_flow_is_not_known_has_no_clearance() -> None:
    evidence = with_pipe_result(evidence_of(), "beds", running=None)
    assert found(evidence, "clearance-small") == []


def test_a_delivery_without_a_tank_hangs_on_the_ram() -> None:
    evidence = with_parts(evidence_of(), tanks=())
    evidence = with_running(evidence, "delivery", pressure_head_m=[9, 9, 0.5, 9, 9])
    assert len(found(evidence, "clearance-small")) == 1


def test_draws_along_a_pipe_are_judged_by_their_middle() -> None:
    evidence = evidence_of()
    running = evidence.solution.pipes["beds"].running
    assert running is not None
    heads = np.array([[5, 5, -2, 5, 5], [5, 5, 0.6, 5, 5], [5, 5, 4, 5, 5]], dtype=np.float64)
    drawn = dataclasses.replace(running, pressure_head_m=heads)
    evidence = with_pipe_result(evidence, "beds", running=drawn)
    assert found(evidence, "clearance-small")[0].value == 0.6


@pytest.mark.parametrize(("level_m", "told"), [(119.4, 1), (119.6, 0)])
def test_water_does_not_run_up_into_a_tank(level_m: float, told: int) -> None:
    """The inlet stands at 119.5 m."""
    fed = with_pipe(evidence_of(), "delivery", upstream="source", role="gravity")
    fed = with_layout(fed, source_level_m=scalar(level_m))
    findings = found(fed, "pressure-negative")
    assert told == len(findings)
    for finding in findings:
        assert finding.value == pytest.approx(-0.1)
        assert finding.where.station_m == 200.0


def test_the_water_that_fills_a_tank_is_sought_through_pipes_in_a_row() -> None:
    fed = with_pipe(evidence_of(), "drive", upstream="source", downstream="bend", role="gravity")
    fed = with_pipe(fed, "delivery", upstream="bend", role="gravity")
    assert len(found(fed, "pressure-negative")) == 1
    dry = with_layout(fed, source_level_m=None)
    assert found(dry, "pressure-negative") == []


def test_a_tank_is_filled_from_the_lowest_level_of_the_tank_above() -> None:
    fed = with_pipe(evidence_of(), "delivery", upstream="tank", role="gravity")
    assert [one.value for one in found(fed, "pressure-negative")] == [pytest.approx(-1.3)]


def test_close_under_still_water_a_small_clearance_is_natural() -> None:
    """The static level is 119.5 m; the pipe's second station lies 0.9 m, or 1.1 m, under it."""
    heads = [1.4, 0.5, 9, 9, 9]
    near = evidence_of(heights={"beds": [118, 118.6, 111, 108, 104]})
    assert found(with_running(near, "beds", pressure_head_m=heads), "clearance-small") == []
    deep = evidence_of(heights={"beds": [118, 118.4, 111, 108, 104]})
    assert len(found(with_running(deep, "beds", pressure_head_m=heads), "clearance-small")) == 1
    unknown = with_pipe_result(
        with_running(near, "beds", pressure_head_m=heads), "beds", static_m=None
    )
    assert len(found(unknown, "clearance-small")) == 1


def test_how_far_a_siphon_reaches_is_told_by_the_height_above_the_sea() -> None:
    """The builder's book has one height, 100, and that is a datum made up."""
    sucks = with_running(evidence_of(), "beds", pressure_head_m=[2, 3, -1.0, 4, 5])
    (assumed,) = found(sucks, "pressure-negative")
    assert "altitude_m" not in assumed.values
    assert assumed.values["siphon_m"] == pytest.approx(7.92, abs=0.01)
    high = with_running(evidence_of(datum_m=2012.3), "beds", pressure_head_m=[2, 3, -1.0, 4, 5])
    (real,) = found(high, "pressure-negative")
    assert real.values["altitude_m"] == pytest.approx(2012.3 + 111.0)
    assert real.values["siphon_m"] < 6.0
    raster = dataclasses.replace(sucks, elevations=None)
    (from_raster,) = found(raster, "pressure-negative")
    assert from_raster.values["altitude_m"] == pytest.approx(111.0)


@pytest.mark.parametrize(
    ("height_m", "assumed", "real"),
    [
        (100.0, False, False),
        (30.48, False, False),
        (1000.0, False, False),
        (312.4, False, True),
        (312.4, True, False),
    ],
)
def test_a_datum_of_a_round_hundred_is_no_height_above_the_sea(
    height_m: float, assumed: bool, real: bool
) -> None:
    book = elevations_of(datum_m=height_m - 100.0, assumed_datum=assumed)
    assert dataclasses.replace(evidence_of(), elevations=book).real_heights == real
