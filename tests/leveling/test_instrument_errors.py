"""Errors of the instrument: what balanced sights, directions and a two-peg test take away."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.formulas.rotating_laser import cone_rise_std_m
from terrain_head.formulas.sighting import curvature_and_refraction_m
from terrain_head.leveling.book import BookRow, KnownElevation, LevelBook, Reading, Rod, SetUp
from terrain_head.leveling.instrument import Instrument, TwoPegTest
from terrain_head.leveling.reduce import reduce_book
from terrain_head.leveling.sights import sight_errors
from terrain_head.leveling.weights import weights_of

STD = 0.001
SLOPE = 1e-4
LEVEL = Instrument(kind="optical level", accuracy=SLOPE)
LASER = Instrument(kind="rotating laser", accuracy=SLOPE)
Sight = tuple[str, float | None]


def run_of(
    *setups: Sequence[Sight],
    heights: dict[str, float] | None = None,
    ways: Sequence[Sequence[float]] = (),
    heads: Sequence[float] = (),
    farthest: float | None = None,
    instrument: Instrument | None = LEVEL,
) -> LevelBook:
    """Return a book without any error: for each set-up the points with their distances."""
    known = heights or {}
    readings: list[Reading] = []
    stands: list[SetUp] = []
    for number, sights in enumerate(setups):
        first = len(readings)
        for place, (point, distance) in enumerate(sights):
            readings.append(
                Reading(
                    setup=number,
                    point=point,
                    kind="bs" if not place else "fs" if place == len(sights) - 1 else "is",
                    written="1",
                    reading_m=1.5 - known.get(point, 0.0),
                    distance_m=distance,
                    direction_rad=math.radians(ways[number][place]) if ways else None,
                )
            )
        stands.append(
            SetUp(
                label=str(number + 1),
                readings=tuple(range(first, len(readings))),
                back=first,
                ahead=len(readings) - 1,
                head_rad=math.radians(heads[number]) if heads else None,
            )
        )
    return LevelBook(
        readings=tuple(readings),
        setups=tuple(stands),
        rows=_rows(readings),
        known=(KnownElevation(point="BM", elevation_m=0.0),),
        reading_std_m=STD,
        farthest_m=farthest,
        instrument=instrument,
    )


def _rows(readings: Sequence[Reading]) -> tuple[BookRow, ...]:
    """Return a row for each reading."""
    return tuple(
        BookRow(
            file=0,
            line=line + 2,
            point=one.point,
            back=line if one.kind == "bs" else None,
            between=line if one.kind == "is" else None,
            ahead=line if one.kind == "fs" else None,
        )
        for line, one in enumerate(readings)
    )


def rise_std(book: LevelBook, end: str, *, start: str = "BM") -> float:
    """Return the standard error of a rise."""
    return reduce_book(book).rise(start, end)[1]


BALANCED = ([("BM", 30.0), ("A", 30.0)], [("A", 20.0), ("B", 20.0)])
UPHILL = ([("BM", 30.0), ("A", 10.0)], [("A", 30.0), ("B", 10.0)])


def test_balanced_sights_take_the_collimation_away() -> None:
    assert rise_std(run_of(*BALANCED), "B") == pytest.approx(2 * STD, rel=1e-9)


def test_sights_out_of_balance_the_same_way_add_up() -> None:
    """Two set-ups of 20 m too long a backsight are out by the slope of 40 m, not of 28."""
    expected = math.hypot(2 * STD, SLOPE * 40.0)
    assert rise_std(run_of(*UPHILL), "B") == pytest.approx(expected, rel=1e-9)


def test_a_cone_is_out_by_as_much_as_the_formula_says() -> None:
    book = run_of(UPHILL[0], instrument=LASER, ways=[[0.0, 0.0]], heads=[90.0])
    cone = float(cone_rise_std_m(30.0, 10.0, cone_std=SLOPE))
    tilt = SLOPE * 20.0
    expected = math.sqrt(2 * STD**2 + cone**2 + tilt**2)
    assert rise_std(book, "A") == pytest.approx(expected, rel=1e-9)


def test_two_points_share_the_error_of_the_line_of_sight() -> None:
    book = run_of([("BM", 50.0), ("A", 10.0), ("B", 12.0)])
    joint = reduce_book(book).covariance_of([1, 2]).matrix()
    assert joint[0, 1] == pytest.approx(STD**2 + SLOPE**2 * 40.0 * 38.0, rel=1e-9)


def test_the_covariance_of_some_points_is_the_same_asked_for_alone_and_at_once() -> None:
    for tool, farthest in ((LEVEL, None), (LASER, 40.0)):
        book = replace(run_of(*UPHILL, instrument=tool), farthest_m=farthest)
        found = reduce_book(book)
        both = found.covariance_of([1, 2])
        assert both.std == pytest.approx(found.std_m()[1:], rel=1e-9)
        assert both.std[1] == pytest.approx(found.covariance_of([2]).std[0], rel=1e-9)


def test_a_tilt_cancels_where_both_sights_lie_the_same_way() -> None:
    same = run_of([("BM", 30.0), ("A", 30.0)], instrument=LASER, ways=[[70.0, 70.0]], heads=[0.0])
    assert rise_std(same, "A") == pytest.approx(math.sqrt(2) * STD, rel=1e-9)


def test_a_tilt_adds_up_where_the_sights_lie_in_opposite_directions() -> None:
    ways = [[180.0, 0.0], [180.0, 0.0]]
    book = run_of(*BALANCED, instrument=LASER, ways=ways, heads=[0.0, 0.0])
    assert rise_std(book, "B") == pytest.approx(math.hypot(2 * STD, SLOPE * 100.0), rel=1e-9)


def test_a_tilt_cancels_in_two_set_ups_with_the_head_turned_half_round() -> None:
    sights = [[("BM", 30.0), ("A", 30.0)], [("A", 30.0), ("B", 30.0)]]
    ways = [[180.0, 0.0], [180.0, 0.0]]
    turned = run_of(*sights, instrument=LASER, ways=ways, heads=[0.0, 180.0])
    assert rise_std(turned, "B") == pytest.approx(2 * STD, rel=1e-9)


@given(
    st.lists(st.tuples(st.floats(2, 60), st.floats(2, 60)), min_size=1, max_size=6),
    st.lists(st.floats(-1, 1), min_size=12, max_size=12),
    st.sampled_from(["length", "direction"]),
)
def test_what_is_not_written_is_at_least_as_wrong_as_any_way_it_may_add_up(
    lengths: list[tuple[float, float]], shares: list[float], missing: str
) -> None:
    """Any lengths up to the farthest, any directions: the doubt told is never below that error."""
    names = ["BM", *(f"T{number}" for number in range(1, len(lengths) + 1))]
    sights: list[list[Sight]] = [
        [(names[at], back), (names[at + 1], ahead)] for at, (back, ahead) in enumerate(lengths)
    ]
    tool = LEVEL if missing == "length" else LASER
    bound = 60.0 if missing == "length" else None
    if bound is not None:
        sights = [[(name, None) for name, _ in pair] for pair in sights]
    std = rise_std(run_of(*sights, instrument=tool, farthest=bound), names[-1])
    out = 0.0
    for at, (back, ahead) in enumerate(lengths):
        one, other = shares[2 * at], shares[2 * at + 1]
        if bound is not None:
            out += (abs(one) - abs(other)) * bound
        else:
            out += one * back - other * ahead
    assert abs(out) * SLOPE <= std


@given(st.integers(1, 12), st.floats(5.0, 80.0), st.booleans())
def test_without_lengths_nothing_is_surer_than_were_each_sight_out_for_itself(
    setups: int, farthest: float, laser: bool
) -> None:
    names = ["BM", *(f"T{number}" for number in range(1, setups + 1))]
    sights: list[list[Sight]] = [[(names[at], None), (names[at + 1], None)] for at in range(setups)]
    book = run_of(*sights, instrument=LASER if laser else LEVEL, farthest=farthest)
    alone = math.hypot(STD, SLOPE * farthest) * math.sqrt(2 * setups)
    assert alone * (1 - 1e-9) <= rise_std(book, names[-1])


@pytest.mark.parametrize("instrument", [None, Instrument(kind="optical level", accuracy=0.0)])
def test_with_an_accuracy_of_nought_nothing_changes(instrument: Instrument | None) -> None:
    """Against the plain network of the same readings, without length or instrument."""
    closed = [*UPHILL, [("B", 25.0), ("BM", 5.0)]]
    heights = {"A": 0.3, "B": -0.7}
    bare = [[(name, None) for name, _ in sights] for sights in closed]
    old = reduce_book(run_of(*bare, heights=heights, instrument=None))
    new = reduce_book(run_of(*bare, heights=heights, farthest=60.0, instrument=instrument))
    assert new.elevation_m == pytest.approx(old.elevation_m, abs=1e-12)
    assert new.std_m() == pytest.approx(old.std_m(), abs=1e-12)
    assert new.residuals_m == pytest.approx(old.residuals_m, abs=1e-12)
    lengths = reduce_book(run_of(*closed, heights=heights, instrument=instrument))
    assert lengths.std_m() == pytest.approx(old.std_m(), abs=1e-12)


LOOP = (
    [("BM", 40.0), ("spring", 12.0), ("A", 22.0)],
    [("A", 35.0), ("B", 15.0)],
    [("B", 20.0), ("ram", 31.0), ("C", 28.0)],
    [("C", 18.0), ("A", 33.0), ("BM", 24.0)],
)
LOOP_WAYS = ([200.0, 10.0, 40.0], [230.0, 60.0], [250.0, 80.0, 100.0], [10.0, 280.0, 190.0])


@pytest.mark.parametrize("tool", [LEVEL, LASER])
def test_the_covariance_is_that_of_two_thousand_simulated_surveys(tool: Instrument) -> None:
    """Every survey has its own slope, tilt and reading errors, and is adjusted like any other."""
    heights = {"spring": 1.2, "A": 0.4, "B": -0.5, "ram": -2.0, "C": 0.8}
    heads = [0.0, 90.0, 200.0, 45.0]
    clean = run_of(*LOOP, heights=heights, ways=LOOP_WAYS, heads=heads, instrument=tool)
    rng = np.random.default_rng(20)
    distance = np.array([one.distance_m for one in clean.readings], dtype=np.float64)
    angle = np.array(
        [
            (one.direction_rad or 0.0) - (clean.setups[one.setup].head_rad or 0.0)
            for one in clean.readings
        ]
    )
    ends = [reduce_book(clean).index(name) for name in ("spring", "ram", "C")]
    found = []
    for _ in range(2_000):
        slope, along, across = rng.normal(0.0, SLOPE, 3)
        if tool.kind == "optical level":
            along = across = 0.0
        wrong = distance * (slope + along * np.cos(angle) + across * np.sin(angle))
        wrong += curvature_and_refraction_m(distance) + rng.normal(0.0, STD, len(distance))
        readings = [
            replace(one, reading_m=one.reading_m + float(error))
            for one, error in zip(clean.readings, wrong, strict=True)
        ]
        # One survey in twenty is found worse than claimed: s0 changes doubts, not heights.
        found.append(reduce_book(replace(clean, readings=tuple(readings))).elevation_m[ends])
    seen = np.array(found)
    told = reduce_book(clean).covariance_of(ends)
    assert seen.mean(axis=0) == pytest.approx([1.2, -2.0, 0.8], abs=3e-4)
    assert seen.std(axis=0) == pytest.approx(told.std, rel=0.1)
    for one, other in ((0, 1), (1, 2), (0, 2)):
        fall = told.std_of_difference(one, other)
        assert (seen[:, one] - seen[:, other]).std() == pytest.approx(fall, rel=0.1)


def test_the_slope_shared_by_all_sights_is_no_blunder_and_leaves_chi_square_as_it_should_be() -> (
    None
):
    """Two standard errors in unbalanced sights are explained by the slope, not by s0."""
    out = 2 * SLOPE
    clean = run_of(*LOOP)
    readings = [
        replace(one, reading_m=one.reading_m + out * (one.distance_m or 0.0))
        for one in clean.readings
    ]
    found = reduce_book(replace(clean, readings=tuple(readings)))
    assert not found.suspects
    assert len(found.residuals_m) == len(readings)
    assert found.s0 is not None
    assert found.s0 * math.sqrt(found.degrees_of_freedom) <= 2.0 + 1e-9


TEST = TwoPegTest(
    middle_m=(1.283, 0.860),
    beyond_m=(1.612, 1.219),
    middle_sights_m=(25.0, 25.0),
    beyond_sights_m=(55.0, 5.0),
)


@pytest.mark.parametrize("rod", ["normal", "direct"])
def test_a_two_peg_test_is_taken_off_the_readings(rod: Rod) -> None:
    """The test's own far set-up, read as a survey, comes to the rise of its middle one."""
    tool = Instrument(kind="optical level", two_peg=TEST)
    sign = 1.0 if rod == "normal" else -1.0
    book = run_of([("BM", 55.0), ("B", 5.0)], instrument=tool)
    readings = [
        replace(one, reading_m=sign * read)
        for one, read in zip(book.readings, (1.612, 1.219), strict=True)
    ]
    book = replace(book, readings=tuple(readings), rod=rod)
    found = reduce_book(book)
    earth = curvature_and_refraction_m(np.array([55.0, 5.0]))
    assert found.of("B") == pytest.approx(0.423 - float(earth[0] - earth[1]), abs=1e-9)
    slope_std = 2 * STD / 50.0
    assert found.rise("BM", "B")[1] == pytest.approx(
        math.sqrt(2 * STD**2 + (50.0 * slope_std) ** 2), rel=1e-9
    )
    (fact,) = [fact for fact in found.facts if fact.kind == "collimation-taken-off"]
    assert fact.values == {
        "slope": pytest.approx(-6e-4),
        "slope_std": pytest.approx(slope_std),
    }


