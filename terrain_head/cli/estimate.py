"""``terrain-head estimate``."""

from __future__ import annotations

from typing import Literal

import click


@click.command(
    name="estimate",
    epilog='Example: terrain-head estimate --fall "2.4 m" --lift "23 m" --flow "40 L/min" '
    '--length "180 m"',
)
@click.option("--fall", required=True, metavar="HEIGHT", help="Spring's water above the ram.")
@click.option("--lift", required=True, metavar="HEIGHT", help="Tank's inlet above the ram.")
@click.option("--flow", required=True, metavar="FLOW", help='What may be taken: "5 gal in 33 s".')
@click.option("--length", required=True, metavar="LENGTH", help="Delivery pipe, ram to tank.")
@click.option("--inside", metavar="LENGTH", help="Inside diameter of the delivery pipe.")
@click.option(
    "--built",
    type=click.Choice(["bought", "home"]),
    help="Which published efficiencies apply; left out: bought.",
)
@click.option("--efficiency", metavar="SHARE", help='Of the ram, if it was measured: "55 %".')
@click.option(
    "--units",
    type=click.Choice(["metric", "us"]),
    help="How results are shown; left out: as the numbers are written.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
def command(
    *,
    fall: str,
    lift: str,
    flow: str,
    length: str,
    inside: str | None,
    built: Literal["bought", "home"] | None,
    efficiency: str | None,
    units: Literal["metric", "us"] | None,
    as_json: bool,
) -> None:
    """Make the first rough answer from four numbers.

    Says whether a survey is worth while, about how much water would arrive, how long the drive
    pipe would be, and which height to level first.
    """
    from terrain_head.base.units import UnitSystem
    from terrain_head.workflows.estimate import estimate_from_texts

    texts = {
        "fall": fall,
        "lift": lift,
        "flow": flow,
        "length": length,
        "inside": inside,
        "efficiency": efficiency,
    }
    found = estimate_from_texts(texts, built=built)
    if as_json:
        from terrain_head.report.estimate_document import dumps, estimate_document

        click.echo(dumps(estimate_document(found.estimate)), nl=False)
        return
    from terrain_head.report.estimate_screen import estimate_screen

    shown = found.units if units is None else UnitSystem(name=units)
    click.echo(estimate_screen(found.estimate, units=shown), nl=False)
