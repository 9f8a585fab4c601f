"""What to measure next, against closed forms and limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.drawn import SURE
from terrain_head.assessment.draws import draw
from terrain_head.assessment.foreseen import NOTHING, Foreseen, foreseen
from terrain_head.assessment.measure_next import Question, measure_next
from terrain_head.assessment.measurements import Measurement
from terrain_head.assessment.streams import stream
from terrain_head.base.measured import Measured
from terrain_head.ground.ground import Ground
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Parts
from terrain_head.scheme.solver import solve
from tests.assessment.test_draws import doubted, gravity_parts
from tests.scheme.hills import HEIGHTS, hill, ram_hill, ram_parts

FloatArray = NDArray[np.float64]
DRAWS = 2048


def column(name: str, *, draws: int = DRAWS) -> FloatArray:
    return stream(name, draws=draws)[:, 0]


def told(
    result: FloatArray, *measured: FloatArray, std: Sequence[float], wanted: float
) -> Foreseen:
    columns = np.column_stack(measured)
    errors = stream("errors of the measuring", draws=len(result), columns=columns.shape[1])
    return foreseen(result, columns, std=np.array(std), errors=errors, wanted=wanted)


@pytest.mark.parametrize("std", [0.1, 0.5, 1.0])
@pytest.mark.parametrize("wanted", [0.0, 0.8, -1.5])
def test_a_linear_normal_result_has_the_closed_form(std: float, wanted: float) -> None:
    """Of y = 2 x + z, x measured with error, the posterior mean is normal.

    Its variance is the part explained; one knows where it lies 1.28 posterior standard errors off
    what is wanted (by hand). The tail of 1 024 draws stands within a twentieth, their range within
    a twenty-fifth.
    """
    found = told(2 * column("x") + column("z"), column("x"), std=[std], wanted=wanted)
    whole, explained = 5.0, 4.0 / (1 + std**2)
    left = (whole - explained) ** 0.5
    margin = ndtri(SURE) * left
    tau = explained**0.5
    known = ndtr(-(wanted + margin) / tau) + ndtr((wanted - margin) / tau)
    assert known == pytest.approx(found.known, abs=0.05)
    assert 1 - left / whole**0.5 == pytest.approx(found.narrower, abs=0.04)


def test_a_product_is_foreseen_as_by_drawing_again_within_each_outcome() -> None:
    """The second way solves anew: outcome by outcome, the posterior drawn directly."""
    flow, efficiency = 1 + 0.08 * column("flow"), 0.6 * (1 + 0.1 * column("efficiency"))
    wanted, std = 0.62, 0.03
    found = told(flow * efficiency, efficiency, std=[std], wanted=wanted)
    prior = 0.06
    gain = prior**2 / (prior**2 + std**2)
    readings = 0.6 + (prior**2 + std**2) ** 0.5 * column("outcomes", draws=512)
    posterior = (
        0.6 + gain * (readings[:, None] - 0.6) + (1 - gain) ** 0.5 * prior * column("anew")[None, :]
    )
    chance = np.mean(posterior * (1 + 0.08 * column("flow anew"))[None, :] >= wanted, axis=1)
    known = np.mean((chance >= SURE) | (chance <= 1 - SURE))
    assert known == pytest.approx(found.known, abs=0.05)


def test_what_has_no_share_in_the_doubt_tells_nothing() -> None:
    result = column("x") + 0.3 * column("z")
    assert told(result, column("elsewhere"), std=[0.0], wanted=0.2) is NOTHING
    assert told(result, np.zeros(DRAWS), std=[0.1], wanted=0.2) is NOTHING
    assert told(np.ones(DRAWS), column("x"), std=[0.1], wanted=0.2) is NOTHING
    assert told(np.full(DRAWS, np.nan), column("x"), std=[0.1], wanted=0.2) is NOTHING


def test_measuring_everything_settles_everything() -> None:
    x, z = column("x"), column("z")
    found = told(x + z + 0.1 * x * z, x, z, std=[0.0, 0.0], wanted=0.3)
    assert found.known == 1.0
    assert found.narrower == pytest.approx(1.0)


def test_a_measurement_without_worth_at_endless_error_tells_nothing() -> None:
    found = told(column("x") + 0.2 * column("z"), column("x"), std=[1e6], wanted=0.0)
    assert found.known == 0.0
    assert found.narrower == pytest.approx(0.0, abs=1e-6)


def test_a_better_instrument_never_narrows_less() -> None:
    result = column("x") + column("z")
    narrower = [told(result, column("x"), std=[s], wanted=0.0).narrower for s in (2, 1, 0.5, 0.1)]
    assert narrower == sorted(narrower)


@pytest.mark.parametrize(("lost_below", "known"), [(-1.0, 0.0), (-2.5, 1.0)])
def test_a_draw_without_figure_counts_as_not_met(lost_below: float, known: float) -> None:
    """Where more than a tenth is lost no reading makes one sure."""
    x = column("x")
    result = np.where(x < lost_below, np.nan, x + 0.1 * column("z"))
    assert known == told(result, x, std=[0.01], wanted=-9.0).known


def ram_answer(parts: Parts | None = None, ground: Ground | None = None) -> Answer:
    parts = parts or ram_parts()
    layout = lay_out(parts, ground=ground or ram_hill(parts))
    solution = solve(layout)
    return Answer(
        title="Wren Hollow",
        choice="main",
        file="study.toml",
        plane=None,
        elevations=None,
        grid=None,
        ground=layout.ground,
        layout=layout,
        solution=solution,
        findings=(),
        taken=(),
        not_asked=(),
        drawn=draw(layout, solution, draws=512),
    )


def wanting(result: str, *, ground: Ground | None = None) -> Answer:
    """Return a scheme that wants of a result just what comes in half the draws."""
    parts = ram_parts(needed_m3_s=None)
    assert parts.ram is not None
    parts = replace(parts, ram=replace(parts.ram, flow_m3_s=None))
    middle = ram_answer(parts, ground).drawn
    assert middle is not None
    half = Measured(value=float(np.median(middle.samples[result])))
    if result.startswith("tank"):
        return ram_answer(
            replace(parts, tanks=(replace(parts.tanks[0], needed_m3_s=half),)), ground
        )
    outlets = tuple(
        replace(one, needs_pa=half) if result == f"outlet.{one.name}.running_low" else one
        for one in parts.outlets
    )
    return ram_answer(replace(parts, outlets=outlets), ground)


def kinds(question: Question) -> list[str]:
    return [one.kind for one in question.measurements]


def gain(one: Measurement) -> tuple[float, float]:
    assert one.foreseen is not None
    return one.foreseen.known / one.minutes, one.foreseen.narrower / one.minutes


def test_the_water_is_settled_by_timing_ram_and_spring() -> None:
    (question,) = measure_next(wanting("tank.tank.inflow"))
    assert (question.kind, question.name) == ("water", "tank")
    assert question.chance == pytest.approx(0.5, abs=0.01)
    assert set(kinds(question)) == {"time the ram", "time the spring"}
    gains = [gain(one) for one in question.measurements]
    assert gains == sorted(gains, reverse=True)
    assert question.together is not None
    for one in question.measurements:
        assert one.foreseen is not None
        assert question.together.narrower > one.foreseen.narrower
        assert question.together.known > one.foreseen.known


def test_the_range_narrows_as_in_draws_with_the_surer_cause() -> None:
    """The second way: the scheme drawn again with what would be left of the efficiency's doubt."""
    whole = wanting("tank.tank.inflow")
    (question,) = measure_next(whole)
    timed = next(one for one in question.measurements if one.kind == "time the ram")
    parts = whole.layout.parts
    assert parts.ram is not None
    assert parts.ram.efficiency is not None
    prior = 0.07 * parts.ram.efficiency.value
    left = prior * timed.std / (prior**2 + timed.std**2) ** 0.5
    surer = replace(parts.ram, efficiency=replace(parts.ram.efficiency, std=left))
    again = ram_answer(replace(parts, ram=surer))
    ranges = []
    for one in (whole, again):
        assert one.drawn is not None
        ends = one.drawn.likely("tank.tank.inflow")
        assert ends is not None
        assert ends.low is not None
        assert ends.high is not None
        ranges.append(ends.high - ends.low)
    assert timed.foreseen is not None
    assert 1 - ranges[1] / ranges[0] == pytest.approx(timed.foreseen.narrower, abs=0.03)


