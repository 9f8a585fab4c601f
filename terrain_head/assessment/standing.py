"""Where each choice stands against what was asked for, and which may be held against each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.headline import Need, headline

Met = Literal["yes", "perhaps", "no", "can't tell", "not asked"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Whether one choice meets every need, and what that hangs on.

    Parameters
    ----------
    choice
        Its name.
    met
        ``perhaps`` with a chance; ``can't tell`` where nobody knows how wrong a height is or the
        level book can't be believed; ``not asked`` where there is no need.
    chance
        That the least sure of its needs is met, where it is ``perhaps`` [1].
    because
        The needs that decide it: those that are not met, or may not be.
    stopped
        Whether something else stops it.
    book_wrong
        Whether the level book can't be believed.
    heights_hide_it
        Whether better heights would tell.
    """

    choice: str
    met: Met
    chance: float | None = None
    because: tuple[Need, ...] = ()
    stopped: bool = False
    book_wrong: bool = False
    heights_hide_it: bool = False


def standing_of(answer: Answer) -> Standing:
    """Return where one choice stands.

    Parameters
    ----------
    answer
        The choice, solved and judged.
    """
    lines = headline(answer)
    name, heights = answer.choice, lines.depends_on_heights
    if lines.book_wrong is not None:
        return Standing(choice=name, met="can't tell", book_wrong=True, heights_hide_it=True)
    refused = tuple(need for need in lines.needs if need.sure == "no")
    if lines.stops or refused:
        return Standing(choice=name, met="no", because=refused, stopped=bool(lines.stops))
    if not lines.needs:
        met: Met = "can't tell" if heights else "not asked"
        return Standing(choice=name, met=met, heights_hide_it=heights)
    open_yet = tuple(need for need in lines.needs if need.sure == "perhaps")
    known = [need.chance for need in open_yet if need.chance is not None]
    if len(known) < len(open_yet) or (heights and not known):
        return Standing(choice=name, met="can't tell", because=open_yet, heights_hide_it=heights)
    if not known:
        return Standing(choice=name, met="yes")
    return Standing(
        choice=name,
        met="perhaps",
        chance=min(known),
        because=open_yet,
        heights_hide_it=heights,
    )


def peers(answers: Sequence[Answer]) -> tuple[Answer, ...]:
    """Return the choices that may be held against each other.

    Parameters
    ----------
    answers
        The choices of one study.

    Returns
    -------
    tuple of Answer
        Those that meet every need; where none does, those that may; where none may, all.
    """
    met = [standing_of(answer).met for answer in answers]
    for group in ({"yes"}, {"perhaps", "can't tell"}):
        found = tuple(one for one, word in zip(answers, met, strict=True) if word in group)
        if found:
            return found
    return tuple(answers)
