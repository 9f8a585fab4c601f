"""The ground as draws see it: the places of a scheme and some stations of each pipe."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.streams import stream, whitened
from terrain_head.ground.ground import Ground, GroundProfile, Origin
from terrain_head.scheme.courses import places_of
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.solution import Solution

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

MOST_STATIONS = 60
"""The most stations of one pipe that are drawn; what lies between follows them; ours."""
MOST_IN_ALL = 400
"""The most stations of all pipes together, as long as each keeps `MOST_FOR_SHARES`; ours."""
MOST_FOR_SHARES = 12
"""The most that are drawn to share the doubt out; ours."""
_CLOSE = 1e-10


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThinnedGround:
    """A ground that holds only what draws need.

    Parameters
    ----------
    ground
        The same profiles on fewer stations.
    entries
        Which entries of the whole ground were kept.
    streams
        For each entry the name of its stream of draws, and its column there.
    """

    ground: Ground
    entries: IndexArray
    streams: tuple[tuple[str, int], ...]


def thinned(
    layout: Layout,
    solution: Solution,
    *,
    most: int = MOST_STATIONS,
    places: Sequence[str] = (),
) -> ThinnedGround:
    """Return the ground of a choice with only the places and stations that draws need.

    Parameters
    ----------
    layout, solution
        One choice, solved.
    most
        The most stations of one pipe.
    places
        Names of places that come first, in this order, where the ground has them: choices that
        name the same ones draw them alike.

    Returns
    -------
    ThinnedGround
        Of each pipe are kept its ends, the highest and the lowest spot, the spot of least
        clearance, corners and rod points, and stations evenly between; the same ones whichever way
        round it was written.
    """
    ground = layout.ground
    each = max(MOST_IN_ALL // max(len(layout.pipes), 1), MOST_FOR_SHARES)
    entries = [ground.names.index(name) for name in places if name in ground.names]
    entries += [ground.place(name) for name in places_of(layout.parts)]
    streams = {entry: (f"place {ground.names[entry]}", 0) for entry in entries}
    profiles: dict[str, GroundProfile] = {}
    for pipe in sorted(layout.pipes.values(), key=lambda one: one.role != "delivery"):
        along = pipe.profile
        result = solution.pipes.get(pipe.name)
        least_m = None if result is None else result.min_clearance_station_m
        stations = _stations(
            along,
            most=min(most, each),
            clearance_m=None if least_m is None else float(np.median(least_m)),
        )
        name = f"pipe {pipe.name} along {along.route}"
        for column, entry in enumerate(along.index[stations].tolist()):
            own = entry < len(ground.names)
            streams.setdefault(
                entry, (f"place {ground.names[entry]}", 0) if own else (name, column)
            )
        written = ground.profiles[pipe.name]
        if not np.array_equal(along.index, written.index):
            stations = len(along.index) - 1 - stations[::-1]
        profiles[pipe.name] = _part(written, stations)
    # The names of a ground are its first entries.
    entries = sorted(streams, key=lambda entry: entry >= len(ground.names))
    chosen = np.array(entries, np.intp)
    where = np.full(ground.elevation_m.shape[-1], -1, np.intp)
    where[chosen] = np.arange(len(chosen))
    thin = replace(
        ground,
        names=tuple(ground.names[entry] for entry in entries if entry < len(ground.names)),
        east_m=ground.east_m[chosen],
        north_m=ground.north_m[chosen],
        elevation_m=ground.elevation_m[..., chosen],
        origin=ground.origin[chosen],
        covariance_of=lambda index: ground.covariance_of([entries[i] for i in index]),
        profiles={
            name: replace(profile, index=where[profile.index]) for name, profile in profiles.items()
        },
    )
    return ThinnedGround(
        ground=thin, entries=chosen, streams=tuple(streams[entry] for entry in entries)
    )


def _stations(profile: GroundProfile, *, most: int, clearance_m: float | None) -> IndexArray:
    """Return which stations are kept, rising."""
    last = len(profile.index) - 1
    height = profile.elevation_m
    first = [0, last, int(np.argmax(height)), int(np.argmin(height))]
    if clearance_m is not None:
        first.append(int(np.argmin(np.abs(profile.station_m - clearance_m))))
    corners = np.flatnonzero(profile.corner)
    if len(corners) > most // 2:
        corners = corners[np.linspace(0, len(corners) - 1, most // 2).astype(np.intp)]
    keep = list(dict.fromkeys([*first, *corners.tolist()]))[:most]
    room = most - len(keep)
    if room > 0:
        keep += np.linspace(0, last, min(room, last + 1)).astype(np.intp).tolist()
    return np.unique(np.array(keep, np.intp))


def _part(profile: GroundProfile, stations: IndexArray) -> GroundProfile:
    return replace(
        profile,
        index=profile.index[stations],
        station_m=profile.station_m[stations],
        east_m=profile.east_m[stations],
        north_m=profile.north_m[stations],
        elevation_m=profile.elevation_m[stations],
        std_m=profile.std_m[stations],
        origin=profile.origin[stations],
        along_m=profile.along_m[stations],
        corner=profile.corner[stations],
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnHeights:
    """Drawn departures of the entries of a thinned ground from their elevations.

    Parameters
    ----------
    by_cause
        ``heights`` (leveled and stated) and ``raster`` (what the raster adds to them), each in two
        independent streams: shape (2, draws, n) [m].
    unknown
        Entries of which nobody knows how wrong they are, shape (n,).
    """

    by_cause: Mapping[str, FloatArray]
    unknown: NDArray[np.bool_]


def draw_heights(thin: ThinnedGround, *, draws: int, leveled_factor: float = 1.0) -> DrawnHeights:
    """Return drawn departures of every entry of a thinned ground, jointly.

    Parameters
    ----------
    thin
        From `thinned`.
    draws
        How many draws.
    leveled_factor
        What the departures of leveled and stated entries are multiplied by [1].

    Notes
    -----
    The joint covariance of all entries is factored in their order, leveled and stated places
    first: what an entry adds to those before it is drawn from a stream of its own name. So a
    place is drawn alike by every choice that has the same places, and what leveled entries explain
    of a raster height counts as ``heights``. Entries of unknown doubt follow their neighbours
    along a pipe.
    """
    ground = thin.ground
    count = len(ground.elevation_m)
    joint = ground.covariance_of(range(count))
    unknown = np.isnan(joint.own)
    variance = np.where(unknown, 0.0, np.square(joint.factor).sum(axis=1) + joint.own)
    read = (ground.origin == Origin.RASTER) | (ground.origin == Origin.FUSED)
    by_kind = np.argsort(read[: len(ground.names)], kind="stable")
    order = np.concatenate([by_kind, np.arange(len(ground.names), count)])
    moving = order[variance[order] > 0]
    weights = np.zeros((count, len(moving)))
    if len(moving):
        part = joint.factor[moving]
        matrix = part @ part.T + np.diag(joint.own[moving])
        matrix[np.diag_indices_from(matrix)] *= 1 + _CLOSE
        weights[moving] = np.linalg.cholesky(matrix)
    weights = _followed(ground, unknown) @ weights
    streams = [thin.streams[entry] for entry in moving]
    normals = [whitened(_normals(streams, again=again, draws=draws)) for again in ("", " again")]
    by_cause = {}
    kinds = (("heights", ~read[moving], leveled_factor), ("raster", read[moving], 1.0))
    for cause, columns, factor in kinds:
        if columns.any():
            by_cause[cause] = factor * np.stack(
                [normal[:, columns] @ weights[:, columns].T for normal in normals]
            )
    return DrawnHeights(by_cause=by_cause, unknown=unknown)


def _normals(names: Sequence[tuple[str, int]], *, again: str, draws: int) -> FloatArray:
    columns: dict[str, int] = {}
    for name, _column in names:
        columns[name] = MOST_STATIONS if name.startswith("pipe ") else 1
    drawn = {n: stream(f"{n}{again}", draws=draws, columns=k) for n, k in columns.items()}
    taken = [drawn[name][:, column] for name, column in names]
    return np.column_stack(taken) if taken else np.zeros((draws, 0))


def _followed(ground: Ground, unknown: NDArray[np.bool_]) -> FloatArray:
    """Return how much each entry follows each other one, shape (n, n) [1]."""
    follow = np.diag((~unknown).astype(np.float64))
    waiting = set(np.flatnonzero(unknown).tolist())
    for profile in ground.profiles.values():
        here = np.flatnonzero(~unknown[profile.index])
        if not len(here):
            continue
        at = profile.station_m[here]
        for position, entry in enumerate(profile.index):
            if int(entry) in waiting and entry >= len(ground.names):
                waiting.discard(int(entry))
                station = profile.station_m[position]
                for k, other in enumerate(here):
                    hat = np.zeros(len(here))
                    hat[k] = 1.0
                    follow[entry, profile.index[other]] += np.interp(station, at, hat)
    return follow
