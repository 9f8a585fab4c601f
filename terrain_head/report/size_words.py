"""The sizes that were chosen, in words: a line of the screen, a table of the report, the JSON."""

from __future__ import annotations

from itertools import groupby

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.limits import DELIVERY_VELOCITY, RATING_SHARE, VELOCITY
from terrain_head.assessment.size_choice import ChosenSize, How
from terrain_head.assessment.size_trials import Short
from terrain_head.base.middle import middle_of
from terrain_head.base.units import METRIC, UnitSystem, from_si
from terrain_head.report.measurement import Json, measurement
from terrain_head.report.speech import Speech, listed, pipe_words, sentence_case
from terrain_head.report.table import UNKNOWN, Table

_HOW: dict[How, str] = {
    "proven": "no set of sizes costs less",
    "tried all": "every set was tried",
    "tried some": "found step by step; a cheaper set may exist",
    "rules": "published rules",
}
_NOTE = (
    "Smallest: the least sum of length times outside diameter; with prices, the least money. "
    "Chosen on the middle figures. Speed at the most: "
    f"{VELOCITY.citation}; in a delivery {DELIVERY_VELOCITY.citation}. "
    f"Margin of the rating, where there is such a pipe: {RATING_SHARE.citation}."
)


def chosen_words(answer: Answer) -> str:
    """Return which pipes were chosen, for one row of the screen; empty where none was.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    parts = []
    ordered = sorted(answer.sizes, key=lambda one: one.families)
    for families, group in groupby(ordered, key=lambda one: one.families):
        named = [f"{_name(answer, one)} {one.size}" for one in group]
        of = families[0] if len(families) == 1 else "each as the report says"
        parts.append(f"{listed(named)} ({of})")
    text = "; ".join(parts)
    short = [one for one in answer.sizes if one.fails]
    if not short:
        return f"{text}." if text else ""
    fails = dict.fromkeys(fail for one in short for fail in one.fails)
    first = next(iter(fails))
    return f"{text}. No size of this kind does: {short_words(first, answer.units)}."


def _name(answer: Answer, one: ChosenSize) -> str:
    pipe = answer.layout.pipes[one.pipe]
    return pipe.role if pipe.role in {"drive", "delivery"} else one.pipe


def short_words(short: Short, units: UnitSystem) -> str:
    """Return what some sizes miss.

    Parameters
    ----------
    short
        What, and by how much.
    units
        How it is shown.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC
    >>> short_words(Short(kind="negative", name="beds", by=2.0, unit="m"), METRIC)
    "the pipe 'beds' runs 2.00 m under the air's pressure"
    """
    say = Speech(units=units)
    if short.kind == "pressure":
        return f"{short.name} is {say.pressure(short.by)} short"
    if short.kind == "water":
        return f"{short.name} gets {say.per_day(short.by)} too little"
    pipe = pipe_words(short.name)
    if short.kind == "rating":
        return f"{pipe} bears {say.pressure(short.by)} too little"
    if short.kind == "negative":
        return f"{pipe} runs {say.head(short.by)} under the air's pressure"
    if short.kind == "bore":
        return f"{pipe} is {say.bore(short.by)} off what the rules agree on"
    unit = "m/s" if units.name == "metric" else "ft/s"
    return f"the water in {pipe} is {_speed(short.by, units)} {unit} too fast"


def _speed(metres_s: float, units: UnitSystem) -> str:
    return f"{from_si(metres_s, 'm/s' if units.name == 'metric' else 'ft/s'):.2g}"


def why_words(one: ChosenSize, units: UnitSystem) -> str:
    """Return why a pipe got its size.

    Parameters
    ----------
    one
        The chosen size.
    units
        How figures are shown.
    """
    if one.fails:
        missed = "; ".join(short_words(fail, units) for fail in one.fails)
        return f"No size of this kind does: with {one.size} {missed}."
    if one.rules is not None:
        return _rules_words(one, units)
    if one.smaller is None:
        return "The smallest of its kind does."
    if one.forbids is not None:
        return f"With {one.smaller}, {short_words(one.forbids, units)}."
    return f"With {one.smaller} the whole would cost more."


def _rules_words(one: ChosenSize, units: UnitSystem) -> str:
    say, rules = Speech(units=units), one.rules
    if rules is None:
        raise AssertionError("a size by rules without rules")
    low = say.bore(rules.low_m)
    upper = f"{low} to {say.bore(rules.high_m)}" if rules.high_m < 10 else f"{low} or wider"
    if not rules.differ:
        return f"The published rules agree on {upper} inside."
    return f"Most rules agree on {upper} inside. Apart: {'; '.join(rules.differ)}."


def sizes_table(answer: Answer) -> Table:
    """Return the chosen sizes with their reasons.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    rows = tuple(
        (
            one.pipe,
            one.spec.label,
            why_words(one, answer.units),
            sentence_case(_HOW[one.how]),
            UNKNOWN if one.price is None else f"{one.price:,.0f}",
        )
        for one in answer.sizes
    )
    return Table(
        title="Pipes chosen",
        heads=("pipe", "chosen", "why", "how sure", "price"),
        rows=rows + _trench(answer) if rows else (),
        note=_NOTE,
    )


def _trench(answer: Answer) -> tuple[tuple[str, ...], ...]:
    """Return what trenches cost, a row of its own: the same whatever the sizes."""
    price = answer.layout.parts.prices.trench
    buried = [p for p in answer.layout.pipes.values() if p.run.cover_m.value > 0]
    length_m = sum(middle_of(pipe.length_m) or 0.0 for pipe in buried)
    if price is None or not buried:
        return ()
    length = Speech(units=answer.units).length(length_m)
    return (
        ("trenches", length, "Every pipe with a cover, alone.", "", f"{price * length_m:,.0f}"),
    )


def sizes_document(answer: Answer) -> Json:
    """Return the chosen sizes by the name of the pipe.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    return {
        one.pipe: {
            "spec": one.spec.label,
            "why": why_words(one, METRIC),
            "how": one.how,
            "chosen_from": list(one.families),
            "smaller": one.smaller,
            "forbids": None if one.forbids is None else _short_document(one.forbids),
            "fails": [_short_document(fail) for fail in one.fails],
            "price": one.price,
        }
        for one in answer.sizes
    }


def _short_document(short: Short) -> Json:
    return {
        "kind": short.kind,
        "name": short.name,
        "by": measurement(short.by, short.unit),
    }
