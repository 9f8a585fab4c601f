"""The ``[pipe.NAME]`` tables: where a pipe goes, and what it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from terrain_head.base.measured import Measured
from terrain_head.base.names import quoted_text
from terrain_head.base.quantities import QuantityError
from terrain_head.files.pipe_spec import parse_spec
from terrain_head.files.pipe_wish import is_wish, parse_wish
from terrain_head.files.study_keys import PIPE
from terrain_head.files.study_names import dotted, is_blank
from terrain_head.files.study_values import Ledger, TableReader, said
from terrain_head.formulas.fittings import (
    FITTINGS,
    UnknownFittingError,
    fitting,
    nearest_fittings,
)
from terrain_head.scheme.parts import ZERO, PipeRun, PipeSpec
from terrain_head.scheme.pipe_choice import Prices, SizeChoice

_US_EXAMPLES: Mapping[str, str] = {
    "26 mm": "1.05 in",
    "16 bar": "200 psi",
    "0.0015 mm": "0.00006 in",
    "3 mm": "1/8 in",
}
"""What stands in an example for those who read US units, by what stands for the others."""


def read_pipe(
    name: str, values: Mapping[str, Any], *, ledger: Ledger, prices: Prices
) -> PipeRun | None:
    """Return one pipe, or None where an end is still open.

    Parameters
    ----------
    name
        Its name.
    values
        Its table as parsed.
    ledger
        Where troubles, blanks and taken values go.
    prices
        What pipes cost.
    """
    table = TableReader(ledger, ("pipe", name), values=values, keys=PIPE)
    start, end = table.text("from"), table.text("to")
    if start is not None and start == end:
        table.wrong("to", f'it ends where it begins, at "{start}".')
    route = table.text("route")
    length = table.measured("length")
    cover = table.measured("cover") or ZERO
    wished = is_wish(table.values.get("spec"))
    choice = _choice(table, prices) if wished else None
    spec = None if wished else _spec(table)
    fittings = _fittings(table)
    more = table.measured("more_loss")
    if start is None or end is None:
        return None
    return PipeRun(
        name=name,
        start=start,
        end=end,
        route=route,
        length_m=length,
        cover_m=Measured(value=cover.value, std=cover.std),
        spec=spec,
        fittings=fittings,
        more_loss=0.0 if more is None else more.value,
        choice=choice,
    )


def _choice(table: TableReader, prices: Prices) -> SizeChoice | None:
    where = dotted((*table.path, "spec"))
    try:
        return parse_wish(table.values["spec"], where=where, prices=prices)
    except QuantityError as error:
        table.wrong("spec", error.trouble.what, write=error.trouble.write)
        return None


def _spec(table: TableReader) -> PipeSpec | None:
    given = table.values.get("spec")
    if given is None:
        return None
    where = dotted((*table.path, "spec"))
    if isinstance(given, dict):
        for key in [key for key, value in given.items() if is_blank(value)]:
            table.ledger.blanks.append(table.ledger.written_at((*table.path, "spec", key)))
        given = {key: value for key, value in given.items() if not is_blank(value)}
        if not {"inside", "standard"} & set(given) and len(given) < len(table.values["spec"]):
            return None
    try:
        spec, taken = parse_spec(given, where=where)
    except QuantityError as error:
        cure, what = error.trouble.write, error.trouble.what
        whole = _whole_spec(table, given)
        if whole is not None:
            cure = f"spec = {whole}"
            what += (
                " A choice replaces a whole spec: what it leaves out is not taken from the study."
            )
        elif table.ledger.units.name == "us":
            for metric, us in _US_EXAMPLES.items():
                cure = cure.replace(f'"{metric}"', f'"{us}"')
        table.wrong("spec", what, write=cure if "=" in cure else _quoted(cure))
        return None
    table.ledger.taken += taken
    return spec


def _whole_spec(table: TableReader, given: object) -> str | None:
    """Return the spec that a choice means: its own values, the others as the study has them."""
    old = table.ledger.replaced.get((*table.path, "spec"))
    if old is None or not isinstance(given, Mapping):
        return None
    if isinstance(old, Mapping) and {"inside", "standard"} & set(given):
        old = {key: value for key, value in old.items() if key not in {"rating", "wall"}}
    us = table.ledger.units.name == "us"
    usual = {"inside": "26 mm", "material": "PE"}
    usual = {key: _US_EXAMPLES.get(word, word) if us else word for key, word in usual.items()}
    for before in (old, usual):
        whole = {**before, **given} if isinstance(before, Mapping) else given
        try:
            parse_spec(whole, where="spec")
        except QuantityError:
            continue
        return f"{{ {', '.join(f'{key} = {quoted_text(str(v))}' for key, v in whole.items())} }}"
    return None


def _quoted(cure: str) -> str:
    return f'spec = "{cure}"' if cure else ""


def _fittings(table: TableReader) -> dict[str, int]:
    given = table.values.get("fittings")
    if given is None:
        return {}
    if not isinstance(given, dict):
        table.wrong("fittings", "a table of fittings and how many of each is wanted.")
        return {}
    found: dict[str, int] = {}
    for name, count in given.items():
        path = (*table.path, "fittings", name)
        try:
            word = fitting(name).name
        except UnknownFittingError:
            near = nearest_fittings(name)
            table.ledger.wrong(
                path,
                "there is no such fitting. "
                + (f"Near it: {', '.join(near)}." if near else f"Known: {', '.join(FITTINGS)}."),
                write=f'fittings = {{ "{near[0]}" = {count} }}' if near else "",
                mark_key=True,
            )
            continue
        if is_blank(count):
            table.ledger.blanks.append(table.ledger.written_at(path))
        elif isinstance(count, bool) or not isinstance(count, int) or count < 0:
            table.ledger.wrong(
                path,
                f"{said(count)} is not a whole number of fittings.",
                write=f'fittings = {{ "{word}" = 1 }}',
            )
        elif count:
            found[word] = found.get(word, 0) + count
    return found
