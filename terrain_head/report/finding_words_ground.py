"""Words for the findings about the heights: level book, raster, map and routes."""

from __future__ import annotations

from collections.abc import Mapping

from terrain_head.assessment.finding import Finding
from terrain_head.report.finding_words_slips import sight_of
from terrain_head.report.reduce_suspects import say_check
from terrain_head.report.speech import Speech, pipe_words, sentence_case
from terrain_head.report.told import Sayer, Told, amount, limit_of


def _misclosure(finding: Finding, say: Speech) -> Told:
    error = amount(finding)
    start, end = finding.texts.get("start", ""), finding.texts.get("end", "")
    run = f"back to {end}" if start == end else f"from {start} to {end}"
    way = "low" if error < 0 else "high"
    share = finding.values.get("share_of_fall")
    beside = "" if share is None else f", {say.share(share)} of the fall"
    cure = (
        "Look for the reading that is wrong, and level that run again."
        if finding.severity == "care"
        else "Beside this fall it does no harm; level again if you build in stages."
    )
    return Told(
        fact=(
            f"The book comes {run} {say.small(abs(error))} {way}{beside}; the readings explain "
            f"{say.small(limit_of(finding))}."
        ),
        cure=cure,
    )


def _raster_error_unknown(finding: Finding, say: Speech) -> Told:
    del say
    rasters = finding.texts.get("rasters", "the raster")
    return Told(
        fact=f"Nobody said how wrong the heights of {rasters} are, so the doubt is not known.",
        cure="Look where you got it, and write dem_error or dem_kind in the study.",
    )


def _raster_left_over(finding: Finding, say: Speech) -> Told:
    count = round(finding.values.get("count", 1))
    of = "" if count < 2 else f" (the greatest of {count} places)"
    place = finding.texts.get("place", finding.where.place or "")
    at = f" at {place}" if place else ""
    cure = (
        "See that the place is marked where the rod stood; trees and roofs mislead a raster too."
        if finding.severity == "care"
        else "The rod was believed, and the raster bent to it around that spot."
    )
    return Told(
        fact=f"Rod and raster still differ by {say.height(abs(amount(finding)))}{at}{of}.",
        cure=cure,
    )


def _raster_disagrees(finding: Finding, say: Speech) -> Told:
    std = finding.values.get("std_m")
    of = "" if std is None else f" of {say.height(std)}"
    return Told(
        fact=(
            f"Rod and raster differ by more than the raster's stated error{of} explains, so it was "
            f"taken {amount(finding):.1f} times as great."
        ),
        cure="See that each mark stands where the rod stood; trees and roofs mislead a raster too.",
    )


def _raster_bias(finding: Finding, say: Speech) -> Told:
    off = amount(finding)
    way = "low" if off < 0 else "high"
    return Told(
        fact=(
            f"The raster stands {say.height(abs(off))} too {way} beside the rod. It was moved, so "
            "no result hangs on that."
        ),
        cure="",
    )


def _raster_tied_once(finding: Finding, say: Speech) -> Told:
    place = finding.texts.get("place", finding.where.place or "one place")
    return Told(
        fact=(
            f"The raster was moved by {say.height(amount(finding))} to fit the rod at {place} "
            "alone, and nothing checks that."
        ),
        cure="Level one more place that the map shows.",
    )


def _stated_height_apart(finding: Finding, say: Speech) -> Told:
    apart = amount(finding)
    way = "lower" if apart < 0 else "higher"
    explain = (
        "" if finding.limit is None else f"; their errors explain {say.small(limit_of(finding))}"
    )
    return Told(
        fact=(
            f"{sentence_case(finding.where.place or 'A place')} was leveled, and the study states "
            f"a height {say.small(abs(apart))} {way}{explain}. The leveled one is used."
        ),
        cure="See that both mean one point and one benchmark, and take the wrong one out."
        if finding.severity == "care"
        else "",
    )


