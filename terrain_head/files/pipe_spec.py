"""From what a person writes on a pipe to the pipe: ``PE100 ISO 4427 32 mm SDR 11``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from terrain_head.base.measured import Measured
from terrain_head.base.quantities import QuantityError, parse_quantity
from terrain_head.base.units import Dimension
from terrain_head.files.pipe_candidates import TABLE_EXAMPLE, find_candidate
from terrain_head.formulas.pipe_warmth import PE100_DERATING
from terrain_head.scheme.parts import PipeSpec, Taken
from terrain_head.scheme.pipe_table import MATERIALS, Material, find_material

EXAMPLE = 'spec = "PE100 ISO 4427 32 mm SDR 11"'
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
        If the text means no pipe of the table, or more than one (the cure then lists them); or a
        value of the table is wrong.

    Examples
    --------
    >>> spec, taken = parse_spec("pe100 iso-4427 sdr 11 32mm", where="pipe.delivery.spec")
    >>> spec.label, round(spec.inside_m.value, 4), [value.key for value in taken]
    ('PE100 ISO 4427 32 mm SDR 11', 0.026, ['pipe.delivery.spec.roughness'])
    """
    if isinstance(value, str):
        one = find_candidate(value)
        return one.spec(), (taken_roughness(one.row.material, where),)
    if not isinstance(value, Mapping):
        raise QuantityError(f"{value!r} is no pipe: write a text or a table.", EXAMPLE)
    unknown = [key for key in value if key not in _KEYS]
    if unknown:
        raise QuantityError(
            f"a pipe has no {unknown[0]!r}. It may have {', '.join(_KEYS)}.", TABLE_EXAMPLE
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
    one = find_candidate(text)
    spec = one.spec()
    if "rating" in value:
        spec = replace(spec, rating_pa=rating_of(value))
    if "roughness" not in value:
        return spec, (taken_roughness(one.row.material, where),)
    return replace(spec, roughness_m=_length(value, "roughness")), ()


def _stated_table(value: Mapping[str, object], *, where: str) -> tuple[PipeSpec, tuple[Taken, ...]]:
    if "inside" not in value:
        raise QuantityError("a pipe given by a table needs its inside diameter.", TABLE_EXAMPLE)
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
        taken = (taken_roughness(material, where),)
    else:
        known = ", ".join(MATERIALS)
        found = f"the material {word!r} is not known" if word else "it has no material"
        raise QuantityError(
            f"the roughness of this pipe is not given, and {found}. Known: {known}.",
            TABLE_EXAMPLE,
        )
    wall = _length(value, "wall").value if "wall" in value else None
    spec = PipeSpec(
        label=f"{material.name if material else word} {value['inside']} inside".strip(),
        inside_m=inside,
        roughness_m=roughness,
        wall_m=wall,
        rating_pa=rating_of(value) if "rating" in value else None,
        material=material.name if material else word,
        rigid=material.rigid if material else None,
        hazen_williams_c=material.hazen_williams_c if material else 140.0,
        derating=PE100_DERATING if _is_pe100(word) else material.derating if material else None,
    )
    return spec, taken


def _is_pe100(word: str) -> bool:
    return "".join(word.lower().split()) == "pe100"


def _length(value: Mapping[str, object], key: str) -> Measured:
    text = value[key]
    example = {"inside": "26 mm", "roughness": "0.0015 mm", "wall": "3 mm"}[key]
    if not isinstance(text, str):
        raise QuantityError(f"{key} = {text!r} has no unit.", f'{key} = "{example}"')
    return parse_quantity(text, Dimension.LENGTH, example=f'{key} = "{example}"')


def rating_of(value: Mapping[str, object]) -> float:
    """Return the rating that stands in a table of a pipe [Pa].

    Raises
    ------
    QuantityError
        If it is no pressure above 0.
    """
    text, example = value["rating"], 'rating = "16 bar"'
    if not isinstance(text, str):
        raise QuantityError(f"rating = {text!r} has no unit.", example)
    rating = parse_quantity(text, Dimension.PRESSURE, example=example).value
    if not rating > 0:
        raise QuantityError(f"rating = {text!r} must be more than 0.", example)
    return rating


def taken_roughness(material: Material, where: str) -> Taken:
    """Return the roughness that is taken for a material, for the spec at a key."""
    return Taken(
        key=f"{where}.roughness",
        value_si=material.roughness_m,
        unit="m",
        citation=material.roughness_citation,
    )
