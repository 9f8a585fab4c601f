"""What the ground is asked for: the course of every pipe between two places."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from terrain_head.base.names import heading
from terrain_head.errors import InputError, Trouble
from terrain_head.ground.ground import Course
from terrain_head.scheme.ends import node_of, place_of
from terrain_head.scheme.network import Leg
from terrain_head.scheme.parts import Parts, PipeRun


def courses_of(parts: Parts) -> tuple[Course, ...]:
    """Return where each pipe is to go, its ends as names of places.

    Parameters
    ----------
    parts
        The parts of the scheme as stated.

    Returns
    -------
    tuple of Course
        One per pipe, in the order and the direction in which they were written.

    Raises
    ------
    InputError
        If an end names no part or more than one, or a pipe ends where it begins.

    Examples
    --------
    >>> from terrain_head.scheme.parts import PipeRun, Ram, Source
    >>> courses = courses_of(
    ...     Parts(
    ...         source=Source(place="spring"),
    ...         ram=Ram(place="hollow"),
    ...         pipes=(PipeRun(name="drive", start="source", end="ram"),),
    ...     )
    ... )
    >>> courses[0].start, courses[0].end
    ('spring', 'hollow')
    """
    troubles: list[Trouble] = []
    courses: list[Course] = []
    for run in parts.pipes:
        course = _course(run, parts, troubles)
        if course is not None:
            courses.append(course)
    if troubles:
        raise InputError("The ends of the pipes can't be settled.", *troubles)
    return tuple(courses)


def places_of(parts: Parts) -> tuple[str, ...]:
    """Return the places whose height a scheme needs whether or not a pipe ends there.

    Parameters
    ----------
    parts
        The parts of the scheme as stated.

    Returns
    -------
    tuple of str
        Places of source, ram, seeps, tanks with their legs, and outlets, each once.
    """
    places = [part.place for part in (parts.source, parts.ram) if part is not None]
    places += [seep.place for seep in parts.seeps]
    for tank in parts.tanks:
        places += [tank.place, *tank.legs]
    places += [outlet.place for outlet in parts.outlets]
    return tuple(dict.fromkeys(places))


def legs_to_lay(legs: Sequence[Leg], *, profiles: Collection[str]) -> tuple[Leg, ...]:
    """Return the legs whose water can be followed over known ground.

    Parameters
    ----------
    legs
        Every pipe with its role and direction.
    profiles
        Names of the pipes whose way over the ground is known.

    Returns
    -------
    tuple of Leg
        Without a pipe that has no profile, what hangs on it in a tree that feeds outlets, and the
        whole of its line elsewhere.
    """
    lost = [leg for leg in legs if leg.run.name not in profiles]
    for one in lost:
        line = [leg for leg in legs if leg.line == one.line]
        alike = (
            line if not _is_tree(line) else [leg for leg in line if leg.upstream == one.downstream]
        )
        lost += [leg for leg in alike if leg not in lost]
    return tuple(leg for leg in legs if leg not in lost)


def _is_tree(line: Sequence[Leg]) -> bool:
    """Say whether supply pipes part and never meet again."""
    ends = [leg.downstream for leg in line]
    roots = {leg.upstream for leg in line} - set(ends)
    return line[0].role == "supply" and len(roots) == 1 and len(set(ends)) == len(ends)


def _course(run: PipeRun, parts: Parts, troubles: list[Trouble]) -> Course | None:
    places = []
    for key, end in (("from", run.start), ("to", run.end)):
        try:
            places.append(place_of(node_of(end, parts=parts), parts=parts))
        except InputError as error:
            table = heading("pipe", run.name)
            troubles += [
                Trouble(
                    what=f"{table} {key}: {trouble.what}",
                    write=f"{table}\n{key} = {trouble.write}",
                )
                for trouble in error.troubles
            ]
    if len(places) < 2:
        return None
    if places[0] == places[1]:
        what = f'{heading("pipe", run.name)} begins and ends at "{places[0]}".'
        troubles.append(Trouble(what=what + " It needs two different places."))
        return None
    return Course(
        name=run.name,
        start=places[0],
        end=places[1],
        route=run.route,
        length_m=None if run.length_m is None else run.length_m.value,
    )
