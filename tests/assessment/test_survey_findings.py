from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from terrain_head.base.display import LIKELY
from terrain_head.ground.fusion import Agreement
from terrain_head.ground.ground import DatumShift, Origin, RouteJoin, StatedBeside
from tests.assessment.builders import (
    elevations_of,
    evidence_of,
    found,
    raster_of,
    run_of_levels,
    scalar,
    with_ground,
    with_layout,
    with_outlet_result,
    with_parts,
    with_profile,
    with_ram_result,
    with_solution,
)


@pytest.mark.parametrize(
    ("out_m", "holds", "severity"),
    [(0.3, True, None), (0.249, False, "fine"), (0.251, False, "care"), (-0.3, False, "care")],
)
def test_a_misclosure_matters_where_it_is_a_twentieth_of_the_fall(
    out_m: float, holds: bool, severity: str | None
) -> None:
    """The fall is 5 m."""
    book = elevations_of(misclosures=(run_of_levels(out_m, holds=holds),))
    findings = found(dataclasses.replace(evidence_of(), elevations=book), "misclosure")
    assert ([] if severity is None else [severity]) == [one.severity for one in findings]
    for finding in findings:
        assert (out_m, 0.01) == (finding.value, finding.limit)
        assert abs(out_m) / 5 == pytest.approx(finding.values["share_of_fall"])


def test_without_a_ram_the_lowest_head_is_what_a_misclosure_hurts() -> None:
    """Full tank 119.5 m, outlet 104.6 m: a twentieth of 14.9 m is 0.745 m."""
    book = elevations_of(misclosures=(run_of_levels(0.74, holds=False),))
    gravity = with_solution(dataclasses.replace(evidence_of(), elevations=book), ram=None)
    assert [one.severity for one in found(gravity, "misclosure")] == ["fine"]
    near = with_outlet_result(gravity, level_m=scalar(110.0))
    assert [one.severity for one in found(near, "misclosure")] == ["care"]


def test_with_nothing_to_hold_it_against_a_blunder_wants_care() -> None:
    book = elevations_of(misclosures=(run_of_levels(0.02, holds=False),))
    wrong = dataclasses.replace(evidence_of(), elevations=book)
    assert [one.severity for one in found(with_ram_result(wrong, fall_m=-1.0), "misclosure")] == [
        "care"
    ]
    bare = with_solution(wrong, ram=None, outlets={})
    assert "share_of_fall" not in found(bare, "misclosure")[0].values


def test_an_outlet_over_its_tank_gives_no_head_to_hold_against() -> None:
    book = elevations_of(misclosures=(run_of_levels(0.02, holds=False),))
    wrong = with_solution(dataclasses.replace(evidence_of(), elevations=book), ram=None)
    high = with_outlet_result(wrong, level_m=scalar(130.0))
    assert "share_of_fall" not in found(high, "misclosure")[0].values


def test_an_outlet_fed_by_the_source_is_held_against_its_level() -> None:
    book = elevations_of(misclosures=(run_of_levels(0.02, holds=False),))
    wrong = with_solution(dataclasses.replace(evidence_of(), elevations=book), ram=None)
    fed = with_outlet_result(wrong, fed_by="source", level_m=scalar(90.0))
    assert pytest.approx(found(fed, "misclosure")[0].values["share_of_fall"]) == 0.002
    assert found(with_layout(fed, source_level_m=None), "misclosure") != []


def test_a_book_that_nothing_checks_is_told_once() -> None:
    book = elevations_of(degrees_of_freedom=0, hanging=("spring", "ram"))
    evidence = dataclasses.replace(evidence_of(), elevations=book)
    assert len(found(evidence, "book-unchecked")) == 1
    assert found(evidence, "hangs-on-one-reading") == []
    assert found(evidence_of(), "book-unchecked") == []


@pytest.mark.parametrize(
    ("hanging", "severity"),
    [((), None), (("TP1",), None), (("beds", "TP1"), "fine"), (("ram", "beds"), "care")],
)
def test_places_that_hang_on_one_reading_are_named(
    hanging: tuple[str, ...], severity: str | None
) -> None:
    book = elevations_of(hanging=hanging)
    findings = found(dataclasses.replace(evidence_of(), elevations=book), "hangs-on-one-reading")
    assert ([] if severity is None else [severity]) == [one.severity for one in findings]
    for finding in findings:
        assert "TP1" not in finding.texts["places"]


def test_without_a_ram_no_hanging_place_is_grave() -> None:
    book = elevations_of(hanging=("spring",))
    gravity = with_solution(dataclasses.replace(evidence_of(), elevations=book), ram=None)
    assert [one.severity for one in found(gravity, "hangs-on-one-reading")] == ["fine"]


def test_an_assumed_datum_is_said() -> None:
    book = elevations_of(assumed_datum=True)
    evidence = dataclasses.replace(evidence_of(), elevations=book)
    assert len(found(evidence, "assumed-datum")) == 1
    assert found(evidence_of(), "assumed-datum") == []
    assert found(dataclasses.replace(evidence_of(), elevations=None), "assumed-datum") == []


def test_a_raster_of_unknown_error_is_told_only_where_it_is_used() -> None:
    idle = dataclasses.replace(evidence_of(), grid=raster_of(None))
    assert found(idle, "raster-error-unknown") == []
    origin = idle.ground.origin.copy()
    origin[idle.ground.place("beds")] = Origin.RASTER
    place = with_ground(idle, origin=origin)
    assert len(found(place, "raster-error-unknown")) == 1
    assert found(dataclasses.replace(place, grid=raster_of(0.3)), "raster-error-unknown") == []
    along = with_profile(idle, "beds", origin=np.array([0, 2, 2, 2, 0], dtype=np.int8))
    assert found(along, "raster-error-unknown")[0].texts["rasters"] == "hill.tif"


