"""What is said of a finding: the fact, and what to do about it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from terrain_head.assessment.finding import Finding
from terrain_head.report.speech import Speech


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One or two plain sentences.

    Parameters
    ----------
    fact
        What was found, with its number and its limit.
    cure
        What to do about it; empty where there is nothing to do.
    """

    fact: str
    cure: str

    def __str__(self) -> str:
        """Return both."""
        return f"{self.fact} {self.cure}".rstrip()


Sayer = Callable[[Finding, Speech], Told]
"""Says one kind of finding."""


def amount(finding: Finding) -> float:
    """Return the number of a finding that must have one.

    Raises
    ------
    ValueError
        If it has none.
    """
    if finding.value is None:
        raise ValueError(f"a finding of the kind {finding.kind} has a value")
    return finding.value


def limit_of(finding: Finding) -> float:
    """Return the limit of a finding that must have one.

    Raises
    ------
    ValueError
        If it has none.
    """
    if finding.limit is None:
        raise ValueError(f"a finding of the kind {finding.kind} has a limit")
    return finding.limit
