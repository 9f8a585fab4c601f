"""Where words go on a drawing: measured boxes, tried in turn, so that no two ever overlap."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.path import Path
from numpy.typing import NDArray

from terrain_head.plots.type_boxes import (
    Side,
    candidates,
    dense,
    everywhere,
    overlaps,
    text_size,
)

FloatArray = NDArray[np.float64]
Shape = Literal["circle", "square", "round", "hexagon", "plain"]

INK = "#20242a"
PAPER = "#ffffff"
_GAP_PX = 4.0
_CROWDED = 70.0
_OPTIONAL = 38.0
_APART_PX = np.array([-30.0, -5.0, 30.0, 5.0])
_NEIGHBOUR = 14.0
_ACROSS = 8.0
_THROUGH = 40.0
_CELL_PX = 3
_OWN_PX = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words that belong to a spot of the drawing.

    Parameters
    ----------
    text
        The words; line breaks are kept.
    anchors
        Spots to choose from, in the coordinates of the axes: one for a place, several for a line.
    side
        Where the words are tried first.
    ink
        Colour of the words.
    size_pt
        Size of the type [pt].
    heavy
        Whether the type is bold: for trouble.
    tag
        Letter of a peg; it stands in a frame beside the words, over a stem.
    shape
        Frame of the letter.
    must
        False for words that may be left out where there is no room.
    weight
        How much it matters that the words cover no line.
    """

    text: str
    anchors: tuple[tuple[float, float], ...]
    side: Side = "above"
    ink: str = INK
    size_pt: float = 8.5
    heavy: bool = False
    tag: str = ""
    shape: Shape = "square"
    must: bool = True
    weight: float = 1.0


