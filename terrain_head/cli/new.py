"""``terrain-head new``."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, cast

import click

_FILE = click.Path(path_type=Path)


@click.command(name="new", epilog="Example: terrain-head new orchard --book lower.csv --units us")
@click.argument("folder", metavar="DIR", type=_FILE)
@click.option("--book", "books", multiple=True, type=_FILE, help="Level book (CSV).")
@click.option("--map", "maps", multiple=True, type=_FILE, help="Map with points and routes.")
@click.option("--dem", "dems", multiple=True, type=_FILE, help="Elevation raster.")
@click.option(
    "--units",
    type=click.Choice(["metric", "us"]),
    help="How results will be shown; left out: us if a book is in feet or inches, else metric.",
)
@click.option("--no-ram", is_flag=True, help="Plain gravity: no [ram], one pipe to the tank.")
def command(
    folder: Path,
    *,
    books: tuple[Path, ...],
    maps: tuple[Path, ...],
    dems: tuple[Path, ...],
    units: str | None,
    no_ram: bool,
) -> None:
    """Start DIR/study.toml with your own names filled in and blanks as "?".

    A study that is there already is never touched.
    """
    from terrain_head.report.check_screen import started_text
    from terrain_head.workflows.new import new_study

    started = new_study(
        folder,
        books=books,
        maps=maps,
        dems=dems,
        units=cast('Literal["metric", "us"] | None', units),
        lifted_by="nothing" if no_ram else "ram",
    )
    click.echo(started_text(started))
