"""The hand's ways: sharing by distance, lines on lines, page check, published rules."""

from __future__ import annotations

import math

import numpy as np
import pytest

from terrain_head.leveling.allowable import PUBLISHED_CLASSES
from terrain_head.leveling.reduce import reduce_book
from tests.leveling.books import L2, L3, L8, LOOP_BY_DISTANCE, TRAP_BOOK, book_of
from tests.worked_examples import WorkedExample

_KM = "0 5.245 11.271 17.718 21.964 25.247 30.500"
_OBSERVED = "728.730 783.213 891.764 843.195 739.708 702.956 728.486"
LOOP = WorkedExample(
    name="loop of 30.5 km, shared by distance",
    kind="by hand",
    source=LOOP_BY_DISTANCE.at("its observed elevations; corrections worked from them"),
    inputs={"km": _KM, "observed": _OBSERVED},
    printed={
        "P1": "783.255", "P2": "891.854", "P3": "843.337", "P4": "739.884", "P5": "703.158",
    },
    looser_because={
        f"P{number}": ("0.0006", "observed elevations are rounded to the millimetre")
        for number in range(1, 6)
    },
)  # fmt: skip


def _loop_book() -> str:
    """Write each leg as one set-up whose two sights have the length of the leg together."""
    km = [float(value) for value in LOOP.inputs["km"].split()]
    heights = [float(value) for value in LOOP.inputs["observed"].split()]
    lines = ["setup,point,rod [m],dist,elevation"]
    names = ["BM1", "P1", "P2", "P3", "P4", "P5", "BM1"]
    for leg in range(6):
        half = (km[leg + 1] - km[leg]) * 500
        rise = heights[leg + 1] - heights[leg]
        known = "728.730" if leg == 0 else ""
        lines.append(f"{leg},{names[leg]},{max(rise, 0):.3f},{half},{known}")
        lines.append(f"{leg},{names[leg + 1]},{max(-rise, 0):.3f},{half},")
    return "\n".join(lines)


def test_misclosure_is_shared_by_distance_where_every_sight_has_one() -> None:
    elevations = reduce_book(book_of(_loop_book()))
    for number in range(1, 6):
        name = f"P{number}"
        LOOP.assert_result(name, float(elevations.by_setups_m[elevations.index(name)]))
    (run,) = elevations.misclosures
    assert run.computed_minus_known_m == pytest.approx(-0.244, abs=1e-9)
    assert run.length_m == pytest.approx(30_500, abs=1e-6)


def test_long_loop_fails_its_published_class() -> None:
    (run,) = reduce_book(book_of(_loop_book())).misclosures
    third = next(kind for kind in PUBLISHED_CLASSES if kind.name == "third order")
    assert run.length_m is not None
    assert third.allowable_m(run.length_m) == pytest.approx(0.066, abs=5e-4)
    assert abs(run.computed_minus_known_m) > third.allowable_m(run.length_m)
    assert not run.holds


def test_textbook_loop_passes_third_order_and_fails_the_class_above() -> None:
    (run,) = reduce_book(book_of(L8.inputs["book"])).misclosures
    limits = {kind.name: kind.allowable_m(1500.0) for kind in PUBLISHED_CLASSES}
    assert limits["second order, class II"] < abs(run.computed_minus_known_m)
    assert abs(run.computed_minus_known_m) < limits["third order"]
    assert limits["third order"] == pytest.approx(0.0147, abs=5e-5)
    assert limits["second order, class II"] == pytest.approx(0.0098, abs=5e-5)


def test_construction_class_in_feet_over_a_run_of_2140_feet() -> None:
    rough = next(kind for kind in PUBLISHED_CLASSES if kind.name == "construction")
    assert rough.allowable_m(2140 * 0.3048) == pytest.approx(0.0318 * 0.3048, abs=2e-5)


def test_corrections_of_a_closed_run_sum_to_minus_the_misclosure() -> None:
    elevations = reduce_book(book_of(L2.inputs["book"]))
    (run,) = elevations.misclosures
    last = elevations.sheet[-1]
    assert last.by_setups_m - last.as_read_m == pytest.approx(-run.computed_minus_known_m)


TRAP = WorkedExample(
    name="book with a wrong last elevation",
    kind="published",
    source=TRAP_BOOK.at("its table"),
    inputs={
        "book": "point,bs [m],is,fs,elevation,worked\n"
        "BM,1.855,,,100.000,100.000\nA,,2.410,,,99.445\nB,,1.280,,,100.575\n"
        "CP1,2.165,,0.995,,100.860\nC,,,1.720,,100.415\n",
    },
    printed={"C": "100.415"},
    errata={"C": "101.305"},
)


