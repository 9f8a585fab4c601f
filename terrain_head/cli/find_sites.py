"""``terrain-head find sites``: where ram and tank may stand under the spring."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(name="sites", epilog="Example: terrain-head find sites orchard/study.toml")
@click.argument("study", type=click.Path(path_type=Path), metavar="FILE-OR-FOLDER")
@click.option("--along", default="", metavar="ROUTE", help="A route on which the ram is to stand.")
@click.option(
    "--within",
    default="300 m",
    metavar="D",
    show_default=True,
    help="How far from the source ground is looked at on a raster.",
)
@click.option(
    "-o", "output", type=click.Path(path_type=Path, file_okay=False), metavar="DIR",
    help="Where the map goes; left out: the results folder beside the study.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
def command(study: Path, *, along: str, within: str, output: Path | None, as_json: bool) -> None:
    """Find where ram and tank may stand: among surveyed points, or on a raster.

    The intake stays at the study's source. Of all pairs those are shown that no other beats in
    everything: water at the tank, lengths of both pipes, height of the stand.
    """
    from terrain_head.cli.lengths import length_of
    from terrain_head.workflows.find_sites import find_sites, write_sites
    from terrain_head.workflows.results import results_folder
    from terrain_head.workflows.study import open_study

    opened = open_study(study)
    answer = find_sites(opened, along=along, within_m=length_of("--within", within))
    if as_json:
        from terrain_head.report.find_document import sites_document
        from terrain_head.report.measurement import dumps

        if output is not None and answer.grid is not None:
            write_sites(answer, output)
        click.echo(dumps(sites_document(answer)), nl=False)
        return
    from terrain_head.report.find_screen import sites_screen

    written = None
    if answer.grid is not None:
        folder = results_folder(opened.document.path) if output is None else output
        written = str(write_sites(answer, folder))
    click.echo(sites_screen(answer, written=written), nl=False)
