"""Feet, inches and fractions as people write them: ``9 ft 6-3/8 in``, or bare, ``9-6-3/8``."""

from __future__ import annotations

import re
from dataclasses import dataclass

from terrain_head.base.units import to_si

INCHES_A_FOOT = 12

_MARKED = re.compile(
    r"""^(?P<sign>-)?\s*
    (?:(?P<feet>\d+)\s*(?:ft|feet|foot|')\s*(?:-\s*(?=\d))?)?
    (?:
        (?:
            (?P<inches>\d+(?:\.\d+)?)(?:(?:\s*-\s*|\s+)(?P<num>\d+)\s*/\s*(?P<den>\d+))?
            | (?P<only_num>\d+)\s*/\s*(?P<only_den>\d+)
        )?
        \s*(?P<mark>in|inch|inches|"|'')?
    )?\s*$""",
    re.VERBOSE,
)
_BARE = re.compile(
    r"^(?P<sign>-)?\s*(?P<feet>\d+)[-\s]+(?P<inches>\d+(?:\.\d+)?)"
    r"(?:[-\s]+(?P<num>\d+)\s*/\s*(?P<den>\d+))?$"
)
_BARE_INCHES = re.compile(r"^(?P<sign>-)?\s*(?P<inches>\d+)[-\s]+(?P<num>\d+)\s*/\s*(?P<den>\d+)$")


@dataclass(frozen=True, slots=True, kw_only=True)
class FeetInches:
    """A length as written: what stands before feet, before inches, and the fraction of an inch.

    Parameters
    ----------
    sign
        1, or -1 for a rod held upside down.
    feet
        Whole feet, None where only inches are written.
    inches
        Inches, without the fraction.
    numerator, denominator
        The fraction of an inch, 0 and 1 where none is written.
    """

    sign: int
    feet: int | None
    inches: float
    numerator: int
    denominator: int

    @property
    def fraction_holds(self) -> bool:
        """Whether the fraction is less than one inch."""
        return self.denominator > 0 and (self.numerator == 0 or self.numerator < self.denominator)

    @property
    def inches_hold(self) -> bool:
        """Whether inches beside feet stay under 12."""
        return self.feet is None or self._all_inches < INCHES_A_FOOT

    @property
    def length_m(self) -> float:
        """The length; only where the fraction holds [m]."""
        if not self._all_inches:
            return self.sign * to_si(self.feet or 0, "ft")
        return self.sign * to_si((self.feet or 0) * INCHES_A_FOOT + self._all_inches, "in")

    @property
    def _all_inches(self) -> float:
        return self.inches + self.numerator / self.denominator


def marked(text: str) -> FeetInches | None:
    """Return feet and inches that are marked as such, or None where none of the marks stands.

    Parameters
    ----------
    text
        With plain quotes and hyphens.

    Examples
    --------
    >>> marked("9 ft 6-3/8 in")
    FeetInches(sign=1, feet=9, inches=6.0, numerator=3, denominator=8)
    >>> marked("9.5 ft") is None
    True
    """
    match = _MARKED.match(text)
    if match is None or not (match["feet"] or match["mark"]):
        return None
    only = match["only_num"] is not None
    if match["mark"] and not only and match["inches"] is None:
        return None
    return _read(
        match,
        numerator=match["only_num"] if only else match["num"],
        denominator=match["only_den"] if only else match["den"],
    )


def bare(text: str) -> FeetInches | None:
    """Return feet and inches parted by hyphens or blanks alone: ``4-0-5/8``; None if it is not.

    Parameters
    ----------
    text
        With plain hyphens.
    """
    match = _BARE.match(text)
    return None if match is None else _read(match, numerator=match["num"], denominator=match["den"])


def bare_inches(text: str) -> FeetInches | None:
    """Return inches and a fraction without a mark: ``5-3/8``; None if it is not.

    Parameters
    ----------
    text
        With plain hyphens.
    """
    match = _BARE_INCHES.match(text)
    return None if match is None else _read(match, numerator=match["num"], denominator=match["den"])


def _read(match: re.Match[str], *, numerator: str | None, denominator: str | None) -> FeetInches:
    found = match.groupdict()
    return FeetInches(
        sign=-1 if found["sign"] else 1,
        feet=int(found["feet"]) if found.get("feet") else None,
        inches=float(found["inches"] or 0),
        numerator=int(numerator or 0),
        denominator=int(denominator or 1),
    )
