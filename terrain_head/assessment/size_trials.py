"""Sizes tried on the whole solver: what each set of them misses, and the cheapest that does."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.limits import DELIVERY_VELOCITY, VELOCITY
from terrain_head.base.middle import middle_of
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import Line, lines_of, tank_at
from terrain_head.scheme.parts import PipeSpec
from terrain_head.scheme.size_tables import must_run_full
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve

FloatArray = NDArray[np.float64]

MOST_SETS = 2_000
"""How many sets of sizes are all tried; ours."""
_AT_ONCE = 250
_WEIGHT = ("rating", "pressure", "water", "negative", "velocity", "bore")
_SLACK = 1e-9
_ROUNDING_M = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Short:
    """What some sizes miss, and by how much.

    Parameters
    ----------
    kind
        ``pressure`` at an outlet, ``water`` into a tank, ``velocity`` or ``rating`` or pressure
        below the air's (``negative``) in a pipe, ``bore`` of a drive pipe.
    name
        Name of the outlet, tank or pipe.
    by, unit
        How much is missing or too much, SI, and the JSON unit of it.
    pipe
        The pipe where it is a matter of one pipe alone.
    """

    kind: Literal["pressure", "water", "velocity", "rating", "negative", "bore"]
    name: str
    by: float
    unit: str
    pipe: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Job:
    """Pipes whose sizes are chosen together.

    Parameters
    ----------
    line
        The line they belong to, of a ram the line of its delivery.
    pipes
        All pipes that hang together.
    wished
        Names of those whose size is to be chosen.
    stated_tree
        Whether they are a tree below one root whose outlets state their flows.
    """

    line: Line
    pipes: tuple[Pipe, ...]
    wished: tuple[str, ...]
    stated_tree: bool


def jobs_of(layout: Layout, wished: Iterable[str]) -> list[Job]:
    """Return the pipes to be chosen, those together that hang together, the ram's first.

    Parameters
    ----------
    layout
        The scheme on its ground.
    wished
        Names of the pipes whose size is to be chosen.
    """
    names = set(wished)
    jobs = []
    feeds = tuple(pipe for pipe in layout.pipes.values() if pipe.role == "feed")
    lines = [*lines_of(layout, "delivery"), *lines_of(layout, "gravity", "supply")]
    if feeds and not lines_of(layout, "delivery"):
        lines = [*lines_of(layout, "feed"), *lines]
    for line in lines:
        pipes = (*feeds, *line.pipes) if line.role == "delivery" else line.pipes
        here = tuple(pipe.name for pipe in pipes if pipe.name in names)
        known = all(pipe.spec is not None or pipe.name in names for pipe in pipes)
        if here and known:
            stated = line.role == "supply" and line.tree
            stated = stated and all(one.opens is None for one in line.outlets)
            jobs.append(Job(line=line, pipes=pipes, wished=here, stated_tree=stated))
    return jobs


def bears(spec: PipeSpec, pressure_pa: float, *, temperature_c: float, share: float) -> bool:
    """Say whether a pipe bears a pressure with a share of its rating, as warm as its water.

    A pipe whose rating is not known is not judged.
    """
    if spec.rating_pa is None:
        return True
    left_pa = spec.rating_at(temperature_c)
    return left_pa is not None and pressure_pa <= share * left_pa


class Trials:
    """One job's pipes tried at other sizes, all else as it is.

    Parameters
    ----------
    layout
        The scheme, every pipe of the job with some size.
    job
        The pipes.
    """

    def __init__(self, layout: Layout, job: Job) -> None:
        self.layout = layout
        self.job = job
        base = solve(layout)
        self.static_pa = {
            pipe.name: middle_of(base.pipes[pipe.name].max_static_pa) or 0.0 for pipe in job.pipes
        }
        self.wanted_m3_s = self._wanted(base)

    def _wanted(self, base: Solution) -> dict[str, float]:
        """Return what each filled tank must get: what is needed, else what the widest bring."""
        fills = {tank_at(self.layout, pipe.downstream) for pipe in self.job.pipes}
        wanted = {}
        for tank in self.layout.tanks:
            if tank.name not in fills:
                continue
            inflow = middle_of(base.tanks[tank.name].inflow_m3_s)
            if tank.needed_m3_s is not None:
                wanted[tank.name] = tank.needed_m3_s.value
            elif inflow is not None and self.job.line.role == "gravity":
                wanted[tank.name] = inflow * (1 - 1e-6)
        return wanted

    def can_try_all(self, counts: Sequence[int]) -> bool:
        """Say whether there are few enough sets of sizes to try them all."""
        return float(np.prod(np.asarray(counts, np.float64))) <= MOST_SETS

    def missed(self, specs: Mapping[str, PipeSpec]) -> list[Short]:
        """Return what one set of sizes misses, the weightiest first."""
        warm_c = self.layout.parts.water_temperature_c
        short = []
        for name, spec in specs.items():
            if not bears(spec, self.static_pa[name], temperature_c=warm_c, share=1.0):
                left_pa = spec.rating_at(warm_c) or 0.0
                by = self.static_pa[name] - left_pa
                short.append(Short(kind="rating", name=name, by=by, unit="kPa", pipe=name))
        numbers = {name: np.zeros(1, np.intp) for name in specs}
        spare = self.spare({name: [spec] for name, spec in specs.items()}, numbers)
        for one, values in spare:
            if not values[0] >= 0:
                short.append(
                    Short(
                        kind=one.kind, name=one.name, by=-float(values[0]), unit=one.unit,
                        pipe=one.pipe,
                    )
                )  # fmt: skip
        return sorted(short, key=lambda one: _WEIGHT.index(one.kind))

    def cheapest(
        self, specs: Mapping[str, Sequence[PipeSpec]], *, cost: Mapping[str, FloatArray]
    ) -> dict[str, int]:
        """Return the number of the size of each pipe; the widest where no set does.

        Parameters
        ----------
        specs, cost
            The sizes that each pipe may have, the widest last, and their costs, by its name.
        """
        names = list(specs)
        widest = {name: len(specs[name]) - 1 for name in names}
        if not self.do(specs, np.array([[widest[name] for name in names]]))[0]:
            return widest
        counts = [len(specs[name]) for name in names]
        if not self.can_try_all(counts):
            return self.stepped(specs, cost=cost, begin=widest)
        sets = np.array(list(product(*(range(count) for count in counts))), np.intp)
        total = sum((cost[name][sets[:, i]] for i, name in enumerate(names)), np.zeros(len(sets)))
        # Of sets that cost the same the wider ones.
        sets = sets[np.lexsort((-sets.sum(axis=1), total))]
        for begin in range(0, len(sets), _AT_ONCE):
            some = sets[begin : begin + _AT_ONCE]
            good = np.flatnonzero(self.do(specs, some))
            if good.size:
                return {name: int(some[good[0], i]) for i, name in enumerate(names)}
        return widest

    def stepped(
        self,
        specs: Mapping[str, Sequence[PipeSpec]],
        *,
        cost: Mapping[str, FloatArray],
        begin: Mapping[str, int],
    ) -> dict[str, int]:
        """Return sizes found from the widest down: always the step that saves the most."""
        names = list(specs)
        now = np.array([begin[name] for name in names], np.intp)
        while True:
            tries = np.array(
                [
                    [*now[:i], lower, *now[i + 1 :]]
                    for i, name in enumerate(names)
                    for lower in range(int(now[i]))
                    if cost[name][lower] < cost[name][now[i]]
                ],
                np.intp,
            ).reshape(-1, len(names))
            if not len(tries):
                break
            saved = sum(
                (cost[name][now[i]] - cost[name][tries[:, i]] for i, name in enumerate(names)),
                np.zeros(len(tries)),
            )
            good = np.flatnonzero(self.do(specs, tries))
            if not good.size:
                break
            now = tries[good[np.argmax(saved[good])]]
        return {name: int(now[i]) for i, name in enumerate(names)}

    def do(
        self, specs: Mapping[str, Sequence[PipeSpec]], sets: NDArray[np.intp]
    ) -> NDArray[np.bool_]:
        """Say of each set of sizes, shape (sets, pipes), whether it misses nothing."""
        numbers = {name: sets[:, i] for i, name in enumerate(specs)}
        good = np.ones(len(sets), np.bool_)
        for _, values in self.spare(specs, numbers):
            good &= values >= 0
        return good

    def spare(
        self, specs: Mapping[str, Sequence[PipeSpec]], numbers: Mapping[str, NDArray[np.intp]]
    ) -> list[tuple[Short, FloatArray]]:
        """Return how much each need and limit leaves in each set of sizes, below 0 where short."""
        inside_m = {
            name: np.array([one.inside_m.value for one in sizes])[numbers[name]]
            for name, sizes in specs.items()
        }
        roughness_m = {
            name: np.array([one.roughness_m.value for one in sizes])[numbers[name]]
            for name, sizes in specs.items()
        }
        count = len(next(iter(numbers.values())))
        tried = solve(with_values(self.layout, inside_m=inside_m, roughness_m=roughness_m))
        found: list[tuple[Short, FloatArray]] = []

        def add(short: Short, values: FloatArray) -> None:
            left = np.broadcast_to(values, (count,))
            found.append((short, np.where(np.isnan(left), -np.inf, left)))

        for pipe in self.job.pipes:
            for short, values in _in_pipe(self.layout, tried, pipe):
                add(short, values)
        for outlet in self.job.line.outlets:
            got_pa = tried.outlets[outlet.name].running_low_pa
            if got_pa is not None:
                wanted = 0.0 if outlet.needs_pa is None else max(outlet.needs_pa.value, 0.0)
                add(Short(kind="pressure", name=outlet.name, by=0.0, unit="kPa"), got_pa - wanted)
        for name, wanted in self.wanted_m3_s.items():
            inflow = tried.tanks[name].inflow_m3_s
            if inflow is not None:
                add(
                    Short(kind="water", name=name, by=0.0, unit="L/min"),
                    np.asarray(inflow * (1 + _SLACK) - wanted),
                )
        return found


def _in_pipe(layout: Layout, tried: Solution, pipe: Pipe) -> Iterable[tuple[Short, FloatArray]]:
    """Give what pressure and speed in one pipe leave of their limits."""
    result = tried.pipes[pipe.name]
    if result.running is None:
        return
    cases = tuple(tried.by_group.get(pipe.name, {}).values()) or (result.running,)
    held = must_run_full(layout, pipe)
    if held.any():
        heads = [case.pressure_head_m[..., held].min(axis=-1) for case in cases]
        least_m = np.minimum.reduce(np.broadcast_arrays(*heads))
        yield (
            Short(kind="negative", name=pipe.name, by=0.0, unit="m", pipe=pipe.name),
            np.asarray(least_m + _ROUNDING_M),
        )
    limit = DELIVERY_VELOCITY if pipe.role == "delivery" else VELOCITY
    speeds = [np.abs(case.velocity_m_s) for case in cases]
    fastest = np.maximum.reduce(np.broadcast_arrays(*speeds))
    yield (
        Short(kind="velocity", name=pipe.name, by=0.0, unit="m/s", pipe=pipe.name),
        np.asarray(limit.value * (1 + _SLACK) - fastest),
    )
