"""Routes that were found, written as a map that a study can use."""

from __future__ import annotations

import json
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from terrain_head.files.planes import PlaneTransform
from terrain_head.ground.plane import LocalPlane

FloatArray = NDArray[np.float64]

_DECIMALS = 8


def routes_geojson(
    routes: Mapping[str, FloatArray],
    *,
    plane: LocalPlane,
    kept: Mapping[str, FloatArray] | None = None,
) -> str:
    """Return named routes as GeoJSON, longitude and latitude on WGS 84.

    Parameters
    ----------
    routes
        East and north of the corners of each route, shape (k, 2), by its name [m].
    plane
        The local plane of the corners.
    kept
        Other routes that stay in the file: longitude and latitude of their corners, shape (k, 2),
        by their names [deg].

    Notes
    -----
    Eight decimals of a degree are about a millimetre.

    References
    ----------
    Butler, H., Daly, M., Doyle, A., Gillies, S., Hagen, S. and Schaub, T. (2016). RFC 7946, The
    GeoJSON Format, Internet Engineering Task Force, sections 3 and 4 (from memory).

    Examples
    --------
    >>> here = LocalPlane(latitude=44.0, longitude=-72.5)
    >>> text = routes_geojson({"hill": np.array([[0.0, 0.0], [80.2062, 0.0]])}, plane=here)
    >>> json.loads(text)["features"][0]["geometry"]["coordinates"]
    [[-72.5, 44.0], [-72.499, 44.0]]
    """
    transform = PlaneTransform(plane)
    lines = {name: corners for name, corners in (kept or {}).items() if name not in routes}
    for name, corners in routes.items():
        lines[name] = np.column_stack(transform.to_lonlat(corners[:, 0], corners[:, 1]))
    features = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": {
                "type": "LineString",
                "coordinates": [[round(float(v), _DECIMALS) for v in spot] for spot in corners],
            },
        }
        for name, corners in lines.items()
    ]
    document = {"type": "FeatureCollection", "features": features}
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