@dataclass(slots=True, kw_only=True, eq=False)
class LabelField:
    """The free room of one axes, used up as labels are placed in it.

    Parameters
    ----------
    axes
        Where the labels stand; limits and position are final.
    lines_px
        Points of drawn lines that words should not cover, shape (n, 2) [px].
    ground_px
        Points of ground lines, through which the stroke from words to their spot should not run,
        shape (n, 2) [px].
    taken_px
        Boxes already taken: left, bottom, right, top, shape (k, 4) [px].
    region_px
        Where words may stand: left, bottom, right, top; the axes if left out [px].
    """

    axes: Axes
    lines_px: FloatArray = field(default_factory=lambda: np.zeros((0, 2)))
    ground_px: FloatArray = field(default_factory=lambda: np.zeros((0, 2)))
    taken_px: FloatArray = field(default_factory=lambda: np.zeros((0, 4)))
    region_px: tuple[float, float, float, float] | None = None

    @property
    def figure(self) -> Figure:
        """The whole sheet."""
        figure = self.axes.get_figure(root=True)
        if figure is None:
            raise ValueError("the axes stand on no figure")
        return figure

    @property
    def region(self) -> FloatArray:
        """Where words may stand, left, bottom, right, top, shape (4,) [px]."""
        if self.region_px is not None:
            return np.array(self.region_px)
        extents = np.asarray(self.axes.get_window_extent().extents, dtype=np.float64)
        return np.asarray(extents + np.array([3.0, 3.0, -3.0, -3.0]))

    def keep_clear(self, x: Sequence[float] | FloatArray, y: Sequence[float] | FloatArray) -> None:
        """Add a drawn line, in the coordinates of the axes, that words should not cover."""
        points = np.column_stack([np.asarray(x, float), np.asarray(y, float)])
        points = points[np.isfinite(points).all(axis=1)]
        if len(points):
            pixels = self.axes.transData.transform(points)
            self.lines_px = np.vstack([self.lines_px, dense(pixels)])

    def keep_clear_of_ground(self, x: FloatArray, y: FloatArray) -> None:
        """Add the ground line: words should not cover it, nor what is over it be named below."""
        before = len(self.lines_px)
        self.keep_clear(x, y)
        self.ground_px = np.vstack([self.ground_px, self.lines_px[before:]])

    def keep_clear_of_mark(self, x: float, y: float, *, half_px: float, up_px: float) -> None:
        """Add a mark that words should not cover: a box over a spot, so wide and so high."""
        px, py = (float(v) for v in self.axes.transData.transform((x, y)))
        outline = np.array([[-half_px, 0.0], [-half_px, up_px], [half_px, up_px], [half_px, 0.0]])
        self.lines_px = np.vstack([self.lines_px, dense(outline + np.array([px, py]))])

    def place_column(self, labels: Sequence[Label], *, left_px: float) -> None:
        """Stack labels in a column, each as near as can be to the height of its first anchor.

        Parameters
        ----------
        labels
            Any number; smaller type is used where they do not fit.
        left_px
            Where the words begin [px].
        """
        if not labels:
            return
        ordered = sorted(labels, key=lambda label: label.anchors[0][1])
        targets = self.axes.transData.transform([label.anchors[0] for label in ordered])
        bottom, top = float(self.region[1]), float(self.region[3])
        width = float(self.region[2]) - left_px
        size_pt = ordered[0].size_pt
        while True:
            sizes = np.array([self._sizes(label, size_pt)[1] for label in ordered])
            fits = sizes[:, 1].sum() + 5.0 * len(ordered) <= top - bottom
            if (fits and sizes[:, 0].max() <= width) or size_pt <= 4.0:
                break
            size_pt -= 0.5
        starts = targets[:, 1] - sizes[:, 1] / 2
        least = bottom
        for i, height in enumerate(sizes[:, 1]):
            starts[i] = max(starts[i], least)
            least = starts[i] + height + 5.0
        most = top
        for i in range(len(ordered) - 1, -1, -1):
            starts[i] = min(starts[i], most - sizes[i, 1])
            most = starts[i] - 5.0
        for label, start, size, target in zip(ordered, starts, sizes, targets, strict=True):
            box = np.array([left_px, start, left_px + size[0], start + size[1]])
            self._draw(label, box, target, size_pt=size_pt, right=False)

    def place(self, labels: Iterable[Label]) -> list[Label]:
        """Place labels in the order given, the important ones first.

        Returns
        -------
        list of Label
            Labels for which there was no room; only ones that need not be there.
        """
        left_out = []
        for label in labels:
            if not self._place(label):
                left_out.append(label)
        return left_out

    def _place(self, label: Label) -> bool:
        anchors = self.axes.transData.transform(np.array(label.anchors, dtype=float))
        for size_pt in (label.size_pt, label.size_pt - 1.0, label.size_pt - 2.0):
            tag, words = self._sizes(label, size_pt)
            size = (tag[0] + words[0], max(tag[1], words[1]))
            boxes, targets, tag_right, penalty = candidates(
                anchors, size, tag_width=tag[0] - _GAP_PX if label.tag else 0.0, side=label.side
            )
            cost = penalty + self._cost(boxes, label.weight)
            cost = cost + self._leader_cost(boxes, targets)
            if label.must and not cost.min() < _CROWDED:
                boxes, targets, penalty = everywhere(self.region, anchors, size=size)
                tag_right = np.asarray(boxes[:, [0, 2]].mean(axis=1) < targets[:, 0])
                tag_right &= bool(label.tag)
                cost = penalty + self._cost(boxes, label.weight)
                cost = cost + self._leader_cost(boxes, targets)
            best = int(np.argmin(cost))
            if np.isfinite(cost[best]) and (label.must or cost[best] < _OPTIONAL):
                self._draw(
                    label, boxes[best], targets[best], size_pt=size_pt, right=bool(tag_right[best])
                )
                return True
        return False

    def _sizes(
        self, label: Label, size_pt: float
    ) -> tuple[tuple[float, float], tuple[float, float]]:
        words = text_size(label.text, size_pt, heavy=label.heavy, dpi=self.figure.dpi)
        if not label.tag:
            return (0.0, 0.0), words
        letter = text_size(label.tag, size_pt, heavy=True, dpi=self.figure.dpi)
        frame = (1.3 if label.shape == "hexagon" else 0.75) * size_pt * self.figure.dpi / 72
        return (letter[0] + frame + _GAP_PX, letter[1] + frame), words

    def _cost(self, boxes: FloatArray, weight: float) -> FloatArray:
        region = self.region
        outside = (
            (boxes[:, 0] < region[0])
            | (boxes[:, 1] < region[1])
            | (boxes[:, 2] > region[2])
            | (boxes[:, 3] > region[3])
        )
        cost = np.where(outside, np.inf, 0.0)
        cost[overlaps(boxes, self.taken_px, pad=3.0).any(axis=1)] = np.inf
        if len(self.taken_px):
            near = overlaps(boxes, self.taken_px + _APART_PX).any(axis=1)
            cost[near] += _NEIGHBOUR
        open_ = np.flatnonzero(np.isfinite(cost))
        if len(open_) and len(self.lines_px):
            chosen = boxes[open_]
            x, y = self.lines_px[:, 0], self.lines_px[:, 1]
            inside = (
                (x > chosen[:, :1] - 2)
                & (x < chosen[:, 2:3] + 2)
                & (y > chosen[:, 1:2] - 2)
                & (y < chosen[:, 3:4] + 2)
            )
            cost[open_] += weight * 2.5 * inside.sum(axis=1)
        return cost

    def _leader_cost(self, boxes: FloatArray, targets: FloatArray) -> FloatArray:
        ends = np.column_stack(
            [
                np.clip(targets[:, 0], boxes[:, 0], boxes[:, 2]),
                np.clip(targets[:, 1], boxes[:, 1], boxes[:, 3]),
            ]
        )
        share = np.linspace(0.0, 1.0, 24)[:, None, None]
        points = targets + share * (ends - targets)
        crossed = np.zeros(len(boxes))
        for left, bottom, right, top in self.taken_px:
            hit = (
                (points[..., 0] > left)
                & (points[..., 0] < right)
                & (points[..., 1] > bottom)
                & (points[..., 1] < top)
            )
            crossed += hit.any(axis=0)
        crossed *= 80.0
        crossed += _ACROSS * self._strokes_over(self.lines_px, points, targets)
        return crossed + _THROUGH * self._strokes_over(self.ground_px, points, targets)

    def _strokes_over(
        self, lines_px: FloatArray, points: FloatArray, targets: FloatArray
    ) -> FloatArray:
        """Return how often each stroke to its spot runs over a line that is not the spot's own."""
        if not len(lines_px):
            return np.zeros(len(targets))
        width, height = (int(v) // _CELL_PX + 2 for v in self.figure.bbox.size)
        drawn = np.zeros((width, height), dtype=np.bool_)
        column, row = (lines_px // _CELL_PX).astype(int).T
        inside = (column > 0) & (row > 0) & (column < width - 1) & (row < height - 1)
        for aside, up in ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1)):
            drawn[column[inside] + aside, row[inside] + up] = True
        cell = np.clip((points // _CELL_PX).astype(int), 0, [width - 1, height - 1])
        away = np.hypot(*np.moveaxis(points - targets, -1, 0)) > _OWN_PX
        hit = drawn[cell[..., 0], cell[..., 1]] & away
        return np.asarray(np.sum(hit[1:] & ~hit[:-1], axis=0), dtype=np.float64)

    def _draw(
        self, label: Label, box: FloatArray, target: FloatArray, *, size_pt: float, right: bool
    ) -> None:
        figure = self.figure
        tag, _ = self._sizes(label, size_pt)
        left, bottom, end, top = (float(v) for v in box)
        middle = (bottom + top) / 2
        words_at = end - tag[0] if right else left + tag[0]
        to_figure = figure.transFigure.inverted()
        x, y = (float(v) for v in to_figure.transform((words_at, middle)))
        figure.text(
            x,
            y,
            label.text,
            ha="right" if right else "left",
            va="center",
            fontsize=size_pt,
            color=label.ink,
            fontweight="bold" if label.heavy else "normal",
            linespacing=1.15,
            zorder=9,
            bbox={
                "boxstyle": "square,pad=0.06",
                "facecolor": PAPER,
                "edgecolor": "none",
                "alpha": 0.78,
            },
        )
        tip = np.array([np.clip(target[0], left, end), np.clip(target[1], bottom, top)])
        if label.tag:
            centre = end - (tag[0] - _GAP_PX) / 2 if right else left + (tag[0] - _GAP_PX) / 2
            x, y = (float(v) for v in to_figure.transform((centre, middle)))
            figure.text(
                x,
                y,
                label.tag,
                ha="center",
                va="center",
                fontsize=size_pt,
                color=label.ink,
                fontweight="bold",
                zorder=9,
                bbox={
                    "boxstyle": _FRAMES[label.shape],
                    "facecolor": PAPER,
                    "edgecolor": label.ink,
                    "linewidth": 0.6 if label.shape == "plain" else 1.1,
                },
            )
            tip = np.array([centre, middle - tag[1] / 2 if target[1] < middle else middle])
            if target[1] >= middle:
                tip[1] = middle + tag[1] / 2
        distance = float(np.hypot(*(tip - target)))
        if label.tag or distance > 12.0:
            start, stop = to_figure.transform(np.vstack([target, tip]))
            figure.add_artist(
                Line2D(
                    [start[0], stop[0]],
                    [start[1], stop[1]],
                    color=label.ink,
                    linewidth=1.0 if label.tag else 0.6,
                    zorder=7,
                )
            )
            self.lines_px = np.vstack([self.lines_px, dense(np.vstack([target, tip]))])
        self.taken_px = np.vstack([self.taken_px, box])


def _hexagon(x: float, y: float, width: float, height: float, mutation_size: float) -> Path:
    """Return a frame with a point at its left and right."""
    pad, tip = 0.3 * mutation_size, 0.45 * mutation_size
    left, right, low, high = x - 0.5 * pad, x + width + 0.5 * pad, y - pad, y + height + pad
    middle = (low + high) / 2
    return Path(
        [(left, low), (right, low), (right + tip, middle), (right, high), (left, high),
         (left - tip, middle), (left, low)],
        closed=True,
    )  # fmt: skip


_FRAMES: Mapping[Shape, Any] = {
    "circle": "circle,pad=0.2",
    "square": "square,pad=0.26",
    "round": "round,pad=0.28,rounding_size=0.6",
    "hexagon": _hexagon,
    "plain": "round,pad=0.16,rounding_size=0.1",
}
