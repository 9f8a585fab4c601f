"""The doubt that results owe to the heights, to first order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.assessment.evidence import summit_of
from terrain_head.base.display import LIKELY
from terrain_head.base.measured import Measured
from terrain_head.base.middle import middle_of
from terrain_head.formulas.hydrostatics import pressure_from_head_pa
from terrain_head.formulas.water import density_kg_m3
from terrain_head.ground.ground import Ground, Origin
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


def spread_of(
    *, ground: Ground, layout: Layout, solution: Solution, likely_factor: float = LIKELY
) -> Mapping[str, Measured]:
    """Return the results that follow from heights alone, with their standard errors.

    Parameters
    ----------
    ground, layout, solution
        One choice, solved.
    likely_factor
        How many standard errors hold nine cases in ten of the level book's heights.

    Returns
    -------
    Mapping
        By name: ``fall``, ``lift``, without a ram ``tank.NAME.drop`` [m], and for each outlet
        ``outlet.NAME.static_full`` and ``outlet.NAME.static_low`` [Pa]. What has no known error is
        missing.

    Notes
    -----
    Each result is the difference of two levels, so its variance is that of the two entries of
    the ground, jointly, plus the variances stated for what stands on them. A stated height
    without an error (a stand to be built) counts as built so. Losses are not in it. The factor of
    the level book counts for the part that it gives, where no height comes from a raster.
    """
    found: dict[str, Measured] = {}
    source, ram = layout.source, layout.ram
    if ram is not None and solution.ram is not None:
        valve = _valve(ground, ram)
        if source is not None:
            doubt = _doubt(_water(ground, source), valve, ground=ground, factor=likely_factor)
            _add(found, "fall", value=solution.ram.fall_m, doubt=doubt)
        top = _top_of_delivery(layout, solution, ground=ground)
        if top is not None:
            doubt = _doubt(top, valve, ground=ground, factor=likely_factor)
            _add(found, "lift", value=solution.ram.lift_m, doubt=doubt)
    elif source is not None and layout.source_level_m is not None:
        for tank in layout.tanks:
            inlet = _on_stand(tank, tank.inlet_m, ground=ground)
            doubt = _doubt(_water(ground, source), inlet, ground=ground, factor=likely_factor)
            drop_m = layout.source_level_m - layout.inlet_m[tank.name]
            _add(found, f"tank.{tank.name}.drop", value=drop_m, doubt=doubt)
    density = float(density_kg_m3(layout.parts.water_temperature_c))
    for outlet in layout.outlets:
        result = solution.outlets.get(outlet.name)
        if result is None:
            continue
        tap = Height(entry=ground.place(outlet.place), above=(outlet.height_m,))
        for case, level, value in _fed_from(layout, result, ground=ground):
            doubt = _doubt(level, tap, ground=ground, factor=likely_factor)
            if doubt is not None and doubt.std is not None:
                std = middle_of(pressure_from_head_pa(doubt.std, density_kg_m3=density))
                doubt = replace(doubt, std=std)
            _add(found, f"outlet.{outlet.name}.{case}", value=value, doubt=doubt)
    return found


def std_between(upper: Height, lower: Height, *, ground: Ground) -> float | None:
    """Return the standard error of a difference of two levels, None where it is not known [m]."""
    own = _own_variance(upper, lower)
    joint = 0.0
    if upper.entry != lower.entry:
        joint = ground.covariance_of([upper.entry, lower.entry]).std_of_difference(0, 1)
    std = float(np.sqrt(joint**2 + own))
    return std if std > 0 else None


def _own_variance(upper: Height, lower: Height) -> float:
    return sum(m.std**2 for m in (*upper.above, *lower.above) if m.std is not None)


def _doubt(upper: Height, lower: Height, *, ground: Ground, factor: float) -> Measured | None:
    """Return the doubt of a difference of two levels as that of nought, None if not known."""
    std = std_between(upper, lower, ground=ground)
    if std is None:
        return None
    origins = ground.origin[[upper.entry, lower.entry]]
    leveled = factor if not from_raster(origins).any() else LIKELY
    own = min(_own_variance(upper, lower) / std**2, 1.0)
    likely_factor = float(np.sqrt(leveled**2 * (1 - own) + LIKELY**2 * own))
    return Measured(value=0.0, std=std, likely_factor=likely_factor)


def from_raster(origin: ArrayLike) -> NDArray[np.bool_]:
    """Return whether the doubt of a height is that of a raster, by its origin, shape as given."""
    return np.isin(origin, (int(Origin.RASTER), int(Origin.FUSED)))


def _add(
    found: dict[str, Measured], name: str, *, value: ArrayLike | None, doubt: Measured | None
) -> None:
    middle = middle_of(value)
    if middle is not None and doubt is not None:
        found[name] = replace(doubt, value=middle)


def _water(ground: Ground, source: Source) -> Height:
    return Height(entry=ground.place(source.place), above=(source.water_above_m,))


def _valve(ground: Ground, ram: Ram) -> Height:
    """Return the level against which the fall counts: the valve, or tail water if higher."""
    above, tail = ram.valve_above_m, ram.tail_water_above_m
    if tail is not None and tail.value > above.value:
        above = tail
    return Height(entry=ground.place(ram.place), above=(above,))


def _top_of_delivery(layout: Layout, solution: Solution, *, ground: Ground) -> Height | None:
    """Return the summit of the delivery pipe where it rules, else the inlet of its tank.

    Where no way of a delivery pipe is known, the lift counts to the only tank there is.
    """
    delivery = [pipe for pipe in layout.pipes.values() if pipe.role == "delivery"]
    if solution.ram is None:
        return None
    if not delivery:
        lone = layout.tanks[0] if len(layout.tanks) == 1 else None
        return None if lone is None else _on_stand(lone, lone.inlet_m, ground=ground)
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
