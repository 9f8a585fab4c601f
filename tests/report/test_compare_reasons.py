"""Why a choice fails, or may fail, is said beside its name."""

from __future__ import annotations

from dataclasses import replace

from terrain_head.assessment.standing import peers, standing_of
from terrain_head.report.compare_summary import needs_words
from tests.report.builders import answer, drawn_water
from tests.report.sample_findings import SAMPLES

STOPPED = tuple(one for one in SAMPLES if one.kind == "fall-too-small")
DOUBTFUL = tuple(one for one in SAMPLES if one.kind == "fall-doubtful")


def test_choices_that_fail_for_one_reason_are_named_together() -> None:
    fed = answer(needed_l=100.0, outlets=0, findings=(), choice="fed")
    dry = [answer(needed_l=9_000.0, outlets=0, findings=(), choice=name) for name in ("a", "b")]
    assert needs_words([*dry, fed])[1:] == ["'a' and 'b' do not: too little water."]


def test_a_choice_that_something_stops_says_so() -> None:
    stopped = answer(findings=STOPPED, outlets=0, needed_l=None, choice="low")
    fed = answer(needed_l=100.0, outlets=0, findings=())
    assert standing_of(stopped).met == "no"
    assert "'low' does not: it can't work as planned." in needs_words([fed, stopped])


def test_a_choice_that_hangs_on_the_heights_says_so() -> None:
    open_yet = answer(findings=DOUBTFUL, outlets=0, needed_l=None, choice="low")
    fed = answer(needed_l=100.0, outlets=0, findings=())
    assert standing_of(open_yet).met == "can't tell"
    said = needs_words([fed, open_yet])
    assert "'low' may: the heights are not known well enough to say." in said
    assert needs_words([open_yet]) == [
        "'low' may give all you asked for: the heights are not known well enough to say."
    ]


def test_the_heights_are_blamed_beside_the_chance() -> None:
    perhaps = drawn_water(answer(findings=(), outlets=0), 3_000.0, 900.0, cause="raster")
    fed = answer(needed_l=100.0, outlets=0, findings=(), choice="fed")
    assert needs_words([fed, perhaps])[1] == (
        "'main' may: enough water, seven chances in ten; "
        "the heights are not known well enough to say."
    )


def test_choices_are_held_against_those_that_stand_alike() -> None:
    fed = answer(needed_l=100.0, outlets=0, findings=(), choice="fed")
    dry = answer(needed_l=9_000.0, outlets=0, findings=(), choice="dry")
    perhaps = drawn_water(answer(findings=(), outlets=0), 3_000.0, 900.0, cause="efficiency")
    free = answer(flow=False, outlets=0, findings=(), choice="free")
    assert peers([dry, fed, perhaps]) == (fed,)
    assert peers([dry, perhaps]) == (perhaps,)
    assert peers([dry, free]) == (dry, free)
    assert needs_words([free]) == []


def test_a_book_that_can_not_be_believed_leaves_everything_open() -> None:
    wrong = next(one for one in SAMPLES if one.kind == "misclosure")
    far_off = replace(wrong, severity="care", value=1.0, limit=0.01)
    open_yet = answer(findings=(far_off,), outlets=0, needed_l=100.0, choice="far")
    assert standing_of(open_yet).book_wrong
    fed = answer(needed_l=100.0, outlets=0, findings=())
    assert "'far' may: the level book is too far off to say." in needs_words([fed, open_yet])
