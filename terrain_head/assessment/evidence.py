"""What the findings are judged on: ground, layout and solution of one choice, and their doubt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from terrain_head.base.measured import Measured
from terrain_head.base.middle import middle_along, middle_of
from terrain_head.base.units import to_si
from terrain_head.formulas.hydrostatics import pressure_from_head_pa
from terrain_head.formulas.water import density_kg_m3
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import Ground, Origin
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.elevations import Elevations
from terrain_head.scheme.ends import place_of, tank_node
from terrain_head.scheme.layout import Layout, Pipe
from terrain_head.scheme.parts import Taken, Tank
from terrain_head.scheme.solution import RamResult, Solution


def summit_of(pipes: Sequence[Pipe]) -> tuple[Pipe, int]:
    """Return the pipe that climbs highest, and its highest station."""
    highest = max(pipes, key=lambda pipe: float(middle_along(pipe.pipe_m).max()))
    return highest, int(middle_along(highest.pipe_m).argmax())


def known(**numbers: float | None) -> dict[str, float]:
    """Return the numbers that are known, by name.

    Examples
    --------
    >>> known(std_m=None, lift_m=3.0)
    {'lift_m': 3.0}
    """
    return {name: number for name, number in numbers.items() if number is not None}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Evidence:
    """All that the findings of one choice are judged on.

    Parameters
    ----------
    ground, layout, solution
        The chain itself.
    elevations, grid
        The reduced level book and the raster, None where there is none.
    spread
        Results with their standard errors, by the names of `terrain_head.assessment.spread`.
    book
        The level books as written, to name their lines; None where there is none.
    spreads_taken
        Give-or-takes that were taken for want of the person's own.
    """

    ground: Ground
    layout: Layout
    solution: Solution
    elevations: Elevations | None
    grid: ElevationGrid | None
    spread: Mapping[str, Measured]
    book: LevelBook | None = None
    spreads_taken: Sequence[Taken] = ()

    @property
    def real_heights(self) -> bool:
        """Whether heights stand over the sea: not where the datum was made up.

        A book without a known height, or whose known heights are all round hundreds, has none.
        """
        if self.elevations is None:
            return True
        if self.elevations.assumed_datum:
            return False
        stated = self.elevations.elevation_m[self.elevations.known]
        hundreds = (np.rint(stated / each) * each for each in (100.0, to_si(100.0, "ft")))
        return not any(np.allclose(stated, one, atol=1e-6) for one in hundreds)

    @property
    def ram(self) -> RamResult | None:
        """The ram at work."""
        return self.solution.ram

    @property
    def ram_place(self) -> str | None:
        """Name of the ram's place."""
        return None if self.layout.ram is None else self.layout.ram.place

    @property
    def source_place(self) -> str | None:
        """Name of the source's place."""
        return None if self.layout.source is None else self.layout.source.place

    @property
    def fall_m(self) -> float | None:
        """Fall on the drive pipe [m]."""
        return None if self.ram is None else middle_of(self.ram.fall_m)

    @property
    def lift_m(self) -> float | None:
        """Lift over the ram [m]."""
        return None if self.ram is None else middle_of(self.ram.lift_m)

    def pressure_pa(self, head_m: float) -> float:
        """Return the pressure under a head of the study's water [Pa]."""
        density = density_kg_m3(self.layout.parts.water_temperature_c)
        return float(pressure_from_head_pa(head_m, density_kg_m3=density))

    def std_of(self, result: str) -> float | None:
        """Return the standard error of a result, None where it is not known."""
        return self.spread[result].std if result in self.spread else None

    def half_range_of(self, result: str) -> float | None:
        """Return half the range that holds nine cases in ten, None where it is not known."""
        return self.spread[result].half_range if result in self.spread else None

    def pipe(self, name: str) -> Pipe | None:
        """Return a pipe by its name, None where there is none."""
        return self.layout.pipes.get(name)

    @property
    def drive(self) -> Pipe | None:
        """The drive pipe."""
        return None if self.layout.ram is None else self.pipe(self.layout.ram.drive)

    @property
    def delivery_pipes(self) -> tuple[Pipe, ...]:
        """The pipes between ram and tank, in the order of the study."""
        return tuple(pipe for pipe in self.layout.pipes.values() if pipe.role == "delivery")

    @property
    def delivery_tank(self) -> Tank | None:
        """The tank into which the ram delivers."""
        ends = (self.tank_at(pipe.downstream) for pipe in self.delivery_pipes)
        return next((tank for tank in ends if tank is not None), None)

    def tank_at(self, node: str) -> Tank | None:
        """Return the tank that is a node of the layout, None where the node is none."""
        return next((tank for tank in self.layout.tanks if tank_node(tank) == node), None)

    def place_of(self, node: str) -> str:
        """Return the name of the place on which a node of the layout stands."""
        return place_of(node, parts=self.layout.parts)

    def scheme_places(self) -> tuple[str, ...]:
        """Return the places of source, ram, tanks and outlets, each once."""
        named = [self.source_place, self.ram_place]
        named += [tank.place for tank in self.layout.tanks]
        named += [outlet.place for outlet in self.layout.outlets]
        return tuple(dict.fromkeys(name for name in named if name is not None))

    def origin_of(self, place: str) -> Origin:
        """Return where the height of a place came from."""
        return Origin(int(self.ground.origin[self.ground.place(place)]))

    def std_between(self, first: int, second: int) -> float | None:
        """Return the standard error of the height difference of two entries of the ground [m]."""
        if first == second:
            return None
        std = self.ground.covariance_of([first, second]).std_of_difference(0, 1)
        return None if np.isnan(std) else std
