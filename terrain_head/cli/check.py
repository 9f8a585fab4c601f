"""``terrain-head check``."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(name="check", epilog="Example: terrain-head check orchard/study.toml")
@click.argument("file", type=click.Path(path_type=Path))
def command(file: Path) -> None:
    """Check a study FILE (or a folder with one), count its blanks, say what it answers.

    Nothing is solved and nothing is written.
    """
    from terrain_head.report.check_screen import check_text
    from terrain_head.workflows.check import check_study

    click.echo(check_text(check_study(file)))
