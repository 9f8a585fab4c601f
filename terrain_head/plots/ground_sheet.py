"""The ground along one route, with the doubt of its heights."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from terrain_head.base.display import LIKELY, show, station_words
from terrain_head.base.middle import middle_along
from terrain_head.base.units import UnitSystem
from terrain_head.ground.ground import GroundProfile, Origin
from terrain_head.ground.summits import TurningStation, turning_stations
from terrain_head.plots.labels import INK, Label, LabelField
from terrain_head.plots.profile_axes import (
    earth_ticks,
    exaggeration_note,
    height_axis,
    scale_profile,
    station_axis,
)
from terrain_head.plots.sheet import (
    SHADE,
    THIN_DASH,
    Frame,
    add_axes,
    head,
    new_sheet,
    station_step_m,
)
from terrain_head.plots.type_boxes import folded

FloatArray = NDArray[np.float64]


def ground_profile_figure(
    profile: GroundProfile,
    *,
    title: str,
    units: UnitSystem,
    turns: Sequence[TurningStation] | None = None,
    ends: tuple[str, str] = ("start", "end"),
) -> Figure:
    """Draw the ground along a route: line, doubt, high and low points, both ends.

    Parameters
    ----------
    profile
        The ground.
    title
        What stands over the drawing.
    units
        How heights and lengths are shown.
    turns
        High and low points to be named; those that stand out of the doubt if left out.
    ends
        Names of the two ends.

    Returns
    -------
    matplotlib.figure.Figure
        One sheet, not yet saved.
    """
    figure = new_sheet(1320, 560)
    axes = add_axes(figure, Frame(left=80, bottom=62, width=1160, height=412))
    x = profile.station_m
    y = middle_along(profile.elevation_m)
    std = std_of_ground(profile)
    shown = np.isfinite(std) & profile.between_known
    band = np.where(shown, LIKELY * std, 0.0)
    low, high = float((y - band).min()), float((y + band).max())
    rise = max(high - low, 0.05 * float(x[-1] - x[0]), 0.4)
    margin = 0.035 * float(x[-1] - x[0])
    factor = scale_profile(
        axes,
        (float(x[0]) - margin, float(x[-1]) + margin),
        (low - 0.22 * rise, high + 0.3 * rise),
    )
    height_axis(axes, units)
    station_axis(axes, stations_of(profile, units), units=units)
    room = LabelField(axes=axes)
    draw_ground(axes, room, x=x, y=y, band=band, known=profile.between_known)
    room.place(_ends(profile, y, units, names=ends))
    noted = noted_points(profile) if turns is None else turns
    room.place(
        _point(profile, turn, units) for turn in sorted(noted, key=lambda turn: -turn.stands_out_m)
    )
    room.place(ground_names(x, y, band=band, axes=axes, known=profile.between_known))
    length = show(profile.plan_length_m, "length", units, decimals=_length_decimals(profile))
    head(
        figure,
        title,
        f"{length} level distance; {exaggeration_note(factor)}",
    )
    return figure


def std_of_ground(profile: GroundProfile) -> FloatArray:
    """Return the standard error of the ground's height along a profile, shape (n,) [m].

    An end read from a raster is as sure as the ground beside it: how far its mark may lie from
    the place belongs to the place and not to the ground.

    Parameters
    ----------
    profile
        The ground.
    """
    std = np.array(profile.std_m, dtype=float)
    if len(std) > 2:
        for end, beside in ((0, 1), (-1, -2)):
            if profile.origin[end] == Origin.RASTER and np.isfinite(std[beside]):
                std[end] = min(std[end], std[beside])
    return std


def stations_of(
    profile: GroundProfile, units: UnitSystem, *, step_m: float | None = None
) -> list[tuple[float, str]]:
    """Return the round stations of a profile: where, in its own stations, and what they say.

    Parameters
    ----------
    profile
        The ground.
    units
        How stations are shown.
    step_m
        Distance of two ticks; chosen from the length if left out [m].
    """
    step = step_m if step_m is not None else station_step_m(profile.plan_length_m, units)
    start, end = float(profile.station_m[0]), float(profile.station_m[-1])
    first, last = math.ceil(start / step - 1e-9), math.floor(end / step + 1e-9)
    return [(k * step, station_words(k * step, units)) for k in range(first, last + 1)]


def noted_points(profile: GroundProfile) -> tuple[TurningStation, ...]:
    """Return the high and low points of the ground that stand out of its doubt.

    Parameters
    ----------
    profile
        The ground.
    """
    known = profile.std_m[np.isfinite(profile.std_m)]
    doubt = LIKELY * float(np.median(known)) if len(known) else 0.0
    least = max(doubt, 0.1, 0.02 * float(np.ptp(middle_along(profile.elevation_m))))
    return turning_stations(profile, hysteresis_m=least)


def draw_ground(
    axes: Axes,
    room: LabelField,
    *,
    x: FloatArray,
    y: FloatArray,
    band: FloatArray,
    known: bool,
) -> None:
    """Draw the ground line with its earth ticks and the band of its doubt.

    Parameters
    ----------
    axes
        The profile; its limits are final.
    room
        Where the line is kept clear of words.
    x, y
        Distance and elevation, shape (n,) [m].
    band
        Half width of the range that holds nine cases in ten, shape (n,) [m].
    known
        False where only the ends are known: then a thin dashed chord stands for the ground.
    """
    if not known:
        axes.plot(x, y, color=INK, linewidth=0.8, linestyle=THIN_DASH, zorder=3)
    else:
        axes.plot(x, y, color=INK, linewidth=1.5, zorder=3, solid_joinstyle="round")
        earth_ticks(axes, x, y)
    if band.max(initial=0.0) > 0:
        axes.fill_between(x, y - band, y + band, color=SHADE, linewidth=0, zorder=1)
    room.keep_clear_of_ground(x, y)


def ground_names(
    x: FloatArray, y: FloatArray, *, band: FloatArray, axes: Axes, known: bool
) -> list[Label]:
    """Name the ground line and, where it is wide enough to be seen, the band of its doubt.

    Parameters
    ----------
    x, y
        Distance and elevation, shape (n,) [m].
    band
        Half width of the band, shape (n,) [m].
    axes
        The profile; its limits are final.
    known
        Whether the ground between the ends is known.
    """
    spots = along(x, y)
    labels = [
        Label(
            text="ground" if known else "ground not surveyed",
            anchors=spots,
            side="below",
            weight=2.0,
        )
    ]
    pixel = float(np.ptp(axes.transData.transform([(0.0, 0.0), (0.0, 1.0)])[:, 1]))
    if band.max(initial=0.0) * pixel > 5.0:
        widest = along(x, y + band)
        labels.append(
            Label(
                text="grey: the ground is in here, nine in ten",
                anchors=widest,
                side="above",
                size_pt=8.0,
                must=False,
            )
        )
    return labels


def along(x: FloatArray, y: FloatArray, *, count: int = 9) -> tuple[tuple[float, float], ...]:
    """Return spots spread over a line, its middle first, where its name may stand."""
    shares = np.linspace(0.1, 0.9, count)
    shares = shares[np.argsort(np.abs(shares - 0.5), kind="stable")]
    at = float(x[0]) + shares * float(x[-1] - x[0])
    return tuple(zip(at.tolist(), np.interp(at, x, y).tolist(), strict=True))


def _ends(
    profile: GroundProfile, y: FloatArray, units: UnitSystem, *, names: tuple[str, str]
) -> list[Label]:
    return [
        Label(
            text=f"{folded(name)}\n{_height(profile, y, i, units)}",
            anchors=((float(profile.station_m[i]), float(y[i])),),
            tag=letter,
        )
        for i, name, letter in ((0, names[0], "A"), (-1, names[1], "B"))
    ]


def _point(profile: GroundProfile, turn: TurningStation, units: UnitSystem) -> Label:
    std = float(profile.std_m[turn.position])
    height = show(turn.elevation_m, "height", units, std=std if math.isfinite(std) else None)
    perhaps = "perhaps a " if turn.sure is False else ""
    return Label(
        text=f"{perhaps}{turn.kind} point {height}\nat {station_words(turn.station_m, units)}",
        anchors=((turn.station_m, turn.elevation_m),),
        side="above" if turn.kind == "high" else "below",
        must=False,
    )


def _height(profile: GroundProfile, y: FloatArray, index: int, units: UnitSystem) -> str:
    std = float(profile.std_m[index])
    return str(show(float(y[index]), "height", units, std=std if math.isfinite(std) else None))


def _length_decimals(profile: GroundProfile) -> int:
    return 0 if profile.plan_length_m >= 30 else 1
