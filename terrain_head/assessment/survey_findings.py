"""How far the heights can be trusted: the level book, the raster, and how they were joined."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from terrain_head.assessment.evidence import Evidence, known
from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.limits import DATUM_APART, JOIN_GAP, MISCLOSURE_SHARE, PRACTICE
from terrain_head.assessment.suspect_findings import first_check_texts
from terrain_head.base.citation import OURS
from terrain_head.base.display import LIKELY
from terrain_head.base.middle import middle_of
from terrain_head.ground.ground import DatumShift, Ground, Origin


def book_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge the level book."""
    book = evidence.elevations
    if book is None:
        return
    yield from _misclosure_findings(evidence)
    if book.degrees_of_freedom == 0:
        yield Finding(
            kind="book-unchecked",
            severity="care",
            texts=first_check_texts(book, evidence.book),
            source=PRACTICE,
        )
    else:
        yield from _hanging_findings(evidence)
    if book.assumed_datum:
        yield Finding(
            kind="assumed-datum",
            severity="fine",
            texts={"datum": book.datum},
            source=PRACTICE,
        )


def stated_findings(evidence: Evidence) -> Iterator[Finding]:
    """Tell of each leveled place for which the study states another height."""
    for beside in evidence.ground.stated_beside:
        apart, std = beside.stated_minus_leveled_m, beside.std_m
        limit = None if std is None else LIKELY * std
        yield Finding(
            kind="stated-height-apart",
            severity="fine" if limit is not None and abs(apart) <= limit else "care",
            value=apart,
            limit=limit,
            unit="m",
            source=OURS.at("a leveled height goes before a stated one, and the difference is told"),
            where=Where(place=beside.place),
        )


def _misclosure_findings(evidence: Evidence) -> Iterator[Finding]:
    book = evidence.elevations
    against = smallest_head_m(evidence)
    for run in () if book is None else book.misclosures:
        if run.holds:
            continue
        out = abs(run.computed_minus_known_m)
        share = None if against is None else out / against
        yield Finding(
            kind="misclosure",
            severity="fine" if share is not None and share < MISCLOSURE_SHARE.value else "care",
            value=run.computed_minus_known_m,
            limit=run.allowable_m,
            unit="m",
            values=known(share_of_fall=share, setups=float(run.setups)),
            texts={"start": run.start, "end": run.end, "rule": run.rule},
            source=run.citation,
            where=Where(place=run.end),
        )


def smallest_head_m(evidence: Evidence) -> float | None:
    """Return the height that a wrong level hurts first, None where there is none [m].

    Notes
    -----
    The fall of a ram; without a ram the least height of a full tank (or source) above an outlet.
    """
    fall = evidence.fall_m
    if fall is not None:
        return fall if fall > 0 else None
    heads = []
    for outlet in evidence.solution.outlets.values():
        level = middle_of(outlet.level_m)
        above = evidence.layout.full_m.get(outlet.fed_by or "", evidence.layout.source_level_m)
        full = middle_of(above)
        if level is not None and full is not None and full > level:
            heads.append(full - level)
    return min(heads, default=None)


def _hanging_findings(evidence: Evidence) -> Iterator[Finding]:
    book = evidence.elevations
    hanging = () if book is None else book.hanging
    places = [place for place in evidence.scheme_places() if place in hanging]
    if not places:
        return
    grave = evidence.ram is not None and {evidence.source_place, evidence.ram_place} & set(places)
    yield Finding(
        kind="hangs-on-one-reading",
        severity="care" if grave else "fine",
        value=float(len(places)),
        texts={"places": ", ".join(places)},
        source=PRACTICE,
    )


