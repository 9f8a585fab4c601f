"""Which choices give what was asked for, why others do not, and which of the first is better."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.choices import CRITERIA, Comparison, compare
from terrain_head.assessment.differences import difference_doubt
from terrain_head.assessment.standing import Standing, peers, standing_of
from terrain_head.base.units import UnitSystem
from terrain_head.report.doubt_words import cases_words, chance_short, chance_words
from terrain_head.report.speech import Speech, listed

BETTER_WORDS: Mapping[str, str] = {
    "water": "more water",
    "pressure": "more pressure at the weakest outlet",
    "fall": "more fall",
    "lift": "less lift",
    "pipe": "less pipe",
    "digging": "less digging",
    "high points": "fewer high points",
    "static pressure": "less still pressure in the pipes",
    "stand": "a lower stand",
}
"""What a choice is better by, for each criterion of `terrain_head.assessment.choices.CRITERIA`."""

_HEIGHTS = "the heights are not known well enough to say"


def summary(comparison: Comparison, *, units: UnitSystem, answers: Sequence[Answer] = ()) -> str:
    """Return in a few sentences which choices meet the needs, bring most water, are least work.

    Water and work are compared only between choices that stand alike against the needs.

    Parameters
    ----------
    comparison
        How all the choices compare.
    units
        How figures are shown.
    answers
        Every choice; without them nothing is said of the needs.
    """
    sentences = needs_words(answers)
    group = peers(answers)
    held = like_with_like(comparison, answers=answers)
    whole = len(group) == len(answers)
    found = _most_water(held, units=units, answers=group)
    least = held.better.get("digging") or held.better.get("pipe")
    if least is not None:
        also = "also " if found and held.better.get("water") == least else ""
        found.append(f"'{least}' is {also}the least work to lay.")
    if found and not whole:
        sure = standing_of(group[0]).met == "yes"
        found[0] = f"Of those that {'do' if sure else 'may'}, {found[0]}"
    sentences += found
    return " ".join(sentences) or "No choice stands out in water or in work."


def like_with_like(comparison: Comparison, *, answers: Sequence[Answer]) -> Comparison:
    """Return the comparison of only those choices that stand alike against the needs.

    Parameters
    ----------
    comparison
        How all the choices compare.
    answers
        Every choice.
    """
    group = peers(answers)
    return comparison if len(group) == len(answers) else compare(group)


def _most_water(
    comparison: Comparison, *, units: UnitSystem, answers: Sequence[Answer]
) -> list[str]:
    say = Speech(units=units)
    most = comparison.better.get("water")
    if most is None:
        return []
    amounts = {one.name: one.results["delivered"] for one in comparison.choices}
    best = amounts.pop(most)
    next_best = max((amount for amount in amounts.values() if amount is not None), default=None)
    if best is None or next_best is None:
        return []
    text = (
        f"'{most}' brings the most water: {say.per_day(best)}, against "
        f"{say.per_day_number(next_best)}"
    )
    chance = _chance_of_best(most, answers, criterion="water")
    return [f"{text}." if chance is None else f"{text}; {cases_words(chance)}."]


def _chance_of_best(best: str, answers: Sequence[Answer], *, criterion: str) -> float | None:
    """Return the chance that a choice is better than its closest rival, None without doubt."""
    by_name = {answer.choice: answer for answer in answers}
    if best not in by_name:
        return None
    result, sense = CRITERIA[criterion].result, CRITERIA[criterion].better
    doubts = [
        difference_doubt(by_name[best], other, result=result)
        for name, other in by_name.items()
        if name != best
    ]
    chances = [one.chance_more for one in doubts if one is not None]
    return min((one if sense == "more" else 1 - one for one in chances), default=None)


def needs_words(answers: Sequence[Answer]) -> list[str]:
    """Say which choices give all that was asked for, which may, which do not, and why.

    Parameters
    ----------
    answers
        Every choice.

    Returns
    -------
    list of str
        Sentences; none where nothing was asked.
    """
    asked = [one for one in map(standing_of, answers) if one.met != "not asked"]
    if not asked:
        return []
    by_word = {
        word: [one for one in asked if one.met == word]
        for word in ("yes", "perhaps", "can't tell", "no")
    }
    full, refused = by_word["yes"], by_word["no"]
    open_yet = [*by_word["perhaps"], *by_word["can't tell"]]
    many = len(answers) > 1
    if many and len(full) == len(answers):
        return ["Every choice gives all you asked for."]
    if many and len(open_yet) == len(answers):
        why = f": {_HEIGHTS}" if all(one.heights_hide_it for one in open_yet) else ""
        return [f"Every choice may give all you asked for; none surely does{why}."]
    sentences = []
    if full:
        names = listed([f"'{one.choice}'" for one in full])
        sentences.append(f"{names} give{'s' if len(full) == 1 else ''} all you asked for.")
    elif not open_yet:
        sentences.append("No choice gives all you asked for.")
    more = " give all you asked for" if not full else ""
    sentences += _grouped(open_yet, one=f"may{more}", several=f"may{more}")
    if full or open_yet:
        sentences += _grouped(refused, one="does not", several="do not")
    else:
        sentences += _grouped(refused, one="", several="")
    return sentences


def _grouped(standings: Sequence[Standing], *, one: str, several: str) -> list[str]:
    """Return a sentence for each reason, the choices that share it together."""
    by_reason: dict[str, list[str]] = {}
    for standing in standings:
        by_reason.setdefault(_reason(standing), []).append(f"'{standing.choice}'")
    return [
        f"{listed(names)} {one if len(names) == 1 else several}".rstrip() + f": {reason}."
        for reason, names in by_reason.items()
    ]


def _reason(standing: Standing) -> str:
    """Return why a choice does not, or may not, give all that was asked for."""
    if standing.book_wrong:
        return "the level book is too far off to say"
    water = [need for need in standing.because if need.kind == "water"]
    weak = [need.name for need in standing.because if need.kind == "pressure"]
    if standing.met == "no":
        words = ["too little water"] if water else []
        words += [f"too little pressure at {listed(weak)}"] if weak else []
        return listed(words) or "it can't work as planned"
    names = [*(["enough water"] if water else []), *(f"enough at {name}" for name in weak)]
    text = listed(names)
    if standing.chance is not None:
        text += f", {chance_words(standing.chance)}"
    if standing.heights_hide_it:
        text = f"{text}; {_HEIGHTS}" if text else _HEIGHTS
    return text or "its doubt is not known"


def better_by(comparison: Comparison, *, answers: Sequence[Answer] = ()) -> list[tuple[str, str]]:
    """Return each choice that is better by something, by what in words, and how surely.

    Parameters
    ----------
    comparison
        How the choices compare.
    answers
        The same choices; without them no chance is told.
    """
    found = []
    for choice in comparison.choices:
        criteria = [name for name, best in comparison.better.items() if best == choice.name]
        if not criteria:
            continue
        chances = [_chance_of_best(choice.name, answers, criterion=name) for name in criteria]
        known = [chance for chance in chances if chance is not None]
        words = listed([BETTER_WORDS[name] for name in criteria])
        found.append((choice.name, f"{words}; {cases_words(min(known))}" if known else words))
    return found


def undecided_words(comparison: Comparison) -> str:
    """Return what can't be said for the doubt, and why; empty where all can be said.

    Parameters
    ----------
    comparison
        How the choices compare.
    """
    by_cause: dict[bool, list[str]] = {}
    for criterion, one in comparison.undecided.items():
        words = f"{BETTER_WORDS[criterion]} ('{one.best}' {chance_short(max(one.chance, 0.5))})"
        by_cause.setdefault(one.heights_hide_it, []).append(words)
    sentences = []
    for heights, words_of in by_cause.items():
        why = _HEIGHTS if heights else "the doubt is too large to say"
        sentences.append(f"Which has {listed(words_of)}: {why}.")
    return " ".join(sentences)
