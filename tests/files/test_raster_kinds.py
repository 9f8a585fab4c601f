"""The published classes of rasters: every figure with its print."""

from __future__ import annotations

import pytest

from terrain_head.files.raster_kinds import (
    RASTER_KINDS,
    cell_share,
    published_error,
    raster_error,
)
from terrain_head.ground.grid import CELL_SHARE, RasterError


@pytest.mark.parametrize(
    ("kind", "printed", "per_std"),
    [
        ("3DEP 1/3 arc-second", "0.82", 1.0),
        ("3DEP 1 m", "0.53", 1.0),
        ("SRTM", "9.73", 1.0),
        ("SRTM", "16", 1.6449),
        ("Copernicus GLO-30", "4", 1.6449),
        ("NASADEM", "6.59", 1.0),
        ("AW3D30", "6.63", 1.0),
    ],
)
def test_the_error_of_a_class_is_the_printed_one(kind: str, printed: str, per_std: float) -> None:
    """Errors at 90 % are 1.6449 standard errors; tolerance half the last digit printed."""
    digits = len(printed.partition(".")[2])
    std = RASTER_KINDS[kind].std_m
    assert std is not None
    assert float(printed) == pytest.approx(std * per_std, abs=0.5 * 10**-digits + 1e-9)


def test_satellites_show_the_tops_of_trees_and_the_others_bare_earth() -> None:
    bare = {kind for kind, error in RASTER_KINDS.items() if error.surface is False}
    assert bare == {"3DEP 1/3 arc-second", "3DEP 1 m"}
    assert all(error.surface is not None for error in RASTER_KINDS.values())


def test_the_noise_of_the_cells_follows_printed_errors_of_differences() -> None:
    """GLO-30: under 2 m beside under 4 m; the 1/3 arc-second: 1.64 beside 2.44 m."""
    share = RASTER_KINDS["Copernicus GLO-30"].cell_share
    assert 2.0 / 4.0 == pytest.approx((2 * share) ** 0.5)
    share = RASTER_KINDS["3DEP 1/3 arc-second"].cell_share
    assert 1.64 / 2.44 == pytest.approx((2 * share) ** 0.5)
    assert RASTER_KINDS["SRTM"].cell_share == CELL_SHARE == cell_share(
        of_difference_m=1.0, of_height_m=2.0
    )  # fmt: skip


def test_a_raster_of_which_nobody_said_what_it_shows() -> None:
    assert RasterError(std_m=0.3, range_m=None).surface is None


def test_what_the_person_says_goes_before_what_is_published() -> None:
    published = published_error("srtm")
    assert published is RASTER_KINDS["SRTM"]
    assert published_error("no such class") is None
    said = raster_error(std_m=0.3, published=published, range_m=None)
    assert (said.std_m, said.range_m) == (0.3, None)
    assert raster_error(std_m=None, published=published, range_m=None) is published
    reaching = raster_error(std_m=None, published=published, range_m=90.0)
    assert (reaching.std_m, reaching.range_m) == (published.std_m, 90.0)
    assert raster_error(std_m=None, published=None, range_m=None).std_m is None
