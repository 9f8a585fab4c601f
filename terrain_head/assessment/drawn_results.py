"""The results of a solution by name: what is drawn, told with its doubt, and compared."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.scheme.solution import Solution

FloatArray = NDArray[np.float64]


def results_by_name(solution: Solution) -> dict[str, FloatArray]:
    """Return every single-figure result that a solution knows, SI, shape () or (draws,).

    Parameters
    ----------
    solution
        Of one choice, with or without draws.

    Returns
    -------
    dict
        By name: ``fall``, ``lift`` [m], ``used``, ``delivered``, ``wasted``, ``passed_by``
        [m3/s], ``efficiency`` [1], ``delivery_head``, ``delivery_loss`` [m]; ``tank.NAME.``
        ``deck`` ... ``inflow``, ``fill_time``, and without a ram ``drop``, from the source's water
        down to where the tank fills [m]; ``outlet.NAME.`` ``level``, ``static_full`` ...
        ``stand_needed``; ``pipe.NAME.`` ``length``, ``flow``, ``velocity``, ``head_loss``,
        ``max_static``, ``min_clearance``.

    Notes
    -----
    Where the published efficiencies do not reach, no water is promised: there it counts as none.
    """
    found: dict[str, ArrayLike | None] = {}
    ram = solution.ram
    if ram is not None:
        found |= {
            "fall": ram.fall_m,
            "lift": ram.lift_m,
            "used": ram.used_m3_s,
            "delivered": _promised(ram.delivered_m3_s),
            "wasted": ram.wasted_m3_s,
            "passed_by": ram.passed_by_m3_s,
            "efficiency": ram.efficiency,
            "delivery_loss": ram.delivery_loss_m,
        }
        if ram.lift_m is not None and ram.delivery_loss_m is not None:
            found["delivery_head"] = ram.lift_m + ram.delivery_loss_m
    source_m = solution.layout.source_level_m
    if ram is None and source_m is not None:
        for name, inlet_m in solution.layout.inlet_m.items():
            found[f"tank.{name}.drop"] = source_m - inlet_m
    for name, tank in solution.tanks.items():
        found |= {
            f"tank.{name}.deck": tank.deck_m,
            f"tank.{name}.full_level": tank.full_level_m,
            f"tank.{name}.lowest_level": tank.lowest_level_m,
            f"tank.{name}.inlet_level": tank.inlet_level_m,
            f"tank.{name}.inflow": _promised(tank.inflow_m3_s),
            f"tank.{name}.fill_time": tank.fill_time_s,
            f"tank.{name}.useful": tank.useful_m3,
            f"tank.{name}.volume": tank.volume_m3,
            f"tank.{name}.weight_full": tank.weight_full_kg,
        }
    for name, outlet in solution.outlets.items():
        found |= {
            f"outlet.{name}.level": outlet.level_m,
            f"outlet.{name}.static_full": outlet.static_full_pa,
            f"outlet.{name}.static_low": outlet.static_low_pa,
            f"outlet.{name}.running_full": outlet.running_full_pa,
            f"outlet.{name}.running_low": outlet.running_low_pa,
            f"outlet.{name}.stand_needed": outlet.stand_needed_m,
            f"outlet.{name}.flow": outlet.flow_m3_s,
        }
    for name, pipe in solution.layout.pipes.items():
        found[f"pipe.{name}.length"] = pipe.length_m
    for name, result in solution.pipes.items():
        found[f"pipe.{name}.max_static"] = result.max_static_pa
        found[f"pipe.{name}.min_clearance"] = result.min_clearance_m
        if result.running is not None:
            found[f"pipe.{name}.flow"] = result.running.flow_m3_s
            found[f"pipe.{name}.velocity"] = result.running.velocity_m_s
            found[f"pipe.{name}.head_loss"] = result.running.head_loss_m
    return {
        name: np.asarray(value, np.float64) for name, value in found.items() if value is not None
    }


def headline_names(solution: Solution) -> tuple[str, ...]:
    """Return the results whose doubt is shared out: fall, lift, the water, each pressure."""
    names = ["fall", "lift", "delivered"] if solution.ram is not None else []
    if solution.ram is None:
        names += [f"tank.{name}.inflow" for name in solution.tanks]
    return (*names, *(f"outlet.{name}.running_low" for name in solution.outlets))


def _promised(flow_m3_s: FloatArray | None) -> FloatArray | None:
    if flow_m3_s is None:
        return None
    return np.where(np.isfinite(flow_m3_s), flow_m3_s, 0.0)
