"""The whole system in one profile, laid end to end along the water's way."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from terrain_head.assessment.answer import Answer
from terrain_head.base.amounts import length_amount
from terrain_head.base.middle import middle
from terrain_head.base.units import UnitSystem
from terrain_head.plots.ground_sheet import stations_of
from terrain_head.plots.labels import INK, Label, LabelField
from terrain_head.plots.pegs import pegs_of
from terrain_head.plots.profile_axes import (
    exaggeration_note,
    height_axis,
    scale_profile,
    station_axis,
)
from terrain_head.plots.ring_words import ring_note
from terrain_head.plots.row_drawing import draw_row
from terrain_head.plots.runs import Run, water_runs
from terrain_head.plots.sheet import (
    Frame,
    add_axes,
    cut,
    fitted_lines,
    head,
    new_sheet,
    station_step_m,
)
from terrain_head.plots.type_boxes import folded
from terrain_head.plots.water_lines import Row, tank_name
from terrain_head.scheme.layout import Layout

_HOW_TO_READ = (
    "Long dashes: the hydraulic grade line, as high as water would climb in an open upright pipe "
    "while it runs. Dots: the static line, the same with nothing running."
)
_WIDTH = 1320.0
_HEAD = 94.0
_MAIN = 440.0
_SMALL = 270.0
_STRIP = 98.0
_LEFT, _RIGHT = 78.0, 62.0
_TITLE = 48.0
_LINE = 18.0
_MARGINS = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Panel:
    run: Run
    frame: Frame


def system_figure(answer: Answer) -> Figure:
    """Draw the whole system: source, drive pipe, ram, delivery, tank, supply pipes, outlets.

    The first drawing goes from the source to the outlet with the least pressure to spare; further
    branches follow below, each from the water surface that feeds it.

    Parameters
    ----------
    answer
        One choice of a study.

    Returns
    -------
    matplotlib.figure.Figure
        One sheet, not yet saved.
    """
    runs = water_runs(answer)
    if not runs:
        figure = new_sheet(_WIDTH, 160)
        head(figure, heading(answer), "No pipe is laid yet.")
        return figure
    columns = min(3, max(1, len(runs) - 1))
    rows = -(-(len(runs) - 1) // columns)
    pegs = pegs_of(answer.layout)
    notes = [ring_note(answer, run, pegs=pegs) for run in runs]
    title = _title_height(runs, notes, columns=columns)
    height = _HEAD + _MAIN + _STRIP + rows * (title + _SMALL + _STRIP)
    figure = new_sheet(_WIDTH, height)
    step = station_step_m(runs[0].length_m, answer.units)
    factor = 1.0
    told: set[str] = set()
    for panel in _panels(runs, columns=columns, height=height, title=title):
        main = panel.run is runs[0]
        axes = add_axes(figure, panel.frame)
        row = Row(
            answer=answer,
            run=panel.run,
            pegs=pegs,
            told=frozenset(node for node in told if pegs[node].kind == "tank"),
        )
        told |= row.nodes
        low, high = row.heights()
        rise = max(high - low, 0.04 * panel.run.length_m, 0.4)
        factor_here = scale_profile(
            axes,
            (-(0.19 if main else 0.11) * panel.run.length_m, 1.07 * panel.run.length_m),
            (low - (0.2 if main else 0.42) * rise, high + (0.3 if main else 0.4) * rise),
        )
        height_axis(axes, answer.units, most=8 if main else 5)
        here = step if main else _own_step(panel, answer.units)
        station_axis(
            axes,
            _stations(answer, panel.run, here),
            units=answer.units,
            of="each pipe",
            first=_beginnings(answer.layout, panel.run),
        )
        _dimensions(axes, panel, answer.layout, answer.units)
        draw_row(row, axes)
        if main:
            factor = factor_here
        else:
            under = [ring_note(answer, panel.run, pegs=pegs), exaggeration_note(factor_here)]
            _panel_title(axes, panel, panel.run.title, [note for note in under if note])
    running = any(result.running is not None for result in answer.solution.pipes.values())
    head(
        figure,
        heading(answer),
        "; ".join(part for part in (runs[0].title, notes[0], exaggeration_note(factor)) if part),
        *([_HOW_TO_READ] if running else []),
    )
    return figure


def heading(answer: Answer) -> str:
    """Return the title of a drawing: the study's, and the choice where it is not the main one."""
    return answer.title if answer.choice == "main" else f"{answer.title}, choice {answer.choice}"


def _title_height(runs: tuple[Run, ...], notes: list[str], *, columns: int) -> float:
    room = _WIDTH / columns - _MARGINS
    lines = [
        len(fitted_lines(run.title, room, size_pt=8.5, heavy=True))
        + (len(fitted_lines(note, room, size_pt=8.5)) if note else 0)
        for run, note in zip(runs[1:], notes[1:], strict=True)
    ]
    return _TITLE + _LINE * (max(lines, default=1) - 1)


