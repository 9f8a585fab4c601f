"""The screen of ``terrain-head find route``: where the pipe best goes, and against what."""

from __future__ import annotations

import textwrap
from collections.abc import Callable

from terrain_head.base.display import LIKELY, station_words
from terrain_head.base.names import quoted_text
from terrain_head.errors import WIDTH
from terrain_head.report.speech import Speech, listed, plain_ascii, sentence_case, wrapped
from terrain_head.search.route_options import STEEP, RouteAnswer, RouteOption

_INDENT = 14
_LABEL = 22
_NOTHING_M, _SLIGHT_M = 0.05, 0.3


def route_screen(answer: RouteAnswer, *, written: str | None = None, study: str = "") -> str:
    """Return the whole screen, plain ASCII, at most 79 columns.

    Parameters
    ----------
    answer
        The routes on their ground.
    written
        The file that holds them as a map; None if none was written.
    study
        What is to stand in the list of maps for it, where that is another name.
    """
    say = Speech(units=answer.units)
    title = plain_ascii(answer.title).upper()
    gap = max(WIDTH - len(title) - len(answer.file), 2)
    lines = [f"{title}{' ' * gap}{answer.file}", "", *wrapped(_sentence(answer, say)), ""]
    lines += _table(answer, say)
    lines.append("")
    for label, text in (
        ("Route 1", _against(answer, say)),
        ("Steep", _steep(answer, say)),
        ("Take care", _care(answer)),
    ):
        if text:
            lines += wrapped(text, label=label, indent=_INDENT)
    if written is not None:
        lines += _use(answer, study or written)
        lines += wrapped(written, label="See it", indent=_INDENT)
    return plain_ascii("\n".join(lines)) + "\n"


def _sentence(answer: RouteAnswer, say: Speech) -> str:
    best = answer.options[0]
    legs = "in one straight line" if best.legs == 1 else f"in {best.legs} straight legs"
    length = say.length(best.profile.slope_length_m)
    way = f"From {answer.start} to {answer.end} the pipe best goes {length} {legs}"
    if answer.kind == "gravity":
        grade = answer.rates.least_grade or 0.0
        return f"{way}, falling by {100 * grade:g} % or more all the way."
    summits = len(best.turns.told("high"))
    if not summits:
        perhaps = any(turn.kind == "high" for turn in best.turns.perhaps)
        end = "perhaps over a hump" if perhaps else "with no hump where air would gather"
        return f"{way}, {end}."
    return f"{way}, over {_humps(summits)} where air will gather."


def _humps(count: int) -> str:
    return "one hump" if count == 1 else f"{count} humps"


def _table(answer: RouteAnswer, say: Speech) -> list[str]:
    ways = answer.shown
    heads = [_column(answer, way) for way in ways]
    rows: list[tuple[str, Callable[[RouteOption], str]]] = [
        ("along the ground", lambda way: say.length(way.profile.slope_length_m)),
        ("straight legs", lambda way: str(way.legs)),
        ("climb lost again", lambda way: say.head(way.lost_climb_m)),
        ("highest ground", lambda way: say.height(
            float(way.profile.elevation_m[way.highest]), std=_std(way))),
        ("humps", _hump_cell),
        ("steepest ground", lambda way: f"{100 * float(way.steepness.max()):.0f} %"),
        ("reckoned as", lambda way: say.length(way.cost_m) if way.may_be else "may not be"),
    ]  # fmt: skip
    width = max(12, *(len(head) + 2 for head in heads))
    lines = [" " * _LABEL + "".join(f"{head:>{width}}" for head in heads)]
    for label, cell in rows:
        cells = "".join(f"{cell(way):>{width}}" for way in ways)
        lines.append(f"  {label:<{_LABEL - 2}}{cells}")
    note = (
        "Reckoned as: metres of pipe on easy level ground; a metre of lost climb counts as "
        f"{answer.rates.lost_climb:g}, ground of {100 * answer.rates.twice_at:.0f} % as twice."
    )
    if answer.units.name == "us":
        note = note.replace("metres", "feet", 1).replace("a metre", "a foot")
    return [*lines, *textwrap.wrap(note, WIDTH - 2, initial_indent="  ", subsequent_indent="  ")]


