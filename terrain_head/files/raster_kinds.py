"""Published classes of elevation rasters, for `dem_kind`: how wrong their heights are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from terrain_head.base.citation import Source
from terrain_head.base.display import LIKELY
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

NED_RELATIVE = Source(
    key="gesch-2007-ned",
    author="Gesch",
    title="Accuracy of the National Elevation Dataset, as cited by a textbook's page",
    year="2007",
    obtained="read in a copy",
)
ICESAT_CHINA = Source(
    key="li-2022-global-dems",
    author="Li and others",
    title="Global elevation models against ICESat-2 in hilly China, Int. J. Digital Earth",
    year="2022",
)


def cell_share(*, of_difference_m: float, of_height_m: float) -> float:
    """Return the share of the variance that is noise of the cells, from two printed errors [1].

    Parameters
    ----------
    of_difference_m
        Error of the height difference of two spots whose slow errors are alike [m].
    of_height_m
        Error of one height, stated in the same way [m].

    Notes
    -----
    The difference of two heights with the same slow error holds the noise of two cells:
    ``2 share std^2``. Where slow errors differ too, the share comes out too great, never too small.

    Examples
    --------
    >>> cell_share(of_difference_m=2.0, of_height_m=4.0)
    0.125
    """
    return 0.5 * (of_difference_m / of_height_m) ** 2


RASTER_KINDS: Mapping[str, RasterError] = {
    "3DEP 1/3 arc-second": RasterError(
        std_m=0.82,
        range_m=None,
        citation=THREE_DEP_FAQ.at(
            "seamless 1/3 arc-second, RMSE 0.82 m against about 25 000 points"
        ),
        cell_share=cell_share(of_difference_m=1.64, of_height_m=2.44),
        cell_citation=NED_RELATIVE.at("RMSE of a difference 1.64 m beside 2.44 m of a height"),
        surface=False,
    ),
    "3DEP 1 m": RasterError(
        std_m=0.53,
        range_m=None,
        citation=THREE_DEP_FAQ.at("best data down to 1 m, RMSE 0.53 m"),
        surface=False,
    ),
    "SRTM": RasterError(
        std_m=9.73,
        range_m=None,
        citation=SRTM_UTILITY.at("abstract: 16 m at 90 %, RMSE 9.73 m"),
        surface=True,
    ),
    "Copernicus GLO-30": RasterError(
        std_m=4.0 / LIKELY,
        range_m=None,
        citation=COPERNICUS_HANDBOOK.at("absolute vertical accuracy, under 4 m at 90 %"),
        cell_share=cell_share(of_difference_m=2.0, of_height_m=4.0),
        cell_citation=COPERNICUS_HANDBOOK.at(
            "relative vertical accuracy, under 2 m at 90 % on slopes up to 20 %"
        ),
        surface=True,
    ),
    "NASADEM": RasterError(
        std_m=6.59,
        range_m=None,
        citation=ICESAT_CHINA.at(
            "RMSE 6.59 m against 240 000 points; no claim of its own was read"
        ),
        surface=True,
    ),
    "AW3D30": RasterError(
        std_m=6.63,
        range_m=None,
        citation=ICESAT_CHINA.at(
            "RMSE 6.63 m against 240 000 points; no claim of its own was read"
        ),
        surface=True,
    ),
}
"""Error of each class by the name that `dem_kind` takes. The satellites' are surface models: trees
and roofs are in them, and there the error is far larger. GLO-30, held against the same points as
NASADEM and AW3D30, came out at 6.73 m: hills and woods make all of them worse than they claim."""


def published_error(word: str) -> RasterError | None:
    """Return the error published for a class of rasters, whatever its capitals; None if unknown.

    Parameters
    ----------
    word
        Name of the class.
    """
    named = {name.casefold(): error for name, error in RASTER_KINDS.items()}
    return named.get(word.casefold())


def raster_error(
    *, std_m: float | None, published: RasterError | None, range_m: float | None
) -> RasterError:
    """Return how wrong a raster is: as the person says, else as published, else not known.

    Parameters
    ----------
    std_m
        Standard error as said, None where it is not [m].
    published
        That of its class, None where none is named.
    range_m
        Reach of its error as said; None leaves that of its class [m].
    """
    said = RasterError(std_m=std_m, range_m=None)
    error = said if std_m is not None or published is None else published
    return error if range_m is None else replace(error, range_m=range_m)
