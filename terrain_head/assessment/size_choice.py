"""The sizes of the pipes that are left to be chosen, and what forbids the next smaller ones."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.limits import RATING_SHARE, VELOCITY
from terrain_head.assessment.size_jobs import Job, jobs_of
from terrain_head.assessment.size_trials import Short, Trials, bears
from terrain_head.base.middle import middle_of
from terrain_head.formulas.drive_sizing import Agreed, agreed, bores_allowed
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import PipeSpec
from terrain_head.scheme.pipe_choice import SizeChoice, SizeOption
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.size_tables import tree_tables, with_spec
from terrain_head.scheme.sizes import cheapest_sizes
from terrain_head.scheme.solver import solve

FloatArray = NDArray[np.float64]
How = Literal["proven", "tried all", "tried some", "rules"]
"""How sure the choice is: the cheapest of all sets of sizes, ``proven`` or because all were tried
on the whole solver; the best found by stepping down one pipe after another; or what the published
rules for a drive pipe say."""

_SLACK = 1 + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenSize:
    """The size of one pipe.

    Parameters
    ----------
    pipe
        Its name.
    spec, size
        The pipe that was chosen, and its size as said: ``32 mm``.
    families
        What it was chosen from.
    how
        How sure the choice is.
    price
        Of its whole length, None where no price is stated.
    smaller
        Size of the next narrower pipe, None where there is none.
    forbids
        What that one would miss; None where it would do but costs more, or was not tried.
    fails
        What even the chosen sizes miss, where no set of sizes does.
    rules
        For a drive pipe: the bores on which most published rules agree, and which differ.
    """

    pipe: str
    spec: PipeSpec
    size: str
    families: tuple[str, ...]
    how: How
    price: float | None = None
    smaller: str | None = None
    forbids: Short | None = None
    fails: tuple[Short, ...] = ()
    rules: Agreed | None = None


def choose_sizes(layout: Layout) -> tuple[Layout, tuple[ChosenSize, ...]]:
    """Return the scheme with a size for every pipe that was left to be chosen.

    Parameters
    ----------
    layout
        The scheme on its ground, without draws.

    Returns
    -------
    tuple of Layout and ChosenSize
        The scheme laid out with the chosen pipes. A pipe stays without one where another pipe of
        its line has neither a size nor a choice, or where a drive pipe's flow is not known.

    Notes
    -----
    Made once, on the middle values. Smallest means the least sum of length times outside diameter,
    or of prices where the study states them. A tree with stated flows is exact, by
    `terrain_head.scheme.sizes`; other lines are tried on the solver, every set in the order of its
    cost while there are few, else from the widest down, one pipe after another.
    """
    wished = {
        run.name: run.choice
        for run in layout.parts.pipes
        if run.choice is not None and run.name in layout.pipes
    }
    if not wished:
        return layout, ()
    picks = {name: len(choice.options) - 1 for name, choice in wished.items()}
    chosen: dict[str, ChosenSize] = {}
    for job in jobs_of(layout, wished):
        work = _Choosing(_sized(layout, wished, picks), job, wished=wished)
        picks |= work.picks()
        chosen |= work.told(picks)
    chosen |= _drive(_sized(layout, wished, picks), wished)
    specs = {name: one.spec for name, one in chosen.items()}
    ordered = tuple(chosen[name] for name in wished if name in chosen)
    return _laid(layout, specs, wished), ordered


def _sized(layout: Layout, wished: Mapping[str, SizeChoice], picks: Mapping[str, int]) -> Layout:
    """Return a layout with a size for every wished pipe, as it lies."""
    specs = {name: wished[name].options[number].spec for name, number in picks.items()}
    runs = tuple(replace(run, spec=specs.get(run.name, run.spec)) for run in layout.parts.pipes)
    pipes = {
        name: with_spec(pipe, specs[name]) if name in specs else pipe
        for name, pipe in layout.pipes.items()
    }
    return replace(layout, parts=replace(layout.parts, pipes=runs), pipes=pipes)


def _laid(
    layout: Layout, specs: Mapping[str, PipeSpec], wished: Mapping[str, SizeChoice]
) -> Layout:
    """Return the scheme laid out anew with its chosen pipes, and what was taken for them."""
    taken = [
        one
        for name, spec in specs.items()
        for option in wished[name].options
        if option.spec is spec
        for one in option.taken
    ]
    runs = tuple(replace(run, spec=specs.get(run.name, run.spec)) for run in layout.parts.pipes)
    parts = replace(layout.parts, pipes=runs, taken=(*layout.parts.taken, *taken))
    return lay_out(parts, ground=layout.ground, values=layout.values)


def costs_of(options: Sequence[SizeOption], *, length_m: float) -> FloatArray:
    """Return what a length of each pipe costs: its price, else length times outside diameter.

    Parameters
    ----------
    options
        The pipes; all of them have prices, or none is counted.
    length_m
        Length [m].
    """
    prices = [one.price for one in options if one.price is not None]
    each = prices if len(prices) == len(options) else [one.outside_m for one in options]
    return length_m * np.asarray(each, np.float64)


class _Choosing:
    """The choice for the pipes of one job, the others as they are."""

    def __init__(self, layout: Layout, job: Job, *, wished: Mapping[str, SizeChoice]) -> None:
        self.layout = layout
        self.job = job
        self.wished = {name: wished[name] for name in job.wished}
        self.trials = Trials(layout, job)
        self.proven = True
        self.cost = {
            name: costs_of(choice.options, length_m=float(layout.pipes[name].length_m))
            for name, choice in self.wished.items()
        }
        self.open = {name: self._that_bear(name) for name in self.wished}

    def _that_bear(self, name: str) -> list[int]:
        """Return the options that bear the still water: with what is kept free, else just so."""
        options = self.wished[name].options
        static_pa = self.trials.static_pa[name]
        warm_c = self.layout.parts.water_temperature_c
        for share in (RATING_SHARE.value, 1.0):
            kept = [
                number
                for number, one in enumerate(options)
                if bears(one.spec, static_pa, temperature_c=warm_c, share=share)
            ]
            if kept:
                return kept
        return [len(options) - 1]

    def picks(self) -> dict[str, int]:
        """Return the number of the chosen option of each pipe."""
        return self.by_tree() if self.job.stated_tree else self.by_trial()

    def by_tree(self) -> dict[str, int]:
        """Return the sizes of a tree with stated flows."""
        water = Water.at(self.layout.parts.water_temperature_c)
        specs: dict[str, list[PipeSpec]] = {}
        cost: dict[str, FloatArray] = {}
        for pipe in self.job.pipes:
            if pipe.name in self.wished:
                options = self.wished[pipe.name].options
                specs[pipe.name] = [options[number].spec for number in self.open[pipe.name]]
                cost[pipe.name] = self.cost[pipe.name][self.open[pipe.name]]
            elif pipe.spec is not None:
                specs[pipe.name], cost[pipe.name] = [pipe.spec], np.zeros(1)
        line = replace(self.job.line, pipes=self.job.pipes)
        tables = tree_tables(self.layout, line, specs=specs, cost=cost, water=water)
        slow: dict[str, NDArray[np.intp]] = {}
        pipes = []
        for sized in tables.pipes:
            kept = np.flatnonzero(tables.speed_m_s[sized.name] <= VELOCITY.value * _SLACK)
            kept = kept if kept.size else np.array([sized.cost.size - 1])
            slow[sized.name] = kept
            pipes.append(
                replace(
                    sized,
                    loss_m=sized.loss_m[kept],
                    needed_m=sized.needed_m[kept],
                    cost=sized.cost[kept],
                )
            )
        found = None
        if tables.level_m.size:
            found = cheapest_sizes(pipes, root=tables.root, level_m=tables.level_m)
        if found is None:
            return {name: self.open[name][-1] for name in self.wished}
        self.proven = found.proven
        return {name: self.open[name][int(slow[name][found.sizes[name]])] for name in self.wished}

    def by_trial(self) -> dict[str, int]:
        """Return the sizes of any other line, tried on the whole solver."""
        names = list(self.wished)
        specs = {
            name: [self.wished[name].options[number].spec for number in self.open[name]]
            for name in names
        }
        cost = {name: self.cost[name][self.open[name]] for name in names}
        found = self.trials.cheapest(specs, cost=cost)
        return {name: self.open[name][found[name]] for name in names}

    def told(self, picks: Mapping[str, int]) -> dict[str, ChosenSize]:
        """Return the choice with its reasons."""
        names = list(self.wished)
        now = {name: self.wished[name].options[picks[name]].spec for name in names}
        below = [name for name in names if picks[name] > 0]
        smaller = {name: self.wished[name].options[picks[name] - 1] for name in below}
        tries = [now, *({**now, name: smaller[name].spec} for name in below)]
        fails, *missed_by = self.trials.missed(tries)
        missed_with = dict(zip(below, missed_by, strict=True))
        how: How = "proven" if self.job.stated_tree and self.proven else "tried some"
        if not self.job.stated_tree and self.trials.can_try_all(
            [len(self.open[name]) for name in names]
        ):
            how = "tried all"
        already = {(one.kind, one.name) for one in fails}
        told = {}
        for name in names:
            option = self.wished[name].options[picks[name]]
            missed = missed_with.get(name, [])
            length_m = float(self.layout.pipes[name].length_m)
            told[name] = ChosenSize(
                pipe=name,
                spec=option.spec,
                size=option.size,
                families=self.wished[name].families,
                how=how,
                price=None if option.price is None else option.price * length_m,
                smaller=smaller[name].size if name in smaller else None,
                forbids=next((one for one in missed if (one.kind, one.name) not in already), None),
                fails=tuple(one for one in fails if one.pipe in {None, name}),
            )
        return told


def _drive(layout: Layout, wished: Mapping[str, SizeChoice]) -> dict[str, ChosenSize]:
    """Return the size of the drive pipe by the published rules, the others chosen."""
    ram = layout.ram
    if ram is None or ram.drive not in wished:
        return {}
    solution = solve(layout)
    work = solution.ram
    used = None if work is None else middle_of(work.used_m3_s)
    if work is None or used is None or used <= 0:
        return {}
    delivery = [p for p in layout.pipes.values() if p.role == "delivery" and p.spec is not None]
    bore_m = float(delivery[0].inside_m) if delivery and ram.count == 1 else None
    both = agreed(bores_allowed(flow_m3_s=used / ram.count, delivery_inside_m=bore_m))
    choice = wished[ram.drive]
    load_pa = _beat_pa(layout, lift_m=middle_of(work.lift_m), loss_m=work.delivery_loss_m)
    warm_c = layout.parts.water_temperature_c
    strong = [o for o in choice.options if bears(o.spec, load_pa, temperature_c=warm_c, share=1.0)]
    options = strong or list(choice.options[-1:])
    wide = [one for one in options if one.spec.inside_m.value >= both.low_m]
    option = wide[0] if wide else options[-1]
    length_m = float(layout.pipes[ram.drive].length_m)
    at = choice.options.index(option)
    inside_m = option.spec.inside_m.value
    fails: tuple[Short, ...] = ()
    if not strong:
        fails = (Short(kind="rating", name=ram.drive, by=load_pa, unit="kPa", pipe=ram.drive),)
    elif not both.low_m <= inside_m <= both.high_m:
        by_m = both.low_m - inside_m if inside_m < both.low_m else inside_m - both.high_m
        fails = (Short(kind="bore", name=ram.drive, by=by_m, unit="m", pipe=ram.drive),)
    return {
        ram.drive: ChosenSize(
            pipe=ram.drive,
            spec=option.spec,
            size=option.size,
            families=choice.families,
            how="rules",
            price=None if option.price is None else option.price * length_m,
            smaller=choice.options[at - 1].size if at else None,
            fails=fails,
            rules=both,
        )
    }


def _beat_pa(layout: Layout, *, lift_m: float | None, loss_m: FloatArray | None) -> float:
    """Return what every beat puts on the drive pipe at the least [Pa]."""
    water = Water.at(layout.parts.water_temperature_c)
    return float(water.pressure_pa((lift_m or 0.0) + (middle_of(loss_m) or 0.0)))
