"""Unbroken chains of set-ups: each begins on the point where the one before it ended."""

from __future__ import annotations

from dataclasses import dataclass

from terrain_head.leveling.book import LevelBook, Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A run of set-ups joined by turning points.

    Parameters
    ----------
    setups
        Positions of the set-ups in the book's list, in order.
    trunk
        The backsight's point of the first set-up, then the foresight's point of each; a last
        set-up without a foresight adds none.
    rise_m
        Rise from the first point to each point of the trunk, as read, shape as `trunk` [m].
    """

    setups: tuple[int, ...]
    trunk: tuple[str, ...]
    rise_m: tuple[float, ...]


def sight_m(book: LevelBook, reading: Reading) -> float:
    """Return how far the rod's foot is below the line of sight (or its datum), signed [m]."""
    return reading.reading_m if book.rod == "normal" else -reading.reading_m


def chains_of(book: LevelBook) -> tuple[Chain, ...]:
    """Return the unbroken chains of a book, in its order.

    A chain ends where a set-up has no foresight, where the next one begins on another point, and
    at the end of a file.
    """
    chains: list[Chain] = []
    setups: list[int] = []
    trunk: list[str] = []
    rises: list[float] = []
    last: Reading | None = None

    def finish() -> None:
        if setups:
            chains.append(Chain(setups=tuple(setups), trunk=tuple(trunk), rise_m=tuple(rises)))
        setups.clear()
        trunk.clear()
        rises.clear()

    for number, setup in enumerate(book.setups):
        if setup.back is None:
            continue
        back = book.readings[setup.back]
        if last is None or back.point != last.point or back.file != last.file:
            finish()
            trunk.append(back.point)
            rises.append(0.0)
        setups.append(number)
        last = None if setup.ahead is None else book.readings[setup.ahead]
        if last is not None:
            trunk.append(last.point)
            rises.append(rises[-1] + sight_m(book, back) - sight_m(book, last))
    finish()
    return tuple(chains)
