"""What the ground is asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from terrain_head.errors import InputError
from terrain_head.scheme.courses import courses_of, places_of
from terrain_head.scheme.parts import Parts, Ram, Source
from tests.scheme.hills import ram_parts, run, tank


def ends(parts: Parts) -> list[tuple[str, str]]:
    return [(course.start, course.end) for course in courses_of(parts)]


def test_words_become_the_places_where_things_stand() -> None:
    assert ends(ram_parts()) == [
        ("spring", "hollow"),
        ("hollow", "knoll"),
        ("knoll", "bend"),
        ("bend", "house"),
        ("beds", "bend"),
    ]


def test_a_named_tank_is_found_and_a_lone_named_one_is_the_tank() -> None:
    two = Parts(
        tanks=(tank("upper", "knoll"), tank("lower", "shelf")),
        pipes=(run("down", "tank.upper", "tank.lower"),),
    )
    assert ends(two) == [("knoll", "shelf")]
    lone = Parts(tanks=(tank("upper", "knoll"),), pipes=(run("down", "tank", "beds"),))
    assert ends(lone) == [("knoll", "beds")]


def test_route_and_taped_length_are_handed_on() -> None:
    parts = Parts(tanks=(tank(),), pipes=(run("down", "tank", "beds", length_m=12.5),))
    assert courses_of(parts)[0].length_m == 12.5
    assert courses_of(parts)[0].route is None


def test_a_word_that_stands_for_nothing_is_a_place() -> None:
    parts = Parts(tanks=(tank(),), pipes=(run("down", "tank", "ram"),))
    assert ends(parts) == [("knoll", "ram")]


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        (
            Parts(
                tanks=(tank("upper", "knoll"), tank("lower", "shelf")),
                pipes=(run("down", "tank", "beds"),),
            ),
            ['[pipe.down] from: "tank" may be any of the 2', '"tank.upper" or "tank.lower"'],
        ),
        (
            Parts(tanks=(tank("upper", "knoll"),), pipes=(run("down", "tank.uper", "beds"),)),
            ['"tank.uper"', 'from = "tank.upper"'],
        ),
        (
            Parts(pipes=(run("down", "spring", "tank.upper"),)),
            ["there is no tank", 'to = "name of a place"'],
        ),
        (
            Parts(
                source=Source(place="spring"),
                tanks=(tank(place="spring"),),
                pipes=(run("down", "spring", "beds"),),
            ),
            ['Several things stand at "spring"', '"source" or "tank"'],
        ),
        (
            Parts(
                ram=Ram(place="hollow"),
                pipes=(run("drive", "hollow", "ram"),),
            ),
            ['[pipe.drive] begins and ends at "hollow"'],
        ),
    ],
)
def test_an_end_that_cannot_be_settled_is_named_with_its_cure(
    parts: Parts, words: list[str]
) -> None:
    with pytest.raises(InputError) as caught:
        courses_of(parts)
    message = " ".join(str(caught.value).split())
    for word in words:
        assert word in message


def test_all_troubles_are_told_at_once() -> None:
    parts = Parts(
        tanks=(tank("upper", "knoll"), tank("lower", "shelf")),
        pipes=(run("one", "tank", "tank.x"), run("two", "beds", "beds")),
    )
    with pytest.raises(InputError) as caught:
        courses_of(parts)
    assert len(caught.value.troubles) == 3


def test_heights_are_needed_wherever_something_stands() -> None:
    parts = ram_parts()
    legs = replace(parts.tanks[0], legs=("leg 1", "leg 2"))
    assert places_of(replace(parts, tanks=(legs,))) == (
        "spring", "hollow", "knoll", "leg 1", "leg 2", "house", "beds",
    )  # fmt: skip
    assert places_of(Parts()) == ()
