"""The doubt that results owe to the heights, to first order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from terrain_head.assessment.evidence import middle_of, summit_of
from terrain_head.base.measured import Measured
from terrain_head.formulas.hydrostatics import pressure_from_head_pa
from terrain_head.formulas.water import density_kg_m3
from terrain_head.ground.ground import Ground
from terrain_head.scheme.ends import tank_node
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Ram, Source, Tank
from terrain_head.scheme.solution import OutletResult, Solution


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """A level as an entry of the ground plus what stands on it (or hangs under it).

    Parameters
    ----------
    entry
        Entry of the ground.
    above
        Heights over that entry, each with the error stated for it.
    """

    entry: int
    above: tuple[Measured, ...] = ()


def spread_of(*, ground: Ground, layout: Layout, solution: Solution) -> Mapping[str, Measured]:
    """Return the results that follow from heights alone, with their standard errors.

    Parameters
    ----------
    ground, layout, solution
        One choice, solved.

    Returns
    -------
    Mapping
        By name: ``fall``, ``lift`` [m], and for each outlet ``outlet.NAME.static_full`` and
        ``outlet.NAME.static_low`` [Pa]. What has no known error is missing.

    Notes
    -----
    Each result is the difference of two levels, so its variance is that of the two entries of
    the ground, jointly, plus the variances stated for what stands on them. A stated height
    without an error (a stand to be built) counts as built so. Losses are not in it.
    """
    found: dict[str, Measured] = {}
    source, ram = layout.source, layout.ram
    if ram is not None and solution.ram is not None:
        valve = _valve(ground, ram)
        if source is not None:
            std = std_between(_water(ground, source), valve, ground=ground)
            _add(found, "fall", value=solution.ram.fall_m, std=std)
        top = _top_of_delivery(layout, solution, ground=ground)
        if top is not None:
            _add(
                found, "lift", value=solution.ram.lift_m, std=std_between(top, valve, ground=ground)
            )
    density = float(density_kg_m3(layout.parts.water_temperature_c))
    for outlet in layout.outlets:
        result = solution.outlets.get(outlet.name)
        if result is None:
            continue
        tap = Height(entry=ground.place(outlet.place), above=(outlet.height_m,))
        for case, level, value in _fed_from(layout, result, ground=ground):
            std = std_between(level, tap, ground=ground)
            pressure = None if std is None else pressure_from_head_pa(std, density_kg_m3=density)
            _add(found, f"outlet.{outlet.name}.{case}", value=value, std=middle_of(pressure))
    return found


def std_between(upper: Height, lower: Height, *, ground: Ground) -> float | None:
    """Return the standard error of a difference of two levels, None where it is not known [m]."""
    own = sum(m.std**2 for m in (*upper.above, *lower.above) if m.std is not None)
    joint = 0.0
    if upper.entry != lower.entry:
        joint = ground.covariance_of([upper.entry, lower.entry]).std_of_difference(0, 1)
    std = float(np.sqrt(joint**2 + own))
    return std if std > 0 else None


def _add(
    found: dict[str, Measured], name: str, *, value: ArrayLike | None, std: float | None
) -> None:
    middle = middle_of(value)
    if middle is not None and std is not None:
        found[name] = Measured(value=middle, std=std)


def _water(ground: Ground, source: Source) -> Height:
    return Height(entry=ground.place(source.place), above=(source.water_above_m,))


def _valve(ground: Ground, ram: Ram) -> Height:
    """Return the level against which the fall counts: the valve, or tail water if higher."""
    above, tail = ram.valve_above_m, ram.tail_water_above_m
    if tail is not None and tail.value > above.value:
        above = tail
    return Height(entry=ground.place(ram.place), above=(above,))


def _top_of_delivery(layout: Layout, solution: Solution, *, ground: Ground) -> Height | None:
    """Return the summit of the delivery pipe where it rules, else the inlet of its tank."""
    delivery = [pipe for pipe in layout.pipes.values() if pipe.role == "delivery"]
    if not delivery or solution.ram is None:
        return None
    if solution.ram.summit_rules:
        pipe, station = summit_of(delivery)
        return Height(entry=int(pipe.profile.index[station]))
    ends = {pipe.downstream for pipe in delivery}
    tank = next((tank for tank in layout.tanks if tank_node(tank) in ends), None)
    return None if tank is None else _on_stand(tank, tank.inlet_m, ground=ground)


def _on_stand(tank: Tank, level: Measured, *, ground: Ground) -> Height:
    return Height(entry=ground.place(tank.place), above=(tank.stand_m, level))


def _fed_from(
    layout: Layout, result: OutletResult, *, ground: Ground
) -> Iterable[tuple[str, Height, ArrayLike | None]]:
    tank = next(
        (tank for tank in layout.tanks if result.fed_by in {tank.name, tank_node(tank)}), None
    )
    if tank is not None:
        yield (
            "static_full",
            _on_stand(tank, tank.water_depth_m, ground=ground),
            result.static_full_pa,
        )
        yield "static_low", _on_stand(tank, tank.lowest_m, ground=ground), result.static_low_pa
    elif layout.source is not None:
        level = _water(ground, layout.source)
        yield "static_full", level, result.static_full_pa
        yield "static_low", level, result.static_low_pa
