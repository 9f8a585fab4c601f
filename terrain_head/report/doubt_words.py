"""How sure a figure is, in words: ranges, chances, and what the doubt is owed to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.headline import Headline, Need, Sure
from terrain_head.base.amounts import decimals_of_range
from terrain_head.base.display import LIKELY, grouped, in_unit, thousands_mark, unit_for
from terrain_head.base.units import UnitSystem
from terrain_head.formulas.hydrostatics import head_from_pressure_m
from terrain_head.formulas.water import density_kg_m3
from terrain_head.report.speech import Speech, height_range, sentence_case

_TEN = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_PARTS = (
    (0.97, "all"),
    (0.86, "nearly all"),
    (0.775, "4/5"),
    (0.71, "3/4"),
    (0.635, "2/3"),
    (0.55, "3/5"),
    (0.45, "half"),
    (0.365, "2/5"),
    (0.29, "1/3"),
    (0.225, "1/4"),
    (0.15, "1/5"),
    (0.05, "a tenth"),
)
_LEAST_PART = 0.05

CAUSE_WORDS: Mapping[str, str] = {
    "heights": "the heights leveled",
    "raster": "the height map",
    "marks": "where the marks stand",
    "source flow": "the spring's flow",
    "efficiency": "the ram's efficiency",
    "inside diameter": "the pipes' inside diameters",
    "roughness": "the pipes' roughness",
    "stated levels": "the levels you stated",
    "stated lengths": "the lengths you stated",
}
"""What each cause of doubt is called."""


def _tenths(chance: float) -> int:
    """Return a chance in tenths; what is neither sure nor ruled out is two to eight of ten."""
    return min(max(round(10 * chance), 2), 8)


def chance_words(chance: float) -> str:
    """Return the chance of a need that may or may not be met.

    Examples
    --------
    >>> chance_words(0.68), chance_words(0.895)
    ('seven chances in ten', 'eight chances in ten')
    """
    return f"{_TEN[_tenths(chance)]} chances in ten"


def chance_short(chance: float) -> str:
    """Return the same in few letters, for a column.

    Examples
    --------
    >>> chance_short(0.68)
    '7 in 10'
    """
    return f"{_tenths(chance)} in 10"


def cases_words(chance: float) -> str:
    """Return in how many cases something holds that holds nine times in ten or more.

    Examples
    --------
    >>> cases_words(0.93), cases_words(0.99)
    ('in nine cases of ten', 'in nearly every case')
    """
    return "in nine cases of ten" if chance < 0.95 else "in nearly every case"


def met_words(sure: Sure, chance: float | None) -> str:
    """Return whether a need is met: yes, no, or how many chances in ten.

    Examples
    --------
    >>> met_words("perhaps", 0.68), met_words("perhaps", None), met_words("yes", 1.0)
    ('seven chances in ten', "can't tell", 'yes')
    """
    if sure != "perhaps":
        return sure
    return "can't tell" if chance is None else chance_words(chance)


def part_words(share: float) -> str:
    """Return a share of the doubt as a plain fraction.

    Examples
    --------
    >>> part_words(0.61), part_words(0.95), part_words(0.01)
    ('3/5', 'nearly all', 'next to nothing')
    """
    return next((words for least, words in _PARTS if share >= least), "next to nothing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Ends between which a figure lies nine times in ten, SI."""

    low: float
    high: float

    @property
    def half(self) -> float:
        """Half its width."""
        return (self.high - self.low) / 2


def likely_range(answer: Answer, *results: str) -> Range | None:
    """Return the range of the first of some results that has one, None without.

    Parameters
    ----------
    answer
        One choice of one study.
    results
        Names of results, as drawn.
    """
    drawn = answer.drawn
    for name in results:
        likely = None if drawn is None or name in drawn.unknown else drawn.likely(name)
        if likely is not None and likely.low is not None and likely.high is not None:
            return Range(low=likely.low, high=likely.high)
        if drawn is None and name in answer.spread:
            half = answer.spread[name].half_range
            middle = answer.spread[name].value
            if half is not None:
                return Range(low=middle - half, high=middle + half)
    return None


def height_half_m(answer: Answer, result: str) -> float | None:
    """Return half the range of a height difference, None where it is not known [m].

    Parameters
    ----------
    answer
        One choice of one study.
    result
        ``fall``, ``lift``, or the still pressure of an outlet, which is its height under the water.
    """
    spread = likely_range(answer, result)
    if spread is None or not result.startswith("outlet."):
        return None if spread is None else spread.half
    density = float(density_kg_m3(answer.layout.parts.water_temperature_c))
    return float(head_from_pressure_m(spread.half, density_kg_m3=density))


def day_words(m3_s: float, spread: Range | None, *, units: UnitSystem) -> str:
    """Return water a day, never rounded out of the range that stands beside it."""
    say = Speech(units=units)
    number = say.per_day_number(m3_s)
    if spread is not None:
        low, high = (in_unit(end, "per_day", units) for end in (spread.low, spread.high))
        decimals = min(decimals_of_range(low, high), 0)
        shown = float(number.replace(",", "").replace(" ", ""))
        if not round(low, decimals) <= shown <= round(high, decimals):
            value = in_unit(m3_s, "per_day", units)
            number = grouped(value, decimals, thousands=thousands_mark(units))
    return f"{number} {say.per_day_word}"


