"""The drawing style: stations, scale, exaggeration, and bytes that do not change."""

from __future__ import annotations

import re

import pytest

from terrain_head.base.display import station_words
from terrain_head.base.units import METRIC, US, to_si
from terrain_head.plots.profile_axes import exaggeration_note, scale_profile, station_axis
from terrain_head.plots.sheet import (
    Frame,
    add_axes,
    cut,
    figure_bytes,
    fitted_lines,
    new_sheet,
    station_step_m,
    step_of,
)


@pytest.mark.parametrize(
    ("station", "unit", "written"),
    [(0, "m", "0+000"), (1250, "m", "1+250"), (420, "ft", "4+20"), (99.6, "ft", "1+00")],
)
def test_a_station_is_written_as_on_a_stake(station: float, unit: str, written: str) -> None:
    units = METRIC if unit == "m" else US
    assert written == station_words(to_si(station, unit), units)


def test_a_station_before_the_start_is_negative() -> None:
    assert station_words(-20.0, METRIC) == "-0+020"


@pytest.mark.parametrize("most", [3, 8, 10])
@pytest.mark.parametrize("span", [0.013, 0.5, 7.0, 430.0, 9_999.0])
def test_a_step_is_round_and_cuts_a_span_into_few_enough(span: float, most: int) -> None:
    step = step_of(span, most)
    assert span / step <= most * (1 + 1e-9)
    assert float(f"{step:.0e}") == pytest.approx(step)
    assert f"{step:.0e}"[0] in "125"
    assert span / step > most / 2.6


def test_a_span_of_nothing_has_a_step_all_the_same() -> None:
    assert step_of(0.0, 5) == 1.0
    assert step_of(float("nan"), 5) == 1.0


def test_stations_are_round_in_the_unit_shown() -> None:
    assert station_step_m(430.0, METRIC) == 50.0
    assert to_si(200, "ft") == pytest.approx(station_step_m(430.0, US))


@pytest.mark.parametrize(
    ("x", "y"), [((0.0, 400.0), (0.0, 30.0)), ((0.0, 20.0), (0.0, 40.0)), ((0.0, 3.0), (5.0, 5.0))]
)
def test_the_exaggeration_said_is_the_one_drawn(
    x: tuple[float, float], y: tuple[float, float]
) -> None:
    figure = new_sheet(1000, 500)
    axes = add_axes(figure, Frame(left=60, bottom=50, width=900, height=400))
    factor = scale_profile(axes, x, y)
    across = axes.transData.transform((1.0, 0.0))[0] - axes.transData.transform((0.0, 0.0))[0]
    up = axes.transData.transform((0.0, 1.0))[1] - axes.transData.transform((0.0, 0.0))[1]
    assert factor == pytest.approx(up / across)
    assert axes.get_xlim()[0] <= x[0]
    assert axes.get_xlim()[1] >= x[1]
    assert axes.get_ylim()[0] <= y[0]
    assert axes.get_ylim()[1] >= y[1]


def test_no_exaggeration_is_said_in_other_words() -> None:
    assert "same scale" in exaggeration_note(1.0)


def test_a_long_title_is_cut_to_its_room() -> None:
    short = cut("a very long title " * 20, 300.0, size_pt=12.0)
    assert short.endswith("...")
    assert cut("short", 300.0, size_pt=12.0) == "short"


def test_figures_become_the_same_bytes_each_time() -> None:
    def one(kind: str) -> bytes:
        figure = new_sheet(400, 300)
        add_axes(figure, Frame(left=60, bottom=50, width=300, height=200)).plot([0, 1], [0, 1])
        return figure_bytes(figure, kind="svg" if kind == "svg" else "png")

    assert one("svg") == one("svg")
    assert b"<svg" in one("svg")
    assert one("png").startswith(b"\x89PNG")


def test_a_title_is_folded_between_words_and_never_loses_one() -> None:
    title = "C to F, tank (upper) to the cattle trough by the old sheepfold gate"
    lines = fitted_lines(title, 300.0, size_pt=8.5, heavy=True)
    assert len(lines) == 2
    assert " ".join(lines) == title
    assert fitted_lines("short", 300.0, size_pt=8.5) == ["short"]


def test_where_stations_crowd_the_beginning_of_a_pipe_keeps_its_name() -> None:
    axes = add_axes(new_sheet(500, 300), Frame(left=60, bottom=50, width=400, height=200))
    axes.set_xlim(0, 200)
    stations = [(0.0, "0+000"), (95.0, "0+095"), (100.0, "0+000"), (150.0, "0+050")]
    station_axis(axes, stations, units=METRIC, first=(100.0, 0.0))
    shown = [label.get_text() for label in axes.get_xticklabels()]
    assert shown == ["0+000", "", "0+000", "0+050"]


def test_a_drawing_in_lines_is_no_finer_than_a_hundredth_of_a_point() -> None:
    figure = new_sheet(400, 300)
    axes = add_axes(figure, Frame(left=60, bottom=50, width=300, height=200))
    axes.plot([0, 1 / 3, 2 / 3], [0.1, 2 / 7, 1])
    paths = re.findall(rb' d="([^"]*)"', figure_bytes(figure, kind="svg"))
    assert any(re.search(rb"\.\d\d\b", path) for path in paths)
    assert not any(re.search(rb"\.\d{3}", path) for path in paths)
