"""The ground as draws see it: the places of a scheme and some stations of each pipe."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from terrain_head.assessment.streams import plain_stream, stream, whitening
from terrain_head.ground.ground import Ground, GroundProfile, Origin
from terrain_head.scheme.courses import places_of
from terrain_head.scheme.layout import Layout
from terrain_head.scheme.solution import Solution

FloatArray = NDArray[np.float64]
IndexArray = NDArray[np.intp]

MOST_STATIONS = 20
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
        clearance, corners and rod points, the next lowest and next least clear spots, and stations
        evenly between; the same ones whichever way round it was written.
    """
    ground = layout.ground
    each = max(MOST_IN_ALL // max(len(layout.pipes), 1), MOST_FOR_SHARES)
    entries = [ground.names.index(name) for name in places if name in ground.names]
    entries += [ground.place(name) for name in places_of(layout.parts)]
    streams = {entry: (f"place {ground.names[entry]}", 0) for entry in entries}
    profiles: dict[str, GroundProfile] = {}
    for pipe in sorted(layout.pipes.values(), key=lambda one: one.role != "delivery"):
        along = pipe.profile
        # A chord hangs on its two ends alone.
        chord = pipe.role == "drive" and layout.ram is not None and layout.ram.laid == "straight"
        stations = _stations(
            along,
            most=2 if chord else min(most, each),
            clearance_m=_clearance(solution, pipe.name, along),
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
        marked=None
        if (marked := ground.marked) is None
        else lambda index: marked([entries[i] for i in index]),
        profiles={
            name: replace(profile, index=where[profile.index]) for name, profile in profiles.items()
        },
    )
    return ThinnedGround(
        ground=thin, entries=chosen, streams=tuple(streams[entry] for entry in entries)
    )


def _clearance(solution: Solution, pipe: str, along: GroundProfile) -> FloatArray | None:
    """Return how far a pipe lies under its hydraulic grade line at stations, shape (n,) [m]."""
    result = solution.pipes.get(pipe)
    if result is None or result.running is None:
        return None
    solved = solution.layout.pipes[pipe]
    clearance_m = result.running.grade_m - solved.pipe_m
    return np.interp(along.station_m, solved.profile.station_m, clearance_m)


def _stations(profile: GroundProfile, *, most: int, clearance_m: FloatArray | None) -> IndexArray:
    """Return which stations are kept, rising."""
    last = len(profile.index) - 1
    height = profile.elevation_m
    telling = [height, -height, *([] if clearance_m is None else [clearance_m])]
    ranked = np.column_stack([np.argsort(one, kind="stable") for one in telling])
    first = [0, last, *ranked[0].tolist()]
    corners = np.flatnonzero(profile.corner)
    if len(corners) > most // 2:
        corners = corners[np.linspace(0, len(corners) - 1, most // 2).astype(np.intp)]
    keep = list(dict.fromkeys([*first, *corners.tolist()]))[:most]
    for station in ranked[1 : most // 6].ravel().tolist():
        if station not in keep and len(keep) < most:
            keep.append(station)
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
        ``heights`` (leveled and stated), ``raster`` (what its errors add to them) and ``marks``
        (what their being misplaced adds), shape (draws, n) each [m].
    again
        The same for the first draws, from other streams [m].
    unknown
        Entries of which nobody knows how wrong they are, shape (n,).
    """

    by_cause: Mapping[str, FloatArray]
    again: Mapping[str, FloatArray]
    unknown: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Weights:
    """How the entries follow independent normal draws.

    Parameters
    ----------
    streams
        Of each draw the name of its stream and its column there.
    cause
        Of each draw the cause, shape (columns,).
    follow
        Shape (n, columns) [m].
    """

    streams: tuple[tuple[str, int], ...]
    cause: NDArray[np.str_]
    follow: FloatArray

    def drawn(self, *, draws: int, word: str = "") -> dict[str, FloatArray]:
        """Return what each cause adds, shape (draws, n) each [m]."""
        normals = _normals(self.streams, word=word, draws=draws)
        means, turn = whitening(normals)
        normals -= means
        found = {}
        for name in ("heights", "raster", "marks"):
            columns = np.flatnonzero(self.cause == name)
            if len(columns):
                # A column is set right against those before it alone.
                before = int(columns[-1]) + 1
                weights = turn[:before, columns] @ self.follow[:, columns].T
                found[name] = normals[:, :before] @ weights
        return found


def draw_heights(
    thin: ThinnedGround, *, draws: int, again: int = 0, leveled_factor: float = 1.0
) -> DrawnHeights:
    """Return drawn departures of every entry of a thinned ground, jointly.

    Parameters
    ----------
    thin
        From `thinned`.
    draws
        How many draws.
    again
        How many of them are drawn anew from other streams.
    leveled_factor
        What the departures of leveled and stated entries are multiplied by [1].

    Notes
    -----
    The joint covariance of all entries, were every mark right, is factored in their order, leveled
    and stated places first: what an entry adds to those before it is drawn from a stream of its own
    name. So a place is drawn alike by every choice that has the same places, and what leveled
    entries explain of a raster height counts as ``heights``. How far each mark is off has a stream
    of its own too, after the places and before the stations. Entries of unknown doubt follow their
    neighbours along a pipe.
    """
    weights, unknown = _weights(thin, leveled_factor=leveled_factor)
    return DrawnHeights(
        by_cause=weights.drawn(draws=draws),
        again=weights.drawn(draws=again, word=" again"),
        unknown=unknown,
    )


def _weights(thin: ThinnedGround, *, leveled_factor: float) -> tuple[_Weights, NDArray[np.bool_]]:
    """Return how the entries follow their draws, and which have an unknown doubt."""
    ground = thin.ground
    count, named = len(ground.elevation_m), len(ground.names)
    apart = None if ground.marked is None else ground.marked(range(count))
    joint = ground.covariance_of(range(count)) if apart is None else apart.unmoved
    unknown = np.isnan(joint.own)
    variance = np.where(unknown, 0.0, np.square(joint.factor).sum(axis=1) + joint.own)
    read = (ground.origin == Origin.RASTER) | (ground.origin == Origin.FUSED)
    by_kind = np.argsort(read[:named], kind="stable")
    order = np.concatenate([by_kind, np.arange(named, count)])
    moving = order[variance[order] > 0]
    follow = np.zeros((count, len(moving)))
    if len(moving):
        part = joint.factor[moving]
        matrix = part @ part.T + np.diag(joint.own[moving])
        matrix[np.diag_indices_from(matrix)] *= 1 + _CLOSE
        follow[moving] = np.linalg.cholesky(matrix)
    follow[:, ~read[moving]] *= leveled_factor
    streams = [thin.streams[entry] for entry in moving]
    cause = np.where(read[moving], "raster", "heights")
    if apart is not None:
        places = int(np.sum(moving < named))
        streams[places:places] = [(f"mark {name}", 0) for name in apart.names]
        cause = np.insert(cause, places, np.full(len(apart.names), "marks"))
        follow = np.concatenate([follow[:, :places], apart.by_mark_m, follow[:, places:]], axis=1)
    follow = _followed(ground, unknown) @ follow
    return _Weights(streams=tuple(streams), cause=cause, follow=follow), unknown


def _normals(names: Sequence[tuple[str, int]], *, word: str, draws: int) -> FloatArray:
    """Return the draws of each stream and column asked for, shape (draws, columns) [1]."""
    normals = np.empty((len(names), draws))
    along: dict[str, list[tuple[int, int]]] = {}
    for number, (name, column) in enumerate(names):
        if name.startswith("pipe "):
            along.setdefault(name, []).append((number, column))
        else:
            normals[number] = stream(f"{name}{word}", draws=draws)[:, 0]
    for name, columns in along.items():
        numbers, own = (list(one) for one in zip(*columns, strict=True))
        drawn = plain_stream(f"{name}{word}", draws=draws, columns=max(own) + 1)
        normals[numbers] = drawn.T[own]
    return normals.T


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
