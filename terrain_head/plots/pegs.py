"""The lettered pegs of a study: the same letter for a place on every drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from terrain_head.plots.labels import Shape
from terrain_head.plots.type_boxes import folded
from terrain_head.scheme.ends import RAM, SOURCE, place_of, seep_node, tank_node
from terrain_head.scheme.layout import Layout

Kind = Literal["source", "seep", "ram", "tank", "outlet", "tee"]

SHAPES: Mapping[Kind, Shape] = {
    "source": "circle",
    "seep": "circle",
    "ram": "square",
    "tank": "round",
    "outlet": "hexagon",
    "tee": "plain",
}
_ROLES: Mapping[Kind, str] = {"source": "spring", "seep": "seep", "ram": "ram", "tank": "tank"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Peg:
    """A place with its letter.

    Parameters
    ----------
    node
        The node of the scheme.
    letter
        ``A`` at the source, then down the water's way.
    name
        Its name on one line, as short as it can be.
    word
        What stands beside the letter, on lines that are not too long.
    kind
        What it is.
    outlets
        Names of the outlets there.
    place
        Name of the place.
    """

    node: str
    letter: str
    name: str
    word: str
    kind: Kind
    outlets: tuple[str, ...]
    place: str


def pegs_of(layout: Layout) -> dict[str, Peg]:
    """Return the peg of every node: source, ram, tanks, then pipe ends in the order of the study.

    Parameters
    ----------
    layout
        The scheme.
    """
    parts = layout.parts
    nodes: list[str] = []
    if parts.source is not None:
        nodes.append(SOURCE)
    if parts.ram is not None:
        nodes.append(RAM)
    nodes += [tank_node(tank) for tank in parts.tanks]
    for pipe in layout.pipes.values():
        nodes += [end for end in (pipe.upstream, pipe.downstream) if end not in nodes]
    tanks = {tank_node(tank) for tank in parts.tanks}
    seeps = {seep_node(seep) for seep in parts.seeps}
    at: dict[str, list[str]] = {}
    for outlet in parts.outlets:
        at.setdefault(outlet.place, []).append(outlet.name)
    pegs = {}
    for number, node in enumerate(nodes):
        place = place_of(node, parts=parts)
        kind: Kind = "tee"
        if node == SOURCE:
            kind = "source"
        elif node in seeps:
            kind = "seep"
        elif node == RAM:
            kind = "ram"
        elif node in tanks:
            kind = "tank"
        elif place in at:
            kind = "outlet"
        outlets = tuple(at.get(place, ())) if kind in {"outlet", "tee"} else ()
        pegs[node] = Peg(
            node=node,
            letter=letter_of(number),
            name=", ".join(outlets) or _ROLES.get(kind, place),
            word=folded(_word(kind, node, place, outlets)),
            kind=kind,
            outlets=outlets,
            place=place,
        )
    return pegs


def letter_of(number: int) -> str:
    """Return the letter of a place by its number, AA after Z.

    Examples
    --------
    >>> letter_of(0), letter_of(25), letter_of(26)
    ('A', 'Z', 'AA')
    """
    first, last = divmod(number, 26)
    return (letter_of(first - 1) if first else "") + chr(ord("A") + last)


def _word(kind: Kind, node: str, place: str, outlets: tuple[str, ...]) -> str:
    if kind not in _ROLES:
        return ", ".join(outlets) or place
    role = _ROLES[kind]
    name = node.removeprefix("tank.") if node.startswith("tank.") else place
    return name if name.lower().endswith(role) else f"{role} ({name})"
