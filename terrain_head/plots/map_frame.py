"""The plan's ground: grey relief, height lines, routes with their station ticks, scale, north."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from terrain_head.base.display import in_unit, unit_for
from terrain_head.base.units import UnitSystem
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import Ground, GroundProfile
from terrain_head.plots.ground_sheet import stations_of
from terrain_head.plots.labels import INK, Label, LabelField
from terrain_head.plots.sheet import DPI, WATER, Frame, add_axes, new_sheet, step_of, tick_text
from terrain_head.plots.type_boxes import dense, text_size

FloatArray = NDArray[np.float64]

_MESH = 320
_LIGHT = (-0.5, 0.5, 0.7071)
_SLOT_PX = 980.0
_MARGIN = 24.0
_HEAD = 74.0
_FOOT = 52.0


def plan_frame(points: FloatArray) -> tuple[Figure, Axes]:
    """Return a sheet with one axes, north up, both scales equal, round the points given.

    Parameters
    ----------
    points
        Positions that must show, shape (n, 2) [m].
    """
    low, high = points.min(axis=0), points.max(axis=0)
    span = np.maximum(high - low, 8.0)
    room = 0.2 * float(span.max())
    east, north = (float(v) for v in span + 2 * room)
    shape = min(max(north / east, 0.45), 1.0)
    height_px = _SLOT_PX * shape
    figure = new_sheet(_SLOT_PX + 2 * _MARGIN, height_px + _HEAD + _FOOT)
    axes = add_axes(figure, Frame(left=_MARGIN, bottom=_FOOT, width=_SLOT_PX, height=height_px))
    per_metre = min(_SLOT_PX / east, height_px / north)
    middle = (low + high) / 2
    axes.set_xlim(
        float(middle[0]) - _SLOT_PX / per_metre / 2, float(middle[0]) + _SLOT_PX / per_metre / 2
    )
    axes.set_ylim(
        float(middle[1]) - height_px / per_metre / 2, float(middle[1]) + height_px / per_metre / 2
    )
    axes.set_xticks([])
    axes.set_yticks([])
    return figure, axes


def draw_relief(
    axes: Axes, grid: ElevationGrid, *, units: UnitSystem, shift_m: float = 0.0
) -> list[Label]:
    """Draw the raster as grey relief with thin height lines; blank where it has no height.

    Parameters
    ----------
    axes
        The plan; its limits are final.
    grid
        The raster.
    units
        How heights are shown.
    shift_m
        What moves the raster onto the datum of the study [m].

    Returns
    -------
    list of Label
        The heights of the lines, to be placed where there is room.
    """
    (west, east), (south, north) = axes.get_xlim(), axes.get_ylim()
    cell = max((east - west) / _MESH, grid.cell_m / 2)
    x = np.arange(west + cell / 2, east, cell)
    y = np.arange(south + cell / 2, north, cell)
    mesh_x, mesh_y = np.meshgrid(x, y)
    height = np.asarray(grid.sample(mesh_x.ravel(), mesh_y.ravel())).reshape(mesh_x.shape)
    height = height + shift_m
    if np.isfinite(height).sum() < 16 or min(height.shape) < 4:
        return []
    axes.imshow(
        np.ma.masked_invalid(shade_of(height, cell)),
        extent=(west, east, south, north),
        origin="lower",
        cmap="gray",
        vmin=-1.1,
        vmax=1.0,
        aspect="auto",
        interpolation="bilinear",
        zorder=0,
    )
    axes.set_xlim(west, east)
    axes.set_ylim(south, north)
    return _height_lines(axes, x, y, height, units)


def shade_of(height_m: FloatArray, cell_m: float) -> FloatArray:
    """Return how bright the ground looks with light from the north-west, steepness brought out.

    Parameters
    ----------
    height_m
        Heights on a regular mesh, rows from south to north, nan where unknown, shape (r, c) [m].
    cell_m
        Distance of two neighbours [m].

    Returns
    -------
    ndarray
        Between 0 and 1, nan where unknown, shape (r, c).

    Examples
    --------
    >>> flat = shade_of(np.zeros((4, 4)), 1.0)
    >>> round(float(flat[0, 0]), 3)
    0.707
    """
    rise_north, rise_east = np.gradient(height_m, cell_m)
    slope = np.hypot(rise_north, rise_east)
    steep = float(np.nanpercentile(slope, 90)) if np.isfinite(slope).any() else 0.0
    larger = min(0.7 / steep, 4.0) if steep > 1e-6 else 1.0
    east, north, up = _LIGHT
    lit = up - larger * (east * rise_east + north * rise_north)
    return np.asarray(np.clip(lit / np.sqrt(1 + (larger * slope) ** 2), 0.0, 1.0))


def shift_of(ground: Ground) -> float:
    """Return what moves the raster onto the datum of the study, 0 where nothing does [m]."""
    return 0.0 if ground.shift is None else ground.shift.shift_m


def draw_route(
    axes: Axes, room: LabelField, *, profile: GroundProfile, units: UnitSystem, step_m: float
) -> list[Label]:
    """Draw the course of a pipe with a tick at each round station.

    Parameters
    ----------
    axes
        The plan; its limits are final.
    room
        Where the line is kept clear of words.
    profile
        The ground under the pipe, with its positions.
    units
        How stations are shown.
    step_m
        Distance of two ticks, as on the profile [m].

    Returns
    -------
    list of Label
        What the ticks say, to be placed where there is room.
    """
    east, north, station = profile.east_m, profile.north_m, profile.station_m
    known = np.isfinite(east) & np.isfinite(north)
    axes.plot(
        east[known],
        north[known],
        color=INK,
        linewidth=1.6 if profile.between_known else 0.9,
        linestyle="-" if profile.between_known else (0, (4, 3)),
        zorder=4,
        solid_joinstyle="round",
    )
    room.keep_clear(east[known], north[known])
    pixel = 1.0 / float(np.ptp(axes.transData.transform([(0.0, 0.0), (1.0, 0.0)])[:, 0]))
    labels: list[Label] = []
    if not known.any():
        return labels
    # A peg that was booked without a position lies on the leg between two that have one.
    east, north, station = east[known], north[known], station[known]
    for at, text in stations_of(profile, units, step_m=step_m):
        i = min(max(int(np.searchsorted(station, at)), 1), len(station) - 1)
        along = np.array([east[i] - east[i - 1], north[i] - north[i - 1]])
        length = float(np.hypot(*along))
        if not length > 0:
            continue
        across = np.array([-along[1], along[0]]) / length * 4.5 * pixel
        x = float(np.interp(at, station, east))
        y = float(np.interp(at, station, north))
        axes.add_line(
            Line2D(
                [x - float(across[0]), x + float(across[0])],
                [y - float(across[1]), y + float(across[1])],
                color=INK,
                linewidth=0.9,
                zorder=4,
            )
        )
        if at > 0:
            labels.append(Label(text=text, anchors=((x, y),), size_pt=7.0, must=False))
    return labels


def draw_way(axes: Axes, room: LabelField, *, course: FloatArray) -> None:
    """Draw an arrowhead on a pipe, two fifths along it, for the way the water runs.

    Parameters
    ----------
    axes
        The plan; its limits are final.
    room
        Where the arrow is kept clear of words.
    course
        The course of the pipe as the water runs, shape (n, 2) [m].
    """
    px = dense(axes.transData.transform(course), step_px=1.0)
    i = int(0.4 * (len(px) - 1))
    before, tip = px[max(i - 14, 0)], px[i]
    along = tip - before
    length = float(np.hypot(*along))
    if length < 6.0:
        return
    across = np.array([-along[1], along[0]]) / length * 5.0
    corners = axes.transData.inverted().transform([before + across, tip, before - across])
    axes.fill(*corners.T, color=WATER, zorder=5, linewidth=0)
    room.keep_clear(*corners.T)


def scale_and_north(axes: Axes, units: UnitSystem) -> None:
    """Draw a bar of a round length under the plan and an arrow to the north.

    Parameters
    ----------
    axes
        The plan; its limits are final.
    units
        How lengths are shown.
    """
    figure = axes.get_figure(root=True)
    if figure is None:
        return
    one = in_unit(1.0, "length", units)
    (west, east), frame = axes.get_xlim(), axes.get_window_extent()
    per_metre = frame.width / (east - west)
    step = step_of((east - west) * one, 6)
    long_px = step / one * per_metre
    y, left = frame.y0 - 22.0, frame.x0 + 4.0
    for start, end in _bar(left, y, long_px):
        _line(figure, start, end)
    long_word = f"{tick_text(step, 0 if step >= 1 else 1, units=units)} {unit_for('length', units)}"
    for share, text in ((0.0, "0"), (1.0, long_word)):
        _word(figure, (left + share * long_px, y - 7), text, ha="center" if share else "left")
    right = frame.x1 - 16.0
    _line(figure, (right, y - 18), (right, y + 14), width=1.2)
    _line(figure, (right - 5, y + 5), (right, y + 14), width=1.2)
    _line(figure, (right + 5, y + 5), (right, y + 14), width=1.2)
    _word(figure, (right - 12, y + 4), "north", ha="right")


def _height_lines(
    axes: Axes, x: FloatArray, y: FloatArray, height: FloatArray, units: UnitSystem
) -> list[Label]:
    one = in_unit(1.0, "height", units)
    low, high = float(np.nanmin(height)) * one, float(np.nanmax(height)) * one
    step = step_of(high - low, 10)
    levels = [k * step for k in range(math.ceil(low / step), math.floor(high / step) + 1)]
    if len(levels) < 2:
        return []
    drawn = axes.contour(
        x, y, np.ma.masked_invalid(height), levels=[v / one for v in levels],
        colors=["#8c9197"], linewidths=0.5, zorder=1,
    )  # fmt: skip
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    labels = []
    for value, segments in zip(levels, drawn.allsegs, strict=True):
        longest = max(segments, key=len, default=np.zeros((0, 2)))
        if len(longest) >= 12:
            anchors = tuple((float(a), float(b)) for a, b in _spread(longest))
            labels.append(
                Label(
                    text=f"{tick_text(value, decimals, units=units)} {unit_for('height', units)}",
                    anchors=anchors,
                    size_pt=6.5,
                    ink="#5d6268",
                    must=False,
                    side="beside",
                )
            )
    return labels


def _spread(line: FloatArray) -> Iterator[Sequence[float]]:
    for share in (0.5, 0.25, 0.75, 0.1, 0.9):
        yield line[int(share * (len(line) - 1))]


def _bar(left: float, y: float, width: float) -> Iterator[tuple[tuple[float, float], ...]]:
    yield (left, y), (left + width, y)
    for x, tall in ((left, 5.0), (left + width / 2, 3.0), (left + width, 5.0)):
        yield (x, y - tall), (x, y + tall)


def _line(
    figure: Figure, start: tuple[float, float], end: tuple[float, float], *, width: float = 1.0
) -> None:
    (x0, y0), (x1, y1) = figure.transFigure.inverted().transform(np.array([start, end]))
    figure.add_artist(Line2D([x0, x1], [y0, y1], color=INK, linewidth=width))


def _word(figure: Figure, at: tuple[float, float], text: str, *, ha: str) -> None:
    height = text_size(text, 8.0, heavy=False, dpi=DPI)[1]
    x, y = (float(v) for v in figure.transFigure.inverted().transform((at[0], at[1] - height)))
    figure.text(x, y, text, fontsize=8.0, color=INK, ha=ha, va="bottom")
