"""The same scheme with other values: what draws, sweeps and searches put into the solver."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.ground.ground import Ground
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.layout import Layout, Values

FloatArray = NDArray[np.float64]


def with_values(
    layout: Layout,
    *,
    elevation_m: ArrayLike | None = None,
    efficiency: ArrayLike | None = None,
    source_flow_m3_s: ArrayLike | None = None,
    inside_m: Mapping[str, ArrayLike] | None = None,
    roughness_m: Mapping[str, ArrayLike] | None = None,
    stand_m: Mapping[str, ArrayLike] | None = None,
    efficiency_departure: ArrayLike | None = None,
    moved_m: Mapping[str, ArrayLike] | None = None,
) -> Layout:
    """Return the scheme laid out anew with other values; nothing is read again.

    Parameters
    ----------
    layout
        The scheme; values changed before stay changed.
    elevation_m
        Elevation of every entry of the ground, shape (n,) or (draws, n) [m].
    efficiency
        Of the ram, () or (draws,) [1].
    source_flow_m3_s
        Of the source, () or (draws,) [m3/s].
    inside_m, roughness_m
        Of pipes, by the name of the pipe, () or (draws,) [m].
    stand_m
        Of tanks, by the name of the tank, () or (draws,) [m].
    efficiency_departure
        Where in its spread the published efficiency stands, () or (draws,), as in
        `terrain_head.scheme.layout.Values` [1].
    moved_m
        Added to stated heights and lengths, by their keys, () or (draws,) [m].

    Returns
    -------
    Layout
        The same parts; lengths along the ground stay those of the ground as surveyed.
    """
    before = layout.values
    values = Values(
        efficiency=before.efficiency if efficiency is None else _array(efficiency),
        source_flow_m3_s=(
            before.source_flow_m3_s if source_flow_m3_s is None else _array(source_flow_m3_s)
        ),
        inside_m={**before.inside_m, **_arrays(inside_m)},
        roughness_m={**before.roughness_m, **_arrays(roughness_m)},
        stand_m={**before.stand_m, **_arrays(stand_m)},
        efficiency_departure=(
            before.efficiency_departure
            if efficiency_departure is None
            else _array(efficiency_departure)
        ),
        moved_m={**before.moved_m, **_arrays(moved_m)},
    )
    ground = layout.ground
    if elevation_m is not None:
        ground = on_elevations(ground, _array(elevation_m))
    return lay_out(layout.parts, ground=ground, values=values)


def on_elevations(ground: Ground, elevation_m: FloatArray) -> Ground:
    """Return the ground with other elevations.

    Parameters
    ----------
    ground
        The ground.
    elevation_m
        Elevation of every entry, shape (n,) or (draws, n) [m].

    Returns
    -------
    Ground
        Its profiles take their elevations from the same entries.
    """
    return replace(
        ground,
        elevation_m=elevation_m,
        profiles={
            name: replace(profile, elevation_m=elevation_m[..., profile.index])
            for name, profile in ground.profiles.items()
        },
    )


def _array(value: ArrayLike) -> FloatArray:
    return np.asarray(value, np.float64)


def _arrays(values: Mapping[str, ArrayLike] | None) -> dict[str, FloatArray]:
    return {name: _array(value) for name, value in (values or {}).items()}
