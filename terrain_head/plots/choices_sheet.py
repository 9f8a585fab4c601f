"""The choices of a study over each other: their profiles, and their routes on one plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.base.display import show, station_words
from terrain_head.base.middle import middle, middle_along
from terrain_head.base.units import UnitSystem
from terrain_head.plots.ground_sheet import along
from terrain_head.plots.labels import INK, PAPER, Label, LabelField
from terrain_head.plots.map_frame import draw_relief, plan_frame, scale_and_north, shift_of
from terrain_head.plots.pegs import SHAPES, Peg, pegs_of
from terrain_head.plots.plan_sheet import middle_out, routes_of, spots_of
from terrain_head.plots.profile_axes import (
    earth_ticks,
    exaggeration_note,
    height_axis,
    scale_profile,
    station_axis,
    water_level,
)
from terrain_head.plots.runs import water_runs
from terrain_head.plots.sheet import (
    THIN_DASH,
    WATER,
    Frame,
    add_axes,
    head,
    new_sheet,
    station_step_m,
)
from terrain_head.plots.type_boxes import folded
from terrain_head.plots.water_lines import tank_name

FloatArray = NDArray[np.float64]

_DASHES = ("-", (0, (7, 3)), (0, (2, 2)), (0, (9, 2, 2, 2)), (0, (1, 1.5)), (0, (5, 1.5)))
_MARK_PX = 20.0
_WEIGHTS = (1.8, 1.4, 1.4, 1.4, 1.8, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Line:
    """One line for the choices that share it: ground from the source to the tank, its doubt.

    `known` says of each step from one station to the next whether its ground was surveyed.
    """

    names: tuple[str, ...]
    x: FloatArray
    y: FloatArray
    known: NDArray[np.bool_]
    ends: tuple[tuple[str, float], ...]
    std_m: float | None


def choices_profile_figure(answers: Sequence[Answer]) -> Figure:
    """Draw the ground of every choice from the source to its tank, over each other.

    Choices on the same ground share one line; each tank stands at its full level.

    Parameters
    ----------
    answers
        The choices of one study, the main one first.

    Returns
    -------
    matplotlib.figure.Figure
        One sheet, not yet saved.
    """
    first = answers[0]
    units = first.units
    lines = [line for line in _lines(answers) if len(line.x) > 1]
    figure = new_sheet(1320, 620)
    title = f"{first.title}: the choices"
    if not lines:
        head(figure, title, "No pipe is laid yet.")
        return figure
    axes = add_axes(figure, Frame(left=80, bottom=62, width=1170, height=470))
    length = max(float(line.x[-1]) for line in lines)
    heights = np.concatenate(
        [*(line.y for line in lines), [level for line in lines for _, level in line.ends]]
    )
    rise = max(float(np.ptp(heights)), 0.04 * length, 0.4)
    factor = scale_profile(
        axes,
        (-0.05 * length, 1.16 * length),
        (float(heights.min()) - 0.15 * rise, float(heights.max()) + 0.2 * rise),
    )
    height_axis(axes, units)
    step = station_step_m(length, units)
    stations = [(k * step, station_words(k * step, units)) for k in range(int(length / step) + 1)]
    station_axis(axes, stations, units=units, of="the way from the source")
    room = LabelField(axes=axes)
    ends: list[Label] = []
    names: list[Label] = []
    gaps: list[Label] = []
    for number, line in enumerate(lines):
        gaps += _draw_line(axes, line, number)
        room.keep_clear_of_ground(line.x, line.y)
        names.append(
            Label(
                text=folded(", ".join(line.names), width=30),
                anchors=along(line.x, line.y),
                heavy=True,
                weight=2.0,
            )
        )
        ends += _draw_levels(axes, room, line, units)
    room.place(ends)
    room.place(names)
    room.place(gaps)
    head(figure, title, f"Ground from the source to the tank; {exaggeration_note(factor)}")
    return figure


def _draw_line(axes: Axes, line: _Line, number: int) -> Iterator[Label]:
    """Draw a line, thin dashes where nothing was surveyed, and yield what those are called."""
    style = number % len(_DASHES)
    changes = np.flatnonzero(np.diff(line.known)) + 1
    edges = [0, *changes.tolist(), len(line.known)]
    for first, end in pairwise(edges):
        x, y = line.x[first : end + 1], line.y[first : end + 1]
        if not line.known[first]:
            axes.plot(x, y, color=INK, linewidth=0.8, linestyle=THIN_DASH, zorder=3)
            yield Label(
                text="ground not surveyed", anchors=along(x, y), side="below", weight=2.0,
                size_pt=8.0, must=False,
            )  # fmt: skip
            continue
        axes.plot(x, y, color=INK, linewidth=_WEIGHTS[style], linestyle=_DASHES[style], zorder=4)
        if number == 0:
            earth_ticks(axes, x, y)


def _draw_levels(axes: Axes, room: LabelField, line: _Line, units: UnitSystem) -> Iterator[Label]:
    """Draw the full tanks at the end of a line on one post, and yield what they are called.

    A mark that would cover another stands to the left, tied to the post by its water level.
    """
    if not line.ends:
        return
    x, foot = float(line.x[-1]), float(line.y[-1])
    inverse = axes.transData.inverted()
    axes.plot(
        [x, x], [foot, max(level for _, level in line.ends)], color=INK, linewidth=0.9, zorder=3
    )
    marked: list[float] = []
    for name, level in sorted(line.ends, key=lambda end: -end[1]):
        px, py = (float(v) for v in axes.transData.transform((x, level)))
        beside = sum(abs(py - other) < _MARK_PX for other in marked)
        marked.append(py)
        at = float(inverse.transform((px - _MARK_PX * beside, py))[0])
        axes.plot([at, x], [level, level], color=WATER, linewidth=0.9, zorder=3)
        water_level(axes, at, level)
        room.keep_clear_of_mark(at, level, half_px=7.0, up_px=10.0)
        full = show(level, "height", units, std=line.std_m)
        yield Label(
            text=f"{folded(name, width=34)}:\nfull at {full}",
            anchors=((at, level),),
            ink=WATER,
            side="beside" if not beside else "above",
        )


def choices_plan_figure(answers: Sequence[Answer]) -> Figure | None:
    """Draw the routes of every choice on one plan, each named on itself.

    Parameters
    ----------
    answers
        The choices of one study, the main one first.

    Returns
    -------
    matplotlib.figure.Figure or None
        One sheet, not yet saved; None where nothing has a position.
    """
    courses = _courses(answers)
    if not courses:
        return None
    first = answers[0]
    figure, axes = plan_frame(np.vstack([course for _, _, course in courses]))
    heights: list[Label] = []
    mapped = next((answer for answer in answers if answer.grid is not None), None)
    if mapped is not None and mapped.grid is not None:
        shift = shift_of(mapped.ground)
        heights = draw_relief(axes, mapped.grid, units=first.units, shift_m=shift)
    room = LabelField(axes=axes)
    shared = list(dict.fromkeys(choices for _, choices, _ in courses))
    for _, choices, course in courses:
        style = shared.index(choices) % len(_DASHES)
        axes.plot(
            course[:, 0],
            course[:, 1],
            color=INK,
            linewidth=_WEIGHTS[style],
            linestyle=_DASHES[style],
            zorder=4,
        )
        room.keep_clear(course[:, 0], course[:, 1])
    places = _places(answers)
    room.place(places)
    room.place(
        Label(text=name, anchors=middle_out(course), heavy=True, weight=1.5, size_pt=8.0)
        for name, _, course in courses
    )
    room.place(heights)
    for label in places:
        axes.plot(
            [label.anchors[0][0]], [label.anchors[0][1]], "o", color=INK, markerfacecolor=PAPER,
            markersize=5, zorder=6,
        )  # fmt: skip
    scale_and_north(axes, first.units)
    head(figure, f"{first.title}: the choices on the plan", _plan_note(courses, places))
    return figure


def _lines(answers: Sequence[Answer]) -> list[_Line]:
    found: list[_Line] = []
    for answer in answers:
        x, y, known = _way(answer)
        end = _tank_level(answer)
        ends: tuple[tuple[str, float], ...] = ((answer.choice, end),) if end is not None else ()
        same = next((i for i, line in enumerate(found) if _alike(line, x, y, known)), None)
        if same is None:
            found.append(
                _Line(
                    names=(answer.choice,),
                    x=x,
                    y=y,
                    known=known,
                    ends=ends,
                    std_m=_std_at_end(answer),
                )
            )
            continue
        line = found[same]
        levels = [level for _, level in line.ends]
        if ends and any(abs(ends[0][1] - level) < 0.005 for level in levels):
            at = next(i for i, level in enumerate(levels) if abs(ends[0][1] - level) < 0.005)
            name, level = line.ends[at]
            merged = (f"{name}, {answer.choice}", level)
            ends = (*line.ends[:at], merged, *line.ends[at + 1 :])
        else:
            ends = (*line.ends, *ends)
        found[same] = replace(line, names=(*line.names, answer.choice), ends=ends)
    return found


def _alike(line: _Line, x: FloatArray, y: FloatArray, known: NDArray[np.bool_]) -> bool:
    return (
        len(line.x) == len(x)
        and bool((line.known == known).all())
        and bool(np.allclose(line.x, x, atol=0.01))
        and bool(np.allclose(line.y, y, atol=0.005))
    )


def _main_pipes(answer: Answer) -> list[str]:
    """Pipes of the first row as far as the first tank, or all of it where there is none."""
    runs = water_runs(answer)
    if not runs:
        return []
    names = list(runs[0].pipes)
    for i, name in enumerate(names):
        if tank_name(answer.layout.pipes[name].downstream) in answer.layout.full_m:
            return names[: i + 1]
    return names


def _way(answer: Answer) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """Return distance and ground at each station, and which steps between them are surveyed."""
    x, y, start = [np.zeros(0)], [np.zeros(0)], 0.0
    known = [np.zeros(0, dtype=np.bool_)]
    for name in _main_pipes(answer):
        profile = answer.layout.pipes[name].profile
        x.append(start + profile.station_m - profile.station_m[0])
        y.append(middle_along(profile.elevation_m))
        known.append(np.full(len(profile.station_m), profile.between_known))
        start += profile.plan_length_m
    return np.concatenate(x), np.concatenate(y), np.concatenate(known)[1:]


def _tank_level(answer: Answer) -> float | None:
    names = _main_pipes(answer)
    if not names:
        return None
    name = tank_name(answer.layout.pipes[names[-1]].downstream)
    full = answer.layout.full_m.get(name)
    return None if full is None else middle(full)


def _std_at_end(answer: Answer) -> float | None:
    names = _main_pipes(answer)
    std = float(answer.layout.pipes[names[-1]].profile.std_m[-1]) if names else float("nan")
    return std if np.isfinite(std) else None


def _courses(answers: Sequence[Answer]) -> list[tuple[str, tuple[str, ...], FloatArray]]:
    """Each different course once: its name, the choices that follow it, its positions."""
    found: list[tuple[str, list[str], FloatArray]] = []
    for answer in answers:
        for pipe, course in routes_of(answer.layout).items():
            for name, choices, other in found:
                if name == pipe and len(other) == len(course) and np.allclose(other, course):
                    choices.append(answer.choice)
                    break
            else:
                found.append((pipe, [answer.choice], course))
    everywhere = len(answers)
    return [
        (
            folded(
                pipe if len(choices) == everywhere else f"{', '.join(choices)}: {pipe}", width=26
            ),
            tuple(choices),
            course,
        )
        for pipe, choices, course in found
    ]


def _plan_note(
    courses: Sequence[tuple[str, tuple[str, ...], FloatArray]], places: Sequence[Label]
) -> str:
    """Say how the plan is read, no more than it needs."""
    shared = len({choices for _, choices, _ in courses}) == 1
    note = "" if shared else "A line that not every choice has bears the names of its choices. "
    if any(label.tag[-1].isdigit() for label in places):
        note += "A number behind a letter: the place that has this letter in another choice."
    return note.strip() or "Every choice has the same lines."


def _places(answers: Sequence[Answer]) -> list[Label]:
    """Every place once, and no letter twice; one that some choices have only names them."""
    pegs: dict[str, tuple[Peg, tuple[float, float]]] = {}
    choices: dict[str, list[str]] = {}
    for answer in answers:
        found = pegs_of(answer.layout)
        for node, at in spots_of(answer.layout, found).items():
            peg = found[node]
            pegs.setdefault(peg.place, (peg, at))
            choices.setdefault(peg.place, []).append(answer.choice)
    letters: Counter[str] = Counter()
    labels = []
    for place, (peg, at) in pegs.items():
        letters[peg.letter] += 1
        again = letters[peg.letter]
        everywhere = len(choices[place]) == len(answers)
        whose = "" if everywhere else f"{', '.join(choices[place])}: "
        labels.append(
            Label(
                text=peg.word if everywhere else folded(whose + peg.word.replace("\n", " ")),
                anchors=(at,),
                tag=peg.letter if again == 1 else f"{peg.letter}{again}",
                shape=SHAPES[peg.kind],
                weight=0.6,
            )
        )
    return labels
