"""``terrain-head study``: the main job."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from terrain_head.assessment.answer import Answer


@click.command(name="study", epilog="Example: terrain-head study orchard/study.toml")
@click.argument("study", type=click.Path(path_type=Path), metavar="FILE-OR-FOLDER")
@click.option(
    "-o",
    "output",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Where the results go; left out: a folder beside the study.",
)
@click.option("--choice", default="main", metavar="NAME", help="A choice of the study.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
def command(study: Path, output: Path | None, *, choice: str, as_json: bool) -> None:
    """Answer a study: fall, lift, water a day, pressures, pictures and a report.

    Prints one screen of words, and writes pictures, a table along each pipe, results.json and
    report.html. The study and its data are never changed.
    """
    from terrain_head.workflows.results import results_folder, write_results
    from terrain_head.workflows.study import answer_choice, open_study

    opened = open_study(study)
    answer = answer_choice(opened, choice=choice)
    if as_json:
        from terrain_head.report.measurement import dumps
        from terrain_head.report.study_document import study_document

        if output is not None:
            write_results(answer, output)
        click.echo(dumps(study_document(answer)), nl=False)
        return
    from terrain_head.report.study_screen import study_screen

    folder = results_folder(opened.document.path, choice=choice) if output is None else output
    _write(answer, folder)
    click.echo(study_screen(answer, results_folder=str(folder)), nl=False)


def _write(answer: Answer, folder: Path) -> None:
    """Write the results behind a progress bar, which shows only where a person looks on."""
    from terrain_head.workflows.results import count_of_results, write_results

    if not sys.stderr.isatty():
        write_results(answer, folder)
        return
    with click.progressbar(
        length=count_of_results(answer), label="Drawing", file=sys.stderr, show_eta=False
    ) as bar:
        write_results(answer, folder, told=lambda _: bar.update(1))
