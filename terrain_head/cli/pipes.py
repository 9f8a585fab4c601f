"""``terrain-head pipes``."""

from __future__ import annotations

from typing import Literal

import click


@click.command(
    name="pipes", epilog='Example: terrain-head pipes --material poly --rating "100 psi"'
)
@click.option("--material", metavar="WORD", help="What it is made of: PE, PE100, PVC, steel.")
@click.option("--standard", metavar="WORD", help="Only rows with these words: D2239, SDR 11.")
@click.option("--size", metavar="SIZE", help="Only this nominal size: 32 mm, 1-1/2 in, DN 25.")
@click.option("--rating", metavar="PRESSURE", help='Bears at least so much: "10 bar", "100 psi".')
@click.option("--inside", metavar="LENGTH", help='At least so wide inside: "26 mm", "1 in".')
@click.option(
    "--units",
    type=click.Choice(["metric", "us"]),
    help="In one system, with the wall too; left out: both.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
def command(
    *,
    material: str | None,
    standard: str | None,
    size: str | None,
    rating: str | None,
    inside: str | None,
    units: Literal["metric", "us"] | None,
    as_json: bool,
) -> None:
    """List the pipes that are known by their standard.

    With nothing asked, one line for each standard and wall; with anything asked, each pipe that
    fits.
    """
    from terrain_head.report.pipes_table import pipes_document, pipes_overview, pipes_text
    from terrain_head.workflows.pipes import pipe_rows

    asked = {
        "material": material, "standard": standard, "size": size, "rating": rating,
        "inside": inside,
    }  # fmt: skip
    rows = pipe_rows(**asked)
    if as_json:
        from terrain_head.report.measurement import dumps

        click.echo(dumps(pipes_document(rows)), nl=False)
    elif any(each is not None for each in asked.values()):
        click.echo(pipes_text(rows, units=units))
    else:
        click.echo(pipes_overview(rows, units=units))
