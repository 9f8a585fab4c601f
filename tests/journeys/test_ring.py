"""The terraced farm: its ring checked by the raw equations, and told in pictures and words."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from fluids.friction import friction_factor as reference_friction_factor
from matplotlib.patches import Polygon

from terrain_head.assessment.answer import Answer
from terrain_head.base.units import to_si
from terrain_head.plots.pegs import pegs_of
from terrain_head.plots.plan_sheet import middle_out, plan_figure, routes_of
from terrain_head.plots.ring_words import ring_note, water_ways
from terrain_head.plots.runs import water_runs
from terrain_head.plots.system_sheet import system_figure
from terrain_head.report.doubt_tables import doubt_table
from terrain_head.report.ram_tables import stand_table
from terrain_head.report.study_screen import study_screen
from terrain_head.report.tables import outlets_table, pipes_table
from terrain_head.scheme.rings import ring_count, ring_pipes
from terrain_head.workflows.study import answer_choice, open_study
from tests.journeys.answers import SAMPLES, answer, copy_of
from tests.plots.readable import texts_of, troubles

RING = {"upper terrace", "orchard steps", "lower terrace", "yard"}
# As printed in WATER_SUPPLY_CHAPTER, table 6-4: an elbow 0.75, a half shut gate valve 5.6.
# A threaded tee into its branch has 2.0 (MINOR_LOSSES).
COEFFICIENTS = {
    "upper terrace": 2.0 + 0.75,
    "orchard steps": 5.6,
    "lower terrace": 0.0,
    "yard": 2.0,
}


@cache
def farm() -> Answer:
    return answer_choice(open_study(SAMPLES / "terrace_ring" / "study.toml"))


def by_day(folder: Path) -> dict[str, Any]:
    """Return the farm's answer with one group only, so that all flows are of one state."""
    study = copy_of("terrace_ring", folder) / "study.toml"
    text = study.read_text("utf-8")
    text = re.sub(r"^(watering|cart) = .*\n", "", text, flags=re.M)
    study.write_text(text.replace('day = ["house"', 'day = ["house", "trough"'), "utf-8")
    return answer(study)


def flow_of(document: dict[str, Any], pipe: str) -> float:
    return float(to_si(document["pipes"][pipe]["flow"]["value"], "L/min"))


def test_at_each_meeting_place_of_the_ring_as_much_comes_as_goes(tmp_path: Path) -> None:
    document = by_day(tmp_path)
    left = {"gate": 0.0, "house": 0.0, "rows": 0.0, "stable": 0.0, "trough": 0.0}
    for name, pipe in document["pipes"].items():
        for end, sign in (("to", 1.0), ("from", -1.0)):
            if pipe[end] in left:
                left[pipe[end]] += sign * flow_of(document, name)
        if name not in {"fill line", "truck line"}:
            assert pipe["together"] == "day"
    for name, outlet in document["outlets"].items():
        if name in left:
            left[name] -= float(to_si(outlet["flow"]["value"], "L/min"))
    assert list(left.values()) == pytest.approx([0.0] * 5, abs=1e-9 * flow_of(document, "main"))


def test_both_ways_round_the_ring_lose_the_same_head(tmp_path: Path) -> None:
    """From gate to stable over house and rows, and straight: friction by an independent factor."""
    document = by_day(tmp_path)
    bore_m = to_si(32 - 2 * 3.0, "mm")
    viscosity = 1.27e-6  # water of 11 degrees C, between the printed rows for 10 and 15
    lost_m = {}
    for name in RING:
        pipe, flow = document["pipes"][name], flow_of(document, name)
        speed = flow / (np.pi * bore_m**2 / 4)
        assert pipe["velocity"]["value"] == pytest.approx(speed, rel=1e-6)
        factor = reference_friction_factor(Re=abs(speed) * bore_m / viscosity, eD=1.5e-6 / bore_m)
        coefficient = factor * pipe["length"]["value"] / bore_m + COEFFICIENTS[name]
        lost_m[name] = coefficient * speed * abs(speed) / (2 * 9.80665)
    long_way = lost_m["upper terrace"] + lost_m["orchard steps"] - lost_m["lower terrace"]
    assert long_way == pytest.approx(lost_m["yard"], rel=0.005)
    for name, lost in lost_m.items():
        assert document["pipes"][name]["head_loss"]["value"] == pytest.approx(abs(lost), rel=0.01)


def test_cut_open_the_ring_gives_less_at_its_far_end() -> None:
    """All water of the rows then comes past the house, and none of the stable's does."""
    whole = answer(SAMPLES / "terrace_ring")
    cut = answer(SAMPLES / "terrace_ring", "--choice", "open ring")
    drawn = sum(cut["outlets"][name]["flow"]["value"] for name in ("house", "rows"))
    assert cut["pipes"]["upper terrace"]["flow"]["value"] == pytest.approx(drawn, rel=1e-9)
    for name, sign in (("house", -1), ("rows", -1), ("stable", 1)):
        change = (
            cut["outlets"][name]["running_low"]["value"]
            - whole["outlets"][name]["running_low"]["value"]
        )
        assert sign * change > 2.0
    assert whole["outlets"]["house"]["chance"] == 1.0
    assert 0.5 < cut["outlets"]["house"]["chance"] < 0.9
    assert cut["outlets"]["rows"]["flow"]["value"] < whole["outlets"]["rows"]["flow"]["value"]


