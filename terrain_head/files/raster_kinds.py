"""Published classes of elevation rasters, for `dem_kind`: how wrong their heights are."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.base.citation import Source
from terrain_head.ground.grid import RasterError

THREE_DEP_FAQ = Source(
    key="usgs-3dep-vertical-accuracy",
    author="U.S. Geological Survey",
    title="What is the vertical accuracy of the 3D Elevation Program (3DEP) DEMs?",
    year="2024",
)
SRTM_UTILITY = Source(
    key="mukul-2017-srtm",
    author="Mukul, Srivastava, Jade, Mukul",
    title=(
        "Uncertainties in the Shuttle Radar Topography Mission (SRTM) heights, "
        "Scientific Reports 7:41672"
    ),
    year="2017",
)
COPERNICUS_HANDBOOK = Source(
    key="copernicus-dem-handbook",
    author="European Union, Copernicus programme",
    title="Copernicus Digital Elevation Model Product Handbook, GEO.2018-1988-2",
    year="2020",
    obtained="read in a copy",
)

# A range "at 90 %" of a normal error is 1.6449 standard errors to either side.
_LE90 = 1.6449

RASTER_KINDS: Mapping[str, RasterError] = {
    "3DEP 1/3 arc-second": RasterError(
        std_m=0.82,
        range_m=None,
        citation=THREE_DEP_FAQ.at(
            "seamless 1/3 arc-second, RMSE 0.82 m against about 25 000 points"
        ),
    ),
    "3DEP 1 m": RasterError(
        std_m=0.53,
        range_m=None,
        citation=THREE_DEP_FAQ.at("best data down to 1 m, RMSE 0.53 m"),
    ),
    "SRTM": RasterError(
        std_m=9.73,
        range_m=None,
        citation=SRTM_UTILITY.at("abstract: 16 m at 90 %, RMSE 9.73 m"),
    ),
    "Copernicus GLO-30": RasterError(
        std_m=4.0 / _LE90,
        range_m=None,
        citation=COPERNICUS_HANDBOOK.at("absolute vertical accuracy, under 4 m at 90 %"),
    ),
}
"""Error of each class by the name that `dem_kind` takes. All of the satellites' are surface models:
trees and roofs are in them, and then the error is far larger."""
