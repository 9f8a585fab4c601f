"""Words for how a level book closes, and what comes first where it does not."""

from __future__ import annotations

from terrain_head.base.units import UnitSystem, from_si, to_si
from terrain_head.leveling.allowable import PUBLISHED_CLASSES
from terrain_head.leveling.book import LevelBook
from terrain_head.leveling.elevations import Elevations, Misclosure
from terrain_head.leveling.suspect import apart
from terrain_head.report.reduce_figures import Figures, filled, labelled
from terrain_head.report.reduce_suspects import say_amended, say_suspects
from terrain_head.report.told import Told

_FAR_OUT = 2.0  # times what is allowed: chance does that in one book of a thousand
_SHOWN_CLASSES = ("third order", "construction")
_MOST = 2
WARNING = "Don't rely on these heights before that is settled:"


def open_runs(elevations: Elevations) -> tuple[Misclosure, ...]:
    """Return the runs that miss by more than chance: those over the limit, a slip being seen.

    Notes
    -----
    What is allowed is passed by one clean book of ten. A run counts as open where it misses twice
    as much, or where a reading stands out.
    """
    return tuple(
        run
        for run in elevations.misclosures
        if not run.holds
        and (elevations.suspects or abs(run.computed_minus_known_m) > _FAR_OUT * run.allowable_m)
    )


def doubtful(elevations: Elevations) -> bool:
    """Return whether no height of the book should be relied on yet."""
    return bool(elevations.suspects or open_runs(elevations))


def lead(
    book: LevelBook, elevations: Elevations, *, figures: Figures, units: UnitSystem
) -> list[str]:
    """Return what stands before the heights of a book that does not close, else nothing.

    Parameters
    ----------
    book, elevations
        The level book, and what it comes to.
    figures, units
        How readings and heights are shown.
    """
    if not doubtful(elevations):
        return []
    said = _what_is_wrong(book, elevations, figures)
    lines = filled(_first_sentence(elevations, figures)).splitlines()
    lines += labelled("Look at", said.fact) if said.fact else []
    lines += labelled("What to do", said.cure)
    then = say_amended(elevations, book, units)
    return [*lines, *(labelled("If so", then) if then else [])]


def _first_sentence(elevations: Elevations, figures: Figures) -> str:
    runs = open_runs(elevations)
    if not runs:
        count = len(apart(elevations.suspects))
        return (
            "One reading does not fit the others."
            if count == 1
            else f"{count} readings do not fit the others."
        )
    missed = [
        f"{_came(run, figures)}; {figures.amount(run.allowable_m)} is allowed"
        for run in runs[:_MOST]
    ]
    more = len(runs) - _MOST
    others = f" {more} more run{' misses' if more == 1 else 's miss'} too." if more > 0 else ""
    return f"The book does not close: {'; '.join(missed)}.{others}"


def _came(run: Misclosure, figures: Figures) -> str:
    out = run.computed_minus_known_m
    amount = f"{figures.amount(abs(out))} {'high' if out > 0 else 'low'}"
    if run.start == run.end:
        return f"you came back to {run.end} {amount}"
    return f"from {run.start}, {run.end} came out {amount}"


def _what_is_wrong(book: LevelBook, elevations: Elevations, figures: Figures) -> Told:
    if elevations.suspects:
        return say_suspects(book, elevations.suspects, figures.amount)
    hints = [_misread(run, figures) for run in open_runs(elevations)]
    hint = next((one for one in hints if one), "")
    run = open_runs(elevations)[0]
    over = f"from {run.start} to {run.end}" if run.start != run.end else f"back to {run.end}"
    return Told(
        fact=f"No one reading explains it.{hint}",
        cure=f"Compare each line with your notes, then level {over} again.",
    )


def closing_lines(elevations: Elevations, figures: Figures) -> list[str]:
    """Return how each run came to its known elevation, and what was allowed."""
    return [
        line
        for run in elevations.misclosures
        for line in labelled("Closing", _closing_text(elevations, run, figures))
    ]


def _closing_text(elevations: Elevations, run: Misclosure, figures: Figures) -> str:
    out = run.computed_minus_known_m
    exact = figures.text(out).strip("-0.") == ""
    amount = f"{figures.with_unit(abs(out))} {'high' if out > 0 else 'low'}"
    if run.start == run.end:
        came = f"You came back to {run.end} {'exactly' if exact else amount}"
    elif exact:
        came = f"From {run.start}, {run.end} came out exactly at its elevation"
    else:
        came = f"From {run.start}, {run.end} came out {amount} against its elevation"
    setups = f"{run.setups} set-up{'' if run.setups == 1 else 's'}"
    whose = "as stated" if elevations.reading_stated else "taken for want of yours"
    sentences = [
        f"{came}; {figures.text(run.allowable_m)} is allowed (nine cases in ten for {setups}, the "
        f"reading error {whose})."
    ]
    if run in open_runs(elevations):
        sentences.append("That is more than the readings explain.")
    elif not run.holds:
        sentences.append("Chance alone does as much in one book of ten.")
    if not exact and run.setups > 1:
        sentences.append(f"It was shared over the {setups}.")
    if run.length_m:
        sentences += [
            f"{kind.name.capitalize()} allows {figures.text(kind.allowable_m(run.length_m))} "
            f"({kind.rule}; {kind.citation.source.obtained})."
            for kind in PUBLISHED_CLASSES
            if kind.name in _SHOWN_CLASSES
        ]
    return " ".join(sentences)


def _misread(run: Misclosure, figures: Figures) -> str:
    """Return a hint where a run missed by about a whole unit of the rod."""
    whole = round(abs(from_si(run.computed_minus_known_m, figures.unit)))
    left = abs(run.computed_minus_known_m) - to_si(float(whole), figures.unit)
    if whole == 0 or abs(left) > run.allowable_m:
        return ""
    return f" It misses by close to {whole} {figures.unit}: perhaps a whole figure was misread."
