"""Raster and rod fused: exact formulas, held against plain conditioning of a Gaussian."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from terrain_head.ground.fusion import Fusion, agreement_of
from terrain_head.ground.grid import CELL_SHARE, ElevationGrid, RasterError
from terrain_head.ground.ground import Course, Ground, Origin
from terrain_head.ground.marks import mark_std, spots_around
from terrain_head.ground.raster_error import (
    TRIED_RANGES_M,
    ErrorField,
    bending_field,
    tried_fields,
)
from terrain_head.workflows.study import open_study
from tests.ground.sites import at, drawn, leveled, raster, survey, tilted

FloatArray = NDArray[np.float64]

STD, RANGE, CELL = 0.5, 60.0, 2.0
FIELD = ErrorField(std_m=STD, range_m=RANGE, cell_share=CELL_SHARE, cell_m=CELL)
HELD = np.array([[0.0, 0.0], [40.0, 5.0], [70.0, -30.0]])
GIVEN = np.array([[2e-4, 1e-4, 1e-4], [1e-4, 3e-4, 1e-4], [1e-4, 1e-4, 0.04]])
SAMPLES = Path(__file__).parents[2] / "sample_surveys"


def fusion(field: ErrorField = FIELD, *, differences: FloatArray | None = None) -> Fusion:
    return Fusion(
        points_m=HELD,
        known_minus_raster_m=np.array([0.3, -0.2, 0.1]) if differences is None else differences,
        given_m2=GIVEN,
        field=field,
    )


def conditioned(spots: FloatArray, differences: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Condition one joint Gaussian of spots and differences, the constant all but free."""
    free = 1e5
    everywhere = np.concatenate([spots, HELD])
    prior = FIELD.between(everywhere, everywhere) + free
    count = len(spots)
    across, known = prior[:count, count:], prior[count:, count:] + GIVEN
    gain = np.linalg.solve(known, across.T).T
    return gain @ differences, prior[:count, :count] - gain @ across.T


def test_the_moved_heights_are_those_of_a_conditioned_gaussian() -> None:
    rng = np.random.default_rng(3)
    spots = rng.uniform(-60, 130, (40, 2))
    differences = np.array([0.3, -0.2, 0.1])
    weights, _ = fusion().follow(spots)
    expected, _ = conditioned(spots, differences)
    assert expected == pytest.approx(weights @ differences, abs=1e-4)


def test_the_doubt_is_that_of_the_conditioned_gaussian() -> None:
    """A leveled site: its joint covariance, formed from weights, against conditioning."""
    places = [at(name, *spot) for name, spot in zip("abc", HELD.tolist(), strict=True)]
    spots = np.array([[10.0, 4.0], [55.0, -12.0], [200.0, 100.0]])
    loose = [at(name, *spot) for name, spot in zip("xyz", spots.tolist(), strict=True)]
    ground = survey(
        Course(name="p", start="x", end="y"),
        Course(name="q", start="y", end="z"),
        places=[*places, *loose],
        elevations=leveled({"a": 100.0, "b": 104.2, "c": 105.3}),
        grid=raster(std_m=STD, range_m=RANGE),
    )
    entries = [ground.place(name) for name in "xyz"]
    given = np.full((3, 3), 1e-4) + np.eye(3) * 1e-4
    everywhere = np.concatenate([spots, HELD])
    prior = FIELD.between(everywhere, everywhere) + 1e5
    known = prior[3:, 3:] + given
    expected = prior[:3, :3] - prior[:3, 3:] @ np.linalg.solve(known, prior[3:, :3])
    assert ground.shift is not None
    assert ground.shift.agreement is not None
    scale = ground.shift.agreement.worse_by
    assert 1.0 == scale
    assert expected == pytest.approx(ground.covariance_of(entries).matrix(), abs=1e-5)


