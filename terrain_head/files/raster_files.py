"""Elevation rasters opened and checked, each once, before anything is read or laid out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from pyproj import CRS
from rasterio.io import DatasetReader

from terrain_head.errors import InputError, together
from terrain_head.files.raster_checks import (
    crs_of,
    height_factor,
    open_raster,
    refuse_other_unit,
    stated_unit,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RasterFile:
    """One opened raster of heights.

    Parameters
    ----------
    path
        Where it lies.
    dataset
        The opened file.
    crs
        Its coordinate system.
    factor
        Metres per unit of its heights.
    """

    path: Path
    dataset: DatasetReader
    crs: CRS
    factor: float


@contextmanager
def open_rasters(
    paths: Sequence[Path | str], *, unit: str | None, crs: str | None
) -> Iterator[tuple[RasterFile, ...]]:
    """Open elevation rasters for the time of a block, all of them checked.

    Parameters
    ----------
    paths
        Raster files of any kind that GDAL reads, or zips as downloaded.
    unit
        ``m``, ``ft`` or ``ftUS``, for files that do not say. Where all of them say, another one
        is refused.
    crs
        Coordinate system of files that carry none.

    Raises
    ------
    InputError
        If files are missing, broken, pictures, lie nowhere, or state no unit: all that is wrong
        with all of them.
    """
    sources: list[tuple[Path, DatasetReader, CRS]] = []
    files: list[RasterFile] = []
    wrong: list[InputError] = []
    with ExitStack() as opened:
        for path in map(Path, paths):
            try:
                dataset = opened.enter_context(open_raster(path))
                sources.append((path, dataset, crs_of(dataset, path, stated=crs)))
            except InputError as trouble:
                wrong.append(trouble)
        silent = any(stated_unit(dataset, system) is None for _, dataset, system in sources)
        for path, dataset, system in sources:
            try:
                factor = height_factor(dataset, path, crs=system, stated=unit)
                if unit is not None and not silent:
                    # Beside a file that says none, the unit was said for that one.
                    refuse_other_unit(dataset, path, crs=system, stated=unit)
            except InputError as trouble:
                wrong.append(trouble)
            else:
                files.append(RasterFile(path=path, dataset=dataset, crs=system, factor=factor))
        if wrong:
            raise together(wrong, headline="The rasters can't be used yet")
        yield tuple(files)
