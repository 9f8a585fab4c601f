"""What a pipe may be where its size is left to be chosen, and what pipe, stand and trench cost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from terrain_head.scheme.parts import PipeSpec, Taken


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeOption:
    """A pipe that may be chosen.

    Parameters
    ----------
    spec, size
        The pipe, and its size as said: ``32 mm``.
    outside_m
        Its outside diameter [m].
    price
        For each metre, in the money of the study; None where none is stated.
    taken
        Values taken for want of the person's own, if it is chosen.
    """

    spec: PipeSpec
    size: str
    outside_m: float
    price: float | None = None
    taken: tuple[Taken, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeChoice:
    """What a pipe may be where its size is left to be chosen.

    Parameters
    ----------
    families
        What was asked for, as it is said: ``PE100 ISO 4427 SDR 11``.
    options
        Pipes of those families, the narrowest first; at least one.
    """

    families: tuple[str, ...]
    options: tuple[SizeOption, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """What is paid, in any money.

    Parameters
    ----------
    pipe
        For each metre of a pipe, by the label of its spec.
    stand
        For each metre of a stand's height, None where not stated.
    trench
        For each metre of trench, None where not stated.
    """

    pipe: Mapping[str, float] = field(default_factory=dict)
    stand: float | None = None
    trench: float | None = None
