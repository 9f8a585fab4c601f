"""Coordinates go into the local plane and come back out of it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import CRS

from terrain_head.errors import InputError
from terrain_head.files.planes import (
    PlaneTransform,
    carry,
    choose_plane,
    flat,
    read_crs,
    spot_words,
    to_lonlat,
)
from terrain_head.ground.plane import LocalPlane


@given(
    latitude=st.floats(-80, 80),
    longitude=st.floats(-179, 179),
    east=st.floats(-5000, 5000),
    north=st.floats(-5000, 5000),
)
def test_there_and_back_is_the_same_spot(
    latitude: float, longitude: float, east: float, north: float
) -> None:
    plane = PlaneTransform(LocalPlane(latitude=latitude, longitude=longitude))
    back = plane.to_local(*plane.to_lonlat(east, north))
    assert np.hypot(back[0] - east, back[1] - north) < 1e-6


def test_the_plane_lies_in_the_middle_of_all_positions() -> None:
    assert choose_plane([11.1, 11.3], [47.0, 47.2]) == LocalPlane(latitude=47.1, longitude=11.2)


def test_a_site_on_the_line_where_the_date_changes_is_one_site() -> None:
    plane = choose_plane([179.99, -179.99, 179.98], [-41.0, -41.0, -41.01])
    assert abs(plane.longitude) == pytest.approx(179.995, abs=1e-6)
    east, _ = PlaneTransform(plane).to_local([179.99, -179.99], [-41.0, -41.0])
    assert np.ptp(east) == pytest.approx(1682.0, rel=1e-2)


def test_nad_83_and_wgs_84_lie_on_each_other() -> None:
    """Their null shift, as published for the transformation of one to the other."""
    longitude, latitude = to_lonlat(read_crs("EPSG:4269"), -93.92, 46.506)
    assert (float(longitude), float(latitude)) == (-93.92, 46.506)


def test_heights_are_left_out_of_a_system() -> None:
    assert flat(read_crs("EPSG:26915+5703")) == read_crs("EPSG:26915")
    assert len(flat(read_crs("EPSG:4979")).axis_info) == 2
    bound = read_crs("+proj=utm +zone=15 +ellps=GRS80 +towgs84=0,0,0,0,0,0,0 +type=crs")
    assert not flat(bound).is_bound


def test_what_can_not_be_carried_is_nan() -> None:
    plane = PlaneTransform(LocalPlane(latitude=40.0, longitude=-105.0))
    east, north = plane.to_local([-105.0, np.nan], [40.0, 40.0])
    assert np.isfinite([east[0], north[0]]).all()
    assert np.isnan([east[1], north[1]]).all()
    assert np.isnan(plane.from_crs(read_crs("EPSG:26913"), np.inf, 0.0)).all()


@pytest.mark.parametrize("text", ["EPSG:0", "nonsense", ""])
def test_an_unknown_system_is_said(text: str) -> None:
    with pytest.raises(InputError, match="is not known"):
        read_crs(text)


@pytest.mark.parametrize(
    ("longitudes", "latitudes", "words"),
    [
        ([11.0], [95.0], "off the globe"),
        ([500.0], [5.0], "off the globe"),
        ([11.0, 12.0], [47.0, 47.0], "50 km apart"),
        ([11.0, 47.0], [47.0, 11.0], "swapped"),
    ],
)
def test_positions_that_make_no_site(
    longitudes: list[float], latitudes: list[float], words: str
) -> None:
    with pytest.raises(InputError) as caught:
        choose_plane(longitudes, latitudes)
    assert words in str(caught.value)


def test_a_spot_in_words() -> None:
    assert spot_words(47.123454, 11.234561) == "47.12345 N, 11.23456 E"
    assert spot_words(-41.0, -71.5) == "41.00000 S, 71.50000 W"


@pytest.mark.parametrize("latitude", [-75.0, -33.0, 0.0, 46.5, 70.0])
def test_the_plane_is_the_full_transverse_mercator_wherever_a_site_reaches(
    latitude: float,
) -> None:
    """Against the long series, a quarter of a degree from the middle to either side."""
    transform = PlaneTransform(LocalPlane(latitude=latitude, longitude=10.0))
    exact = CRS.from_proj4(
        f"+proj=etmerc +lat_0={latitude} +lon_0=10 +k=1 +datum=WGS84 +units=m +type=crs"
    )
    steps = np.linspace(-0.25, 0.25, 11)
    longitude, latitudes = np.meshgrid(10 + steps / np.cos(np.radians(latitude)), latitude + steps)
    east, north = transform.to_local(longitude, latitudes)
    expected_east, expected_north = carry(CRS.from_epsg(4326), exact, x=longitude, y=latitudes)
    assert np.hypot(east - expected_east, north - expected_north).max() < 1e-8
