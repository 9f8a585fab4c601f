"""What must hold before the parts can stand on their ground."""

from __future__ import annotations

import difflib
from collections.abc import Mapping

import numpy as np

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
    places = dict(standing(parts))
    places.update({f'outlet "{outlet.name}"': outlet.place for outlet in parts.outlets})
    troubles = []
    for what, place in places.items():
        if place not in ground.names:
            near = difflib.get_close_matches(place, ground.names, n=1)
            known = ", ".join(f'"{name}"' for name in near or ground.names[:8])
            troubles.append(
                Trouble(
                    what=f'The {what} stands at "{place}"; neither book nor map nor a [place] '
                    "table has that place.",
                    write=f"place = one of {known}" if not near else f"place = {known}",
                )
            )
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
                near = " or ".join(f'"{known}"' for known in nearest_fittings(name))
                what = f'[pipe.{run.name}] has a fitting "{name}", which is not known.'
                troubles.append(Trouble(what=what, write=near))
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
            troubles.append(
                Trouble(
                    what=f'The length of pipe "{name}" is {pipe.run.length_m.value:.2f} m, but '
                    f"its risers alone are {risers_m:.2f} m (stand, cover and outlet height).",
                    write="length = the whole length of the pipe, risers included",
                )
            )
    if troubles:
        raise InputError("A pipe is too short for its risers.", *troubles)
