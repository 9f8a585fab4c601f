"""What must hold of every level book, whatever its readings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.leveling.reduce import reduce_book
from tests.leveling.books import book_of

_FEW = settings(max_examples=25, deadline=None)


@dataclass(frozen=True)
class Survey:
    """Set-ups in order: for each its sights in millimetres, first back, last ahead."""

    setups: tuple[tuple[tuple[str, int], ...], ...]
    known_mm: int

    def point_form(self, unit: str = "m", *, factor: float = 0.001, lift_mm: int = 0) -> str:
        lines = [f"point,bs [{unit}],is,fs,elevation [m]"]
        for number, sights in enumerate(self.setups):
            for place, (name, reading) in enumerate(sights):
                kind = 0 if place == 0 else 2 if place == len(sights) - 1 else 1
                cells = ["", "", ""]
                cells[kind] = f"{(reading + lift_mm) * factor:.9f}"
                known = f"{self.known_mm / 1000:.3f}" if number == place == 0 else ""
                lines.append(",".join([name, *cells, known]))
        return "\n".join(lines)

    def setup_form(self) -> str:
        lines = ["setup,point,rod [m],elevation"]
        for number, sights in enumerate(self.setups):
            for place, (name, reading) in enumerate(sights):
                known = f"{self.known_mm / 1000:.3f}" if number == place == 0 else ""
                lines.append(f"s{number},{name},{reading / 1000:.9f},{known}")
        return "\n".join(lines)


@st.composite
def surveys(draw: st.DrawFn) -> Survey:
    """Draw a loop of set-ups on one benchmark, with intermediate sights."""
    count = draw(st.integers(2, 5))
    reading = st.integers(-500, 4000)
    setups = []
    for number in range(count):
        start = "BM" if number == 0 else f"TP{number}"
        end = "BM" if number == count - 1 else f"TP{number + 1}"
        between = [(f"p{number}{i}", draw(reading)) for i in range(draw(st.integers(0, 3)))]
        setups.append(((start, draw(reading)), *between, (end, draw(reading))))
    return Survey(setups=tuple(setups), known_mm=draw(st.integers(-5000, 900_000)))


@_FEW
@given(survey=surveys(), lift=st.integers(-300, 2000))
def test_raising_the_instrument_changes_no_elevation(survey: Survey, lift: int) -> None:
    low = reduce_book(book_of(survey.point_form()))
    high = reduce_book(book_of(survey.point_form(lift_mm=lift)))
    for column in ("elevation_m", "by_setups_m", "as_read_m"):
        assert getattr(low, column) == pytest.approx(getattr(high, column), abs=1e-7)


@_FEW
@given(survey=surveys())
def test_either_form_of_the_book_gives_the_same(survey: Survey) -> None:
    by_point = reduce_book(book_of(survey.point_form()))
    by_setup = reduce_book(book_of(survey.setup_form()))
    assert by_point.names == by_setup.names
    for column in ("elevation_m", "by_setups_m", "as_read_m", "residuals_m"):
        assert getattr(by_point, column) == pytest.approx(getattr(by_setup, column), abs=1e-9)


@_FEW
@given(survey=surveys())
def test_feet_and_metres_give_the_same(survey: Survey) -> None:
    metres = reduce_book(book_of(survey.point_form()))
    feet = reduce_book(book_of(survey.point_form("ft", factor=0.001 / 0.3048)))
    assert metres.elevation_m == pytest.approx(feet.elevation_m, abs=1e-7)


@_FEW
@given(survey=surveys())
def test_reversing_the_survey_flips_the_sign_of_its_misclosure(survey: Survey) -> None:
    back = Survey(
        setups=tuple(tuple(reversed(sights)) for sights in reversed(survey.setups)),
        known_mm=survey.known_mm,
    )
    there, home = reduce_book(book_of(survey.point_form())), reduce_book(book_of(back.point_form()))
    out = there.misclosures[-1].computed_minus_known_m
    assert out == pytest.approx(-home.misclosures[-1].computed_minus_known_m, abs=1e-9)
    for name in there.names:
        assert there.of(name) == pytest.approx(home.of(name), abs=1e-7)


@_FEW
@given(survey=surveys(), shift=st.integers(-2000, 2000))
def test_datum_is_a_constant(survey: Survey, shift: int) -> None:
    moved = Survey(setups=survey.setups, known_mm=survey.known_mm + 1000 * shift)
    low, high = (reduce_book(book_of(each.point_form())) for each in (survey, moved))
    assert high.elevation_m - low.elevation_m == pytest.approx(float(shift), abs=1e-7)
    assert low.residuals_m == pytest.approx(high.residuals_m, abs=1e-7)


@_FEW
@given(survey=surveys(), data=st.data())
def test_order_of_intermediate_sights_changes_nothing(survey: Survey, data: st.DataObject) -> None:
    shuffled = Survey(
        setups=tuple(
            (sights[0], *data.draw(st.permutations(sights[1:-1])), sights[-1])
            for sights in survey.setups
        ),
        known_mm=survey.known_mm,
    )
    one, other = (reduce_book(book_of(each.point_form())) for each in (survey, shuffled))
    for name in one.names:
        assert one.of(name) == pytest.approx(other.of(name), abs=1e-9)


@_FEW
@given(survey=surveys())
def test_covariance_is_positive_semidefinite_and_a_shared_backsight_helps(survey: Survey) -> None:
    elevations = reduce_book(book_of(survey.point_form(), reading_std_m=0.002))
    joint = elevations.covariance_of(range(len(elevations.names)))
    values = np.linalg.eigvalsh(joint.matrix())
    assert values.min() >= -1e-12 * max(values.max(), 1e-30)
    last = len(elevations.names) - 1
    for sights in survey.setups[1:]:
        pair = [elevations.index(name) for name, _ in sights[1:3]]
        if len(pair) == 2 and not elevations.known[pair].any():
            apart = float(np.hypot(*elevations.covariance_of(pair).std))
            assert elevations.rise(*(elevations.names[i] for i in pair))[1] < apart
    assert elevations.rise(elevations.names[last], elevations.names[last]) == (0.0, 0.0)


@_FEW
@given(survey=surveys())
def test_residuals_of_a_loop_take_its_misclosure(survey: Survey) -> None:
    elevations = reduce_book(book_of(survey.setup_form()))
    (run,) = elevations.misclosures
    assert abs(run.computed_minus_known_m) == pytest.approx(
        float(np.abs(elevations.residuals_m).sum()), abs=1e-7
    )
