"""What draws through the solver came to: ranges, chances, and what the doubt is owed to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from terrain_head.scheme.parts import Taken

FloatArray = NDArray[np.float64]

LOW, HIGH = 0.05, 0.95
"""Ends of the range that holds nine draws in ten [1]."""
SURE = 0.9
"""Chance from which a need counts as met: nine in ten [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely:
    """How far a result may be off, SI.

    Parameters
    ----------
    std
        Standard error; None where some draws have no figure.
    low, high
        Nine draws in ten lie between; None where that end has no figure.
    """

    std: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """One choice drawn many times, every cause of doubt at once.

    Parameters
    ----------
    draws
        How many draws.
    samples
        Results by name, SI, shape (draws,) each: ``fall``, ``lift``, ``used``, ``delivered``,
        ``efficiency`` ..., ``tank.NAME.inflow``, ``outlet.NAME.running_low``,
        ``outlet.NAME.stand_needed``, ``pipe.NAME.length`` ... Only results that some cause moves
        (a needed stand also where it is 0 in every draw) and whose every input has a known doubt.
    unknown
        Results that hang on a height of which nobody knows how wrong it is.
    chance
        Of each need, that it is met: ``tank.NAME.needed``, ``outlet.NAME.needs``; and
        ``outlet.NAME.served``, that water gets to the outlet with the pressure it needs [1].
    shares
        For the headline results (``fall``, ``lift``, ``delivered`` or ``tank.NAME.inflow``,
        ``outlet.NAME.running_low``) what each cause has in the doubt, the greatest first; they
        add up to 1 [1].
    unswapped, swapped
        The headline results of the first draws; and for each cause the same with that cause drawn
        anew: what differences between choices are owed to.
    taken
        Spreads taken for want of the person's own.
    """

    draws: int
    samples: Mapping[str, FloatArray] = field(default_factory=dict)
    unknown: frozenset[str] = frozenset()
    chance: Mapping[str, float] = field(default_factory=dict)
    shares: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    unswapped: Mapping[str, FloatArray] = field(default_factory=dict)
    swapped: Mapping[str, Mapping[str, FloatArray]] = field(default_factory=dict)
    taken: tuple[Taken, ...] = ()

    def likely(self, result: str) -> Likely | None:
        """Return how far a result may be off, None where it was not drawn."""
        return likely_of(self.samples[result]) if result in self.samples else None

    def std(self, result: str) -> float | None:
        """Return the standard error of a result, None where it is not known; SI."""
        found = self.likely(result)
        return None if found is None else found.std

    def stand_sure_m(self, outlet: str) -> float | None:
        """Return the stand at which an outlet's need is met nine times in ten [m].

        None where that was not drawn, or no stand is that sure.
        """
        stands = self.samples.get(f"outlet.{outlet}.stand_needed")
        if stands is None:
            return None
        sure = float(
            np.quantile(np.where(np.isfinite(stands), stands, np.inf), SURE, method="higher")
        )
        return sure if np.isfinite(sure) else None


def likely_of(samples: FloatArray) -> Likely | None:
    """Return the spread of some draws, None where they are all alike.

    Parameters
    ----------
    samples
        Draws of a result, shape (draws,); one that has no figure is nan [any].

    Notes
    -----
    A draw without a figure may lie anywhere: it counts as below the low end and above the high
    one.

    Examples
    --------
    >>> likely_of(np.array([2.0, 2.0])) is None, likely_of(np.array([1.0, 3.0])).std
    (True, 1.0)
    """
    known = np.isfinite(samples)
    if not known.any() or np.ptp(samples[known]) <= 1e-12 * np.abs(samples[known]).max():
        return None
    low = float(np.quantile(np.where(known, samples, -np.inf), LOW, method="lower"))
    high = float(np.quantile(np.where(known, samples, np.inf), HIGH, method="higher"))
    if known.all():
        low, high = (float(end) for end in np.quantile(samples, [LOW, HIGH]))
    return Likely(
        std=float(np.std(samples)) if known.all() else None,
        low=low if np.isfinite(low) else None,
        high=high if np.isfinite(high) else None,
    )
