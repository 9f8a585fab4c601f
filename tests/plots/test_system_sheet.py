"""The whole system in one profile: everything is drawn, everything can be read."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.finding import Finding, Where
from terrain_head.base.units import METRIC, US, UnitSystem
from terrain_head.plots.pegs import pegs_of
from terrain_head.plots.runs import water_runs
from terrain_head.plots.sheet import figure_bytes
from terrain_head.plots.system_sheet import system_figure
from tests.plots.builders import WATER_PA_M, answer
from tests.plots.readable import texts_of, troubles


@cache
def drawn(**changes: Any) -> Figure:
    """Return the drawing of an answer, drawn once for all that look at it."""
    return system_figure(answer(**changes))


def words_of(figure: Figure) -> str:
    return "\n".join(text for text, _ in texts_of(figure))


@pytest.mark.parametrize(
    ("count", "units"),
    [
        (0, METRIC), (1, US), (2, METRIC), (2, UnitSystem(name="us", feet="inches")), (3, US),
        (4, METRIC), (6, US), (8, METRIC),
    ],
)  # fmt: skip
def test_no_words_overlap_with_so_many_outlets(count: int, units: UnitSystem) -> None:
    assert troubles(drawn(outlets=count, units=units)) == []


@pytest.mark.parametrize(
    "given",
    [
        answer(outlets=8, long_names=True),
        answer(outlets=8, long_names=True, tee=True, units=US),
        answer(outlets=3, ram=False, tee=True, stand_m=0.0),
        answer(outlets=2, ram=False, tank=False, lift_m=30.0),
        answer(outlets=2, known=False, mapped=False),
        answer(outlets=1, delivery_m=60.0, hump_m=14.0, lift_m=75.0),
        answer(outlets=2, flowing=False),
        answer(outlets=2, delivery_m=1900.0, lift_m=8.0, std_m=2.5),
        answer(outlets=0, tank=False),
        answer(outlets=3, std_m=float("nan")),
    ],
    ids=[
        "long names", "tee", "gravity", "no tank", "not surveyed", "steep", "no flow", "far",
        "drive pipe only", "no doubt",
    ],
)  # fmt: skip
def test_no_words_overlap_whatever_the_scheme(given: Answer) -> None:
    assert troubles(system_figure(given)) == []


def test_every_place_and_every_pipe_is_named() -> None:
    given = answer(outlets=5)
    found = words_of(system_figure(given))
    for peg in pegs_of(given.layout).values():
        assert peg.word in found
        assert f"\n{peg.letter}\n" in f"\n{found}\n"
    for name in given.layout.pipes:
        assert name in found


def test_every_pipe_is_drawn_and_each_row_begins_at_a_water_surface() -> None:
    given = answer(outlets=4, tee=True)
    runs = water_runs(given)
    assert {name for run in runs for name in run.pipes} == set(given.layout.pipes)
    assert runs[0].pipes[:3] == ("drive", "delivery", "trunk")
    assert all(run.pipes[0] == "trunk" for run in runs[2:])


def test_the_first_row_goes_to_the_outlet_with_the_least_to_spare() -> None:
    given = answer(outlets=4)
    spare = {
        name: float(result.running_low_pa)
        for name, result in given.solution.outlets.items()
        if result.running_low_pa is not None
    }
    worst = min(spare, key=lambda name: spare[name])
    assert water_runs(given)[0].pipes[-1] == f"to {worst}"


def test_a_short_drive_pipe_is_drawn_larger_and_a_long_one_is_not() -> None:
    assert any("drawn larger" in run.title for run in water_runs(answer(outlets=1)))
    assert len(water_runs(answer(outlets=1, delivery_m=40.0))) == 1


def test_a_pipe_without_ground_between_its_ends_is_marked() -> None:
    assert "ground not surveyed" in words_of(drawn(outlets=0, known=False))
    assert "ground not surveyed" not in words_of(drawn(outlets=0))


def test_the_shortage_of_pressure_is_said_where_it_is() -> None:
    found = words_of(drawn(outlets=2))
    assert "TOO LITTLE" in found
    assert "enough" in found


def told(given: Answer, kind: str, pipe: str, station_m: float | None = None) -> Answer:
    finding = Finding(kind=kind, severity="stop", where=Where(pipe=pipe, station_m=station_m))
    return replace(given, findings=(*given.findings, finding))


def thick(figure: Figure) -> list[float]:
    """Return how long each thick stretch of pipe is, level [m]."""
    lines = [line for axes in figure.axes for line in axes.lines if line.get_linewidth() > 4]
    return [float(np.ptp(np.asarray(line.get_xdata(), dtype=float))) for line in lines]


def test_a_pipe_above_its_grade_line_is_thick_and_says_so() -> None:
    given = answer(outlets=1, ram=False, hump_m=9.0, lift_m=20.0, stand_m=0.0)
    assert thick(system_figure(given)) == []
    shown = system_figure(told(given, "pressure-negative", "delivery"))
    assert "pipe above the hydraulic grade line" in words_of(shown)
    result, pipe = given.solution.pipes["delivery"].running, given.layout.pipes["delivery"]
    assert result is not None
    bad = pipe.profile.station_m[result.grade_m < pipe.pipe_m]
    assert sum(thick(shown)) == pytest.approx(float(np.ptp(bad)))


def test_a_pipe_pressed_beyond_its_rating_is_thick_where_it_is() -> None:
    given = answer(outlets=1, lift_m=75.0)
    shown = system_figure(told(given, "pressure-over-rating", "delivery"))
    assert "more pressure than the pipe is rated for" in words_of(shown)
    pipe, result = given.layout.pipes["delivery"], given.solution.pipes["delivery"]
    assert result.static_m is not None
    pressure = (float(result.static_m) - pipe.pipe_m) * WATER_PA_M
    bad = pipe.profile.station_m[pressure > 6e5]
    assert sum(thick(shown)) == pytest.approx(float(np.ptp(bad)))


def test_trouble_that_the_lines_do_not_show_is_marked_at_its_station() -> None:
    given = answer(outlets=1)
    for kind in ("pressure-negative", "pressure-over-rating", "drive-rises"):
        shown = system_figure(told(given, kind, "delivery", station_m=0.0))
        assert len(thick(shown)) >= 1
    unrated = given.layout.pipes["delivery"]
    bare = replace(unrated, run=replace(unrated.run, spec=None))
    layout = replace(given.layout, pipes={**given.layout.pipes, "delivery": bare})
    shown = system_figure(
        told(replace(given, layout=layout), "pressure-over-rating", "delivery", station_m=400.0)
    )
    assert len(thick(shown)) == 1
    assert thick(system_figure(told(given, "pressure-over-rating", "elsewhere"))) == []


def test_a_drive_pipe_that_rises_says_so() -> None:
    given = told(answer(outlets=1, delivery_m=60.0), "drive-rises", "drive")
    drive = given.layout.pipes["drive"]
    level = drive.pipe_m.copy()
    level[20:24] += 1.0
    pipes = {**given.layout.pipes, "drive": replace(drive, pipe_m=level)}
    risen = replace(given, layout=replace(given.layout, pipes=pipes))
    shown = system_figure(risen)
    assert "drive pipe rises" in words_of(shown)
    station = drive.profile.station_m
    for length in thick(shown):
        assert length == pytest.approx(float(station[20] - station[19]))
    assert thick(shown)


def test_a_place_that_bears_the_name_of_a_tank_is_no_tank() -> None:
    given = answer(outlets=1)
    layout = given.layout
    pipe = replace(layout.pipes["to house"], downstream="upper")
    places = tuple("upper" if name == "house" else name for name in given.ground.names)
    outlets = (replace(layout.outlets[0], place="upper"),)
    level = {"upper": np.asarray(900.0)}
    moved = replace(
        layout,
        pipes={**layout.pipes, "to house": pipe},
        ground=replace(layout.ground, names=places),
        parts=replace(layout.parts, outlets=outlets),
        deck_m={**layout.deck_m, **level},
        full_m={**layout.full_m, **level},
        inlet_m={**layout.inlet_m, **level},
    )
    figure = system_figure(replace(given, layout=moved, ground=moved.ground))
    assert all(axes.get_ylim()[1] < 800.0 for axes in figure.axes)


def test_draws_are_drawn_by_their_middle() -> None:
    given = answer(outlets=1)
    delivery = given.layout.pipes["delivery"]
    draws = np.stack([delivery.pipe_m - 1.0, delivery.pipe_m, delivery.pipe_m + 1.0])
    pipes = {**given.layout.pipes, "delivery": replace(delivery, pipe_m=draws)}
    doubtful = replace(given, layout=replace(given.layout, pipes=pipes))
    assert words_of(system_figure(doubtful)) == words_of(drawn(outlets=1))


def test_a_choice_is_named_in_the_title() -> None:
    assert "choice ridge" in words_of(drawn(choice="ridge"))
    assert "choice" not in words_of(drawn())


def test_a_scheme_without_pipes_says_so() -> None:
    given = answer(outlets=0, tank=False)
    bare = replace(given, layout=replace(given.layout, pipes={}))
    assert "No pipe is laid yet." in words_of(system_figure(bare))


def test_two_outlets_at_one_place_share_a_peg() -> None:
    given = answer(outlets=2)
    parts = given.layout.parts
    moved = (parts.outlets[0], replace(parts.outlets[1], place=parts.outlets[0].place))
    layout = replace(given.layout, parts=replace(parts, outlets=moved))
    found = words_of(system_figure(replace(given, layout=layout)))
    assert "house, beds" in found
    assert "beds: " in found


def test_where_outlets_take_turns_the_row_is_drawn_for_the_turn_of_its_last_outlet() -> None:
    given = answer(outlets=1, tee=True)
    parts = replace(given.layout.parts, together={"morning": (), "evening": ()})
    layout = replace(given.layout, parts=parts)
    outlet = layout.outlets[0].name
    outlets = dict(given.solution.outlets)
    outlets[outlet] = replace(outlets[outlet], group="evening")
    by_group = {}
    for name, result in given.solution.pipes.items():
        if result.running is not None:
            evening = replace(result.running, group="evening", grade_m=result.running.grade_m - 1)
            by_group[name] = {"evening": evening}
    solution = replace(given.solution, outlets=outlets, by_group=by_group)
    turns = replace(given, layout=layout, solution=solution)
    found = words_of(system_figure(turns)).replace("\n", " ")
    assert 'hydraulic grade line, "evening" running' in found
    assert "evening" not in words_of(drawn(outlets=1))


def test_high_and_low_points_are_named_in_full_once_and_shortly_after() -> None:
    given = answer(outlets=1)
    points = [
        Finding(kind=kind, severity="care", where=Where(pipe="delivery", station_m=station))
        for kind, station in (
            ("air-high-point", 90.0), ("air-high-point", 250.0), ("water-low-point", 160.0),
        )
    ]  # fmt: skip
    elsewhere = Finding(kind="air-high-point", severity="care", where=Where(pipe="other"))
    found = [
        text for text, _ in texts_of(system_figure(replace(given, findings=(*points, elsewhere))))
    ]
    assert found.count("high point: air gathers") == 1
    assert found.count("air gathers") == 1
    assert found.count("low point: water stays") == 1


def test_a_drive_pipe_over_ground_that_is_not_surveyed_is_drawn_all_the_same() -> None:
    given = answer(outlets=0, tank=False)
    drive = given.layout.pipes["drive"]
    pipe = replace(drive, profile=replace(drive.profile, between_known=False))
    layout = replace(given.layout, pipes={"drive": pipe})
    found = words_of(system_figure(replace(given, layout=layout)))
    assert "pipe" in found.splitlines()
    assert "ground not surveyed" in found


def test_the_same_answer_gives_the_same_file() -> None:
    given = answer(outlets=1)
    first, second = (figure_bytes(system_figure(given), kind="svg") for _ in range(2))
    assert first == second
