"""Ten thousand draws of a ram, a tank and three outlets, beside a scalar loop, in one run.

Run by hand from the root of the repository::

    python -m tests.benchmarks.draws

Both sides get the same drawn levels, bores, roughnesses, flows and efficiencies, and give the same
results: the water, every loss, the still and running pressures with the tank low and full, the
stand that each outlet needs, and the least clearance over the same stations. The loop works draw by
draw in plain Python with the friction factor of `fluids`, through a part of the draws; its time is
extrapolated, and the line says so. Making the draws counts on our side alone: the loop is handed
them. Between laminar and turbulent flow the two differ by convention:
results behind a pipe that runs there are not compared.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from math import pi
from pathlib import Path

import numpy as np
from fluids.friction import friction_factor
from numpy.typing import NDArray

from terrain_head.assessment.draws import _DrawnScheme
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.pipe_flow import Water
from terrain_head.workflows.study import answer_choice, open_study

FloatArray = NDArray[np.float64]

SAMPLE = Path("sample_surveys") / "hill_farm_both"
DRAWS = 10_000
PART = 1_000
REPEATS = 7
WANTED_RATIO = 8.0
GRAVITY = 9.80665


def best_seconds(job: Callable[[], object]) -> float:
    """Return the least of several timings, of the processor: what else runs does not count."""
    times = []
    for _ in range(REPEATS):
        begin = time.process_time()
        job()
        times.append(time.process_time() - begin)
    return min(times)


class ScalarLoop:
    """The same scheme solved draw by draw, in plain Python."""

    def __init__(self, layout: Layout) -> None:
        water = Water.at(layout.parts.water_temperature_c)
        self.viscosity = water.viscosity_m2_s
        self.weight = water.density_kg_m3 * GRAVITY
        self.layout = layout
        pipes = layout.pipes
        self.inside = {name: listed(pipe.inside_m) for name, pipe in pipes.items()}
        self.rough = {name: listed(pipe.roughness_m) for name, pipe in pipes.items()}
        self.length = {name: listed(pipe.length_m) for name, pipe in pipes.items()}
        self.along = {name: listed_along(pipe.along_m) for name, pipe in pipes.items()}
        self.height = {name: listed_along(pipe.pipe_m) for name, pipe in pipes.items()}
        self.fittings = {name: float(pipe.loss_coefficient) for name, pipe in pipes.items()}
        self.entrance = {name: pipe.entrance_coefficient for name, pipe in pipes.items()}
        self.exit = {name: pipe.exit_coefficient for name, pipe in pipes.items()}
        self.source, self.valve = listed(layout.source_level_m), listed(layout.valve_level_m)
        self.inlet, self.deck = listed(layout.inlet_m["tank"]), listed(layout.deck_m["tank"])
        self.lowest, self.full = listed(layout.lowest_m["tank"]), listed(layout.full_m["tank"])
        self.ground = listed(layout.ground.elevation_of(layout.tanks[0].place))
        self.flow, self.efficiency = listed(layout.source_flow_m3_s), listed(layout.ram_efficiency)
        self.level = {name: listed(one) for name, one in layout.outlet_level_m.items()}
        self.riser = {name: listed(one) for name, one in layout.outlet_riser_m.items()}
        outlets = {one.name: one for one in layout.outlets}
        self.wanted = {name: one.flow_m3_s.value for name, one in outlets.items() if one.flow_m3_s}
        self.needs = {name: one.needs_pa.value for name, one in outlets.items() if one.needs_pa}
        into = {pipe.downstream: pipe for pipe in pipes.values() if pipe.role == "supply"}
        self.way: dict[str, list[str]] = {}
        for outlet in layout.outlets:
            node, way = outlet.place, []
            while node in into:
                way.append(into[node].name)
                node = into[node].upstream
            self.way[outlet.name] = way[::-1]
        # From the tank outward: each pipe behind the one that feeds it.
        self.supply = list(dict.fromkeys(pipe for way in self.way.values() for pipe in way))
        self.before = {
            pipe: way[way.index(pipe) - 1] if way.index(pipe) else None
            for way in self.way.values()
            for pipe in way
        }
        self.carried = {
            pipe: sum(self.wanted[name] for name, way in self.way.items() if pipe in way)
            for pipe in self.supply
        }

    def slope(self, pipe: str, flow: float, n: int) -> tuple[float, float]:
        """Return friction in each metre, and the velocity head."""
        bore = self.inside[pipe][n]
        speed = flow / (pi * bore * bore / 4)
        factor = friction_factor(Re=speed * bore / self.viscosity, eD=self.rough[pipe][n] / bore)
        head = speed * speed / (2 * GRAVITY)
        return factor / bore * head, head

    def between_regimes(self) -> set[str]:
        """Return the pipes that in some draw run between laminar and turbulent flow."""
        found = set()
        for pipe, carried in self.carried.items():
            reynolds = [4 * carried / (pi * bore * self.viscosity) for bore in self.inside[pipe]]
            if max(reynolds) > 2000 and min(reynolds) < 4000:
                found.add(pipe)
        return found

    def loss(self, pipe: str, flow: float, n: int) -> float:
        """Return the whole loss of a pipe."""
        slope, head = self.slope(pipe, flow, n)
        lost = self.fittings[pipe] + self.entrance[pipe] + self.exit[pipe]
        return slope * self.length[pipe][n] + lost * head

    def line(self, pipe: str, flow: float, begin: float, n: int) -> tuple[float, float, float]:
        """Return the head at the end of a pipe, its loss and its least clearance."""
        slope, head = self.slope(pipe, flow, n)
        spread = slope * self.length[pipe][n] + self.fittings[pipe] * head
        each = spread / self.length[pipe][n]
        first = begin - self.entrance[pipe] * head - head
        clearance = min(
            first - each * along - height
            for along, height in zip(self.along[pipe][n], self.height[pipe][n], strict=True)
        )
        lost = spread + (self.entrance[pipe] + self.exit[pipe]) * head
        return begin - lost, lost, clearance

    def outlets(self, begin: float, n: int) -> dict[str, float]:
        """Return losses, clearances and running pressures for a level in the tank."""
        found: dict[str, float] = {}
        ends: dict[str | None, float] = {None: begin}
        for pipe in self.supply:
            ends[pipe], lost, clear = self.line(
                pipe, self.carried[pipe], ends[self.before[pipe]], n
            )
            found[f"pipe.{pipe}.head_loss"] = lost
            found[f"pipe.{pipe}.min_clearance"] = clear
        for name, way in self.way.items():
            slope, head = self.slope(way[-1], self.wanted[name], n)
            left = ends[way[-1]] - head - slope * self.riser[name][n] - self.level[name][n]
            found[f"outlet.{name}.running"] = self.weight * left
        return found

    def solve(self, n: int) -> dict[str, float]:
        """Return every result of one draw."""
        ram = self.layout.parts.ram
        fall = self.source[n] - self.valve[n]
        crest = max(self.inlet[n], *self.height["delivery"][n])
        lift = crest - self.valve[n]
        used = self.flow[n] * self.layout.share
        if ram is not None and ram.flow_most_m3_s is not None:
            used = min(used, ram.flow_most_m3_s.value)
        work = self.efficiency[n] * used * fall
        flow, before = work / lift, 0.0
        while abs(flow - before) > 1e-13 * flow:
            flow, before = work / (lift + self.loss("delivery", flow, n)), flow
        lost = self.loss("delivery", flow, n)
        clear = self.line("delivery", flow, crest + lost, n)[2]
        found = {"fall": fall, "lift": lift, "used": used, "delivered": flow, "wasted": used - flow}
        found |= {"delivery_loss": lost, "pipe.delivery.min_clearance": clear}
        found |= self.outlets(self.lowest[n], n)
        full = self.outlets(self.full[n], n)
        for pipe in self.supply:
            still = self.full[n] - min(self.height[pipe][n])
            found[f"pipe.{pipe}.max_static"] = self.weight * still
        for name, way in self.way.items():
            low = found.pop(f"outlet.{name}.running")
            slope = self.slope(way[0], self.carried[way[0]], n)[0]
            more = (self.needs[name] - low) / (self.weight * (1 - slope))
            found |= {
                f"outlet.{name}.running_low": low,
                f"outlet.{name}.running_full": full[f"outlet.{name}.running"],
                f"outlet.{name}.static_low": self.weight * (self.lowest[n] - self.level[name][n]),
                f"outlet.{name}.static_full": self.weight * (self.full[n] - self.level[name][n]),
                f"outlet.{name}.stand_needed": max(self.deck[n] - self.ground[n] + more, 0.0),
            }
        return found


def listed(values: FloatArray | None) -> list[float]:
    """Return the first draws of a value as plain numbers."""
    if values is None:
        raise ValueError("the sample has no such value")
    return [float(x) for x in np.broadcast_to(values, (DRAWS,))[:PART]]


def listed_along(values: FloatArray) -> list[list[float]]:
    """Return the first draws of values along a pipe as plain numbers."""
    found: list[list[float]] = np.broadcast_to(values, (DRAWS, values.shape[-1]))[:PART].tolist()
    return found


def main() -> int:
    """Measure both side by side and print the ratio; 1 if it is under 8 or they disagree."""
    answer = answer_choice(open_study(SAMPLE), draws=0)
    layout, solution = answer.layout, answer.solution

    def made() -> _DrawnScheme:
        return _DrawnScheme.of(layout, solution, draws=DRAWS, again=0)

    scheme = made()
    laid = scheme.laid_out(np.arange(DRAWS), np.zeros((DRAWS, len(scheme.causes)), bool))
    loop = ScalarLoop(laid)
    rows, none = np.arange(DRAWS), np.zeros((DRAWS, len(scheme.causes)), bool)
    ours = scheme.results(rows, none)
    theirs = [loop.solve(n) for n in range(PART)]
    between = loop.between_regimes()
    skipped = [f"pipe.{pipe}." for pipe in between]
    skipped += [f"outlet.{name}." for name, way in loop.way.items() if between & set(way)]
    apart = {
        name: float(np.max(np.abs(ours[name][:PART] - one)) / max(np.max(np.abs(one)), 1e-9))
        for name in theirs[0]
        if not name.startswith(tuple(skipped))
        for one in [np.array([found[name] for found in theirs])]
    }
    worst = max(apart, key=lambda name: apart[name])
    solving = best_seconds(lambda: scheme.results(rows, none))
    making = best_seconds(made)
    whole = solving + making
    slow = best_seconds(lambda: [loop.solve(n) for n in range(PART)]) * DRAWS / PART
    out = sys.stdout.write
    out(f"{DRAWS} draws, {len(loop.way)} outlets, {len(scheme.causes)} causes of doubt, ")
    out(f"{len(theirs[0])} results each\n")
    out(f"scalar loop with fluids: {slow:.2f} s, extrapolated from {PART} draws\n")
    out(f"terrain_head: {whole:.3f} s, {slow / whole:.1f} times faster ")
    out(f"(making the draws {making:.3f} s, solving {solving:.3f} s)\n")
    out(f"greatest difference of {len(apart)} compared: {apart[worst]:.1e} of the greatest value, ")
    out(f"in {worst}\n")
    return int(slow / whole < WANTED_RATIO or apart[worst] > 1e-6)


if __name__ == "__main__":
    raise SystemExit(main())
