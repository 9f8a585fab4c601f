"""From places, routes, book and raster to one ground: positions, heights, one datum."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from terrain_head.errors import GroundError, InputError
from terrain_head.ground.ground import Course, Origin
from terrain_head.leveling.book import BookRoute
from tests.ground.sites import at, drawn, leveled, raster, survey, tilted

A, B = at("a", -100.0, 20.0), at("b", 150.0, -60.0)
BENT = drawn("over", (-100.0, 20.0), (30.0, 90.0), (150.0, -60.0))


def course(name: str = "p", start: str = "a", end: str = "b", **more: object) -> Course:
    return Course(name=name, start=start, end=end, **more)  # type: ignore[arg-type]


def test_a_plane_is_read_at_every_station() -> None:
    profile = survey(course(route="over"), places=[A, B], routes=[BENT], grid=raster()).profiles[
        "p"
    ]
    expected = tilted(profile.east_m, profile.north_m)
    assert profile.elevation_m == pytest.approx(expected, abs=1e-9)
    assert np.diff(profile.station_m).max() <= 2.0 + 1e-9
    assert profile.corner.sum() == 3
    assert profile.between_known
    legs = np.hypot(130, 70) + np.hypot(120, 150)
    assert profile.plan_length_m == pytest.approx(legs, rel=1e-12)
    assert set(profile.origin.tolist()) == {Origin.RASTER}


@settings(max_examples=25, deadline=None)
@given(
    corners=st.lists(
        st.tuples(st.integers(-200, 200), st.integers(-200, 200)), min_size=2, max_size=5,
        unique=True,
    ),
    rod=st.booleans(),
)  # fmt: skip
def test_reversing_a_route_mirrors_its_profile(
    corners: list[tuple[int, int]], *, rod: bool
) -> None:
    """To the last bit in place and height, datum shift and left-over differences included."""
    points = [(float(x), float(y)) for x, y in corners]
    first, last = at("a", *points[0]), at("b", *points[-1])
    book = leveled({"a": 100.0, "b": 103.3}) if rod else None
    ground = survey(
        course("there", route="r"),
        course("back", "b", "a", route="r"),
        places=[first, last],
        routes=[drawn("r", *points)],
        grid=raster(lambda e, n: 500 + 5 * np.sin(e / 30) + 0.03 * n),
        elevations=book,
    )
    there, back = ground.profiles["there"], ground.profiles["back"]
    assert np.array_equal(there.index, back.index[::-1])
    assert np.array_equal(there.elevation_m, back.elevation_m[::-1])
    assert np.array_equal(there.corner, back.corner[::-1])
    assert there.station_m == pytest.approx(back.station_m[-1] - back.station_m[::-1], abs=1e-9)
    assert there.along_m == pytest.approx(back.along_m[-1] - back.along_m[::-1], abs=1e-9)


def test_a_route_drawn_the_other_way_round_gives_the_same_profile() -> None:
    turned = replace(BENT, corners_m=BENT.corners_m[::-1])
    one = survey(course(route="over"), places=[A, B], routes=[BENT], grid=raster()).profiles["p"]
    two = survey(course(route="over"), places=[A, B], routes=[turned], grid=raster()).profiles["p"]
    assert np.array_equal(one.elevation_m, two.elevation_m)
    assert one.station_m == pytest.approx(two.station_m, abs=1e-9)


@given(shift=st.floats(-900, 900))
@settings(max_examples=20, deadline=None)
def test_a_constant_added_to_the_raster_changes_nothing_once_a_place_is_leveled(
    shift: float,
) -> None:
    def ground(surface_shift: float) -> np.ndarray:
        return survey(
            course(route="over"),
            places=[A, B],
            routes=[BENT],
            elevations=leveled({"a": 100.0}),
            grid=raster(lambda e, n: tilted(e, n) + surface_shift),
        ).elevation_m

    assert ground(shift) == pytest.approx(ground(0.0), abs=1e-9)


def test_a_raster_of_unknown_error_is_moved_by_the_mean_and_the_rest_is_spread_without_steps() -> (
    None
):
    heights = {"a": float(tilted(A.east_m, A.north_m)) - 600.0 + 0.3,  # type: ignore[arg-type]
               "b": float(tilted(B.east_m, B.north_m)) - 600.0 - 0.1}  # type: ignore[arg-type]  # fmt: skip
    ground = survey(course(route="over"), places=[A, B], routes=[BENT], grid=raster(std_m=None),
                    elevations=leveled(heights))  # fmt: skip
    assert ground.shift is not None
    assert ground.shift.agreement is None
    assert ground.shift.shift_m == pytest.approx(-600.0 + 0.1)
    assert ground.shift.left_over_m == pytest.approx((0.2, -0.2))
    assert ground.shift.places == ("a", "b")
    profile = ground.profiles["p"]
    bent = profile.elevation_m - (tilted(profile.east_m, profile.north_m) - 600.0)
    expected = np.interp(profile.station_m, profile.station_m[[0, -1]], [0.3, -0.1])
    assert bent == pytest.approx(expected, abs=1e-9)
    assert profile.origin[[0, 1, -1]].tolist() == [Origin.LEVELED, Origin.RASTER, Origin.LEVELED]
    assert ground.datum == "nail"


def test_a_leveled_place_beside_the_route_bends_it_too() -> None:
    beside = at("hump", 30.0, 91.5)
    heights = {"a": 100.0, "hump": 112.0}
    ground = survey(course(route="over"), places=[A, B, beside], routes=[BENT],
                    grid=raster(std_m=None), elevations=leveled(heights))  # fmt: skip
    assert ground.shift is not None
    profile = ground.profiles["p"]
    moved = profile.elevation_m - tilted(profile.east_m, profile.north_m)
    corner = int(np.flatnonzero(profile.corner)[1])
    at_hump = ground.shift.shift_m + ground.shift.left_over_m[1]
    assert moved[corner] == pytest.approx(at_hump, abs=0.05)
    assert moved[-1] == pytest.approx(ground.shift.shift_m)


def test_what_two_routes_share_is_one_entry_settled_by_the_first() -> None:
    fork = drawn("fork", (-100.0, 20.0), (30.0, 90.0), (60.0, 140.0))
    ground = survey(
        course("p", route="over"),
        course("q", "a", "c", route="fork"),
        places=[A, B, at("c", 60.0, 140.0)],
        routes=[BENT, fork],
        grid=raster(std_m=None),
        elevations=leveled({"a": 100.0, "b": 113.0, "c": 140.0}),
    )
    p, q = ground.profiles["p"], ground.profiles["q"]
    shared = int(np.flatnonzero(p.corner)[1]) + 1
    assert np.array_equal(p.index[:shared], q.index[:shared])
    assert q.elevation_m[-1] == 140.0
    steps = np.diff(q.elevation_m - tilted(q.east_m, q.north_m))
    assert np.abs(steps).max() < 1.0


@pytest.mark.parametrize(
    ("gap_m", "told"), [(0.0005, False), (1.9, False), (2.1, True), (24.9, True)]
)
def test_an_end_off_its_route_is_joined_by_a_straight_leg(gap_m: float, *, told: bool) -> None:
    line = drawn("r", (0.0, 0.0), (100.0, 0.0))
    ground = survey(course(route="r"), places=[at("a", 10.0, gap_m), at("b", 90.0, 0.0)],
                    routes=[line], grid=raster())  # fmt: skip
    profile = ground.profiles["p"]
    assert profile.plan_length_m == pytest.approx(80.0 + (gap_m if gap_m > 0.001 else 0), abs=1e-3)
    assert [join.gap_m for join in ground.joins] == ([pytest.approx(gap_m)] if told else [])
    assert np.all(np.diff(profile.station_m) > 0)


def test_an_end_thirty_metres_off_its_route_is_an_error() -> None:
    line = drawn("r", (0.0, 0.0), (100.0, 0.0))
    with pytest.raises(GroundError, match="a stands 30 m off route"):
        survey(course(route="r"), places=[at("a", 10.0, 30.0), at("b", 90.0, 0.0)], routes=[line],
               grid=raster())  # fmt: skip


def test_a_place_without_a_position_takes_the_end_of_its_route() -> None:
    bare = replace(B, east_m=None, north_m=None)
    ground = survey(course(route="over"), places=[A, bare], routes=[BENT], grid=raster())
    assert ground.placed_by_route == (("b", "over"),)
    assert ground.elevation_of("b") == pytest.approx(tilted(150.0, -60.0))  # type: ignore[arg-type]
    both = [replace(A, east_m=None, north_m=None), bare]
    ground = survey(course(route="over"), places=both, routes=[BENT], grid=raster())
    assert [place for place, _ in ground.placed_by_route] == ["a", "b"]
    turned = [replace(A, east_m=None, north_m=None), at("b", -100.0, 20.0)]
    ground = survey(course(route="over"), places=turned, routes=[BENT], grid=raster())
    assert ground.east_m[ground.place("a")] == 150.0


def test_where_a_pipe_goes_follows_the_order_of_the_rules() -> None:
    places = [A, B]
    routes = [BENT, drawn("p", (-100.0, 20.0), (0.0, 0.0), (150.0, -60.0))]
    own = survey(course("p"), places=places, routes=routes, grid=raster())
    assert own.profiles["p"].route == "p"
    straight = survey(course("p", route="straight"), places=places, routes=routes, grid=raster())
    assert straight.profiles["p"].route == "straight"
    other = survey(course("q"), places=places, routes=routes, grid=raster())
    assert other.profiles["q"].route == "straight"
    assert other.profiles["q"].plan_length_m == pytest.approx(np.hypot(250, 80))


def test_length_alone_knows_the_two_ends_only() -> None:
    ground = survey(course(length_m=50.0), elevations=leveled({"a": 100.0, "b": 130.0}))
    profile = ground.profiles["p"]
    assert profile.route is None
    assert not profile.between_known
    assert profile.station_m.tolist() == [0.0, 40.0]
    assert profile.along_m.tolist() == [0.0, 50.0]
    with pytest.raises(GroundError, match="but its ends differ by 30"):
        survey(course(length_m=29.0), elevations=leveled({"a": 100.0, "b": 130.0}))


ROWS = BookRoute(name="r", points=("a", "hump", "b"), station_m=(10.0, 40.0, 90.0))
HEIGHTS = leveled({"a": 100.0, "hump": 104.0, "b": 97.0, "tank": 98.5})


def test_a_book_route_is_its_rows_by_station() -> None:
    ground = survey(course(route="R"), elevations=HEIGHTS, book_routes=[ROWS])
    profile = ground.profiles["p"]
    assert profile.station_m.tolist() == [0.0, 30.0, 80.0]
    assert profile.elevation_m.tolist() == [100.0, 104.0, 97.0]
    assert profile.slope_length_m == pytest.approx(np.hypot(30, 4) + np.hypot(50, 7))
    assert np.isnan(profile.east_m).all()
    assert profile.std_m == pytest.approx([0.01 * 2**0.5] * 3)
    shuffled = BookRoute(name="r", points=("b", "a", "hump"), station_m=(90.0, 10.0, 40.0))
    again = survey(course(route="r"), elevations=HEIGHTS, book_routes=[shuffled]).profiles["p"]
    assert np.array_equal(again.elevation_m, profile.elevation_m)
    back = survey(course(start="b", end="a", route="r"), elevations=HEIGHTS, book_routes=[ROWS])
    assert back.profiles["p"].elevation_m.tolist() == [97.0, 104.0, 100.0]
    assert back.profiles["p"].station_m.tolist() == [0.0, 50.0, 80.0]


@pytest.mark.parametrize(
    ("start", "end", "heights"),
    [
        ("a", "tank", [100.0, 104.0, 98.5]),
        ("tank", "b", [98.5, 104.0, 97.0]),
        ("tank", "a", [98.5, 104.0, 100.0]),
        ("b", "tank", [97.0, 104.0, 98.5]),
        ("hump", "tank", [104.0, 98.5]),
    ],
)
def test_an_end_without_a_row_stands_at_the_first_or_last_station(
    start: str, end: str, heights: list[float]
) -> None:
    ground = survey(course(start=start, end=end, route="r"), elevations=HEIGHTS, book_routes=[ROWS])
    assert ground.profiles["p"].elevation_m.tolist() == heights


def test_two_ends_without_rows_take_the_whole_route() -> None:
    heights = leveled({"a": 100.0, "hump": 104.0, "b": 97.0, "tank": 98.5, "ram": 99.0})
    ground = survey(
        course(start="ram", end="tank", route="r"), elevations=heights, book_routes=[ROWS]
    )
    assert ground.profiles["p"].elevation_m.tolist() == [99.0, 104.0, 98.5]


def test_rows_without_stations_need_positions() -> None:
    rows = replace(ROWS, station_m=(None, 30.0, None))
    with pytest.raises(GroundError, match="points without a station"):
        survey(course(route="r"), elevations=HEIGHTS, book_routes=[rows])
    places = [at("a", 0.0, 0.0), at("hump", 30.0, 0.0), at("b", 30.0, 40.0)]
    ground = survey(course(route="r"), elevations=HEIGHTS, book_routes=[rows], places=places)
    assert ground.profiles["p"].station_m.tolist() == [0.0, 30.0, 70.0]


def test_a_book_route_of_its_two_ends_gives_way_to_the_map_with_its_raster() -> None:
    rows = BookRoute(name="over", points=("a", "b"), station_m=(0.0, 300.0))
    book = leveled({"a": 100.0, "b": 113.0})
    mapped = survey(course(route="over"), places=[A, B], routes=[BENT], book_routes=[rows],
                    elevations=book, grid=raster())  # fmt: skip
    assert len(mapped.profiles["p"].station_m) > 100
    alone = survey(course(route="over"), book_routes=[rows], elevations=book)
    assert alone.profiles["p"].station_m.tolist() == [0.0, 300.0]


@pytest.mark.parametrize(
    ("rows", "kind", "words"),
    [
        (replace(ROWS, station_m=(10.0, 10.0, 90.0)), InputError, "two points at one station"),
        (replace(ROWS, points=("a", "ghost", "b")), InputError, "'ghost', which has no height"),
        (BookRoute(name="r", points=("a",), station_m=(0.0,)), GroundError, "one and the same row"),
    ],
)
def test_book_routes_that_can_not_be(rows: BookRoute, kind: type[Exception], words: str) -> None:
    with pytest.raises(kind) as caught:
        survey(course(route="r"), elevations=HEIGHTS, book_routes=[rows])
    assert words in " ".join(str(caught.value).split())


def test_a_map_without_a_raster_knows_the_way_and_the_leveled_places() -> None:
    book = leveled({"a": 100.0, "b": 120.0})
    profile = survey(course(route="over"), places=[A, B], routes=[BENT],
                     elevations=book).profiles["p"]  # fmt: skip
    assert profile.origin.tolist() == [Origin.LEVELED, Origin.INTERPOLATED, Origin.LEVELED]
    legs = np.hypot(130, 70), np.hypot(120, 150)
    assert profile.elevation_m[1] == pytest.approx(100 + 20 * legs[0] / sum(legs))
    assert np.isnan(profile.std_m[1])
    assert not profile.between_known
    known = leveled({"a": 100.0, "b": 120.0, "bend": 125.0})
    places = [A, B, at("bend", 30.0, 90.0)]
    bent = survey(course(route="over"), places=places, routes=[BENT], elevations=known)
    assert bent.profiles["p"].elevation_m.tolist() == [100.0, 125.0, 120.0]
    assert bent.profiles["p"].between_known


def test_places_are_one_whatever_their_capitals_and_files() -> None:
    ground = survey(
        course(start="Spring", end="TANK"),
        places=[at("spring", 0.0, 0.0), at("Spring", 5.0, 5.0), at("Tank", 50.0, 0.0)],
        elevations=leveled({"SPRING": 100.0}),
        grid=raster(),
    )
    assert ground.names == ("spring", "Tank")
    assert ground.elevation_of("sPrInG") == 100.0
    with pytest.raises(KeyError):
        ground.place("nowhere")


def test_leveled_comes_before_stated_and_stated_before_the_raster() -> None:
    stated = at("b", 150.0, -60.0, stated_elevation_m=90.0, stated_std_m=0.2)
    both = at("a", -100.0, 20.0, stated_elevation_m=1.0)
    ground = survey(
        course(), places=[both, stated], elevations=leveled({"a": 100.0}), grid=raster()
    )
    profile = ground.profiles["p"]
    assert profile.elevation_m[[0, -1]].tolist() == [100.0, 90.0]
    assert profile.origin[[0, -1]].tolist() == [Origin.LEVELED, Origin.STATED]
    assert profile.std_m[-1] == pytest.approx(0.2)
    alone = survey(course(), places=[A, stated], grid=raster())
    assert alone.datum == "the stated heights"
    assert alone.elevation_of("a") == pytest.approx(
        90.0 + float(tilted(-100.0, 20.0)) - float(tilted(150.0, -60.0))  # type: ignore[arg-type]
    )


def test_two_known_elevations_of_one_place_are_an_error() -> None:
    twice = at("a", 0.0, 0.0, stated_elevation_m=101.0)
    with pytest.raises(InputError, match="two known elevations"):
        survey(course(), places=[twice, B], elevations=leveled({"a": 100.0}, known="a"),
               grid=raster())  # fmt: skip


def test_a_leveled_height_goes_before_a_stated_one_and_the_difference_is_kept() -> None:
    """A leveled height here has an error shared by all and as great a one of its own."""
    book = leveled({"a": 100.0, "b": 103.0, "c": 101.0}, std_m=0.01, known="c")
    told = at("a", 0.0, 0.0, stated_elevation_m=100.3, stated_std_m=0.04)
    untold = at("b", 0.0, 30.0, stated_elevation_m=102.9)
    same = at("c", 0.0, 60.0, stated_elevation_m=101.0)
    ground = survey(course(), places=[told, untold, same], elevations=book)
    assert (100.0, 103.0) == (float(ground.elevation_of("a")), float(ground.elevation_of("b")))
    first, second = ground.stated_beside
    assert ("a", "b") == (first.place, second.place)
    assert first.stated_minus_leveled_m == pytest.approx(0.3)
    assert first.std_m == pytest.approx((2 * 0.01**2 + 0.04**2) ** 0.5)
    assert second.stated_minus_leveled_m == pytest.approx(-0.1)
    assert second.std_m == pytest.approx(2**0.5 * 0.01)


def test_a_book_whose_first_point_was_called_100_takes_no_stated_elevations_beside_it() -> None:
    """Its heights are on a datum of their own: a fall to a stated height would be made up."""
    book = replace(leveled({"a": 100.0}, known="a"), assumed_datum=True)
    for stated in (at("b", 0.0, 30.0, stated_elevation_m=312.4),
                   at("a", 0.0, 0.0, stated_elevation_m=312.4)):  # fmt: skip
        with pytest.raises(InputError, match="not on one datum") as told:
            survey(course(), places=[A, stated, B], elevations=book)
        assert "a, was called 100" in " ".join(str(told.value).split())


def test_places_that_nothing_needs_may_lie_off_the_raster() -> None:
    far = at("far", 9000.0, 0.0)
    ground = survey(course(), places=[A, far, B], grid=raster())
    assert ground.names == ("a", "b")
    assert ground.profiles["p"].index[[0, -1]].tolist() == [0, 1]
    with pytest.raises(GroundError, match="gives no height at far"):
        survey(course(), places=[A, far, B], grid=raster(), needed=["far"])
    kept = survey(course(), places=[A, at("leg", 3.0, 3.0), B], grid=raster(), needed=["leg"])
    assert kept.elevation_of("leg") == pytest.approx(tilted(3.0, 3.0))  # type: ignore[arg-type]


ENDS = [A, B]


@pytest.mark.parametrize(
    ("asked", "kind", "words"),
    [
        (course(end="bee"), InputError, "'bee', which is no place of this site"),
        (course(end="a"), InputError, "begins and ends at a"),
        (course(route="ovr"), InputError, "there is no such route. Nearest: over"),
        (course(end="bare", route="straight"), GroundError, "bare has no position"),
        (course(end="twin", route="straight"), GroundError, "stand at one spot"),
        (course(end="twin", route="over"), GroundError, "takes no stretch of route"),
        (course(end="bare", length_m=30.0), GroundError, "bare has no height"),
    ],
)  # fmt: skip
def test_courses_that_can_not_be_laid(asked: Course, kind: type[Exception], words: str) -> None:
    bare = replace(B, name="bare", east_m=None, north_m=None)
    places = [*ENDS, bare, replace(A, name="twin")]
    with pytest.raises(kind) as caught:
        survey(asked, places=places, routes=[BENT], grid=raster())
    assert words in " ".join(str(caught.value).split())


def test_all_that_is_wrong_is_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        survey(course("p", route="no"), course("q", end="zz"), places=ENDS, grid=raster())
    message = " ".join(str(caught.value).split())
    assert "2 troubles" in message
    assert "no such route" in message
    assert "'zz'" in message


def test_a_needed_place_must_be_there() -> None:
    with pytest.raises(InputError, match="There is no place called 'leg1'"):
        survey(course(), places=ENDS, grid=raster(), needed=["leg1"])


def message_of(asked: Course, **more: object) -> str:
    with pytest.raises(GroundError) as caught:
        survey(asked, **more)  # type: ignore[arg-type]
    assert caught.value.exit_code == 4
    return " ".join(str(caught.value).split())


def test_a_route_that_leaves_the_raster_by_a_cell_is_an_error_that_says_where() -> None:
    line = drawn("r", (0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (502.0, 50.0))
    message = message_of(course(route="r"), routes=[line], grid=raster(),
                         places=[at("a", 0.0, 0.0), at("b", 502.0, 50.0)])  # fmt: skip
    assert 'dem.tif does not reach along the whole of route "r" of pipe "p".' in message
    assert (
        "It covers the first 550 m. At 0+550 (18+04 in feet), past the second bend, the raster"
        in message
    )
    assert "ends at its east edge; the line goes on for 2 m." in message
    assert "That spot is 50 N, 502 E." in message
    assert "No height was made up." in message
    longer = drawn("r", (0.0, 0.0), (490.0, 0.0), (650.0, 0.0), (650.0, 10.0))
    message = message_of(course(route="r"), routes=[longer], grid=raster(),
                         places=[at("a", 0.0, 0.0), at("b", 650.0, 10.0)])  # fmt: skip
    assert "At 0+500 (16+40 in feet), just past the first bend, the raster ends" in message
    assert "the line goes on for 160 m" in message


def test_it_is_said_in_the_direction_of_the_pipe() -> None:
    line = drawn("r", (0.0, 0.0), (600.0, 0.0))
    message = message_of(course(start="b", end="a", route="r"), routes=[line], grid=raster(),
                         places=[at("a", 0.0, 0.0), at("b", 600.0, 0.0)])  # fmt: skip
    assert "does not reach the beginning of route" in message
    assert "beyond the east edge" in message


@pytest.mark.parametrize("tells", [True, False])
def test_a_void_on_the_way_is_an_error(*, tells: bool) -> None:
    grid = raster(hole=lambda e, n: (np.abs(e - 50) < 6) & (np.abs(n) < 3), tells=tells)
    places = [at("a", 0.0, 0.0), at("b", 100.0, 0.0)]
    message = message_of(course(route="straight"), places=places, grid=grid)
    assert "dem.tif has a hole on the straight line from a to b." in message
    assert (
        "It covers the first 44 m. At 0+044 (1+44 in feet) it holds no heights for 12 m." in message
    )
    assert ("That spot is" in message) == tells


def test_a_far_station_past_many_bends() -> None:
    zigzag = [(10.0 * n, 10.0 * (n % 2)) for n in range(12)]
    line = drawn("r", *zigzag, (700.0, 10.0))
    message = message_of(course("r"), routes=[line], grid=raster(),
                         places=[at("a", 0.0, 0.0), at("b", 700.0, 10.0)])  # fmt: skip
    assert ", past bend 11, the raster ends at its east edge" in message
    assert 'the whole of route "r".' in message


def test_what_was_not_read_is_not_called_a_void() -> None:
    grid = raster(hole=lambda e, _: np.abs(e - 50) < 6)
    told = grid.gap
    assert told is not None
    gap = replace(told(0.0, 0.0), reason="unread")
    message = message_of(course(), places=[at("a", 0.0, 0.0), at("b", 100.0, 0.0)],
                         grid=replace(grid, gap=lambda *_: gap))  # fmt: skip
    assert "were not read" in message


def test_a_place_in_a_hole_that_is_needed() -> None:
    grid = raster(hole=lambda e, _: np.abs(e - 50) < 6, tells=False)
    message = message_of(course(), places=[A, B, at("leg", 50.0, 0.0)], grid=grid,
                         needed=["leg"])  # fmt: skip
    assert "leg lies in a hole of the raster" in message


def test_without_a_common_place_it_says_what_to_level() -> None:
    message = message_of(
        course("q", "s", "b", length_m=2000.0), places=[A, B],
        elevations=leveled({"s": 100.0}), grid=raster(),
    )  # fmt: skip
    assert "level b too" in message
    assert "mark s on the map" in message


def test_a_book_that_no_course_touches_leaves_the_raster_its_datum() -> None:
    ground = survey(course(), places=[A, B], elevations=leveled({"s": 100.0}), grid=raster())
    assert ground.shift is None
    assert ground.elevation_of("a") == pytest.approx(tilted(-100.0, 20.0))  # type: ignore[arg-type]


def test_stations_may_stand_closer_or_wider_than_cells() -> None:
    wide = survey(course(), places=[A, B], grid=raster(), step_m=50.0).profiles["p"]
    assert len(wide.station_m) == 7


def test_slope_length_keeps_out_the_noise_of_the_cells() -> None:
    rng = np.random.default_rng(5)
    cells = rng.normal(0.0, 0.3, (1200, 1200))

    def noisy(east: np.ndarray, north: np.ndarray) -> np.ndarray:
        row, column = (north + 600).astype(int), (east + 600).astype(int)
        return np.asarray(tilted(east, north) + cells[row, column])

    places = [at("a", -200.0, 0.5), at("b", 200.0, 0.5)]
    profile = survey(course(), places=places, grid=raster(noisy, cell_m=1.0)).profiles["p"]
    assert profile.slope_length_m == pytest.approx(400 * np.hypot(1, 0.1), rel=1e-3)


def test_a_course_without_route_length_or_positions_gets_no_profile_and_spoils_nothing() -> None:
    bare = replace(B, name="bare", east_m=None, north_m=None)
    asked = [course(name="lost", end="bare"), course()]
    ground = survey(*asked, places=[*ENDS, bare], routes=[BENT], grid=raster())
    assert list(ground.profiles) == ["p"]
    assert "bare" not in ground.names
