"""The instrument as its owner knows it, turned into the errors of a reading."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

InstrumentKind = Literal["optical level", "rotating laser"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """A level or a rotating laser, and what is known of it.

    Parameters
    ----------
    kind
        What it is.
    accuracy
        Slope by which its line or plane may be out, None where not said [rad].
    read_to_m
        What its rod is read to, None where not said [m].
    farthest_m
        Longest sight taken with it, None where not said [m].
    half_turn
        Tilt that the half-turn check of a laser showed, None without one [rad].
    """

    kind: InstrumentKind
    accuracy: float | None = None
    read_to_m: float | None = None
    farthest_m: float | None = None
    half_turn: float | None = None

    @property
    def angle_std_rad(self) -> float | None:
        """Standard error of the line of sight, None where nothing is said of it [rad].

        The accuracy counts as one standard error, since boxes rarely say how often it holds. The
        half-turn check shows the tilt along one line only: across it, and for the cone that no
        half turn shows, the accuracy stands beside it.

        Examples
        --------
        >>> Instrument(kind="rotating laser", accuracy=4e-5, half_turn=3e-5).angle_std_rad
        5e-05
        """
        said = [abs(one) for one in (self.accuracy, self.half_turn) if one is not None]
        return math.hypot(*said) if said else None
