"""The ground profile: words that fit, points that stand out, doubt that shows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from terrain_head.base.middle import middle_along
from terrain_head.base.units import METRIC, US, UnitSystem
from terrain_head.ground.ground import GroundProfile, Origin
from terrain_head.plots.ground_sheet import ground_profile_figure, noted_points, std_of_ground
from tests.plots.builders import profile
from tests.plots.readable import texts_of, troubles


@pytest.mark.parametrize("units", [METRIC, US, UnitSystem(name="us", feet="inches")])
@pytest.mark.parametrize(
    "ground",
    [
        profile("hump", length_m=412.0, start_m=300.0, end_m=330.0, hump_m=14.0, std_m=0.6),
        profile("hollow", length_m=90.0, start_m=300.0, end_m=299.0, hump_m=-2.0, std_m=0.02),
        profile("steep", length_m=12.0, start_m=300.0, end_m=340.0, std_m=0.0),
        profile("long", length_m=2400.0, start_m=300.0, end_m=300.0, hump_m=9.0, std_m=4.0),
        profile("ends", length_m=80.0, start_m=300.0, end_m=320.0, std_m=np.nan, known=False),
    ],
    ids=lambda ground: ground.name,
)
def test_every_word_can_be_read(ground: GroundProfile, units: UnitSystem) -> None:
    figure = ground_profile_figure(ground, title="Ground " * 40, units=units)
    assert troubles(figure) == []


def test_the_ground_between_two_known_ends_is_said_not_to_be_surveyed() -> None:
    ground = profile("east", length_m=80.0, start_m=300.0, end_m=320.0, known=False)
    words = [text for text, _ in texts_of(ground_profile_figure(ground, title="x", units=METRIC))]
    assert "ground not surveyed" in words
    assert "ground" not in words


def test_a_hump_is_named_with_its_height_and_station() -> None:
    ground = profile("east", length_m=412.0, start_m=300.0, end_m=301.0, hump_m=14.0, std_m=0.1)
    figure = ground_profile_figure(ground, title="x", units=METRIC)
    top = int(np.argmax(ground.elevation_m))
    named = [text for text, _ in texts_of(figure) if text.startswith("high point")]
    assert any(f"0+{round(ground.station_m[top]):03d}" in text for text in named)


def test_a_hump_smaller_than_its_doubt_is_not_named() -> None:
    ground = profile("east", length_m=400.0, start_m=300.0, end_m=300.0, hump_m=1.0, std_m=2.0)
    assert noted_points(ground) == ()
    surer = replace(ground, std_m=np.full_like(ground.std_m, 0.01))
    assert noted_points(surer) != ()


def test_the_points_given_are_the_points_named() -> None:
    ground = profile("east", length_m=400.0, start_m=300.0, end_m=300.0, hump_m=8.0, std_m=0.1)
    given = [replace(turn, sure=False) for turn in noted_points(ground) if turn.kind == "high"][:1]
    figure = ground_profile_figure(
        ground, title="x", units=METRIC, turns=given, ends=("spring", "knoll")
    )
    found = [text for text, _ in texts_of(figure)]
    assert [text for text in found if "point" in text] == [
        text for text in found if text.startswith("perhaps a high point")
    ]
    assert any(text.startswith("spring\n") for text in found)
    assert any(text.startswith("knoll\n") for text in found)
    bare = ground_profile_figure(ground, title="x", units=METRIC, turns=())
    assert not [text for text, _ in texts_of(bare) if "point" in text]


def test_the_middle_of_draws_is_drawn() -> None:
    assert middle_along(np.array([[1.0, 4.0], [2.0, 5.0], [9.0, 6.0]])).tolist() == [2.0, 5.0]


def test_the_band_shows_the_ground_and_not_how_far_a_mark_may_lie_off() -> None:
    ground = profile("east", length_m=80.0, start_m=300.0, end_m=320.0, std_m=0.3)
    std = ground.std_m.copy()
    std[[0, -1]] = 1.2, 0.01
    marked = replace(ground, std_m=std)
    assert std_of_ground(marked)[[0, -1]].tolist() == [0.3, 0.01]
    leveled = replace(marked, origin=np.full(len(std), int(Origin.LEVELED), dtype=np.int8))
    assert std_of_ground(leveled).tolist() == std.tolist()
