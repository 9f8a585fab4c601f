"""``terrain-head compare``: the choices of a study side by side."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(name="compare", epilog="Example: terrain-head compare valley/study.toml")
@click.argument("study", type=click.Path(path_type=Path), metavar="FILE-OR-FOLDER")
@click.option(
    "-o",
    "output",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Where pictures and page go; left out: the results folder beside the study.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
def command(study: Path, output: Path | None, *, as_json: bool) -> None:
    """Put the choices of a study side by side: lengths, water, pressures, digging.

    Every choice is solved on the same ground; their profiles and routes are drawn over one another.
    """
    from terrain_head.workflows.compare import compare_study
    from terrain_head.workflows.results import results_folder, write_comparison

    compared = compare_study(study)
    if as_json:
        from terrain_head.report.compare_document import compare_document
        from terrain_head.report.measurement import dumps

        if output is not None:
            write_comparison(compared.answers, compared.comparison, folder=output)
        click.echo(dumps(compare_document(compared.comparison, answers=compared.answers)), nl=False)
        return
    from terrain_head.report.compare_screen import compare_screen

    folder = results_folder(compared.path) if output is None else output
    write_comparison(compared.answers, compared.comparison, folder=folder)
    click.echo(
        compare_screen(compared.answers, compared.comparison, results_folder=str(folder)), nl=False
    )