def _panels(runs: tuple[Run, ...], *, columns: int, height: float, title: float) -> list[_Panel]:
    top = height - _HEAD - _MAIN
    panels = [
        _Panel(
            run=runs[0],
            frame=Frame(left=_LEFT, bottom=top, width=_WIDTH - _LEFT - _RIGHT, height=_MAIN),
        )
    ]
    width = _WIDTH / columns
    for number, run in enumerate(runs[1:]):
        row, column = divmod(number, columns)
        bottom = top - _STRIP - (row + 1) * (title + _SMALL) - row * _STRIP
        frame = Frame(
            left=column * width + _LEFT,
            bottom=bottom,
            width=width - _LEFT - _RIGHT,
            height=_SMALL,
        )
        panels.append(_Panel(run=run, frame=frame))
    return panels


def _own_step(panel: _Panel, units: UnitSystem) -> float:
    most = max(2, int(panel.frame.width / 90))
    return station_step_m(panel.run.length_m * 10 / most, units)


def _stations(answer: Answer, run: Run, step_m: float) -> list[tuple[float, str]]:
    found: list[tuple[float, str]] = []
    for name, start in zip(run.pipes, run.starts_m, strict=True):
        profile = answer.layout.pipes[name].profile
        offset = start - float(profile.station_m[0])
        found += [
            (offset + at, text) for at, text in stations_of(profile, answer.units, step_m=step_m)
        ]
    return sorted(found)


def _beginnings(layout: Layout, run: Run) -> tuple[float, ...]:
    """Return where the pipes of a row begin, those at a tank first [m]."""
    at_tank = [tank_name(layout.pipes[name].upstream) in layout.full_m for name in run.pipes]
    ordered = sorted(zip(at_tank, run.starts_m, strict=True), key=lambda each: not each[0])
    return tuple(start for _, start in ordered)


def _dimensions(axes: Axes, panel: _Panel, layout: Layout, units: UnitSystem) -> None:
    """Write each pipe's name and length under its stretch, between two strokes."""
    frame = panel.frame
    y = frame.bottom - 53.0
    room = LabelField(
        axes=axes,
        region_px=(
            frame.left - _LEFT + 4,
            frame.bottom - _STRIP + 2,
            frame.left + frame.width + _RIGHT - 4,
            y - 2,
        ),
    )
    inverse = axes.transData.inverted()
    labels = []
    for name, start in zip(panel.run.pipes, panel.run.starts_m, strict=True):
        pipe = layout.pipes[name]
        end = start + pipe.profile.plan_length_m
        left, right = (float(v) for v in axes.transData.transform([(start, 0.0), (end, 0.0)])[:, 0])
        _stroke(axes, (left + 1, y), (right - 1, y))
        for x in (left, right):
            _stroke(axes, (x, y - 4), (x, y + 4))
        length = middle(pipe.length_m)
        shown = length_amount(length, units)
        word = name if "pipe" in name or pipe.role not in {"drive", "delivery"} else f"{name} pipe"
        at = inverse.transform(((left + right) / 2, y))
        labels.append(
            Label(
                text=folded(f"{word}  {shown}", width=34),
                anchors=((float(at[0]), float(at[1])),),
                side="below",
                size_pt=8.0,
            )
        )
    room.place(labels)


def _stroke(axes: Axes, start: tuple[float, float], end: tuple[float, float]) -> None:
    figure = axes.get_figure(root=True)
    if figure is None:
        return
    (x0, y0), (x1, y1) = figure.transFigure.inverted().transform(np.array([start, end]))
    figure.add_artist(Line2D([x0, x1], [y0, y1], color=INK, linewidth=0.7))


def _panel_title(axes: Axes, panel: _Panel, title: str, notes: list[str]) -> None:
    figure = axes.get_figure(root=True)
    if figure is None:
        return
    left, y = panel.frame.left - _LEFT + 20, panel.frame.bottom + panel.frame.height + 9
    room = panel.frame.width + _LEFT + _RIGHT - _MARGINS
    lines = fitted_lines(title, room, size_pt=8.5, heavy=True)
    notes = [line for note in notes for line in fitted_lines(note, room, size_pt=8.5)]
    words = [*((line, True) for line in lines), *((line, False) for line in notes)]
    for text, heavy in reversed(words):
        at = figure.transFigure.inverted().transform((left, y))
        figure.text(
            float(at[0]),
            float(at[1]),
            cut(text, room, size_pt=8.5, heavy=heavy),
            fontsize=8.5,
            fontweight="bold" if heavy else "normal",
            color=INK,
            ha="left",
            va="bottom",
        )
        y += _LINE
