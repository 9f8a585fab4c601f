"""Whether a raster is one of heights, where it lies, and in what unit its heights are."""

from __future__ import annotations

import warnings
import zipfile
from pathlib import Path

import numpy as np
import rasterio
from numpy.typing import NDArray
from pyproj import CRS
from rasterio.enums import ColorInterp
from rasterio.errors import NotGeoreferencedWarning, RasterioIOError
from rasterio.io import DatasetReader

from terrain_head.base.units import Dimension, from_si, to_si, unit_of
from terrain_head.errors import InputError, Trouble
from terrain_head.files.planes import read_crs

_PICTURE_DRIVERS = {"PNG", "JPEG", "GIF", "BMP", "WEBP"}
_HEIGHT_ENDINGS = (
    ".tif", ".tiff", ".img", ".asc", ".dem", ".hgt", ".bil", ".flt", ".vrt", ".adf", ".dt2",
)  # fmt: skip
_UNIT_WORDS = {
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "m": "m",
    "ft": "ft", "foot": "ft", "feet": "ft", "international foot": "ft", "intl foot": "ft",
    "ftus": "ftUS", "us survey foot": "ftUS", "us survey feet": "ftUS", "foot_us": "ftUS",
    "us-ft": "ftUS", "usft": "ftUS", "us_survey_foot": "ftUS", "us foot": "ftUS", "sft": "ftUS",
    "survey foot": "ftUS", "foot us": "ftUS", "us survey foot (ftus)": "ftUS",
}  # fmt: skip
# Metres per unit; the two feet differ by less, and for a farm's heights it never matters.
_SAME_UNIT = 1e-4
_LOWEST_FT, _HIGHEST_FT = -2_000.0, 30_000.0
_PICTURE_CURE = "Look for DTM, DEM or bare-earth elevation where you got it."


def open_raster(path: Path) -> DatasetReader:
    """Return the opened raster of heights of a file (or of a zip as downloaded).

    Raises
    ------
    InputError
        If the file is missing, can't be read, holds no raster, or is a picture.
    """
    if not path.exists():
        raise InputError(f"There is no file {path}.", _missing(path), file=str(path))
    if path.is_file() and path.stat().st_size == 0:
        raise InputError(
            f"{path} is empty: it holds not one byte.",
            Trouble(what="The download broke off. Fetch it again."),
            file=str(path),
        )
    name = _inside_zip(path) if zipfile.is_zipfile(path) else str(path)
    try:
        with warnings.catch_warnings():
            # What lies nowhere is refused below, in words.
            warnings.simplefilter("ignore", NotGeoreferencedWarning)
            dataset = rasterio.open(name)
    except RasterioIOError as error:
        raise InputError(
            f"{path} can't be read as a raster of heights.",
            Trouble(
                what="It is no raster, or it broke off while it was fetched. Fetch it again; a "
                "GeoTIFF of bare-earth elevation is what is wanted."
            ),
            file=str(path),
        ) from error
    try:
        _refuse_pictures(dataset, path)
    except InputError:
        dataset.close()
        raise
    return dataset


def _missing(path: Path) -> Trouble:
    folder = path.parent
    near = (
        sorted(
            p.name
            for p in folder.glob("*")
            if p.suffix.lower() in {".tif", ".tiff", ".zip", ".img"}
        )
        if folder.is_dir()
        else []
    )
    if near:
        return Trouble(what=f"In that folder lie: {', '.join(near[:6])}.")
    return Trouble(what="Is the name spelled as on the disk? Names are taken from that folder on.")


def _inside_zip(path: Path) -> str:
    with zipfile.ZipFile(path) as archive:
        held = [
            member for member in archive.infolist()
            if member.filename.lower().endswith(_HEIGHT_ENDINGS) and not member.is_dir()
        ]  # fmt: skip
        names = [member.filename for member in archive.infolist()]
    if not held:
        raise InputError(
            f"{path} holds no raster of heights.",
            Trouble(what=f"It holds: {', '.join(names[:6]) or 'nothing'}. {_PICTURE_CURE}"),
            file=str(path),
        )
    largest = max(held, key=lambda member: member.file_size)
    return f"/vsizip/{{{path.resolve()}}}/{largest.filename}"


def _refuse_pictures(dataset: DatasetReader, path: Path) -> None:
    colours = {ColorInterp.red, ColorInterp.green, ColorInterp.blue, ColorInterp.palette}
    picture = (
        dataset.driver in _PICTURE_DRIVERS
        or bool(colours & set(dataset.colorinterp))
        or dataset.dtypes[0] in {"uint8", "int8"}
    )
    if picture:
        raise InputError(
            f"{path.name} is a picture, not heights.",
            Trouble(what=f"Its cells hold shades or colours. {_PICTURE_CURE}"),
            file=str(path),
        )
    if dataset.dtypes[0].startswith("complex"):
        raise InputError(
            f"{path.name} holds complex numbers, not heights.",
            Trouble(what=_PICTURE_CURE),
            file=str(path),
        )
    if sum(colour != ColorInterp.alpha for colour in dataset.colorinterp) != 1:
        raise InputError(
            f"{path.name} holds {dataset.count} layers; a raster of heights holds one.",
            Trouble(what=_PICTURE_CURE),
            file=str(path),
        )