def test_a_pressure_on_rough_ground_is_settled_by_leveling_its_outlet() -> None:
    parts = ram_parts()
    ground = doubted(ram_hill(parts), std_m=1.0)
    question = next(
        q
        for q in measure_next(wanting("outlet.tap.running_low", ground=ground))
        if q.kind == "pressure"
    )
    first = question.measurements[0]
    assert (first.kind, first.of) == ("level an outlet", "tap")
    assert first.foreseen is not None
    assert first.foreseen.known > 0.8
    assert first.std < 0.05


def test_a_pressure_in_narrow_pipe_is_settled_with_a_caliper() -> None:
    (question,) = measure_next(wanting("outlet.beds.running_low"))
    assert kinds(question)[0] == "caliper the pipes"


def test_a_hump_near_the_hydraulic_grade_line_asks_for_a_stake() -> None:
    parts = ram_parts(needed_m3_s=None)
    ground = hill(
        parts,
        HEIGHTS,
        between={"delivery": [103.0, 110.0, 109.0, 115.0], "to beds": [115.6, 103.0]},
        plan_m={"drive": 16.0, "delivery": 180.0, "main": 90.0, "to house": 60.0, "to beds": 40.0},
    )
    questions = measure_next(ram_answer(parts, doubted(ground, std_m=0.5)))
    question = next(one for one in questions if one.kind == "clearance")
    assert question.name == "to beds"
    stake = question.measurements[0]
    assert (stake.kind, stake.of) == ("shoot a stake", "to beds")
    assert stake.station_m == pytest.approx(80 / 3)
    assert stake.foreseen is not None
    assert stake.foreseen.known > 0.8


