"""``terrain-head reduce``: reduce and adjust a level book."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

if TYPE_CHECKING:
    from terrain_head.base.units import Dimension
    from terrain_head.leveling.instrument import Instrument


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
    help='Standard error of the line of sight, such as "10 arcsec": the accuracy of an optical '
    "level.",
)
@click.option(
    "--instrument",
    type=click.Choice(["optical level", "rotating laser"], case_sensitive=False),
    help="What the book was read with.",
)
@click.option(
    "--accuracy", metavar="TEXT", help='As printed on its box: "10 arcsec", "1.5 mm at 30 m".'
)
@click.option(
    "--half-turn",
    metavar="TEXT",
    help="How far two readings of one rod lay apart, the laser's head turned half round: "
    '"2 mm at 30 m".',
)
@click.option(
    "--farthest-sight",
    metavar="LENGTH",
    help='The longest that a sight without a written distance may be, such as "40 m".',
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
    instrument: Literal["optical level", "rotating laser"] | None,
    accuracy: str | None,
    half_turn: str | None,
    farthest_sight: str | None,
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
    from terrain_head.errors import Trouble, UsageError
    from terrain_head.workflows.reduce import reduce_level_books

    tool = _instrument(instrument, accuracy=accuracy, half_turn=half_turn)
    if tool is not None and angle_error is not None:
        raise UsageError(
            "--angle-error and --instrument say the same twice.",
            Trouble(what="Keep the instrument.", write=f'--accuracy "{angle_error}"'),
            left_alone="Nothing was computed.",
        )
    reduced = reduce_level_books(
        books,
        unit=unit,
        rod=rod,
        reading_std_m=_error("--reading-error", reading_error, Dimension.LENGTH),
        angle_std_rad=_error("--angle-error", angle_error, Dimension.ANGLE),
        farthest_m=_error("--farthest-sight", farthest_sight, Dimension.LENGTH),
        instrument=tool,
        heights=heights,
    )
    if as_json:
        from terrain_head.report.measurement import dumps
        from terrain_head.report.reduce_document import reduce_document

        click.echo(dumps(reduce_document(reduced.book, reduced.elevations)), nl=False)
        return
    from terrain_head.report.reduce_screen import reduce_screen, units_of

    shown = units_of(reduced.book) if units is None else UnitSystem(name=units)
    click.echo(reduce_screen(reduced.book, reduced.elevations, units=shown))


def _instrument(
    kind: Literal["optical level", "rotating laser"] | None,
    *,
    accuracy: str | None,
    half_turn: str | None,
) -> Instrument | None:
    """Return the instrument that the options describe, None where they name none."""
    from terrain_head.errors import Trouble, UsageError
    from terrain_head.formulas.rotating_laser import half_turn_tilt
    from terrain_head.leveling.instrument import Instrument

    if kind is None:
        if accuracy is None and half_turn is None:
            return None
        raise UsageError(
            "Of which instrument are these figures?",
            Trouble(
                what="--accuracy and --half-turn are those of an instrument. Name it.",
                write='--instrument "optical level", or --instrument "rotating laser"',
            ),
            left_alone="Nothing was computed.",
        )
    spread = _slope("--half-turn", half_turn)
    if spread is not None and kind == "optical level":
        raise UsageError(
            "--half-turn is a check of a rotating laser.",
            Trouble(what="A level has its two-peg test, written into a study file."),
            left_alone="Nothing was computed.",
        )
    return Instrument(
        kind=kind,
        accuracy=_slope("--accuracy", accuracy),
        half_turn=None if spread is None else float(half_turn_tilt(spread, 0.0, distance_m=1.0)),
    )


def _slope(option: str, text: str | None) -> float | None:
    """Return an angle, or a length at a distance, as a slope."""
    from terrain_head.base.units import Dimension
    from terrain_head.files.study_instrument import slope_parts

    if text is None:
        return None
    size, *at = slope_parts(text)
    if not at:
        return _error(option, size, Dimension.ANGLE)
    out = _error(option, size, Dimension.LENGTH)
    distance = _error(option, " at ".join(at), Dimension.LENGTH)
    return None if out is None or distance is None else out / distance


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
