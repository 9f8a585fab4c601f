"""All that is known about one choice of one study: what screens, pictures and files are made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.assessment.drawn import Drawn
from terrain_head.assessment.finding import Finding
from terrain_head.assessment.size_choice import ChosenSize
from terrain_head.assessment.spread import from_raster
from terrain_head.assessment.ways_to_pressure import WaysToPressure
from terrain_head.base.display import LIKELY
from terrain_head.base.measured import Measured
from terrain_head.base.units import METRIC, UnitSystem
from terrain_head.ground.grid import ElevationGrid
from terrain_head.ground.ground import Ground
from terrain_head.ground.plane import LocalPlane
from terrain_head.leveling.elevations import Elevations
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.parts import Taken
from terrain_head.scheme.solution import Solution


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """One choice of one study, solved and judged.

    Parameters
    ----------
    title, choice, file
        Title of the study, name of the choice ("main" for the study as written), file as shown.
    units
        How results are shown.
    plane, elevations, grid
        The local plane, the reduced level book, the raster; None where there is none.
    ground, layout, solution
        The chain itself.
    findings
        In order of weight.
    taken, not_asked
        Values taken, and questions that the data do not reach.
    spread
        Standard errors of results that could be computed, by the name of the result ("fall",
        "lift", ...); a missing name means not computed.
    drawn
        The choice drawn many times: ranges, chances, shares of the doubt; None where nothing was
        drawn.
    sizes
        Pipes whose size was chosen by the program.
    ways
        The three ways to buy pressure, for every outlet that does not surely get what it needs.
    """

    title: str
    choice: str
    file: str
    units: UnitSystem = METRIC
    plane: LocalPlane | None
    elevations: Elevations | None
    grid: ElevationGrid | None
    ground: Ground
    layout: Layout
    solution: Solution
    findings: tuple[Finding, ...]
    taken: tuple[Taken, ...]
    not_asked: tuple[str, ...]
    spread: Mapping[str, Measured] = field(default_factory=dict)
    drawn: Drawn | None = None
    sizes: tuple[ChosenSize, ...] = ()
    ways: tuple[WaysToPressure, ...] = ()

    @property
    def likely_factor(self) -> float:
        """How many standard errors hold nine cases in ten of the level book's heights."""
        return LIKELY if self.elevations is None else self.elevations.likely_factor

    def std_told(self, result: str) -> float | None:
        """Return the standard error that the range told of a result stands for, SI.

        Parameters
        ----------
        result
            Its name, as drawn.

        Returns
        -------
        float or None
            Of the draws where there are any, else of the heights alone; None where not known.
        """
        if self.drawn is None:
            half = self.spread[result].half_range if result in self.spread else None
            return None if half is None else half / LIKELY
        likely = None if result in self.drawn.unknown else self.drawn.likely(result)
        if likely is None or likely.low is None or likely.high is None:
            return None
        return (likely.high - likely.low) / (2 * LIKELY)

    def half_range_m(self, std_m: ArrayLike, *, origin: ArrayLike) -> NDArray[np.float64]:
        """Return half the ranges that hold nine cases in ten of heights of the ground.

        Parameters
        ----------
        std_m
            Their standard errors, shape (n,) [m].
        origin
            Where each came from, shape (n,).
        """
        factor = np.where(from_raster(origin), LIKELY, self.likely_factor)
        return factor * np.asarray(std_m, dtype=np.float64)
