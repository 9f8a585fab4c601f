"""Coordinate systems: from what files carry to the local plane, and back."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError, ProjError

from terrain_head.errors import InputError, Trouble
from terrain_head.ground.plane import LocalPlane

FloatArray = NDArray[np.float64]

_LON_LAT = "EPSG:4326"
_WIDEST_DEG = 0.5


def read_crs(text: str, *, file: str | None = None) -> CRS:
    """Return the coordinate system that a text names.

    Raises
    ------
    InputError
        If it names none.
    """
    try:
        return CRS.from_user_input(text)
    except CRSError as error:
        raise InputError(
            f"The coordinate system {text!r} is not known.",
            Trouble(
                what="A code of the EPSG list is wanted; the page where the data came from has it.",
                write='crs = "EPSG:32633"',
            ),
            file=file,
        ) from error


def flat(crs: CRS) -> CRS:
    """Return the level part of a coordinate system: what is left without its heights."""
    if crs.is_compound:
        return flat(crs.sub_crs_list[0])
    if crs.is_bound and crs.source_crs is not None:
        return flat(crs.source_crs)
    return crs.to_2d()


@lru_cache(maxsize=64)
def _between(source: str, target: str) -> Transformer:
    return Transformer.from_crs(CRS.from_wkt(source), CRS.from_wkt(target), always_xy=True)


def carry(source: CRS, target: CRS, *, x: ArrayLike, y: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Return coordinates carried from one system to another, x (east) first; nan where it fails.

    Between systems whose datums differ by less than the survey can tell (NAD 83 and WGS 84) this
    is the published null shift, so maps of the one and rasters of the other lie on each other.
    """
    x, y = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    transformer = _between(flat(source).to_wkt(), flat(target).to_wkt())
    try:
        new_x, new_y = transformer.transform(x, y)
    except ProjError:
        return np.full(x.shape, np.nan), np.full(y.shape, np.nan)
    new_x, new_y = np.asarray(new_x, dtype=np.float64), np.asarray(new_y, dtype=np.float64)
    lost = ~(np.isfinite(new_x) & np.isfinite(new_y))
    return np.where(lost, np.nan, new_x), np.where(lost, np.nan, new_y)


def to_lonlat(crs: CRS, x: ArrayLike, y: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Return longitude and latitude (WGS 84) of coordinates in any system [deg]."""
    return carry(crs, CRS.from_user_input(_LON_LAT), x=x, y=y)


def choose_plane(longitude: ArrayLike, latitude: ArrayLike) -> LocalPlane:
    """Return the local plane for a site: its middle is the middle of all positions.

    Parameters
    ----------
    longitude, latitude
        All positions of the site, shape (n,), n at least 1 [deg].

    Raises
    ------
    InputError
        If positions lie more than half a degree (some 50 km) apart, or off the globe.
    """
    lon = np.atleast_1d(np.asarray(longitude, dtype=np.float64))
    lat = np.atleast_1d(np.asarray(latitude, dtype=np.float64))
    beyond = ~((np.abs(lat) <= 90) & (np.abs(lon) <= 360))
    if np.any(beyond):
        spot = int(np.argmax(beyond))
        raise InputError(
            f"A position lies off the globe: latitude {lat[spot]:g}, longitude {lon[spot]:g}.",
            Trouble(
                what="Latitudes run from -90 to 90, longitudes from -180 to 180. Are these "
                "coordinates of another system, or swapped?",
                write='crs = "EPSG:..."',
            ),
        )
    turned = lon[0] + (lon - lon[0] + 180) % 360 - 180
    span_lon, span_lat = np.ptp(turned), np.ptp(lat)
    stretch = max(np.cos(np.radians(lat.mean())), 1e-3)
    if max(span_lon * stretch, span_lat) > _WIDEST_DEG:
        raise InputError(
            "The positions lie more than 50 km apart: that is no one site.",
            Trouble(
                what=f"Latitudes run from {lat.min():.4f} to {lat.max():.4f}, longitudes from "
                f"{turned.min():.4f} to {turned.max():.4f}. Is one mistyped, or are latitude and "
                "longitude swapped in one place?"
            ),
        )
    middle = (turned.min() + turned.max()) / 2
    return LocalPlane(
        latitude=round(float((lat.min() + lat.max()) / 2), 6),
        longitude=round(float((middle + 180) % 360 - 180), 6),
    )


class PlaneTransform:
    """Carries coordinates into the local plane and out of it.

    Parameters
    ----------
    plane
        The plane.

    Examples
    --------
    >>> here = PlaneTransform(LocalPlane(latitude=44.0, longitude=-72.5))
    >>> east, north = here.to_local([-72.499], [44.0])
    >>> round(float(east[0]), 4)
    80.2062
    """

    def __init__(self, plane: LocalPlane) -> None:
        self.plane = plane
        # The short series: within a site it differs from the long one by less than a hundred-
        # thousandth of a millimetre, and is done sooner.
        self.crs = CRS.from_proj4(
            f"+proj=tmerc +approx +lat_0={plane.latitude!r} +lon_0={plane.longitude!r} +k=1 "
            "+x_0=0 +y_0=0 +datum=WGS84 +units=m +no_defs +type=crs"
        )

    def to_local(self, longitude: ArrayLike, latitude: ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Return metres east and north of positions in degrees [m]."""
        return carry(CRS.from_user_input(_LON_LAT), self.crs, x=longitude, y=latitude)

    def to_lonlat(self, east_m: ArrayLike, north_m: ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Return longitude and latitude of points of the plane [deg]."""
        return carry(self.crs, CRS.from_user_input(_LON_LAT), x=east_m, y=north_m)

    def to_crs(
        self, crs: CRS, east_m: ArrayLike, north_m: ArrayLike
    ) -> tuple[FloatArray, FloatArray]:
        """Return points of the plane in another system, x first, in its own unit."""
        return carry(self.crs, crs, x=east_m, y=north_m)

    def from_crs(self, crs: CRS, x: ArrayLike, y: ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Return points of another system in the plane [m]."""
        return carry(crs, self.crs, x=x, y=y)


def spot_words(latitude: float, longitude: float) -> str:
    """Return a position as words: ``47.12345 N, 11.23456 E``.

    Examples
    --------
    >>> spot_words(-41.32, 174.81)
    '41.32000 S, 174.81000 E'
    """
    north = "N" if latitude >= 0 else "S"
    east = "E" if longitude >= 0 else "W"
    return f"{abs(latitude):.5f} {north}, {abs(longitude):.5f} {east}"
