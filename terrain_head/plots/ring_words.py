"""Rings on the drawings: which pipes make them, and which way their water runs."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.answer import Answer
from terrain_head.base.middle import middle_of
from terrain_head.plots.pegs import Peg
from terrain_head.plots.runs import Run
from terrain_head.scheme.rings import ring_pipes


def water_ways(answer: Answer) -> dict[str, float]:
    """Return the pipes of rings in which water runs: 1 with the drawing, -1 against it.

    Parameters
    ----------
    answer
        One choice of a study.
    """
    ways = {}
    for name in sorted(ring_pipes(answer.layout)):
        result = answer.solution.pipes.get(name)
        flow = None if result is None else middle_of(result.flow_m3_s)
        if flow:
            ways[name] = 1.0 if flow > 0 else -1.0
    return ways


def ring_note(answer: Answer, run: Run, *, pegs: Mapping[str, Peg]) -> str:
    """Say which pipes of a row are part of a ring, and where their water runs against the row.

    Parameters
    ----------
    answer
        One choice of a study.
    run
        The row.
    pegs
        The places of the study.

    Returns
    -------
    str
        Empty where the row has no pipe of a ring.
    """
    rings = ring_pipes(answer.layout)
    ringed = [name for name in run.pipes if name in rings]
    if not ringed:
        return ""
    lone = len(run.pipes) == 1
    named = " and ".join([", ".join(ringed[:-1]), ringed[-1]] if len(ringed) > 1 else ringed)
    are = "are" if len(ringed) > 1 else "is"
    words = "part of a ring" if lone else f"{named} {are} part of a ring"
    ways = water_ways(answer)
    for name in ringed:
        if ways.get(name, 0.0) < 0:
            pipe = answer.layout.pipes[name]
            start, end = pegs[pipe.downstream].letter, pegs[pipe.upstream].letter
            which = "the water" if lone else f"that of {name}"
            words += f"; {which} runs from {start} to {end}"
    return words
