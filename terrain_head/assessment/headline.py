"""The one-sentence answer as data: works, works only if, does not work; and what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.cures import Fix, pressure_fix, water_fix
from terrain_head.assessment.differences import HEIGHTS
from terrain_head.assessment.drawn import SURE
from terrain_head.assessment.finding import Finding
from terrain_head.base.middle import middle_of
from terrain_head.scheme.parts import Outlet, Tank

Verdict = Literal["works", "only if", "does not work"]
Sure = Literal["yes", "perhaps", "no"]
"""Whether a need is met: ``yes`` at least nine times in ten, ``no`` at most once in ten."""
BOOK_WRONG = 3.0
"""How many times over what is allowed a book may miss before no height of it is believed; ours."""
_SLACK = 1 + 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What was asked for and what there is, SI: a flow into a tank, a pressure at an outlet.

    Parameters
    ----------
    kind
        ``water`` or ``pressure``.
    name, place
        Name of the tank or outlet, and of its place.
    wanted, got
        In m3/s or Pa.
    sure
        Whether it is met.
    chance
        That it is met; None where nothing that is drawn moves it, or its doubt is not known [1].
    unknown
        Whether it hangs on heights of which nobody knows how wrong they are.
    owed_to
        The cause with the greatest share in its doubt, None where that was not shared out.
    fix
        What to do first; None where it is met.
    """

    kind: Literal["water", "pressure"]
    name: str
    place: str
    wanted: float
    got: float
    sure: Sure
    chance: float | None = None
    unknown: bool = False
    owed_to: str | None = None
    fix: Fix | None = None

    @property
    def met(self) -> bool:
        """Whether it is met nine times in ten."""
        return self.sure == "yes"

    @property
    def hangs_on_heights(self) -> bool:
        """Whether better heights would tell."""
        return self.sure == "perhaps" and (self.unknown or self.owed_to in HEIGHTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Headline:
    """What the first sentence of an answer is made of.

    Parameters
    ----------
    verdict
        ``does not work`` with any finding that stops it; ``only if`` with a need that is not
        surely met or heights on which it depends; else ``works`` (as far as it was asked).
    depends_on_heights
        Whether better heights must come first: a need hangs on them, or nothing was asked and
        their error rivals the fall or is not known.
    book_wrong
        The finding that the level book misses its known points by far more than is allowed.
    stops
        The findings that stop it.
    needs
        In the order of the study, tanks first.
    arrives_m3_s
        Water that arrives in the first tank, None where not known [m3/s].
    fall_m, lift_m
        None without a ram [m].
    """

    verdict: Verdict
    depends_on_heights: bool
    stops: tuple[Finding, ...]
    needs: tuple[Need, ...]
    arrives_m3_s: float | None
    fall_m: float | None
    lift_m: float | None
    book_wrong: Finding | None = None

    @property
    def unmet(self) -> tuple[Need, ...]:
        """The needs that are not surely met."""
        return tuple(need for need in self.needs if not need.met)


def headline(answer: Answer) -> Headline:
    """Return verdict, needs and first cures of one choice.

    Parameters
    ----------
    answer
        The choice, solved and judged.

    Returns
    -------
    Headline
        Data only; `terrain_head.report.words` makes the sentences.
    """
    layout, solution = answer.layout, answer.solution
    needs = [need for tank in layout.tanks if (need := _water_need(answer, tank)) is not None]
    needs += [
        need for outlet in layout.outlets if (need := _pressure_need(answer, outlet)) is not None
    ]
    stops = tuple(finding for finding in answer.findings if finding.severity == "stop")
    book_wrong = _book_wrong(answer)
    heights = book_wrong is not None or depends_on_heights(answer, needs)
    verdict: Verdict = "works"
    if stops:
        verdict = "does not work"
    elif heights or not all(need.met for need in needs):
        verdict = "only if"
    ram = solution.ram
    inflows = [solution.tanks[t.name].inflow_m3_s for t in layout.tanks if t.name in solution.tanks]
    return Headline(
        verdict=verdict,
        depends_on_heights=heights,
        stops=stops,
        needs=tuple(needs),
        arrives_m3_s=middle_of(inflows[0]) if inflows else None,
        fall_m=None if ram is None else middle_of(ram.fall_m),
        lift_m=None if ram is None else middle_of(ram.lift_m),
        book_wrong=book_wrong,
    )


def depends_on_heights(answer: Answer, needs: Sequence[Need]) -> bool:
    """Return whether better heights must come first.

    Parameters
    ----------
    answer
        The choice, solved and judged.
    needs
        Its needs. One that is surely not met does not wait for heights.
    """
    if any(need.sure == "no" for need in needs):
        return False
    if any(need.hangs_on_heights for need in needs):
        return True
    kinds = {finding.kind for finding in answer.findings}
    unknown = "raster-error-unknown" in kinds and answer.solution.ram is not None
    doubtful = "fall-doubtful" in kinds or (unknown and "fall" not in answer.spread)
    asked = any(need.kind == "water" and need.chance is not None for need in needs)
    return doubtful and not asked


def _book_wrong(answer: Answer) -> Finding | None:
    """Return the finding of a book that misses by far more than is allowed, None without."""
    for one in answer.findings:
        open_yet = one.kind == "misclosure" and one.severity == "care"
        if open_yet and one.value and one.limit and abs(one.value) > BOOK_WRONG * one.limit:
            return one
    return None


def _judged(
    answer: Answer,
    *,
    kind: Literal["water", "pressure"],
    of: Tank | Outlet,
    wanted: float,
    got: float,
) -> Need:
    """Return a need with its chance, without a fix."""
    need, results = {
        "water": (f"tank.{of.name}.needed", (f"tank.{of.name}.inflow", "delivered")),
        "pressure": (f"outlet.{of.name}.needs", (f"outlet.{of.name}.running_low",)),
    }[kind]
    drawn = answer.drawn
    chance = None if drawn is None else drawn.chance.get(need)
    unknown = drawn is not None and results[0] in drawn.unknown
    sure: Sure = "yes" if got * _SLACK >= wanted else "no"
    if unknown:
        sure = "perhaps"
    elif chance is not None:
        sure = "yes" if chance >= SURE else "no" if chance <= 1 - SURE else "perhaps"
    shares = next((drawn.shares[r] for r in results if r in drawn.shares), {}) if drawn else {}
    return Need(
        kind=kind,
        name=of.name,
        place=of.place,
        wanted=wanted,
        got=got,
        sure=sure,
        chance=None if unknown else chance,
        unknown=unknown,
        owed_to=next(iter(shares), None),
    )


def _water_need(answer: Answer, tank: Tank) -> Need | None:
    result = answer.solution.tanks.get(tank.name)
    got = None if result is None else middle_of(result.inflow_m3_s)
    if got is None or tank.needed_m3_s is None:
        return None
    need = _judged(answer, kind="water", of=tank, wanted=tank.needed_m3_s.value, got=got)
    return need if need.met else replace(need, fix=water_fix(answer.solution, tank))


def _pressure_need(answer: Answer, outlet: Outlet) -> Need | None:
    result = answer.solution.outlets.get(outlet.name)
    got = None if result is None else middle_of(result.running_low_pa)
    if result is None or got is None or outlet.needs_pa is None:
        return None
    need = _judged(answer, kind="pressure", of=outlet, wanted=outlet.needs_pa.value, got=got)
    return need if need.met else replace(need, fix=pressure_fix(answer, outlet, result=result))
