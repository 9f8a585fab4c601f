from __future__ import annotations

import numpy as np
import pytest

from terrain_head.assessment.turns import turns_of
from terrain_head.ground.summits import MOST_TURNS
from tests.assessment.builders import evidence_of, found, scalar, with_pipe, with_profile

HUMP = [95.0, 101.0, 99.0, 103.0, 118.0]


def test_a_hump_surer_than_its_error_gathers_air() -> None:
    evidence = evidence_of(heights={"delivery": HUMP})
    (high,) = found(evidence, "air-high-point")
    (low,) = found(evidence, "water-low-point")
    assert (high.severity, high.texts["sure"], high.value) == ("care", "sure", 2.0)
    assert (high.where.pipe, high.where.station_m) == ("delivery", 50.0)
    assert (low.severity, low.texts["sure"], low.value) == ("fine", "sure", 2.0)
    assert low.where.station_m == 100.0


@pytest.mark.parametrize(("std_m", "sure"), [(0.85, "sure"), (0.87, "perhaps")])
def test_a_hump_is_sure_nine_times_in_ten(std_m: float, sure: str) -> None:
    """2 m stand against 1.6449 times the square root of 2 times the error of each height."""
    (high,) = found(evidence_of(std_m=std_m, heights={"delivery": HUMP}), "air-high-point")
    assert high.texts["sure"] == sure
    assert high.severity == ("care" if sure == "sure" else "fine")


def test_a_height_of_unknown_error_gives_only_perhaps() -> None:
    evidence = evidence_of(std_m=float("nan"), heights={"delivery": HUMP})
    (high,) = found(evidence, "air-high-point")
    assert high.texts["sure"] == "perhaps"
    turns = turns_of(evidence.layout.pipes["delivery"], ground=evidence.ground)
    assert len(turns.told("high")) == 1


def test_small_humps_on_a_large_one_do_not_hide_that_it_is_sure() -> None:
    """The two tops differ by less than their error; the hump under them is 8 m high."""
    line = [95, 104, 103.9, 104.1, 96, 118]
    evidence = evidence_of(std_m=0.2, heights={"delivery": line})
    turns = turns_of(evidence.layout.pipes["delivery"], ground=evidence.ground)
    assert [turn.elevation_m for turn in turns.sure if turn.kind == "high"] == [104.1]
    assert [turn.elevation_m for turn in turns.perhaps if turn.kind == "high"] == [104.0]
    assert len(turns.told("high")) == 1


def test_those_that_may_be_error_are_told_together_with_the_greatest() -> None:
    line = [95, 100, 99.9, 105, 104.7, 118]
    evidence = evidence_of(std_m=0.5, heights={"delivery": line})
    (high,) = found(evidence, "air-high-point")
    assert (high.values["count"], high.where.station_m) == (2.0, 120.0)
    assert high.value == pytest.approx(0.3)


@pytest.mark.parametrize(("dip_m", "told"), [(0.03, 0), (0.06, 1)])
def test_a_hump_lower_than_a_bore_is_none(dip_m: float, told: int) -> None:
    line = [95, 100, 100 - dip_m, 105, 118]
    evidence = evidence_of(std_m=0.001, heights={"delivery": line})
    assert len(found(evidence, "air-high-point")) == told
    wide = with_pipe(evidence, "delivery", inside_m=scalar(0.1))
    assert found(wide, "air-high-point") == []
    bare = with_pipe(evidence, "delivery", inside_m=scalar(np.nan))
    assert len(found(bare, "air-high-point")) == told


def test_where_the_ground_is_not_known_no_point_is_told() -> None:
    evidence = with_profile(
        evidence_of(heights={"delivery": HUMP}), "delivery", between_known=False
    )
    assert found(evidence, "air-high-point") == []


def test_a_drive_pipe_is_not_asked_for_its_high_points() -> None:
    evidence = evidence_of(heights={"drive": [100, 99, 99.5, 97, 95]})
    assert found(evidence, "air-high-point") == []


def test_low_points_are_told_together_and_the_sure_ones_alone() -> None:
    line = [95, 101, 99, 103, 100, 104, 103.9, 118]
    evidence = evidence_of(std_m=0.1, heights={"delivery": line})
    (low,) = found(evidence, "water-low-point")
    assert (low.value, low.values["count"], low.texts["sure"]) == (3.0, 2.0, "sure")
    assert len(found(evidence, "air-high-point")) == 3


def test_low_points_that_may_be_error_are_told_where_none_is_sure() -> None:
    evidence = evidence_of(std_m=5.0, heights={"delivery": HUMP})
    (low,) = found(evidence, "water-low-point")
    assert low.texts["sure"] == "perhaps"


def test_of_endless_small_humps_only_the_coarser_are_told() -> None:
    """A saw of 0.6 m over a hump of 8 m: 60 turns of the saw are noise, the hump is not."""
    saw = 0.6 * (np.arange(99) % 2)
    hump = np.concatenate([np.linspace(95, 105, 50), np.linspace(105, 97, 49)[1:], [118]])
    evidence = evidence_of(std_m=0.01, heights={"delivery": (hump + saw[: len(hump)]).tolist()})
    turns = turns_of(evidence.layout.pipes["delivery"], ground=evidence.ground)
    assert len(turns.sure) + len(turns.perhaps) <= MOST_TURNS
    assert len(turns.told("high")) >= 1
    assert max(turn.elevation_m for turn in turns.sure) >= 105.0
