"""``terrain-head profile``: read a ground profile off an elevation raster."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from terrain_head.cli.lengths import length_of

if TYPE_CHECKING:
    from terrain_head.base.units import UnitSystem
    from terrain_head.ground.grid import RasterError
    from terrain_head.workflows.profile import LineProfile

_LONG_READING = 200
_PICTURES = {".png": "png", ".svg": "svg"}


@click.command(
    name="profile",
    epilog="Example: terrain-head profile --dem valley.tif --map map.gpx --from Spring --to Tank",
)
@click.option(
    "--dem", "dems", multiple=True, required=True, type=click.Path(path_type=Path),
    help="Elevation raster, or a zip as downloaded; several are laid side by side.",
)  # fmt: skip
@click.option("--dem-unit", metavar="UNIT", help="m, ft or ftUS, where the raster does not say.")
@click.option("--dem-error", metavar="LENGTH", help='Standard error of its heights: "0.3 m".')
@click.option(
    "--dem-kind", metavar="KIND", help='Published kind instead, such as "SRTM" or "3DEP 1 m".'
)
@click.option("--dem-range", metavar="LENGTH", help='Where its error is no longer alike: "60 m".')
@click.option("--crs", metavar="CRS", help="System of files that carry none: EPSG:26915.")
@click.option(
    "--map", "maps", multiple=True, type=click.Path(path_type=Path),
    help="Named points and lines: GeoJSON, GPX, KML, GeoPackage, Shapefile.",
)  # fmt: skip
@click.option("--route", metavar="NAME", help="A line of the map.")
@click.option("--from", "start", metavar="A", help='A point of the map, or "47.123, 11.234".')
@click.option("--to", "end", metavar="B", help="Likewise.")
@click.option("--step", metavar="LENGTH", help="The most between two stations; else one cell.")
@click.option(
    "-o", "output", type=click.Path(path_type=Path, dir_okay=False),
    help="Write a table (.csv) or a picture (.png, .svg).",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
@click.option("--units", type=click.Choice(["metric", "us"]), default="metric", show_default=True)
def command(
    *,
    dems: tuple[Path, ...],
    dem_unit: str | None,
    dem_error: str | None,
    dem_kind: str | None,
    dem_range: str | None,
    crs: str | None,
    maps: tuple[Path, ...],
    route: str | None,
    start: str | None,
    end: str | None,
    step: str | None,
    output: Path | None,
    as_json: bool,
    units: Literal["metric", "us"],
) -> None:
    """Read a ground profile off an elevation raster.

    Along a line of a map, or straight between two spots. With a map and no names it lists what the
    map has (with --json as points and routes). Heights are read where the raster has them and
    nowhere made up.
    """
    from terrain_head.base.units import UnitSystem
    from terrain_head.errors import Trouble, UsageError
    from terrain_head.workflows.profile import LineAsked, map_content, profile_line

    if output is not None and output.suffix.lower() not in {".csv", *_PICTURES}:
        raise UsageError(
            f"{output.name} ends in no kind of file that is written here.",
            Trouble(
                what="A table ends in .csv, a picture in .png or .svg.", write="-o profile.csv"
            ),
        )
    if maps and route is None and start is None and end is None:
        from terrain_head.report.profile_screen import inventory_screen

        content = map_content(maps, crs=crs)
        if as_json:
            from terrain_head.report.measurement import dumps
            from terrain_head.report.profile_document import inventory_document

            points, routes = dict(content.points), dict(content.routes)
            click.echo(dumps(inventory_document(points, routes)), nl=False)
            return
        click.echo(inventory_screen(content.words(), maps=content.files))
        return
    line = profile_line(
        dems,
        LineAsked(route=route, start=start, end=end),
        maps=maps,
        dem_unit=dem_unit,
        crs=crs,
        error=_error(dem_error, dem_kind, dem_range),
        step_m=None if step is None else length_of("--step", step),
        watch=_watched,
    )
    shown = UnitSystem(name=units)
    if output is not None:
        _write(line, output, shown)
    if as_json:
        from terrain_head.report.measurement import dumps

        click.echo(dumps(_document(line)), nl=False)
        return
    click.echo(_screen(line, shown))
    if output is not None:
        click.echo(f"\nSee it            {output}")


def _document(line: LineProfile) -> dict[str, object]:
    from terrain_head.report.profile_document import profile_document
    from terrain_head.report.study_document import finding_document

    return profile_document(
        line.profile,
        plane=line.transform.plane,
        high_points_m=[turn.station_m for turn in line.turns.told("high")],
        low_points_m=[turn.station_m for turn in line.turns.told("low")],
        findings=[finding_document(finding) for finding in line.findings],
    )


def _screen(line: LineProfile, units: UnitSystem) -> str:
    from terrain_head.report.profile_screen import profile_screen
    from terrain_head.report.words import finding_text

    return profile_screen(
        line.profile,
        ends=(line.start, line.end),
        rise_std_m=line.ground.std_of_difference(line.start, line.end),
        turns=line.turns.shown(),
        rasters=line.rasters,
        error=line.error,
        told=[finding_text(finding, units=units) for finding in line.findings],
        units=units,
    )


def _write(line: LineProfile, output: Path, units: UnitSystem) -> None:
    from terrain_head.files.output import write_whole

    if output.suffix.lower() == ".csv":
        from terrain_head.report.profile_document import profile_table

        longitude, latitude = line.transform.to_lonlat(line.profile.east_m, line.profile.north_m)
        table = profile_table(line.profile, longitude=longitude, latitude=latitude, units=units)
        write_whole(output, table)
        return
    from terrain_head.plots.ground_sheet import ground_profile_figure
    from terrain_head.plots.sheet import figure_bytes

    title = f"{line.start} to {line.end}"
    figure = ground_profile_figure(
        line.profile,
        title=title,
        units=units,
        turns=line.turns.shown(),
        ends=(line.start, line.end),
    )
    kind: Literal["png", "svg"] = "png" if output.suffix.lower() == ".png" else "svg"
    write_whole(output, figure_bytes(figure, kind=kind))


def _error(stated: str | None, kind: str | None, reach: str | None) -> RasterError:
    """Return how wrong the raster is, as stated or as published."""
    from terrain_head.errors import Trouble, UsageError
    from terrain_head.files.raster_kinds import RASTER_KINDS, published_error, raster_error

    published = None if kind is None else published_error(kind)
    if kind is not None and published is None:
        raise UsageError(
            f"--dem-kind {kind!r} is not known.",
            Trouble(what=f"Known: {', '.join(RASTER_KINDS)}.", write='--dem-error "0.5 m"'),
        )
    return raster_error(
        std_m=None if stated is None else length_of("--dem-error", stated),
        published=published,
        range_m=None if reach is None else length_of("--dem-range", reach),
    )


def _watched(blocks: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Go through the blocks of a raster; where they are many, show how far it is."""
    if len(blocks) < _LONG_READING or not sys.stderr.isatty():
        yield from blocks
        return
    with click.progressbar(blocks, label="Reading the raster", file=sys.stderr) as bar:
        yield from bar