@given(
    spots=st.lists(st.tuples(st.floats(-300, 300), st.floats(-300, 300)), min_size=1, max_size=6),
    constant=st.floats(-900, 900),
)
@settings(max_examples=40, deadline=None)
def test_weights_sum_to_one_so_a_constant_on_the_raster_changes_nothing(
    spots: list[tuple[float, float]], constant: float
) -> None:
    weights, share = fusion().follow(np.array(spots))
    assert weights.sum(axis=1) == pytest.approx(1.0, abs=1e-9)
    assert np.all((share >= 0) & (share <= 1 + 1e-9))
    differences = np.array([0.3, -0.2, 0.1])
    moved = weights @ (differences + constant) - weights @ differences
    assert moved == pytest.approx(constant, abs=1e-7)


def test_an_exact_height_is_met_and_far_away_only_the_constant_is_left() -> None:
    exact = Fusion(
        points_m=HELD,
        known_minus_raster_m=np.array([0.3, -0.2, 0.1]),
        given_m2=np.zeros((3, 3)),
        field=FIELD,
    )
    weights, share = exact.follow(np.concatenate([HELD, [[5000.0, 0.0]]]))
    assert weights[:3] == pytest.approx(np.eye(3), abs=1e-6)
    assert share[:3] == pytest.approx(1.0, abs=1e-6)
    assert weights[3] == pytest.approx(exact.even)
    assert share[3] == pytest.approx(0.0, abs=1e-12)
    assert exact.left_over_m == pytest.approx(exact.known_minus_raster_m - exact.shift_m)


def test_two_places_on_one_spot_count_half_each() -> None:
    twice = Fusion(
        points_m=np.array([[0.0, 0.0], [0.0, 0.0]]),
        known_minus_raster_m=np.array([1.0, 2.0]),
        given_m2=np.zeros((2, 2)),
        field=FIELD,
    )
    assert twice.even == pytest.approx([0.5, 0.5])
    assert 1.5 == pytest.approx(twice.shift_m)


def test_the_constant_is_as_sure_as_generalised_least_squares_has_it() -> None:
    covariance = FIELD.between(HELD, HELD) + GIVEN
    expected = 1 / np.sqrt(np.linalg.inv(covariance).sum())
    assert expected == pytest.approx(fusion().shift_std_m(FIELD), rel=1e-9)


@given(
    offsets=st.lists(st.tuples(st.floats(0, 9), st.floats(0, 9)), min_size=2, max_size=12),
    range_m=st.sampled_from([0.0, 3.0, 30.0]),
)
@settings(max_examples=50, deadline=None)
def test_the_errors_covariance_is_positive_semidefinite(
    offsets: list[tuple[float, float]], range_m: float
) -> None:
    field = ErrorField(std_m=STD, range_m=range_m, cell_share=0.3, cell_m=CELL)
    spots = np.array(offsets)
    assert np.linalg.eigvalsh(field.between(spots, spots)).min() > -1e-9
    assert np.diag(field.between(spots, spots)) == pytest.approx(STD**2)


@pytest.mark.parametrize("apart", [0.0, 0.35, 1.0, 1.6, 2.0, 3.0])
def test_what_readings_share_of_the_cells_noise_is_the_mean_over_where_they_fall(
    apart: float,
) -> None:
    """Weights of a linear reading on a line of cells, summed and averaged over one cell."""
    begin = (np.arange(4000) + 0.5) / 4000
    cells = np.arange(-2, 7)
    first = np.clip(1 - np.abs(begin[:, None] - cells), 0, None)
    second = np.clip(1 - np.abs(begin[:, None] + apart - cells), 0, None)
    shared = float((first * second).sum(axis=1).mean())
    alone = float((first * first).sum(axis=1).mean())
    noise = ErrorField(std_m=1.0, range_m=0.0, cell_share=1.0, cell_m=CELL)
    found = noise.between(np.array([[0.0, 0.0]]), np.array([[apart * CELL, 0.0]]))
    assert shared / alone == pytest.approx(found[0, 0], abs=1e-6)
    assert alone == pytest.approx(2 / 3, abs=1e-6)


