"""Printed level books: elevations and the shared-out column, to the last printed digit."""

from __future__ import annotations

import numpy as np
import pytest

from terrain_head.base.units import from_si
from terrain_head.leveling.reduce import reduce_book
from tests.leveling.books import (
    ALL_BOOKS,
    BY_SETUPS,
    L1,
    L2,
    L3,
    L6,
    L8,
    SINGLE_SETUPS,
    book_of,
)
from tests.worked_examples import WorkedExample


def _id(example: WorkedExample) -> str:
    return example.name


@pytest.mark.parametrize("example", [*ALL_BOOKS, *SINGLE_SETUPS], ids=_id)
def test_elevations_as_read_equal_the_printed_ones(example: WorkedExample) -> None:
    book = book_of(example.inputs["book"])
    elevations = reduce_book(book)
    checked = 0
    for name, value in zip(elevations.names, elevations.as_read_m, strict=True):
        if name in example.printed:
            example.assert_result(name, from_si(float(value), book.unit))
            checked += 1
    assert checked > 0


@pytest.mark.parametrize("example", BY_SETUPS, ids=_id)
def test_shared_by_setups_equals_the_printed_column(example: WorkedExample) -> None:
    book = book_of(example.inputs["book"])
    elevations = reduce_book(book)
    for name in elevations.names:
        if elevations.known[elevations.index(name)]:
            continue
        index = elevations.index(name)
        shared = float(elevations.by_setups_m[index])
        if f"{name} adjusted" in example.printed:
            example.assert_result(f"{name} adjusted", from_si(shared, book.unit))
        if f"{name} correction mm" in example.printed:
            correction = (shared - float(elevations.as_read_m[index])) * 1000
            assert float(example.printed[f"{name} correction mm"]) == pytest.approx(
                correction, abs=1e-9
            )


@pytest.mark.parametrize(
    ("example", "out", "unit"),
    [(L2, 0.010, "m"), (L3, -0.009, "m"), (L6, 0.04, "ft"), (L8, 0.010, "m")],
    ids=["L2", "L3", "L6", "L8"],
)
def test_misclosure_is_computed_minus_known(example: WorkedExample, out: float, unit: str) -> None:
    (run,) = reduce_book(book_of(example.inputs["book"])).misclosures
    assert out == pytest.approx(from_si(run.computed_minus_known_m, unit), abs=1e-9)


@pytest.mark.parametrize(
    ("example", "sum_bs", "sum_fs", "unit"),
    [(L1, 4.795, 7.145, "m"), (L2, 8.133, 7.693, "m"), (L3, 6.962, 8.131, "m"),
     (L6, 25.42, 30.47, "ft")],
    ids=["L1", "L2", "L3", "L6"],
)  # fmt: skip
def test_page_check_has_the_printed_sums(
    example: WorkedExample, sum_bs: float, sum_fs: float, unit: str
) -> None:
    (check,) = reduce_book(book_of(example.inputs["book"])).page_checks
    assert sum_bs == pytest.approx(from_si(check.sum_bs_m, unit), abs=1e-9)
    assert sum_fs == pytest.approx(from_si(check.sum_fs_m, unit), abs=1e-9)
    assert check.holds
    assert check.last_minus_first_m == pytest.approx(check.sum_bs_m - check.sum_fs_m, abs=1e-12)


def test_levels_of_the_profile_are_the_printed_ones() -> None:
    from tests.leveling.books import L4

    sheet = reduce_book(book_of(L4.inputs["book"])).sheet
    levels = [row.level_m for row in sheet if not np.isnan(row.level_m)]
    assert pytest.approx(levels, abs=1e-9) == [103.005, 102.775]
