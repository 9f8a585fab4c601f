"""What must hold before the parts can stand on their ground."""

from __future__ import annotations

import difflib
from collections.abc import Mapping

import numpy as np

from terrain_head.base.names import find_name, heading
from terrain_head.base.units import from_si
from terrain_head.errors import InputError, Trouble
from terrain_head.formulas.fittings import UnknownFittingError, loss_coefficient, nearest_fittings
from terrain_head.ground.ground import Ground
from terrain_head.scheme.ends import standing
from terrain_head.scheme.layout import Pipe
from terrain_head.scheme.parts import Parts


def check_places(parts: Parts, ground: Ground) -> None:
    """See that source, ram, tanks and outlets stand at places of the ground.

    Raises
    ------
    InputError
        With the nearest names that the ground has.
    """
    places = {node: (f"[{node}]", place) for node, place in standing(parts).items()}
    places |= {
        f'outlet "{outlet.name}"': (heading("outlet", outlet.name), outlet.place)
        for outlet in parts.outlets
    }
    troubles = []
    for what, (table, place) in places.items():
        if find_name(place, ground.names) is not None:
            continue
        near = difflib.get_close_matches(place, ground.names, n=1)
        found = f'The {what} stands at "{place}"; neither book nor map nor a [place] has that.'
        if not near:
            found += " There are: " + ", ".join(ground.names[:8])
            more = len(ground.names) - 8
            found += f", and {more} more." if more > 0 else "."
        cure = f'{table}\nplace = "{near[0]}"' if near else ""
        troubles.append(Trouble(what=found, write=cure))
    if troubles:
        raise InputError("Places are missing.", *troubles)


def check_fittings(parts: Parts) -> None:
    """See that every fitting is known.

    Raises
    ------
    InputError
        With the nearest names that are known.
    """
    troubles = []
    for run in parts.pipes:
        for name in run.fittings:
            try:
                loss_coefficient({name: 1})
            except UnknownFittingError:
                what = f'The pipe "{run.name}" has a fitting "{name}", which is not known.'
                cure = [f'fittings = {{ "{known}" = 1 }}' for known in nearest_fittings(name)]
                troubles.append(
                    Trouble(what=what, write="\n".join([heading("pipe", run.name), *cure[:1]]))
                )
    if troubles:
        raise InputError("Fittings are not known.", *troubles)


def check_lengths(pipes: Mapping[str, Pipe]) -> None:
    """See that every stated length is longer than the risers that it includes.

    Raises
    ------
    InputError
        With the length and the risers of each pipe that is too short.
    """
    troubles = []
    for name, pipe in pipes.items():
        risers_m = float(np.max(pipe.riser_up_m + pipe.riser_down_m))
        if pipe.run.length_m is not None and pipe.run.length_m.value <= risers_m:
            length, risers = (
                f"{metres:.2f} m ({from_si(metres, 'ft'):.1f} ft)"
                for metres in (pipe.run.length_m.value, risers_m)
            )
            troubles.append(
                Trouble(
                    what=f'The length of pipe "{name}" is {length}, but its risers alone are '
                    f"{risers} (stand, cover and outlet height).",
                    write=f"{heading('pipe', name)}\nlength = the whole length, risers included",
                )
            )
    if troubles:
        raise InputError("A pipe is too short for its risers.", *troubles)
