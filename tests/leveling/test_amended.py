"""The heights without a blunder: as if its set-up had never stood, or its row been kept right."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from terrain_head.leveling.book import LevelBook, Reading, SetUp
from terrain_head.leveling.reduce import reduce_book
from terrain_head.leveling.suspect import apart
from tests.leveling.books import book_of
from tests.leveling.simulated import (
    out_and_back,
    plain_loop,
    planted,
    rewritten,
    simulated,
    with_setup,
    with_stakes,
)


def without_setup(book: LevelBook, setup: int) -> LevelBook:
    """Return the readings of a book in which a set-up never stood."""
    kept = [one for one in range(len(book.setups)) if one != setup]
    readings: list[Reading] = []
    setups: list[SetUp] = []
    for number, one in enumerate(kept):
        first = len(readings)
        readings += [
            replace(book.readings[index], setup=number) for index in book.setups[one].readings
        ]
        within = tuple(range(first, len(readings)))
        setups.append(SetUp(label=str(one + 1), readings=within, back=None, ahead=None))
    return replace(book, readings=tuple(readings), setups=tuple(setups), rows=())


def test_heights_without_a_set_up_are_those_of_a_book_without_it() -> None:
    way = out_and_back(5)
    book = planted(simulated(way, np.random.default_rng(20)), 4, 0.1)
    now = reduce_book(book)
    (suspect,) = now.suspects
    assert {book.readings[index].setup for one in suspect.amended for index in one.readings} == {
        2,
        7,
    }
    for one in suspect.amended:
        without = reduce_book(without_setup(book, book.readings[one.readings[0]].setup))
        expected = [without.of(name) for name in now.names]
        assert expected == pytest.approx((now.elevation_m + one.change_m).tolist(), abs=1e-9)


def test_a_stake_of_the_set_up_left_out_has_no_height_without_it() -> None:
    way = with_setup(with_stakes(out_and_back(4)), "T1", "T2")
    book = planted(simulated(way, np.random.default_rng(21)), 3, 0.1)
    now = reduce_book(book)
    (suspect,) = now.suspects
    (one,) = suspect.amended
    lost = [name for name, gone in zip(now.names, np.isnan(one.change_m), strict=True) if gone]
    assert ["stake 2"] == lost


@pytest.mark.parametrize("stated", [True, False], ids=["error stated", "error not stated"])
@pytest.mark.parametrize("setups", [2, 3, 5, 8])
def test_exchanged_row_is_named_whatever_was_stated_and_put_right(
    setups: int, stated: bool
) -> None:
    """Out and back, the book misses by metres; with the row turned about the truth comes out."""
    clean = simulated(out_and_back(setups), np.random.default_rng([22, setups]), stated=stated)
    row = clean.rows[1]
    assert row.ahead is not None
    assert row.back is not None
    book = rewritten(
        clean,
        {
            row.ahead: clean.readings[row.back].written,
            row.back: clean.readings[row.ahead].written,
        },
    )
    now = reduce_book(book)
    (suspect,) = apart(now.suspects)
    assert suspect.misreadings[0].kind == "row-swapped"
    assert {row.ahead, row.back} == set(suspect.misreadings[0].readings)
    (one,) = suspect.amended
    assert one.how == "exchanged"
    expected = reduce_book(clean).elevation_m
    assert expected.tolist() == pytest.approx((now.elevation_m + one.change_m).tolist(), abs=1e-9)


def test_exchanged_row_of_a_plain_loop_is_put_right() -> None:
    clean = simulated(plain_loop(5), np.random.default_rng(28))
    row = clean.rows[2]
    assert row.ahead is not None
    assert row.back is not None
    book = rewritten(
        clean,
        {
            row.ahead: clean.readings[row.back].written,
            row.back: clean.readings[row.ahead].written,
        },
    )
    now = reduce_book(book)
    (suspect,) = now.suspects
    (one,) = suspect.amended
    expected = reduce_book(clean).elevation_m
    assert expected.tolist() == pytest.approx((now.elevation_m + one.change_m).tolist(), abs=1e-9)


def test_where_more_than_two_set_ups_tie_no_height_is_offered() -> None:
    book = planted(simulated(plain_loop(6), np.random.default_rng(24)), 5, 0.1)
    (suspect,) = reduce_book(book).suspects
    assert suspect.amended == ()


def test_point_read_twice_from_three_points_asks_for_a_rise_to_it() -> None:
    """Two set-ups over the same three points: which of the two errs on the one, a third tells."""
    text = (
        "setup,point,rod [m],elevation\n1,A,1.000,100\n1,B,2.000,\n1,C,3.000,\n2,A,1.100,\n"
        "2,B,2.100,\n2,C,3.200,\n"
    )
    (suspect,) = reduce_book(replace(book_of(text), reading_std_m=0.001)).suspects
    assert ("C", "C") == suspect.stretch
    assert suspect.next_sight is not None
    assert {suspect.next_sight.start, suspect.next_sight.point} == {"C", "A"}
    assert suspect.next_sight.settles == "reading"
    after = text + "3,A,1.200,\n3,C,3.201,\n"
    (located,) = reduce_book(replace(book_of(after), reading_std_m=0.001)).suspects
    assert located.readings == (5,)
