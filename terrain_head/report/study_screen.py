"""The one screen of a study: an answer, what to do, the few figures, where to look."""

from __future__ import annotations

from dataclasses import dataclass

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.finding import Finding
from terrain_head.assessment.headline import Headline, headline
from terrain_head.base.middle import middle_of
from terrain_head.errors import WIDTH
from terrain_head.report.doubt_words import (
    day_range,
    day_words,
    height_half_m,
    least_sure,
    likely_range,
    met_words,
    why_open,
)
from terrain_head.report.measure_words import measure_first
from terrain_head.report.measurement import likelihood
from terrain_head.report.not_asked import not_asked_of
from terrain_head.report.outlet_table import outlet_lines
from terrain_head.report.size_words import chosen_words
from terrain_head.report.speech import (
    Speech,
    duration,
    height_and_doubt,
    path_lines,
    plain_ascii,
    see_it,
    sentence_case,
    wrapped,
)
from terrain_head.report.verdict import Verdict, verdict
from terrain_head.report.words import told
from terrain_head.scheme.parts import Tank
from terrain_head.scheme.rings import ring_count, ring_pipes
from terrain_head.scheme.solution import RamResult

_LINES = 24
_ROW = 17
_BLOCK = 14
_MOST_CARE = 3
_DOUBT_OF_ALL = ("reading-stands-out", "book-unchecked")
_NUMBERS_END = 54
_MOST_PIPES = 4


def study_screen(answer: Answer, *, results_folder: str | None) -> str:
    """Return the screen of a study as plain text, at most 79 columns.

    Parameters
    ----------
    answer
        One choice of one study.
    results_folder
        Where pictures and report were written, as the person would type it; None if nowhere.
    """
    said = verdict(answer)
    lines = [*_title(answer), "", *wrapped(said.sentence), ""]
    rows = [
        line
        for label, text in screen_rows(answer, said)
        for line in wrapped(text, label=f"  {label}"[: _ROW - 1], indent=_ROW)
    ]
    lines += [*rows, ""] if rows else []
    lines += _ground(answer)
    lines += [*_ram(answer), *_tanks(answer)] if said.believed else []
    table = outlet_lines(answer)
    lines += ["", *table] if table else []
    least = least_sure(answer, headline(answer)) if said.believed else ""
    tail = wrapped(least, label="Least sure", indent=_BLOCK) if least else []
    best = measure_first(answer) if said.believed else ""
    tail += (
        wrapped(best, label="Measure next", indent=_BLOCK) if best not in {"", said.to_do} else []
    )
    tail += [*_not_asked(answer), *_see_it(results_folder)]
    room = _LINES - len(lines) - len(tail) - 1
    care = _take_care(answer, said.told_kinds, room=room)
    lines += ["", *care, *tail] if care or tail else []
    return "\n".join(plain_ascii(line.rstrip()) for line in lines) + "\n"


def _title(answer: Answer) -> list[str]:
    title = plain_ascii(answer.title).upper()
    if answer.choice != "main":
        title += f" - {answer.choice}"
    gap = WIDTH - len(title) - len(answer.file)
    if gap < 2:
        return [
            *wrapped(title),
            *(f"{line:>{WIDTH}}" for line in path_lines(answer.file, width=WIDTH)),
        ]
    return [title + " " * gap + answer.file]


def screen_rows(answer: Answer, said: Verdict) -> list[tuple[str, str]]:
    """Return label and text of the rows under the sentence: the water, why, what to do.

    Parameters
    ----------
    answer
        One choice of one study.
    said
        Its answer in words.
    """
    rows: list[tuple[str, str]] = []
    lines = headline(answer)
    if said.look_at:
        rows += [("Look at", said.look_at), ("What to do", said.to_do)]
    if said.works is not False:
        lone = len(answer.layout.tanks) == 1
        for tank in answer.layout.tanks:
            label = "Into the tank" if lone else f"Into {tank.name}"
            rows.append((label, _water_row(answer, tank, lines, said)))
        if lines.depends_on_heights and said.believed:
            need = next((need for need in lines.needs if need.hangs_on_heights), None)
            rows.append(("Why", _why(answer, why_open(answer, need))))
    if not said.look_at:
        rows.append(("What to do", said.to_do))
    rows.append(("Pipe chosen", chosen_words(answer)))
    return [(label, text) for label, text in rows if text]


def _why(answer: Answer, words: str) -> str:
    unknown = next((one for one in answer.findings if one.kind == "raster-error-unknown"), None)
    if words or unknown is None:
        doubtful = next((one for one in answer.findings if one.kind == "fall-doubtful"), None)
        return words or ("" if doubtful is None else told(doubtful, units=answer.units).fact)
    return told(unknown, units=answer.units).fact


