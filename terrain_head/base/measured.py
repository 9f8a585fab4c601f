"""A value with its doubt."""

from __future__ import annotations

from dataclasses import dataclass


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
    """

    value: float
    std: float | None = None

    def __post_init__(self) -> None:
        if self.std is not None and not self.std >= 0:
            raise ValueError(f"a standard error is never negative: {self.std}")
