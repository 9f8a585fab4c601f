"""From what a person writes on a pipe to the pipe: ``PE100 ISO 4427 32 mm SDR 11``."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from terrain_head.base.measured import Measured
from terrain_head.base.quantities import QuantityError, parse_quantity
from terrain_head.base.units import Dimension, from_si, to_si
from terrain_head.formulas.pipe_rating import DESIGN_STRESS_PA, rating_by_inside_pa
from terrain_head.scheme.parts import PipeSpec, Taken
from terrain_head.scheme.pipe_table import (
    MATERIALS,
    PIPE_TABLE,
    SIDR_RATIOS,
    Material,
    PipeSize,
    find_material,
)

EXAMPLE = 'spec = "PE100 ISO 4427 32 mm SDR 11"'
_TABLE_EXAMPLE = 'spec = { inside = "26 mm", rating = "16 bar", material = "PE" }'
_STANDARDS = {
    r"(?:asme\s*)?b\s*36\.?\s*10m?": "ASME B36.10",
    r"(?:astm\s*)?d\s*1785": "ASTM D1785",
    r"(?:astm\s*)?d\s*2239": "ASTM D2239",
    r"(?:iso\s*)?\b4427(?:-2)?": "ISO 4427",
}
_GRADE = re.compile(r"\b(?P<kind>sch(?:edule)?\.?|sidr|sdr|pn)\s*(?P<number>\d+(?:\.\d+)?)\b")
_CODE = re.compile(r"\bpe\s*(4710|3608|3408)\b")
_SIZE = re.compile(
    r"""(?<![\w./])
    (?:(?P<whole>\d+)\s+)?(?P<num>\d+)\s*/\s*(?P<den>[1-9]\d*)\s*(?:in|inch|inches|"|″)?(?!\w)
    |(?<![\w./])(?P<decimal>\d+(?:\.\d+)?)\s*(?P<unit>inches|inch|in|"|″|mm)(?!\w)
    """,
    re.VERBOSE,
)
_WALL_BESIDE = re.compile(r"\b(\d+)\s*x\s*\d+(?:\.\d+)?\s*(?:mm\b)?")
_BARE_DIAMETER = re.compile(r"\b(?:dn|d|od)\s?(\d+)\b(?!\s*(?:mm|x))")
_PRESSURE = re.compile(r"(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>lbs?|psi|pounds?|bar|kpa)\b")
_KEYS = ("standard", "inside", "rating", "roughness", "material", "wall")


def parse_spec(value: object, *, where: str) -> tuple[PipeSpec, tuple[Taken, ...]]:
    """Return the pipe that a text or a table of the study file means.

    Parameters
    ----------
    value
        ``PVC ASTM D1785 1-1/2 in Sch 40`` (order, capitals and hyphens do not matter), or a table
        with ``inside``, and perhaps ``rating``, ``roughness``, ``material``, ``wall``; or one with
        ``standard`` and ``rating``.
    where
        Key of the value in the study file, for what is taken: ``pipe.beds.spec``.

    Returns
    -------
    tuple of PipeSpec and Taken
        The pipe, and the values that were taken for want of the person's own.

    Raises
    ------
    QuantityError
        If the text means no pipe of the table, or more than one; or a value of the table is wrong.

    Examples
    --------
    >>> spec, taken = parse_spec("pe100 iso-4427 sdr 11 32mm", where="pipe.delivery.spec")
    >>> spec.label, round(spec.inside_m.value, 4), [value.key for value in taken]
    ('PE100 ISO 4427 32 mm SDR 11', 0.026, ['pipe.delivery.spec.roughness'])
    """
    if isinstance(value, str):
        row, rating = _find_row(value)
        return row.spec(rating_pa=rating), (_taken_roughness(row.material, where),)
    if not isinstance(value, Mapping):
        raise QuantityError(f"{value!r} is no pipe: write a text or a table.", EXAMPLE)
    unknown = [key for key in value if key not in _KEYS]
    if unknown:
        raise QuantityError(
            f"a pipe has no {unknown[0]!r}. It may have {', '.join(_KEYS)}.", _TABLE_EXAMPLE
        )
    if "standard" in value:
        return _standard_table(value, where=where)
    return _stated_table(value, where=where)


def _standard_table(
    value: Mapping[str, object], *, where: str
) -> tuple[PipeSpec, tuple[Taken, ...]]:
    text = value["standard"]
    example = 'spec = { standard = "steel ASME B36.10 2 in Sch 40", rating = "300 psi" }'
    clash = [key for key in ("inside", "wall", "material") if key in value]
    if not isinstance(text, str) or clash:
        found = f"{clash[0]!r} stands beside 'standard', which fixes it" if clash else f"{text!r}"
        raise QuantityError(f"{found}; a standard is a text.", example)
    row, printed = _find_row(text)
    rating = _pressure(value) if "rating" in value else printed
    spec = row.spec(rating_pa=rating)
    if "roughness" not in value:
        return spec, (_taken_roughness(row.material, where),)
    return replace(spec, roughness_m=_length(value, "roughness")), ()


def _stated_table(value: Mapping[str, object], *, where: str) -> tuple[PipeSpec, tuple[Taken, ...]]:
    if "inside" not in value:
        raise QuantityError("a pipe given by a table needs its inside diameter.", _TABLE_EXAMPLE)
    inside = _length(value, "inside")
    if not inside.value > 0:
        raise QuantityError(
            f"inside = {value['inside']!r} must be more than 0.", 'inside = "26 mm"'
        )
    word = str(value.get("material", ""))
    material = find_material(word)
    taken: tuple[Taken, ...] = ()
    if "roughness" in value:
        roughness = _length(value, "roughness")
        if not 0 <= roughness.value < inside.value / 10:
            raise QuantityError(
                f"roughness = {value['roughness']!r} is not that of a pipe of this bore.",
                'roughness = "0.0015 mm"',
            )
    elif material is not None:
        roughness = Measured(value=material.roughness_m)
        taken = (_taken_roughness(material, where),)
    else:
        known = ", ".join(MATERIALS)
        found = f"the material {word!r} is not known" if word else "it has no material"
        raise QuantityError(
            f"the roughness of this pipe is not given, and {found}. Known: {known}.",
            _TABLE_EXAMPLE,
        )
    wall = _length(value, "wall").value if "wall" in value else None
    spec = PipeSpec(
        label=f"{material.name if material else word} {value['inside']} inside".strip(),
        inside_m=inside,
        roughness_m=roughness,
        wall_m=wall,
        rating_pa=_pressure(value) if "rating" in value else None,
        material=material.name if material else word,
        rigid=material.rigid if material else None,
        hazen_williams_c=material.hazen_williams_c if material else 140.0,
    )
    return spec, taken


def _length(value: Mapping[str, object], key: str) -> Measured:
    text = value[key]
    example = {"inside": "26 mm", "roughness": "0.0015 mm", "wall": "3 mm"}[key]
    if not isinstance(text, str):
        raise QuantityError(f"{key} = {text!r} has no unit.", f'{key} = "{example}"')
    return parse_quantity(text, Dimension.LENGTH, example=f'{key} = "{example}"')


def _pressure(value: Mapping[str, object]) -> float:
    text, example = value["rating"], 'rating = "16 bar"'
    if not isinstance(text, str):
        raise QuantityError(f"rating = {text!r} has no unit.", example)
    rating = parse_quantity(text, Dimension.PRESSURE, example=example).value
    if not rating > 0:
        raise QuantityError(f"rating = {text!r} must be more than 0.", example)
    return rating


def _taken_roughness(material: Material, where: str) -> Taken:
    return Taken(
        key=f"{where}.roughness",
        value_si=material.roughness_m,
        unit="m",
        citation=material.roughness_citation,
    )


def _find_row(text: str) -> tuple[PipeSize, float | None]:
    """Return the one row a text means, and the rating its material code implies."""
    plain = " ".join(re.sub(r"[,;()_]", " ", text.lower()).split())
    if not plain or plain == "?":
        raise QuantityError(f"{text!r} is still blank; a pipe is wanted.", EXAMPLE)
    # 1-1/2 keeps its meaning when every hyphen becomes a blank: 1 1/2.
    plain = plain.replace("-", " ")
    zinc = re.search(r"\bgalvani[sz]ed\b", plain)
    rows, rest = _by_standard(plain if zinc is None else plain.replace(zinc[0], "steel"))
    if zinc is not None:
        coated = MATERIALS["galvanized steel"]
        rows = [
            replace(row, material=coated, name=coated.name) for row in rows if row.material.rigid
        ]
    if not rows:
        raise _unknown(f"no pipe of the table is {text!r}.", _nearest(plain))
    grade, rest = _taken_out(_GRADE, rest)
    code, rest = _taken_out(_CODE, rest)
    pressure, rest = _taken_out(_PRESSURE, rest)
    size = _SIZE.search(_WALL_BESIDE.sub(r"\1 mm", _BARE_DIAMETER.sub(r"\1 mm", rest)))
    if size is None:
        raise _unknown(f"{text!r} names no size.", rows[:3])
    nominal = _nominal_m(size)
    near = sorted(rows, key=lambda row: abs(row.nominal_m - nominal))
    sized = [row for row in rows if abs(row.nominal_m - nominal) < 1e-6]
    if not sized:
        graded = [row for row in near if grade is None or _grade_matches(row, grade)]
        found = size[0].strip()
        raise _unknown(f"no pipe of {found} is in the table for {text!r}.", (graded or near)[:3])
    if grade is None:
        raise _ambiguous(text, sized, pressure)
    matching = [row for row in sized if _grade_matches(row, grade)]
    if not matching:
        raise _unknown(f"{grade[0].strip()!r} in {text!r} is not in the table.", sized[:3])
    return matching[0], _implied_rating(matching[0], code)


def _taken_out(pattern: re.Pattern[str], text: str) -> tuple[re.Match[str] | None, str]:
    match = pattern.search(text)
    if match is None:
        return None, text
    return match, f"{text[: match.start()]} {text[match.end() :]}"


def _by_standard(plain: str) -> tuple[list[PipeSize], str]:
    for pattern, standard in _STANDARDS.items():
        match = re.search(pattern, plain)
        if match is not None:
            rest = f"{plain[: match.start()]} {plain[match.end() :]}"
            return [row for row in PIPE_TABLE if row.standard == standard], rest
    words = plain.replace('"', " ").split()
    material = next((found for word in words if (found := find_material(word)) is not None), None)
    if material is None:
        return [], plain
    return [row for row in PIPE_TABLE if row.material is material], plain


def _grade_matches(row: PipeSize, grade: re.Match[str]) -> bool:
    kind, number = grade["kind"], grade["number"]
    if kind == "pn":
        return row.standard == "ISO 4427" and row.rating_pa == to_si(float(number), "bar")
    name = "Sch" if kind.startswith("sch") else kind.upper()
    return row.grade == f"{name} {float(number):g}"


def _nominal_m(size: re.Match[str]) -> float:
    if size["num"] is not None:
        inches = Fraction(int(size["num"]), int(size["den"])) + int(size["whole"] or 0)
        return to_si(float(inches), "in")
    return to_si(float(size["decimal"]), "mm" if size["unit"] == "mm" else "in")


def _implied_rating(row: PipeSize, code: re.Match[str] | None) -> float | None:
    if code is None or not row.grade.startswith("SIDR"):
        return None
    stress = DESIGN_STRESS_PA[f"PE{code[1]}"]
    return float(rating_by_inside_pa(float(row.grade.split()[1]), design_stress_pa=stress))


def _nearest(plain: str) -> list[PipeSize]:
    words = set(plain.replace('"', " in").split())
    return sorted(PIPE_TABLE, key=lambda row: -len(words & set(row.label.lower().split())))[:3]


def _unknown(what: str, near: list[PipeSize]) -> QuantityError:
    write = "\n".join(f'spec = "{row.label}"' for row in near)
    return QuantityError(
        f"{what} 'terrain-head pipes' lists them; any other pipe is given by its inside.",
        f"{write}\n{_TABLE_EXAMPLE}",
    )


def _ambiguous(text: str, rows: list[PipeSize], pressure: re.Match[str] | None) -> QuantityError:
    controlled = [row for row in rows if row.grade.startswith("SIDR")]
    if pressure is not None and pressure["unit"] not in {"bar", "kpa"}:
        psi = float(pressure["number"])
        may_be = _of_rating(controlled, psi)
        if may_be:
            which = " or ".join(f"{row.grade} of {code}" for row, code in may_be)
            return QuantityError(
                f"{text!r} may be {which}: each bears about {psi:g} psi. "
                "Look along the pipe for the print SIDR and the print PE, and copy both.",
                "\n".join(
                    f'spec = "{code} {row.standard} {row.size} {row.grade}"' for row, code in may_be
                ),
            )
    grades = ", ".join(row.grade for row in rows)
    return QuantityError(
        f"{text!r} does not say which wall it has. The table holds {grades} of this size; "
        "look along the pipe for that print and copy it.",
        "\n".join(f'spec = "{row.label}"' for row in rows),
    )


def _of_rating(rows: list[PipeSize], psi: float) -> list[tuple[PipeSize, str]]:
    """Return the rows, with the material code, that bear a rating within 5 %."""
    found = []
    for code in ("PE3608", "PE4710"):
        for ratio in SIDR_RATIOS:
            rating = rating_by_inside_pa(ratio, design_stress_pa=DESIGN_STRESS_PA[code])
            if abs(from_si(float(rating), "psi") - psi) <= 0.05 * psi:
                found += [(row, code) for row in rows if row.grade == f"SIDR {ratio:g}"]
    return found
