"""Water through one pipe: what it loses, and its hydraulic grade line.

The entrance loss sits at the very beginning of a pipe and the exit loss at its very end; friction
and fittings are spread evenly over its length, risers included, since nobody says where the
fittings sit. So total head falls at every step of the way.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.formulas.friction import (
    hazen_williams_loss_per_metre,
    head_loss_per_metre,
    velocity_head_m,
    velocity_m_s,
)
from terrain_head.formulas.hydrostatics import pressure_from_head_pa
from terrain_head.formulas.water import density_kg_m3, kinematic_viscosity_m2_s
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.solution import HydraulicGradeLine

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """The water by its temperature.

    Parameters
    ----------
    density_kg_m3
        Density [kg/m3].
    viscosity_m2_s
        Kinematic viscosity [m2/s].
    """

    density_kg_m3: float
    viscosity_m2_s: float

    @classmethod
    def at(cls, temperature_c: float) -> Water:
        """Return water of a temperature [C]."""
        return cls(
            density_kg_m3=float(density_kg_m3(temperature_c)),
            viscosity_m2_s=float(kinematic_viscosity_m2_s(temperature_c)),
        )

    def pressure_pa(self, head_m: ArrayLike) -> FloatArray:
        """Return the pressure under a column of this water [Pa]."""
        return pressure_from_head_pa(head_m, density_kg_m3=self.density_kg_m3)


def slope_of(pipe: Pipe, flow_m3_s: ArrayLike, *, water: Water) -> FloatArray:
    """Return the friction in each metre of a pipe [m/m]."""
    return head_loss_per_metre(
        flow_m3_s,
        inside_m=pipe.inside_m,
        roughness_m=pipe.roughness_m,
        viscosity_m2_s=water.viscosity_m2_s,
    )


def loss_of(pipe: Pipe, flow_m3_s: ArrayLike, *, water: Water) -> FloatArray:
    """Return the whole loss of a pipe: friction, fittings, entrance and exit.

    Parameters
    ----------
    pipe
        The pipe; its bore must be known.
    flow_m3_s
        Flow, never negative [m3/s].
    water
        The water.

    Returns
    -------
    FloatArray
        Loss between its end nodes, outside risers, entrance and exit [m].
    """
    speed_m = velocity_head_m(flow_m3_s, inside_m=pipe.inside_m)
    ends = pipe.entrance_coefficient + pipe.exit_coefficient
    friction_m = slope_of(pipe, flow_m3_s, water=water) * pipe.length_m
    return np.asarray(friction_m + (pipe.loss_coefficient + ends) * speed_m)


def grade_line(
    pipe: Pipe,
    flow_m3_s: ArrayLike,
    *,
    upstream_head_m: ArrayLike,
    water: Water,
    given_back_m: ArrayLike = 0.0,
    group: str | None = None,
) -> HydraulicGradeLine:
    """Return the hydraulic grade line of a pipe that carries a flow.

    Parameters
    ----------
    pipe
        The pipe; its bore must be known.
    flow_m3_s
        Flow, negative where the water runs from its end to its beginning [m3/s].
    upstream_head_m
        Total head at the node where it begins [m].
    water
        The water.
    given_back_m
        Head lost besides, behind a summit over which the water was lifted, one per station and
        never falling along the flow [m].
    group
        Name of the outlets that run together in this case.

    Returns
    -------
    HydraulicGradeLine
        Its head at the downstream node lies after the exit.
    """
    flow = np.asarray(flow_m3_s, np.float64)
    way = np.where(flow < 0, -1.0, 1.0)
    forward = np.abs(flow)
    speed_m = velocity_head_m(forward, inside_m=pipe.inside_m)
    friction_m = slope_of(pipe, forward, water=water) * pipe.length_m
    spread_m = way * (friction_m + pipe.loss_coefficient * speed_m)
    ends_m = way * (pipe.entrance_coefficient + pipe.exit_coefficient) * speed_m
    per_metre = spread_m / pipe.length_m
    upstream_m = np.asarray(upstream_head_m, np.float64)
    begin_m = upstream_m - way * pipe.entrance_coefficient * speed_m
    given_back = np.asarray(given_back_m, np.float64)
    total_m = begin_m[..., None] - per_metre[..., None] * pipe.along_m
    if given_back.any():
        total_m = total_m - given_back
    grade_m = total_m - speed_m[..., None]
    last_back_m = given_back[..., -1] if given_back.ndim else given_back
    coefficient = 140.0 if pipe.spec is None else pipe.spec.hazen_williams_c
    by_rule_m = pipe.length_m * hazen_williams_loss_per_metre(
        forward, inside_m=pipe.inside_m, coefficient=coefficient
    )
    fittings_m = (
        pipe.loss_coefficient + pipe.entrance_coefficient + pipe.exit_coefficient
    ) * speed_m
    return HydraulicGradeLine(
        flow_m3_s=flow,
        velocity_m_s=way * velocity_m_s(forward, inside_m=pipe.inside_m),
        total_head_m=total_m,
        grade_m=grade_m,
        pressure_head_m=grade_m - pipe.pipe_m,
        upstream_head_m=upstream_m,
        downstream_head_m=np.asarray(upstream_m - spread_m - ends_m - last_back_m),
        head_loss_m=np.asarray(way * (spread_m + ends_m)),
        head_loss_hazen_williams_m=np.asarray(by_rule_m + fittings_m),
        group=group,
    )


def raised(line: HydraulicGradeLine, by_m: ArrayLike) -> HydraulicGradeLine:
    """Return a grade line at the same flow under more head.

    Parameters
    ----------
    line
        The grade line.
    by_m
        How much more, () or (draws,) [m].
    """
    more_m = np.asarray(by_m, np.float64)
    along_m = more_m[..., None]
    return replace(
        line,
        total_head_m=line.total_head_m + along_m,
        grade_m=line.grade_m + along_m,
        pressure_head_m=line.pressure_head_m + along_m,
        upstream_head_m=line.upstream_head_m + more_m,
        downstream_head_m=line.downstream_head_m + more_m,
    )