def _water_row(answer: Answer, tank: Tank, lines: Headline, said: Verdict) -> str:
    say = Speech(units=answer.units)
    result = answer.solution.tanks.get(tank.name)
    inflow = None if result is None else middle_of(result.inflow_m3_s)
    if inflow is None:
        return ""
    dry = answer.layout.source is not None and answer.layout.source.season == "dry"
    season = " in the dry season" if dry else ""
    spread = likely_range(answer, f"tank.{tank.name}.inflow") if said.believed else None
    text = f"about {day_words(inflow, spread, units=answer.units)}{season}"
    if spread is not None and lines.depends_on_heights:
        text += f", but {day_range(spread, answer.units)} all fit what you measured"
    elif spread is not None:
        text += f", likely {day_range(spread, answer.units)}"
    need = next((one for one in lines.needs if one.kind == "water" and one.name == tank.name), None)
    if need is None:
        return f"{text}."
    met = met_words(need.sure, need.chance) if said.believed else "can't tell"
    return f"{text}. You need {say.per_day_number(need.wanted)}: {met}."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drop:
    """A height difference of the screen: what it is in full and in short, and its number [m]."""

    words: str
    short: str
    metres: float
    result: str


def _drops(answer: Answer) -> list[_Drop]:
    ram, layout = answer.solution.ram, answer.layout
    fall = None if ram is None else middle_of(ram.fall_m)
    lift = None if ram is None else middle_of(ram.lift_m)
    lines = []
    if fall is not None:
        lines.append(
            _Drop(
                words="fall, spring water down to the ram's valve",
                short="fall, spring to ram's valve",
                metres=fall,
                result="fall",
            )
        )
    if ram is not None and lift is not None:
        top = "pipe's summit" if ram.summit_rules else "tank's inlet"
        lines.append(
            _Drop(
                words=f"lift, ram's valve up to the {top}",
                short="lift, ram's valve to " + ("summit" if ram.summit_rules else "inlet"),
                metres=lift,
                result="lift",
            )
        )
    source = middle_of(layout.source_level_m)
    if ram is None and source is not None:
        for tank in layout.tanks:
            inlet = middle_of(layout.inlet_m.get(tank.name))
            if inlet is not None:
                name = "the tank's inlet" if len(layout.tanks) == 1 else f"{tank.name}'s inlet"
                way = "down" if source >= inlet else "up"
                lines.append(
                    _Drop(
                        words=f"spring water {way} to {name}",
                        short=f"spring to {name}",
                        metres=abs(source - inlet),
                        result=f"tank.{tank.name}.drop",
                    )
                )
        if not layout.tanks:
            lines += _outlet_drops(answer, source)
    return lines


def _outlet_drops(answer: Answer, source_m: float) -> list[_Drop]:
    """Return the drops from the source to outlets that no tank feeds, at most three."""
    drops = []
    for name, one in list(answer.solution.outlets.items())[:3]:
        level = middle_of(one.level_m)
        if level is not None:
            way = "down" if source_m >= level else "up"
            drops.append(
                _Drop(
                    words=f"spring water {way} to {name}",
                    short=f"spring to {name[:20]}",
                    metres=abs(source_m - level),
                    result=f"outlet.{name}.static_full",
                )
            )
    return drops


def _height_line(answer: Answer, drop: _Drop, *, label: str) -> str:
    half_m = height_half_m(answer, drop.result)
    if half_m is None:
        number, half = Speech(units=answer.units).height(drop.metres), ""
    else:
        number, half = height_and_doubt(drop.metres, half_m, units=answer.units)
    fits = len(drop.words) + 2 + len(number) <= _NUMBERS_END
    words = drop.words if fits else drop.short
    line = f"{label:<{_BLOCK}}{words}{number:>{_NUMBERS_END - len(words)}}"
    return f"{line}  +- {half}" if half else line


def _ground(answer: Answer) -> list[str]:
    text = [
        _height_line(answer, drop, label="" if i else "The ground")
        for i, drop in enumerate(_drops(answer))
    ]
    pipes = _pipe_lengths(answer)
    if pipes:
        text += wrapped(pipes, label="" if text else "The ground", indent=_BLOCK)
    return text


def _pipe_lengths(answer: Answer) -> str:
    say = Speech(units=answer.units)
    rings = ring_pipes(answer.layout)
    lengths: dict[str, float] = {}
    several = len(answer.layout.pipes) > _MOST_PIPES
    for one in answer.layout.pipes.values():
        length = middle_of(one.length_m)
        if length is None:
            continue
        kind = one.role if one.role in {"drive", "delivery"} else one.name
        named = any(word in kind.lower() for word in ("line", "main", "pipe"))
        word = f"{kind}{'' if named else ' pipe'}"
        if several and one.name in rings:
            word = (
                f"{'a ring' if ring_count(answer.layout) == 1 else 'rings'} of {len(rings)} pipes"
            )
        lengths[word] = lengths.get(word, 0.0) + length
    words = [f"{word} {say.length(length)}" for word, length in lengths.items()]
    if len(words) > _MOST_PIPES and not (rings and len(words) == _MOST_PIPES + 1):
        words = [*words[:3], f"{len(words) - 3} more"]
    return ", ".join(words)