def test_without_a_range_several_are_tried_and_without_an_error_none() -> None:
    unknown = RasterError(std_m=STD, range_m=None)
    assert TRIED_RANGES_M == tuple(one.range_m for one in tried_fields(unknown, cell_m=CELL))
    known = RasterError(std_m=STD, range_m=45.0)
    assert [45.0] == [one.range_m for one in tried_fields(known, cell_m=CELL)]
    bending = bending_field(unknown, cell_m=CELL)
    assert bending is not None
    assert 60.0 == bending.range_m
    nothing = RasterError(std_m=None, range_m=60.0)
    assert () == tried_fields(nothing, cell_m=CELL)
    assert bending_field(nothing, cell_m=CELL) is None


def site(range_m: float | None, **heights: float) -> Ground:
    """Return a site with a far tank, and rod points close together about the ram."""
    rods = {"s": (0.0, 0.0), "r": (20.0, 0.0), "t": (10.0, 15.0)}
    places = [at(name, *spot) for name, spot in rods.items()]
    known = {name: float(tilted(np.array(x), np.array(y))) for name, (x, y) in rods.items()}
    return survey(
        Course(name="p", start="r", end="tank"),
        Course(name="q", start="tank", end="near"),
        places=[*places, at("tank", 300.0, 40.0), at("near", 30.0, 10.0)],
        elevations=leveled(known | heights),
        grid=raster(std_m=STD, range_m=range_m),
    )


def test_of_the_ranges_tried_the_worst_for_what_is_asked_is_kept() -> None:
    """From rods that stand together to a far tank a long range is the worst; short legs: none."""
    unknown = site(None)
    assert unknown.shift is not None
    under = {range_m: site(range_m) for range_m in TRIED_RANGES_M}
    doubt = unknown.covariance_of
    far = unknown.std_of_difference("r", "tank")
    assert far is not None
    fields = doubt.fields  # type: ignore[attr-defined]
    assert TRIED_RANGES_M == tuple(one.range_m for one in fields)
    pair = [unknown.place("r"), unknown.place("tank")]
    assert 120.0 == doubt.at_worst(pair).fields[0].range_m  # type: ignore[attr-defined]
    # The best estimate under 120 m is no worse than this one, which was bent with 60 m.
    assert far >= (under[120.0].std_of_difference("r", "tank") or 0.0) - 1e-12
    assert far > (under[0.0].std_of_difference("r", "tank") or 0.0)
    near = [unknown.place("near"), unknown.place("r")]
    assert 0.0 == doubt.at_worst(near).fields[0].range_m  # type: ignore[attr-defined]


def test_what_is_drawn_does_not_hang_on_which_stations_are_asked_for() -> None:
    ground = site(None)
    profile = ground.profiles["p"]
    few, many = [int(n) for n in profile.index[:3]], [int(n) for n in profile.index]
    whole = ground.covariance_of(many).matrix()
    assert ground.covariance_of(few).matrix() == pytest.approx(whole[:3, :3], abs=1e-9)


def test_heights_near_a_leveled_place_are_fused_and_far_ones_are_the_rasters() -> None:
    profile = site(RANGE).profiles["p"]
    assert Origin.LEVELED == profile.origin[0]
    assert Origin.FUSED == profile.origin[1]
    assert Origin.RASTER == profile.origin[-1]
    kinds = profile.origin[1:].tolist()
    assert kinds == sorted(kinds, reverse=True)
    assert np.all(np.diff(profile.std_m[1:40]) >= 0)


def test_left_overs_beyond_the_claim_widen_the_doubt_and_move_no_height() -> None:
    """A rod height two metres off a raster that claims 0.5 m, 20 m from another."""
    true = float(tilted(np.array(20.0), np.array(0.0)))
    good, wrong = site(RANGE), site(RANGE, r=true + 4.0)
    assert good.shift is not None
    assert good.shift.agreement is not None
    assert good.shift.agreement.holds
    assert 1.0 == good.shift.agreement.worse_by
    assert wrong.shift is not None
    found = wrong.shift.agreement
    assert found is not None
    assert not found.holds
    assert 2 == found.degrees_of_freedom
    assert np.sqrt(found.chi_square / 2) == pytest.approx(found.worse_by)
    tank = good.place("tank")
    widened = wrong.covariance_of([tank]).std[0] / good.covariance_of([tank]).std[0]
    assert widened == pytest.approx(found.worse_by, rel=0.01)