def test_a_need_on_unknown_heights_asks_for_them_first() -> None:
    ground = doubted(ram_hill(ram_parts()), unknown=["house"])
    questions = {q.name: q for q in measure_next(ram_answer(ground=ground))}
    tap = questions["tap"]
    assert tap.chance is None
    assert [(one.kind, one.of, one.foreseen) for one in tap.measurements] == [
        ("level an outlet", "tap", None)
    ]


def test_water_on_an_unknown_fall_asks_for_the_fall() -> None:
    ground = doubted(ram_hill(ram_parts()), unknown=["spring"])
    questions = {q.name: q for q in measure_next(ram_answer(ground=ground))}
    assert kinds(questions["tank"]) == ["level the fall"]


def test_gravity_water_is_settled_by_timing_the_spring() -> None:
    parts = gravity_parts()
    ground = hill(parts, {"spring": 110.0, "beds": 101.0})
    drawn = ram_answer(parts, ground).drawn
    assert drawn is not None
    half = Measured(value=float(np.median(drawn.samples["tank.tank.inflow"])))
    parts = replace(parts, tanks=(replace(parts.tanks[0], needed_m3_s=half),))
    (question,) = measure_next(ram_answer(parts, ground))
    assert kinds(question) == ["time the spring"]


def test_a_need_that_is_sure_gives_nothing() -> None:
    assert measure_next(ram_answer(ram_parts(needed_m3_s=1e-6))) == ()


def test_nothing_drawn_gives_nothing() -> None:
    assert measure_next(replace(wanting("tank.tank.inflow"), drawn=None)) == ()


def test_the_same_study_gives_the_same_digits() -> None:
    assert measure_next(wanting("tank.tank.inflow")) == measure_next(wanting("tank.tank.inflow"))
