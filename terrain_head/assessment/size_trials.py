"""Sizes tried on the whole solver: what each set of them misses, and the cheapest that does."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.limits import DELIVERY_VELOCITY, VELOCITY
from terrain_head.assessment.size_jobs import Job
from terrain_head.base.middle import middle_of
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.lines import tank_at
from terrain_head.scheme.parts import PipeSpec
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.size_tables import must_run_full
from terrain_head.scheme.solution import HydraulicGradeLine, OutletResult, Solution
from terrain_head.scheme.solver import solve
from terrain_head.scheme.supply import supply_flow

FloatArray = NDArray[np.float64]

MOST_SETS = 2_000
"""How many sets of sizes are all tried; ours."""
_AT_ONCE = 250
_WHOLE = {"pressure": 1e5, "negative": 10.0, "velocity": 1.5}
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


def bears(spec: PipeSpec, pressure_pa: float, *, temperature_c: float, share: float) -> bool:
    """Say whether a pipe bears a pressure with a share of its rating, as warm as its water.

    A pipe whose rating is not known is not judged.
    """
    if spec.rating_pa is None:
        return True
    left_pa = spec.rating_at(temperature_c)
    return left_pa is not None and pressure_pa <= share * left_pa


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Tried:
    """What many sets of sizes at once give: lines of pipes, outlets, water into tanks."""

    running: Mapping[str, HydraulicGradeLine]
    by_group: Mapping[str, Mapping[str, HydraulicGradeLine]]
    outlets: Mapping[str, OutletResult]
    inflow_m3_s: Mapping[str, FloatArray]


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
        self.inflow_m3_s = _inflows(base)
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

    def _tried(
        self, inside_m: Mapping[str, FloatArray], roughness_m: Mapping[str, FloatArray]
    ) -> _Tried:
        """Return what the job's pipes give at other bores; of a supply only its own line."""
        if self.job.line.role != "supply":
            tried = solve(with_values(self.layout, inside_m=inside_m, roughness_m=roughness_m))
            return _Tried(
                running={n: p.running for n, p in tried.pipes.items() if p.running is not None},
                by_group=tried.by_group,
                outlets=tried.outlets,
                inflow_m3_s=_inflows(tried),
            )
        parts = self.layout.parts
        # Without their needs no stand is searched for.
        outlets = tuple(replace(one, needs_pa=None) for one in parts.outlets)
        pipes = {
            pipe.name: replace(
                pipe,
                inside_m=inside_m.get(pipe.name, pipe.inside_m),
                roughness_m=roughness_m.get(pipe.name, pipe.roughness_m),
            )
            for pipe in (self.layout.pipes[one.name] for one in self.job.pipes)
        }
        flow = supply_flow(
            replace(self.layout, parts=replace(parts, outlets=outlets), pipes=pipes),
            water=Water.at(parts.water_temperature_c),
            inflow_m3_s=self.inflow_m3_s,
        )
        return _Tried(
            running=flow.running, by_group=flow.by_group, outlets=flow.outlets, inflow_m3_s={}
        )

    def can_try_all(self, counts: Sequence[int]) -> bool:
        """Say whether there are few enough sets of sizes to try them all."""
        return float(np.prod(np.asarray(counts, np.float64))) <= MOST_SETS

    def missed(self, sets: Sequence[Mapping[str, PipeSpec]]) -> list[list[Short]]:
        """Return what each of some sets of sizes misses, the weightiest first.

        Parameters
        ----------
        sets
            Size of every wished pipe by its name, at least one set.
        """
        warm_c = self.layout.parts.water_temperature_c
        found: list[list[Short]] = [[] for _ in sets]
        for short, specs in zip(found, sets, strict=True):
            for name, spec in specs.items():
                if not bears(spec, self.static_pa[name], temperature_c=warm_c, share=1.0):
                    by = self.static_pa[name] - (spec.rating_at(warm_c) or 0.0)
                    short.append(Short(kind="rating", name=name, by=by, unit="kPa", pipe=name))
        numbers = {name: np.arange(len(sets)) for name in sets[0]}
        sizes = {name: [specs[name] for specs in sets] for name in sets[0]}
        for one, values in self.spare(sizes, numbers):
            for short, value in zip(found, values, strict=True):
                if not value >= 0:
                    short.append(replace(one, by=-float(value)))
        return [sorted(short, key=lambda one: _WEIGHT.index(one.kind)) for short in found]

    def cheapest(
        self, specs: Mapping[str, Sequence[PipeSpec]], *, cost: Mapping[str, FloatArray]
    ) -> dict[str, int]:
        """Return the number of the size of each pipe; where no set does the widest.

        Parameters
        ----------
        specs, cost
            The sizes that each pipe may have, the widest last, and their costs, by its name.

        Notes
        -----
        Where outlets open, a wider pipe lets more out there and may starve the others: that the
        widest do not do then proves nothing, and where no set does the one that misses least is
        taken.
        """
        names = list(specs)
        counts = [len(specs[name]) for name in names]
        widest = np.array([[count - 1 for count in counts]], np.intp)
        opens = any(one.opens is not None for one in self.job.line.outlets)
        if not opens and not self.do(specs, widest)[0]:
            return dict(zip(names, (int(each) for each in widest[0]), strict=True))
        if self.can_try_all(counts):
            best = self._first_of_all(specs, cost=cost)
        else:
            begin = widest[0] if not opens else self._mended(specs)
            best = self._stepped(specs, cost=cost, begin=begin)
        return dict(zip(names, (int(each) for each in best), strict=True))

    def _first_of_all(
        self, specs: Mapping[str, Sequence[PipeSpec]], *, cost: Mapping[str, FloatArray]
    ) -> NDArray[np.intp]:
        """Return the first set that does in the order of cost, else the one that misses least."""
        sets = np.array(list(product(*(range(len(sizes)) for sizes in specs.values()))), np.intp)
        # Of sets that cost the same the wider ones.
        sets = sets[np.lexsort((-sets.sum(axis=1), self._total(sets, cost)))]
        least, best = np.inf, np.asarray(sets[-1])
        for begin in range(0, len(sets), _AT_ONCE):
            some = sets[begin : begin + _AT_ONCE]
            lacks = self.lacking(specs, some)
            at = int(np.argmin(lacks))
            if lacks[at] < least:
                least, best = float(lacks[at]), np.asarray(some[at])
            if least == 0:
                return best
        return best

    def _mended(self, specs: Mapping[str, Sequence[PipeSpec]]) -> NDArray[np.intp]:
        """Return a set that does, or misses little: from sizes all alike, one pipe at a time."""
        most = np.array([len(sizes) - 1 for sizes in specs.values()], np.intp)
        alike = np.minimum(np.arange(int(most.max()) + 1)[:, None], most[None])
        lacks = self.lacking(specs, alike)
        now, least = np.asarray(alike[int(np.argmin(lacks))]), float(lacks.min())
        while least > 0:
            tries = _neighbours(now, most)
            lacks = self.lacking(specs, tries)
            if float(lacks.min()) >= least:
                break
            now, least = np.asarray(tries[int(np.argmin(lacks))]), float(lacks.min())
        return now

    def _stepped(
        self,
        specs: Mapping[str, Sequence[PipeSpec]],
        *,
        cost: Mapping[str, FloatArray],
        begin: NDArray[np.intp],
    ) -> NDArray[np.intp]:
        """Return sizes found from a set downward: always the step that saves the most."""
        most = np.array([len(sizes) - 1 for sizes in specs.values()], np.intp)
        now = begin
        if not self.do(specs, now[None])[0]:
            return now
        while True:
            tries = _neighbours(now, most)
            saved = self._total(now[None], cost)[0] - self._total(tries, cost)
            tries, saved = tries[saved > 0], saved[saved > 0]
            good = np.flatnonzero(self.do(specs, tries)) if len(tries) else np.zeros(0, np.intp)
            if not good.size:
                return now
            now = tries[good[np.argmax(saved[good])]]

    def _total(self, sets: NDArray[np.intp], cost: Mapping[str, FloatArray]) -> FloatArray:
        """Return what each set costs, shape (sets,)."""
        each = [values[sets[:, i]] for i, values in enumerate(cost.values())]
        return np.asarray(np.sum(each, axis=0, dtype=np.float64))

    def do(
        self, specs: Mapping[str, Sequence[PipeSpec]], sets: NDArray[np.intp]
    ) -> NDArray[np.bool_]:
        """Say of each set of sizes, shape (sets, pipes), whether it misses nothing."""
        return np.asarray(self.lacking(specs, sets) == 0)

    def lacking(
        self, specs: Mapping[str, Sequence[PipeSpec]], sets: NDArray[np.intp]
    ) -> FloatArray:
        """Return how much each set of sizes misses, in rough shares that add up; 0 for nothing."""
        numbers = {name: sets[:, i] for i, name in enumerate(specs)}
        total = np.zeros(len(sets))
        for one, values in self.spare(specs, numbers):
            whole = self.wanted_m3_s[one.name] if one.kind == "water" else _WHOLE[one.kind]
            total += np.where(values >= 0, 0.0, 1e-9 - values / whole)
        return total

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
        tried = self._tried(inside_m, roughness_m)
        found: list[tuple[Short, FloatArray]] = []

        def add(short: Short, values: FloatArray) -> None:
            left = np.broadcast_to(values, (count,))
            found.append((short, np.where(np.isnan(left), -np.inf, left)))

        for pipe in self.job.pipes:
            for short, values in _in_pipe(self.layout, pipe, tried=tried):
                add(short, values)
        for outlet in self.job.line.outlets:
            got_pa = tried.outlets[outlet.name].running_low_pa
            if got_pa is not None:
                wanted = 0.0 if outlet.needs_pa is None else max(outlet.needs_pa.value, 0.0)
                add(Short(kind="pressure", name=outlet.name, by=0.0, unit="kPa"), got_pa - wanted)
        for name, wanted in self.wanted_m3_s.items():
            inflow = tried.inflow_m3_s.get(name)
            if inflow is not None:
                add(
                    Short(kind="water", name=name, by=0.0, unit="L/min"),
                    np.asarray(inflow * (1 + _SLACK) - wanted),
                )
        return found


def _inflows(solution: Solution) -> dict[str, FloatArray]:
    tanks = solution.tanks.items()
    return {name: one.inflow_m3_s for name, one in tanks if one.inflow_m3_s is not None}


def _neighbours(now: NDArray[np.intp], most: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return every set of sizes that differs from one by a single pipe, shape (sets, pipes)."""
    tries = [
        [*now[:i], size, *now[i + 1 :]]
        for i in range(now.size)
        for size in range(int(most[i]) + 1)
        if size != now[i]
    ]
    return np.array(tries, np.intp).reshape(-1, now.size)


def _in_pipe(layout: Layout, pipe: Pipe, *, tried: _Tried) -> Iterable[tuple[Short, FloatArray]]:
    """Give what pressure and speed in one pipe leave of their limits."""
    running = tried.running.get(pipe.name)
    if running is None:
        return
    cases = tuple(tried.by_group.get(pipe.name, {}).values()) or (running,)
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