def test_what_is_left_over_is_chi_square_where_the_claim_is_true() -> None:
    """Of 4 000 honest rasters one in twenty is found to disagree, and the mean is the freedom."""
    rng = np.random.default_rng(8)
    root = np.linalg.cholesky(FIELD.between(HELD, HELD) + GIVEN)
    found = [
        agreement_of(fusion(differences=5.0 + root @ rng.standard_normal(3)), fields=(FIELD,))
        for _ in range(4000)
    ]
    assert np.mean([one.chi_square for one in found]) == pytest.approx(2.0, abs=0.12)
    assert np.mean([not one.holds for one in found]) == pytest.approx(0.05, abs=0.014)


def test_of_the_ranges_tried_the_rods_are_held_against_the_kindest() -> None:
    fields = tried_fields(RasterError(std_m=STD, range_m=None), cell_m=CELL)
    off = fusion(differences=np.array([1.2, -1.0, 0.4]))
    alone = [agreement_of(off, fields=(field,)).chance for field in fields]
    assert max(alone) == agreement_of(off, fields=fields).chance
    assert min(alone) < max(alone)


def test_a_stated_height_without_an_error_leaves_the_agreement_open() -> None:
    ground = survey(
        Course(name="p", start="a", end="b"),
        places=[at("a", 0.0, 0.0, stated_elevation_m=90.0), at("b", 40.0, 0.0)],
        grid=raster(),
    )
    assert ground.shift is not None
    assert ground.shift.agreement is None


def test_a_raster_without_any_error_is_moved_and_stays_sure() -> None:
    ground = survey(
        Course(name="p", start="a", end="b"),
        places=[at("a", 0.0, 0.0), at("b", 40.0, 0.0)],
        elevations=leveled({"a": 100.0}, std_m=0.0),
        grid=raster(std_m=0.0),
    )
    assert 104.0 == pytest.approx(float(ground.elevation_of("b")))
    assert ground.covariance_of([ground.place("b")]).std[0] == pytest.approx(0.0, abs=1e-9)


def test_the_length_along_a_fused_slope_keeps_out_the_noise_of_the_cells() -> None:
    rng = np.random.default_rng(5)
    cells = rng.normal(0.0, 0.3, (1200, 1200))

    def noisy(east: FloatArray, north: FloatArray) -> FloatArray:
        row, column = (north + 600).astype(int), (east + 600).astype(int)
        return np.asarray(tilted(east, north) + cells[row, column])

    a, b = at("a", -10.0, 0.5), at("b", 10.0, 0.5)
    ends = {"a": float(tilted(np.array(-10.0), np.array(0.5))),
            "b": float(tilted(np.array(10.0), np.array(0.5)))}  # fmt: skip
    grid = raster(noisy, cell_m=1.0, std_m=0.3, range_m=120.0)
    profile = survey(
        Course(name="p", start="a", end="b"), places=[a, b], grid=grid, elevations=leveled(ends)
    ).profiles["p"]
    assert {int(Origin.FUSED)} == set(profile.origin[1:-1].tolist())
    assert profile.slope_length_m == pytest.approx(20 * np.hypot(1, 0.1), rel=0.01)
    assert profile.between_known


def test_the_spots_around_a_mark_stand_for_a_normal_error() -> None:
    spots = spots_around(233)
    assert np.square(spots).mean() == pytest.approx(1.0)
    assert np.abs(spots.mean(axis=0)).max() < 0.02
    assert float(spots[:, 0] @ spots[:, 1]) / 233 == pytest.approx(0.0, abs=0.02)


def test_a_mark_over_a_hole_or_with_no_position_error() -> None:
    grid = raster(hole=lambda e, _: e > 10.0)
    spots = np.array([[0.0, 0.0], [0.0, 0.0], [50.0, 0.0], [np.nan, np.nan]])
    std = mark_std(spots, np.array([5.0, np.nan, 5.0, 5.0]), grid=grid)
    assert std[0] == pytest.approx(5.0 * np.hypot(0.1, 0.05), rel=0.1)
    assert std[1:].tolist() == [0.0, 0.0, 0.0]
    assert mark_std(spots, np.ones(4), grid=None).tolist() == [0.0] * 4