def test_page_check_names_the_first_wrong_row_of_the_trap() -> None:
    elevations = reduce_book(book_of(TRAP.inputs["book"]))
    TRAP.assert_result("C", elevations.of("C"))
    (check,) = elevations.page_checks
    assert not check.holds
    assert check.first_wrong_line == 6
    assert check.worked_m == pytest.approx(100.415)
    assert check.right_m == pytest.approx(101.305)
    assert check.sum_bs_m - check.sum_fs_m == pytest.approx(1.305)
    assert check.last_minus_first_m == pytest.approx(0.415)


def _worked(example: WorkedExample, figures: dict[str, str]) -> str:
    heading, *rows = example.inputs["book"].splitlines()
    lines = [f"{heading},worked"]
    lines += [f"{row},{figures.get(row.split(',')[0], '')}" for row in rows]
    return "\n".join(lines)


def test_misprint_of_an_intermediate_row_is_named_though_the_sums_agree() -> None:
    figures = {name: L3.printed[name] for name in "ABCDE"}
    (check,) = reduce_book(book_of(_worked(L3, figures))).page_checks
    assert check.first_wrong_line == 7
    assert check.worked_m == pytest.approx(50.733)
    assert not check.holds


@pytest.mark.parametrize("column", ["", " adjusted"], ids=["as read", "shared out"])
def test_figures_of_a_hand_are_right_as_read_and_right_when_shared_out(column: str) -> None:
    figures = {name: L2.printed[f"{name}{column}"] for name in "ABCDEFG"}
    (check,) = reduce_book(book_of(_worked(L2, figures))).page_checks
    assert check.first_wrong_line is None
    assert check.holds


def test_line_that_begins_on_an_earlier_one_is_carried_from_it() -> None:
    text = L2.inputs["book"] + "C,1.000,,,\nhut,,,2.500,\n"
    elevations = reduce_book(book_of(text))
    place, start = elevations.index("hut"), elevations.index("C")
    for column in (elevations.as_read_m, elevations.by_setups_m):
        assert column[place] - column[start] == pytest.approx(-1.5)
    assert len(elevations.misclosures) == 1


def test_chain_before_its_benchmark_is_carried_backward() -> None:
    elevations = reduce_book(book_of("point,bs [m],is,fs,elevation\nA,1,,,\nB,2,,3,\nC,,,1,50\n"))
    assert elevations.as_read_m.tolist() == pytest.approx([51.0, 49.0, 50.0])
    assert elevations.by_setups_m.tolist() == pytest.approx([51.0, 49.0, 50.0])


def test_chain_tied_by_an_intermediate_sight_alone() -> None:
    elevations = reduce_book(book_of("point,bs [m],is,fs,elevation\nA,1,,,\nB,,2,,20\nC,,,3,\n"))
    assert elevations.as_read_m.tolist() == pytest.approx([21.0, 20.0, 19.0])
    assert elevations.misclosures == ()


def test_known_point_met_by_an_intermediate_sight_is_a_check() -> None:
    text = "point,bs [m],is,fs,elevation\nA,1,,,100\nB,2,,1.5,\nM,,0.52,,101\nC,,,1,\n"
    (run,) = reduce_book(book_of(text)).misclosures
    assert (run.start, run.end, run.setups) == ("A", "M", 2)
    assert run.computed_minus_known_m == pytest.approx(-0.02)


def test_chain_that_only_differences_reach_has_no_hand_column() -> None:
    text = "point,bs [m],is,fs,elevation\nA,1,,,100\nB,,,1.5,\nX,1,,,\nY,,,2,\n"
    book = book_of(text)
    from dataclasses import replace

    from terrain_head.leveling.book import HeightDifference

    tied = replace(
        book,
        differences=(HeightDifference(start="B", end="X", rise_m=5.0, std_m=0.1, how="hose"),),
    )
    elevations = reduce_book(tied)
    assert elevations.of("Y") == pytest.approx(103.5)
    assert math.isnan(elevations.by_setups_m[elevations.index("Y")])


def test_set_up_left_open_ends_its_chain() -> None:
    text = "point,bs [m],is,fs,elevation\nA,1,,,100\nB,,2,,\nA,1.5,,,\nC,,,1,\n"
    elevations = reduce_book(book_of(text))
    assert elevations.of("B") == pytest.approx(99.0)
    assert len(elevations.page_checks) == 1
    assert elevations.by_setups_m.tolist() == pytest.approx([100.0, 99.0, 100.5])


def test_two_known_points_of_a_line_split_it_into_two_runs() -> None:
    text = "point,bs [m],is,fs,elevation\nA,1,,,100\nB,2,,1.5,99.51\nC,1,,1,\nD,,,1.2,100.32\n"
    elevations = reduce_book(book_of(text))
    outs = [run.computed_minus_known_m for run in elevations.misclosures]
    assert outs == pytest.approx([-0.01, -0.01])
    shared = elevations.by_setups_m[elevations.index("C")]
    assert shared == pytest.approx(100.515)
    assert np.isnan(elevations.sheet[0].by_setups_m) == np.False_
