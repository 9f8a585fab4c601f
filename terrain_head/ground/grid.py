"""Heights from one or more rasters, read where the ground is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.base.citation import OURS, Citation

FloatArray = NDArray[np.float64]


class HeightSampler(Protocol):
    """Heights of a raster at points of the local plane."""

    def __call__(self, east_m: ArrayLike, north_m: ArrayLike) -> FloatArray:
        """Return bilinear heights; nan off the raster or where a needed cell is void [m]."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Why a raster gives no height at a spot.

    Parameters
    ----------
    reason
        ``edge``: the spot lies beyond the raster; ``void``: the raster holds nothing there;
        ``unread``: it holds a height that was not read when the site was opened.
    file
        Name of the raster that comes nearest.
    side
        At an edge: ``north``, ``east``, ``south`` or ``west``; else empty.
    spot
        The spot as words, ``47.12345 N, 11.23456 E``.
    """

    reason: Literal["edge", "void", "unread"]
    file: str
    side: str
    spot: str


class GapTeller(Protocol):
    """Says why there is no height at a point of the local plane."""

    def __call__(self, east_m: float, north_m: float) -> Gap:
        """Return the reason, the file and the spot."""
        ...


CELL_SHARE = 1 / 8
"""Share of the variance of a raster's height that is taken to be noise of its cells [1]."""
CELL_SHARE_TAKEN = OURS.at(
    "noise of the cells: an eighth of the variance, as where a difference of heights is said to be "
    "half as wrong as a height"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RasterError:
    """How wrong a raster's heights are.

    Parameters
    ----------
    std_m
        Standard error of one height; None where nothing is known [m].
    range_m
        Distance at which the correlation of the error has fallen to 5 %; None where not known,
        and then several are tried and the worst kept [m].
    citation
        Where the figure is published; None where the person stated it.
    cell_share
        Share of the variance that is noise of the cells, which no neighbour shares; the rest is
        correlated over `range_m` [1].
    cell_citation
        Where that share comes from.
    surface
        Whether the heights are of the tops of trees and roofs; False for bare earth, None where
        nobody said.
    """

    std_m: float | None
    range_m: float | None
    citation: Citation | None = None
    cell_share: float = CELL_SHARE
    cell_citation: Citation = CELL_SHARE_TAKEN
    surface: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ElevationGrid:
    """Heights of one or more rasters where they were read.

    Parameters
    ----------
    sample
        Heights at points of the local plane, as the rasters state them, in metres.
    cell_m
        Shorter side of the finest cell, on the ground [m].
    error
        How wrong the heights are.
    names
        Names of the raster files.
    extent_m
        West, south, east, north of what was read, in the local plane [m].
    gap
        Says why there is no height at a point; None where nobody can tell.
    """

    sample: HeightSampler
    cell_m: float
    error: RasterError
    names: tuple[str, ...]
    extent_m: tuple[float, float, float, float]
    gap: GapTeller | None = None