def _ram(answer: Answer) -> list[str]:
    ram = answer.solution.ram
    if ram is None:
        return []
    used = middle_of(ram.used_m3_s)
    if used is None:
        return []
    return wrapped(_ram_words(answer, ram, used), label="The ram", indent=_BLOCK)


def _ram_words(answer: Answer, ram: RamResult, used: float) -> str:
    say = Speech(units=answer.units)
    stated = answer.layout.ram
    count = 1 if stated is None else stated.count
    label = "" if count == 1 else f"{count} rams: "
    s = "s" if count == 1 else ""
    source = middle_of(answer.layout.source_flow_m3_s)
    if likelihood(ram.stopped):
        return f"{label}stopped: too little water to keep it beating"
    of = "" if source is None else f" of {say.flow_number(source)}"
    text = f"{label}take{s} {say.flow_number(used)}{of} {say.flow_unit}"
    delivered, wasted = middle_of(ram.delivered_m3_s), middle_of(ram.wasted_m3_s)
    if delivered is not None:
        text += f", lift{s} {say.flow_number(delivered, digits=2)}"
    if wasted is not None:
        text += f", spill{s} {say.flow_number(wasted)}"
    efficiency = middle_of(ram.efficiency)
    if efficiency is not None and ram.efficiency_origin is not None:
        more = f", efficiency {say.share(efficiency)}"
        text += more if len(text) + len(more) + _BLOCK <= WIDTH else ""
    return text


def _tanks(answer: Answer) -> list[str]:
    say = Speech(units=answer.units)
    lines = []
    lone = len(answer.solution.tanks) == 1
    for name, tank in answer.solution.tanks.items():
        useful, fill = middle_of(tank.useful_m3), middle_of(tank.fill_time_s)
        if useful is None:
            continue
        words = [f"{say.volume_number(useful)} useful {say.volume_word}"]
        if fill is not None and fill > 0:
            words.append(f"filled in {duration(fill)}")
        label = "The tank" if lone else sentence_case(name)[: _BLOCK - 1]
        lines += wrapped(", ".join(words), label=label, indent=_BLOCK)
    return lines


def weighty(answer: Answer, told_kinds: frozenset[str]) -> list[Finding]:
    """Return the findings that a screen should tell: stop and care, not told already."""
    return [
        one
        for one in answer.findings
        if one.severity in {"stop", "care"} and one.kind not in told_kinds
    ]


def _take_care(answer: Answer, told_kinds: frozenset[str], *, room: int) -> list[str]:
    lines: list[str] = []
    findings = sorted(weighty(answer, told_kinds), key=_care_rank)
    shown = 0
    for one in findings[:_MOST_CARE]:
        said = told(one, units=answer.units)
        label = "" if lines else "Take care"
        whole = wrapped(str(said), label=label, indent=_BLOCK)
        short = wrapped(said.fact, label=label, indent=_BLOCK)
        block = whole if len(lines) + len(whole) <= room else short
        if shown and len(lines) + len(block) > room:
            break
        lines += block
        shown += 1
    rest = len(answer.findings) - shown - _already(answer, told_kinds)
    if rest > 0:
        more = f"And {rest} more in the report." if shown else f"{rest} notes in the report."
        if lines and len(lines[-1]) + len(more) + 1 <= WIDTH:
            lines[-1] += f" {more}"
        else:
            lines.append(f"{'' if lines else 'Take care':<{_BLOCK}}{more}")
    return lines


def _care_rank(finding: Finding) -> int:
    """Return 0 for what stops it, 1 for doubt of every height, 2 for the rest."""
    if finding.severity == "stop":
        return 0
    return 1 if finding.kind in _DOUBT_OF_ALL else 2


def _already(answer: Answer, told_kinds: frozenset[str]) -> int:
    return sum(one.kind in told_kinds for one in answer.findings)


def _not_asked(answer: Answer) -> list[str]:
    if not answer.not_asked:
        return []
    texts = not_asked_of(answer)
    if not texts:
        return []
    if len(texts) > 2:
        texts = [*texts[:2], f"{len(texts) - 2} more in the report."]
    return wrapped(" ".join(texts), label="Not asked", indent=_BLOCK)


def _see_it(results_folder: str | None) -> list[str]:
    if results_folder is None:
        return []
    return see_it(results_folder, picture="profile.png", page="report.html", indent=_BLOCK)
