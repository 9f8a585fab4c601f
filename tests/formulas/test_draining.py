"""Draining against printed and computed examples, an equation solver, and what must hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from terrain_head.base.citation import OURS, Source
from terrain_head.formulas.draining import (
    SHARP_HOLE_CITATION,
    drain_time_s,
    draw_time_s,
    hole_flow_m3_s,
    pipe_drain_time_s,
)
from terrain_head.formulas.friction import flow_from_head_loss
from tests.worked_examples import WorkedExample

DRAIN_PAGE = Source(
    key="tank-draining-page",
    author="unnamed",
    title="Time to drain a tank, teaching page",
    year="no year",
    obtained="read in a copy",
)
APART = OURS.at("worked out apart from the program", obtained="computed")
HOLES = (
    WorkedExample(
        name="5 m across, 2 cm hole",
        kind="by hand",
        source=SHARP_HOLE_CITATION,
        inputs={"across": "5", "hole across": "0.02", "from": "2", "coefficient": "1"},
        printed={"time": "39909"},
        looser_because={"time": ("8", "worked with g = 9.81 m/s2")},
    ),
    WorkedExample(
        name="1 m2 tank",
        kind="published",
        source=DRAIN_PAGE.at(""),
        inputs={"area": "1", "hole": "0.01", "from": "2", "coefficient": "0.62"},
        printed={"time": "103.0"},
    ),
    WorkedExample(
        name="1.5 m across, 25 mm hole",
        kind="by hand",
        source=APART,
        inputs={"across": "1.5", "hole across": "0.025", "from": "2", "coefficient": "0.62"},
        printed={"time": "3708"},
    ),
)


def circle(example: WorkedExample, *, area: str, across: str) -> float:
    if area in example.inputs:
        return example.given(area)
    return float(np.pi / 4 * example.given(across) ** 2)


@pytest.mark.parametrize("example", HOLES, ids=lambda example: example.name)
def test_a_tank_runs_out_of_a_hole(example: WorkedExample) -> None:
    found = drain_time_s(
        circle(example, area="area", across="across"),
        hole_m2=circle(example, area="hole", across="hole across"),
        from_m=example.given("from"),
        coefficient=example.given("coefficient"),
    )
    example.assert_result("time", float(found))


HOSE: dict[str, float] = {
    "length_m": 60.0,
    "inside_m": 0.026,
    "roughness_m": 7e-6,
    "viscosity_m2_s": 1.004e-6,
    "loss_coefficient": 1.5,
}
AREA = float(np.pi / 4 * 1.5**2)
HOSE_EXAMPLE = WorkedExample(
    name="60 m of 26 mm, 8 m down, water of 20 C",
    kind="by hand",
    source=APART,
    inputs={"full": "10", "empty": "8"},
    printed={"time": "3632", "full L/s": "1.033", "empty L/s": "0.914"},
)


def test_a_tank_runs_out_of_a_pipe() -> None:
    full, empty = HOSE_EXAMPLE.given("full"), HOSE_EXAMPLE.given("empty")
    HOSE_EXAMPLE.assert_result(
        "time", float(pipe_drain_time_s(AREA, from_m=full, to_m=empty, **HOSE))
    )
    most, least = 1000 * flow_from_head_loss([full, empty], **HOSE)
    HOSE_EXAMPLE.assert_result("full L/s", float(most))
    HOSE_EXAMPLE.assert_result("empty L/s", float(least))


@pytest.mark.parametrize(("full", "empty"), [(10.0, 8.0), (3.0, 0.2), (1.5, 0.01), (0.5, 0.02)])
def test_the_integral_agrees_with_another_way_to_it(full: float, empty: float) -> None:
    """An adaptive quadrature over the height itself; the last two cases pass the regimes."""

    def slowness(height: float) -> float:
        return AREA / float(flow_from_head_loss(height, **HOSE))

    other, _ = quad(slowness, empty, full, epsrel=1e-10, limit=400)
    found = float(pipe_drain_time_s(AREA, from_m=full, to_m=empty, **HOSE))
    assert found == pytest.approx(other, rel=2e-4)


heights = st.floats(0.05, 10.0)
drops = st.floats(0.0, 1.0)
areas = st.floats(0.1, 30.0)


@given(areas, heights, drops, drops)
def test_times_add_up(area: float, full: float, first: float, second: float) -> None:
    """From full to half way and on to the end takes as long as in one go."""
    end = full * first * second
    middle = full * first
    whole = drain_time_s(area, hole_m2=1e-4, from_m=full, to_m=end)
    parts = drain_time_s(area, hole_m2=1e-4, from_m=full, to_m=middle) + drain_time_s(
        area, hole_m2=1e-4, from_m=middle, to_m=end
    )
    assert whole == pytest.approx(float(parts), abs=1e-6)


@given(areas, heights, st.floats(0.5, 0.999))
def test_draining_takes_between_what_the_greatest_and_the_least_flow_would(
    area: float, full: float, left: float
) -> None:
    volume = area * full * (1 - left)
    by_hole = float(drain_time_s(area, hole_m2=1e-4, from_m=full, to_m=full * left))
    most, least = hole_flow_m3_s([full, full * left], hole_m2=1e-4)
    assert volume / most * (1 - 1e-9) <= by_hole <= volume / least * (1 + 1e-9)
    by_pipe = float(pipe_drain_time_s(area, from_m=full, to_m=full * left, **HOSE))
    most, least = flow_from_head_loss([full, full * left], **HOSE)
    assert volume / most * (1 - 1e-9) <= by_pipe <= volume / least * (1 + 1e-9)


def test_a_pipe_never_quite_empties_a_tank_to_its_own_free_end() -> None:
    times = pipe_drain_time_s(AREA, from_m=2.0, to_m=[0.0, 1.0], **HOSE)
    assert np.isinf(times).tolist() == [True, False]


def test_no_water_no_flow() -> None:
    assert hole_flow_m3_s([-1.0, 0.0], hole_m2=0.01).tolist() == [0.0, 0.0]


def test_so_many_litres_take_what_the_draining_takes_or_are_not_there() -> None:
    tank = {"area_m2": AREA, "from_m": 10.0, "lowest_m": 8.5}
    times = draw_time_s(np.array([0.0, AREA, 1.5 * AREA, 1.6 * AREA]), **tank, **HOSE)
    assert times[0] == 0.0
    assert times[1] == pytest.approx(float(pipe_drain_time_s(AREA, from_m=10.0, to_m=9.0, **HOSE)))
    assert times[2] == pytest.approx(float(pipe_drain_time_s(AREA, from_m=10.0, to_m=8.5, **HOSE)))
    assert np.isinf(times[3])
