"""The named places of a site: one name is one place, whatever file it stands in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.names import find_name, heading
from terrain_head.errors import GroundError, InputError, Trouble
from terrain_head.ground.ground import GivenPlace
from terrain_head.leveling.elevations import Elevations

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

SAME_HEIGHT_M = 1e-3
"""Two heights of one point that differ by no more are one height [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Places:
    """Every named place with what the files know of it, before the raster is asked.

    Parameters
    ----------
    names
        Their names as first written.
    points_m
        Positions in the local plane, nan where there is none, shape (n, 2) [m].
    height_m
        Leveled, else stated elevation, nan where there is neither, shape (n,) [m].
    leveled
        Position in the level book's list of points, -1 where it has none, shape (n,).
    stated_m, stated_std_m
        Stated elevation, nan where there is none, and its standard error, nan where not known,
        shape (n,) [m].
    position_std_m
        Standard error of the position on each axis, nan where not known, shape (n,) [m].
    """

    names: tuple[str, ...]
    points_m: FloatArray
    height_m: FloatArray
    leveled: IndexArray
    stated_m: FloatArray
    stated_std_m: FloatArray
    position_std_m: FloatArray

    def find(self, name: str) -> int | None:
        """Return which place a name means, whatever its capitals; None if there is none."""
        return find_name(name, self.names)

    def take(self, index: IndexArray) -> Places:
        """Return some of the places."""
        return Places(
            names=tuple(self.names[n] for n in index),
            points_m=self.points_m[index],
            height_m=self.height_m[index],
            leveled=self.leveled[index],
            stated_m=self.stated_m[index],
            stated_std_m=self.stated_std_m[index],
            position_std_m=self.position_std_m[index],
        )

    def placed(self, index: int) -> bool:
        """Say whether a place has a position."""
        return bool(np.isfinite(self.points_m[index]).all())


def gather_places(places: Sequence[GivenPlace], elevations: Elevations | None) -> Places:
    """Return the places of the study, the maps and the book, each once.

    Parameters
    ----------
    places
        Places as the files give them; what stands first wins where two give the same thing.
    elevations
        Elevations of the level book.

    Raises
    ------
    InputError
        If a place has two different known elevations, or elevations are stated beside a book that
        has none and whose first point was called 100.
    """
    names: list[str] = []
    rows: list[list[float]] = []
    for place in places:
        row = [
            _number(value)
            for value in (
                place.east_m, place.north_m, place.stated_elevation_m, place.stated_std_m,
                place.position_std_m,
            )
        ]  # fmt: skip
        known = find_name(place.name, names)
        if known is None:
            names.append(place.name)
            rows.append(row)
        else:
            rows[known] = _first_known(rows[known], row)
    book = () if elevations is None else elevations.names
    leveled = [-1] * len(names)
    for position, name in enumerate(book):
        known = find_name(name, names)
        if known is None or leveled[known] >= 0:
            names.append(name)
            rows.append([np.nan] * 5)
            leveled.append(position)
        else:
            leveled[known] = position
    table = np.array(rows, dtype=np.float64).reshape(len(names), 5)
    which = np.array(leveled, dtype=np.intp)
    height = table[:, 2].copy()
    if elevations is not None:
        _refuse_made_up_datum(names, height, elevations)
        _refuse_two_heights(names, height, which, elevations)
        height[which >= 0] = elevations.elevation_m[which[which >= 0]]
    return Places(
        names=tuple(names),
        points_m=table[:, :2],
        height_m=height,
        leveled=which,
        stated_m=table[:, 2],
        stated_std_m=table[:, 3],
        position_std_m=table[:, 4],
    )


def _number(value: float | None) -> float:
    return np.nan if value is None else value


def _first_known(first: list[float], second: list[float]) -> list[float]:
    position = first[:2] if np.isfinite(first[0]) else second[:2]
    height = first[2:4] if np.isfinite(first[2]) else second[2:4]
    doubt = first[4] if np.isfinite(first[0]) else second[4]
    return [*position, *height, doubt]


def _refuse_two_heights(
    names: Sequence[str], stated: FloatArray, leveled: IndexArray, elevations: Elevations
) -> None:
    troubles = []
    for name, height, index in zip(names, stated.tolist(), leveled.tolist(), strict=True):
        if index < 0 or not elevations.known[index]:
            continue
        given = float(elevations.elevation_m[index])
        if abs(height - given) > SAME_HEIGHT_M:
            troubles.append(
                Trouble(
                    what=f"{name}: the level book gives {given:.3f} m, the study {height:.3f} m. "
                    "Take one of them out."
                )
            )
    if troubles:
        raise InputError("A place has two known elevations.", *troubles)


def _refuse_made_up_datum(names: Sequence[str], stated: FloatArray, elevations: Elevations) -> None:
    """Raise if stated elevations would be mixed with those of a book without any of its own."""
    beside = [name for name, height in zip(names, stated, strict=True) if np.isfinite(height)]
    if not elevations.assumed_datum or not beside:
        return
    first = elevations.names[0]
    raise InputError(
        "The level book and [place] are not on one datum.",
        Trouble(
            what=f"The book holds no known elevation, so its first point, {first}, was called 100; "
            f"[place] states one for {', '.join(beside[:6])}. The two can't be compared. Write "
            "what is known into the book, in its column elevation: of a point that is in both, or "
            f"of {first} if [place] is reckoned from it.",
            write=f"point,bs,is,fs,elevation\n{first},...,,,100.000",
        ),
    )


def missing_heights(names: Sequence[str]) -> GroundError:
    """Return the error for places whose height is needed and is nowhere."""
    listed = ", ".join(names)
    verb = "has" if len(names) == 1 else "have"
    return GroundError(
        f"{listed} {verb} no height.",
        Trouble(
            what="A height comes from the level book, from [place], or from the raster at a "
            "position on the map; none of them holds it. Level it, or mark it on the map.",
            write=f'{heading("place", names[0])}\nelevation = "312.40 +- 0.05 m"',
        ),
    )
