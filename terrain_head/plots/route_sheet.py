"""Routes that were found: on the plan, named on themselves, and the ground under each."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from terrain_head.base.display import show, station_words
from terrain_head.base.middle import middle_along
from terrain_head.plots.ground_sheet import along
from terrain_head.plots.labels import INK, PAPER, Label, LabelField
from terrain_head.plots.map_frame import draw_relief, plan_frame, scale_and_north, shift_of
from terrain_head.plots.profile_axes import (
    earth_ticks,
    exaggeration_note,
    height_axis,
    scale_profile,
    station_axis,
)
from terrain_head.plots.sheet import Frame, add_axes, head, new_sheet, station_step_m
from terrain_head.plots.type_boxes import folded
from terrain_head.search.route_options import RouteAnswer, RouteOption

FloatArray = NDArray[np.float64]

_DASHES = ("-", (0, (7, 3)), (0, (2, 2)), (0, (9, 2, 2, 2)))
_WEIGHTS = (2.0, 1.4, 1.4, 1.4)
_WORTH_M = 0.2


def routes_plan_figure(answer: RouteAnswer) -> Figure:
    """Draw the routes over the relief, each named on itself.

    Parameters
    ----------
    answer
        The routes on their ground.

    Returns
    -------
    matplotlib.figure.Figure
        One sheet, not yet saved.
    """
    ways = answer.shown
    figure, axes = plan_frame(np.vstack([way.corners_m for way in ways]))
    heights = draw_relief(axes, answer.grid, units=answer.units, shift_m=shift_of(answer.ground))
    room = LabelField(axes=axes)
    for number, way in enumerate(ways):
        _draw_way(axes, room, way, number=_style(answer, way, number))
    ends = [
        Label(text=folded(name), anchors=((float(x), float(y)),), tag=letter, weight=0.6)
        for (x, y), name, letter in zip(
            ways[0].corners_m[[0, -1]], (answer.start, answer.end), ("A", "B"), strict=True
        )
    ]
    room.place(ends)
    room.place(
        Label(text=_name(answer, way), anchors=_spots(way), heavy=True, weight=1.5, size_pt=8.0)
        for way in ways
    )
    room.place(heights)
    for label in ends:
        axes.plot(
            [label.anchors[0][0]], [label.anchors[0][1]], "o", color=INK, markerfacecolor=PAPER,
            markersize=5, zorder=6,
        )  # fmt: skip
    scale_and_north(axes, answer.units)
    head(
        figure,
        f"{answer.title}: from {answer.start} to {answer.end}",
        "Grey relief lit from the north-west. Dots: where a leg ends and the next begins.",
    )
    return figure


def routes_profile_figure(answer: RouteAnswer) -> Figure:
    """Draw the ground under each route, over each other, with the highest point of each.

    Parameters
    ----------
    answer
        The routes on their ground.

    Returns
    -------
    matplotlib.figure.Figure
        One sheet, not yet saved.
    """
    ways, units = answer.shown, answer.units
    figure = new_sheet(1320, 600)
    axes = add_axes(figure, Frame(left=80, bottom=62, width=1160, height=450))
    length = max(way.profile.plan_length_m for way in ways)
    heights = np.concatenate([middle_along(way.profile.elevation_m) for way in ways])
    rise = max(float(np.ptp(heights)), 0.04 * length, 0.4)
    factor = scale_profile(
        axes,
        (-0.04 * length, 1.06 * length),
        (float(heights.min()) - 0.2 * rise, float(heights.max()) + 0.25 * rise),
    )
    height_axis(axes, units)
    step = station_step_m(length, units)
    stations = [(k * step, station_words(k * step, units)) for k in range(int(length / step) + 1)]
    station_axis(axes, stations, units=units, of=f"the way from {answer.start}")
    room = LabelField(axes=axes)
    for number, way in enumerate(ways):
        x, y = way.profile.station_m, middle_along(way.profile.elevation_m)
        style = _style(answer, way, number)
        axes.plot(
            x, y, color=INK, linewidth=_WEIGHTS[style], linestyle=_DASHES[style], zorder=4 - style
        )
        if number == 0:
            earth_ticks(axes, x, y)
        room.keep_clear_of_ground(x, y)
    room.place(
        Label(
            text=_name(answer, way),
            anchors=along(way.profile.station_m, middle_along(way.profile.elevation_m)),
            heavy=True,
            weight=2.0,
        )
        for way in ways
    )
    room.place(_highest(answer, way) for way in ways if _stands_out(way))
    head(
        figure,
        f"{answer.title}: the ground from {answer.start} to {answer.end}",
        f"Heights of the raster; {exaggeration_note(factor)}",
    )
    return figure


def _draw_way(axes: Axes, room: LabelField, way: RouteOption, *, number: int) -> None:
    east, north = way.corners_m.T
    axes.plot(
        east, north, color=INK, linewidth=_WEIGHTS[number], linestyle=_DASHES[number], zorder=4,
        solid_joinstyle="round",
    )  # fmt: skip
    axes.plot(east[1:-1], north[1:-1], "o", color=INK, markersize=3.0, zorder=5)
    room.keep_clear(way.profile.east_m, way.profile.north_m)


def _style(answer: RouteAnswer, way: RouteOption, number: int) -> int:
    return 2 if way is answer.straight else min(number, 1) if number < 2 else 3


def _name(answer: RouteAnswer, way: RouteOption) -> str:
    if way is answer.straight:
        return "straight"
    return f"route {answer.options.index(way) + 1}"


def _spots(way: RouteOption) -> tuple[tuple[float, float], ...]:
    """Return spots along a route where its name may stand, the middle first."""
    profile = way.profile
    at = [int(share * _last(way)) for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)]
    return tuple((float(profile.east_m[i]), float(profile.north_m[i])) for i in at)


def _stands_out(way: RouteOption) -> bool:
    """Say whether the highest point of a route is worth a word beside the higher end."""
    height = middle_along(way.profile.elevation_m)
    return float(height[way.highest] - height[[0, -1]].max()) > _WORTH_M


def _last(way: RouteOption) -> int:
    return len(way.profile.station_m) - 1


def _highest(answer: RouteAnswer, way: RouteOption) -> Label:
    at = way.highest
    height, std = float(way.profile.elevation_m[at]), float(way.profile.std_m[at])
    shown = show(height, "height", answer.units, std=std if np.isfinite(std) else None)
    station = float(way.profile.station_m[at])
    return Label(
        text=f"{_name(answer, way)}: highest {shown}\nat {station_words(station, answer.units)}",
        anchors=((station, height),),
        side="above",
        must=False,
    )
