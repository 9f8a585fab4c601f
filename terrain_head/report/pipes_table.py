"""The pipe table as words and as a document."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from terrain_head.base.units import from_si
from terrain_head.report.measurement import measurement
from terrain_head.scheme.pipe_table import PipeSize

_HEADING = f"  {'size':<9}{'outside':<20}{'inside':<20}bears"
_BASIS = {
    "average": "inside: the average",
    "minimum wall": "inside: with the least wall, so the most it can be",
    "nominal": "inside: nominal",
    "stated": "inside: as stated",
}
_ASK = "see its print"


def pipes_text(rows: Sequence[PipeSize]) -> str:
    """Return the rows as a table in both unit systems, at most 79 columns of plain ASCII.

    Parameters
    ----------
    rows
        The rows to show, those of one standard and grade beside each other.
    """
    blocks = []
    for (name, standard, grade), group in groupby(rows, key=_kind):
        members = list(group)
        first = members[0]
        lines = [f"{name} {standard} {grade}    ({_BASIS[first.inside_basis]})", _HEADING]
        lines += [_line(row) for row in members]
        blocks.append("\n".join(lines))
    blocks.append(_closing(rows))
    return "\n\n".join(blocks)


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
                "rating": measurement(row.rating_pa, "kPa"),
                "roughness": measurement(row.material.roughness_m, "m"),
                "hazen_williams": row.material.hazen_williams_c,
                "source": str(row.citation),
                "rating_source": None if row.rating_citation is None else str(row.rating_citation),
            }
            for row in rows
        ]
    }


def _kind(row: PipeSize) -> tuple[str, str, str]:
    return row.name, row.standard, row.grade


def _line(row: PipeSize) -> str:
    outside = _both(row.outside_m)
    inside = _both(row.inside_m)
    bears = _ASK
    if row.rating_pa is not None:
        bears = (
            f"{from_si(row.rating_pa, 'bar'):4.1f} bar  {from_si(row.rating_pa, 'psi'):3.0f} psi"
        )
    return f"  {row.size:<9}{outside:<20}{inside:<20}{bears}".rstrip()


def _both(length_m: float) -> str:
    return f"{from_si(length_m, 'mm'):5.1f} mm {from_si(length_m, 'in'):6.3f} in"


def _closing(rows: Sequence[PipeSize]) -> str:
    lines = [
        "In a study file, one of these lines or the pipe's own inside:",
        f'  spec = "{rows[0].label}"',
        '  spec = { inside = "26 mm", rating = "16 bar", material = "PE" }',
    ]
    if any(row.rating_pa is None for row in rows):
        asked = next(row for row in rows if row.rating_pa is None)
        lines += [
            f"Where it says '{_ASK}', the rating hangs on the steel or plastic used:",
            f'  spec = {{ standard = "{asked.label}", rating = "..." }}',
        ]
    lines.append("Ratings hold for water up to about 23 C (73 F); warmer plastic bears less.")
    return "\n".join(lines)
