"""A spec that leaves the size to be chosen: ``smallest PE100 ISO 4427 SDR 11``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from terrain_head.base.quantities import QuantityError
from terrain_head.files.pipe_candidates import Candidate, find_candidate, find_family
from terrain_head.files.pipe_spec import rating_of, taken_roughness
from terrain_head.scheme.pipe_choice import Prices, SizeChoice, SizeOption

_WORDS = ("smallest", "cheapest")
_EXAMPLE = 'spec = "smallest PE100 ISO 4427 SDR 11"'
_TABLE = 'spec = { choose = ["PE100 ISO 4427 SDR 11", "PE100 ISO 4427 SDR 17"] }'


def is_wish(value: object) -> bool:
    """Say whether a spec asks for its size to be chosen.

    Examples
    --------
    >>> is_wish("Smallest PE100 SDR 11"), is_wish({"choose": []}), is_wish("32 mm PE100 SDR 11")
    (True, True, False)
    """
    if isinstance(value, Mapping):
        return "choose" in value
    return isinstance(value, str) and value.strip().casefold().split(" ")[0] in _WORDS


def parse_wish(value: object, *, where: str, prices: Prices) -> SizeChoice:
    """Return what a pipe may be.

    Parameters
    ----------
    value
        ``smallest`` (or ``cheapest``) and a pipe without its size; or a table with ``choose``, one
        such pipe or a list of them, and perhaps the ``rating`` that is printed on all of them.
    where
        Key of the value in the study file, for what is taken: ``pipe.beds.spec``.
    prices
        What pipes cost. Where any pipe has a price, only priced ones can be chosen.

    Raises
    ------
    QuantityError
        If a kind of pipe is not understood, or nothing of it has a price where prices are wanted.

    Examples
    --------
    >>> wish = parse_wish("smallest PE100 SDR 11", where="pipe.a.spec", prices=Prices())
    >>> wish.families, wish.options[0].spec.label
    (('PE100 ISO 4427 SDR 11',), 'PE100 ISO 4427 20 mm SDR 11')
    """
    texts, rating_pa = _asked(value)
    found = [one for text in texts for one in find_family(text)]
    if not found:
        raise QuantityError("nothing stands there to choose from.", _TABLE)
    families = tuple(dict.fromkeys(one.family for one in found))
    options = [_option(one, rating_pa=rating_pa, where=where, prices=prices) for one in found]
    priced = [one for one in options if one.price is not None]
    dear = isinstance(value, str) and value.strip().casefold().startswith(_WORDS[1])
    if (prices.pipe or dear) and not priced:
        label = options[len(options) // 2].spec.label
        raise QuantityError(
            f"[costs] has no price for any pipe of {' or '.join(families)}.",
            f'[costs]\npipe = {{ "{label}" = 2.10 }}',
        )
    kept = priced if prices.pipe else options
    return SizeChoice(
        families=families,
        options=tuple(sorted(kept, key=lambda one: (one.spec.inside_m.value, one.outside_m))),
    )


def label_of(text: str) -> str:
    """Return how the pipe that a text means is named, to hold prices against it.

    Raises
    ------
    QuantityError
        If it means no pipe of the table, or more than one.
    """
    return find_candidate(text).label


def _asked(value: object) -> tuple[list[str], float | None]:
    if isinstance(value, str):
        return [value.strip().split(" ", 1)[-1].strip()], None
    if not isinstance(value, Mapping):
        raise QuantityError(f"{value!r} is no pipe: write a text or a table.", _EXAMPLE)
    unknown = [key for key in value if key not in {"choose", "rating"}]
    if unknown:
        raise QuantityError(
            f"{unknown[0]!r} does not go beside 'choose'; only 'rating' does.", _TABLE
        )
    wished = value["choose"]
    texts = [wished] if isinstance(wished, str) else wished
    if not isinstance(texts, list) or not all(isinstance(text, str) for text in texts):
        raise QuantityError("'choose' is a kind of pipe, or a list of them.", _TABLE)
    rating_pa = rating_of(value) if "rating" in value else None
    return [text.strip() for text in texts], rating_pa


def _option(one: Candidate, *, rating_pa: float | None, where: str, prices: Prices) -> SizeOption:
    spec = one.spec()
    return SizeOption(
        spec=spec if rating_pa is None else replace(spec, rating_pa=rating_pa),
        size=one.row.size,
        outside_m=one.row.outside_m,
        price=prices.pipe.get(spec.label),
        taken=(taken_roughness(one.row.material, where),),
    )
