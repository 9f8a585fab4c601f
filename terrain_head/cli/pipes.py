"""``terrain-head pipes``."""

from __future__ import annotations

import click


@click.command(name="pipes", epilog="Example: terrain-head pipes --standard D2239")
@click.option("--standard", metavar="WORD", help="Only rows with these words: PVC, D2239, SDR 11.")
@click.option("--size", metavar="SIZE", help="Only this nominal size: 32 mm, 1-1/2 in.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
def command(standard: str | None, size: str | None, *, as_json: bool) -> None:
    """List the pipes that are known by their standard, in both unit systems."""
    from terrain_head.report.pipes_table import pipes_document, pipes_text
    from terrain_head.workflows.pipes import pipe_rows

    rows = pipe_rows(standard=standard, size=size)
    if as_json:
        from terrain_head.report.measurement import dumps

        click.echo(dumps(pipes_document(rows)), nl=False)
    else:
        click.echo(pipes_text(rows))