def _ground_unknown(finding: Finding, say: Speech) -> Told:
    start, end = finding.texts.get("start", "its start"), finding.texts.get("end", "its end")
    return Told(
        fact=(
            f"Of {pipe_words(finding.where.pipe or '')} only the ends and its length, "
            f"{say.length(amount(finding))}, are known: humps and dips between were not judged."
        ),
        cure=f"Read the rod at each hump and hollow between {start} and {end}.",
    )


def _hangs(finding: Finding, say: Speech) -> Told:
    del say
    places = finding.texts.get("places", "a place")
    many = round(amount(finding)) > 1
    hang = "hang on a single reading each" if many else "hangs on a single reading"
    return Told(
        fact=f"The height{'s' if many else ''} of {places} {hang}; nothing would show a slip.",
        cure="Read them a second time from another set-up."
        if many
        else "Read it a second time from another set-up.",
    )


def _book_unchecked(finding: Finding, say: Speech) -> Told:
    del say
    sight = sight_of(finding, "check")
    cure = (
        "One more reading on the first point would check it all."
        if sight is None
        else say_check(
            sight,
            standing="the last set-up" if finding.texts.get("check_last") == "yes" else "",
            beside=finding.texts.get("check_beside", ""),
        )
    )
    return Told(
        fact="You did not come back to a known point, so nothing checks the level book.",
        cure=cure,
    )


def _assumed_datum(finding: Finding, say: Speech) -> Told:
    del say
    datum = finding.texts.get("datum", "")
    named = f" ({datum})" if datum else ""
    return Told(
        fact=(
            f"No height was known, so the first point of the book was called 100{named}. "
            "Differences between places are not touched by that."
        ),
        cure="",
    )


def _route_joined(finding: Finding, say: Speech) -> Told:
    route = finding.texts.get("route", "")
    place = finding.where.place or "an end"
    return Told(
        fact=(
            f"{sentence_case(place)} stands {say.length(amount(finding))} off the route "
            f"'{route}' of {pipe_words(finding.where.pipe or '')}; a straight leg joins them."
        ),
        cure="Draw the route to the place, if that is not the way the pipe goes.",
    )


def _place_from_route(finding: Finding, say: Speech) -> Told:
    del say
    return Told(
        fact=(
            f"{sentence_case(finding.where.place or 'A place')} has no position of its own and "
            f"took the end of the route '{finding.texts.get('route', '')}'."
        ),
        cure="Mark it on the map, if it stands elsewhere.",
    )


def _point_of_no_place(finding: Finding, say: Speech) -> Told:
    del say
    point, near = finding.where.place or "a point", finding.texts.get("near", "")
    more = round(amount(finding)) - 1
    others = f" {more} more like it." if more > 0 else ""
    nearest = f"; nearest: {near}" if near else ""
    return Told(
        fact=(
            f"Line {round(finding.values['line'])} of {finding.texts['file']} touches no place of "
            f'the study: it names "{point}"{nearest}. Its height is not used.{others}'
        ),
        cure=f"If {near} was meant, spell it so." if near else "See that its name is right.",
    )


def _values_taken(finding: Finding, say: Speech) -> Told:
    del say
    count = round(amount(finding))
    were = (
        "value that the study does not give was"
        if count == 1
        else ("values that the study does not give were")
    )
    return Told(
        fact=f"{count} {were} taken.",
        cure="They stand under Values taken; write your own where you know better.",
    )


WORDS: Mapping[str, Sayer] = {
    "misclosure": _misclosure,
    "raster-error-unknown": _raster_error_unknown,
    "raster-left-over": _raster_left_over,
    "raster-disagrees": _raster_disagrees,
    "raster-bias": _raster_bias,
    "stated-height-apart": _stated_height_apart,
    "raster-tied-once": _raster_tied_once,
    "ground-unknown": _ground_unknown,
    "hangs-on-one-reading": _hangs,
    "book-unchecked": _book_unchecked,
    "point-of-no-place": _point_of_no_place,
    "assumed-datum": _assumed_datum,
    "route-joined": _route_joined,
    "place-from-route": _place_from_route,
    "values-taken": _values_taken,
}
"""What is said of each kind of finding."""