def _column(answer: RouteAnswer, way: RouteOption) -> str:
    if way is answer.straight:
        return "straight"
    return f"route {answer.options.index(way) + 1}"


def _std(way: RouteOption) -> float | None:
    std = float(way.profile.std_m[way.highest])
    return std if std == std else None  # noqa: PLR0124 - nan is not itself


def _hump_cell(way: RouteOption) -> str:
    sure = len(way.turns.told("high"))
    perhaps = sum(turn.kind == "high" and turn.sure is not None for turn in way.turns.perhaps)
    if sure or not perhaps:
        return str(sure)
    return "perhaps"


def _against(answer: RouteAnswer, say: Speech) -> str:
    best = answer.options[0]
    said, barred = [], ""
    for way in answer.shown[1:]:
        if not way.may_be:
            barred = f"The straight line may not be laid: {_bar(answer)}."
            continue
        facts = [_longer(best, way, say), _less_lost(best, way, say), _lower(answer, way, say)]
        name = "the straight line"
        if way is not answer.straight:
            name = f"{_column(answer, way)} ({say.share(way.elsewhere)} of it lies elsewhere)"
        said.append(f"against {name}: {', '.join(fact for fact in facts if fact)}")
    if not said:
        return barred or "No other way was found that is really different."
    return f"{sentence_case('; '.join(said))}. {barred}".rstrip()


def _bar(answer: RouteAnswer) -> str:
    if answer.kind == "gravity":
        return "it does not keep falling, or crosses what is kept off"
    return "it crosses what is kept off"


def _longer(best: RouteOption, way: RouteOption, say: Speech) -> str:
    more = best.profile.slope_length_m - way.profile.slope_length_m
    if abs(more) < 0.5:
        return "as long"
    return f"{say.length(abs(more))} {'longer' if more > 0 else 'shorter'}"


def _less_lost(best: RouteOption, way: RouteOption, say: Speech) -> str:
    less = way.lost_climb_m - best.lost_climb_m
    if abs(less) < _NOTHING_M:
        return ""
    return f"{say.head(abs(less))} {'less' if less > 0 else 'more'} climb lost"


def _lower(answer: RouteAnswer, way: RouteOption, say: Speech) -> str:
    lower, std = answer.highest_difference(way)
    if abs(lower) < _NOTHING_M:
        return ""
    word = f"highest ground {say.head(abs(lower))} {'lower' if lower > 0 else 'higher'}"
    if std is None or abs(lower) > LIKELY * std:
        return word
    return f"{word} (it may be error of the heights)" if abs(lower) > _SLIGHT_M else ""


def _steep(answer: RouteAnswer, say: Speech) -> str:
    best = answer.options[0]
    stretch = best.steep_stretch_m()
    if stretch is None:
        return ""
    first, last = (station_words(at, say.units) for at in stretch)
    where = f"at {first}" if first == last else f"between {first} and {last}"
    return (
        f"Route 1 crosses ground steeper than {100 * STEEP:.0f} % {where}. Rain runs down a fresh "
        "trench there and washes its fill out: dig it across in steps, or go round."
    )


def _care(answer: RouteAnswer) -> str:
    raster = listed(list(answer.grid.names))
    return (
        f"{raster} shows neither rock nor roots, drains nor fences. Walk the route before you "
        "believe it. Ask whose land it is, and have cables and pipes marked, before you dig; "
        "your local rules say how deep a trench may be without shoring."
    )


def _use(answer: RouteAnswer, shown: str) -> list[str]:
    best = answer.options[0]
    if best.legs == 1:
        return wrapped('write route = "straight" in the pipe.', label="To use it", indent=_INDENT)
    said = "add the file to the maps of the study, and name the route in the pipe:"
    return [
        *wrapped(said, label="To use it", indent=_INDENT),
        f"{'':<{_INDENT}}map = [..., {quoted_text(shown)}]",
        f"{'':<{_INDENT}}route = {quoted_text(best.name)}",
    ]
