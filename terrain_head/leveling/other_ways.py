"""Other ways of measuring a height than the rod, and how sure each is where nobody said."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from terrain_head.base.citation import COMMON_PRACTICE, OURS, Citation, Source
from terrain_head.leveling.allowable import READING_STD_M

PROBABLE_ERROR = 0.6745
"""Half of all errors stay below so many standard errors [1]."""
NINETY_FIVE = 1.96
"""Ninety-five errors in a hundred stay below so many standard errors [1]."""

HYDROSTATIC_LEVEL = Source(
    key="hydrostatic-level-1951",
    author="unnamed",
    title="A hydrostatic level for elevation surveying, Geophysics 16(3):486",
    year="1951",
)
HOSE_REPORT = Source(
    key="hose-level-report",
    author="an owner-builder",
    title="Report on a water tube: a few millimetres over 40 m of hose, if air is flushed out",
    year="no year",
)
ABNEY_NOTE = Source(
    key="abney-level-note",
    author="Australian National University, Forest Measurement and Modelling",
    title="Abney Level",
    year="2001",
)
GAUGE_CLASSES = Source(
    key="pressure-gauge-classes",
    author="several trade guides",
    title="Accuracy classes of pressure gauges after EN 837-1",
    year="no year",
    obtained="read in a copy",
)
SATELLITE_HEIGHTS = Source(
    key="satellite-heights",
    author="a page on satellite positioning",
    title="Observed height error of the open service, after its performance standard",
    year="no year",
    obtained="read in a copy",
)
STADIA_CHAPTER = Source(
    key="stadia-accuracy",
    author="a textbook chapter",
    title="Tacheometry: accuracy of stadia, heights to about 3 cm",
    year="no year",
    obtained="read in a copy",
)
UNKNOWN_WAY = OURS.at("a height had in a way that is not known counts like readings of the rod")


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherWay:
    """A way of measuring a height difference, and its standard error.

    Parameters
    ----------
    name
        What it is called in a sentence.
    words
        Any of them, at the beginning of a word, tells it from the others.
    standing_std_m
        Standard error of one standing [m].
    standing_rise_m
        Rise that one standing can bridge, inf where one does for all [m].
    share
        Standard error as a part of the rise, beside that of the standings [1].
    citation
        Where it was read, or the plain word that it was not.
    """

    name: str
    words: tuple[str, ...]
    standing_std_m: float
    standing_rise_m: float = math.inf
    share: float = 0.0
    citation: Citation

    def std_m(self, rise_m: float) -> float:
        """Return the standard error of a height difference had this way.

        Parameters
        ----------
        rise_m
            The height difference, either sign [m].

        Returns
        -------
        float
            Standings add up as independent errors do; the share goes with the whole rise [m].

        Examples
        --------
        >>> hose = way_named("clear hose")
        >>> hose.std_m(1.0), hose.std_m(6.0)
        (0.005, 0.01)
        """
        standings = max(1.0, math.ceil(abs(rise_m) / self.standing_rise_m))
        return math.hypot(self.standing_std_m * math.sqrt(standings), self.share * rise_m)


OTHER_WAYS = (
    OtherWay(
        name="levels from both banks",
        words=("both banks", "reciprocal"),
        standing_std_m=READING_STD_M,
        citation=OURS.at(
            "four readings of 3 mm, each counting half; write your own for a wide stream"
        ),
    ),
    OtherWay(
        name="stadia",
        words=("stadia", "tacheomet", "tachymet"),
        standing_std_m=0.03,
        citation=STADIA_CHAPTER.at("heights"),
    ),
    OtherWay(
        name="pressure gauge",
        words=("gauge", "manometer"),
        standing_std_m=0.1,
        share=2 * 0.016,
        citation=GAUGE_CLASSES.at(
            "class 1.6, its most, on a range twice the reading; 0.1 m for reading it is ours"
        ),
    ),
    OtherWay(
        name="hydrostatic level",
        words=("hydrostatic",),
        standing_std_m=0.10 / PROBABLE_ERROR,
        citation=HYDROSTATIC_LEVEL.at(
            "abstract, probable error of about 10 cm on open traverses of 3 to 5 miles",
            obtained="computed",
        ),
    ),
    OtherWay(
        name="hose level",
        words=("hose", "water level", "tube level", "water tube", "tube of water"),
        standing_std_m=0.005,
        standing_rise_m=1.5,
        citation=HOSE_REPORT.at(
            "5 mm a standing of 1.5 m at most, worked from it by us", obtained="computed"
        ),
    ),
    OtherWay(
        name="string level",
        words=("string", "line level"),
        standing_std_m=0.01,
        standing_rise_m=1.5,
        citation=COMMON_PRACTICE.at("1 cm a standing, 8 m of string"),
    ),
    OtherWay(
        name="A-frame",
        words=("a-frame", "a frame", "aframe"),
        standing_std_m=0.01,
        standing_rise_m=1.0,
        citation=COMMON_PRACTICE.at("1 cm a step"),
    ),
    OtherWay(
        name="clinometer",
        words=("clinometer", "abney"),
        standing_std_m=0.1,
        share=0.5 / 20,
        citation=ABNEY_NOTE.at("0.5 m in a height of 20 m; 0.1 m beside it is ours"),
    ),
    OtherWay(
        name="hand level",
        words=("hand level",),
        standing_std_m=0.03,
        standing_rise_m=1.5,
        citation=COMMON_PRACTICE.at("3 cm a sight from eye to ground"),
    ),
    OtherWay(
        name="barometer",
        words=("barometer", "barometric", "altimeter"),
        standing_std_m=3.0,
        citation=COMMON_PRACTICE.at("weather moves it by metres within the hour"),
    ),
    OtherWay(
        name="phone or satellite height",
        words=("phone", "smartphone", "gps", "gnss", "satellite"),
        standing_std_m=math.sqrt(2) * 7.0 / NINETY_FIVE,
        citation=SATELLITE_HEIGHTS.at(
            "7 m at 95 % under open sky, of each of the two heights", obtained="computed"
        ),
    ),
)
"""Every way that is known; the first whose word stands in the person's own words is meant."""


def way_named(how: str) -> OtherWay | None:
    """Return the way that a person's words mean.

    Parameters
    ----------
    how
        How the height was had, as written.

    Returns
    -------
    OtherWay or None
        None where no known way is named.

    Examples
    --------
    >>> way_named("Clear hose full of water").name, way_named("my neighbour's guess")
    ('hose level', None)
    """
    folded = how.casefold()
    for way in OTHER_WAYS:
        if any(re.search(rf"\b{re.escape(word)}", folded) for word in way.words):
            return way
    return None


def taken_citation(name: str) -> Citation:
    """Return where the standard error taken for a way comes from.

    Parameters
    ----------
    name
        Name of a known way; anything else is an unknown one.

    Returns
    -------
    Citation
        That of the way, or that unknown ways count like readings of the rod.
    """
    return next((way.citation for way in OTHER_WAYS if way.name == name), UNKNOWN_WAY)