def crs_of(dataset: DatasetReader, path: Path, *, stated: str | None) -> CRS:
    """Return the coordinate system of a raster: its own, else the stated one.

    Raises
    ------
    InputError
        If it lies nowhere on the earth, or carries no system and none is stated.
    """
    if dataset.transform.is_identity or not dataset.transform.determinant:
        raise InputError(
            f"{path.name} does not say where on the earth it lies.",
            Trouble(
                what="It holds heights without a position. Fetch it as a GeoTIFF, or put the world "
                "file (.tfw) that belongs to it into the same folder."
            ),
            file=str(path),
        )
    if dataset.crs is not None:
        return CRS.from_wkt(dataset.crs.to_wkt())
    if stated is not None:
        return read_crs(stated)
    west, south, east, north = dataset.bounds
    raise InputError(
        f"{path.name} does not name its coordinate system.",
        Trouble(
            what=f"It runs from {west:.0f} to {east:.0f} across and from {south:.0f} to "
            f"{north:.0f} up. The page where it came from names the system; in the study file "
            "it goes under [ground], on the command line behind --crs.",
            write='crs = "EPSG:26915"',
        ),
        file=str(path),
    )


def stated_unit(dataset: DatasetReader, crs: CRS) -> str | None:
    """Return the unit that a raster gives its heights, by its band or its vertical system."""
    return _band_unit(dataset) or _vertical_unit(crs)


def height_factor(dataset: DatasetReader, path: Path, *, crs: CRS, stated: str | None) -> float:
    """Return metres per unit of a raster's heights.

    The file says it (unit of its band, or of its vertical coordinate system), else the person.

    Raises
    ------
    InputError
        If neither says it, or the person's word is no unit.
    """
    own = stated_unit(dataset, crs)
    if stated is not None and unit_of(stated, Dimension.LENGTH) is None:
        raise InputError(
            f"The unit {stated!r} of the heights is not known.",
            Trouble(what="Known: m, ft, ftUS.", write='dem_unit = "ft"'),
        )
    if own is None and stated is None:
        raise InputError(
            f"{path.name} does not say whether its heights are metres or feet.",
            Trouble(
                what=_which_valley(dataset),
                write='dem_unit = "m"          (in the command: --dem-unit m)\n'
                'dem_unit = "ft"         (in the command: --dem-unit ft)',
            ),
            file=str(path),
        )
    return to_si(1.0, own or _told(stated or "m"))


def refuse_other_unit(dataset: DatasetReader, path: Path, *, crs: CRS, stated: str) -> None:
    """Raise if a raster gives its heights another unit than the person does.

    Neither is believed over the other: metres taken for feet make every height three times wrong.

    Raises
    ------
    InputError
        With both meanings, and what to do in either case.
    """
    own, told = stated_unit(dataset, crs), _told(stated)
    if own is None or abs(to_si(1, own) - to_si(1, told)) <= _SAME_UNIT:
        return
    raise InputError(
        f"{path.name} says that its heights are in {own}; dem_unit says {told}.",
        Trouble(
            what=f"{_which_valley(dataset)} If {own} is right, leave dem_unit out.",
            write=f'dem_unit = "{own}"         (in the command: --dem-unit {own})',
        ),
        Trouble(
            what=f"If {told} is right, the file is wrong about itself. Keep dem_unit and put a "
            f"text file {path.name}.aux.xml beside it; the raster itself is left as it is.",
            write='<PAMDataset><PAMRasterBand band="1">\n'
            f"<UnitType>{told}</UnitType></PAMRasterBand></PAMDataset>",
        ),
        file=str(path),
    )


def _told(word: str) -> str:
    return _UNIT_WORDS.get(word.lower(), word)


def _band_unit(dataset: DatasetReader) -> str | None:
    word = (dataset.units[0] or "").strip().lower()
    return _UNIT_WORDS.get(word)


def _vertical_unit(crs: CRS) -> str | None:
    axes = crs.axis_info
    if len(axes) < 3 or axes[2].direction.lower() not in {"up", "down"}:
        return None
    factor = axes[2].unit_conversion_factor
    return next((name for name in ("m", "ft", "ftUS") if abs(to_si(1, name) - factor) < 1e-9), None)


def _which_valley(dataset: DatasetReader) -> str:
    heights = _some_heights(dataset)
    if not heights.size:
        return "It holds no height where it was looked at."
    low, high = float(heights.min()), float(heights.max())
    near = float(f"{low:.3g}")
    as_feet, as_metres = from_si(near, "ft"), to_si(near, "ft")
    return (
        f"Heights here run from {_spaced(low)} to {_spaced(high)}. Is your valley about "
        f"{_spaced(near)} m ({_spaced(float(f'{as_feet:.3g}'))} ft) high, or {_spaced(near)} ft "
        f"({_spaced(as_metres)} m)?"
    )


def _some_heights(dataset: DatasetReader) -> NDArray[np.floating]:
    wide, high = min(dataset.width, 512), min(dataset.height, 512)
    window = rasterio.windows.Window(
        (dataset.width - wide) // 2, (dataset.height - high) // 2, wide, high
    )
    cells = dataset.read(1, window=window, masked=True).compressed()
    heights = cells * (dataset.scales[0] or 1.0) + dataset.offsets[0]
    # Beyond these, in metres or in feet, stands a mark for nothing that the file doesn't tell of.
    return np.asarray(heights[(heights > _LOWEST_FT) & (heights < _HIGHEST_FT)])


def _spaced(value: float) -> str:
    return f"{value:,.0f}".replace(",", " ")
