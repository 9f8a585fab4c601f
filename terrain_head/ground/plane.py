"""The local plane in which everything lies: metres east and north of the site's middle."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalPlane:
    """A transverse Mercator plane on WGS 84 centred on the site, scale 1 at its middle.

    A length in it is the ellipsoid's to better than a part in a million within 9 km of the
    middle's meridian. Files carry coordinates in and out of it.

    Parameters
    ----------
    latitude, longitude
        Of its middle [deg].
    """

    latitude: float
    longitude: float
