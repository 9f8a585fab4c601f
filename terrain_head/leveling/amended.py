"""The heights that a level book comes to once a blunder is taken away."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.misreadings import Error
from terrain_head.leveling.network import Network, Solved
from terrain_head.leveling.suspect import Amended, Misreading

FloatArray = NDArray[np.float64]

_SETUPS = 2
_SAME_M = 1e-6  # what rounding leaves between two ways to the same height [m]


def left_out(
    book: LevelBook, errors: Sequence[Error], *, network: Network, solved: Solved
) -> tuple[Amended, ...]:
    """Return the heights without each of the set-ups that a blunder may lie in.

    Parameters
    ----------
    book
        The level book.
    errors
        The readings that tie, each with the error that it alone would have.
    network, solved
        The observations of the book and their adjustment.

    Returns
    -------
    tuple of Amended
        Empty where the readings lie in more than two set-ups.

    Notes
    -----
    Leaving an observation out is the same as taking its error off it: the heights move by the
    inverse of the normal matrix times the observation's row, its weight and minus the error. Two
    readings of one set-up that tie move every other point alike; what was read from that set-up
    alone they move differently, and there the change is not known.
    """
    of_setup: dict[int, list[Error]] = {}
    for error in errors:
        of_setup.setdefault(book.readings[error.reading].setup, []).append(error)
    if len(of_setup) > _SETUPS:
        return ()
    found = []
    for some in of_setup.values():
        ways = np.array(
            [
                _moved(book, {one.reading: -one.size_m}, network=network, solved=solved)
                for one in some
            ]
        )
        change = ways[0].copy()
        change[np.ptp(ways, axis=0) > _SAME_M] = math.nan
        found.append(
            Amended(
                how="left out",
                readings=tuple(one.reading for one in some),
                change_m=_read_only(change),
            )
        )
    return tuple(found)


def exchanged(book: LevelBook, slip: Misreading, *, network: Network, solved: Solved) -> Amended:
    """Return the heights with the two readings of a row exchanged.

    Parameters
    ----------
    book
        The level book.
    slip
        A row that may have been written the wrong way round.
    network, solved
        The observations of the book and their adjustment.
    """
    first, second = slip.readings
    apart = book.readings[second].reading_m - book.readings[first].reading_m
    change = _moved(book, {first: apart, second: -apart}, network=network, solved=solved)
    return Amended(how="exchanged", readings=slip.readings, change_m=_read_only(change))


def _moved(
    book: LevelBook, added_m: Mapping[int, float], *, network: Network, solved: Solved
) -> FloatArray:
    """Return by how much the points move where so much is added to some readings, (n,) [m]."""
    rows = solved.design.tocsr()[list(added_m)]
    observations = list(added_m)
    pull = np.array(list(added_m.values())) / np.square(network.std_m[observations])
    step = solved.cofactor.solve(np.asarray(rows.T @ pull).ravel())
    column = solved.column[: len(book.points)]
    return np.where(column >= 0, step[column], 0.0)


def _read_only(change: FloatArray) -> FloatArray:
    change.flags.writeable = False
    return change
