"""The page that lists the pipe table, made from the table.

Run as a module it writes docs/pipes.md anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

from terrain_head.base.citation import Citation
from terrain_head.base.quantities import QuantityError
from terrain_head.base.units import from_si
from terrain_head.files.pipe_candidates import find_candidate
from terrain_head.formulas.pipe_walls import (
    DEFAULT_SURGE,
    OCCASIONAL_SURGE_M_S,
    RECURRING_SURGE_M_S,
    SURGE_ALLOWANCES,
    WALL_MODULI,
)
from terrain_head.formulas.pipe_warmth import DERATINGS
from terrain_head.formulas.surge import wave_speed_by_ratio_m_s
from terrain_head.report.pipes_table import BASIS_MEANS
from terrain_head.scheme.pipe_table import PIPE_TABLE, PipeSize

PAGE = Path(__file__).parents[2] / "docs" / "pipes.md"
WRITTEN = (
    "PE100 32 mm SDR 11",
    "PE100 50mm PN10",
    '1-1/2" SDR-21 PVC IPS',
    "pvc 1 in class 200",
    "2 in galvanised Sch 40",
    "1 in black poly SIDR 15, PE3408",
    "1 inch black poly, 100 lb",
    "3/4 pvc",
    "2 inch galvanised",
    "32mm blue MDPE",
    "1-1/4 CTS",
    "PE 4427 32 SDR11",
    "50mm PN10",
    "3/4 copper",
)
_HEAD = """# Pipes

The pipes that a study may name by what is printed on them, made from the table in
`terrain_head.scheme.pipe_table` by `python -m tests.scheme.pipes_page`; a test ties page and table.
`terrain-head pipes` lists them, with `--material`, `--standard`, `--size`, `--rating` (the least it
must bear), `--inside` (the least width), `--units` and `--json`.

