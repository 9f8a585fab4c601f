"""``terrain-head find route``: where a pipe between two places best goes."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click


@click.command(
    name="route", epilog="Example: terrain-head find route valley/study.toml --from ram --to tank"
)
@click.argument("study", type=click.Path(path_type=Path), metavar="FILE-OR-FOLDER")
@click.option(
    "--from", "start", required=True, metavar="PLACE",
    help="A place of the study, or source, ram, tank.",
)  # fmt: skip
@click.option("--to", "end", required=True, metavar="PLACE", help="Likewise.")
@click.option(
    "--kind", type=click.Choice(["pressure", "gravity"]), default="pressure", show_default=True,
    help="A pipe under pressure, or a line that must keep falling.",
)  # fmt: skip
@click.option("--grade", metavar="SHARE", help='Least fall of a gravity line: "1 %".')
@click.option(
    "-o", "output", type=click.Path(path_type=Path, file_okay=False), metavar="DIR",
    help="Where map and pictures go; left out: the results folder beside the study.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
def command(
    *,
    study: Path,
    start: str,
    end: str,
    kind: Literal["pressure", "gravity"],
    grade: str | None,
    output: Path | None,
    as_json: bool,
) -> None:
    """Find where a pipe between two places best goes over the raster.

    The cheapest way by length, steepness and climb that is lost again, made into a few straight
    legs, beside another way that is really different and the straight line. The routes are written
    as a map that the study can use.
    """
    from terrain_head.workflows.find_route import RouteAsked, find_route, write_routes
    from terrain_head.workflows.study import open_study

    opened = open_study(study)
    answer = find_route(
        opened,
        RouteAsked(
            start=start,
            end=end,
            kind=kind,
            least_grade=None if grade is None else _share("--grade", grade),
        ),
    )
    if as_json:
        from terrain_head.report.measurement import dumps
        from terrain_head.report.route_document import route_document

        if output is not None:
            write_routes(answer, output)
        click.echo(dumps(route_document(answer)), nl=False)
        return
    from terrain_head.report.route_screen import route_screen
    from terrain_head.workflows.results import results_folder

    path = opened.document.path
    folder = results_folder(path) if output is None else output
    written = write_routes(answer, folder)
    beside = folder.resolve()
    home = path.resolve().parent
    listed = beside.relative_to(home) if beside.is_relative_to(home) else beside
    click.echo(
        route_screen(
            answer,
            written=str(written.plan),
            study=(listed / written.routes.name).as_posix(),
        ),
        nl=False,
    )


def _share(option: str, text: str) -> float:
    """Return a share written behind an option [1]."""
    from terrain_head.base.quantities import QuantityError, parse_quantity
    from terrain_head.base.units import Dimension
    from terrain_head.errors import Trouble, UsageError

    try:
        value = parse_quantity(text, Dimension.RATIO).value
    except QuantityError as error:
        raise UsageError(
            f"{option} can't be used as it stands.",
            Trouble(what=error.trouble.what, write=f'{option} "0.5 %"'),
        ) from None
    if not 0 < value < 1:
        raise UsageError(f"{option} must be more than 0 and less than 100 %.")
    return value
