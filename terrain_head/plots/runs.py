"""The water's way as rows of pipes laid end to end, each drawn once."""

from __future__ import annotations

from dataclasses import dataclass

from terrain_head.assessment.answer import Answer
from terrain_head.plots.pegs import Peg, pegs_of
from terrain_head.scheme.ends import RAM
from terrain_head.scheme.layout import Layout, Pipe

_SHORT_SHARE = 0.14


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Pipes that follow one another.

    Parameters
    ----------
    title
        What the row shows, in words.
    pipes
        Names of the pipes in the direction of flow.
    starts_m
        Where each begins on the drawing [m].
    length_m
        Level length of them all [m].
    """

    title: str
    pipes: tuple[str, ...]
    starts_m: tuple[float, ...]
    length_m: float


def water_runs(answer: Answer) -> tuple[Run, ...]:
    """Return the rows of a study: the whole way to one outlet first, then what branches off.

    The first row goes on to the outlet with the least pressure to spare. A drive pipe too short to
    be read there is drawn once more, larger. Every other row begins at the water surface that
    feeds it.

    Parameters
    ----------
    answer
        One choice of a study.
    """
    layout = answer.layout
    if not layout.pipes:
        return ()
    pegs = pegs_of(layout)
    ways = _ways(layout)
    main = ways.pop(_first(answer, ways))
    drawn = set(main)
    runs = [_run(layout, main, pegs)]
    drive = [name for name in main if layout.pipes[name].role in {"feed", "drive"}]
    if drive and len(drive) < len(main):
        near = _run(layout, drive, pegs, title_end=", drawn larger")
        if near.length_m < _SHORT_SHARE * runs[0].length_m:
            runs.append(near)
    for way in ways:
        fresh = next((i for i, name in enumerate(way) if name not in drawn), None)
        if fresh is None:
            continue
        surface = next(
            i for i in range(fresh, -1, -1) if i == 0 or _is_surface(layout.pipes[way[i]].upstream)
        )
        runs.append(_run(layout, way[surface:], pegs))
        drawn.update(way)
    runs += [_run(layout, [name], pegs) for name in layout.pipes if name not in drawn]
    return tuple(runs)


def _is_surface(node: str) -> bool:
    return node == "source" or node.split(".", maxsplit=1)[0] in {"tank", "seep"}


def _ways(layout: Layout) -> list[list[str]]:
    """Every way from where the water begins to an end that feeds nothing further."""
    into: dict[str, Pipe] = {}
    for pipe in layout.pipes.values():
        into.setdefault(pipe.downstream, pipe)
    feeding = {pipe.upstream for pipe in layout.pipes.values()}
    ways = []
    for end, last in into.items():
        if end in feeding:
            continue
        way: list[str] = []
        here: Pipe | None = last
        while here is not None and here.name not in way:
            way.append(here.name)
            here = into.get(here.upstream)
        ways.append(way[::-1])
    return ways or [list(layout.pipes)]


def _first(answer: Answer, ways: list[list[str]]) -> int:
    """Which way goes into the first row: past the ram if there is one, least to spare, longest."""
    layout = answer.layout
    spare: dict[str, float] = {}
    for outlet in layout.outlets:
        result = answer.solution.outlets.get(outlet.name)
        if result is not None and result.running_low_pa is not None:
            needs = outlet.needs_pa.value if outlet.needs_pa is not None else 0.0
            left = float(result.running_low_pa.mean()) - needs
            spare[outlet.place] = min(left, spare.get(outlet.place, left))

    def rank(way: list[str]) -> tuple[bool, float, float]:
        past_ram = any(layout.pipes[name].upstream == RAM for name in way)
        length = sum(layout.pipes[name].profile.plan_length_m for name in way)
        return (not past_ram, spare.get(layout.pipes[way[-1]].downstream, 1e12), -length)

    return min(range(len(ways)), key=lambda i: rank(ways[i]))


def _run(layout: Layout, names: list[str], pegs: dict[str, Peg], *, title_end: str = "") -> Run:
    starts, at = [], 0.0
    for name in names:
        starts.append(at)
        at += layout.pipes[name].profile.plan_length_m
    first = pegs[layout.pipes[names[0]].upstream]
    last = pegs[layout.pipes[names[-1]].downstream]
    title = f"{first.letter} to {last.letter}, {first.name} to {last.name}{title_end}"
    return Run(title=title, pipes=tuple(names), starts_m=tuple(starts), length_m=at)
