"""One row of pipes as lines on a drawing: ground, pipe, water lines, levels at its places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle, middle_along
from terrain_head.plots.ground_sheet import std_of_ground
from terrain_head.plots.pegs import Peg
from terrain_head.plots.runs import Run
from terrain_head.scheme.layout import Pipe

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PipeLines:
    """The lines of one pipe on the drawing, all in metres, shape (n,).

    Parameters
    ----------
    pipe
        The pipe.
    x
        Distance on the drawing.
    ground, band, level
        Ground, half width of its doubt, pipe.
    static, grade
        Static line and hydraulic grade line, None where not known.
    group
        The outlets that run together while it is so, None where the pipe knows no groups.
    """

    pipe: Pipe
    x: FloatArray
    ground: FloatArray
    band: FloatArray
    level: FloatArray
    static: float | None
    grade: FloatArray | None
    group: str | None


@dataclass(slots=True, kw_only=True, eq=False)
class Row:
    """One row of pipes with everything that is drawn of it.

    Parameters
    ----------
    answer
        What is drawn.
    run
        The row.
    pegs
        Letters of the places.
    told
        Nodes whose figures stand on the sheet already: here they get their name only.
    lines
        One for each pipe of the row.
    """

    answer: Answer
    run: Run
    pegs: Mapping[str, Peg]
    told: frozenset[str] = frozenset()
    lines: list[PipeLines] = field(default_factory=list)

    def __post_init__(self) -> None:
        for name, start in zip(self.run.pipes, self.run.starts_m, strict=True):
            self.lines.append(_lines_of(self.answer, name, start, turn=self.turn))

    @property
    def turn(self) -> str | None:
        """The group of outlets that the row is drawn for: the worst for its last outlet."""
        solution = self.answer.solution
        last = self.answer.layout.pipes[self.run.pipes[-1]]
        groups = [
            solution.outlets[outlet.name].group
            for outlet in self.answer.layout.outlets
            if outlet.place == last.downstream and outlet.name in solution.outlets
        ]
        return next((group for group in groups if group is not None), None)

    @property
    def nodes(self) -> frozenset[str]:
        """Nodes of the row."""
        return frozenset(node for node, _, _ in self.places())

    def heights(self) -> tuple[float, float]:
        """Return the least and the greatest height that must show [m]."""
        values: list[float] = []
        for line in self.lines:
            values += [float((line.ground - line.band).min()), float(line.level.min())]
            values += [float((line.ground + line.band).max()), float(line.level.max())]
            if line.static is not None:
                values.append(line.static)
            if line.grade is not None:
                values += [float(line.grade.min()), float(line.grade.max())]
        for node, _, _ in self.places():
            values += [height for height in self.levels_at(node) if np.isfinite(height)]
        return min(values), max(values)

    def places(self) -> Iterator[tuple[str, float, float]]:
        """Each node of the row: its name, distance, and height of the ground."""
        first = self.lines[0]
        yield first.pipe.upstream, float(first.x[0]), float(first.ground[0])
        for line in self.lines:
            yield line.pipe.downstream, float(line.x[-1]), float(line.ground[-1])

    def levels_at(self, node: str) -> list[float]:
        """Return the levels that are drawn at a node: water, valve, deck and rim, outlets [m]."""
        layout = self.answer.layout
        name = tank_name(node)
        if node == "source" and layout.source_level_m is not None:
            return [middle(layout.source_level_m)]
        if node == "ram" and layout.valve_level_m is not None:
            return [middle(layout.valve_level_m)]
        if name in layout.full_m:
            return [
                middle(layout.deck_m[name]),
                max(middle(layout.full_m[name]), middle(layout.inlet_m[name])),
            ]
        results = self.answer.solution.outlets
        return [
            middle(results[outlet].level_m)
            for outlet in self.pegs[node].outlets
            if outlet in results
        ]

    def std_at(self, node: str) -> float | None:
        """Return the standard error of the ground at a node, None where not known [m]."""
        for line in self.lines:
            for end, i in ((line.pipe.upstream, 0), (line.pipe.downstream, -1)):
                std = float(line.pipe.profile.std_m[i])
                if end == node and np.isfinite(std):
                    return std
        return None


def tank_name(node: str) -> str:
    """Return the name of a tank from its node, nothing where the node is no tank.

    Examples
    --------
    >>> tank_name("tank"), tank_name("tank.upper"), tank_name("upper")
    ('tank', 'upper', '')
    """
    if node.startswith("tank."):
        return node.removeprefix("tank.")
    return node if node == "tank" else ""


def _lines_of(answer: Answer, name: str, start: float, *, turn: str | None) -> PipeLines:
    pipe = answer.layout.pipes[name]
    result = answer.solution.pipes.get(name)
    ground = middle_along(pipe.profile.elevation_m)
    std = std_of_ground(pipe.profile)
    worst = result.running if result is not None else None
    running = answer.solution.by_group.get(name, {}).get(turn or "", worst)
    static = result.static_m if result is not None else None
    return PipeLines(
        pipe=pipe,
        x=start + pipe.profile.station_m - pipe.profile.station_m[0],
        ground=ground,
        band=np.where(
            np.isfinite(std) & pipe.profile.between_known,
            answer.half_range_m(std, origin=pipe.profile.origin),
            0.0,
        ),
        level=middle_along(pipe.pipe_m),
        static=None if static is None else middle(static),
        grade=None if running is None else middle_along(running.grade_m),
        group=None if running is None else running.group,
    )
