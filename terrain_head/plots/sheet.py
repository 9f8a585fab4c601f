"""The drawing style of the plan-and-profile sheet: two inks, earth ticks, stations, heights.

Coordinates of every axes are metres; the units a person reads stand on the ticks. A profile is
drawn in whole numbers of exaggeration, and says which.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from typing import Literal

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import FixedLocator
from numpy.typing import NDArray

from terrain_head.base.display import grouped, in_unit, unit_for
from terrain_head.base.units import UnitSystem
from terrain_head.plots.labels import INK, PAPER, text_size

FloatArray = NDArray[np.float64]

WATER = "#1f5f96"
FAINT = "#c9cdd2"
SHADE = "#e3e5e8"
DPI = 120.0
LONG_DASH = (0, (11, 4))
DOTS = (0, (1.2, 2.6))
THIN_DASH = (0, (4, 3))
_FACTORS = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200,
            300, 400, 500, 800, 1000)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Where an axes stands on the sheet: left, bottom, width, height [px]."""

    left: float
    bottom: float
    width: float
    height: float


def new_sheet(width_px: float, height_px: float) -> Figure:
    """Return an empty sheet.

    Parameters
    ----------
    width_px, height_px
        Its size at the resolution of the style [px].
    """
    return Figure(figsize=(width_px / DPI, height_px / DPI), dpi=DPI, facecolor=PAPER)


def add_axes(figure: Figure, frame: Frame) -> Axes:
    """Return an axes in its frame, with thin dark borders."""
    width, height = (float(v) * figure.dpi for v in figure.get_size_inches())
    axes = figure.add_axes(
        (frame.left / width, frame.bottom / height, frame.width / width, frame.height / height)
    )
    axes.set_facecolor("none")
    for spine in axes.spines.values():
        spine.set_linewidth(0.7)
        spine.set_color(INK)
    axes.tick_params(width=0.7, length=4, labelsize=8, colors=INK, labelcolor=INK)
    return axes


def head(figure: Figure, title: str, *notes: str, left_px: float = 20.0) -> None:
    """Write the title of a sheet and the lines under it, cut to the width of the sheet.

    Parameters
    ----------
    figure
        The sheet.
    title
        What is drawn.
    notes
        Lines of small type: scale, exaggeration.
    left_px
        Left margin [px].
    """
    width, height = (float(v) * figure.dpi for v in figure.get_size_inches())
    room = width - 2 * left_px
    top = height - 12.0
    for text, size_pt, heavy in [(title, 12.5, True), *((note, 8.5, False) for note in notes)]:
        shown = cut(text, room, size_pt=size_pt, heavy=heavy)
        figure.text(
            left_px / width,
            top / height,
            shown,
            ha="left",
            va="top",
            fontsize=size_pt,
            fontweight="bold" if heavy else "normal",
            color=INK,
        )
        top -= text_size("Ag", size_pt, heavy=heavy, dpi=figure.dpi)[1] + 5.0


def cut(text: str, room_px: float, *, size_pt: float, heavy: bool = False) -> str:
    """Return a text shortened with three dots until it fits, its dollar signs made harmless.

    Parameters
    ----------
    text
        The words.
    room_px
        Greatest width [px].
    size_pt
        Size of the type [pt].
    heavy
        Whether the type is bold.
    """
    shown = text.replace("$", r"\$")
    kept = len(text)
    while kept > 4 and text_size(shown, size_pt, heavy=heavy, dpi=DPI)[0] > room_px:
        kept = min(kept - 1, int(kept * 0.97))
        shown = text[:kept].rstrip().replace("$", r"\$") + "..."
    return shown


def step_of(span: float, most: int) -> float:
    """Return a round step (1, 2 or 5 times a power of ten) that cuts a span into at most so many.

    Examples
    --------
    >>> step_of(430.0, 10), step_of(0.9, 4)
    (50.0, 0.5)
    """
    if not (math.isfinite(span) and span > 0):
        return 1.0
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1.0, 2.0, 5.0):
        if factor * power >= rough * (1 - 1e-9):
            return factor * power
    return 10.0 * power


def station_text(station_m: float, units: UnitSystem) -> str:
    """Return a station as it is written on stakes: US 1+25 (feet), metric 0+125 (metres).

    Parameters
    ----------
    station_m
        Level distance from the start of the pipe [m].
    units
        How results are shown.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, US
    >>> station_text(125.0, METRIC), station_text(38.1, US)
    ('0+125', '1+25')
    """
    size, digits = (100, 2) if units.name == "us" else (1000, 3)
    whole = round(in_unit(station_m, "length", units))
    sign = "-" if whole < 0 else ""
    full, rest = divmod(abs(whole), size)
    return f"{sign}{full}+{rest:0{digits}d}"


def station_step_m(length_m: float, units: UnitSystem) -> float:
    """Return the distance of the station ticks of a study, the same on plan and profile [m].

    Parameters
    ----------
    length_m
        Length of the longest row of pipes [m].
    units
        How results are shown.
    """
    one = in_unit(1.0, "length", units)
    return max(step_of(length_m * one, 10), 1.0) / one


def tick_text(value: float, decimals: int, units: UnitSystem) -> str:
    """Return the figure at a tick, thousands set off as everywhere else.

    Parameters
    ----------
    value
        The figure, in the unit shown.
    decimals
        Decimals that are kept.
    units
        How results are shown.
    """
    return grouped(value, decimals, thousands="," if units.name == "us" else " ")


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
    axes.set_yticklabels([tick_text(value, decimals, units) for value in at])
    axes.tick_params(axis="y", left=True, right=True, labelleft=True, labelright=True)
    axes.set_ylabel(f"elevation [{unit_for('height', units)}]", fontsize=8.5, color=INK)
    for value in at:
        axes.axhline(value / one, color=FAINT, linewidth=0.4, zorder=0)


def station_axis(
    axes: Axes, stations: list[tuple[float, str]], units: UnitSystem, *, of: str = "the route"
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
    """
    axes.xaxis.set_major_locator(FixedLocator([x for x, _ in stations]))
    kept: list[str] = []
    end = -math.inf
    for x, text in stations:
        pixel = float(axes.transData.transform((x, 0.0))[0])
        half = text_size(text, 8.0, heavy=False, dpi=DPI)[0] / 2
        fits = pixel - half > end + 7.0
        kept.append(text if fits else "")
        end = pixel + half if fits else end
    axes.set_xticklabels(kept)
    axes.set_xlabel(f"station along {of} [{unit_for('length', units)}]", fontsize=8.5, color=INK)


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


def figure_bytes(figure: Figure, *, kind: Literal["png", "svg"]) -> bytes:
    """Return a finished figure as the content of a file, the same for the same figure.

    Parameters
    ----------
    figure
        The figure.
    kind
        ``png`` or ``svg``.
    """
    into = io.BytesIO()
    FigureCanvasAgg(figure)
    metadata = {"Date": None, "Creator": None} if kind == "svg" else {"Software": None}
    with mpl.rc_context({"svg.hashsalt": "terrain_head", "svg.fonttype": "path"}):
        figure.savefig(into, format=kind, dpi=figure.dpi, metadata=metadata)
    return into.getvalue()