def _valley(*, map_error_m: float, std_m: float) -> tuple[ElevationGrid, Ground]:
    from dataclasses import replace

    site = open_study(SAMPLES / "valley_raster").site
    assert site.grid is not None
    grid = replace(site.grid, error=RasterError(std_m=std_m, range_m=60.0))
    places = [replace(place, position_std_m=map_error_m) for place in site.places]
    course = Course(name="drive", start="spring", end="ram", route="straight")
    return grid, survey(course, places=places, grid=grid)


def test_a_phones_mark_makes_the_fall_as_doubtful_as_moved_marks_do() -> None:
    """Marks of 5 m an axis on real ground, against 2 000 pairs of moved marks.

    First on a raster without errors, then with its errors drawn where the places then are.
    """
    grid, ground = _valley(map_error_m=5.0, std_m=0.0)
    rng = np.random.default_rng(11)
    heights, spots = [], []
    for name in ("spring", "ram"):
        entry = ground.place(name)
        middle = np.array([ground.east_m[entry], ground.north_m[entry]])
        spots.append(middle + rng.normal(0.0, 5.0, (2000, 2)))
        heights.append(grid.sample(spots[-1][:, 0], spots[-1][:, 1]))
    fall = heights[0] - heights[1]
    assert float(fall.std()) == pytest.approx(ground.std_of_difference("spring", "ram"), rel=0.15)
    grid, rough = _valley(map_error_m=5.0, std_m=1.0)
    field = ErrorField(
        std_m=1.0, range_m=60.0, cell_share=grid.error.cell_share, cell_m=grid.cell_m
    )
    shared = np.array(
        [field.between(one[None], other[None])[0, 0] for one, other in zip(*spots, strict=True)]
    )
    wrong = np.sqrt(2.0 * (1.0 - shared)) * rng.standard_normal(2000)
    reported = rough.std_of_difference("spring", "ram")
    assert float((fall + wrong).std()) == pytest.approx(reported, rel=0.15)


def test_raster_errors_and_marks_apart_make_up_the_whole() -> None:
    _, ground = _valley(map_error_m=5.0, std_m=0.3)
    assert ground.marked is not None
    entries = [ground.place("spring"), ground.place("ram"), len(ground.names) + 4]
    apart = ground.marked(entries)
    assert set(apart.names) == {"spring", "ram"}
    assert ground.covariance_of(entries).matrix() == pytest.approx(
        apart.unmoved.matrix() + apart.by_mark_m @ apart.by_mark_m.T, abs=1e-12
    )
    _, right = _valley(map_error_m=0.0, std_m=0.3)
    assert right.marked is None
    # Two places that may be off share less of the raster's error than their marks would.
    nearer = right.covariance_of(entries[:2]).matrix()[0, 1]
    assert 0.0 < apart.unmoved.matrix()[0, 1] < nearer
    assert np.diag(apart.unmoved.matrix()) == pytest.approx(0.09)


def test_rods_on_a_misplaced_mark_bend_the_raster_less() -> None:
    def gap(position_std_m: float) -> float:
        more = {"position_std_m": position_std_m} if position_std_m else {}
        ground = survey(
            Course(name="p", start="a", end="b"),
            places=[at("a", -100.0, 20.0, **more), at("b", 150.0, -60.0)],
            routes=[drawn("p", (-100.0, 20.0), (150.0, -60.0))],
            elevations=leveled({"a": 93.0, "b": 112.0}),
            grid=raster(),
        )
        shift = ground.shift
        assert shift is not None
        profile = ground.profiles["p"]
        at_second = tilted(profile.east_m[1:2], profile.north_m[1:2])[0] + shift.shift_m
        return float(profile.elevation_m[1] - at_second) / shift.left_over_m[0]

    assert 0.7 < gap(0.0) < 1.0
    assert gap(8.0) < 0.6 * gap(0.0)
