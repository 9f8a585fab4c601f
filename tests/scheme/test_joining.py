"""Parts on their ground: levels, elevations, risers, lengths."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from terrain_head.errors import InputError
from terrain_head.formulas.fittings import loss_coefficient
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Parts, Ram, Source
from terrain_head.scheme.solver import solve
from tests.scheme.hills import HEIGHTS, hill, m, outlet, ram_hill, ram_parts, run, tank


def laid(parts: Parts) -> Layout:
    return lay_out(parts, ground=ram_hill(parts))


def test_levels_stand_on_the_ground() -> None:
    layout = laid(ram_parts())
    assert layout.source_level_m is not None
    assert float(layout.source_level_m) == 100.0
    assert float(layout.deck_m["tank"]) == 121.0
    assert float(layout.full_m["tank"]) == 122.5
    assert float(layout.lowest_m["tank"]) == 121.2
    assert float(layout.inlet_m["tank"]) == 122.6
    assert float(layout.outlet_level_m["beds"]) == 101.6
    assert layout.source is layout.parts.source
    assert layout.ram is layout.parts.ram


def test_a_buried_pipe_follows_the_ground_and_stands_up_at_its_ends() -> None:
    pipe = laid(ram_parts()).pipes["delivery"]
    np.testing.assert_allclose(pipe.pipe_m, [96.6, 102.6, 109.6, 108.6, 114.6, 117.6])
    assert float(pipe.riser_up_m) == pytest.approx(97.2 - 96.6)
    assert float(pipe.riser_down_m) == pytest.approx(122.6 - 117.6)
    risers = float(pipe.riser_up_m + pipe.riser_down_m)
    assert float(pipe.length_m) == pytest.approx(pipe.profile.slope_length_m + risers)
    assert pipe.along_m[0] == pytest.approx(0.6)
    assert pipe.along_m[-1] == pytest.approx(float(pipe.length_m) - 5.0)
    assert float(pipe.loss_coefficient) == loss_coefficient({"gate valve": 1})
    assert (pipe.entrance_coefficient, pipe.exit_coefficient) == (0.5, 1.0)
    assert pipe.name == "delivery"


def test_a_pipe_written_against_its_flow_is_turned_round() -> None:
    pipe = laid(ram_parts()).pipes["to beds"]
    assert (pipe.upstream, pipe.downstream) == ("bend", "beds")
    np.testing.assert_allclose(pipe.profile.elevation_m, [104.0, 103.0, 99.0, 101.0])
    assert np.all(np.diff(pipe.profile.station_m) > 0)
    assert (pipe.entrance_coefficient, pipe.exit_coefficient) == (0.0, 0.0)
    assert float(pipe.riser_up_m) == 0.0
    assert float(pipe.riser_down_m) == pytest.approx(0.9)


def test_a_straight_drive_pipe_is_the_chord_from_water_to_waste_valve() -> None:
    pipe = laid(ram_parts()).pipes["drive"]
    np.testing.assert_allclose(pipe.pipe_m, [100.0, 97.2])
    assert float(pipe.length_m) == pytest.approx(math.hypot(16.0, 2.8))
    assert float(pipe.riser_up_m) == 0.0


def test_with_positions_the_chord_cuts_the_bends_of_the_route() -> None:
    parts = ram_parts()
    ground = ram_hill(parts)
    drive = replace(
        ground.profiles["drive"], east_m=np.array([0.0, 12.0]), north_m=np.array([0.0, 5.0])
    )
    ground = replace(ground, profiles={**ground.profiles, "drive": drive})
    pipe = lay_out(parts, ground=ground).pipes["drive"]
    assert float(pipe.length_m) == pytest.approx(math.hypot(13.0, 2.8))


def test_a_stated_length_is_that_of_the_whole_pipe() -> None:
    parts = Parts(
        source=Source(place="spring"),
        ram=Ram(place="hollow"),
        tanks=(tank(),),
        pipes=(
            run("drive", "source", "ram", length_m=19.0),
            run("delivery", "ram", "tank", length_m=200.0),
        ),
    )
    layout = lay_out(parts, ground=hill(parts, HEIGHTS))
    assert float(layout.pipes["drive"].length_m) == 19.0
    assert float(layout.pipes["drive"].along_m[-1]) == 19.0
    assert float(layout.pipes["delivery"].length_m) == 200.0
    assert float(layout.pipes["delivery"].along_m[-1]) == pytest.approx(198.4)


def test_a_drive_pipe_along_the_ground_has_risers() -> None:
    parts = ram_parts()
    assert parts.ram is not None
    assert parts.source is not None
    parts = replace(
        parts,
        ram=replace(parts.ram, laid="along the ground"),
        source=replace(parts.source, water_above_m=m(0.4)),
    )
    pipe = laid(parts).pipes["drive"]
    np.testing.assert_allclose(pipe.pipe_m, [100.0, 97.0])
    assert float(pipe.riser_up_m) == pytest.approx(0.4)
    assert float(pipe.riser_down_m) == pytest.approx(0.2)


def test_a_drive_pipe_from_a_box_begins_no_higher_than_its_water() -> None:
    parts = Parts(
        source=Source(place="spring"),
        ram=Ram(place="hollow", feed=("feed",)),
        pipes=(run("feed", "source", "box"), run("drive", "box", "ram")),
    )
    high = lay_out(parts, ground=hill(parts, {**HEIGHTS, "box": 101.0}))
    assert float(high.pipes["drive"].upstream_m) == 100.0
    low = lay_out(parts, ground=hill(parts, {**HEIGHTS, "box": 98.5}))
    assert float(low.pipes["drive"].upstream_m) == 98.5
    assert float(low.pipes["feed"].riser_up_m) == 0.0
    sourceless = Parts(ram=Ram(place="hollow"), pipes=(run("drive", "box", "ram"),))
    alone = lay_out(sourceless, ground=hill(sourceless, {**HEIGHTS, "box": 98.5}))
    assert float(alone.pipes["drive"].upstream_m) == 98.5
    assert solve(alone).pipes["drive"].static_m is None
    assert solve(alone).pipes["drive"].max_static_pa is None


def message(parts: Parts) -> str:
    with pytest.raises(InputError) as caught:
        laid(parts)
    return " ".join(str(caught.value).split())


def test_places_that_the_ground_does_not_have_are_named() -> None:
    parts = replace(
        ram_parts(),
        tanks=(tank(place="knol"),),
        outlets=(outlet("tap", place="zzzz"),),
        pipes=(),
    )
    words = message(parts)
    assert 'The tank stands at "knol"' in words
    assert '[tank] place = "knoll"' in words
    assert 'The outlet "tap" stands at "zzzz"' in words
    assert "There are: spring, hollow, knoll" in words


def test_a_length_shorter_than_its_risers_is_refused() -> None:
    pipes = (run("drive", "source", "ram"), run("delivery", "ram", "tank", length_m=4.0))
    words = message(replace(ram_parts(), pipes=pipes, outlets=()))
    assert 'pipe "delivery" is 4.00 m (13.1 ft), but its risers alone are 4.80 m (15.7 ft)' in words


def test_an_unknown_fitting_is_refused_with_the_nearest_names() -> None:
    pipes = (run("delivery", "ram", "tank", fittings={"gat valve": 1, "elbow 90": 2}),)
    words = message(replace(ram_parts(), pipes=pipes, outlets=()))
    assert 'The pipe "delivery" has a fitting "gat valve"' in words
    assert '[pipe.delivery] fittings = { "gate valve" = 1 }' in words


def without_profile(name: str) -> Layout:
    parts = ram_parts()
    ground = ram_hill(parts)
    kept = {pipe: profile for pipe, profile in ground.profiles.items() if pipe != name}
    return lay_out(parts, ground=replace(ground, profiles=kept))


@pytest.mark.parametrize("name", ["drive", "delivery"])
def test_fall_and_lift_need_no_pipe_whose_way_is_known(name: str) -> None:
    layout = without_profile(name)
    solution = solve(layout)
    assert name not in layout.pipes
    assert f"pipe.{name}.length" in solution.not_asked
    assert f"pipe.{name}" not in solution.not_asked
    assert solution.ram is not None
    assert float(solution.ram.fall_m) == pytest.approx(2.8)
    assert solution.ram.lift_m is not None
    assert float(solution.ram.lift_m) == pytest.approx(25.4)


def test_what_hangs_on_a_pipe_of_unknown_length_is_not_answered_and_said_once() -> None:
    layout = without_profile("main")
    solution = solve(layout)
    assert list(layout.pipes) == ["drive", "delivery"]
    assert solution.outlets == {}
    lengths = [key for key in solution.not_asked if key.endswith(".length")]
    assert lengths == ["pipe.main.length"]
    assert solution.ram is not None
    assert solution.ram.delivered_m3_s is not None


def test_a_branch_of_unknown_length_leaves_the_other_branch_answered() -> None:
    solution = solve(without_profile("to house"))
    assert list(solution.outlets) == ["beds"]


def test_half_a_delivery_is_no_delivery_and_still_says_which_tank_it_goes_to() -> None:
    parts = ram_parts()
    halves = (run("delivery", "ram", "bend"), run("upper half", "bend", "tank"))
    drive = parts.pipes[0]
    lower = tank("lower", "shelf")
    parts = replace(
        parts,
        pipes=(drive, *halves),
        tanks=(replace(parts.tanks[0], name="upper"), lower),
        outlets=(),
    )
    whole = replace(parts, pipes=(drive, run("delivery", "ram", "tank.upper")))
    for stated in (
        replace(parts, pipes=(drive, halves[0], run("up", "bend", "tank.upper"))),
        whole,
    ):
        ground = hill(stated, {**HEIGHTS, "shelf": 110.0})
        last = stated.pipes[-1].name
        kept = {name: one for name, one in ground.profiles.items() if name != last}
        layout = lay_out(stated, ground=replace(ground, profiles=kept))
        assert list(layout.pipes) == ["drive"]
        ram = solve(layout).ram
        assert ram is not None
        if stated is whole:
            assert ram.lift_m is not None
            assert float(ram.lift_m) == pytest.approx(25.4)
