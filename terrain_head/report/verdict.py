"""The one sentence that answers a study, and what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.finding import Finding
from terrain_head.base.display import LIKELY
from terrain_head.report.measurement import likelihood, middle
from terrain_head.report.speech import Speech, listed, sentence_case
from terrain_head.report.words import told
from terrain_head.scheme.parts import Tank


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
        False where something stops the work altogether, None where the heights leave it open.
    """

    sentence: str
    to_do: str
    told_kinds: frozenset[str]
    works: bool | None = True


_BLOCKING = (
    "fall-negative",
    "lift-negative",
    "fall-too-small",
    "ram-stops",
    "lift-beyond-range",
)


def verdict(answer: Answer) -> Verdict:
    """Return the sentence that answers a study, and what to do.

    Parameters
    ----------
    answer
        One choice of one study.
    """
    stops = [one for one in answer.findings if one.severity == "stop"]
    blocking = next((one for one in stops if one.kind in _BLOCKING), None)
    if blocking is not None:
        said = told(blocking, units=answer.units)
        return Verdict(
            sentence=f"As it stands this does not work. {said.fact}",
            to_do=said.cure,
            told_kinds=frozenset({blocking.kind}),
            works=False,
        )
    doubtful = next((one for one in answer.findings if one.kind == "fall-doubtful"), None)
    if doubtful is not None:
        return Verdict(
            sentence="Can't tell yet. It works only if the heights are right.",
            to_do=_level_first(answer),
            told_kinds=frozenset({"fall-doubtful"}),
            works=None,
        )
    sentence = " ".join(part for part in (_water(answer), _outlets(answer)) if part)
    to_do, kinds = _to_do(answer, stops)
    return Verdict(sentence=sentence or _heights(answer), to_do=to_do, told_kinds=kinds)


def short_outlets(answer: Answer) -> list[str]:
    """Return the outlets that get less pressure than they need, the worst first."""
    needs = {one.name: one.needs_pa for one in answer.layout.outlets}
    short: list[tuple[float, str]] = []
    for name, one in answer.solution.outlets.items():
        if likelihood(one.enough) is False:
            need = needs.get(name)
            running = middle(one.running_low_pa) or 0.0
            short.append((running - (need.value if need else 0.0), name))
    return [name for _, name in sorted(short)]


def enough_water(answer: Answer, tank: Tank) -> bool | None:
    """Return whether a tank gets the water wanted, None where none is asked or known."""
    result = answer.solution.tanks.get(tank.name)
    inflow = None if result is None else middle(result.inflow_m3_s)
    if inflow is None or tank.needed_m3_s is None:
        return None
    return inflow >= tank.needed_m3_s.value


def _water(answer: Answer) -> str:
    parts = []
    lone = len(answer.layout.tanks) == 1
    for tank in answer.layout.tanks:
        name = "the tank" if lone else f"the tank '{tank.name}'"
        result = answer.solution.tanks.get(tank.name)
        inflow = None if result is None else middle(result.inflow_m3_s)
        if inflow is None:
            continue
        enough = enough_water(answer, tank)
        if inflow <= 0:
            parts.append(f"No water reaches {name}.")
        elif enough is False:
            parts.append(f"Too little water reaches {name}.")
        elif enough:
            parts.append(sentence_case(f"{name} gets the water you need."))
        else:
            parts.append(f"Water reaches {name}.")
    return " ".join(parts)


def _outlets(answer: Answer) -> str:
    short = short_outlets(answer)
    results = answer.solution.outlets
    judged = [name for name, one in results.items() if one.enough is not None]
    if not judged:
        return ""
    if not short:
        return (
            "Every outlet gets the pressure it needs."
            if len(judged) > 1
            else f"{sentence_case(judged[0])} gets the pressure it needs."
        )
    dry = [name for name in short if (middle(results[name].running_low_pa) or 0.0) <= 0]
    weak = [name for name in short if name not in dry]
    fed = [name for name in judged if name not in short]
    sentence = []
    if fed:
        who = listed(fed) if len(fed) <= 3 else f"{len(fed)} outlets"
        sentence.append(f"Enough pressure: {who}.")
    if weak:
        sentence.append(f"Too weak: {listed(weak)}.")
    if dry:
        sentence.append(f"Runs dry: {listed(dry)}.")
    return " ".join(sentence)


