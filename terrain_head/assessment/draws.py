"""Doubt carried through: every cause of doubt drawn at once, through the one solver."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.causes import Cause, Moves, Target, causes_of
from terrain_head.assessment.drawn import Drawn, likely_of
from terrain_head.assessment.drawn_ground import (
    MOST_FOR_SHARES,
    DrawnHeights,
    draw_heights,
    thinned,
)
from terrain_head.assessment.drawn_results import headline_names, results_by_name
from terrain_head.assessment.shares import Shares, shares_of
from terrain_head.assessment.ways import way_to
from terrain_head.scheme.changes import with_values
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Parts
from terrain_head.scheme.solution import Solution
from terrain_head.scheme.solver import solve
from terrain_head.scheme.supply_line import Extra

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IndexArray = NDArray[np.intp]

DRAWS = 1024
SHARE_ROWS = 16_384
"""How many cases at most are solved to share the doubt out; ours."""
AGAIN = 1024
"""How many draws at most are drawn anew to share the doubt out; ours."""
CHUNK = 2**20
"""How many heights are solved at a time: so many stay near the processor; ours."""
_TOUCH_M = 1e-4


def draw(
    layout: Layout,
    solution: Solution,
    *,
    draws: int = DRAWS,
    places: Sequence[str] = (),
    heights_factor: float = 1.0,
) -> Drawn:
    """Return one choice drawn many times, with the doubt of its results and what it is owed to.

    Parameters
    ----------
    layout, solution
        The choice without draws, and what the solver said to it.
    draws
        How many draws.
    places
        Names of places to be drawn first, in this order: the same for all choices of a study, so
        that what they share is drawn alike.
    heights_factor
        By how much the doubt of leveled heights is widened because few readings tell how good
        the readings were, 1 where their error was stated [1].

    Returns
    -------
    Drawn
        The same every time, and the same whichever other choices are drawn.

    Notes
    -----
    ``draw(answer.layout, answer.solution).likely("fall")`` has the standard error of the fall and
    the ends of its nine-in-ten range. All causes are drawn at once for the ranges; the headline
    results are solved again under every set of causes drawn anew for the shares.
    """
    scheme = _DrawnScheme.of(
        layout, solution, draws=draws, places=places, heights_factor=heights_factor
    )
    unknown = scheme.touched_by_unknown()
    known = {
        name: value
        for name, value in results_by_name(solution).items()
        if np.isfinite(value) and name not in unknown
    }
    samples = {}
    if scheme.causes:
        none = np.zeros((draws, len(scheme.causes)), bool)
        for name, drawn in scheme.results(np.arange(draws), none).items():
            moves = likely_of(drawn) is not None or name.endswith(".stand_needed")
            if name in known and moves:
                samples[name] = drawn
    shared = scheme.shares([name for name in headline_names(solution) if name in samples])
    return Drawn(
        draws=draws,
        samples=samples,
        unknown=unknown,
        chance=_chances(layout, solution, samples=samples, unknown=unknown),
        shares={
            name: dict(sorted(one.items(), key=lambda item: -item[1]))
            for name, one in shared.shapley.items()
        },
        unswapped=shared.unswapped,
        swapped=shared.swapped,
        taken=tuple(one for cause in scheme.causes for one in cause.taken),
    )


def _chances(
    layout: Layout,
    solution: Solution,
    *,
    samples: Mapping[str, FloatArray],
    unknown: frozenset[str],
) -> dict[str, float]:
    """Return the chance that each need is met, and that an outlet is served: water gets there too.

    Where by the middle figures no water gets there, the need of pressure is judged alone, as if a
    tank were full: what it then lacks wants another cure.
    """
    middle = results_by_name(solution)
    needs = {
        f"tank.{tank.name}.needed": (f"tank.{tank.name}.inflow", tank.needed_m3_s)
        for tank in layout.tanks
    }
    needs |= {
        f"outlet.{outlet.name}.needs": (f"outlet.{outlet.name}.running_low", outlet.needs_pa)
        for outlet in layout.outlets
    }
    found = {}
    for need, (result, wanted) in needs.items():
        if wanted is not None and result in samples and result in middle and result not in unknown:
            got = np.nan_to_num(samples[result], nan=-np.inf)
            found[need] = float(np.mean(got >= wanted.value))
    for outlet in layout.outlets:
        need = f"outlet.{outlet.name}.needs"
        if need not in found or outlet.needs_pa is None:
            continue
        got = samples[f"outlet.{outlet.name}.running_low"]
        served = np.nan_to_num(got, nan=-np.inf) >= outlet.needs_pa.value
        way = way_to(layout, outlet, result=solution.outlets.get(outlet.name))
        inflows = [f"tank.{tank}.inflow" for tank in way.tanks]
        known = [name for name in inflows if name in middle]
        for name in known:
            served = served & (np.nan_to_num(samples.get(name, middle[name])) > 0)
        found[f"outlet.{outlet.name}.served"] = float(np.mean(served))
        if all(float(middle[name]) > 0 for name in known):
            found[need] = found[f"outlet.{outlet.name}.served"]
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _DrawnScheme:
    """A choice on its thinned ground, with its causes of doubt."""

    layout: Layout
    solution: Solution
    heights: DrawnHeights
    causes: tuple[Cause, ...]
    draws: int

    @classmethod
    def of(
        cls,
        layout: Layout,
        solution: Solution,
        *,
        draws: int,
        again: int = AGAIN,
        places: Sequence[str] = (),
        heights_factor: float = 1.0,
    ) -> _DrawnScheme:
        thin_ground = thinned(layout, solution, places=places)
        again = min(draws, again)
        heights = draw_heights(thin_ground, draws=draws, again=again, leveled_factor=heights_factor)
        thin = lay_out(
            _without_needs(layout.parts), ground=thin_ground.ground, values=layout.values
        )
        return cls(
            layout=thin,
            solution=solution,
            heights=heights,
            causes=causes_of(thin, heights=heights, draws=draws, again=again),
            draws=draws,
        )

    def laid_out(self, rows: IndexArray, anew: BoolArray) -> Layout:
        """Return the layout on some draws, each with some of its causes drawn anew."""
        parts: dict[Target, list[FloatArray]] = {}
        chosen = _run_of(rows)
        for number, cause in enumerate(self.causes):
            swapped = np.flatnonzero(anew[:, number])
            for target, by_draw in cause.moves.items():
                added = by_draw[chosen]
                if len(swapped):
                    added = np.array(added)
                    added[swapped] = cause.again[target][rows[swapped]]
                parts.setdefault(target, []).append(added)
        return moved_layout(self.layout, {target: _sum(added) for target, added in parts.items()})

    def results(
        self, rows: IndexArray, anew: BoolArray, *, leave_out: Collection[Extra] = ()
    ) -> dict[str, FloatArray]:
        """Return the results of some draws, each with some of its causes drawn anew."""
        step = max(CHUNK // self.layout.ground.elevation_m.shape[-1], 1)
        parts: dict[str, list[FloatArray]] = {}
        sizes = [len(rows[first : first + step]) for first in range(0, len(rows), step)]
        for number, count in enumerate(sizes):
            part = slice(number * step, number * step + count)
            layout = self.laid_out(rows[part], anew[part])
            for name, values in results_by_name(solve(layout, leave_out=leave_out)).items():
                # What no draw of an earlier part had a figure for is filled up.
                found = parts.setdefault(name, [np.full(n, np.nan) for n in sizes[:number]])
                found.append(np.broadcast_to(values, (count,)))
            for found in parts.values():
                found += [np.full(n, np.nan) for n in sizes[len(found) : number + 1]]
        return {name: np.concatenate(found) for name, found in parts.items()}

    def shares(self, names: Sequence[str]) -> Shares:
        """Return what each cause has in the doubt of some results."""
        few = self.on_few_stations()
        draws = min(self.draws, AGAIN, max(SHARE_ROWS >> len(self.causes), 32))

        def model(rows: IndexArray, anew: BoolArray) -> dict[str, FloatArray]:
            results = few.results(rows, anew, leave_out=("stands", "full tanks"))
            return {name: results[name] for name in names if name in results}

        if not names:
            return Shares(shapley={}, alone={}, whole={}, unswapped={}, swapped={})
        return shares_of(model, [cause.name for cause in self.causes], draws=draws)

    def on_few_stations(self) -> _DrawnScheme:
        """Return the same draws on fewer stations."""
        thin = thinned(self.layout, self.solution, most=MOST_FOR_SHARES)

        def few_of(moves: Moves) -> Moves:
            return {
                target: added[:, thin.entries] if target.kind == "elevation" else added
                for target, added in moves.items()
            }

        causes = tuple(
            replace(cause, moves=few_of(cause.moves), again=few_of(cause.again))
            for cause in self.causes
        )
        few = lay_out(self.layout.parts, ground=thin.ground, values=self.layout.values)
        return replace(self, layout=few, causes=causes)

    def touched_by_unknown(self) -> frozenset[str]:
        """Return the results that hang on a height of which nobody knows how wrong it is."""
        unknown = np.flatnonzero(self.heights.unknown)
        if not len(unknown):
            return frozenset()
        moved = np.zeros((2, len(self.heights.unknown)))
        # Steps of different size: a difference of two of them must change too.
        moved[1, unknown] = _TOUCH_M * (1 + np.arange(1, len(unknown) + 1) * 0.618 % 1)
        results = results_by_name(solve(moved_layout(self.layout, {Target("elevation"): moved})))
        return frozenset(
            name
            for name, value in results.items()
            if value.ndim and abs(value[1] - value[0]) > 1e-9 * max(abs(value[0]), _TOUCH_M)
        )


def _sum(parts: Sequence[FloatArray]) -> FloatArray:
    """Return the sum of what several causes add to one value; none of them is changed."""
    first, *others = parts
    if not others:
        return first
    total = first + others[0]
    for other in others[1:]:
        total += other
    return total


def _run_of(rows: IndexArray) -> IndexArray | slice:
    """Return draws that follow each other as a slice, which copies nothing."""
    if len(rows) and np.array_equal(rows, np.arange(rows[0], rows[0] + len(rows))):
        return slice(int(rows[0]), int(rows[0]) + len(rows))
    return rows


def moved_layout(layout: Layout, moved: Mapping[Target, FloatArray]) -> Layout:
    """Return a layout whose values stand off their middles.

    Parameters
    ----------
    layout
        The layout without draws.
    moved
        What is added to each value, shape (draws,), elevations (draws, n); SI.
    """
    source, ram = layout.source_flow_m3_s, layout.ram_efficiency
    by_kind: dict[str, dict[str, FloatArray]] = {}
    for target, added in moved.items():
        by_kind.setdefault(target.kind, {})[target.name] = added
    single = {kind: named.get("") for kind, named in by_kind.items()}
    flow, efficiency = single.get("source flow"), single.get("efficiency")
    elevation = single.get("elevation")
    return with_values(
        layout,
        elevation_m=None if elevation is None else layout.ground.elevation_m + elevation,
        source_flow_m3_s=None if flow is None or source is None else source + flow,
        efficiency=None if efficiency is None or ram is None else ram + efficiency,
        efficiency_departure=single.get("departure"),
        inside_m={
            name: layout.pipes[name].inside_m + added
            for name, added in by_kind.get("inside", {}).items()
        },
        roughness_m={
            name: layout.pipes[name].roughness_m + added
            for name, added in by_kind.get("roughness", {}).items()
        },
        moved_m=by_kind.get("moved", {}),
    )


def _without_needs(parts: Parts) -> Parts:
    """Return the parts without the water wanted: draws need no break-even."""
    return replace(parts, tanks=tuple(replace(tank, needed_m3_s=None) for tank in parts.tanks))
