from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

import numpy as np
import pytest

from terrain_head.assessment.evidence import Evidence
from terrain_head.assessment.spread import Height, spread_of, std_between
from terrain_head.base.covariance import Covariance
from terrain_head.base.measured import Measured
from terrain_head.ground.ground import Origin
from tests.assessment.builders import (
    evidence_of,
    with_ground,
    with_outlet_result,
    with_parts,
    with_ram,
    with_ram_result,
    with_solution,
    with_source,
    with_tank,
)

WEIGHT_PA = 999.7 * 9.80665
"""A metre of water at 10 degrees C [Pa/m]: 999.7 kg/m3 by Maurer 2025."""


def spread(evidence: Evidence) -> Mapping[str, Measured]:
    return spread_of(ground=evidence.ground, layout=evidence.layout, solution=evidence.solution)


def test_a_difference_of_two_heights_has_the_error_of_both() -> None:
    found = spread(evidence_of(std_m=0.03))
    assert {
        "fall", "lift", "outlet.beds.static_full", "outlet.beds.static_low",
    } == set(found)  # fmt: skip
    assert found["fall"].value == 5.0
    assert 0.03 * np.sqrt(2) == pytest.approx(found["fall"].std)
    assert 0.03 * np.sqrt(2) == pytest.approx(found["lift"].std)
    pressure = found["outlet.beds.static_full"]
    assert 0.03 * np.sqrt(2) * WEIGHT_PA == pytest.approx(pressure.std, rel=1e-4)


def test_what_two_heights_share_falls_out_of_their_difference() -> None:
    def shared(index: Sequence[int]) -> Covariance:
        return Covariance(factor=np.ones((len(index), 1)), own=np.full(len(index), 0.03**2))

    found = spread(with_ground(evidence_of(), covariance_of=shared))
    assert 0.03 * np.sqrt(2) == pytest.approx(found["fall"].std)


def test_stated_errors_of_what_stands_on_the_ground_are_added() -> None:
    evidence = with_source(evidence_of(std_m=0.03), water_above_m=Measured(value=0.2, std=0.04))
    evidence = with_ram(evidence, valve_above_m=Measured(value=0.1, std=0.05))
    evidence = with_tank(evidence, stand_m=Measured(value=3.0, std=0.1))
    found = spread(evidence)
    assert np.sqrt(2 * 0.03**2 + 0.04**2 + 0.05**2) == pytest.approx(found["fall"].std)
    assert np.sqrt(2 * 0.03**2 + 0.1**2 + 0.05**2) == pytest.approx(found["lift"].std)


def test_tail_water_over_the_valve_brings_its_own_error() -> None:
    evidence = with_ram(
        evidence_of(std_m=0.03),
        valve_above_m=Measured(value=0.1, std=0.5),
        tail_water_above_m=Measured(value=0.3, std=0.04),
    )
    assert np.sqrt(2 * 0.03**2 + 0.04**2) == pytest.approx(spread(evidence)["fall"].std)


def test_a_height_of_unknown_error_leaves_the_result_out() -> None:
    evidence = evidence_of(std_m=float("nan"))
    assert spread(evidence) == {}


def test_no_error_at_all_is_missing_and_not_zero() -> None:
    assert spread(evidence_of(std_m=0.0)) == {}
    evidence = evidence_of()
    same = Height(entry=0)
    assert std_between(same, same, ground=evidence.ground) is None
    over = Height(entry=0, above=(Measured(value=1.0, std=0.2),))
    assert pytest.approx(std_between(over, same, ground=evidence.ground)) == 0.2


def test_where_the_summit_rules_its_own_station_gives_the_error() -> None:
    evidence = evidence_of(heights={"delivery": [95, 110, 121, 119, 118]})
    evidence = with_ram_result(evidence, summit_rules=True, lift_m=26.0)
    evidence = with_tank(evidence, stand_m=Measured(value=3.0, std=5.0))
    lift = spread(evidence)["lift"]
    assert 0.01 * np.sqrt(2) == pytest.approx(lift.std)
    assert lift.value == 26.0


def test_an_outlet_fed_by_the_source_hangs_on_its_water() -> None:
    evidence = with_source(evidence_of(std_m=0.03), water_above_m=Measured(value=0.0, std=0.04))
    evidence = with_outlet_result(evidence, fed_by="source")
    std = spread(evidence)["outlet.beds.static_full"].std
    assert np.sqrt(2 * 0.03**2 + 0.04**2) * WEIGHT_PA == pytest.approx(std, rel=1e-4)


def test_what_the_scheme_does_not_have_is_missing() -> None:
    evidence = evidence_of()
    assert "fall" not in spread(with_parts(evidence, source=None))
    assert "lift" not in spread(with_parts(evidence, tanks=()))
    assert {"fall", "lift"} == set(spread(with_solution(evidence, outlets={})))
    unfed = with_outlet_result(with_parts(evidence, source=None), fed_by=None)
    assert {"lift"} == set(spread(unfed))
    bare = dataclasses.replace(evidence.layout, pipes={})
    assert "lift" in spread(dataclasses.replace(evidence, layout=bare))
    two = dataclasses.replace(bare.parts, tanks=bare.parts.tanks * 2)
    unsaid = dataclasses.replace(bare, parts=two)
    assert "lift" not in spread(dataclasses.replace(evidence, layout=unsaid))
    gravity = with_parts(with_solution(evidence, ram=None), ram=None)
    assert "fall" not in spread(gravity)
    assert "fall" not in spread(with_ram_result(evidence, fall_m=float("nan")))


def test_the_factor_of_the_book_counts_for_what_the_book_gives() -> None:
    """Leveled parts and what stands on them are added as squares, each with its own factor."""
    evidence = with_source(evidence_of(std_m=0.03), water_above_m=Measured(value=0.2, std=0.04))
    found = spread_of(
        ground=evidence.ground,
        layout=evidence.layout,
        solution=evidence.solution,
        likely_factor=6.3138,
    )
    half = np.sqrt(6.3138**2 * 2 * 0.03**2 + 1.6449**2 * 0.04**2)
    assert found["fall"].half_range == pytest.approx(half, rel=1e-6)
    assert found["lift"].half_range == pytest.approx(
        6.3138 * (found["lift"].std or np.nan), rel=1e-6
    )
    pressure = found["outlet.beds.static_full"]
    assert pressure.half_range == pytest.approx(6.3138 * (pressure.std or np.nan), rel=1e-6)


def test_a_height_from_a_raster_keeps_the_factor_of_a_normal_error() -> None:
    evidence = evidence_of(std_m=0.03)
    origin = evidence.ground.origin.copy()
    origin[0] = Origin.RASTER
    evidence = with_ground(evidence, origin=origin)
    found = spread_of(
        ground=evidence.ground,
        layout=evidence.layout,
        solution=evidence.solution,
        likely_factor=6.3138,
    )
    assert found["fall"].half_range == pytest.approx(1.6449 * (found["fall"].std or np.nan))
    assert found["lift"].half_range == pytest.approx(6.3138 * (found["lift"].std or np.nan))
