"""The instrument as its owner knows it, turned into the errors that its sights share."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from terrain_head.formulas.collimation import two_peg_slope, two_peg_slope_std

InstrumentKind = Literal["optical level", "rotating laser"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoPegTest:
    """Two pegs read from midway between them and again from beyond one of them.

    Parameters
    ----------
    middle_m, beyond_m
        Readings on the first and the second peg, from midway and from beyond [m].
    middle_sights_m, beyond_sights_m
        Lengths of these sights [m].
    """

    middle_m: tuple[float, float]
    beyond_m: tuple[float, float]
    middle_sights_m: tuple[float, float]
    beyond_sights_m: tuple[float, float]

    @property
    def slope(self) -> float:
        """Rise of the line of sight over its length, negative where it falls [1].

        Examples
        --------
        >>> test = TwoPegTest(
        ...     middle_m=(1.283, 0.860), middle_sights_m=(25, 25),
        ...     beyond_m=(1.612, 1.219), beyond_sights_m=(55, 5),
        ... )
        >>> round(test.slope, 6)
        -0.0006
        """
        return float(
            two_peg_slope(
                first_m=self.middle_m,
                second_m=self.beyond_m,
                first_sights_m=self.middle_sights_m,
                second_sights_m=self.beyond_sights_m,
            )
        )

    def slope_std(self, reading_std_m: float) -> float:
        """Return how well the test gives the slope, from the error of one reading [1]."""
        return float(
            two_peg_slope_std(
                reading_std_m=reading_std_m,
                first_sights_m=self.middle_sights_m,
                second_sights_m=self.beyond_sights_m,
            )
        )


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
    two_peg
        The two-peg test of a level, None without one.
    """

    kind: InstrumentKind
    accuracy: float | None = None
    read_to_m: float | None = None
    farthest_m: float | None = None
    half_turn: float | None = None
    two_peg: TwoPegTest | None = None

    @property
    def slope(self) -> float:
        """Slope of the line of sight that is taken off, 0 without a two-peg test [1]."""
        return 0.0 if self.two_peg is None else self.two_peg.slope

    def slope_std(self, reading_std_m: float) -> float:
        """Return the standard error of the slope that all sights share, 0 where nothing is said.

        Parameters
        ----------
        reading_std_m
            Standard error of one reading of the two-peg test [m].

        Returns
        -------
        float
            That of the two-peg test, else the accuracy, else what the half turn showed [1].

        Notes
        -----
        Of a level it is the collimation. Of a laser it is the cone, which no half turn shows; where
        nothing else is said of it, it is taken to be as large as the tilt.
        """
        if self.two_peg is not None:
            return self.two_peg.slope_std(reading_std_m)
        said = self.accuracy if self.accuracy is not None else self.half_turn
        return abs(said or 0.0)

    @property
    def tilt_std(self) -> float:
        """Standard error of the tilt of a laser's plane along any one line, 0 for a level [1].

        The half-turn check shows the tilt along one line only: across it the accuracy stands
        beside it. The accuracy counts as one standard error, since boxes rarely say how often it
        holds.

        Examples
        --------
        >>> Instrument(kind="rotating laser", accuracy=4e-5, half_turn=3e-5).tilt_std
        5e-05
        """
        if self.kind == "optical level":
            return 0.0
        return math.hypot(self.accuracy or 0.0, self.half_turn or 0.0)