def test_what_the_drippers_give_follows_their_measured_pair() -> None:
    rows = answer(SAMPLES / "terrace_ring")["outlets"]["rows"]
    each = 4.1 / 60 * (rows["running_low"]["value"] / 100) ** 0.5
    assert rows["flow"]["value"] == pytest.approx(180 * each, rel=1e-6)


def test_the_rings_pipes_are_found() -> None:
    assert ring_pipes(farm().layout) == RING


def test_two_rings_that_share_a_pipe_are_two() -> None:
    layout = farm().layout
    assert ring_count(layout) == 1
    short_cut = replace(layout.pipes["yard"], upstream="house", downstream="stable")
    pipes = {
        **layout.pipes,
        "short cut": replace(short_cut, run=replace(short_cut.run, name="short cut")),
    }
    assert ring_count(replace(layout, pipes=pipes)) == 2
    without = {name: pipe for name, pipe in pipes.items() if name not in {"yard", "short cut"}}
    assert ring_count(replace(layout, pipes=without)) == 0


def test_each_pipe_is_named_at_its_middle_on_the_plan() -> None:
    course = np.array([[0.0, 0.0], [10.0, 0.0]])
    assert middle_out(course)[0] == (5.0, 0.0)
    bent = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 9.0]])
    assert middle_out(bent)[0] == (1.0, 4.0)


def test_the_plan_shows_by_arrows_which_way_the_water_runs() -> None:
    figure = plan_figure(farm())
    assert figure is not None
    assert troubles(figure) == []
    arrows = [patch for patch in figure.axes[0].patches if isinstance(patch, Polygon)]
    assert len(arrows) == len(RING)
    courses = routes_of(farm().layout)
    ways = water_ways(farm())
    for name, arrow in zip(sorted(RING), arrows, strict=True):
        corners = np.asarray(arrow.get_xy())
        heading = corners[1] - (corners[0] + corners[2]) / 2
        drawn = courses[name][-1] - courses[name][0]
        assert np.sign(heading @ drawn) == ways[name]
    assert any("Arrows" in text for text, _ in texts_of(figure))


def test_pegs_without_a_position_leave_the_station_ticks_on_the_plan() -> None:
    figure = plan_figure(farm())
    assert figure is not None
    assert sum(text == "0+050" for text, _ in texts_of(figure)) == len(farm().layout.pipes)


def test_the_profile_says_where_water_runs_against_the_drawing() -> None:
    figure = system_figure(farm())
    assert troubles(figure) == []
    pegs, runs = pegs_of(farm().layout), water_runs(farm())
    notes = {run.title: ring_note(farm(), run, pegs=pegs) for run in runs}
    assert notes == {
        "A to E, spring to rows": "upper terrace and orchard steps are part of a ring",
        "B to G, tank to trough": "yard is part of a ring",
        "B to H, tank to cart": "",
        "F to E, stable to rows": "part of a ring; the water runs from E to F",
    }
    shown = " ".join(text for text, _ in texts_of(figure))
    assert all(note in shown for note in notes.values())


def test_the_screen_counts_the_ring_as_one_and_every_pipe_is_told() -> None:
    said = " ".join(study_screen(farm(), results_folder=None).split())
    assert (
        "fill line 85 m, main 82 m, a ring of 4 pipes 330 m, trough line 62 m, truck line 84 m"
        in said
    )


def test_the_report_names_the_ends_of_a_ring_as_the_water_runs() -> None:
    rows = {row[0]: row for row in pipes_table(farm()).rows}
    assert rows["lower terrace"][1] == "rows to stable, in a ring"
    assert rows["yard"][1] == "gate to stable, in a ring"
    assert rows["main"][1] == "tank to gate"
    assert not any(cell.startswith("-") for row in rows.values() for cell in row if len(cell) > 1)


def test_an_open_end_runs_out_free_whether_the_tank_is_low_or_full() -> None:
    table = outlets_table(farm())
    rows = {row[0]: row for row in table.rows}
    assert rows["trough"][2:4] == ("runs out free", "runs out free")
    # The full tank fills the cart, and that is told instead.
    assert rows["cart"][2:4] == ("runs out free", "2 000 litres in 7 min")
    assert "open end" in table.note


def test_without_a_ram_no_table_speaks_of_one() -> None:
    for table in (stand_table(farm()), doubt_table(farm())):
        assert table.rows
        assert not re.search(r"\b(ram|ram's|lift)\b", table.note)
