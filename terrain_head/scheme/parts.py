"""The parts of a scheme as the person states them, before they stand on the ground."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from terrain_head.base.citation import Citation
from terrain_head.base.measured import Measured
from terrain_head.formulas.pipe_warmth import Derating, rating_share
from terrain_head.scheme.pipe_choice import Prices, SizeChoice

ZERO = Measured(value=0.0)


WATER_TEMPERATURE_C = 10.0
"""Spring water whose temperature is not stated; ours [C]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A value that the person did not give and that was taken instead.

    Parameters
    ----------
    key
        Where it would stand in the study file: ``water.temperature``.
    value_si, unit
        What was taken, SI, and the JSON unit of it ("m", "C", "1"); None for a word.
    word
        What was taken, where it is not a number.
    citation
        Where it is published, or the plain word that it is ours.
    """

    key: str
    value_si: float | None = None
    unit: str = "1"
    word: str = ""
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """The spring.

    Parameters
    ----------
    place
        Name of the place.
    water_above_m
        Water surface above the named point [m].
    flow_m3_s
        What it gives in the dry season; of monthly flows the least [m3/s].
    monthly_m3_s
        Flow of each month, January first, if given so [m3/s].
    season
        ``dry`` if said to be measured then, ``other`` if said not to be, None if not said.
    share
        Part of the flow that may be taken [1].
    """

    place: str
    water_above_m: Measured = ZERO
    flow_m3_s: Measured | None = None
    monthly_m3_s: tuple[float, ...] | None = None
    season: Literal["dry", "other"] | None = None
    share: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Seep:
    """A lesser spring whose water runs into the source's box, or into a tank.

    Parameters
    ----------
    name, place
        Its name and the name of its place.
    water_above_m
        Water surface above the named point [m].
    flow_m3_s
        What it gives in the dry season; None where not stated [m3/s].
    """

    name: str
    place: str
    water_above_m: Measured = ZERO
    flow_m3_s: Measured | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ram:
    """The hydraulic ram (or several alike).

    Parameters
    ----------
    place
        Name of the place.
    valve_above_m
        Waste valve's outlet above the named point [m].
    tail_water_above_m
        Water standing at the ram above the named point, where it can't run off lower [m].
    drive, feed, delivery
        Names of pipes; `feed` in the direction of flow, empty if the drive pipe begins at the
        source.
    laid
        The drive pipe goes straight from inlet to ram, or along the ground.
    built
        Which published efficiencies apply; None if not said and none was measured.
    efficiency
        Measured efficiency q h / (Q H) [1].
    efficiency_of
        ``ram`` or ``whole line`` (measured at the tank end: losses are then in it).
    flow_m3_s, flow_least_m3_s, flow_most_m3_s
        What one ram takes; below `flow_least_m3_s` it stops, above `flow_most_m3_s` the rest
        passes by [m3/s].
    count
        Rams alike, each with its own drive pipe.
    beats_hz
        Measured beats of one ram [1/s].
    """

    place: str
    valve_above_m: Measured = ZERO
    tail_water_above_m: Measured | None = None
    drive: str = "drive"
    feed: tuple[str, ...] = ()
    delivery: str = "delivery"
    laid: Literal["straight", "along the ground"] = "straight"
    built: Literal["bought", "home"] | None = None
    efficiency: Measured | None = None
    efficiency_of: Literal["ram", "whole line"] = "ram"
    flow_m3_s: Measured | None = None
    flow_least_m3_s: Measured | None = None
    flow_most_m3_s: Measured | None = None
    count: int = 1
    beats_hz: Measured | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """A tank on the ground or on a stand.

    Parameters
    ----------
    name
        ``tank`` for a lone one, else the name after ``tank.``.
    place
        Name of the place.
    stand_m
        Deck above ground [m].
    water_depth_m, lowest_m
        Full water level, and the lowest useful one, above the deck [m].
    inlet_m
        Where the filling pipe lets go of its water, above the deck [m].
    diameter_m, volume_m3
        One of them: diameter of an upright tank, or the water of the whole depth [m], [m3].
    legs
        Names of the places of the stand's legs.
    count
        Tanks alike, joined, side by side on one stand.
    needed_m3_s
        Water wanted into this tank as a mean flow, if stated [m3/s].
    """

    name: str
    place: str
    stand_m: Measured = ZERO
    water_depth_m: Measured
    lowest_m: Measured = ZERO
    inlet_m: Measured
    diameter_m: Measured | None = None
    volume_m3: Measured | None = None
    legs: tuple[str, ...] = ()
    count: int = 1
    needed_m3_s: Measured | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeSpec:
    """The pipe as it is bought.

    Parameters
    ----------
    label
        How it is named to the person.
    inside_m
        Inside diameter [m].
    roughness_m
        Absolute roughness [m].
    wall_m, rating_pa
        Wall and pressure rating where known [m], [Pa].
    material
        ``PE``, ``PVC``, ``steel`` or the person's own word.
    rigid
        Whether it is metal, as a ram's drive pipe should be; None where not known.
    hazen_williams_c
        Coefficient for the comparison by Hazen-Williams [1].
    citation
        The standard the size was read from; None for a pipe given by its inside diameter.
    inside_basis
        ``average``, ``minimum wall``, ``nominal`` or ``stated``.
    derating
        What part of the rating is left in warm water; None for metal, and for a material of the
        person's own, whose stated rating is left as it is.
    """

    label: str
    inside_m: Measured
    roughness_m: Measured
    wall_m: float | None = None
    rating_pa: float | None = None
    material: str = ""
    rigid: bool | None = None
    hazen_williams_c: float = 140.0
    citation: Citation | None = None
    inside_basis: Literal["average", "minimum wall", "nominal", "stated"] = "stated"
    derating: Derating | None = None

    def rating_at(self, temperature_c: float) -> float | None:
        """Return what the pipe bears when its wall is so warm.

        Parameters
        ----------
        temperature_c
            Temperature of the water, or of a wall in the sun [C].

        Returns
        -------
        float or None
            None where no rating is known, or nothing is published for a wall so warm [Pa].

        Examples
        --------
        >>> from terrain_head.formulas.pipe_warmth import PVC_DERATING
        >>> size = {"inside_m": Measured(value=0.026), "roughness_m": Measured(value=1.5e-6)}
        >>> pipe = PipeSpec(label="PVC", rating_pa=1e6, derating=PVC_DERATING, **size)
        >>> pipe.rating_at(10.0), pipe.rating_at(90.0)
        (1000000.0, None)
        """
        if self.rating_pa is None or self.derating is None:
            return self.rating_pa
        share = float(rating_share(temperature_c, derating=self.derating))
        return None if math.isnan(share) else share * self.rating_pa


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeRun:
    """One pipe between two ends.

    Parameters
    ----------
    name
        Its name.
    start, end
        ``source``, ``ram``, ``tank``, ``tank.NAME`` or the name of a place, in the direction in
        which it was written.
    route, length_m
        As in `terrain_head.ground.ground.Course` [m].
    cover_m
        Depth of the pipe below ground [m].
    spec
        The pipe itself; None where none is chosen yet: lengths are then all that is answered.
    fittings
        How many of each fitting, by the words of `terrain_head.formulas.fittings`.
    more_loss
        Loss coefficient of what no fitting names: a strainer, a narrowing [1].
    choice
        What it may be, where its size is to be chosen; `spec` is then None until it is.
    """

    name: str
    start: str
    end: str
    route: str | None = None
    length_m: Measured | None = None
    cover_m: Measured = ZERO
    spec: PipeSpec | None = None
    fittings: Mapping[str, int] = field(default_factory=dict)
    more_loss: float = 0.0
    choice: SizeChoice | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """What lets water out by its pressure: an open pipe end, or drippers and sprinklers.

    Parameters
    ----------
    gives_m3_s
        Measured flow of one, None for an open pipe end [m3/s].
    at_pa
        Pressure at which it was measured [Pa].
    exponent
        Power of the pressure with which the flow grows: 0.5 where the water jets through a hole,
        towards 0 where the dripper holds its flow, 1 where it seeps through a long thin way [1].
    count
        How many alike, side by side.
    """

    gives_m3_s: Measured | None = None
    at_pa: Measured | None = None
    exponent: float = 0.5
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlet:
    """A tap, a bed, a trough.

    Parameters
    ----------
    name, place
        Its name and the name of its place.
    height_m
        Above ground [m].
    flow_m3_s
        What it draws while running; None leaves its pressures "not asked" [m3/s].
    needs_pa
        Pressure needed just before its valve while running [Pa].
    opens
        How much it gives depends on the pressure: an open end, or measured drippers; None for one
        that draws its stated flow.
    fills_m3
        How much it fills at a time: a truck, a fire pump's tank; None where it fills nothing [m3].
    """

    name: str
    place: str
    height_m: Measured = ZERO
    flow_m3_s: Measured | None = None
    needs_pa: Measured | None = None
    opens: Opening | None = None
    fills_m3: Measured | None = None

    @property
    def runs(self) -> bool:
        """Whether anything says what it draws."""
        return self.flow_m3_s is not None or self.opens is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """Everything of a scheme that the study states.

    Parameters
    ----------
    water_temperature_c
        Temperature of the water [C].
    together
        Which outlets run at once, by the name of the group; empty: all of them, as ``all``.
    taken
        Values taken for want of the person's own.
    prices
        What pipe, stand and trench cost.
    """

    source: Source | None = None
    seeps: tuple[Seep, ...] = ()
    ram: Ram | None = None
    tanks: tuple[Tank, ...] = ()
    pipes: tuple[PipeRun, ...] = ()
    outlets: tuple[Outlet, ...] = ()
    together: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    water_temperature_c: float = WATER_TEMPERATURE_C
    taken: tuple[Taken, ...] = ()
    prices: Prices = field(default_factory=Prices)
