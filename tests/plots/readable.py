"""What every drawing must keep: no two texts overlap, and none leaves the sheet."""

from __future__ import annotations

from functools import cache

import numpy as np
from matplotlib.figure import Figure
from matplotlib.text import Text

from terrain_head.plots.type_boxes import overlaps, renderer_of


@cache
def texts_of(figure: Figure) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Return every text that shows on a figure with its box: left, bottom, right, top [px]."""
    renderer = renderer_of(figure)
    figure.draw_without_rendering()
    found = []
    for artist in figure.findobj(Text):
        assert isinstance(artist, Text)
        if artist.get_visible() and artist.get_text().strip():
            box = artist.get_window_extent(renderer)
            found.append((artist.get_text(), (box.x0, box.y0, box.x1, box.y1)))
    return found


def troubles(figure: Figure) -> list[str]:
    """Return what can't be read on a figure: texts over each other or off the sheet."""
    found = texts_of(figure)
    boxes = np.array([box for _, box in found])
    width, height = (float(v) * figure.dpi for v in figure.get_size_inches())
    said = [
        f"off the sheet: {text!r}"
        for text, (left, bottom, right, top) in found
        if left < 0 or bottom < 0 or right > width or top > height
    ]
    first, second = np.nonzero(np.triu(overlaps(boxes, boxes), k=1))
    said += [f"{found[i][0]!r} over {found[k][0]!r}" for i, k in zip(first, second, strict=True)]
    return said