def test_curvature_is_taken_off_where_every_sight_of_a_set_up_has_a_length() -> None:
    book = run_of([("BM", 300.0), ("A", 20.0)], [("A", 300.0), ("B", None)], instrument=None)
    errors = sight_errors(book, reading_std_m=STD)
    earth = curvature_and_refraction_m(np.array([300.0, 20.0]))
    assert errors.too_high_m == pytest.approx([*earth, 0.0, 0.0], abs=1e-15)


def test_sights_without_a_length_or_a_farthest_one_are_told() -> None:
    facts = weights_of(run_of([("BM", 10.0), ("A", None)])).facts
    assert [fact.kind for fact in facts] == ["sights-without-distance"]


def test_a_tilt_without_directions_is_told() -> None:
    facts = weights_of(run_of(*UPHILL, instrument=LASER)).facts
    assert [fact.kind for fact in facts] == ["tilt-at-its-worst"]
    assert facts[0].values == {"count": 4.0, "tilt_std": SLOPE}


def test_half_a_turn_alone_stands_for_tilt_and_cone() -> None:
    tool = Instrument(kind="rotating laser", half_turn=3e-5)
    assert (tool.slope_std(STD), tool.tilt_std) == (3e-5, 3e-5)


def test_a_closing_is_judged_with_what_the_instrument_may_be_out() -> None:
    """A slope shared by the sights of a run makes its closing worse by the balance of the run."""
    unbalanced = [*UPHILL, [("B", 30.0), ("BM", 10.0)]]
    (sure,) = reduce_book(run_of(*unbalanced, instrument=None)).misclosures
    (run,) = reduce_book(run_of(*unbalanced)).misclosures
    assert run.allowable_m / sure.allowable_m == pytest.approx(
        math.hypot(math.sqrt(6) * STD, SLOPE * 60.0) / (math.sqrt(6) * STD), rel=1e-9
    )


