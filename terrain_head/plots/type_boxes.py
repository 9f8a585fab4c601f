"""Type and boxes on a drawing: how much room words take, and where they might stand."""

from __future__ import annotations

import textwrap
from functools import lru_cache
from typing import Literal

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Side = Literal["above", "below", "beside"]

_OFFSETS_PX = (9.0, 16.0, 25.0, 36.0, 50.0, 66.0, 84.0, 104.0, 126.0, 150.0, 180.0, 215.0, 255.0)
_SHIFTS = (0.0, 0.25, -0.25, 0.5, -0.5, 0.75, -0.75, 1.0, -1.0, 1.4, -1.4)


def overlaps(first: FloatArray, second: FloatArray, *, pad: float = 0.0) -> NDArray[np.bool_]:
    """Return which boxes of two sets overlap.

    Parameters
    ----------
    first, second
        Left, bottom, right, top, shapes (m, 4) and (k, 4) [px].
    pad
        Room wanted between two boxes [px].

    Returns
    -------
    ndarray
        Shape (m, k).
    """
    a, b = first[:, None, :], second[None, :, :]
    return np.asarray(
        (a[..., 0] < b[..., 2] + pad)
        & (b[..., 0] < a[..., 2] + pad)
        & (a[..., 1] < b[..., 3] + pad)
        & (b[..., 1] < a[..., 3] + pad)
    )


def dense(points: FloatArray, *, step_px: float = 3.0) -> FloatArray:
    """Return a line as points close together.

    Parameters
    ----------
    points
        Corners of the line, shape (n, 2) [px].
    step_px
        Greatest distance of two points [px].

    Returns
    -------
    ndarray
        Shape (m, 2) [px].
    """
    if len(points) < 2:
        return points
    leg = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(leg)])
    at = np.linspace(0.0, along[-1], max(2, int(along[-1] / step_px) + 1))
    return np.column_stack([np.interp(at, along, points[:, 0]), np.interp(at, along, points[:, 1])])


def renderer_of(figure: Figure) -> RendererAgg:
    """Return a renderer that measures type on this figure."""
    renderer: RendererAgg = FigureCanvasAgg(figure).get_renderer()  # type: ignore[no-untyped-call]
    return renderer


@lru_cache(maxsize=4096)
def text_size(text: str, size_pt: float, *, heavy: bool, dpi: float) -> tuple[float, float]:
    """Return width and height of some lines of type [px].

    Parameters
    ----------
    text
        The words; line breaks are kept.
    size_pt
        Size of the type [pt].
    heavy
        Whether the type is bold.
    dpi
        Dots an inch [1].
    """
    if not text:
        return 0.0, 0.0
    figure = Figure(figsize=(1, 1), dpi=dpi)
    font = FontProperties(size=size_pt, weight="bold" if heavy else "normal")
    artist = figure.text(0, 0, text, fontproperties=font, linespacing=1.15)
    extent = artist.get_window_extent(renderer_of(figure))
    return float(extent.width) + 2.0, float(extent.height) + 2.0


def folded(text: str, *, width: int = 22, lines: int = 4) -> str:
    r"""Return a long name on a few short lines, cut with three dots where it still does not fit.

    Dollar signs are made harmless: they would begin a formula.

    Examples
    --------
    >>> folded("the old orchard's upper trough by the gate", width=20, lines=2)
    "the old orchard's\nupper trough by..."
    """
    wrapped = textwrap.wrap(text, width=width, max_lines=lines, placeholder="...")
    return "\n".join(wrapped).replace("$", r"\$")


def candidates(
    anchors: FloatArray, size: tuple[float, float], *, tag_width: float, side: Side
) -> tuple[FloatArray, FloatArray, NDArray[np.bool_], FloatArray]:
    """Boxes about each anchor: the box, the anchor, tag at the right end, and a penalty."""
    width, height = size
    offsets = np.array(_OFFSETS_PX)
    first, second = (
        (-offsets - height, offsets) if side == "below" else (offsets, -offsets - height)
    )
    bottoms = np.concatenate([first, second])
    bottom_cost = np.concatenate([0.22 * offsets, 0.22 * offsets + 9.0])
    if tag_width:
        lefts = np.array([-tag_width / 2, tag_width / 2 - width])
        left_cost = np.array([0.0, 3.0])
    else:
        shifts = np.array(_SHIFTS)
        lefts, left_cost = -width / 2 * (1 + shifts), 4.0 * np.abs(shifts)
    corners = np.stack(np.meshgrid(lefts, bottoms), axis=-1).reshape(-1, 2)
    cost = (left_cost[None, :] + bottom_cost[:, None]).ravel()
    mirrored = np.tile(np.arange(len(lefts)) == 1, len(bottoms)) & bool(tag_width)
    if not tag_width:
        beside = np.array([8.0, -width - 8.0, 30.0, -width - 30.0])
        corners = np.vstack([corners, np.column_stack([beside, np.full(4, -height / 2)])])
        start = 0.0 if side == "beside" else 10.0
        cost = np.concatenate([cost, start + np.array([0.0, 2.0, 4.0, 6.0])])
        mirrored = np.concatenate([mirrored, np.zeros(4, dtype=bool)])
    low = (anchors[:, None, :] + corners[None, :, :]).reshape(-1, 2)
    return (
        np.hstack([low, low + np.array([width, height])]),
        np.repeat(anchors, len(corners), axis=0),
        np.tile(mirrored, len(anchors)),
        (0.3 * np.arange(len(anchors))[:, None] + cost[None, :]).ravel(),
    )


def everywhere(
    region: FloatArray, anchors: FloatArray, *, size: tuple[float, float]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Boxes all over the region, for a crowded drawing; the farther the dearer."""
    width, height = size
    x = np.arange(region[0], max(region[2] - width, region[0] + 1), 14.0)
    y = np.arange(region[1], max(region[3] - height, region[1] + 1), 9.0)
    left, bottom = (axis.ravel() for axis in np.meshgrid(x, y))
    boxes = np.column_stack([left, bottom, left + width, bottom + height])
    target = anchors[len(anchors) // 2]
    centre = boxes[:, :2] + np.array([width / 2, height / 2])
    distance = np.hypot(*(centre - target).T)
    return boxes, np.repeat(target[None], len(boxes), axis=0), 45.0 + 0.25 * distance
