"""The book reduced as by hand: carried through as read, then the misclosure shared out by rule."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from terrain_head.leveling.allowable import OWN_RULE, likely_most
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.chains import Chain, chains_of, sight_m
from terrain_head.leveling.elevations import Misclosure

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A level book carried through by hand.

    Parameters
    ----------
    as_read_m, by_setups_m
        Elevation of each reading's point at that reading, as read and after sharing out, nan where
        the chain is tied to nothing, one per reading [m].
    level_m
        Elevation of the line of sight of each set-up as read, nan likewise, one per set-up [m].
    of_point
        Both elevations of each point at its first sight [m].
    chains
        The unbroken chains, in the order of the book.
    misclosures
        One for each run that came to a held elevation.
    """

    as_read_m: FloatArray
    by_setups_m: FloatArray
    level_m: FloatArray
    of_point: Mapping[str, tuple[float, float]]
    chains: tuple[Chain, ...]
    misclosures: tuple[Misclosure, ...]


def carry(
    book: LevelBook,
    *,
    known: Mapping[str, tuple[float, float]],
    variance_m2: FloatArray,
    shared_m: FloatArray,
) -> Carried:
    """Carry elevations through a level book as a hand does.

    Parameters
    ----------
    book
        The book.
    known
        Elevation and its standard error (0 where it is held fixed) of each known point [m].
    variance_m2
        Variance of each reading before the survey was seen [m2].
    shared_m
        What one standard error of each error that all sights share adds to each reading, shape
        (readings, shared) [m].

    Returns
    -------
    Carried
        Elevations as read and shared out, and what the runs were out by.

    Notes
    -----
    A chain is carried from its first point that is known, or that an earlier chain gave. Between
    two such points the misclosure is shared in proportion to the number of set-ups, or to the
    distance where every sight of the run has one; an intermediate sight takes the correction of
    its own set-up. Misclosure is computed minus known.
    """
    work = _Work(book=book, known=known, variance_m2=variance_m2, shared_m=shared_m)
    chains = chains_of(book)
    _carry_all(work, chains)
    return Carried(
        as_read_m=work.as_read,
        by_setups_m=work.shared,
        level_m=work.level,
        of_point=work.held,
        chains=chains,
        misclosures=tuple(work.misclosures),
    )


def _carry_all(work: _Work, chains: Sequence[Chain]) -> None:
    """Carry the first chain that is tied to anything held, and so on until none is."""
    read = [
        {
            work.book.readings[index].point
            for number in chain.setups
            for index in work.book.setups[number].readings
        }
        for chain in chains
    ]
    through: dict[str, list[int]] = {}
    for place, points in enumerate(read):
        for name in points:
            through.setdefault(name, []).append(place)
    queued: set[int] = set()
    ready: list[int] = []

    def tie(names: Iterable[str]) -> None:
        for name in names:
            for place in through.pop(name, ()):
                if place not in queued:
                    queued.add(place)
                    heapq.heappush(ready, place)

    tie(work.held)
    while ready:
        place = heapq.heappop(ready)
        work.carry_chain(chains[place])
        tie(read[place])


