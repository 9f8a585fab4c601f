"""Stations along a line drawn in the local plane, and the stretch of it that a pipe takes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

SAME_SPOT_M = 1e-3
"""Two points of a line nearer than this are one station [m]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """A line cut into stations.

    Parameters
    ----------
    points_m
        Position of each station, shape (n, 2) [m].
    station_m
        Level distance from its beginning, shape (n,) [m].
    corner
        Whether the station is a bend or an end, shape (n,).
    """

    points_m: FloatArray
    station_m: FloatArray
    corner: BoolArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Foot:
    """The spot of a line that is nearest to a point: its station, the way there, itself."""

    station_m: float
    gap_m: float
    point_m: FloatArray


def cut_line(corners_m: ArrayLike, *, step_m: float | None) -> Line:
    """Return a line with a station at every corner and, between, at most every `step_m`.

    Parameters
    ----------
    corners_m
        Corners, shape (k, 2), k at least 2 [m].
    step_m
        The most between two stations; None for the corners alone [m].

    Notes
    -----
    Each leg is cut into equal parts reckoned from the same one of its ends whichever way it is
    walked, so that the stations of a line and of its reverse are the same points to the last bit,
    and so are those of a leg that two lines share.

    Examples
    --------
    >>> cut_line([[0.0, 0.0], [0.0, 5.0]], step_m=2.0).station_m
    array([0.        , 1.66666667, 3.33333333, 5.        ])
    """
    corners = _distinct(np.asarray(corners_m, dtype=np.float64))
    start, end = corners[:-1], corners[1:]
    lengths = np.hypot(*(end - start).T)
    parts = np.ones(len(lengths), dtype=np.intp)
    if step_m is not None:
        parts = np.maximum(np.ceil(lengths / step_m - 1e-9), 1).astype(np.intp)
    first = np.concatenate([[0], np.cumsum(parts)])
    leg = np.repeat(np.arange(len(parts)), parts)
    step = np.arange(first[-1]) - first[leg]
    swapped = _after(start, end)
    low, high = np.where(swapped[:, None], end, start), np.where(swapped[:, None], start, end)
    part = np.where(swapped[leg], parts[leg] - step, step) / parts[leg]
    points = np.empty((first[-1] + 1, 2))
    points[:-1] = low[leg] + (high - low)[leg] * part[:, None]
    points[first] = corners
    corner = np.zeros(len(points), dtype=np.bool_)
    corner[first] = True
    return Line(points_m=points, station_m=distances(points), corner=corner)


def distances(points_m: ArrayLike) -> FloatArray:
    """Return the level distance of each point from the first, along them, shape (n,) [m]."""
    steps = np.diff(np.asarray(points_m, dtype=np.float64), axis=0)
    return np.concatenate([[0.0], np.cumsum(np.hypot(steps[:, 0], steps[:, 1]))])


def nearest_spot(line: Line, point_m: ArrayLike) -> Foot:
    """Return the spot of a line nearest to a point; of several the first."""
    point = np.asarray(point_m, dtype=np.float64)
    start, end = line.points_m[:-1], line.points_m[1:]
    swapped = _after(start, end)
    low, high = np.where(swapped[:, None], end, start), np.where(swapped[:, None], start, end)
    way = high - low
    part = np.clip(((point - low) * way).sum(axis=1) / np.square(way).sum(axis=1), 0.0, 1.0)
    feet = low + way * part[:, None]
    gaps = np.hypot(*(feet - point).T)
    best = int(np.argmin(gaps))
    foot = feet[best]
    from_start = float(np.hypot(*(foot - start[best])))
    return Foot(
        station_m=float(line.station_m[best]) + from_start,
        gap_m=float(gaps[best]),
        point_m=foot,
    )


def comes_first(first_m: ArrayLike, second_m: ArrayLike) -> bool:
    """Say which of two ends a line is reckoned from: the western, else the southern one."""
    return not bool(_after(np.atleast_2d(first_m), np.atleast_2d(second_m))[0])


def _after(first: FloatArray, second: FloatArray) -> BoolArray:
    first, second = np.asarray(first), np.asarray(second)
    return np.asarray(
        (first[:, 0] > second[:, 0])
        | ((first[:, 0] == second[:, 0]) & (first[:, 1] > second[:, 1]))
    )


def _distinct(corners: FloatArray) -> FloatArray:
    """Drop corners that stand where the one before stands; the last one always stays."""
    keep = np.ones(len(corners), dtype=np.bool_)
    last = 0
    for index in range(1, len(corners)):
        if np.hypot(*(corners[index] - corners[last])) < SAME_SPOT_M:
            keep[index] = False
        else:
            last = index
    if not keep[-1] and last:
        keep[[last, -1]] = False, True
    return corners[keep]
