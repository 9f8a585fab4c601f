"""``terrain-head reduce``: reduce and adjust a level book."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

if TYPE_CHECKING:
    from terrain_head.base.units import Dimension


@click.command(
    name="reduce",
    epilog='Example: terrain-head reduce lower.csv --unit ft --reading-error "1.5 mm"',
)
@click.argument("books", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--unit",
    metavar="UNIT",
    help="Unit of columns whose heading names none: ft, ft-in, in, m, cm or mm.",
)
@click.option(
    "--rod",
    type=click.Choice(["normal", "direct"]),
    default="normal",
    help="direct: the rod's figures are elevations, greater where the ground is higher.",
)
@click.option(
    "--reading-error", metavar="LENGTH", help='Standard error of one reading, such as "1.5 mm".'
)
@click.option(
    "--angle-error",
    metavar="ANGLE",
    help='Standard error of the line of sight, such as "10 arcsec"; used where sights have '
    "distances.",
)
@click.option(
    "--heights",
    type=click.Path(path_type=Path),
    help="A sheet of height differences by other means.",
)
@click.option(
    "--units",
    type=click.Choice(["metric", "us"]),
    help="How results are shown; left out: as the book is written.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document and nothing else.")
def command(
    *,
    books: tuple[Path, ...],
    unit: str | None,
    rod: Literal["normal", "direct"],
    reading_error: str | None,
    angle_error: str | None,
    heights: Path | None,
    units: Literal["metric", "us"] | None,
    as_json: bool,
) -> None:
    """Reduce and adjust a level book.

    Prints how the named points differ in height, then the book with the elevations as read beside
    those after the misclosure was shared out. Several BOOKS are one survey: the same name is the
    same point. Nothing is written and no file is changed.
    """
    from terrain_head.base.units import Dimension, UnitSystem
    from terrain_head.workflows.reduce import reduce_level_books

    reduced = reduce_level_books(
        books,
        unit=unit,
        rod=rod,
        reading_std_m=_error("--reading-error", reading_error, Dimension.LENGTH),
        angle_std_rad=_error("--angle-error", angle_error, Dimension.ANGLE),
        heights=heights,
    )
    if as_json:
        from terrain_head.report.measurement import dumps
        from terrain_head.report.reduce_document import reduce_document

        click.echo(dumps(reduce_document(reduced.book, reduced.elevations)), nl=False)
        return
    from terrain_head.report.reduce_screen import reduce_screen, units_of

    shown = units_of(reduced.book) if units is None else UnitSystem(name=units)
    click.echo(reduce_screen(reduced.book, reduced.elevations, shown))


def _error(option: str, text: str | None, dimension: Dimension) -> float | None:
    """Return a stated standard error, SI."""
    from terrain_head.base.quantities import QuantityError, parse_quantity
    from terrain_head.errors import Trouble, UsageError

    if text is None:
        return None
    try:
        value = parse_quantity(text, dimension).value
    except QuantityError as error:
        raise UsageError(
            f"{option} can't be used as it stands.",
            Trouble(what=error.trouble.what, write=f'{option} "{error.trouble.write}"'),
            left_alone="Nothing was computed.",
        ) from None
    if value <= 0:
        raise UsageError(
            f"{option} must be more than 0.",
            Trouble(what=f'It is "{text}".'),
            left_alone="Nothing was computed.",
        )
    return value
