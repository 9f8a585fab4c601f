"""A profile's axes: heights at both sides, stations below, and a scale that is said."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.lines import Line2D
from matplotlib.ticker import FixedLocator
from numpy.typing import NDArray

from terrain_head.base.display import in_unit, unit_for
from terrain_head.base.units import UnitSystem
from terrain_head.plots.labels import INK, PAPER
from terrain_head.plots.sheet import DPI, FAINT, WATER, step_of, tick_text
from terrain_head.plots.type_boxes import text_size

FloatArray = NDArray[np.float64]

_FACTORS = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200,
            300, 400, 500, 800, 1000)  # fmt: skip


def scale_profile(axes: Axes, x: tuple[float, float], y: tuple[float, float]) -> float:
    """Set the limits of a profile so that heights are a whole number of times larger.

    Parameters
    ----------
    axes
        The profile, in its final frame.
    x, y
        Least and greatest distance and height that must show [m].

    Returns
    -------
    float
        How many times larger heights are drawn than lengths [1].
    """
    box = axes.get_window_extent()
    across = max(x[1] - x[0], 0.5)
    up = max(y[1] - y[0], 0.2)
    most = (box.height / up) / (box.width / across)
    fitting = [factor for factor in _FACTORS if factor <= most * (1 + 1e-9)]
    factor = float(fitting[-1]) if fitting else 1.0
    if most < 1.0:
        wide = box.width / (box.height / up)
        x = (x[0] - (wide - across) / 2, x[0] + across + (wide - across) / 2)
        across = wide
    tall = box.height / (factor * box.width / across)
    middle = (y[0] + y[1]) / 2
    axes.set_xlim(x[0], x[0] + across)
    axes.set_ylim(middle - tall / 2, middle + tall / 2)
    return factor


def exaggeration_note(factor: float) -> str:
    """Say in words how much larger heights are drawn than lengths.

    Examples
    --------
    >>> exaggeration_note(5.0)
    'heights drawn 5 times larger than lengths'
    """
    if factor == 1:
        return "heights and lengths drawn to the same scale"
    return f"heights drawn {factor:g} times larger than lengths"


def height_axis(axes: Axes, units: UnitSystem, *, most: int = 8) -> None:
    """Put heights in round figures at both sides of a profile, with thin lines between.

    Parameters
    ----------
    axes
        The profile; its limits are final.
    units
        How results are shown.
    most
        Most figures on a side.
    """
    low, high = axes.get_ylim()
    one = in_unit(1.0, "height", units)
    step = step_of((high - low) * one, most)
    first = math.ceil(low * one / step - 1e-9)
    last = math.floor(high * one / step + 1e-9)
    at = [k * step for k in range(first, last + 1)]
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    axes.yaxis.set_major_locator(FixedLocator([value / one for value in at]))
    axes.set_yticklabels([tick_text(value, decimals, units=units) for value in at])
    axes.tick_params(axis="y", left=True, right=True, labelleft=True, labelright=True)
    axes.set_ylabel(f"elevation [{unit_for('height', units)}]", fontsize=8.5, color=INK)
    for value in at:
        axes.axhline(value / one, color=FAINT, linewidth=0.4, zorder=0)


def station_axis(
    axes: Axes,
    stations: list[tuple[float, str]],
    *,
    units: UnitSystem,
    of: str = "the route",
    first: Sequence[float] = (),
) -> None:
    """Put station ticks under a profile; names too close to their neighbour are left out.

    Parameters
    ----------
    axes
        The profile; its limits are final.
    stations
        Where each tick stands and what it says [m].
    units
        How results are shown.
    of
        Along what the stations count.
    first
        Where names must not be left out for others, the most important first [m].
    """
    axes.xaxis.set_major_locator(FixedLocator([x for x, _ in stations]))
    rank = {round(x, 6): number for number, x in enumerate(first)}
    order = sorted(range(len(stations)), key=lambda i: (_rank(stations[i], rank), stations[i][0]))
    kept = [""] * len(stations)
    taken: list[tuple[float, float]] = []
    for i in order:
        x, text = stations[i]
        pixel = float(axes.transData.transform((x, 0.0))[0])
        half = text_size(text, 8.0, heavy=False, dpi=DPI)[0] / 2
        left, right = pixel - half, pixel + half
        if all(right + 7.0 < start or left > end + 7.0 for start, end in taken):
            kept[i] = text
            taken.append((left, right))
    axes.set_xticklabels(kept)
    axes.set_xlabel(f"station along {of} [{unit_for('length', units)}]", fontsize=8.5, color=INK)


def _rank(station: tuple[float, str], rank: Mapping[float, int]) -> int:
    x, text = station
    begins = not text.strip("0+")
    return rank.get(round(x, 6), len(rank)) if begins else len(rank)


def earth_ticks(axes: Axes, x: FloatArray, y: FloatArray) -> None:
    """Draw the short slanting strokes that say: this line is the ground.

    Parameters
    ----------
    axes
        The profile; its limits are final.
    x, y
        The ground line, shape (n,) [m].
    """
    pixels = axes.transData.transform(np.column_stack([x, y]))
    left, right = float(pixels[0, 0]), float(pixels[-1, 0])
    groups = np.arange(left + 9.0, right - 9.0, 46.0)
    starts = (groups[:, None] + np.array([0.0, 4.0, 8.0])).ravel()
    starts = starts[starts < right]
    tops = np.interp(starts, pixels[:, 0], pixels[:, 1])
    top_ends = np.column_stack([starts, tops])
    feet = top_ends + np.array([-5.0, -6.5])
    inverse = axes.transData.inverted()
    strokes = np.stack([inverse.transform(top_ends), inverse.transform(feet)], axis=1)
    axes.add_collection(
        LineCollection(list(strokes), colors=INK, linewidths=0.6, zorder=2), autolim=False
    )


def water_level(axes: Axes, x: float, y: float) -> None:
    """Draw the inverted triangle of a water level, its tip on the level.

    Parameters
    ----------
    axes
        The profile; its limits are final.
    x, y
        Where the level is marked [m].
    """
    px, py = axes.transData.transform((x, y))
    inverse = axes.transData.inverted()
    corners = inverse.transform(np.array([[px, py], [px - 5.5, py + 9.0], [px + 5.5, py + 9.0]]))
    axes.fill(
        corners[:, 0], corners[:, 1], facecolor=PAPER, edgecolor=WATER, linewidth=1.0, zorder=6
    )
    for half, drop in ((7.5, 0.0), (5.0, 2.8), (2.5, 5.6)):
        ends = inverse.transform(np.array([[px - half, py - drop], [px + half, py - drop]]))
        axes.add_line(
            Line2D(
                [float(v) for v in ends[:, 0]],
                [float(v) for v in ends[:, 1]],
                color=WATER,
                linewidth=0.9,
                zorder=6,
            )
        )
