"""The three ways to buy pressure, side by side: a table of the report, words, the JSON."""

from __future__ import annotations

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.ways_to_pressure import HigherTank, WaysToPressure, WiderPipe
from terrain_head.report.measurement import Json, measurement
from terrain_head.report.speech import Speech, listed, pipe_words
from terrain_head.report.table import UNKNOWN, Table

_NOTE = (
    "Each way alone, all else as it is. A higher tank is more lift, so less water; a wider pipe "
    "costs none. Nine times in ten where the heights were drawn."
)


def ways_table(answer: Answer) -> Table:
    """Return for each short outlet what each way takes and costs.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    rows = [row for one in answer.ways for row in _rows(answer, one)]
    return Table(
        title="Three ways to buy pressure",
        heads=("outlet", "way", "what it takes", "water it costs", "price"),
        rows=tuple(rows),
        note=_NOTE,
    )


def _rows(answer: Answer, one: WaysToPressure) -> list[tuple[str, ...]]:
    say = Speech(units=answer.units)
    rows: list[tuple[str, ...]] = []
    what = "the tank's place" if one.tank is not None else "the intake"
    if one.ground is not None:
        more = say.stand(_most_m(one.ground))
        rows.append(
            (
                one.outlet,
                "higher ground",
                f"{what} {more} higher",
                _water(answer, one.ground),
                UNKNOWN,
            )
        )
    if one.stand is not None and one.stand_now_m is not None:
        high = say.stand(one.stand_now_m + _most_m(one.stand))
        instead = f" instead of {say.stand(one.stand_now_m)}" if one.stand_now_m > 0 else ""
        rows.append(
            (
                one.outlet,
                "higher stand",
                f"{high}{instead}",
                _water(answer, one.stand),
                _price(one.stand.price),
            )
        )
    rows += _pipe_rows(answer, one)
    return rows


def _pipe_rows(answer: Answer, one: WaysToPressure) -> list[tuple[str, ...]]:
    say = Speech(units=answer.units)
    if one.one_size_up is None:
        return [(one.outlet, "wider pipe", "no wider pipe of its kind is known", UNKNOWN, UNKNOWN)]
    rows: list[tuple[str, ...]] = []
    up = one.one_size_up
    if not up.meets or one.least is None or up.pipes != one.least.pipes:
        gets = "enough" if up.meets else "not enough"
        rows.append(
            (
                one.outlet,
                "one size wider",
                f"{_pipes(up)}: {say.pressure(up.running_pa)}, {gets}",
                "none",
                _price(up.price),
            )
        )
    if one.least is None:
        rows.append(
            (one.outlet, "wider pipe", "no size of the same kind was found enough", "none", UNKNOWN)
        )
    else:
        rows.append(
            (
                one.outlet,
                "wider pipe",
                f"{_pipes(one.least)}: {say.pressure(one.least.running_pa)}",
                "none",
                _price(one.least.price),
            )
        )
    return rows


def wider_words(one: WaysToPressure) -> str:
    """Return in one sentence what a wider pipe would do for an outlet; empty where not known.

    Parameters
    ----------
    one
        The ways for it.
    """
    if one.least is not None:
        return f"Or lay {_pipes(one.least)}: that costs no water."
    if one.one_size_up is not None:
        return "No wider pipe of the same kind was found to do it."
    return ""


def _pipes(wider: WiderPipe) -> str:
    return listed([f"{new} for {pipe_words(name)}" for name, _, new in wider.pipes])


def _most_m(higher: HigherTank) -> float:
    return higher.by_m if higher.sure_m is None else higher.sure_m


def _water(answer: Answer, higher: HigherTank) -> str:
    lost = higher.water_lost_m3_s
    return UNKNOWN if lost is None else f"{Speech(units=answer.units).per_day(lost)}"


def _price(price: float | None) -> str:
    return UNKNOWN if price is None else f"{price:,.0f}"


def ways_document(answer: Answer) -> Json:
    """Return the ways by the name of the outlet.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    return {
        one.outlet: {
            "short": measurement(one.short_pa, "kPa"),
            "asked_of_pipes": measurement(one.asked_pa, "kPa"),
            "tank": one.tank,
            "higher_ground": _higher(one.ground),
            "higher_stand": _higher(one.stand),
            "one_size_wider": _wider(one.one_size_up),
            "wider_pipe": _wider(one.least),
        }
        for one in answer.ways
    }


def _higher(higher: HigherTank | None) -> Json | None:
    if higher is None:
        return None
    return {
        "middle": measurement(higher.by_m, "m"),
        "sure": measurement(higher.sure_m, "m"),
        "water_lost": measurement(higher.water_lost_m3_s, "m3/d"),
        "price": higher.price,
    }


def _wider(wider: WiderPipe | None) -> Json | None:
    if wider is None:
        return None
    return {
        "pipes": [{"pipe": name, "from": old, "to": new} for name, old, new in wider.pipes],
        "running_low": measurement(wider.running_pa, "kPa"),
        "meets": wider.meets,
        "price": wider.price,
    }
