"""A value with its doubt."""

from __future__ import annotations

from dataclasses import dataclass

from terrain_head.base.display import LIKELY


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A number in SI units with its standard error.

    Parameters
    ----------
    value
        The value, in the SI unit that the holder's field name says.
    std
        Its standard error in the same unit; None where it was not stated or not computed,
        never 0 for unknown.
    likely_factor
        How many standard errors hold nine cases in ten to either side: 1.6449, more where the
        standard error itself rests on few observations.

    Examples
    --------
    >>> round(Measured(value=5.0, std=0.1).half_range, 5), Measured(value=5.0).half_range
    (0.16449, None)
    """

    value: float
    std: float | None = None
    likely_factor: float = LIKELY

    @property
    def half_range(self) -> float | None:
        """Half the range that holds nine cases in ten, None where `std` is."""
        return None if self.std is None else self.likely_factor * self.std

    def __post_init__(self) -> None:
        if self.std is not None and not self.std >= 0:
            raise ValueError(f"a standard error is never negative: {self.std}")
