"""Water to outlets: the line that feeds them, in each state that the study asks for."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.layout import Layout
from terrain_head.scheme.lines import lines_of
from terrain_head.scheme.nets import Work
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.supply_line import Extra, SupplyFlow, SupplyLine
from terrain_head.scheme.supply_net import SupplyNet
from terrain_head.scheme.supply_tree import SupplyTree

FloatArray = NDArray[np.float64]


def groups_of(layout: Layout) -> dict[str, frozenset[str]]:
    """Return which outlets run at once, by the name of the group.

    An outlet that stands in no group runs alone, in a group of its own name.
    """
    names = [outlet.name for outlet in layout.outlets]
    if not layout.parts.together:
        return {"all": frozenset(names)}
    groups = {group: frozenset(members) for group, members in layout.parts.together.items()}
    grouped = frozenset().union(*groups.values())
    for name in names:
        if name not in grouped:
            groups[name if name not in groups else f"{name} alone"] = frozenset([name])
    return groups


def supply_flow(
    layout: Layout,
    *,
    water: Water,
    work: Work | None = None,
    inflow_m3_s: Mapping[str, FloatArray] | None = None,
    leave_out: Collection[Extra] = (),
) -> SupplyFlow:
    """Return pressures and grade lines of everything that feeds outlets.

    Parameters
    ----------
    layout
        The scheme on its ground.
    water
        The water.
    work
        What the ram puts into its delivery, None where not known.
    inflow_m3_s
        What comes into each tank, by its name [m3/s].
    leave_out
        What is not wanted.

    Notes
    -----
    The tank at its lowest useful level is the case of need and clearance. Each pipe carries the
    flows of the outlets beyond it that run together. An outlet that states nothing draws nothing;
    its running pressure is not asked. The pressure at an outlet is that just before its valve:
    total head less the speed of the water, at the outlet's height, the riser passed.
    Where the pipes make a tree below one tank and all flows are stated, the flows follow from
    them; else heads and flows are solved together (`terrain_head.scheme.nets`).
    """
    answer = SupplyFlow()
    groups = groups_of(layout)
    for line in lines_of(layout, "supply", "gravity", "delivery"):
        if line.role != "supply" and not line.outlets:
            continue
        supply: SupplyLine
        if line.role == "supply" and line.tree and all(one.opens is None for one in line.outlets):
            supply = SupplyTree(layout, line, water=water, groups=groups)
        else:
            supply = SupplyNet(
                layout, line, water=water, groups=groups, work=work, inflow_m3_s=inflow_m3_s or {}
            )
        supply.answer(answer, leave_out=leave_out)
    return answer