def raster_findings(evidence: Evidence) -> Iterator[Finding]:
    """Judge the raster and how it was moved onto the book's datum."""
    grid = evidence.grid
    if grid is None:
        return
    if grid.error.std_m is None and uses_raster(evidence):
        yield unknown_error(grid.names)
    shift = evidence.ground.shift
    if shift is None or not shift.places:
        return
    yield from _agreement_findings(evidence, shift)
    if len(shift.places) == 1:
        yield Finding(
            kind="raster-tied-once",
            severity="fine",
            value=shift.shift_m,
            unit="m",
            values=known(std_m=shift.shift_std_m),
            texts={"place": shift.places[0]},
            source=OURS.at("one place moves a raster and nothing checks it"),
            where=Where(place=shift.places[0]),
        )
        return
    at = int(np.argmax(np.abs(shift.left_over_m)))
    greatest = shift.left_over_m[at]
    limit = None if grid.error.std_m is None else LIKELY * grid.error.std_m
    yield Finding(
        kind="raster-left-over",
        severity="care" if limit is not None and abs(greatest) > limit else "fine",
        value=greatest,
        limit=limit,
        unit="m",
        values={"count": float(len(shift.places))},
        texts={"place": shift.places[at]},
        source=grid.error.citation,
        where=Where(place=shift.places[at]),
    )


def unknown_error(rasters: Sequence[str]) -> Finding:
    """Return the finding that nobody said how wrong these rasters are.

    Parameters
    ----------
    rasters
        Their names.
    """
    return Finding(
        kind="raster-error-unknown",
        severity="care",
        texts={"rasters": ", ".join(rasters)},
        source=OURS.at("a raster's error is asked, never assumed"),
    )


def _agreement_findings(evidence: Evidence, shift: DatumShift) -> Iterator[Finding]:
    """Tell of a raster that is worse than claimed, or stands off the rod's datum."""
    error = None if evidence.grid is None else evidence.grid.error
    found = shift.agreement
    if error is not None and found is not None and not found.holds:
        yield Finding(
            kind="raster-disagrees",
            severity="care",
            value=found.worse_by,
            limit=1.0,
            values=known(chance=found.chance, count=float(len(shift.places)), std_m=error.std_m),
            source=OURS.at("what is left over at leveled places, chi-square at 5 %"),
        )
    book, std = evidence.elevations, shift.shift_std_m
    named = book is None or not book.assumed_datum
    if named and std is not None and LIKELY * std < abs(shift.shift_m) <= DATUM_APART.value:
        yield Finding(
            kind="raster-bias",
            severity="fine",
            value=-shift.shift_m,
            limit=LIKELY * std,
            unit="m",
            values=known(std_m=std),
            texts={"datum": evidence.ground.datum},
            source=DATUM_APART.citation,
        )


def uses_raster(evidence: Evidence) -> bool:
    """Return whether any height of the scheme comes from a raster."""
    raster = [int(Origin.RASTER), int(Origin.FUSED)]
    ground = evidence.ground
    places = [ground.place(name) for name in evidence.scheme_places() if name in ground.names]
    if np.isin(ground.origin[places], raster).any():
        return True
    profiles = [pipe.profile for pipe in evidence.layout.pipes.values()]
    return any(bool(np.isin(profile.origin, raster).any()) for profile in profiles)


def route_findings(evidence: Evidence) -> Iterator[Finding]:
    """Tell which ends stood off their routes, and which places were put at a route's end."""
    yield from join_findings(evidence.ground)
    for place, route in evidence.ground.placed_by_route:
        yield Finding(
            kind="place-from-route",
            severity="fine",
            texts={"route": route},
            source=OURS.at("a place takes the end of the route that begins or ends there"),
            where=Where(place=place),
        )


def join_findings(ground: Ground) -> Iterator[Finding]:
    """Tell which ends stood so far off their routes that a straight leg joins them."""
    for join in ground.joins:
        if join.gap_m <= JOIN_GAP.value:
            continue
        yield Finding(
            kind="route-joined",
            severity="care",
            value=join.gap_m,
            limit=JOIN_GAP.value,
            unit="m",
            texts={"route": join.route},
            source=JOIN_GAP.citation,
            where=Where(pipe=join.pipe, place=join.place),
        )
