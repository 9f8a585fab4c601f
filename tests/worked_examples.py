"""Published worked examples as records: printed digits stay strings, the tolerance follows them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from terrain_head.base.citation import Citation

Kind = Literal["published", "by hand", "independent code"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedExample:
    """One worked example of a page outside the project.

    Parameters
    ----------
    name
        Short name for the test's id.
    kind
        Whether it is printed in a work, was done by hand, or comes from independent code.
    source
        Where it is.
    inputs, printed
        Inputs and results as strings, in the page's own units and digits.
    looser_because
        For a result that needs more than half its last printed digit: tolerance and reason.
    errata
        For a misprint: the right figure beside the printed one, which is then not asserted.
    """

    name: str
    kind: Kind
    source: Citation
    inputs: Mapping[str, str]
    printed: Mapping[str, str]
    looser_because: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    errata: Mapping[str, str] = field(default_factory=dict)

    def given(self, key: str) -> float:
        """Return an input as a number."""
        return float(self.inputs[key])

    def result(self, key: str) -> float:
        """Return the right result as a number: the printed one, or its erratum."""
        return float(self.errata.get(key, self.printed[key]))

    def tolerance(self, key: str) -> float:
        """Return half the last printed digit, or the wider tolerance that has a reason."""
        if key in self.looser_because:
            return float(self.looser_because[key][0])
        exponent = Decimal(self.errata.get(key, self.printed[key])).as_tuple().exponent
        if not isinstance(exponent, int):
            raise TypeError(f"{key} of {self.name} is not a number")
        return 0.5 * 10.0**exponent * (1 + 1e-9)

    def assert_result(self, key: str, computed: float) -> None:
        """Fail unless a computed figure agrees with the right result within its tolerance."""
        wanted, tolerance = self.result(key), self.tolerance(key)
        assert wanted - tolerance <= computed <= wanted + tolerance, (
            f"{self.name}: {key} printed {self.printed[key]}, computed {computed!r}"
        )
