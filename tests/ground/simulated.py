"""Surveys made up with their truth: a raster with errors, a rod carried over part of the site."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from terrain_head.assessment.spread import spread_of
from terrain_head.base.display import LIKELY
from terrain_head.ground.grid import CELL_SHARE, ElevationGrid, RasterError
from terrain_head.ground.ground import GivenPlace, Ground, MapRoute
from terrain_head.ground.survey import survey_ground
from terrain_head.leveling.book import BookRow, KnownElevation, LevelBook, Reading, SetUp
from terrain_head.leveling.elevations import Elevations
from terrain_head.leveling.reduce import reduce_book
from terrain_head.scheme.courses import courses_of, places_of
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Outlet, Parts, Ram, Source, Tank
from terrain_head.scheme.solver import _solve
from tests.scheme.hills import m, run

FloatArray = NDArray[np.float64]
Surface = Callable[[FloatArray, FloatArray], FloatArray]

CELL_M = 2.0
CELLS = 150
WAVES = 250
STD_M, RANGE_M = 0.4, 80.0
READING_STD_M, ANGLE_STD_RAD = 0.0015, 10 * np.pi / 648_000
READ_OF_CELL = 4 / 9
"""Variance that bilinear reading leaves of the noise of cells, averaged over where a spot falls:
two thirds on each axis."""

SPOTS = {
    "spring": (60.0, 62.0),
    "ram": (50.0, 30.0),
    "knoll": (236.0, 214.0),
    "house": (150.0, 232.0),
}
ROUTE = ((50.0, 30.0), (140.0, 96.0), (180.0, 166.0), (236.0, 214.0))
PEG_STEP_M = 10.0
PEG_RODDED, PLACE_RODDED = 0.8, 0.5
"""Chance that the rod stood on a peg of the route, and on a place."""
RESULTS = ("fall", "lift", "static", "running")


def true_elevation_m(east_m: ArrayLike, north_m: ArrayLike) -> FloatArray:
    """Return the invented ground, in metres on the datum of the level book."""
    x, y = np.asarray(east_m, dtype=np.float64), np.asarray(north_m, dtype=np.float64)
    return np.asarray(
        420.0 + 0.06 * x + 0.09 * y + 1.2 * np.sin(x / 31.0) * np.cos(y / 27.0)
        + 7.0 * np.exp(-(((x - 236.0) / 50.0) ** 2) - (((y - 214.0) / 45.0) ** 2))
    )  # fmt: skip


def _pegs() -> FloatArray:
    """Return the pegs along the route, its ends left out, shape (n, 2) [m]."""
    corners = np.array(ROUTE)
    station = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    at = np.arange(PEG_STEP_M, station[-1] - PEG_STEP_M / 2, PEG_STEP_M)
    return np.column_stack([np.interp(at, station, corners[:, axis]) for axis in (0, 1)])


PEGS = {f"peg {n}": (float(x), float(y)) for n, (x, y) in enumerate(_pegs())}


def slow_error(rng: np.random.Generator, *, range_m: float) -> Surface:
    """Return a Gaussian surface of variance 1, correlated as exp(-3 d / range).

    Notes
    -----
    A sum of waves. The spectrum of an exponential covariance in the plane is a Cauchy's, so their
    numbers are a normal pair over an independent normal, times 3 / range. Unlike an array it is
    correlated so wherever it is read.
    """
    number = 3.0 / range_m * rng.standard_normal((2, WAVES)) / np.abs(rng.standard_normal(WAVES))
    size = rng.standard_normal((2, WAVES)) / np.sqrt(WAVES)

    def surface(east_m: FloatArray, north_m: FloatArray) -> FloatArray:
        phase = np.multiply.outer(east_m, number[0]) + np.multiply.outer(north_m, number[1])
        return np.asarray(np.cos(phase) @ size[0] + np.sin(phase) @ size[1])

    return surface


def grid_of(
    heights_m: FloatArray, corner_m: FloatArray, *, error: RasterError, slow: Surface
) -> ElevationGrid:
    """Return a raster from an array, rows northward, its first cell centred on a corner."""

    def sample(east_m: ArrayLike, north_m: ArrayLike) -> FloatArray:
        east, north = np.asarray(east_m, dtype=np.float64), np.asarray(north_m, dtype=np.float64)
        column, row = (east - corner_m[0]) / CELL_M, (north - corner_m[1]) / CELL_M
        left, low = np.floor(column).astype(int), np.floor(row).astype(int)
        x, y = column - left, row - low
        return np.asarray(
            slow(east, north)
            + (1 - y) * ((1 - x) * heights_m[low, left] + x * heights_m[low, left + 1])
            + y * ((1 - x) * heights_m[low + 1, left] + x * heights_m[low + 1, left + 1])
        )

    return ElevationGrid(
        sample=sample, cell_m=CELL_M, error=error, names=("made up",), extent_m=(0, 0, 300, 300)
    )


def raster(rng: np.random.Generator, *, error: RasterError, range_m: float) -> ElevationGrid:
    """Return a raster of the invented ground: slow error, noise of the cells, another datum."""
    corner = rng.uniform(-CELL_M, 0.0, 2)
    axis = np.arange(CELLS) * CELL_M
    east, north = np.meshgrid(corner[0] + axis, corner[1] + axis)
    std = error.std_m or 0.0
    waves = slow_error(rng, range_m=range_m)
    part = std * np.sqrt(1 - error.cell_share)
    cell = std * np.sqrt(error.cell_share / READ_OF_CELL) * rng.standard_normal(east.shape)
    heights = true_elevation_m(east, north) + cell + rng.uniform(-60.0, 60.0)
    return grid_of(heights, corner, error=error, slow=lambda x, y: part * waves(x, y))


def level_book(rng: np.random.Generator, spots: dict[str, tuple[float, float]]) -> LevelBook:
    """Return the book of a rod carried from the first spot to each other, and back to the first.

    Each reading is off by itself; the line of sight of the one instrument is off by one angle.
    """
    order = [*spots, next(iter(spots))]
    angle = rng.normal(0.0, ANGLE_STD_RAD)
    readings: list[Reading] = []
    setups: list[SetUp] = []
    for back, ahead in pairwise(order):
        ends = np.array([spots[back], spots[ahead]])
        turns = max(1, int(np.ceil(np.hypot(*(ends[1] - ends[0])) / 50.0)))
        line = ends[0] + np.linspace(0.0, 1.0, turns + 1)[:, None] * (ends[1] - ends[0])
        names = [back, *(f"{back}-{ahead} {n}" for n in range(1, turns)), ahead]
        height = true_elevation_m(line[:, 0], line[:, 1])
        for n in range(turns):
            sights = np.hypot(*(line[n + 1] - line[n])) * np.array([0.45, 0.55])
            rods = height[n : n + 2].max() + 1.2 - height[n : n + 2] + angle * sights
            rods += rng.normal(0.0, READING_STD_M, 2)
            first = len(readings)
            for kind, point, rod, sight in zip(
                ("bs", "fs"), names[n : n + 2], rods.tolist(), sights.tolist(), strict=True
            ):
                readings.append(
                    Reading(
                        setup=len(setups),
                        point=point,
                        kind=kind,  # type: ignore[arg-type]
                        written=f"{rod:.6f}",
                        reading_m=rod,
                        distance_m=sight,
                    )
                )
            setups.append(
                SetUp(label=str(n), readings=(first, first + 1), back=first, ahead=first + 1)
            )
    start = order[0]
    stood = [readings[setup.readings[0]].point for setup in setups] + [start]
    rows = tuple(
        BookRow(
            file=0, line=n + 2, point=point,
            back=2 * n if n < len(setups) else None, ahead=2 * n - 1 if n else None,
        )
        for n, point in enumerate(stood)
    )  # fmt: skip
    return LevelBook(
        files=("book.csv",),
        rows=rows,
        readings=tuple(readings),
        setups=tuple(setups),
        known=(KnownElevation(point=start, elevation_m=float(true_elevation_m(*spots[start]))),),
        reading_std_m=READING_STD_M,
        angle_std_rad=ANGLE_STD_RAD,
    )


PARTS = Parts(
    source=Source(place="spring", flow_m3_s=m(46e-3 / 60), share=0.8),
    ram=Ram(place="ram", valve_above_m=m(0.2), efficiency=m(0.58), flow_m3_s=m(30e-3 / 60)),
    tanks=(
        Tank(
            name="tank", place="knoll", stand_m=m(3.0), water_depth_m=m(1.5), lowest_m=m(0.2),
            inlet_m=m(1.6), diameter_m=m(1.4),
        ),
    ),
    pipes=(
        run("drive", "source", "ram", bore_m=0.0525, roughness_m=4.5e-5),
        run("delivery", "ram", "tank", cover_m=0.4),
        run("house line", "tank", "house", bore_m=0.0326),
    ),
    outlets=(
        Outlet(
            name="tap", place="house", height_m=m(1.0), flow_m3_s=m(10e-3 / 60), needs_pa=m(1e5)
        ),
    ),
)  # fmt: skip


def ground_of(grid: ElevationGrid, elevations: Elevations | None) -> Ground:
    """Return the ground of the site."""
    return survey_ground(
        places=[
            GivenPlace(name=name, east_m=spot[0], north_m=spot[1])
            for name, spot in (SPOTS | PEGS).items()
        ],
        map_routes=[MapRoute(name="delivery", corners_m=np.array(ROUTE))],
        book_routes=[],
        courses=courses_of(PARTS),
        elevations=elevations,
        grid=grid,
        needed=places_of(PARTS),
    )


def results_of(ground: Ground) -> tuple[dict[str, float], dict[str, float]]:
    """Return results and their standard errors; metres, and Pa for pressures."""
    layout = lay_out(PARTS, ground=ground)
    solution = _solve(layout)  # no sweep of stands
    spread = spread_of(ground=ground, layout=layout, solution=solution)
    tap, ram = solution.outlets["tap"], solution.ram
    assert ram is not None
    assert ram.lift_m is not None
    assert tap.running_low_pa is not None
    assert tap.static_full_pa is not None
    value = {
        "fall": float(ram.fall_m),
        "lift": float(ram.lift_m),
        "static": float(tap.static_full_pa),
        "running": float(tap.running_low_pa),
    }
    # The outlet's flow is its own, so the loss in its pipe is as sure as the pipe's length, and
    # the running pressure as sure as the still one.
    keys = ("fall", "lift", "outlet.tap.static_full", "outlet.tap.static_low")
    return value, {
        name: 0.0 if key not in spread else spread[key].std or 0.0
        for name, key in zip(RESULTS, keys, strict=True)
    }


@cache
def true_results() -> dict[str, float]:
    """Return the results on the true ground."""
    exact = RasterError(std_m=0.0, range_m=RANGE_M)
    flat = grid_of(np.zeros((2, 2)), np.zeros(2), error=exact, slow=true_elevation_m)
    grid = replace(flat, sample=true_elevation_m)
    return results_of(ground_of(grid, None))[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Surveyed:
    """What one made-up survey came to, held against the truth.

    Parameters
    ----------
    off, std
        Result less truth, and its reported standard error, by result.
    fused_m, moved_m, straight_m
        Root mean square error of the profile along the delivery route: fused, the raster moved by
        the mean alone, and straight from rod point to rod point [m].
    """

    off: dict[str, float]
    std: dict[str, float]
    fused_m: float
    moved_m: float
    straight_m: float


def surveyed(number: int, *, known_range: bool = True, pegs_rodded: float = PEG_RODDED) -> Surveyed:
    """Make one survey and hold it against the truth.

    Parameters
    ----------
    number
        Which: the same number gives the same survey.
    known_range
        Whether the person knows over which distance the raster's error hangs together.
    pegs_rodded
        Chance that the rod stood on a peg of the route [1].
    """
    rng = np.random.default_rng([20_260, number])
    error = RasterError(std_m=STD_M, range_m=RANGE_M if known_range else None)
    grid = raster(rng, error=replace(error, cell_share=CELL_SHARE), range_m=RANGE_M)
    book = level_book(rng, rodded_of(rng, pegs_rodded))
    elevations = reduce_book(book)
    ground = ground_of(grid, elevations)
    value, std = results_of(ground)
    truth = true_results()
    fused, moved, straight = _profile_errors(ground, grid)
    return Surveyed(
        off={name: value[name] - truth[name] for name in RESULTS},
        std=std,
        fused_m=fused,
        moved_m=moved,
        straight_m=straight,
    )


def rodded_of(
    rng: np.random.Generator, pegs_rodded: float = PEG_RODDED
) -> dict[str, tuple[float, float]]:
    """Return the spots that the rod is carried to: spring, a first peg, and some of the others."""
    always = {"spring", str(rng.choice(list(PEGS)))}
    chances = dict.fromkeys(SPOTS, PLACE_RODDED) | dict.fromkeys(PEGS, pegs_rodded)
    return {
        name: (SPOTS | PEGS)[name]
        for name, chance in chances.items()
        if name in always or rng.random() < chance
    }


def _profile_errors(ground: Ground, grid: ElevationGrid) -> tuple[float, float, float]:
    profile = ground.profiles["delivery"]
    east, north = profile.east_m, profile.north_m
    true = true_elevation_m(east, north)
    read = grid.sample(east, north)
    assert ground.shift is not None
    places = [ground.place(name) for name in ground.shift.places]
    held = ground.elevation_m[places]
    moved = read + np.mean(held - grid.sample(ground.east_m[places], ground.north_m[places]))
    rod = np.isin(profile.index, places)
    rod[[0, -1]] = True
    at_ends = np.where(np.isin(profile.index, places), profile.elevation_m, moved)
    straight = np.interp(profile.station_m, profile.station_m[rod], at_ends[rod])
    errors = np.array([profile.elevation_m, moved, straight]) - true
    fused, by_mean, by_line = np.sqrt(np.square(errors).mean(axis=1)).tolist()
    return fused, by_mean, by_line


def held(surveys: Sequence[Surveyed], result: str) -> float:
    """Return how often the 90 % range of a result holds the truth [1]."""
    return float(np.mean([abs(s.off[result]) <= LIKELY * s.std[result] for s in surveys]))


def observed_over_reported(surveys: Sequence[Surveyed], result: str) -> float:
    """Return the root mean square of how many reported standard errors a result was off [1]."""
    return root_mean_square([one.off[result] / one.std[result] for one in surveys])


def root_mean_square(values: ArrayLike) -> float:
    """Return the root of the mean square."""
    return float(np.sqrt(np.square(np.asarray(values, dtype=np.float64)).mean()))