No standard was read itself: rows come from copies, as each source says, and were held row by row
against the tables of an open-source library. What could not be read is left out: write such a pipe
by its inside, `spec = { inside = "26 mm", rating = "16 bar", material = "PE" }`.
The figures are for planning. What is laid, how it is joined and tested, and what may carry drinking
water is for local code and licensed practice to say.
"""


def _kinds() -> Iterator[list[PipeSize]]:
    for _, group in groupby(PIPE_TABLE, key=lambda row: (row.name, row.standard, row.grade)):
        yield list(group)


def _rows(*rows: Sequence[str]) -> str:
    head, *rest = ("| " + " | ".join(row) + " |" for row in rows)
    return "\n".join([head, "|" + "---|" * len(rows[0]), *rest]) + "\n"


def _source(citation: Citation) -> str:
    source = citation.source
    said = [part for part in (source.author, source.title, source.year) if part]
    kept = [part for part in said if part not in {"no year", "unnamed"}]
    return ", ".join(kept) + ("" if citation.obtained == "read" else f" ({citation.obtained})")


def _bears(rows: Sequence[PipeSize]) -> str:
    first = rows[0]
    if first.codes:
        return "by its print: " + ", ".join(
            f"{code} {from_si(rating, 'psi'):.0f} psi" for code, rating in first.ratings_pa.items()
        )
    known = [row.rating_pa for row in rows if row.rating_pa is not None]
    if not known:
        return "its print must say"
    unit = "bar" if first.standard == "ISO 4427" else "psi"
    most, least = (from_si(each, unit) for each in (max(known), min(known)))
    return f"{most:g} {unit}" if most == least else f"{most:.0f} to {least:.0f} {unit}, by size"


def _kind_table() -> str:
    lines = [("spec", "sizes", "inside", "bears, in cool water", "sizes from")]
    for rows in _kinds():
        first = rows[0]
        sizes = f"{first.size} to {rows[-1].size}"
        kind = f"{first.name} {first.standard} SIZE {first.grade}"
        sources = dict.fromkeys(_source(row.citation) for row in rows)
        lines.append((f"`{kind}`", sizes, first.inside_basis, _bears(rows), "; ".join(sources)))
    return _rows(*lines)


def _rating_sources() -> str:
    cited = dict.fromkeys(
        (row.name, row.standard, _source(row.rating_citation))
        for row in PIPE_TABLE
        if row.rating_citation is not None
    )
    return "\n".join(f"- {name} {standard}: {source}" for name, standard, source in cited) + "\n"


def _warm_tables() -> str:
    parts = []
    for name, table in DERATINGS.items():
        who = "every other polyethylene" if name == "PE" else name
        degrees = [f"{warm:.1f} C ({from_si(warm, 'F'):.1f} F)" for warm in table.temperature_c]
        parts.append(f"{who}: {table.citation}.\n\n")
        parts.append(_rows(("wall", *degrees), ("left", *(f"{left:.0%}" for left in table.share))))
        parts.append("\n")
    return "".join(parts).rstrip() + "\n"


def _surge_tables() -> str:
    ratios = (9.0, 11.0, 17.0, 21.0)
    lines = [("wall", "modulus", *(f"wave, DR {ratio:g}" for ratio in ratios), "from")]
    for each in WALL_MODULI:
        plastic = "steel" not in each.material
        waves = [
            f"{float(wave_speed_by_ratio_m_s(ratio, modulus_pa=each.modulus_pa)):.0f} m/s"
            if plastic
            else "-"
            for ratio in ratios
        ]
        modulus = f"{from_si(each.modulus_pa, 'MPa') / 1000:.3g} GPa"
        lines.append((each.material, modulus, *waves, str(each.citation)))
    allowed = [("pipe", "every day", "rarely", "from")]
    for allowance in SURGE_ALLOWANCES.values():
        shares = (f"{allowance.recurring:g}", f"{allowance.occasional:g}")
        allowed.append((allowance.material, *shares, str(allowance.citation)))
    velocities = (
        f"Where nobody knows, {from_si(RECURRING_SURGE_M_S, 'ft/s'):.0f} ft/s are stopped every "
        f"day and {from_si(OCCASIONAL_SURGE_M_S, 'ft/s'):.0f} ft/s rarely: {DEFAULT_SURGE}."
    )
    return (
        _rows(*lines)
        + "\nStill pressure and surge together may come to so many times the rating:\n\n"
        + _rows(*allowed)
        + f"\n{velocities}\n"
    )


def _answers() -> str:
    lines = [("you write", "it is read as, or you are asked")]
    for written in WRITTEN:
        try:
            answer = f"`{find_candidate(written).label}`"
        except QuantityError as error:
            answer = error.trouble.what
        lines.append((f"`{written}`", answer))
    return _rows(*lines)


def page_text() -> str:
    """Return the page."""
    basis = [f"- {name}: {meaning}" for name, meaning in BASIS_MEANS.items()]
    return "\n".join(
        [
            _HEAD,
            "## How a pipe is written\n",
            "Order, capitals, hyphens and words like black do not matter. Where a text may mean",
            "more than one pipe, none is guessed: the error lists what to write, and what to look",
            "for on the pipe.\n",
            _answers(),
            "## What stands in the table\n",
            _kind_table(),
            "Pipe to ASTM A53 has the sizes of ASME B36.10. Inside diameters:\n",
            "\n".join(basis) + "\n",
            "## Where the ratings come from\n",
            _rating_sources(),
            "Polyethylene by inches bears 2 S / (DR - 1), or 2 S / (SIDR + 1) where the inside is",
            "fixed, with the design stress S of its printed code: 1000 psi for PE4710, 800 psi for",
            "PE3608 and the older PE3408. Metric polyethylene is sold by that figure rounded down",
            "to the series 4, 5, 6.3, 8, 10, 12.5, 16, 20, 25 bar.\n",
            "## Warm water\n",
            "Between the rows a straight line is drawn; over the last one nothing is promised, and",
            "the study says so. Plastic that lies bare on the ground is judged once more at 100 F.",
            "A material of your own keeps the rating you state.\n",
            _warm_tables(),
            "## Water hammer\n",
            _surge_tables(),
        ]
    )


if __name__ == "__main__":
    PAGE.write_text(page_text(), encoding="utf-8")
