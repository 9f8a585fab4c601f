"""Three ways to buy pressure for an outlet: higher ground, a higher stand, a wider pipe.

Each is looked at alone, all else as it is, and with the water that it costs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.drawn import Drawn
from terrain_head.base.middle import middle_of
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.parts import Outlet, PipeSpec, Tank
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.pipe_table import PIPE_TABLE, PipeSize
from terrain_head.scheme.solution import OutletResult, Solution
from terrain_head.scheme.solver import solve

FloatArray = NDArray[np.float64]

MOST_SETS = 2_000
"""How many sets of sizes are tried for one outlet; ours."""
_AT_ONCE = 250


@dataclass(frozen=True, slots=True, kw_only=True)
class HigherTank:
    """A tank, or an intake, that stands higher.

    Parameters
    ----------
    by_m, sure_m
        How much higher it must stand by the middle values, and to do nine times in ten; the
        latter None where that was not drawn [m].
    water_lost_m3_s
        What that costs of the water that arrives, for `sure_m` where it is known; None where no
        water is lifted there, or it is not known [m3/s].
    price
        None where no price is stated.
    """

    by_m: float
    sure_m: float | None = None
    water_lost_m3_s: float | None = None
    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WiderPipe:
    """Wider pipes of the same kind on the way to the outlet; they cost no water.

    Parameters
    ----------
    pipes
        Name of each pipe, what it is now, and what it would be.
    running_pa
        What the outlet then gets, the tank low [Pa].
    meets
        Whether that is what was asked.
    price
        More than the pipes as they are, None where a price is missing.
    """

    pipes: tuple[tuple[str, str, str], ...]
    running_pa: float
    meets: bool
    price: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaysToPressure:
    """The ways for one outlet.

    Parameters
    ----------
    outlet
        Its name.
    short_pa
        What it is short of by the middle values; below 0 where it is only not sure [Pa].
    asked_pa
        What a wider pipe is asked to bring: the need, and above it what the doubt of the heights
        takes nine times in ten where that was drawn [Pa].
    tank
        Name of the tank that feeds it, None where it hangs on the source or elsewhere.
    ground
        How much higher the tank's place, or the intake, would have to be.
    stand_now_m, stand
        The stand [m], and how much higher; None without a tank or where no stand does.
    one_size_up
        The one pipe that helps most when it is taken one size wider; None where there is none.
    least
        The least wider pipe that does; None where none of the same kind is wide enough, or the
        sets were too many to try.
    """

    outlet: str
    short_pa: float
    asked_pa: float
    tank: str | None
    ground: HigherTank | None
    stand_now_m: float | None
    stand: HigherTank | None
    one_size_up: WiderPipe | None
    least: WiderPipe | None


def ways_to_pressure(solution: Solution, *, drawn: Drawn | None) -> tuple[WaysToPressure, ...]:
    """Return the three ways for every outlet that does not surely get its pressure.

    Parameters
    ----------
    solution
        The scheme solved on its middle values.
    drawn
        The same drawn many times, None where it was not.

    Notes
    -----
    A metre of higher ground counts like a metre of stand: the same metre of lift for a ram, but no
    longer riser. The water that a higher tank costs is solved for. How far the doubt of the heights
    reaches is taken from the stand that does nine times in ten, and asked of a wider pipe too.
    """
    found = []
    for outlet in solution.layout.outlets:
        result = solution.outlets.get(outlet.name)
        got_pa = None if result is None else middle_of(result.running_low_pa)
        if result is None or outlet.needs_pa is None or got_pa is None:
            continue
        short_pa = outlet.needs_pa.value - got_pa
        tank = next((t for t in solution.layout.tanks if t.name == result.fed_by), None)
        sure_m = None if drawn is None else drawn.stand_sure_m(outlet.name)
        unsure = tank is not None and sure_m is not None and sure_m > tank.stand_m.value
        if short_pa > 0 or unsure:
            found.append(_ways(solution, outlet, result, tank=tank, sure_m=sure_m))
    return tuple(found)


def _ways(
    solution: Solution,
    outlet: Outlet,
    result: OutletResult,
    *,
    tank: Tank | None,
    sure_m: float | None,
) -> WaysToPressure:
    if outlet.needs_pa is None:
        raise AssertionError("an outlet without a need")
    metre_pa = float(Water.at(solution.layout.parts.water_temperature_c).pressure_pa(1.0))
    short_pa = outlet.needs_pa.value - (middle_of(result.running_low_pa) or 0.0)
    middle_m = middle_of(result.stand_needed_m)
    spare_m = 0.0
    if sure_m is not None and middle_m is not None:
        spare_m = max(sure_m - middle_m, 0.0)
    asked_pa = outlet.needs_pa.value + metre_pa * spare_m
    by_m = max(short_pa, 0.0) / metre_pa
    surely_m = None if sure_m is None else max(short_pa / metre_pa + spare_m, 0.0)
    prices = solution.layout.parts.prices
    stand = None
    if tank is not None and middle_m is not None:
        now_m = tank.stand_m.value
        up_m = max(middle_m - now_m, 0.0)
        sure_up_m = None if sure_m is None else max(sure_m - now_m, 0.0)
        most_m = up_m if sure_up_m is None else sure_up_m
        stand = HigherTank(
            by_m=up_m,
            sure_m=sure_up_m,
            water_lost_m3_s=_water_lost(solution, tank, up_m=most_m),
            price=None if prices.stand is None else prices.stand * most_m,
        )
    ground_m = by_m if surely_m is None else surely_m
    tries = _Wider(solution, outlet, asked_pa=asked_pa)
    return WaysToPressure(
        outlet=outlet.name,
        short_pa=short_pa,
        asked_pa=asked_pa,
        tank=None if tank is None else tank.name,
        ground=HigherTank(
            by_m=by_m,
            sure_m=surely_m,
            water_lost_m3_s=None if tank is None else _water_lost(solution, tank, up_m=ground_m),
        ),
        stand_now_m=None if tank is None else tank.stand_m.value,
        stand=stand,
        one_size_up=tries.one_size_up(),
        least=tries.least(),
    )


def _water_lost(solution: Solution, tank: Tank, *, up_m: float) -> float | None:
    """Return what a tank that stands so much higher loses of its water [m3/s]."""
    before = middle_of(solution.tanks[tank.name].inflow_m3_s)
    if before is None:
        return None
    raised = solve(
        with_values(solution.layout, stand_m={tank.name: np.array([tank.stand_m.value + up_m])})
    )
    after = middle_of(raised.tanks[tank.name].inflow_m3_s)
    return None if after is None else max(before - after, 0.0)


def same_kind(spec: PipeSpec) -> tuple[PipeSpec, ...]:
    """Return the pipes of the table that differ from one by their size alone, itself first.

    Parameters
    ----------
    spec
        A pipe; one that the table does not hold has none.

    Returns
    -------
    tuple of PipeSpec
        By rising inside diameter, all wider but the first; empty if it is not of the table.
    """
    found = next(
        (
            (row, code)
            for row in PIPE_TABLE
            for code in (None, *row.codes)
            if row.coded(code) == spec.label
        ),
        None,
    )
    if found is None:
        return ()
    own, code = found
    rows = [row for row in PIPE_TABLE if _kind(row) == _kind(own) and row.inside_m > own.inside_m]
    wider = sorted(rows, key=lambda row: row.inside_m)
    return (spec, *(row.spec(code=code) for row in wider))


def _kind(row: PipeSize) -> tuple[str, str, str]:
    return row.standard, row.name, row.grade


class _Wider:
    """Wider pipes tried on the way to an outlet."""

    def __init__(self, solution: Solution, outlet: Outlet, *, asked_pa: float) -> None:
        self.solution = solution
        self.outlet = outlet
        self.asked_pa = asked_pa
        self.pipes = [
            (pipe, sizes)
            for pipe in _way_to(solution, outlet)
            if pipe.spec is not None and len(sizes := same_kind(pipe.spec)) > 1
        ]

    def one_size_up(self) -> WiderPipe | None:
        """Return the one pipe that helps most one size wider."""
        if not self.pipes:
            return None
        sets = np.eye(len(self.pipes), dtype=np.intp)
        running_pa = self.running_pa(sets)
        best = int(np.argmax(running_pa))
        return self.told(sets[best], running_pa[best])

    def least(self) -> WiderPipe | None:
        """Return the set of wider pipes that brings what is asked for the least more pipe."""
        counts = [len(sizes) for _, sizes in self.pipes]
        if not counts or np.prod(np.asarray(counts, np.float64)) > MOST_SETS:
            return None
        widest = np.array([[count - 1 for count in counts]], np.intp)
        # Where outlets open, a wider pipe may feed them and starve this one.
        opens = any(one.opens is not None for one in self.solution.layout.outlets)
        if not opens and not self.running_pa(widest)[0] >= self.asked_pa:
            return None
        sets = np.array(list(product(*(range(count) for count in counts))), np.intp)
        sets = sets[np.argsort(self.measure(sets), kind="stable")]
        for begin in range(0, len(sets), _AT_ONCE):
            some = sets[begin : begin + _AT_ONCE]
            running_pa = self.running_pa(some)
            good = np.flatnonzero(running_pa >= self.asked_pa)
            if good.size:
                return self.told(some[good[0]], running_pa[good[0]])
        return None

    def measure(self, sets: NDArray[np.intp]) -> FloatArray:
        """Return what each set costs, or its length times bore where prices are missing."""
        prices = self.solution.layout.parts.prices.pipe
        labels = {one.label for _, sizes in self.pipes for one in sizes}
        total = np.zeros(len(sets))
        for i, (pipe, sizes) in enumerate(self.pipes):
            each = (
                [prices[one.label] for one in sizes]
                if labels <= set(prices)
                else [one.inside_m.value for one in sizes]
            )
            total += float(middle_of(pipe.length_m) or 0.0) * np.array(each)[sets[:, i]]
        return total

    def running_pa(self, sets: NDArray[np.intp]) -> FloatArray:
        """Return what the outlet gets with each set of sizes, shape (sets,) [Pa]."""
        inside_m = {
            pipe.name: np.array([one.inside_m.value for one in sizes])[sets[:, i]]
            for i, (pipe, sizes) in enumerate(self.pipes)
        }
        tried = solve(with_values(self.solution.layout, inside_m=inside_m))
        got_pa = tried.outlets[self.outlet.name].running_low_pa
        if got_pa is None:
            return np.full(len(sets), np.nan)
        return np.array(np.broadcast_to(got_pa, (len(sets),)))

    def told(self, numbers: NDArray[np.intp], running_pa: float) -> WiderPipe:
        """Return one set as a record."""
        changed = [
            (pipe, sizes[0], sizes[int(number)])
            for (pipe, sizes), number in zip(self.pipes, numbers, strict=True)
            if number
        ]
        return WiderPipe(
            pipes=tuple((pipe.name, old.label, new.label) for pipe, old, new in changed),
            running_pa=float(running_pa),
            meets=bool(running_pa >= self.asked_pa),
            price=_more(changed, self.solution.layout.parts.prices.pipe),
        )


def _more(
    changed: Sequence[tuple[Pipe, PipeSpec, PipeSpec]], prices: Mapping[str, float]
) -> float | None:
    """Return what wider pipes cost more than those there are, None where a price is missing."""
    total = 0.0
    for pipe, old, new in changed:
        if old.label not in prices or new.label not in prices:
            return None
        total += (prices[new.label] - prices[old.label]) * float(middle_of(pipe.length_m) or 0.0)
    return total


def _way_to(solution: Solution, outlet: Outlet) -> list[Pipe]:
    """Return the pipes on the way to an outlet; of a line with rings all its pipes."""
    pipes = [p for p in solution.layout.pipes.values() if p.role in {"supply", "gravity"}]
    last = next((pipe for pipe in pipes if pipe.downstream == outlet.place), None)
    if last is None:
        return []
    line = [pipe for pipe in pipes if pipe.line == last.line]
    ends = [pipe.downstream for pipe in line]
    if len(set(ends)) < len(ends):
        return line
    before = {pipe.downstream: pipe for pipe in line}
    way = [last]
    while (pipe := before.get(way[-1].upstream)) is not None:
        way.append(pipe)
    return way[::-1]
