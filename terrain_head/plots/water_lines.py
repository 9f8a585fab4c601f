"""One row of pipes drawn on its ground: pipe, water lines, tanks, pegs, and what is wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from terrain_head.assessment.answer import Answer
from terrain_head.base.display import LIKELY, show
from terrain_head.plots.ground_sheet import along, draw_ground, middle
from terrain_head.plots.labels import INK, PAPER, Label, LabelField
from terrain_head.plots.pegs import SHAPES, Peg
from terrain_head.plots.profile_axes import water_level
from terrain_head.plots.runs import Run
from terrain_head.plots.sheet import DOTS, LONG_DASH, WATER
from terrain_head.plots.type_boxes import folded
from terrain_head.scheme.layout import Pipe

FloatArray = NDArray[np.float64]

_POINT_WORDS = {
    "air-high-point": ("high point: air gathers", "air gathers"),
    "water-low-point": ("low point: water stays", "water stays"),
}


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
class RowDrawing:
    """One row of pipes, ready to be drawn.

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
            self.lines.append(_lines_of(self.answer, name, start))

    @property
    def nodes(self) -> frozenset[str]:
        """Nodes of the row."""
        return frozenset(node for node, _, _ in self._nodes())

    @property
    def groups(self) -> frozenset[str]:
        """Groups of outlets for which the grade lines of the row are drawn."""
        return frozenset(line.group for line in self.lines if line.group is not None)

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
        for node, _, _ in self._nodes():
            values += [height for height in self._levels_at(node) if np.isfinite(height)]
        return min(values), max(values)

    def draw(self, axes: Axes) -> None:
        """Draw everything of the row and place its words.

        Parameters
        ----------
        axes
            The profile; its limits are final.
        """
        room = LabelField(axes=axes)
        for line in self.lines:
            known = line.pipe.profile.between_known
            draw_ground(axes, room, x=line.x, y=line.ground, band=line.band, known=known)
            self._draw_pipe(axes, room, line)
        self._draw_static(axes, room)
        self._draw_grade(axes, room)
        words = list(self._trouble(axes))
        for node, x, ground in self._nodes():
            self._draw_node(axes, room, node, x=x, ground=ground)
        room.place(self._peg_labels())
        room.place(words)
        room.place(self._line_names(axes))
        room.place(self._point_labels(axes))

    def _nodes(self) -> Iterator[tuple[str, float, float]]:
        """Each node of the row: its name, distance, and height of the ground."""
        first = self.lines[0]
        yield first.pipe.upstream, float(first.x[0]), float(first.ground[0])
        for line in self.lines:
            yield line.pipe.downstream, float(line.x[-1]), float(line.ground[-1])

    def _levels_at(self, node: str) -> list[float]:
        layout = self.answer.layout
        name = tank_name(node)
        if node == "source" and layout.source_level_m is not None:
            return [middle_of(layout.source_level_m)]
        if node == "ram" and layout.valve_level_m is not None:
            return [middle_of(layout.valve_level_m)]
        if name in layout.full_m:
            return [
                middle_of(layout.deck_m[name]),
                max(middle_of(layout.full_m[name]), middle_of(layout.inlet_m[name])),
            ]
        results = self.answer.solution.outlets
        return [
            middle_of(results[outlet].level_m)
            for outlet in self.pegs[node].outlets
            if outlet in results
        ]

    def _draw_pipe(self, axes: Axes, room: LabelField, line: PipeLines) -> None:
        pipe = line.pipe
        if pipe.profile.between_known or pipe.role == "drive":
            axes.plot(line.x, line.level, color=INK, linewidth=1.1, zorder=4)
            room.keep_clear(line.x, line.level)
        for node, i in ((pipe.upstream, 0), (pipe.downstream, -1)):
            for level in self._pipe_ends(node, entering=i == -1):
                x = float(line.x[i])
                axes.plot([x, x], [float(line.level[i]), level], color=INK, linewidth=1.1, zorder=4)

    def _pipe_ends(self, node: str, *, entering: bool) -> list[float]:
        layout, name = self.answer.layout, tank_name(node)
        if name in layout.deck_m:
            return [middle_of((layout.inlet_m if entering else layout.deck_m)[name])]
        return [] if node == "source" else self._levels_at(node)

    def _draw_static(self, axes: Axes, room: LabelField) -> None:
        for line in self.lines:
            if line.static is None or line.pipe.role == "drive":
                continue
            ends = [float(line.x[0]), float(line.x[-1])]
            axes.plot(ends, [line.static] * 2, color=WATER, linewidth=1.2, linestyle=DOTS, zorder=4)
            room.keep_clear(ends, [line.static] * 2)

    def _draw_grade(self, axes: Axes, room: LabelField) -> None:
        before: float | None = None
        for line in self.lines:
            grade = line.grade
            if line.pipe.role == "drive" and line.static is not None:
                grade = np.full(len(line.x), line.static)
            if grade is None:
                before = None
                continue
            if line.pipe.upstream == "ram" and before is not None:
                x = float(line.x[0])
                axes.annotate(
                    "",
                    xy=(x, float(grade[0])),
                    xytext=(x, before),
                    arrowprops={
                        "arrowstyle": "-|>,head_width=0.22,head_length=0.5",
                        "color": WATER,
                        "linewidth": 1.2,
                        "shrinkA": 0,
                        "shrinkB": 0,
                    },
                    zorder=4,
                )
                room.keep_clear([x, x], [before, float(grade[0])])
            axes.plot(line.x, grade, color=WATER, linewidth=1.4, linestyle=LONG_DASH, zorder=5)
            room.keep_clear(line.x, grade)
            before = float(grade[-1])

    def _draw_node(
        self, axes: Axes, room: LabelField, node: str, *, x: float, ground: float
    ) -> None:
        layout, name = self.answer.layout, tank_name(node)
        if node == "source" and layout.source_level_m is not None:
            water_level(axes, x, middle_of(layout.source_level_m))
            room.keep_clear_of_mark(x, middle_of(layout.source_level_m), half_px=7.0, up_px=10.0)
        elif node == "ram":
            axes.plot([x], [self._levels_at(node)[0]], "s", color=INK, markersize=5, zorder=6)
        elif name in layout.deck_m:
            self._draw_tank(axes, room, name, x=x, ground=ground)
        elif self.pegs[node].kind == "outlet":
            for level in self._levels_at(node):
                axes.plot(
                    [x], [level], "o", color=INK, markerfacecolor=PAPER, markersize=4.5, zorder=6
                )
        else:
            axes.plot([x], [ground], ".", color=INK, markersize=5, zorder=6)

    def _draw_tank(
        self, axes: Axes, room: LabelField, name: str, *, x: float, ground: float
    ) -> None:
        layout = self.answer.layout
        deck, full = middle_of(layout.deck_m[name]), middle_of(layout.full_m[name])
        top = max(full, middle_of(layout.inlet_m[name]))
        pixel = 1.0 / float(np.ptp(axes.transData.transform([(0.0, 0.0), (1.0, 0.0)])[:, 0]))
        half = 13.0 * pixel
        tank = Rectangle((x - half, deck), 2 * half, top - deck, facecolor=PAPER, edgecolor=INK)
        tank.set(linewidth=1.1, zorder=3.5)
        axes.add_patch(tank)
        water = Rectangle((x - half, deck), 2 * half, full - deck, facecolor=WATER, alpha=0.22)
        water.set_zorder(3.6)
        axes.add_patch(water)
        if deck > ground:
            for side in (-0.85, 0.85):
                axes.plot([x + side * half] * 2, [ground, deck], color=INK, linewidth=1.1, zorder=3)
        water_level(axes, x, full)
        for side in (-half, 0.0, half):
            room.keep_clear([x + side] * 2, [ground, top])

    def _trouble(self, axes: Axes) -> Iterator[Label]:
        """Thicken each stretch that offends, and name it."""
        for line in self.lines:
            for bad, word in _offences(self.answer, line):
                for stretch in _stretches(bad):
                    x, y = line.x[stretch], line.level[stretch]
                    axes.plot(x, y, color=INK, linewidth=4.2, zorder=4, solid_capstyle="butt")
                    yield Label(text=word, anchors=along(x, y, count=3), heavy=True, side="below")

    def _peg_labels(self) -> Iterator[Label]:
        for node, x, ground in self._nodes():
            peg = self.pegs[node]
            levels = self._levels_at(node)
            top = max([ground, *levels])
            brief = node in self.told
            yield Label(
                text=peg.name if brief else "\n".join([peg.word, *self._figures(peg)]),
                anchors=((x, ground if peg.kind in {"ram", "tee"} else top),),
                tag=peg.letter,
                shape=SHAPES[peg.kind],
                side="below" if peg.kind == "ram" else "above",
            )

    def _figures(self, peg: Peg) -> Iterator[str]:
        """Yield the figures that belong to a place, each on its line."""
        answer, units = self.answer, self.answer.units
        spread = answer.spread
        std = self._std_at(peg.node)
        if peg.kind == "ram" and answer.solution.ram is not None:
            ram = answer.solution.ram
            for word, value in (("fall", ram.fall_m), ("lift", ram.lift_m)):
                if value is not None:
                    doubt = spread[word].std if word in spread else None
                    yield f"{word} {show(middle_of(value), 'height', units, std=doubt)}"
        elif peg.kind == "source" and answer.layout.source_level_m is not None:
            level = middle_of(answer.layout.source_level_m)
            yield f"water at {show(level, 'height', units, std=std)}"
        elif peg.kind == "tank":
            full = middle_of(answer.layout.full_m[tank_name(peg.node)])
            yield f"full at {show(full, 'height', units, std=std)}"
        for name in peg.outlets:
            yield from self._outlet_figures(name, alone=len(peg.outlets) == 1)

    def _std_at(self, node: str) -> float | None:
        """Return the standard error of the ground at a node, None where not known [m]."""
        for line in self.lines:
            for end, i in ((line.pipe.upstream, 0), (line.pipe.downstream, -1)):
                std = float(line.pipe.profile.std_m[i])
                if end == node and np.isfinite(std):
                    return std
        return None

    def _outlet_figures(self, name: str, *, alone: bool) -> Iterator[str]:
        answer, units = self.answer, self.answer.units
        result = answer.solution.outlets.get(name)
        if result is None:
            return
        before = "" if alone else f"{folded(name, lines=1)}: "
        running = result.running_low_pa
        if running is None:
            if result.static_full_pa is not None:
                still = show(middle_of(result.static_full_pa), "pressure", units)
                yield f"{before}{still} standing still"
            return
        line = f"{before}{show(middle_of(running), 'pressure', units)} running"
        stated = next((o.needs_pa for o in answer.layout.outlets if o.name == name), None)
        yield line
        if stated is not None and result.enough is not None:
            verdict = "enough" if bool(np.median(result.enough) >= 0.5) else "TOO LITTLE"
            yield f"needs {show(stated.value, 'pressure', units)}: {verdict}"

    def _line_names(self, axes: Axes) -> Iterator[Label]:
        def longest(lines: list[PipeLines]) -> PipeLines:
            return max(lines, key=lambda line: float(line.x[-1] - line.x[0]))

        flowing = [line for line in self.lines if line.grade is not None]
        groups = list(dict.fromkeys(line.group for line in flowing if line.group is not None))
        turns: list[str | None] = [*groups] if len(groups) > 1 else [None] * bool(flowing)
        for group in turns:
            line = longest([each for each in flowing if group in {None, each.group}])
            when = f', "{folded(group, lines=1)}" running' if group is not None else ""
            yield Label(
                text=f"hydraulic grade line{when}",
                anchors=along(line.x, _given(line.grade)),
                ink=WATER,
                weight=2.0,
            )
        drive = [line for line in self.lines if line.pipe.role == "drive"]
        if drive and drive[0].static is not None:
            line = drive[0]
            spots = along(line.x, np.full(len(line.x), line.static))
            yield Label(text="the spring's level", anchors=spots, ink=WATER, weight=2.0, must=False)
        still = [line for line in self.lines if line.static is not None and line not in drive]
        if still:
            line = longest(still)
            spots = along(line.x, np.full(len(line.x), line.static))
            yield Label(text="static line", anchors=spots, ink=WATER, weight=2.0)
        surveyed = [line for line in self.lines if line.pipe.profile.between_known]
        if surveyed:
            line = longest(surveyed)
            yield Label(text="ground", anchors=along(line.x, line.ground), side="below", weight=2.0)
            pixel = float(np.ptp(axes.transData.transform([(0.0, 0.0), (0.0, 1.0)])[:, 1]))
            piped = [line for line in self.lines if line in surveyed or line in drive]
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
        for line in self.lines:
            if not line.pipe.profile.between_known:
                yield Label(
                    text="ground not surveyed",
                    anchors=along(line.x, line.ground),
                    side="below",
                    weight=2.0,
                )

    def _point_labels(self, axes: Axes) -> Iterator[Label]:
        """Mark high and low points; the first of each kind is named in full."""
        named: set[str] = set()
        for finding in self.answer.findings:
            words = _POINT_WORDS.get(finding.kind)
            where = finding.where
            line = next((line for line in self.lines if line.pipe.name == where.pipe), None)
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


