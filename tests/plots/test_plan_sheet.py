"""The plan: the same letters as the profile, blank where nothing is known, readable."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.base.units import METRIC, US
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import DatumShift
from terrain_head.plots.map_frame import shade_of
from terrain_head.plots.pegs import pegs_of
from terrain_head.plots.plan_sheet import plan_figure
from tests.plots.builders import GRID, answer
from tests.plots.readable import texts_of, troubles


def words_of(given: Answer) -> list[str]:
    figure = plan_figure(given)
    assert figure is not None
    return [text for text, _ in texts_of(figure)]


@pytest.mark.parametrize(
    "given",
    [
        *(answer(outlets=count, units=US if count % 2 else METRIC) for count in range(9)),
        answer(outlets=8, long_names=True),
        answer(outlets=8, long_names=True, tee=True, units=US),
        replace(answer(outlets=3), grid=None),
        answer(outlets=1, bearing_deg=0.0),
        answer(outlets=0, tank=False),
        answer(outlets=2, known=False),
    ],
)
def test_no_words_overlap(given: Answer) -> None:
    figure = plan_figure(given)
    assert figure is not None
    assert troubles(figure) == []


def test_there_is_no_plan_without_positions() -> None:
    assert plan_figure(answer(mapped=False)) is None


def test_every_place_bears_the_letter_of_the_profile() -> None:
    given = answer(outlets=6)
    found = words_of(given)
    for peg in pegs_of(given.layout).values():
        assert peg.letter in found
        assert peg.word in found


def test_a_place_without_a_position_is_told() -> None:
    given = answer(outlets=1)
    lost = {}
    for name, pipe in given.layout.pipes.items():
        nowhere = np.full_like(pipe.profile.east_m, np.nan)
        gone = replace(pipe.profile, east_m=nowhere, north_m=nowhere)
        lost[name] = replace(pipe, profile=gone) if name == "to house" else pipe
    ground = given.ground
    east = ground.east_m.copy()
    east[ground.place("house")] = np.nan
    layout = replace(given.layout, pipes=lost, ground=replace(ground, east_m=east))
    found = words_of(replace(given, layout=layout))
    assert any("no position is known for house" in text for text in found)


def test_where_the_raster_is_void_no_relief_is_drawn() -> None:
    def void(east_m: ArrayLike, north_m: ArrayLike) -> NDArray[np.float64]:
        return np.full(np.broadcast(east_m, north_m).shape, np.nan)

    empty = ElevationGrid(
        sample=void, cell_m=1.0, error=GRID.error, names=("void.tif",), extent_m=GRID.extent_m
    )
    figure = plan_figure(replace(answer(outlets=1), grid=empty))
    assert figure is not None
    assert not figure.axes[0].images
    relief = plan_figure(answer(outlets=1))
    assert relief is not None
    assert relief.axes[0].images


def test_a_slope_towards_the_light_is_brighter_than_one_away_from_it() -> None:
    east, north = np.meshgrid(np.arange(8.0), np.arange(8.0))
    towards, away = shade_of(0.3 * (east - north), 1.0), shade_of(0.3 * (north - east), 1.0)
    assert towards.mean() > shade_of(np.zeros((8, 8)), 1.0).mean() > away.mean()


def test_the_shade_is_blank_where_the_height_is() -> None:
    height = np.zeros((6, 6))
    height[2, 3] = np.nan
    shade = shade_of(height, 1.0)
    assert np.isnan(shade[2, 2])
    assert np.isfinite(shade[5, 0])


def test_height_lines_stand_on_the_datum_of_the_study() -> None:
    given = answer(outlets=1)
    shift = DatumShift(shift_m=-200.0, shift_std_m=None, places=("spring",), left_over_m=(0.0,))
    moved = replace(given, ground=replace(given.ground, shift=shift))
    before = {text for text in words_of(given) if re.fullmatch(r"\d+ m", text)}
    after = {text for text in words_of(moved) if re.fullmatch(r"\d+ m", text)}
    lines = {f"{height} m" for height in range(250, 400, 5)}
    assert before & lines
    assert not after & lines
