"""The plan: where everything stands and where the pipes go, seen from above."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.plots.labels import INK, Label, LabelField
from terrain_head.plots.map_frame import (
    draw_relief,
    draw_route,
    draw_way,
    plan_frame,
    scale_and_north,
    shift_of,
)
from terrain_head.plots.pegs import SHAPES, Peg, pegs_of
from terrain_head.plots.ring_words import water_ways
from terrain_head.plots.runs import water_runs
from terrain_head.plots.sheet import head, station_step_m
from terrain_head.plots.system_sheet import heading
from terrain_head.plots.type_boxes import folded
from terrain_head.scheme.layout import Layout

FloatArray = NDArray[np.float64]


def plan_figure(answer: Answer) -> Figure | None:
    """Draw the plan: relief where there is a raster, routes with stations, lettered pegs.

    Letters and stations are those of the profile.

    Parameters
    ----------
    answer
        One choice of a study.

    Returns
    -------
    matplotlib.figure.Figure or None
        One sheet, not yet saved; None where nothing has a position.
    """
    layout = answer.layout
    pegs = pegs_of(layout)
    spots = spots_of(layout, pegs)
    routes = routes_of(layout)
    points = [*(np.array([at]) for at in spots.values()), *routes.values()]
    if not points or len(np.unique(np.vstack(points), axis=0)) < 2:
        return None
    figure, axes = plan_frame(np.vstack(points))
    heights: list[Label] = []
    if answer.grid is not None:
        shift = shift_of(answer.ground)
        heights = draw_relief(axes, answer.grid, units=answer.units, shift_m=shift)
    room = LabelField(axes=axes)
    runs = water_runs(answer)
    step = station_step_m(runs[0].length_m, answer.units)
    ticks: list[Label] = []
    for name in routes:
        ticks += draw_route(
            axes, room, profile=layout.pipes[name].profile, units=answer.units, step_m=step
        )
    ways = water_ways(answer)
    for name in [name for name in ways if name in routes]:
        draw_way(axes, room, course=routes[name] if ways[name] > 0 else routes[name][::-1])
    for x, y in spots.values():
        axes.plot([x], [y], "o", color=INK, markersize=4.5, zorder=6)
    room.place(
        Label(
            text=peg.word,
            anchors=(spots[node],),
            tag=peg.letter,
            shape=SHAPES[peg.kind],
            weight=0.6,
        )
        for node, peg in pegs.items()
        if node in spots
    )
    room.place(
        Label(text=folded(name, width=26), anchors=middle_out(routes[name]), size_pt=7.5,
              must=False, weight=1.5)
        for name in routes
    )  # fmt: skip
    room.place(ticks)
    room.place(heights)
    scale_and_north(axes, answer.units)
    missing = [peg.word.replace("\n", " ") for node, peg in pegs.items() if node not in spots]
    note = "Grey relief lit from the north-west" if answer.grid is not None else "No height raster"
    if missing:
        note += f"; no position is known for {', '.join(missing)}"
    note += ". Ticks: stations, as on the profile."
    if ways.keys() & routes.keys():
        note += " Arrows: which way the water runs in the ring."
    head(figure, f"{heading(answer)}: plan", note)
    return figure


def spots_of(layout: Layout, pegs: dict[str, Peg]) -> dict[str, tuple[float, float]]:
    """Return where each node stands, for those that have a position.

    Parameters
    ----------
    layout
        The scheme.
    pegs
        Its places.

    Returns
    -------
    dict
        East and north by the node [m].
    """
    ground = layout.ground
    found: dict[str, tuple[float, float]] = {}
    for node, peg in pegs.items():
        if peg.place in ground.names:
            i = ground.place(peg.place)
            found[node] = (float(ground.east_m[i]), float(ground.north_m[i]))
    for pipe in layout.pipes.values():
        for node, i in ((pipe.upstream, 0), (pipe.downstream, -1)):
            if not np.isfinite(found.get(node, (np.nan, np.nan))).all():
                found[node] = (float(pipe.profile.east_m[i]), float(pipe.profile.north_m[i]))
    return {node: at for node, at in found.items() if np.isfinite(at).all()}


def routes_of(layout: Layout) -> dict[str, FloatArray]:
    """Return the course of each pipe that has one, shape (n, 2), by its name [m]."""
    courses = {}
    for name, pipe in layout.pipes.items():
        course = np.column_stack([pipe.profile.east_m, pipe.profile.north_m])
        course = course[np.isfinite(course).all(axis=1)]
        if len(course) > 1:
            courses[name] = course
    return courses


def middle_out(course: FloatArray) -> tuple[tuple[float, float], ...]:
    """Return spots along a course where its name may stand, the middle first."""
    shares = np.array([0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8])
    leg = np.hypot(*np.diff(course, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(leg)])
    east, north = (np.interp(shares * along[-1], along, axis) for axis in course.T)
    return tuple((float(x), float(y)) for x, y in zip(east, north, strict=True))