def test_the_doubt_of_a_stretch_is_below_that_of_the_book_it_lies_in() -> None:
    """What is not written adds up over the whole run, and a part of it is surer than all."""
    names = ["BM", *(f"T{number}" for number in range(1, 7))]
    sights: list[list[Sight]] = [
        [(names[at], None), (names[at + 1], None)] for at in range(len(names) - 1)
    ]
    book = run_of(*sights, instrument=LASER, farthest=30.0)
    stds = [rise_std(book, name) for name in names[1:]]
    assert stds == sorted(stds)
    # In one straight line with the head the same way: tilt and cone at every sight of 30 m.
    assert stds[-1] >= math.hypot(SLOPE * 12 * 30.0, STD * math.sqrt(12))


def test_one_direction_left_out_leaves_the_others_shared() -> None:
    """A side shot without a direction is at its worst; the run beside it still cancels."""
    sights = [[("BM", 30.0), ("side", 30.0), ("A", 30.0)]]
    book = run_of(*sights, instrument=LASER, ways=[[70.0, 0.0, 70.0]], heads=[0.0])
    readings = list(book.readings)
    readings[1] = replace(readings[1], direction_rad=None)
    book = replace(book, readings=tuple(readings))
    assert rise_std(book, "A") == pytest.approx(math.sqrt(2) * STD, rel=1e-9)
    assert rise_std(book, "side") > math.hypot(math.sqrt(2) * STD, SLOPE * 30.0)
