"""Loss coefficients of common fittings, by the names a person writes."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass

from terrain_head.base.citation import OURS, Citation, Source

MATERIALS_HANDLING = Source(
    key="materials-handling",
    author="unnamed",
    title="Environmentally Conscious Materials Handling",
    year="no year",
)
WATER_SUPPLY_CHAPTER = Source(
    key="water-supply-chapter",
    author="unnamed",
    title="Chapter on water supply of a textbook, minor losses of head",
    year="no year",
    obtained="read in a copy",
)
MINOR_LOSSES = Source(
    key="minor-losses-of-fittings",
    author="unnamed",
    title="Loss coefficients of threaded tees and foot valves, a table whose work is not known",
    year="no year",
    obtained="read in a copy",
)
FLUIDS = Source(key="fluids", author="C. Bell and others", title="fluids 1.3.1", year="no year")
TECHNICAL_PAPER_410 = Source(
    key="technical-paper-410",
    author="unnamed",
    title="Flow of fluids, Technical Paper 410",
    year="no year",
    obtained="read in a copy",
)
_TABLE = MATERIALS_HANDLING.at("table 9.2, p. 253")
_SCREWED = WATER_SUPPLY_CHAPTER.at("table 6-4, p. 127")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """One fitting.

    Parameters
    ----------
    name
        As written in a study file.
    coefficient
        Loss coefficient K, in velocity heads of its own bore [1].
    low, high
        Spread of the published values [1].
    can_shut
        Whether a hand or a float can close it; one in a ram's delivery pipe can break the ram.
    one_way
        Whether it keeps the water from running back.
    citation
        Where the value was read.
    """

    name: str
    coefficient: float
    low: float
    high: float
    can_shut: bool = False
    one_way: bool = False
    citation: Citation


_ALL: tuple[Fitting, ...] = (
    Fitting(name="gate valve", coefficient=0.15, low=0.1, high=0.3, can_shut=True, citation=_TABLE),
    Fitting(
        name="globe valve", coefficient=4.0, low=3.0, high=10.0, can_shut=True, citation=_TABLE
    ),
    Fitting(
        name="ball valve",
        coefficient=0.067,
        low=0.057,
        high=0.067,
        can_shut=True,
        citation=FLUIDS.at("ball valve, 26.6 and 52.5 mm", obtained="computed"),
    ),
    Fitting(
        name="butterfly valve",
        coefficient=0.56,
        low=0.56,
        high=0.56,
        can_shut=True,
        citation=_TABLE,
    ),
    Fitting(
        name="float valve",
        coefficient=10.0,
        low=4.0,
        high=15.0,
        can_shut=True,
        citation=OURS.at("a float valve taken as a globe valve of the higher kind"),
    ),
    Fitting(
        name="gate valve 1/4 closed",
        coefficient=1.2,
        low=1.2,
        high=1.2,
        can_shut=True,
        citation=_SCREWED,
    ),
    Fitting(
        name="gate valve 1/2 closed",
        coefficient=5.6,
        low=5.6,
        high=5.6,
        can_shut=True,
        citation=_SCREWED,
    ),
    Fitting(
        name="gate valve 3/4 closed",
        coefficient=24.0,
        low=24.0,
        high=24.0,
        can_shut=True,
        citation=_SCREWED,
    ),
    Fitting(
        name="check valve swing",
        coefficient=1.0,
        low=0.29,
        high=2.2,
        one_way=True,
        citation=_TABLE,
    ),
    Fitting(
        name="foot valve",
        coefficient=1.5,
        low=0.8,
        high=15.0,
        one_way=True,
        citation=MINOR_LOSSES.at("hinged with strainer 0.8 to 1.5; an older table has 15"),
    ),
    Fitting(name="elbow 90", coefficient=0.75, low=0.6, high=0.9, citation=_SCREWED),
    Fitting(
        name="elbow 45",
        coefficient=0.36,
        low=0.30,
        high=0.36,
        citation=TECHNICAL_PAPER_410.at("16 fT at 26.6 and 52.5 mm", obtained="from memory"),
    ),
    Fitting(name="bend 90", coefficient=0.45, low=0.3, high=0.6, citation=_TABLE),
    Fitting(name="mitre 90", coefficient=1.10, low=1.10, high=1.10, citation=_TABLE),
    Fitting(
        name="tee run",
        coefficient=0.9,
        low=0.4,
        high=0.9,
        citation=MINOR_LOSSES.at("threaded tee, run; least by fluids 1.3.1"),
    ),
    Fitting(
        name="tee branch",
        coefficient=2.0,
        low=1.1,
        high=2.0,
        citation=MINOR_LOSSES.at("threaded tee, branch; least by fluids 1.3.1"),
    ),
    Fitting(
        name="entrance sharp",
        coefficient=0.5,
        low=0.5,
        high=0.57,
        citation=MATERIALS_HANDLING.at("table 9.2, p. 253; most by fluids 1.3.1"),
    ),
    Fitting(
        name="entrance projecting",
        coefficient=0.8,
        low=0.5,
        high=1.0,
        citation=WATER_SUPPLY_CHAPTER.at("table 6-4, p. 127; least by table 9.2 of another work"),
    ),
    Fitting(name="entrance bellmouth", coefficient=0.05, low=0.03, high=0.1, citation=_TABLE),
    Fitting(
        name="exit",
        coefficient=1.0,
        low=1.0,
        high=1.0,
        citation=WATER_SUPPLY_CHAPTER.at("table 6-4, p. 127, outlet"),
    ),
)
FITTINGS: Mapping[str, Fitting] = {fitting.name: fitting for fitting in _ALL}


_SAME_WORD = {"quarter": "1/4", "half": "1/2", "three": "3/4", "quarters": "3/4", "shut": "closed"}


class UnknownFittingError(KeyError):
    """A fitting by a name that is not known; `nearest` holds the names that look like it."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name
        self.nearest = nearest_fittings(name)


def fitting(name: str) -> Fitting:
    """Return a fitting by its name, whatever its capitals, hyphens and the order of its words.

    Raises
    ------
    UnknownFittingError
        If no fitting has these words.

    Examples
    --------
    >>> fitting("90 Elbow").coefficient, fitting("gate-valve").can_shut
    (0.75, True)
    """
    wanted = _words(name)
    for known in _ALL:
        if _words(known.name) == wanted:
            return known
    raise UnknownFittingError(name)


def nearest_fittings(name: str) -> tuple[str, ...]:
    """Return the known names that look most like one, at most three, the nearest first.

    Examples
    --------
    >>> nearest_fittings("gate valv")[0]
    'gate valve'
    """
    close = difflib.get_close_matches(name.lower(), list(FITTINGS), n=3, cutoff=0.4)
    sharing = [known for known in FITTINGS if _words(known) & _words(name)]
    return tuple(dict.fromkeys([*close, *sharing]))[:3]


def loss_coefficient(counts: Mapping[str, int]) -> float:
    """Return the sum of the coefficients of several fittings [1].

    Parameters
    ----------
    counts
        How many of each, by name.

    Raises
    ------
    UnknownFittingError
        If a name is not known.

    Examples
    --------
    >>> round(loss_coefficient({"gate valve": 1, "elbow 90": 3}), 2)
    2.4
    """
    return sum(count * fitting(name).coefficient for name, count in counts.items())


def _words(name: str) -> frozenset[str]:
    plain = name.lower().replace("-", " ").replace("_", " ").replace("degrees", "")
    return frozenset(_SAME_WORD.get(word, word) for word in plain.replace("deg", "").split())
