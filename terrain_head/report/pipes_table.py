"""The pipe table as words and as a document."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from types import MappingProxyType
from typing import Any, Literal

from terrain_head.base.units import from_si
from terrain_head.errors import WIDTH
from terrain_head.report.measurement import measurement
from terrain_head.scheme.pipe_table import PipeSize

Units = Literal["metric", "us"] | None
"""The system that is shown; None shows both."""

_BASIS = MappingProxyType(
    {
        "average": "inside: the average",
        "minimum wall": "inside: with the least wall",
        "nominal": "inside: nominal",
        "stated": "inside: as stated",
    }
)
BASIS_MEANS: Mapping[str, str] = MappingProxyType(
    {
        "average": "what the average pipe of that standard measures.",
        "minimum wall": (
            "outside less twice the least wall that is allowed, so the widest it can be; the "
            "average pipe is a little narrower and loses up to a tenth more head."
        ),
        "nominal": "as the standard's own figures make it; real pipe lies to either side of it.",
    }
)
"""What an inside diameter of each basis is."""
_ASK = "see its print"


def pipes_text(rows: Sequence[PipeSize], *, units: Units = None) -> str:
    """Return the rows as a table, at most 79 columns of plain ASCII.

    Parameters
    ----------
    rows
        The rows to show, those of one standard and grade beside each other; at least one.
    units
        In which system; None shows both, and no walls.
    """
    blocks = []
    for _, group in groupby(rows, key=_kind):
        members = list(group)
        first = members[0]
        lines = [f"{' '.join(_kind(first))}    ({_BASIS[first.inside_basis]})"]
        if first.codes:
            lines.append(f"  bears, by its print: {_by_code(first, units)}")
        lines.append(_heading(units))
        lines += [_line(row, units) for row in members]
        blocks.append("\n".join(lines))
    blocks.append(_closing(rows))
    return "\n\n".join(blocks)


def pipes_overview(rows: Sequence[PipeSize], *, units: Units = None) -> str:
    """Return one line for each standard and grade: its sizes, and what it bears.

    Parameters
    ----------
    rows
        The rows to show, those of one standard and grade beside each other; at least one.
    units
        In which system pressures are; None shows both.
    """
    lines = [f"{'pipe':<29}{'sizes':<18}bears"]
    for _, group in groupby(rows, key=_kind):
        members = list(group)
        first, last = members[0], members[-1]
        number, _, unit = first.size.rpartition(" ")
        sizes = f"{number} to {last.size}"
        if unit.isdigit():
            sizes = f"{first.size} to {unit_free(last.size)}"
        lines.append(f"{' '.join(_kind(first)):<29}{sizes:<18}{_range(members, units)}".rstrip())
    lines += [
        "",
        "Each size of some of them:",
        "  terrain-head pipes --standard D2239",
        '  terrain-head pipes --material PE --size "32 mm" --rating "10 bar"',
    ]
    return "\n".join(lines) + "\n\n" + _closing(rows)


def unit_free(size: str) -> str:
    """Return the number of a size.

    Parameters
    ----------
    size
        As the table says it: ``DN 25``.

    Examples
    --------
    >>> unit_free("DN 25"), unit_free("32 mm")
    ('25', '32')
    """
    return next(word for word in size.split() if word[0].isdigit())


def pipes_document(rows: Sequence[PipeSize]) -> dict[str, Any]:
    """Return the rows as a document: metric, a rating that the print must say is null.

    Parameters
    ----------
    rows
        The rows to show.
    """
    return {
        "pipes": [
            {
                "spec": row.label,
                "standard": row.standard,
                "material": row.material.name,
                "size": row.size,
                "grade": row.grade,
                "outside": measurement(row.outside_m, "m"),
                "wall": measurement(row.wall_m, "m"),
                "inside": measurement(row.inside_m, "m"),
                "inside_basis": row.inside_basis,
                "widest_inside": measurement(row.widest_inside_m, "m"),
                "rating": measurement(row.rating_pa, "kPa"),
                "rating_by_print": {
                    code: measurement(rating, "kPa") for code, rating in row.ratings_pa.items()
                },
                "warm": _warm_document(row),
                "roughness": measurement(row.material.roughness_m, "m"),
                "hazen_williams": row.material.hazen_williams_c,
                "source": str(row.citation),
                "rating_source": None if row.rating_citation is None else str(row.rating_citation),
            }
            for row in rows
        ]
    }


def _warm_document(row: PipeSize) -> dict[str, Any] | None:
    table = row.derating
    if table is None:
        return None
    return {
        "temperature": [measurement(degrees, "C") for degrees in table.temperature_c],
        "share": list(table.share),
        "source": str(table.citation),
    }


def _kind(row: PipeSize) -> tuple[str, str, str]:
    return row.name, row.standard, row.grade


def _heading(units: Units) -> str:
    if units is None:
        return f"  {'size':<10}{'outside':<20}{'inside':<20}bears"
    return f"  {'size':<10}{'outside':>10}{'wall':>11}{'inside':>11}   bears"


def _line(row: PipeSize, units: Units) -> str:
    bears = _ASK if row.rating_pa is None else _pressure(row.rating_pa, units)
    if units is None:
        return f"  {row.size:<10}{_both(row.outside_m):<20}{_both(row.inside_m):<20}{bears}"
    cells = "".join(
        f"{_length(each, units):>{width}}"
        for each, width in ((row.outside_m, 10), (row.wall_m, 11), (row.inside_m, 11))
    )
    return f"  {row.size:<10}{cells}   {bears}"


def _length(length_m: float, units: Units) -> str:
    return (
        f"{from_si(length_m, 'in'):.3f} in"
        if units == "us"
        else f"{from_si(length_m, 'mm'):.1f} mm"
    )


def _both(length_m: float) -> str:
    return f"{from_si(length_m, 'mm'):5.1f} mm {from_si(length_m, 'in'):6.3f} in"


def _pressure(pressure_pa: float, units: Units) -> str:
    bar, psi = from_si(pressure_pa, "bar"), from_si(pressure_pa, "psi")
    said = {"metric": f"{bar:4.1f} bar", "us": f"{psi:3.0f} psi"}
    return said[units] if units else f"{said['metric']}  {said['us']}"


def _by_code(row: PipeSize, units: Units) -> str:
    return "; ".join(
        f"{code} {' '.join(_pressure(rating, units).split())}"
        for code, rating in row.ratings_pa.items()
    )


def _range(rows: Sequence[PipeSize], units: Units) -> str:
    """Return what the pipes of one standard and grade bear, in one cell."""
    first = rows[0]
    if first.codes:
        unit = "bar" if units == "metric" else "psi"
        digits = 1 if unit == "bar" else 0
        said = [
            f"{code} {from_si(rating, unit):.{digits}f}"
            for code, rating in first.ratings_pa.items()
        ]
        return ", ".join(said) + f" {unit}"
    known = [row.rating_pa for row in rows if row.rating_pa is not None]
    if not known:
        return _ASK
    least, most = min(known), max(known)
    if least == most:
        return _pressure(least, units)
    shown = {None: ("bar", "psi"), "metric": ("bar",), "us": ("psi",)}[units]
    return "  ".join(
        f"{from_si(most, unit):.0f} to {from_si(least, unit):.0f} {unit}" for unit in shown
    )


def _wrapped(text: str) -> str:
    return textwrap.fill(text, WIDTH, subsequent_indent="  ")


def _closing(rows: Sequence[PipeSize]) -> str:
    coded = next((row for row in rows if row.codes), None)
    lines = [
        "In a study file, one of these lines or the pipe's own inside:",
        f'  spec = "{rows[0].label}"',
        '  spec = { inside = "26 mm", rating = "16 bar", material = "PE" }',
    ]
    if coded is not None:
        lines += [
            "Polyethylene by inches bears what the material code of its print says:",
            f'  spec = "{coded.coded(coded.codes[0])}"',
        ]
    if any(row.most_pa is None for row in rows):
        asked = next(row for row in rows if row.most_pa is None)
        lines += [
            f"Where it says '{_ASK}', the rating hangs on the steel and its joints:",
            f'  spec = {{ standard = "{asked.label}", rating = "..." }}',
        ]
    lines += [_wrapped(line) for line in _warm_lines(rows)]
    shown = dict.fromkeys(row.inside_basis for row in rows)
    lines.append("What the inside is:")
    lines += [
        _wrapped(f"  {_BASIS[basis].removeprefix('inside: ')}: {BASIS_MEANS[basis]}")
        for basis in shown
    ]
    return "\n".join(lines)


def _warm_lines(rows: Sequence[PipeSize]) -> Iterator[str]:
    tables = {table.plastic: table for row in rows if (table := row.derating) is not None}
    if tables:
        yield "Ratings hold for cool water, up to 23 C (73 F). Warmer plastic bears less:"
    for plastic, table in tables.items():
        named = "other PE" if plastic == "PE4710" and "PE100" in tables else plastic
        middle = len(table.share) // 2
        known = [(table.temperature_c[at], table.share[at]) for at in (middle, -1)]
        said = " and ".join(f"{share:.0%} at {_degrees(warm)}" for warm, share in known)
        yield f"  {named} keeps {said}; for warmer water nothing is known here."


def _degrees(warm_c: float) -> str:
    return f"{warm_c:.0f} C ({from_si(warm_c, 'F'):.0f} F)"
