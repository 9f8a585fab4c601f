"""Drawing one row of pipes on its ground, tanks on their stands, and what is wrong."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle
from terrain_head.plots.ground_sheet import along, draw_ground
from terrain_head.plots.labels import INK, PAPER, Label, LabelField
from terrain_head.plots.profile_axes import water_level
from terrain_head.plots.row_words import line_names, peg_labels, point_labels
from terrain_head.plots.sheet import DOTS, LONG_DASH, WATER
from terrain_head.plots.water_lines import PipeLines, Row, tank_name

FloatArray = NDArray[np.float64]

_TROUBLE_WORDS = {
    "pressure-negative": "no pressure: pipe above the hydraulic grade line",
    "pressure-over-rating": "more pressure than the pipe is rated for",
    "drive-rises": "drive pipe rises",
}


def draw_row(row: Row, axes: Axes) -> None:
    """Draw everything of a row and place its words.

    Parameters
    ----------
    row
        The row.
    axes
        The profile; its limits are final.
    """
    room = LabelField(axes=axes)
    for line in row.lines:
        known = line.pipe.profile.between_known
        draw_ground(axes, room, x=line.x, y=line.ground, band=line.band, known=known)
        _draw_pipe(row, axes, room, line)
    _draw_static(row, axes, room)
    _draw_grade(row, axes, room)
    words = list(_trouble(row, axes))
    for node, x, ground in row.places():
        _draw_node(row, axes, room, node, x=x, ground=ground)
    room.place(peg_labels(row))
    room.place(words)
    room.place(line_names(row, axes))
    room.place(point_labels(row, axes))


def _draw_pipe(row: Row, axes: Axes, room: LabelField, line: PipeLines) -> None:
    pipe = line.pipe
    if pipe.profile.between_known or pipe.role == "drive":
        axes.plot(line.x, line.level, color=INK, linewidth=1.1, zorder=4)
        room.keep_clear(line.x, line.level)
    for node, i in ((pipe.upstream, 0), (pipe.downstream, -1)):
        for level in _pipe_ends(row, node, entering=i == -1):
            x = float(line.x[i])
            axes.plot([x, x], [float(line.level[i]), level], color=INK, linewidth=1.1, zorder=4)


def _pipe_ends(row: Row, node: str, *, entering: bool) -> list[float]:
    layout, name = row.answer.layout, tank_name(node)
    if name in layout.deck_m:
        return [middle((layout.inlet_m if entering else layout.deck_m)[name])]
    return [] if node == "source" else row.levels_at(node)


def _draw_static(row: Row, axes: Axes, room: LabelField) -> None:
    for line in row.lines:
        if line.static is None or line.pipe.role == "drive":
            continue
        ends = [float(line.x[0]), float(line.x[-1])]
        axes.plot(ends, [line.static] * 2, color=WATER, linewidth=1.2, linestyle=DOTS, zorder=4)
        room.keep_clear(ends, [line.static] * 2)


def _draw_grade(row: Row, axes: Axes, room: LabelField) -> None:
    before: float | None = None
    for line in row.lines:
        grade = line.grade
        if line.pipe.role == "drive" and line.static is not None:
            grade = np.full(len(line.x), line.static)
        if grade is None:
            before = None
            continue
        if line.pipe.upstream == "ram" and before is not None:
            x = float(line.x[0])
            axes.annotate(
                "",
                xy=(x, float(grade[0])),
                xytext=(x, before),
                arrowprops={
                    "arrowstyle": "-|>,head_width=0.22,head_length=0.5",
                    "color": WATER,
                    "linewidth": 1.2,
                    "shrinkA": 0,
                    "shrinkB": 0,
                },
                zorder=4,
            )
            room.keep_clear([x, x], [before, float(grade[0])])
        axes.plot(line.x, grade, color=WATER, linewidth=1.4, linestyle=LONG_DASH, zorder=5)
        room.keep_clear(line.x, grade)
        before = float(grade[-1])


def _draw_node(
    row: Row, axes: Axes, room: LabelField, node: str, *, x: float, ground: float
) -> None:
    layout, name = row.answer.layout, tank_name(node)
    if node == "source" and layout.source_level_m is not None:
        water_level(axes, x, middle(layout.source_level_m))
        room.keep_clear_of_mark(x, middle(layout.source_level_m), half_px=7.0, up_px=10.0)
    elif node == "ram":
        axes.plot([x], [row.levels_at(node)[0]], "s", color=INK, markersize=5, zorder=6)
    elif name in layout.deck_m:
        _draw_tank(row, axes, room, name, x=x, ground=ground)
    elif row.pegs[node].kind == "outlet":
        for level in row.levels_at(node):
            axes.plot([x], [level], "o", color=INK, markerfacecolor=PAPER, markersize=4.5, zorder=6)
    else:
        axes.plot([x], [ground], ".", color=INK, markersize=5, zorder=6)


def _draw_tank(
    row: Row, axes: Axes, room: LabelField, name: str, *, x: float, ground: float
) -> None:
    layout = row.answer.layout
    deck, full = middle(layout.deck_m[name]), middle(layout.full_m[name])
    top = max(full, middle(layout.inlet_m[name]))
    pixel = 1.0 / float(np.ptp(axes.transData.transform([(0.0, 0.0), (1.0, 0.0)])[:, 0]))
    half = 13.0 * pixel
    tank = Rectangle((x - half, deck), 2 * half, top - deck, facecolor=PAPER, edgecolor=INK)
    tank.set(linewidth=1.1, zorder=3.5)
    axes.add_patch(tank)
    water = Rectangle((x - half, deck), 2 * half, full - deck, facecolor=WATER, alpha=0.22)
    water.set_zorder(3.6)
    axes.add_patch(water)
    if deck > ground:
        for side in (-0.85, 0.85):
            axes.plot([x + side * half] * 2, [ground, deck], color=INK, linewidth=1.1, zorder=3)
    water_level(axes, x, full)
    for side in (-half, 0.0, half):
        room.keep_clear([x + side] * 2, [ground, top])


def _trouble(row: Row, axes: Axes) -> Iterator[Label]:
    """Thicken each stretch that a finding is about, and name it."""
    for finding in row.answer.findings:
        word = _TROUBLE_WORDS.get(finding.kind)
        line = next((each for each in row.lines if each.pipe.name == finding.where.pipe), None)
        if word is None or line is None:
            continue
        bad = _bad_stations(row.answer, line, kind=finding.kind)
        if not bad.any() and finding.where.station_m is not None:
            along_pipe = np.abs(line.pipe.profile.station_m - finding.where.station_m)
            bad[int(along_pipe.argmin())] = True
        for stretch in _stretches(bad):
            x, y = line.x[stretch], line.level[stretch]
            axes.plot(x, y, color=INK, linewidth=4.2, zorder=4, solid_capstyle="butt")
            yield Label(text=word, anchors=along(x, y, count=3), heavy=True, side="below")


def _bad_stations(answer: Answer, line: PipeLines, *, kind: str) -> NDArray[np.bool_]:
    """Return at which stations a pipe offends, shape (n,)."""
    none = np.zeros(len(line.x), dtype=np.bool_)
    if kind == "pressure-negative" and line.grade is not None:
        return np.asarray(line.grade < line.level)
    if kind == "drive-rises":
        rising = np.diff(line.level) > 1e-6
        return np.asarray(np.append(rising, False) | np.insert(rising, 0, False))
    spec, result = line.pipe.spec, answer.solution.pipes.get(line.pipe.name)
    if kind != "pressure-over-rating" or spec is None or result is None:
        return none
    bears = spec.rating_at(answer.layout.parts.water_temperature_c)
    if bears is None or result.max_static_pa is None or line.static is None:
        return none
    under = line.static - line.level
    return np.asarray(under * middle(result.max_static_pa) > bears * under.max())


def _stretches(bad: NDArray[np.bool_]) -> Iterator[slice]:
    """Yield the stretches of stations that are bad, each at least two stations long."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], bad.astype(int), [0]])))
    for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        yield slice(max(first - 1, 0), max(end, 2)) if end - first < 2 else slice(first, end)
