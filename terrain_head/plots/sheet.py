"""The drawing style of the plan-and-profile sheet: two inks, earth ticks, stations, heights.

Coordinates of every axes are metres; the units a person reads stand on the ticks. A profile is
drawn in whole numbers of exaggeration, and says which.
"""

from __future__ import annotations

import io
import math
import re
from dataclasses import dataclass
from typing import Literal

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray

from terrain_head.base.display import grouped, in_unit, thousands_mark
from terrain_head.base.units import UnitSystem
from terrain_head.plots.labels import INK, PAPER
from terrain_head.plots.type_boxes import text_size

FloatArray = NDArray[np.float64]

WATER = "#1f5f96"
FAINT = "#c9cdd2"
SHADE = "#e3e5e8"
DPI = 120.0
LONG_DASH = (0, (11, 4))
DOTS = (0, (1.2, 2.6))
THIN_DASH = (0, (4, 3))
_PLACES = re.compile(rb' (?:d|x|y|width|height)="[^"]*"|translate\([^)]*\)')
_BLOCKS = b"image-rendering:crisp-edges;image-rendering:pixelated"
_INDENT = re.compile(rb"\n +")
_FINE = re.compile(rb"(\.\d\d)\d+")


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


def fitted_lines(
    text: str, room_px: float, *, size_pt: float, heavy: bool = False, most: int = 2
) -> list[str]:
    """Return a text on as few lines as fit its room, the last one cut where there are too many.

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
    most
        Most lines [1].
    """
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        wide = text_size(longer.replace("$", r"\$"), size_pt, heavy=heavy, dpi=DPI)[0] > room_px
        if wide and lines[-1] and len(lines) < most:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


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


def tick_text(value: float, decimals: int, *, units: UnitSystem) -> str:
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
    return grouped(value, decimals, thousands=thousands_mark(units))


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
    images = [image for axes in figure.axes for image in axes.images] if kind == "svg" else []
    smooth = [image.get_interpolation() for image in images]
    for image in images:
        image.set_interpolation("none")
    with mpl.rc_context({"svg.hashsalt": "terrain_head", "svg.fonttype": "path"}):
        figure.savefig(into, format=kind, dpi=figure.dpi, metadata=metadata)
    for image, interpolation in zip(images, smooth, strict=True):
        image.set_interpolation(interpolation)
    return _shorter(into.getvalue()) if kind == "svg" else into.getvalue()


def _shorter(svg: bytes) -> bytes:
    """Return a drawing with its places cut to a hundredth of a point, and no margins."""
    svg = svg.replace(_BLOCKS, b"")
    shorter = _PLACES.sub(lambda found: _FINE.sub(rb"\1", found[0]), svg)
    return _INDENT.sub(b"\n", shorter)
