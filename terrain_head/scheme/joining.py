"""The parts joined to the ground: levels, pipe elevations, risers, lengths."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.formulas.fittings import fitting, loss_coefficient
from terrain_head.ground.ground import Ground, GroundProfile
from terrain_head.scheme.checks import check_fittings, check_lengths, check_places
from terrain_head.scheme.courses import legs_to_lay
from terrain_head.scheme.ends import RAM, SOURCE, node_of, standing, tank_node
from terrain_head.scheme.gravity import with_seeps
from terrain_head.scheme.layout import Layout, Pipe, Values
from terrain_head.scheme.network import Leg, join
from terrain_head.scheme.parts import Outlet, Parts, Ram

FloatArray = NDArray[np.float64]

ENTRANCE_COEFFICIENT = 0.5
EXIT_COEFFICIENT = 1.0


def lay_out(parts: Parts, *, ground: Ground, values: Values | None = None) -> Layout:
    """Return the scheme on its ground.

    Parameters
    ----------
    parts
        The parts as stated.
    ground
        The ground, with a profile of every pipe whose way is known (made from `courses_of`).
    values
        Values in place of the stated ones.

    Returns
    -------
    Layout
        The pipes in the direction of flow, whichever way round they were written; one without a
        profile is left out with all that it would feed.

    Raises
    ------
    InputError
        If the pipes do not make a scheme, a place is not on the ground, or a stated length is
        shorter than the risers that it includes.

    Notes
    -----
    A buried pipe lies its cover below the ground at every station. A pipe that leaves a tank
    comes down from the deck, one that leaves the source begins in its own depth; one that fills a
    tank goes up to its inlet; one that ends at a single outlet goes up to that; the delivery pipe
    comes down from the level of the waste valve.
    A straight drive pipe is the chord from the water it begins in to the waste valve. The length
    is the stated one (risers included), else along the slope plus the risers.
    """
    values = values or Values()
    check_places(parts, ground)
    check_fittings(parts)
    levels = _Levels(parts, ground, values)
    full_m = {tank_node(tank): float(np.mean(levels.full_m[tank.name])) for tank in parts.tanks}
    legs = legs_to_lay(join(parts, full_m=full_m), profiles=ground.profiles)
    ends = _LineEnds(parts, levels, legs)
    pipes = {leg.run.name: ends.lay(leg, ground.profiles[leg.run.name]) for leg in legs}
    if not (values.stand_m or values.drawn or ground.elevation_m.ndim > 1):
        check_lengths(pipes)
    ram = parts.ram
    layout = Layout(
        parts=parts,
        ground=ground,
        source_level_m=levels.source_m,
        valve_level_m=levels.counted_valve_m,
        source_flow_m3_s=_source_flow(parts, values),
        share=1.0 if parts.source is None else parts.source.share,
        ram_efficiency=_ram_efficiency(ram, values),
        ram_flow_m3_s=_stated(ram and ram.flow_m3_s),
        ram_flow_least_m3_s=_stated(ram and ram.flow_least_m3_s),
        ram_flow_most_m3_s=_stated(ram and ram.flow_most_m3_s),
        deck_m=levels.deck_m,
        full_m=levels.full_m,
        lowest_m=levels.lowest_m,
        inlet_m=levels.inlet_m,
        pipes=pipes,
        outlet_level_m=levels.outlet_m,
        outlet_riser_m=_outlet_risers(parts, levels=levels, pipes=pipes),
        values=values,
        seep_level_m=levels.seep_m,
    )
    return with_seeps(layout) if parts.seeps and values.source_flow_m3_s is None else layout


class _Levels:
    """The levels that the parts set on the ground."""

    def __init__(self, parts: Parts, ground: Ground, values: Values) -> None:
        self.ground = ground
        moved = values.moved
        self.source_m: FloatArray | None = None
        self.valve_m: FloatArray | None = None
        self.counted_valve_m: FloatArray | None = None
        if parts.source is not None:
            self.source_m = ground.elevation_of(parts.source.place) + moved(
                "source.water_above", parts.source.water_above_m
            )
        if parts.ram is not None:
            place_m = ground.elevation_of(parts.ram.place)
            self.valve_m = place_m + moved("ram.valve_above", parts.ram.valve_above_m)
            self.counted_valve_m = self.valve_m
            tail = parts.ram.tail_water_above_m
            if tail is not None:
                tail_m = place_m + moved("ram.tail_water_above", tail)
                self.counted_valve_m = np.maximum(self.valve_m, tail_m)
        self.seep_m: dict[str, FloatArray] = {
            seep.name: ground.elevation_of(seep.place)
            + moved(f"seep.{seep.name}.water_above", seep.water_above_m)
            for seep in parts.seeps
        }
        self.deck_m: dict[str, FloatArray] = {}
        self.full_m: dict[str, FloatArray] = {}
        self.lowest_m: dict[str, FloatArray] = {}
        self.inlet_m: dict[str, FloatArray] = {}
        for tank in parts.tanks:
            key = f"tank.{tank.name}"
            stand_m = values.stand_m.get(tank.name, moved(f"{key}.stand", tank.stand_m))
            deck_m = np.asarray(ground.elevation_of(tank.place) + stand_m)
            self.deck_m[tank.name] = deck_m
            self.full_m[tank.name] = deck_m + moved(f"{key}.water_depth", tank.water_depth_m)
            self.lowest_m[tank.name] = deck_m + moved(f"{key}.lowest", tank.lowest_m)
            self.inlet_m[tank.name] = deck_m + moved(f"{key}.inlet", tank.inlet_m)
        self.outlet_m: dict[str, FloatArray] = {
            outlet.name: ground.elevation_of(outlet.place)
            + moved(f"outlet.{outlet.name}.height", outlet.height_m)
            for outlet in parts.outlets
        }
        self.values = values


class _LineEnds:
    """What stands at the ends of the pipes, so that each can be laid."""

    def __init__(self, parts: Parts, levels: _Levels, legs: tuple[Leg, ...]) -> None:
        self.parts = parts
        self.levels = levels
        self.tanks = {tank_node(tank): tank.name for tank in parts.tanks}
        self.leaving = {leg.upstream for leg in legs}
        self.coming = [leg.downstream for leg in legs]
        self.fixed = set(standing(parts))
        feed = parts.ram.feed if parts.ram is not None else ()
        self.last_feed = feed[-1] if feed else None

    def lay(self, leg: Leg, written: GroundProfile) -> Pipe:
        """Return one pipe in its place."""
        turned = node_of(leg.run.start, parts=self.parts) != leg.upstream
        profile = _reversed(written) if turned else written
        ram = self.parts.ram
        if leg.role == "drive" and ram is not None and ram.laid == "straight":
            return self.lay_straight(leg, profile)
        cover_m = self.levels.values.moved(f"pipe.{leg.run.name}.cover", leg.run.cover_m)
        pipe_m = profile.elevation_m - cover_m[..., None]
        begin_m, finish_m = self.begin(leg, pipe_m[..., 0]), self.finish(leg, pipe_m[..., -1])
        riser_up_m = np.abs(begin_m - pipe_m[..., 0])
        riser_down_m = np.abs(finish_m - pipe_m[..., -1])
        if leg.run.length_m is None:
            length_m = np.asarray(profile.slope_length_m + riser_up_m + riser_down_m)
        else:
            length_m = self.levels.values.moved(f"pipe.{leg.run.name}.length", leg.run.length_m)
        part = (profile.along_m - profile.along_m[0]) / profile.slope_length_m
        # A stand that is tried out or drawn may be longer than the stated length of its pipe.
        buried_m = np.maximum(length_m - riser_up_m - riser_down_m, 0.0)
        return self.pipe(
            leg,
            profile,
            pipe_m=pipe_m,
            riser_up_m=riser_up_m,
            riser_down_m=riser_down_m,
            length_m=length_m,
            along_m=riser_up_m[..., None] + buried_m[..., None] * part,
            upstream_m=np.asarray(begin_m),
            downstream_m=np.asarray(finish_m),
        )

    def lay_straight(self, leg: Leg, profile: GroundProfile) -> Pipe:
        """Return the drive pipe as the chord from the water it begins in to the waste valve."""
        finish_m = self.levels.valve_m
        if finish_m is None:
            raise AssertionError("a drive pipe without a ram")
        begin_m = profile.elevation_m[..., 0]
        if self.levels.source_m is not None:
            source_m = self.levels.source_m
            begin_m = source_m if leg.upstream == SOURCE else np.minimum(source_m, begin_m)
        begin_m = np.asarray(begin_m)
        level_m = float(
            np.hypot(
                profile.east_m[-1] - profile.east_m[0], profile.north_m[-1] - profile.north_m[0]
            )
        )
        if not np.isfinite(level_m):
            level_m = profile.plan_length_m
        part = (profile.station_m - profile.station_m[0]) / profile.plan_length_m
        if leg.run.length_m is None:
            length_m = np.asarray(np.hypot(level_m, begin_m - finish_m))
        else:
            length_m = self.levels.values.moved(f"pipe.{leg.run.name}.length", leg.run.length_m)
        return self.pipe(
            leg,
            profile,
            pipe_m=begin_m[..., None] + (finish_m - begin_m)[..., None] * part,
            riser_up_m=np.zeros(()),
            riser_down_m=np.zeros(()),
            length_m=length_m,
            along_m=length_m[..., None] * part,
            upstream_m=begin_m,
            downstream_m=finish_m,
        )

    def begin(self, leg: Leg, pipe_m: FloatArray) -> FloatArray:
        """Return the level at which a pipe begins, beyond its riser."""
        if leg.role == "delivery" and leg.upstream == RAM and self.levels.valve_m is not None:
            return self.levels.valve_m
        if leg.role == "drive" and leg.upstream == SOURCE and self.levels.source_m is not None:
            return self.levels.source_m
        if leg.upstream in self.tanks:
            return self.levels.deck_m[self.tanks[leg.upstream]]
        return pipe_m

    def finish(self, leg: Leg, pipe_m: FloatArray) -> FloatArray:
        """Return the level at which a pipe ends, beyond its riser."""
        if leg.role == "drive" and self.levels.valve_m is not None:
            return self.levels.valve_m
        if leg.downstream in self.tanks:
            return self.levels.inlet_m[self.tanks[leg.downstream]]
        if leg.downstream == SOURCE and self.levels.source_m is not None:
            return self.levels.source_m
        here = _outlets_at(self.parts, leg.downstream)
        if len(here) == 1 and self.ends_at(leg.downstream):
            return self.levels.outlet_m[here[0].name]
        if leg.role == "delivery" and not here and leg.downstream not in self.leaving:
            return self.levels.ground.elevation_of(leg.downstream)
        return pipe_m

    def ends_at(self, node: str) -> bool:
        """Say whether a single pipe comes to a node and none goes on."""
        return node not in self.leaving and self.coming.count(node) == 1

    def pipe(
        self,
        leg: Leg,
        profile: GroundProfile,
        *,
        pipe_m: FloatArray,
        riser_up_m: FloatArray,
        riser_down_m: FloatArray,
        length_m: FloatArray,
        along_m: FloatArray,
        upstream_m: FloatArray,
        downstream_m: FloatArray,
    ) -> Pipe:
        run, values = leg.run, self.levels.values
        spec = run.spec
        inside_m = np.asarray(np.nan if spec is None else spec.inside_m.value)
        roughness_m = np.asarray(np.nan if spec is None else spec.roughness_m.value)
        return Pipe(
            run=run,
            role=leg.role,
            upstream=leg.upstream,
            downstream=leg.downstream,
            profile=profile,
            pipe_m=pipe_m,
            riser_up_m=riser_up_m,
            riser_down_m=riser_down_m,
            length_m=length_m,
            along_m=along_m,
            inside_m=values.inside_m.get(run.name, inside_m),
            roughness_m=values.roughness_m.get(run.name, roughness_m),
            loss_coefficient=np.asarray(loss_coefficient(run.fittings) + run.more_loss),
            upstream_m=upstream_m,
            downstream_m=downstream_m,
            entrance_coefficient=ENTRANCE_COEFFICIENT if leg.upstream in self.fixed else 0.0,
            exit_coefficient=EXIT_COEFFICIENT if self.lets_go(leg) else 0.0,
            line=leg.line,
            one_way=any(fitting(name).one_way for name in run.fittings),
        )

    def lets_go(self, leg: Leg) -> bool:
        """Say whether the water leaves a pipe freely: into a tank, the box, or an open end."""
        if leg.role == "feed":
            return leg.run.name == self.last_feed
        if leg.role == "delivery" and not _outlets_at(self.parts, leg.downstream):
            return leg.downstream not in self.leaving or leg.downstream in self.tanks
        return leg.downstream in self.tanks or leg.downstream == SOURCE


def _outlets_at(parts: Parts, place: str) -> list[Outlet]:
    return [outlet for outlet in parts.outlets if outlet.place == place]


def _outlet_risers(
    parts: Parts, *, levels: _Levels, pipes: Mapping[str, Pipe]
) -> dict[str, FloatArray]:
    risers: dict[str, FloatArray] = {}
    leaving = {pipe.upstream for pipe in pipes.values()}
    for outlet in parts.outlets:
        coming = [pipe for pipe in pipes.values() if pipe.downstream == outlet.place]
        if not coming:
            continue
        last = coming[0]
        alone = len(_outlets_at(parts, outlet.place)) == len(coming) == 1
        alone = alone and outlet.place not in leaving
        risers[outlet.name] = (
            np.zeros(())
            if alone
            else np.asarray(np.abs(levels.outlet_m[outlet.name] - last.pipe_m[..., -1]))
        )
    return risers


def _reversed(profile: GroundProfile) -> GroundProfile:
    """Return the profile seen from its other end."""
    return replace(
        profile,
        index=profile.index[::-1],
        station_m=profile.station_m[0] + (profile.station_m[-1] - profile.station_m[::-1]),
        east_m=profile.east_m[::-1],
        north_m=profile.north_m[::-1],
        elevation_m=profile.elevation_m[..., ::-1],
        std_m=profile.std_m[::-1],
        origin=profile.origin[::-1],
        along_m=profile.along_m[0] + (profile.along_m[-1] - profile.along_m[::-1]),
        corner=profile.corner[::-1],
    )


def _stated(measured: object) -> FloatArray | None:
    value = getattr(measured, "value", None)
    return None if value is None else np.asarray(float(value))


def _source_flow(parts: Parts, values: Values) -> FloatArray | None:
    if values.source_flow_m3_s is not None:
        return values.source_flow_m3_s
    return _stated(parts.source and parts.source.flow_m3_s)


def _ram_efficiency(ram: Ram | None, values: Values) -> FloatArray | None:
    if values.efficiency is not None:
        return values.efficiency
    return _stated(ram and ram.efficiency)
