"""The one sentence that answers a study, and what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.cures import Fix
from terrain_head.assessment.finding import Finding
from terrain_head.assessment.headline import Headline, Need, headline
from terrain_head.assessment.ways_to_pressure import WaysToPressure
from terrain_head.base.middle import middle_of
from terrain_head.report.doubt_words import height_half_m
from terrain_head.report.measure_words import measure_first
from terrain_head.report.speech import Speech, height_and_doubt, listed, pipe_words, sentence_case
from terrain_head.report.ways_words import wider_words
from terrain_head.report.words import told
from terrain_head.scheme.ends import tank_node


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The answer in words.

    Parameters
    ----------
    sentence
        One or two sentences that answer.
    to_do
        What to do; empty where there is nothing.
    told_kinds
        Kinds of findings that these words tell already.
    works
        False where something stops the ram altogether, None where heights or another stop leave
        it open.
    believed
        Whether the heights can be believed at all.
    look_at
        Where the slip may lie that keeps them from being believed; empty where nobody can say.
    """

    sentence: str
    to_do: str
    told_kinds: frozenset[str]
    works: bool | None = True
    believed: bool = True
    look_at: str = ""


EVEN = 0.5
"""A chance from which a need should rather be met than not [1]."""
_BLOCKING = ("fall-negative", "lift-negative", "fall-too-small", "ram-stops", "lift-beyond-range")