def day_range(spread: Range, units: UnitSystem) -> str:
    """Return the two ends of a range of water a day, without unit.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC, to_si
    >>> day_range(Range(low=to_si(1612, "L/d"), high=to_si(4710, "L/d")), METRIC)
    '1 600 to 4 700'
    """
    return _ends(
        in_unit(max(spread.low, 0.0), "per_day", units), in_unit(spread.high, "per_day", units),
        most=0, units=units,
    )  # fmt: skip


def pressure_range(spread: Range, units: UnitSystem) -> str:
    """Return the two ends of a range of pressures, the unit after the second.

    Examples
    --------
    >>> from terrain_head.base.units import METRIC
    >>> pressure_range(Range(low=83.7e3, high=96.8e3), METRIC)
    '0.84 to 0.97 bar'
    """
    low, high = (in_unit(end, "pressure", units) for end in (spread.low, spread.high))
    most = 2 if units.name == "metric" else 1
    return f"{_ends(low, high, most=most, units=units)} {unit_for('pressure', units)}"


def _ends(low: float, high: float, *, most: int, units: UnitSystem) -> str:
    decimals = min(decimals_of_range(low, high), most)
    mark = thousands_mark(units)
    return " to ".join(grouped(end, decimals, thousands=mark) for end in (low, high))


_GIVEN: Mapping[str, str] = {
    "heights": "each reading is that far off",
    "raster": "it is that rough",
    "marks": "a phone places them so",
    "source flow": "time it again, more than once",
    "inside diameter": "pipes differ from what is printed on them",
    "roughness": "a table gave it",
    "stated levels": "you gave them so",
    "stated lengths": "you gave them so",
}


def least_sure(answer: Answer, lines: Headline) -> str:
    """Return to what the doubt is owed most, in a sentence; empty where that is not known.

    Parameters
    ----------
    answer
        One choice of one study.
    lines
        Its headline: the doubt of the need that is least sure is told, else that of the water.
    """
    if answer.drawn is None:
        return ""
    result = _result_told(answer, lines)
    shares = answer.drawn.shares.get(result, {})
    cause = next(iter(shares), None)
    if cause is None:
        return ""
    ram = answer.solution.ram
    why = _GIVEN.get(cause, "")
    if cause == "efficiency":
        measured = ram is not None and ram.efficiency_origin == "measured"
        why = "you measured it" if measured else "a table gave it"
    about = ""
    if result.startswith("outlet."):
        name = result.removeprefix("outlet.").removesuffix(".running_low")
        about = f" about {name}"
    elif result in {"fall", "lift"}:
        about = f" about the {result}"
    return (
        f"{sentence_case(CAUSE_WORDS[cause])}: {part_words(shares[cause])} of the doubt{about}; "
        f"{why}."
    )


def _result_told(answer: Answer, lines: Headline) -> str:
    drawn = answer.drawn
    shares = {} if drawn is None else drawn.shares
    doubtful = [need for need in lines.needs if need.sure == "perhaps"]
    for need in doubtful:
        if need.kind == "pressure" and f"outlet.{need.name}.running_low" in shares:
            return f"outlet.{need.name}.running_low"
        if need.kind == "water":
            break
    water = ["delivered", *(f"tank.{tank.name}.inflow" for tank in answer.layout.tanks)]
    return next((name for name in (*water, "fall", "lift", *shares) if name in shares), "")


def why_open(answer: Answer, need: Need | None) -> str:
    """Return why it can't be told yet: the range of the fall or the pressure, and its cause.

    Parameters
    ----------
    answer
        One choice of one study.
    need
        The need that hangs on the heights, None where nothing was asked.
    """
    say = Speech(units=answer.units)
    drawn = answer.drawn
    if need is not None and need.kind == "pressure":
        result = f"outlet.{need.name}.running_low"
        spread = likely_range(answer, result)
        fact = (
            ""
            if spread is None
            else f"At {need.name} {say.pressure(need.got)} are left, likely "
            f"{pressure_range(spread, answer.units)}."
        )
    else:
        result = "delivered"
        spread = likely_range(answer, "fall")
        ram = answer.solution.ram
        fall = None if ram is None or spread is None else (spread.low + spread.high) / 2
        fact = ""
        if fall is not None and spread is not None:
            fact = (
                f"The fall is about {say.height(fall, std=spread.half / LIKELY)}, likely "
                f"{height_range(spread.low, spread.high, units=answer.units)}."
            )
    shares = {} if drawn is None else drawn.shares.get(result, drawn.shares.get("fall", {}))
    cause = next(iter(shares), None)
    how = {
        "raster": "The height map is that rough",
        "heights": "The heights leveled are that rough",
        "marks": "The marks on the map may stand that far off",
    }
    if cause not in how:
        return fact
    return f"{fact} {how[cause]}; {part_words(shares[cause])} of the doubt comes from it.".strip()


def owed_words(shares: Mapping[str, float]) -> str:
    """Return what a doubt is owed to, the greatest part first, parts below a twentieth left out.

    Examples
    --------
    >>> owed_words({"efficiency": 0.67, "source flow": 0.32, "heights": 0.01})
    "the ram's efficiency 2/3, the spring's flow 1/3"
    """
    told = [(CAUSE_WORDS[name], part) for name, part in shares.items() if part >= _LEAST_PART]
    return ", ".join(f"{name} {part_words(part)}" for name, part in told)