def _heights(answer: Answer) -> str:
    say = Speech(units=answer.units)
    ram = answer.solution.ram
    fall = None if ram is None else middle(ram.fall_m)
    lift = None if ram is None else middle(ram.lift_m)
    if fall is not None and lift is not None:
        fall_text = say.height(fall, std=_std(answer, "fall"))
        lift_text = say.height(lift, std=_std(answer, "lift"))
        return (
            f"The fall is {fall_text} and the lift {lift_text}. How much water arrives can't be "
            "said yet."
        )
    if fall is not None:
        return f"The fall is {say.height(fall, std=_std(answer, 'fall'))}."
    if answer.layout.pipes:
        return "The ground and the lengths of the pipes are known, the water not yet."
    return "The heights of the places are known; nothing more was asked."


def _std(answer: Answer, name: str) -> float | None:
    spread = answer.spread.get(name)
    return None if spread is None else spread.std


def _level_first(answer: Answer) -> str:
    say = Speech(units=answer.units)
    ram = answer.layout.ram
    drive = None if ram is None else answer.layout.pipes.get(ram.drive)
    far = None if drive is None else drive.profile.plan_length_m
    stretch = "" if far is None else f" the {say.length(far)}"
    return (
        f"Level{stretch} from the spring to the ram, with a rod or a clear hose full of water, "
        "before you buy anything."
    )


def _to_do(answer: Answer, stops: Sequence[Finding]) -> tuple[str, frozenset[str]]:
    short = short_outlets(answer)
    if stops and stops[0].kind != "outlet-dry":
        said = told(stops[0], units=answer.units)
        return f"{said.fact} {said.cure}", frozenset({stops[0].kind})
    if short:
        return _raise_stand(answer, short), frozenset({"outlet-short", "outlet-dry"})
    lacking = next((one for one in answer.findings if one.kind == "tank-short"), None)
    if lacking is not None:
        return told(lacking, units=answer.units).cure, frozenset({"tank-short"})
    return "", frozenset()


def _raise_stand(answer: Answer, short: Sequence[str]) -> str:
    say = Speech(units=answer.units)
    results = answer.solution.outlets
    wanted = [middle(results[name].stand_needed_m) for name in short]
    heights = [one for one in wanted if one is not None]
    tank = _raised_tank(answer)
    if not heights or len(heights) < len(wanted) or tank is None:
        return (
            "No stand alone mends it: take a wider pipe to "
            f"{listed(list(short))}, or open fewer outlets at once."
        )
    stand = max(heights)
    now = tank.stand_m.value
    cost = _cost_of_stand(answer, now, stand)
    costs = "" if cost is None else f" That costs about {say.per_day(cost)}."
    instead = f" instead of {say.stand(now)}" if now > 0 else ""
    return f"Build the stand {say.stand(stand)} high{instead}, or lay a wider pipe.{costs}"


def _raised_tank(answer: Answer) -> Tank | None:
    sweep = answer.solution.stand_sweep
    tanks = {one.name: one for one in answer.layout.tanks}
    if sweep is not None and sweep.tank in tanks:
        return tanks[sweep.tank]
    return next(iter(tanks.values())) if len(tanks) == 1 else None


def _cost_of_stand(answer: Answer, now_m: float, then_m: float) -> float | None:
    """Return the water that a higher stand costs, from the sweep of stand heights [m3/s]."""
    sweep = answer.solution.stand_sweep
    if sweep is None or sweep.inflow_m3_s is None:
        return None
    if then_m > sweep.stand_m[-1] or now_m < sweep.stand_m[0]:
        return None
    inflow = np.asarray(sweep.inflow_m3_s, dtype=float)
    if inflow.ndim > 1:
        inflow = np.median(inflow, axis=0)
    before, after = np.interp([now_m, then_m], sweep.stand_m, inflow)
    return float(before - after) if before > after else None


def likely_half(answer: Answer, name: str) -> float | None:
    """Return the half width that holds nine cases in ten of a result, None if not computed."""
    std = _std(answer, name)
    return None if std is None else LIKELY * std