def verdict(answer: Answer) -> Verdict:
    """Return the sentence that answers a study, and what to do.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    lines = headline(answer)
    if lines.book_wrong is not None:
        return _book_first(answer, lines.book_wrong)
    stop = next((one for one in lines.stops if one.kind != "outlet-dry"), None)
    if stop is not None:
        said = told(stop, units=answer.units)
        return Verdict(
            sentence=f"Not as it stands. {said.fact}",
            to_do=said.cure,
            told_kinds=frozenset({stop.kind}),
            works=False if stop.kind in _BLOCKING else None,
        )
    if lines.depends_on_heights:
        return Verdict(
            sentence="Can't tell yet. It works only if the heights are right.",
            to_do=_level_first(answer, lines),
            told_kinds=frozenset({"fall-doubtful", "tank-short", "outlet-short"}),
            works=None,
        )
    sentence = " ".join(part for part in (_water(answer, lines), _outlets(answer, lines)) if part)
    to_do, kinds = _to_do(answer, lines)
    return Verdict(sentence=sentence or _heights(answer), to_do=to_do, told_kinds=kinds)


def _book_first(answer: Answer, wrong: Finding) -> Verdict:
    """Say that the level book does not close, which reading it may be and what settles it."""
    said = told(wrong, units=answer.units)
    slip = next((one for one in answer.findings if one.kind == "reading-stands-out"), None)
    look = None if slip is None else told(slip, units=answer.units)
    return Verdict(
        sentence=f"The level book does not close; nothing below holds before it does. {said.fact}",
        to_do=said.cure if look is None else look.cure,
        told_kinds=frozenset({"misclosure", "reading-stands-out"}),
        works=None,
        believed=False,
        look_at="" if look is None else look.fact,
    )


def short_outlets(answer: Answer) -> list[str]:
    """Return the outlets that do not surely get the pressure they need, the worst first."""
    short = [need for need in headline(answer).unmet if need.kind == "pressure"]
    return [need.name for need in sorted(short, key=lambda need: need.got - need.wanted)]


def _water(answer: Answer, lines: Headline) -> str:
    needs = {need.name: need for need in lines.needs if need.kind == "water"}
    parts = []
    lone = len(answer.layout.tanks) == 1
    for tank in answer.layout.tanks:
        name = "the tank" if lone else f"the tank '{tank.name}'"
        result = answer.solution.tanks.get(tank.name)
        inflow = None if result is None else middle_of(result.inflow_m3_s)
        if inflow is None:
            continue
        if inflow <= 0:
            parts.append(f"No water reaches {name}.")
        elif tank.name not in needs:
            parts.append(f"Water reaches {name}.")
        else:
            need = needs[tank.name]
            words = {
                "yes": f"{name} gets the water you need.",
                "no": f"too little water reaches {name}.",
            }
            likely = need.chance is None or need.chance >= EVEN
            open_yet = (
                f"{name} should get the water you need."
                if likely
                else f"{name} may not get the water you need."
            )
            parts.append(sentence_case(words.get(need.sure, open_yet)))
    return " ".join(parts)


def _outlets(answer: Answer, lines: Headline) -> str:
    judged = [need for need in lines.needs if need.kind == "pressure"]
    if not judged:
        return ""
    short = short_outlets(answer)
    if not short:
        return (
            "Every outlet gets the pressure it needs."
            if len(judged) > 1
            else f"{sentence_case(judged[0].name)} gets the pressure it needs."
        )
    by_name = {need.name: need for need in judged}
    perhaps = [name for name in short if by_name[name].sure == "perhaps"]
    dry = [name for name in short if by_name[name].got <= 0 and name not in perhaps]
    weak = [name for name in short if name not in {*dry, *perhaps}]
    fed = [need.name for need in judged if need.met]
    sentence = []
    if fed:
        who = listed(fed) if len(fed) <= 3 else f"{len(fed)} outlets"
        sentence.append(f"Enough pressure: {who}.")
    if weak:
        sentence.append(f"Too weak: {listed(weak)}.")
    if perhaps:
        sentence.append(f"Perhaps too weak: {listed(perhaps)}.")
    if dry:
        sentence.append(f"Runs dry: {listed(dry)}.")
    return " ".join(sentence)


def _heights(answer: Answer) -> str:
    ram = answer.solution.ram
    fall = None if ram is None else middle_of(ram.fall_m)
    lift = None if ram is None else middle_of(ram.lift_m)
    if fall is not None and lift is not None:
        ends = (
            f"The fall is {_sure(answer, 'fall', fall)} and the lift {_sure(answer, 'lift', lift)}."
        )
        if ram is not None and ram.delivered_m3_s is not None and not answer.layout.tanks:
            return ends
        return f"{ends} How much water arrives can't be said yet."
    if fall is not None:
        return f"The fall is {_sure(answer, 'fall', fall)}."
    drop = _lone_drop(answer)
    if drop:
        return drop
    if answer.layout.pipes:
        return "The ground and the lengths of the pipes are known, the water not yet."
    return "The heights of the places are known; nothing more was asked."


def _sure(answer: Answer, name: str, metres: float) -> str:
    half_m = height_half_m(answer, name)
    if half_m is None:
        return Speech(units=answer.units).height(metres)
    return height_and_doubt(metres, half_m, units=answer.units)[0]


def _lone_drop(answer: Answer) -> str:
    """Say the fall from the source to the outlets or tanks that it feeds without a ram."""
    layout = answer.layout
    source = middle_of(layout.source_level_m)
    if source is None or layout.ram is not None:
        return ""
    ends = [
        (tank.name, f"tank.{tank.name}.drop", middle_of(layout.inlet_m.get(tank.name)))
        for tank in layout.tanks
    ]
    ends += [
        (name, f"outlet.{name}.static_full", middle_of(one.level_m))
        for name, one in answer.solution.outlets.items()
        if not layout.tanks
    ]
    words = [
        f"{name} lies {_sure(answer, result, abs(source - level))} "
        f"{'below' if source >= level else 'above'} the spring's water"
        for name, result, level in ends
        if level is not None
    ]
    return sentence_case(f"{listed(words[:3])}.") if words else ""


def _level_first(answer: Answer, lines: Headline) -> str:
    say = Speech(units=answer.units)
    open_yet = next((need for need in lines.needs if need.hangs_on_heights), None)
    how = "with a rod or a clear hose full of water, before you buy anything."
    if open_yet is not None and open_yet.kind == "pressure":
        result = answer.solution.outlets[open_yet.name]
        start = "the tank" if answer.layout.tanks else "the spring"
        if len(answer.layout.tanks) > 1 and result.fed_by is not None:
            start = result.fed_by
        return f"Level from {start} to {open_yet.place}, {how}"
    ram = answer.layout.ram
    if ram is None:
        tank = "the tank"
        if open_yet is not None and len(answer.layout.tanks) > 1:
            tank = open_yet.place
        return f"Level from the spring to {tank}, {how}"
    drive = answer.layout.pipes.get(ram.drive)
    far = None if drive is None else drive.profile.plan_length_m
    stretch = "" if far is None else f" the {say.length(far)}"
    return f"Level{stretch} from the spring to the ram, {how}"


def _to_do(answer: Answer, lines: Headline) -> tuple[str, frozenset[str]]:
    """Say the first thing to do, and which kinds of findings that tells."""
    stop = next((one for one in lines.stops if one.kind != "outlet-dry"), None)
    if stop is not None:
        return told(stop, units=answer.units).cure, frozenset({stop.kind})
    short = [need for need in lines.unmet if need.kind == "pressure"]
    if short:
        return _pressure_cure(answer, short), frozenset({"outlet-short", "outlet-dry"})
    lacking = next((need for need in lines.unmet if need.fix is not None), None)
    if lacking is not None and (taker := _takes_too_much(answer, lines, lacking.name)) is not None:
        return (
            f"Close a valve part way on {pipe_words(taker)}: it leaves more to '{lacking.name}'.",
            frozenset({"tank-short"}),
        )
    if lacking is not None and lacking.fix is not None:
        if lacking.sure == "perhaps":
            return _surer_water(answer, lacking), frozenset({"tank-short"})
        return _water_cure(answer, lacking.fix), frozenset({"tank-short"})
    return "", frozenset()


def _takes_too_much(answer: Answer, lines: Headline, tank: str) -> str | None:
    """Return the pipe of another tank that takes on the way what would be enough for both."""
    into = {
        one.name: pipe
        for one in answer.layout.tanks
        for pipe in answer.layout.pipes.values()
        if pipe.downstream == tank_node(one)
    }
    got = {name: middle_of(one.inflow_m3_s) or 0.0 for name, one in answer.solution.tanks.items()}
    wants = {need.name: need.wanted for need in lines.needs if need.kind == "water"}
    for name, pipe in into.items():
        shared = name != tank and tank in into and pipe.line == into[tank].line
        spare = got.get(name, 0.0) - wants.get(name, 0.0)
        if shared and spare > 0 and spare + got.get(tank, 0.0) >= wants.get(tank, 0.0):
            return pipe.name
    return None


def _surer_water(answer: Answer, need: Need) -> str:
    """Say what would tell, or help, where the water is perhaps enough."""
    ram = answer.solution.ram
    stands = ram is not None and ram.efficiency_origin == "measured"
    if stands and (best := measure_first(answer)):
        return best
    if need.owed_to == "source flow":
        return "Time the spring again in the dry season, several times, and write each."
    if need.owed_to == "efficiency":
        if stands:
            return "Measure the ram's efficiency again, longer, before you count on the rest."
        return "Ask for what a ram of this kind lifted elsewhere, or count on the lower figure."
    return "Count on the lower figure until you have measured."


def _pressure_cure(answer: Answer, short: Sequence[Need]) -> str:
    say = Speech(units=answer.units)
    fixes = [need.fix for need in short if need.fix is not None]
    stands = [one for one in fixes if one.cure == "raise the stand"]
    if stands and len(stands) == len(fixes):
        most = max(stands, key=_stand)
        now, wanted = most.stand_now_m or 0.0, _stand(most)
        lost = most.water_lost_m3_s
        costs = f" It costs about {say.per_day(lost)}." if lost and lost > 0 else ""
        instead = f" instead of {say.stand(now)}" if now > 0 else ""
        which = "the stand" if len(answer.layout.tanks) == 1 else f"the stand of '{most.tank}'"
        met = _then_met(answer, short, sure=all(one.stand_sure_m is not None for one in stands))
        built = f"Build {which} {say.stand(wanted)} high{instead}; {met}."
        ways = _worst_ways(answer)
        wider = "A wider pipe may do too." if ways is None else wider_words(ways)
        return f"{built}{costs} {wider}".strip()
    if any(one.cure == "higher tank" for one in fixes):
        if not answer.layout.tanks:
            return "Take the water higher up: even still water presses too little there."
        return "Set the tank higher: even still water presses too little there."
    ways = _worst_ways(answer)
    if ways is not None and ways.least is not None:
        return f"{wider_words(ways).replace('Or lay', 'Lay')} Or open fewer outlets at once."
    pipes = dict.fromkeys(one.pipe for one in fixes if one.pipe is not None)
    which = listed([pipe_words(name) for name in pipes])
    wider = f"Take a wider pipe for {which}" if which else "Take wider pipes"
    return f"{wider}, or open fewer outlets at once."


def _worst_ways(answer: Answer) -> WaysToPressure | None:
    """Return the ways for the outlet that is short of the most."""
    worst = short_outlets(answer)[0]
    return next((one for one in answer.ways if one.outlet == worst), None)


def _stand(fix: Fix) -> float:
    return (fix.stand_needed_m or 0.0) if fix.stand_sure_m is None else fix.stand_sure_m


def _then_met(answer: Answer, short: Sequence[Need], *, sure: bool) -> str:
    say = Speech(units=answer.units)
    often = "nine times in ten" if sure else "by the middle figures"
    if len(short) > 1:
        return f"each need is then met {often}"
    return f"{say.pressure(short[0].wanted).split(' (')[0]} is then met {often}"


def _water_cure(answer: Answer, fix: Fix) -> str:
    say = Speech(units=answer.units)
    if fix.cure == "another ram" and fix.passed_by_m3_s is not None:
        return f"Let a larger ram, or one more, use the {say.flow(fix.passed_by_m3_s)} passing by."
    if fix.cure in {"less pipe loss", "wider pipe"}:
        which = "the pipe" if fix.pipe is None else pipe_words(fix.pipe)
        return f"Take a wider pipe for {which}: its friction takes much of the head."
    ways = []
    if fix.flow_needed_m3_s is not None:
        ways.append(f"{say.flow(fix.flow_needed_m3_s)} at the spring")
    if fix.fall_needed_m is not None:
        ways.append(f"a fall of {say.height(fix.fall_needed_m)}")
    if fix.efficiency_needed is not None and fix.efficiency_needed < 1:
        ways.append(f"an efficiency of {say.share(fix.efficiency_needed)}")
    if not ways:
        return "Find more water, or more fall."
    joined = f"{', '.join(ways[:-1])} or {ways[-1]}" if len(ways) > 1 else ways[0]
    return f"It would take {joined}."