@dataclass(slots=True, kw_only=True)
class _Work:
    """The sheet while it is being carried; `held` maps a point to (as read, shared out)."""

    book: LevelBook
    known: Mapping[str, tuple[float, float]]
    variance_m2: FloatArray
    shared_m: FloatArray
    own: list[float] = field(init=False)
    signed: list[list[float]] = field(init=False)
    as_read: FloatArray = field(init=False)
    shared: FloatArray = field(init=False)
    level: FloatArray = field(init=False)
    held: dict[str, tuple[float, float]] = field(init=False)
    misclosures: list[Misclosure] = field(default_factory=list)

    def __post_init__(self) -> None:
        sign = np.full((len(self.book.readings), 1), -1.0)
        sign[[setup.back for setup in self.book.setups if setup.back is not None]] = 1.0
        # Plain lists: a run adds up a handful of them.
        self.own = self.variance_m2.tolist()
        self.signed = (sign * self.shared_m).T.tolist()
        self.as_read = np.full(len(self.book.readings), np.nan)
        self.shared = np.full(len(self.book.readings), np.nan)
        self.level = np.full(len(self.book.setups), np.nan)
        self.held = {name: (value, value) for name, (value, _) in self.known.items()}

    def carry_chain(self, chain: Chain) -> None:
        """Carry one chain of which something is held."""
        ties = [place for place, name in enumerate(chain.trunk) if name in self.held]
        base_as_read, base_shared = self._start(chain, ties)
        corrections = self._corrections(chain, ties)
        found: dict[str, tuple[float, float]] = {}
        for step, number in enumerate(chain.setups):
            setup = self.book.setups[number]
            rise = chain.rise_m[step]
            for index in setup.readings:
                reading = self.book.readings[index]
                if index == setup.back:
                    own_rise, correction = rise, corrections[step]
                    self.level[number] = base_as_read + rise + sight_m(self.book, reading)
                else:
                    own_rise = rise + self._rise_from_back(number, index)
                    correction = corrections[min(step + 1, len(corrections) - 1)]
                self.as_read[index] = base_as_read + own_rise
                self.shared[index] = base_shared + own_rise + correction
                found.setdefault(
                    reading.point, (float(self.as_read[index]), float(self.shared[index]))
                )
        self._checks_between(chain)
        for name, pair in found.items():
            self.held.setdefault(name, pair)

    def _start(self, chain: Chain, ties: list[int]) -> tuple[float, float]:
        """Return the elevations of the chain's first point, as read and shared out [m]."""
        if ties:
            as_read, shared = self.held[chain.trunk[ties[0]]]
            rise = chain.rise_m[ties[0]]
            return as_read - rise, shared - rise
        for step, number in enumerate(chain.setups):
            for index in self.book.setups[number].readings:
                name = self.book.readings[index].point
                if name in self.held:
                    rise = chain.rise_m[step] + self._rise_from_back(number, index)
                    return self.held[name][0] - rise, self.held[name][1] - rise
        raise AssertionError("a chain is carried once something of it is held")

    def _rise_from_back(self, number: int, index: int) -> float:
        back = self.book.setups[number].back
        if back is None:
            raise AssertionError("a set-up in a chain has a backsight")
        readings = self.book.readings
        return sight_m(self.book, readings[back]) - sight_m(self.book, readings[index])

    def _corrections(self, chain: Chain, ties: list[int]) -> list[float]:
        """Return the correction of each point of the trunk, noting what each run was out by."""
        corrections = [0.0] * len(chain.trunk)
        total = 0.0
        for first, last in pairwise(ties):
            start, end = chain.trunk[first], chain.trunk[last]
            rise = chain.rise_m[last] - chain.rise_m[first]
            out = self.held[start][1] + rise - self.held[end][1]
            lengths = self._lengths(chain, first, last)
            self._note(chain, first, last, out=out, lengths=lengths)
            steps = lengths if lengths is not None else [1.0] * (last - first)
            shares = np.cumsum(steps) / sum(steps)
            for place in range(first + 1, last + 1):
                corrections[place] = total - out * float(shares[place - first - 1])
            total -= out
        for place in range((ties[-1] if ties else 0) + 1, len(corrections)):
            corrections[place] = total
        return corrections

    def _lengths(self, chain: Chain, first: int, last: int) -> list[float] | None:
        """Return the length of each set-up of a run, None unless all sights have one [m]."""
        lengths = []
        for number in chain.setups[first:last]:
            total = 0.0
            for index in self._pair(number):
                distance = self.book.readings[index].distance_m
                if distance is None:
                    return None
                total += distance
            lengths.append(total)
        return lengths

    def _pair(self, number: int) -> tuple[int, ...]:
        setup = self.book.setups[number]
        return tuple(index for index in (setup.back, setup.ahead) if index is not None)

    def _note(
        self, chain: Chain, first: int, last: int, *, out: float, lengths: list[float] | None
    ) -> None:
        read = [index for number in chain.setups[first:last] for index in self._pair(number)]
        self._misclosure(
            chain.trunk[first],
            chain.trunk[last],
            out=out,
            read=read,
            setups=last - first,
            length_m=None if lengths is None else sum(lengths),
        )

    def _checks_between(self, chain: Chain) -> None:
        """Note known points met by an intermediate sight: a check, but nothing is shared out."""
        for step, number in enumerate(chain.setups):
            setup = self.book.setups[number]
            for index in setup.readings:
                name = self.book.readings[index].point
                own = index not in (setup.back, setup.ahead)
                if not own or name not in self.held or setup.back is None:
                    continue
                start = next(
                    (place for place in range(step, -1, -1) if chain.trunk[place] in self.held),
                    None,
                )
                if start is None:
                    continue
                rise = (
                    chain.rise_m[step] - chain.rise_m[start] + self._rise_from_back(number, index)
                )
                out = self.held[chain.trunk[start]][1] + rise - self.held[name][1]
                read = [i for past in chain.setups[start:step] for i in self._pair(past)]
                self._misclosure(
                    chain.trunk[start],
                    name,
                    out=out,
                    read=[*read, setup.back, index],
                    setups=step - start + 1,
                    length_m=None,
                )

    def _misclosure(
        self,
        start: str,
        end: str,
        *,
        out: float,
        read: list[int],
        setups: int,
        length_m: float | None,
    ) -> None:
        variance = sum(self.own[index] for index in read)
        for shared in self.signed:
            variance += sum(shared[index] for index in read) ** 2
        if start != end:
            variance += sum(self.known.get(name, (0.0, 0.0))[1] ** 2 for name in (start, end))
        allowable = likely_most(variance)
        self.misclosures.append(
            Misclosure(
                start=start,
                end=end,
                computed_minus_known_m=out,
                allowable_m=allowable,
                setups=setups,
                length_m=length_m,
                rule="nine cases in ten, from the reading error",
                citation=OWN_RULE,
                holds=abs(out) <= allowable + 1e-9,
            )
        )