def middle_of(value: FloatArray) -> float:
    """Return the middle of the draws of a scalar, or the scalar itself."""
    return float(np.median(value))


def tank_name(node: str) -> str:
    """Return the name of a tank from its node."""
    return node.removeprefix("tank.")


def _given(values: FloatArray | None) -> FloatArray:
    return np.zeros(0) if values is None else values


def _lines_of(answer: Answer, name: str, start: float) -> PipeLines:
    pipe = answer.layout.pipes[name]
    result = answer.solution.pipes.get(name)
    ground = middle(pipe.profile.elevation_m)
    std = pipe.profile.std_m
    running = result.running if result is not None else None
    static = result.static_m if result is not None else None
    return PipeLines(
        pipe=pipe,
        x=start + pipe.profile.station_m - pipe.profile.station_m[0],
        ground=ground,
        band=np.where(np.isfinite(std) & pipe.profile.between_known, LIKELY * std, 0.0),
        level=middle(pipe.pipe_m),
        static=None if static is None else middle_of(static),
        grade=None if running is None else middle(running.grade_m),
        group=None if running is None else running.group,
    )


def _offences(answer: Answer, line: PipeLines) -> Iterator[tuple[NDArray[np.bool_], str]]:
    """Where a pipe offends, station by station, and the word for it."""
    if line.grade is not None and line.pipe.profile.between_known:
        yield line.grade < line.level, "no pressure: pipe above the hydraulic grade line"
    spec = line.pipe.spec
    result = answer.solution.pipes.get(line.pipe.name)
    if (
        spec is not None
        and spec.rating_pa is not None
        and line.static is not None
        and result is not None
        and result.max_static_pa is not None
        and middle_of(result.max_static_pa) > spec.rating_pa
    ):
        deepest = line.static - float(line.level.min())
        share = spec.rating_pa / middle_of(result.max_static_pa)
        yield line.static - line.level > share * deepest, "more pressure than the pipe is rated for"
    if line.pipe.role == "drive":
        rising = np.diff(line.level) > 1e-6
        yield (
            np.concatenate([rising, [False]]) | np.concatenate([[False], rising]),
            ("drive pipe rises"),
        )


def _stretches(bad: NDArray[np.bool_]) -> Iterator[slice]:
    """Yield the stretches of at least two stations that are bad."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], bad.astype(int), [0]])))
    for first, end in zip(edges[::2], edges[1::2], strict=True):
        yield slice(max(int(first) - 1, 0) if end - first < 2 else int(first), int(end))
