"""Least-squares level nets against printed ones and against an independent solution."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csc_array
from scipy.sparse.linalg import splu

from terrain_head.base.citation import Source
from terrain_head.base.covariance import Covariance
from terrain_head.base.units import from_si, to_si
from terrain_head.leveling.book import HeightDifference, KnownElevation, LevelBook
from terrain_head.leveling.inverse import SelectedInverse, inverse_block
from terrain_head.leveling.network import Network
from terrain_head.leveling.reduce import reduce_book
from tests.leveling.books import L2, L3, L6, L8, book_of
from tests.worked_examples import WorkedExample

MAHUN_LEAST_SQUARES = Source(
    key="mahun-least-squares",
    author="J. Mahun",
    title="Open Access Surveying Library, Least Squares Lite, chapters D and E",
    year="no year",
)
GHILANI_ADJUSTMENT = Source(
    key="ghilani-adjustment",
    author="C. Ghilani",
    title="Adjustment Computations, chapter 12",
    year="no year",
    obtained="read in a copy",
)

# The benchmarks stand in a figure that was not seen; they follow from the adjusted observations.
_BENCHMARKS_FT = {"BMA": 806.52, "BMB": 818.32, "BMC": 820.12, "BMD": 824.04}
_LINES_FT = (
    ("BMA", "Q", 8.91, 3), ("BMB", "Q", -2.92, 2), ("BMC", "Q", -4.67, 1), ("BMD", "Q", -8.66, 3),
    ("BMA", "R", -3.56, 3), ("BMC", "R", -17.12, 4), ("BMD", "R", -21.10, 2), ("Q", "R", -12.47, 3),
)  # fmt: skip

LS1 = WorkedExample(
    name="net of eight lines and four benchmarks, all alike",
    kind="published",
    source=MAHUN_LEAST_SQUARES.at("unweighted case"),
    inputs={},
    printed={"Q": "815.418", "R": "802.962", "Q std": "0.013", "R std": "0.014", "s0": "0.028"},
    looser_because={
        "R std": ("0.002", "the page rounded on its way; recomputed 0.0149"),
        "s0": ("0.002", "the page rounded on its way; recomputed 0.02905"),
    },
)
LS1_WEIGHTED = WorkedExample(
    name="net of eight lines, weighted by set-ups",
    kind="published",
    source=MAHUN_LEAST_SQUARES.at("weighted case"),
    inputs={},
    printed={"Q": "815.424", "R": "802.958", "Q std": "0.012", "R std": "0.016", "s0": "0.067"},
    looser_because={
        "Q": ("0.002", "the page rounded on its way; recomputed 815.4252"),
        "R": ("0.002", "the page rounded on its way; recomputed 802.9589"),
    },
)
LS2 = WorkedExample(
    name="net of six lines on one benchmark",
    kind="by hand",
    source=GHILANI_ADJUSTMENT.at("its lines; heights worked from them by another program"),
    inputs={},
    printed={
        "B": "448.1087", "C": "453.4685", "D": "444.9436", "s0": "0.6512",
        "B std": "0.0035", "C std": "0.0040", "D std": "0.0027",
    },
)  # fmt: skip


def _net(stds_ft: list[float | None]) -> LevelBook:
    return LevelBook(
        unit="ft",
        known=tuple(
            KnownElevation(point=name, elevation_m=to_si(value, "ft"))
            for name, value in _BENCHMARKS_FT.items()
        ),
        differences=tuple(
            HeightDifference(
                start=start,
                end=end,
                rise_m=to_si(rise, "ft"),
                std_m=None if std is None else to_si(std, "ft"),
            )
            for (start, end, rise, _), std in zip(_LINES_FT, stds_ft, strict=True)
        ),
    )


def test_net_without_stated_errors_agrees_with_the_printed_one() -> None:
    elevations = reduce_book(_net([None] * 8))
    for name in ("Q", "R"):
        LS1.assert_result(name, from_si(elevations.of(name), "ft"))
        index = elevations.index(name)
        std = float(elevations.covariance_of([index]).std[0])
        LS1.assert_result(f"{name} std", from_si(std, "ft"))
    assert elevations.s0 is not None
    LS1.assert_result("s0", from_si(elevations.s0, "ft"))
    assert elevations.degrees_of_freedom == 6


def test_net_without_stated_errors_agrees_with_the_recomputed_one() -> None:
    elevations = reduce_book(_net([None] * 8))
    assert elevations.s0 is not None
    assert from_si(elevations.s0, "ft") == pytest.approx(0.02905, abs=5e-6)
    assert from_si(elevations.of("Q"), "ft") == pytest.approx(815.4184, abs=5.1e-5)
    assert from_si(elevations.of("R"), "ft") == pytest.approx(802.9621, abs=5.1e-5)
    residuals = [-0.0116, 0.0184, -0.0316, 0.0384, 0.0021, -0.0379, 0.0221, 0.0137]
    assert from_si(1.0, "ft") * elevations.residuals_m == pytest.approx(residuals, abs=5.1e-5)


def test_weights_by_set_ups_agree_with_the_printed_ones() -> None:
    # The page's weights are 12 over the set-ups, so one unit of weight has a variance of 1/12 ft2.
    stds: list[float | None] = [math.sqrt(setups / 12) for *_, setups in _LINES_FT]
    elevations = reduce_book(_net(stds))
    assert elevations.s0 is not None
    LS1_WEIGHTED.assert_result("s0", elevations.s0)
    for name in ("Q", "R"):
        LS1_WEIGHTED.assert_result(name, from_si(elevations.of(name), "ft"))
        std = float(elevations.covariance_of([elevations.index(name)]).std[0])
        LS1_WEIGHTED.assert_result(f"{name} std", from_si(std * elevations.s0, "ft"))


def test_net_with_stated_errors_keeps_them_when_the_lines_agree_better() -> None:
    lines = (
        ("A", "B", 10.509, 0.006), ("B", "C", 5.360, 0.004), ("C", "D", -8.523, 0.005),
        ("D", "A", -7.348, 0.003), ("B", "D", -3.167, 0.004), ("A", "C", 15.881, 0.012),
    )  # fmt: skip
    elevations = reduce_book(
        LevelBook(
            known=(KnownElevation(point="A", elevation_m=437.596),),
            differences=tuple(
                HeightDifference(start=start, end=end, rise_m=rise, std_m=std)
                for start, end, rise, std in lines
            ),
        )
    )
    assert elevations.s0 is not None
    LS2.assert_result("s0", elevations.s0)
    for name in "BCD":
        LS2.assert_result(name, elevations.of(name))
        std = float(elevations.covariance_of([elevations.index(name)]).std[0])
        LS2.assert_result(f"{name} std", std)
    assert elevations.residuals_m == pytest.approx(
        [0.0037, -0.0002, -0.0019, 0.0004, 0.0019, -0.0085], abs=5.1e-5
    )


def _by_conditions(book: LevelBook) -> tuple[dict[str, float], np.ndarray]:
    """Solve a book another way: dense, rises against each set-up's first reading, by QR.

    Differencing takes the line of sight out, so the differences of one set-up are correlated:
    their weight is the inverse of (identity plus a matrix of ones).
    """
    fixed = {known.point: known.elevation_m for known in book.known}
    names = [name for name in book.points if name not in fixed]
    design, right = [], []
    for setup in book.setups:
        first, *others = [book.readings[index] for index in setup.readings]
        rows, values = np.zeros((len(others), len(names))), np.zeros(len(others))
        for row, reading in enumerate(others):
            values[row] = first.reading_m - reading.reading_m
            for point, sign in ((reading.point, 1.0), (first.point, -1.0)):
                if point in fixed:
                    values[row] -= sign * fixed[point]
                else:
                    rows[row, names.index(point)] += sign
        spread = np.eye(len(others)) + np.ones((len(others), len(others)))
        half = np.linalg.inv(np.linalg.cholesky(spread))
        design.append(half @ rows)
        right.append(half @ values)
    matrix = np.vstack(design)
    heights, *_ = np.linalg.lstsq(matrix, np.concatenate(right), rcond=None)
    cofactor = np.linalg.inv(matrix.T @ matrix)
    return dict(zip(names, heights.tolist(), strict=True)), cofactor


_DOUBLE_LOOP = """point,bs [m],is,fs,elevation
BM1,1.231,,,50.000
spring,,2.417,,
TP1,0.914,,2.702,
ram,,3.105,,
TP2,2.811,,1.377,
BM2,,,0.622,50.262
BM2,1.903,,,
knoll,,0.311,,
ram,,,4.452,
ram,2.960,,,
spring,,,0.481,
"""


@pytest.mark.parametrize(
    "text",
    [*(example.inputs["book"] for example in (L2, L3, L6, L8)), _DOUBLE_LOOP],
    ids=["L2", "L3", "L6", "L8", "two loops"],
)
def test_elevations_are_within_a_tenth_of_a_millimetre_of_an_independent_solution(
    text: str,
) -> None:
    book = book_of(text, reading_std_m=1.0)
    elevations = reduce_book(book)
    heights, cofactor = _by_conditions(book)
    for name, height in heights.items():
        assert elevations.of(name) == pytest.approx(height, abs=1e-7)
    names = [elevations.index(name) for name in heights]
    assert elevations.covariance_of(names).matrix() == pytest.approx(cofactor, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    [*(example.inputs["book"] for example in (L2, L3, L6, L8)), _DOUBLE_LOOP],
    ids=["L2", "L3", "L6", "L8", "two loops"],
)
def test_standard_errors_of_all_points_are_those_of_the_whole_covariance(text: str) -> None:
    elevations = reduce_book(book_of(text, reading_std_m=0.002))
    whole = elevations.covariance_of(range(len(elevations.names)))
    assert elevations.std_m() == pytest.approx(np.sqrt(np.diag(whole.matrix())), abs=1e-12)
    assert elevations.std_m()[elevations.known].max() == 0.0


@given(seed=st.integers(0, 10_000), count=st.integers(1, 30), more=st.integers(0, 60))
def test_the_diagonal_of_the_inverse_is_that_of_a_dense_one(
    seed: int, count: int, more: int
) -> None:
    rng = np.random.default_rng(seed)
    design = np.zeros((count + more, count))
    design[0, 0] = 1.0
    for row in range(1, count + more):
        design[row, row if row < count else int(rng.integers(count))] += 1.0
        design[row, int(rng.integers(min(row, count)))] -= 1.0
    normal = design.T @ np.diag(rng.uniform(0.2, 5.0, count + more)) @ design
    factor = splu(
        csc_array(normal),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    expected = np.diag(np.linalg.inv(normal))
    assert SelectedInverse.of(factor).variances() == pytest.approx(expected, rel=1e-8)
    some = rng.permutation(count)[: 1 + count // 2]
    block = np.linalg.inv(normal)[np.ix_(some, some)]
    np.testing.assert_allclose(inverse_block(factor, some), block, rtol=1e-8, atol=1e-12)


@given(st.integers(2, 12), st.integers(2, 20), st.integers(0, 2), st.integers(0, 2**32 - 1))
def test_shared_errors_at_the_border_are_the_dense_least_squares(
    points: int, more: int, wide: int, seed: int
) -> None:
    """Heights, residuals, their variances and covariances, with up to two errors all share."""
    rng = np.random.default_rng(seed)
    ends = [(row, int(rng.integers(row))) for row in range(1, points)]
    ends += [tuple(rng.permutation(points)[:2].tolist()) for _ in range(more)]
    plus, minus = (np.array(side, dtype=np.intp) for side in zip(*ends, strict=True))
    std = rng.uniform(0.5, 2.0, len(ends))
    shared = rng.normal(size=(len(ends), wide))
    fixed = np.full(points, np.nan)
    fixed[0] = 0.0
    worst = rng.uniform(0.0, 1.0, len(ends)) * (seed % 2)
    observed = rng.normal(size=len(ends))
    solved = Network(
        plus=plus, minus=minus, observed_m=observed, std_m=std, fixed_m=fixed,
        shared_m=shared, worst_m=worst,
    ).solve()  # fmt: skip
    design = np.zeros((len(ends), points))
    design[np.arange(len(ends)), plus] += 1.0
    design[np.arange(len(ends)), minus] -= 1.0
    whole = np.hstack([design[:, 1:], shared])
    prior = np.hstack([np.zeros((wide, points - 1)), np.eye(wide)])
    scaled = np.vstack([whole / std[:, None], prior])
    expected, *_ = np.linalg.lstsq(scaled, np.concatenate([observed / std, np.zeros(wide)]))
    inverse = np.linalg.inv(scaled.T @ scaled)
    np.testing.assert_allclose(solved.height_m[1:], expected[: points - 1], atol=1e-9)
    np.testing.assert_allclose(solved.shared, expected[points - 1 :], atol=1e-9)
    residual = whole @ expected - observed
    np.testing.assert_allclose(solved.residual_m, residual, atol=1e-9)
    squares = np.square(residual / std).sum() + np.square(solved.shared).sum()
    assert solved.chi_square == pytest.approx(squares)
    cofactor = np.diag(std**2) - whole @ inverse @ whole.T
    np.testing.assert_allclose(solved.residual_variance_m2(std), np.diag(cofactor), atol=1e-9)
    np.testing.assert_allclose(solved.residual_cofactor(1, std), cofactor[:, 1], atol=1e-9)
    hang = (inverse @ whole.T / std**2)[: points - 1]
    joint = inverse[: points - 1, : points - 1] * 4.0 + hang @ np.diag(worst**2) @ hang.T
    found = solved.covariance(range(points), scale=2.0).matrix()
    np.testing.assert_allclose(found[1:, 1:], joint, atol=1e-9)
    assert not found[0].any()
    np.testing.assert_allclose(solved.stds_m(scale=2.0)[1:] ** 2, np.diag(joint), atol=1e-9)


def test_all_standard_errors_of_a_large_book_take_no_solution_for_each_point() -> None:
    """One factor is enough: were every column solved for, the work would grow with the square."""
    rows = ["point,bs [m],is,fs,elevation", "BM,1.500,,,100"]
    rows += [f"t{n},1.{n % 10}00,,1.400," for n in range(5_000)]
    elevations = reduce_book(book_of("\n".join([*rows, "BM,,,1.400,"])))

    def refuse(index: Sequence[int]) -> Covariance:
        raise AssertionError(f"a covariance of {len(index)} points was formed")

    std = replace(elevations, covariance_of=refuse).std_m()
    middle = elevations.index("t2500")
    assert std[middle] == pytest.approx(elevations.covariance_of([middle]).std[0], rel=1e-9)
    assert middle - 1 <= int(np.argmax(std)) <= middle + 1


def test_doubt_grows_where_the_readings_prove_worse_than_claimed() -> None:
    text = L2.inputs["book"]
    modest = reduce_book(book_of(text, reading_std_m=0.005))
    bold = reduce_book(book_of(text, reading_std_m=0.0005))
    assert modest.reading_std_m == 0.005
    assert bold.s0 is not None
    assert bold.s0 == pytest.approx(6.3245553, abs=1e-6)
    assert bold.reading_std_m == pytest.approx(bold.s0 * 0.0005)
    first, last = bold.index("A"), bold.index("G")
    a_priori = modest.covariance_of([first, last]).matrix() / 0.005**2
    scaled = bold.covariance_of([first, last]).matrix() / (bold.s0 * 0.0005) ** 2
    assert a_priori == pytest.approx(scaled)


def test_ten_thousand_points_are_reduced_at_once() -> None:
    count = 10_000
    rng = np.random.default_rng(7)
    heights = 100 + np.cumsum(rng.normal(0, 0.5, count))
    lines = tuple(
        HeightDifference(
            start=str(first),
            end=str(second),
            rise_m=float(heights[second] - heights[first] + rng.normal(0, 1e-3)),
            std_m=1e-3,
        )
        for first in range(count)
        for second in {(first + 1) % count, (first + 97) % count}
    )
    known = (KnownElevation(point="0", elevation_m=float(heights[0])),)
    elevations = reduce_book(LevelBook(known=known, differences=lines))
    out = np.array([elevations.of(str(index)) - heights[index] for index in (1, 500, 5000, 9999)])
    std = elevations.covariance_of([1, 500, 5000, 9999]).std
    assert np.all(np.abs(out) < 5 * np.array(std))
    assert elevations.degrees_of_freedom == 2 * count - (count - 1)


def test_everything_known_leaves_only_residuals() -> None:
    elevations = reduce_book(
        LevelBook(
            known=(
                KnownElevation(point="A", elevation_m=1.0),
                KnownElevation(point="B", elevation_m=2.0),
            ),
            differences=(HeightDifference(start="A", end="B", rise_m=1.1, std_m=0.1),),
        )
    )
    assert elevations.elevation_m.tolist() == [1.0, 2.0]
    assert elevations.residuals_m.tolist() == pytest.approx([-0.1])
    assert elevations.std_m().tolist() == [0.0, 0.0]
    assert elevations.degrees_of_freedom == 1
    with pytest.raises(KeyError):
        elevations.of("C")


@pytest.mark.parametrize(
    ("times", "hanging"), [(1, ("B", "C")), (2, ("C",))], ids=["read once", "read twice"]
)
def test_point_hangs_where_one_reading_could_be_wrong_unseen(
    times: int, hanging: tuple[str, ...]
) -> None:
    text = "setup,point,rod [m],elevation\n" + "".join(
        f"{number},A,1,{100 if number == 0 else ''}\n{number},B,2,\n" for number in range(times)
    )
    assert reduce_book(book_of(text + "9,B,1,\n9,C,1,\n")).hanging == hanging


def test_line_of_sight_read_twice_to_one_point_is_checked() -> None:
    text = "setup,point,rod [m],elevation\n1,A,1,100\n1,A,1.001,\n1,B,2,\n1,B,2.001,\n"
    elevations = reduce_book(book_of(text))
    assert elevations.hanging == ()
    assert elevations.of("B") == pytest.approx(99.0)
    assert elevations.degrees_of_freedom == 2


def test_chi_square_limit_is_the_tabled_one() -> None:
    # Upper 5 % point of chi-square with 3 degrees of freedom: 7.815, in any table (from memory).
    lines = tuple(
        HeightDifference(start="A", end="B", rise_m=rise, std_m=1.0) for rise in (-1, 0, 0, 1)
    )
    known = (KnownElevation(point="A", elevation_m=0.0),)
    below, above = (
        reduce_book(
            LevelBook(
                known=known,
                differences=tuple(
                    HeightDifference(
                        start="A", end="B", rise_m=line.rise_m * size, std_m=line.std_m
                    )
                    for line in lines
                ),
            )
        )
        for size in (math.sqrt(7.81 / 2), math.sqrt(7.82 / 2))
    )
    assert below.std_m()[1] == pytest.approx(0.5)
    assert above.std_m()[1] == pytest.approx(0.5 * math.sqrt(7.82 / 3))


@pytest.mark.parametrize(
    ("stated", "factor"), [(None, 6.314), (0.003, 1.6449)], ids=["from one closing", "stated"]
)
def test_nine_in_ten_is_wide_where_one_closing_is_all_there_is(
    stated: float | None, factor: float
) -> None:
    # 6.314: Student's distribution, one degree of freedom, 5 % on each side (from memory).
    elevations = reduce_book(book_of(L2.inputs["book"], reading_std_m=stated))
    assert elevations.likely_factor == pytest.approx(factor, abs=5e-4)


def test_net_that_agrees_exactly_has_no_doubt_of_its_own() -> None:
    lines = tuple(HeightDifference(start="A", end="B", rise_m=1.0, std_m=None) for _ in range(2))
    known = (KnownElevation(point="A", elevation_m=0.0),)
    elevations = reduce_book(LevelBook(known=known, differences=lines))
    assert elevations.s0 == 0.0
    assert elevations.std_m().tolist() == [0.0, 0.0]
