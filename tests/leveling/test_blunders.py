"""Blunders planted in simulated books: what is named, what ties, and what is never claimed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from terrain_head.leveling.book import HeightDifference, KnownElevation, LevelBook
from terrain_head.leveling.elevations import Elevations
from terrain_head.leveling.misreadings import Error, misreadings
from terrain_head.leveling.reduce import reduce_book
from terrain_head.leveling.suspect import NextSight, Suspect
from tests.leveling.books import book_of
from tests.leveling.simulated import (
    open_run,
    out_and_back,
    plain_loop,
    planted,
    rewritten,
    simulated,
    tying,
    with_setup,
    with_sight,
    with_stakes,
)

SIZE_M = 0.10
RUNS = 100


def suspects(book: LevelBook) -> tuple[Suspect, ...]:
    """Return what stands out in a book."""
    return reduce_book(book).suspects


def one_of(book: str, *, reading_std_m: float | None = None) -> Suspect:
    """Return the one suspect of a book given as text."""
    elevations = reduce_book(replace(book_of(book), reading_std_m=reading_std_m))
    (suspect,) = elevations.suspects
    return suspect


def signed(rng: np.random.Generator) -> float:
    """Return the planted error, up or down."""
    return SIZE_M if rng.random() < 0.5 else -SIZE_M


def shares(found: list[bool]) -> float:
    """Return in how many of a hundred books something was so."""
    return 100.0 * sum(found) / len(found)


def test_out_and_back_names_the_stretch_and_the_readings_that_tie() -> None:
    """At least 98 of 100: 12 set-ups out and back, 2 mm a reading, 0.10 m wrong."""
    named = []
    for seed in range(2 * RUNS):
        rng = np.random.default_rng([1, seed])
        clean = simulated(out_and_back(12), rng)
        wrong = int(rng.integers(len(clean.readings)))
        setup = clean.setups[clean.readings[wrong].setup]
        ends = {clean.readings[index].point for index in setup.readings}
        found = suspects(planted(clean, wrong, signed(rng)))
        named.append(
            len(found) == 1
            and found[0].certainty == "tied"
            and set(found[0].stretch or ()) == ends
            and found[0].readings == tying(clean, sorted(ends))
            and abs(found[0].size_m - SIZE_M) < 4 * found[0].size_std_m
        )
    assert shares(named) >= 98


@pytest.mark.parametrize("stated", [True, False], ids=["error stated", "error not stated"])
def test_books_without_a_blunder_raise_few_alarms(stated: bool) -> None:
    """At most 3 of 100, out and back and in a plain loop."""
    for number, way in enumerate((out_and_back(12), plain_loop(12))):
        alarms = [
            bool(suspects(simulated(way, np.random.default_rng([2, number, seed]), stated=stated)))
            for seed in range(2 * RUNS)
        ]
        assert shares(alarms) <= 3


@pytest.mark.parametrize("stated", [True, False], ids=["error stated", "error not stated"])
def test_plain_loop_is_detected_and_never_located(stated: bool) -> None:
    """At least 99 of 100; the point to shoot again lies halfway round."""
    detected = []
    for seed in range(RUNS):
        rng = np.random.default_rng([3, seed])
        clean = simulated(plain_loop(12), rng, stated=stated)
        found = suspects(planted(clean, int(rng.integers(24)), signed(rng)))
        assert all(suspect.certainty == "detected only" for suspect in found)
        assert all(suspect.readings == tuple(range(24)) for suspect in found)
        assert all(suspect.next_sight is not None for suspect in found)
        assert all(
            suspect.next_sight == NextSight(point="T6", start="BM", checks=12, settles="half")
            for suspect in found
        )
        detected.append(len(found) == 1)
    assert shares(detected) >= 99


def test_the_point_shot_again_tells_the_half() -> None:
    named = []
    for seed in range(RUNS):
        rng = np.random.default_rng([4, seed])
        wrong, size = int(rng.integers(24)), signed(rng)
        clean = simulated(with_setup(plain_loop(12), "BM", "T6"), rng)
        half = tuple(range(12)) if wrong < 12 else tuple(range(12, 24))
        found = suspects(planted(clean, wrong, size))
        assert all(suspect.certainty != "located" for suspect in found)
        named.append(len(found) == 1 and found[0].readings == half)
    assert shares(named) >= 95


def test_a_sight_more_from_the_misread_set_up_names_the_line() -> None:
    """At least 95 of 100: the set-up also read the point beyond the one that was misread."""
    named, way = [], out_and_back(12)
    points = ["BM", *(f"T{number}" for number in range(1, 13))]
    for seed in range(RUNS):
        rng = np.random.default_rng([5, seed])
        setup, side = int(rng.integers(1, 11)), int(rng.integers(2))
        near, far = way.setups[setup][side], way.setups[setup][1 - side]
        beyond = points[2 * points.index(near) - points.index(far)]
        clean = simulated(with_sight(way, setup, beyond), rng)
        wrong = clean.setups[setup].readings[-side]
        found = suspects(planted(clean, wrong, signed(rng)))
        assert not any(
            suspect.certainty == "located" and suspect.readings != (wrong,) for suspect in found
        )
        named.append(bool(found) and found[0].readings == (wrong,))
    assert shares(named) >= 95


def test_a_third_run_names_the_set_up_and_no_line() -> None:
    """At least 95 of 100; its two sights move the same heights alike, so they go on tying."""
    named, way = [], out_and_back(12)
    for seed in range(RUNS):
        rng = np.random.default_rng([6, seed])
        wrong, size = int(rng.integers(48)), signed(rng)
        again = with_setup(way, *way.setups[wrong // 2])
        found = suspects(planted(simulated(again, rng), wrong, size))
        assert all(suspect.certainty == "tied" for suspect in found)
        pair = (wrong - wrong % 2, wrong - wrong % 2 + 1)
        named.append(bool(found) and found[0].readings == pair and found[0].next_sight is None)
    assert shares(named) >= 95


def told_by(sight: NextSight | None) -> tuple[str, ...]:
    """Return the points that an advice says to read from one more set-up."""
    assert sight is not None
    assert sight.setup == ""
    return (sight.start, *sight.also, sight.point)


def test_the_sight_that_is_advised_names_the_line() -> None:
    """At least 95 of 100: out and back with a stake read from each set-up, the advice followed."""
    named = []
    for seed in range(2 * RUNS):
        way = with_stakes(out_and_back(12))
        rng = np.random.default_rng([15, seed])
        setup, end, size = int(rng.integers(24)), int(rng.integers(2)), signed(rng)
        before = simulated(way, np.random.default_rng([16, seed]))
        wrong = before.setups[setup].readings[-end]
        (found,) = suspects(planted(before, wrong, size))
        assert found.certainty == "tied"
        assert found.next_sight is not None
        assert found.next_sight.settles == "reading"
        again = with_setup(way, *told_by(found.next_sight))
        after = suspects(planted(simulated(again, np.random.default_rng([16, seed])), wrong, size))
        assert not any(one.certainty == "located" and one.readings != (wrong,) for one in after)
        named.append(bool(after) and after[0].readings == (wrong,))
    assert shares(named) >= 95


def test_the_sight_that_is_advised_names_the_set_up_where_only_turning_points_were_read() -> None:
    """At least 95 of 100; and no height hangs any more on which of its two sights it was."""
    named = []
    for seed in range(RUNS):
        way, rng = out_and_back(12), np.random.default_rng([17, seed])
        wrong, size = int(rng.integers(48)), signed(rng)
        (found,) = suspects(planted(simulated(way, np.random.default_rng([18, seed])), wrong, size))
        assert found.next_sight is not None
        assert found.next_sight.settles == "set-up"
        again = with_setup(way, *told_by(found.next_sight))
        after = suspects(planted(simulated(again, np.random.default_rng([18, seed])), wrong, size))
        pair = (wrong - wrong % 2, wrong - wrong % 2 + 1)
        named.append(
            bool(after)
            and after[0].readings == pair
            and not np.isnan(after[0].amended[0].change_m).any()
        )
    assert shares(named) >= 95


def test_two_blunders_do_not_hide_each_other() -> None:
    both = []
    for seed in range(RUNS):
        clean = simulated(out_and_back(12), np.random.default_rng([7, seed]), stated=seed % 2 == 0)
        found = suspects(planted(planted(clean, 5, SIZE_M), 17, -SIZE_M))
        both.append({reading for one in found for reading in one.readings} >= {4, 5, 16, 17})
    assert shares(both) >= 98


def test_readings_worse_than_stated_are_not_called_blunders() -> None:
    """Read with 2 mm, stated as half a millimetre: the books are worse, no reading stands out."""
    alarms = []
    for seed in range(RUNS):
        book = simulated(out_and_back(12), np.random.default_rng([8, seed]))
        alarms.append(bool(suspects(replace(book, reading_std_m=0.0005))))
    assert shares(alarms) <= 10


def test_a_large_book_is_searched_whole() -> None:
    clean = simulated(out_and_back(1000), np.random.default_rng(9))
    (found,) = suspects(planted(clean, 1234, SIZE_M))
    assert (found.certainty, found.readings) == ("tied", (1234, 1235, 2764, 2765))


def test_book_that_nothing_checks_says_which_sight_would() -> None:
    elevations = reduce_book(simulated(open_run(6), np.random.default_rng(10)))
    assert elevations.suspects == ()
    assert elevations.first_check == NextSight(point="BM", setup="5", checks=9)
    assert reduce_book(simulated(plain_loop(6), np.random.default_rng(11))).first_check is None


def first_check(text: str) -> NextSight | None:
    """Return the one sight that would check a book."""
    return reduce_book(book_of(text)).first_check


def test_side_shots_of_one_set_up_are_checked_from_another() -> None:
    text = "point,bs [m],is,fs,elevation\nBM,1.0,,,100\nspring,,2.0,,\ntank,,,2.5,\n"
    assert first_check(text) == NextSight(point="spring", start="BM", checks=2)
    assert first_check("point,bs [m],fs\nBM,1.0,\n") is None


def test_the_way_by_other_means_leads_on_to_the_readings() -> None:
    book = book_of("point,bs [m],fs\nC,1.0,\nD,,2.0\nD,1.0,\nE,,1.5\n")
    joined = replace(
        book,
        known=(KnownElevation(point="A", elevation_m=5.0),),
        differences=(HeightDifference(start="A", end="C", rise_m=1.0, std_m=0.01),),
    )
    assert reduce_book(joined).first_check == NextSight(point="A", setup="2", checks=3)


LAY_BOOK = (
    "point,bs [ft],fs,elevation\nBM,5.00,,100\nA,{0},{1},\nB,4.12,8.31,\nC,12.00,3.25,\nBM,,{2},\n"
)


def test_row_with_its_sights_exchanged_would_close_the_book() -> None:
    """A loop out by 19.91 ft, twice the difference of 11.21 and 1.26: the row is named."""
    text = LAY_BOOK.format("11.21", "1.26", "-0.40")
    suspect = one_of(text)
    assert suspect.certainty == "detected only"
    assert suspect.size_m == pytest.approx(19.91 * 0.3048)
    (slip,) = [slip for slip in suspect.misreadings if slip.kind == "row-swapped"]
    assert {book_of(text).readings[index].line for index in slip.readings} == {3}


def test_row_exchanged_out_and_back_moves_two_stretches() -> None:
    clean = simulated(out_and_back(6), np.random.default_rng(12))
    row = clean.rows[3]
    assert row.ahead is not None
    assert row.back is not None
    book = rewritten(
        clean,
        {
            row.ahead: clean.readings[row.back].written,
            row.back: clean.readings[row.ahead].written,
        },
    )
    found = suspects(book)
    assert len(found) == 2
    for suspect in found:
        assert suspect.misreadings[0].kind == "row-swapped"
        assert set(suspect.misreadings[0].readings) == {row.ahead, row.back}


THREE_SETUPS = (
    "setup,point,rod [{unit}],elevation\n1,A,{0},100\n1,B,{1},\n1,C,{2},\n2,A,{3},\n2,B,{4},\n"
    "2,C,{5},\n3,A,{6},\n3,B,{7},\n3,C,{8},\n"
)


@pytest.mark.parametrize(
    ("unit", "rod", "kind", "meant"),
    [
        ("m", "1.000 2.000 3.571 1.100 2.101 3.672 1.200 2.201 3.177", "whole-unit", None),
        ("m", "1.000 2.000 3.571 1.100 2.101 3.671 1.200 2.201 4.771", "whole-unit", "1 m"),
        ("ft", "4.00 5.00 6.81 4.12 5.12 6.93 4.31 5.31 7.21", "digits-swapped", "7.12"),
        ("ft", "4.00 5.00 6.58 4.12 5.12 6.70 4.00 5.00 6.70", "inches-as-tenths", "6 ft 7 in"),
        ("m", "1.000 2.000 -0.571 1.100 2.101 -0.471 1.200 2.200 0.371", "sign", "-0.371"),
    ],
)
def test_the_likely_slip_is_named(unit: str, rod: str, kind: str, meant: str | None) -> None:
    """Three points read from three set-ups: the line is named, and what was likely done."""
    text = THREE_SETUPS.format(*rod.split(), unit=unit)
    suspect = one_of(text, reading_std_m=0.001)
    assert suspect.certainty == "located"
    assert suspect.readings == (8,)
    found: dict[str, str] = {slip.kind: slip.meant for slip in suspect.misreadings}
    if meant is None:
        assert kind not in found
    else:
        assert found[kind] == meant


def test_tenths_written_as_inches_are_recognised() -> None:
    """6.7 ft written as 6 ft 7 in is 0.117 ft short."""
    text = THREE_SETUPS.format(
        *("4-0", "5-0", "6-8-3/8", "4-1", "5-1", "6-9-3/8", "4-0", "5-0", "6-7"), unit="ft-in"
    )
    (slip,) = [
        slip
        for slip in one_of(text, reading_std_m=0.001).misreadings
        if slip.kind == "tenths-as-inches"
    ]
    assert slip.meant == "6.7 ft"


def test_small_blunder_of_many_readings_is_given_no_cause() -> None:
    """Where the doubt of the size is as large as what a slip would make, none is named."""
    book = simulated(plain_loop(6), np.random.default_rng(13))
    errors = [Error(reading=index, size_m=0.02, std_m=0.01) for index in range(12)]
    assert misreadings(book, errors) == ()
    assert misreadings(book, ()) == ()


def test_known_elevation_read_once_ties_with_its_reading() -> None:
    text = "point,bs [m],fs,elevation\nBM1,1.000,,100\nA,1.5,2.0,\nBM2,,1.0,99.9\n"
    suspect = one_of(text, reading_std_m=0.002)
    assert suspect.known == ("BM1", "BM2")
    uncertain = replace(
        book_of(text),
        known=(
            KnownElevation(point="BM1", elevation_m=100.0),
            KnownElevation(point="BM2", elevation_m=99.9, std_m=0.005),
        ),
        reading_std_m=0.002,
    )
    (suspect,) = suspects(uncertain)
    assert set(suspect.known) == {"BM1", "BM2"}


def test_height_by_other_means_ties_with_the_readings() -> None:
    book = replace(
        book_of("point,bs [m],fs\nA,1.000,\nB,,2.000\n"),
        differences=(HeightDifference(start="A", end="B", rise_m=-1.3, std_m=0.01),),
        reading_std_m=0.002,
    )
    (suspect,) = suspects(book)
    assert (suspect.certainty, suspect.differences) == ("detected only", (0,))
    alone = replace(
        book, differences=(replace(book.differences[0], std_m=None),), reading_std_m=None
    )
    assert suspects(alone) == ()


def test_raising_every_set_up_changes_no_suspect() -> None:
    clean = planted(simulated(out_and_back(5), np.random.default_rng(14)), 7, SIZE_M)
    raised = replace(
        clean,
        readings=tuple(
            replace(reading, reading_m=reading.reading_m + 0.25) for reading in clean.readings
        ),
    )

    def told(elevations: Elevations) -> list[tuple[str, tuple[int, ...], float]]:
        return [(s.certainty, s.readings, round(s.size_m, 9)) for s in elevations.suspects]

    assert told(reduce_book(clean)) == told(reduce_book(raised))
