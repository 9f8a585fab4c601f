"""The ends of pipes: from the words of the study to the nodes of the scheme and their places.

A node is ``source``, ``ram``, ``tank`` (a lone one), ``tank.NAME``, ``seep.NAME`` or the name of a
place. Where source, seep, ram or a tank stands, the name of the place means the same node.
"""

from __future__ import annotations

import difflib

from terrain_head.errors import InputError, Trouble
from terrain_head.scheme.parts import Parts, Seep, Tank

SOURCE = "source"
RAM = "ram"
_UNSETTLED = "The end of a pipe is not clear."


def tank_node(tank: Tank) -> str:
    """Return the node of a tank: ``tank`` for a lone unnamed one, else ``tank.NAME``."""
    return tank.name if tank.name == "tank" else f"tank.{tank.name}"


def seep_node(seep: Seep) -> str:
    """Return the node of a seep."""
    return f"seep.{seep.name}"


def standing(parts: Parts) -> dict[str, str]:
    """Return the place of each node that is more than a place, by the node."""
    nodes: dict[str, str] = {}
    if parts.source is not None:
        nodes[SOURCE] = parts.source.place
    if parts.ram is not None:
        nodes[RAM] = parts.ram.place
    nodes.update({tank_node(tank): tank.place for tank in parts.tanks})
    nodes.update({seep_node(seep): seep.place for seep in parts.seeps})
    return nodes


def node_of(end: str, *, parts: Parts) -> str:
    """Return the node that a pipe's end means.

    Parameters
    ----------
    end
        As written.
    parts
        The parts of the scheme.

    Returns
    -------
    str
        The node; a word that stands for nothing in these parts is taken as the name of a place.

    Raises
    ------
    InputError
        If the word can't be settled; its one trouble holds the cure.
    """
    nodes = standing(parts)
    if end in nodes:
        return end
    tanks = [tank_node(tank) for tank in parts.tanks]
    if end == "tank" and len(tanks) == 1:
        return tanks[0]
    if end == "tank" and tanks:
        raise InputError(
            _UNSETTLED,
            Trouble(
                what=f'"tank" may be any of the {len(tanks)} tanks.',
                write=" or ".join(f'"{node}"' for node in tanks),
            ),
        )
    if end.startswith("tank."):
        raise InputError(_UNSETTLED, _no_such_tank(end, tanks))
    here = [node for node, place in nodes.items() if place == end]
    if len(here) > 1:
        raise InputError(
            _UNSETTLED,
            Trouble(
                what=f'Several things stand at "{end}", so the end of a pipe there is not clear.',
                write=" or ".join(f'"{node}"' for node in here),
            ),
        )
    return here[0] if here else end


def place_of(node: str, *, parts: Parts) -> str:
    """Return the place at which a node stands."""
    return standing(parts).get(node, node)


def _no_such_tank(end: str, tanks: list[str]) -> Trouble:
    if not tanks:
        what = f'A pipe ends at "{end}", and there is no tank.'
        return Trouble(what=what, write='"name of a place"')
    near = difflib.get_close_matches(end, tanks, n=1) or tanks
    return Trouble(
        what=f'A pipe ends at "{end}", and there is no such tank.',
        write=" or ".join(f'"{node}"' for node in near),
    )
