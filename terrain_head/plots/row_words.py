"""The words of a row of pipes: places with their figures, lines, high and low points."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from terrain_head.assessment.arrival import arrivals
from terrain_head.base.amounts import flow_amount, pressure_amount
from terrain_head.base.display import show
from terrain_head.base.middle import middle
from terrain_head.plots.ground_sheet import along
from terrain_head.plots.labels import INK, Label
from terrain_head.plots.pegs import SHAPES, Peg
from terrain_head.plots.sheet import WATER
from terrain_head.plots.type_boxes import Side, folded
from terrain_head.plots.water_lines import PipeLines, Row, tank_name

FloatArray = NDArray[np.float64]

_WIDE_PX = 700.0
_POINT_WORDS = {
    "air-high-point": ("high point: air gathers", "air gathers"),
    "water-low-point": ("low point: water stays", "water stays"),
}


def peg_labels(row: Row) -> Iterator[Label]:
    """Yield the peg of each place with its word and figures.

    Parameters
    ----------
    row
        The row.
    """
    for node, x, ground in row.places():
        peg = row.pegs[node]
        levels = row.levels_at(node)
        top = max([ground, *levels])
        brief = node in row.told
        yield Label(
            text=peg.word if brief else "\n".join([peg.word, *_figures(row, peg)]),
            anchors=((x, ground if peg.kind in {"ram", "tee"} else top),),
            tag=peg.letter,
            shape=SHAPES[peg.kind],
            side="below" if peg.kind == "ram" else "above",
        )


def _figures(row: Row, peg: Peg) -> Iterator[str]:
    """Yield the figures that belong to a place, each on its line."""
    answer, units = row.answer, row.answer.units
    std = row.std_at(peg.node)
    if peg.kind == "ram" and answer.solution.ram is not None:
        ram = answer.solution.ram
        for word, value in (("fall", ram.fall_m), ("lift", ram.lift_m)):
            if value is not None:
                shown = show(middle(value), "height", units, std=answer.std_told(word))
                yield f"{word} {shown}"
    elif peg.kind == "source" and answer.layout.source_level_m is not None:
        level = middle(answer.layout.source_level_m)
        yield f"water at {show(level, 'height', units, std=std)}"
    elif peg.kind == "tank":
        full = middle(answer.layout.full_m[tank_name(peg.node)])
        yield f"full at {show(full, 'height', units, std=std)}"
    for name in peg.outlets:
        yield from _outlet_figures(row, name, alone=len(peg.outlets) == 1)


def _outlet_figures(row: Row, name: str, *, alone: bool) -> Iterator[str]:
    answer, units = row.answer, row.answer.units
    result = answer.solution.outlets.get(name)
    if result is None:
        return
    before = "" if alone else f"{name}: "
    running = result.running_low_pa
    stated = next((one for one in answer.layout.outlets if one.name == name), None)
    opens = stated is not None and stated.opens is not None
    if opens and result.flow_m3_s is not None:
        flow = flow_amount(middle(result.flow_m3_s), units)
        yield folded(f"{before}{flow} comes out", width=34)
    if running is None:
        if not opens and result.static_full_pa is not None:
            still = pressure_amount(middle(result.static_full_pa), units)
            yield folded(f"{before}{still} standing still", width=34)
        return
    line = folded(f"{before}{pressure_amount(middle(running), units)} running", width=34)
    needs = None if stated is None else stated.needs_pa
    yield line
    if needs is not None and result.enough is not None:
        arrival = arrivals(answer)[name]
        verdict = "enough" if bool(np.median(result.enough) >= 0.5) else "TOO LITTLE"
        if arrival == "can't tell" or (arrival == "no water" and verdict == "enough"):
            verdict = arrival
        yield f"needs {pressure_amount(needs.value, units)}: {verdict}"


def line_names(row: Row, axes: Axes) -> Iterator[Label]:
    """Yield the name of each line, on its longest stretch.

    Parameters
    ----------
    row
        The row.
    axes
        The profile; its limits are final.
    """

    def longest(lines: list[PipeLines]) -> PipeLines:
        return max(lines, key=lambda line: float(line.x[-1] - line.x[0]))

    drive = [line for line in row.lines if line.pipe.role == "drive"]
    still = [line for line in row.lines if line.static is not None and line not in drive]
    if still:
        line = longest(still)
        spots = along(line.x, np.full(len(line.x), line.static))
        over = line.grade is None or float(line.grade.mean()) < float(spots[0][1])
        side: Side = "above" if over else "below"
        yield Label(
            text="static line",
            anchors=spots,
            ink=WATER,
            side=side,
            weight=2.0,
        )
    flowing = [line for line in row.lines if line.grade is not None]
    groups = list(dict.fromkeys(line.group for line in flowing if line.group is not None))
    take_turns = len(row.answer.layout.parts.together) > 1
    turns: list[str | None] = [*groups] if take_turns and groups else [None] * bool(flowing)
    wide = float(axes.get_window_extent().width) > _WIDE_PX
    for group in turns:
        line = longest([each for each in flowing if group in {None, each.group}])
        when = f', "{group}" running' if group is not None else ""
        under = line.static is not None and float(_given(line.grade).mean()) < line.static
        spots = along(line.x, _given(line.grade))
        yield Label(
            text=folded(f"hydraulic grade line{when}", width=44 if wide else 24),
            anchors=tuple(spot for spot in spots if spot[0] > line.x[0] + 0.25 * np.ptp(line.x)),
            side="below" if under else "above",
            ink=WATER,
            weight=2.0,
        )
    if drive and drive[0].static is not None:
        line = drive[0]
        spots = along(line.x, np.full(len(line.x), line.static))
        yield Label(text="the spring's level", anchors=spots, ink=WATER, weight=2.0, must=False)
    lifted = next((each for each in flowing if each.pipe.upstream == "ram"), None)
    if drive and drive[0].static is not None and lifted is not None:
        x, low, high = float(lifted.x[0]), drive[0].static, float(_given(lifted.grade)[0])
        spots = tuple((x, low + share * (high - low)) for share in (0.55, 0.7, 0.4, 0.8))
        yield Label(
            text="the ram lifts", anchors=spots, ink=WATER, side="beside", weight=2.0, must=False
        )
    surveyed = [line for line in row.lines if line.pipe.profile.between_known]
    if surveyed:
        line = longest(surveyed)
        yield Label(text="ground", anchors=along(line.x, line.ground), side="below", weight=2.0)
        pixel = float(np.ptp(axes.transData.transform([(0.0, 0.0), (0.0, 1.0)])[:, 1]))
        piped = [line for line in row.lines if line in surveyed or line in drive]
        buried = max(piped, key=lambda each: float(np.abs(each.ground - each.level).max()))
        apart = float(np.abs(buried.ground - buried.level).max()) * pixel
        if apart > 3.0:
            yield Label(
                text="pipe", anchors=along(buried.x, buried.level), side="below", weight=2.0
            )
        widest = max(surveyed, key=lambda each: float(each.band.max()))
        if float(widest.band.max()) * pixel > 6.0:
            yield Label(
                text="grey: the ground is in here, nine in ten",
                anchors=along(widest.x, widest.ground + widest.band),
                size_pt=7.5,
                must=False,
            )
    elif drive:
        line = drive[0]
        yield Label(text="pipe", anchors=along(line.x, line.level), side="below", weight=2.0)
    for line in row.lines:
        if not line.pipe.profile.between_known:
            yield Label(
                text="ground not surveyed",
                anchors=along(line.x, line.ground),
                side="below",
                weight=2.0,
            )


def point_labels(row: Row, axes: Axes) -> Iterator[Label]:
    """Mark high and low points, and yield their words; the first of each kind in full.

    Parameters
    ----------
    row
        The row.
    axes
        The profile; its limits are final.
    """
    named: set[str] = set()
    for finding in row.answer.findings:
        words = _POINT_WORDS.get(finding.kind)
        where = finding.where
        line = next((line for line in row.lines if line.pipe.name == where.pipe), None)
        if words is None or line is None or where.station_m is None:
            continue
        stations = line.pipe.profile.station_m
        x = float(line.x[0]) + where.station_m - float(stations[0])
        y = float(np.interp(x, line.x, line.level))
        high = finding.kind == "air-high-point"
        axes.plot([x], [y], "^" if high else "o", color=INK, markersize=5.5, zorder=6)
        yield Label(
            text=words[1 if finding.kind in named else 0],
            anchors=((x, y),),
            side="above" if high else "below",
            must=finding.kind not in named,
        )
        named.add(finding.kind)


def _given(values: FloatArray | None) -> FloatArray:
    return np.zeros(0) if values is None else values