def shifted(*left_over_m: float, std_m: float | None = 0.3) -> DatumShift:
    places = ("spring", "ram", "knoll")[: len(left_over_m)]
    return DatumShift(shift_m=-212.0, shift_std_m=std_m, places=places, left_over_m=left_over_m)


@pytest.mark.parametrize(
    ("worst_m", "std_m", "severity"),
    [(0.99 * LIKELY * 0.3, 0.3, "fine"), (1.01 * LIKELY * 0.3, 0.3, "care"), (3.0, None, "fine")],
)
def test_what_is_left_over_is_held_against_the_error_of_the_raster(
    worst_m: float, std_m: float | None, severity: str
) -> None:
    evidence = dataclasses.replace(evidence_of(), grid=raster_of(std_m))
    evidence = with_ground(evidence, shift=shifted(0.1, -worst_m, 0.2))
    (finding,) = found(evidence, "raster-left-over")
    assert (severity, -worst_m, "ram") == (finding.severity, finding.value, finding.where.place)
    assert found(evidence, "raster-tied-once") == []


def test_a_raster_tied_at_one_place_is_told() -> None:
    evidence = dataclasses.replace(evidence_of(), grid=raster_of(0.3))
    (finding,) = found(with_ground(evidence, shift=shifted(0.0)), "raster-tied-once")
    assert (finding.value, finding.values["std_m"]) == (-212.0, 0.3)
    nowhere = with_ground(evidence, shift=shifted())
    assert found(nowhere, "raster-tied-once") == []
    assert found(with_ground(evidence, shift=None), "raster-left-over") == []


def agreeing(chi_square: float) -> Agreement:
    return Agreement(
        chi_square=chi_square, degrees_of_freedom=2, chance=float(np.exp(-chi_square / 2))
    )


@pytest.mark.parametrize(("chi_square", "told"), [(5.98, 0), (6.0, 1)])
def test_a_raster_that_is_worse_than_claimed_is_told(chi_square: float, told: int) -> None:
    """With two degrees of freedom 5 % are left above -2 ln 0.05 = 5.99."""
    evidence = dataclasses.replace(evidence_of(), grid=raster_of(0.3))
    shift = dataclasses.replace(shifted(0.1, -0.2, 0.1), agreement=agreeing(chi_square))
    findings = found(with_ground(evidence, shift=shift), "raster-disagrees")
    assert told == len(findings)
    for finding in findings:
        assert finding.value == pytest.approx((chi_square / 2) ** 0.5)
        assert (0.3, 3.0) == (finding.values["std_m"], finding.values["count"])


@pytest.mark.parametrize(
    ("shift_m", "std_m", "assumed", "told"),
    [
        (0.6, 0.3, False, 1),
        (-0.6, 0.3, False, 1),
        (0.4, 0.3, False, 0),
        (0.6, 0.3, True, 0),
        (11.0, 0.3, False, 0),
        (0.6, None, False, 0),
    ],
)
def test_a_raster_that_stands_off_the_rod_is_told_where_both_have_one_datum(
    shift_m: float, std_m: float | None, *, assumed: bool, told: int
) -> None:
    evidence = dataclasses.replace(
        evidence_of(), grid=raster_of(0.3), elevations=elevations_of(assumed_datum=assumed)
    )
    shift = dataclasses.replace(shifted(0.0, std_m=std_m), shift_m=shift_m)
    findings = found(with_ground(evidence, shift=shift), "raster-bias")
    assert [-shift_m] * told == [finding.value for finding in findings]


@pytest.mark.parametrize(
    ("apart_m", "std_m", "severity"),
    [(0.16, 0.1, "fine"), (-0.17, 0.1, "care"), (0.01, None, "care")],
)
def test_a_stated_height_beside_a_leveled_one_is_told_with_what_their_errors_explain(
    apart_m: float, std_m: float | None, severity: str
) -> None:
    beside = StatedBeside(place="ram", stated_minus_leveled_m=apart_m, std_m=std_m)
    (finding,) = found(with_ground(evidence_of(), stated_beside=(beside,)), "stated-height-apart")
    assert (severity, apart_m, "ram") == (finding.severity, finding.value, finding.where.place)
    assert finding.limit == (None if std_m is None else LIKELY * std_m)


@pytest.mark.parametrize(("gap_m", "told"), [(2.0, 0), (2.1, 1)])
def test_an_end_off_its_route_is_told_above_two_metres(gap_m: float, told: int) -> None:
    join = RouteJoin(pipe="beds", route="east", place="beds", gap_m=gap_m)
    findings = found(with_ground(evidence_of(), joins=(join,)), "route-joined")
    assert told == len(findings)
    for finding in findings:
        assert (
            finding.where.pipe,
            finding.where.place,
            finding.texts["route"],
        ) == ("beds", "beds", "east")


def test_a_place_taken_from_a_route_is_told() -> None:
    evidence = with_ground(evidence_of(), placed_by_route=(("beds", "east"),))
    (finding,) = found(evidence, "place-from-route")
    assert (finding.where.place, finding.texts["route"]) == ("beds", "east")


def test_a_scheme_without_ram_and_source_is_judged_all_the_same() -> None:
    evidence = with_parts(with_solution(evidence_of(), ram=None), ram=None, source=None)
    book = elevations_of(hanging=("beds",))
    evidence = dataclasses.replace(evidence, elevations=book)
    assert len(found(evidence, "hangs-on-one-reading")) == 1
