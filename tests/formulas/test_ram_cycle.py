"""One beat of a ram against the one printed closed form, an equation solver, and its invariants."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from terrain_head.base.citation import OURS, Source
from terrain_head.base.units import STANDARD_GRAVITY_M_S2, from_si, to_si
from terrain_head.formulas.ram_cycle import (
    Beat,
    accelerating,
    beat,
    delivering,
    ideal_efficiency,
    recoiling,
    steady_velocity_m_s,
)
from terrain_head.formulas.ram_efficiency import daubuisson_efficiency, rankine_efficiency
from terrain_head.formulas.ram_pace import mean_by_steady, quickness
from tests.worked_examples import WorkedExample

FloatArray = NDArray[np.float64]

CORNELL = Source(
    key="cornell-ram-2021",
    author="Breedveld, Yoon (Cornell University)",
    title="Hydraulic ram, student report",
    year="2021",
)
UPRIGHT = {"bore": "1", "length": "1.56", "lift": "6", "steady": "1.603"}
REPORTS = (
    WorkedExample(
        name="T7",
        kind="published",
        source=CORNELL.at("Q(x, y) at x = 0.615275, y = 0"),
        inputs={**UPRIGHT, "shuts": "0.615275", "starts": "0"},
        printed={"delivered": "57.8677"},
        looser_because={"delivered": ("0.01", "the page's 633.6 is rounded from 633.557")},
    ),
    WorkedExample(
        name="T8",
        kind="published",
        source=CORNELL.at("maximum of Q(x, y), x = y = 0.615275"),
        # The page's limit y to x, taken from just below.
        inputs={**UPRIGHT, "shuts": "0.615275", "starts": "0.6152749"},
        printed={"delivered": "89.5692"},
        looser_because={"delivered": ("0.01", "the page's 633.6 is rounded from 633.557")},
    ),
)


@pytest.mark.parametrize("example", REPORTS, ids=lambda example: example.name)
def test_the_printed_closed_form(example: WorkedExample) -> None:
    """A drive pipe that stands upright: its length is its fall. Millilitres a second."""
    length_m = example.given("length")
    one = beat(
        example.given("shuts"),
        steady_m_s=example.given("steady"),
        fall_m=length_m,
        head_m=example.given("lift"),
        length_m=length_m,
        inside_m=to_si(example.given("bore"), "in"),
        start_share=example.given("starts"),
    )
    example.assert_result("delivered", from_si(float(one.delivered_m3_s), "mL/s"))


@pytest.mark.parametrize(
    ("shuts", "printed"),
    [("0.1", "0.995"), ("0.3", "0.9543"), ("0.5", "0.8690"), ("0.6", "0.8067"),
     ("0.7", "0.7277"), ("0.8", "0.6264"), ("0.9", "0.4877")],
)  # fmt: skip
def test_t15_the_sooner_the_valve_shuts_the_less_is_lost(shuts: str, printed: str) -> None:
    example = WorkedExample(
        name=f"T15, {shuts}",
        kind="by hand",
        source=OURS.at("the relation worked out apart from the program", obtained="computed"),
        inputs={"shuts": shuts},
        printed={"efficiency": printed},
    )
    example.assert_result("efficiency", float(ideal_efficiency(example.given("shuts"))))
    assert float(ideal_efficiency(0.0)) == 1.0


RAM: dict[str, float] = {"steady_m_s": 2.0, "fall_m": 3.0, "length_m": 15.0, "inside_m": 0.05}
VECTOR = WorkedExample(
    name="3 m on 30 m",
    kind="independent code",
    source=OURS.at("an equation solver held to 1e-10", obtained="computed"),
    inputs={"shuts": "0.6", "head": "30"},
    printed={
        "accelerating s": "0.70681",
        "wasted L": "0.89356",
        "delivering s": "0.06798",
        "delivered L": "0.08009",
        "beat s": "0.77479",
        "beats": "77.44",
        "wasted L/min": "69.20",
        "delivered L/min": "6.202",
        "Rankine": "0.80666",
        "D'Aubuisson": "0.82256",
        "choked L": "0.07902",
        "choked s": "0.06737",
    },
)


def test_a_whole_beat() -> None:
    one = beat(VECTOR.given("shuts"), head_m=VECTOR.given("head"), **RAM)
    choked = beat(VECTOR.given("shuts"), head_m=VECTOR.given("head"), loss_coefficient=10.0, **RAM)
    heads = {"lift_m": VECTOR.given("head"), "fall_m": RAM["fall_m"]}
    rankine = rankine_efficiency(one.delivered_m3_s, one.drive_m3_s, **heads)
    by_fall = daubuisson_efficiency(one.delivered_m3_s, one.drive_m3_s, **heads)
    figures: dict[str, FloatArray | float] = {
        "accelerating s": one.accelerating.time_s,
        "wasted L": from_si(float(one.accelerating.volume_m3), "L"),
        "delivering s": one.delivering.time_s,
        "delivered L": from_si(float(one.delivering.volume_m3), "L"),
        "beat s": one.time_s,
        "beats": to_si(1.0, "min") / one.time_s,
        "wasted L/min": from_si(float(one.wasted_m3_s), "L/min"),
        "delivered L/min": from_si(float(one.delivered_m3_s), "L/min"),
        "Rankine": rankine,
        "D'Aubuisson": by_fall,
        "choked L": from_si(float(choked.delivering.volume_m3), "L"),
        "choked s": choked.delivering.time_s,
    }
    for key, found in figures.items():
        VECTOR.assert_result(key, float(found))


shares = st.floats(0.05, 0.95)
falls = st.floats(0.5, 12.0)
ratios = st.floats(1.5, 25.0)


@st.composite
def pipes(draw: st.DrawFn) -> dict[str, float]:
    """Return a ram between its falls, as `beat` takes it."""
    fall = draw(falls)
    return {
        "fall_m": fall,
        "head_m": draw(ratios) * fall,
        "steady_m_s": draw(st.floats(0.3, 4.0)),
        "length_m": draw(st.floats(3.0, 60.0)),
        "inside_m": draw(st.floats(0.02, 0.2)),
    }


def integrated(
    slope: str, start: float, *, until: float, pipe: dict[str, float], loss: float = 0.0
) -> tuple[float, float]:
    """Return time and way of a column by an equation solver, from one velocity to another."""
    gravity, length = STANDARD_GRAVITY_M_S2, pipe["length_m"]

    def push(_: float, state: FloatArray) -> list[float]:
        velocity = float(state[0])
        if slope == "driven":
            share = velocity / pipe["steady_m_s"]
            gain = gravity * pipe["fall_m"] / length * (1 - share * abs(share))
        else:
            gain = -gravity * pipe["raised_m"] / length - loss * velocity**2 / (2 * length)
        return [gain, velocity]

    def reached(_: float, state: FloatArray) -> float:
        return float(state[0]) - until

    reached.terminal = True  # type: ignore[attr-defined]
    done = solve_ivp(push, (0.0, 1e4), [start, 0.0], events=reached, rtol=1e-11, atol=1e-13)
    return float(done.t[-1]), float(done.y[1, -1])


@pytest.mark.parametrize("seed", range(12))
def test_the_closed_forms_agree_with_an_equation_solver(seed: int) -> None:
    rng = np.random.default_rng(seed)
    share, start = rng.uniform(0.3, 0.95), rng.uniform(0.0, 0.25)
    pipe = {
        "steady_m_s": rng.uniform(0.5, 4.0),
        "fall_m": rng.uniform(1.0, 8.0),
        "length_m": rng.uniform(4.0, 40.0),
    }
    raised, loss, steady = rng.uniform(3.0, 60.0), rng.uniform(0.0, 200.0), pipe["steady_m_s"]
    area = np.pi / 4 * 0.05**2
    gaining = accelerating(share, inside_m=0.05, start_share=start, **pipe)
    losing = delivering(
        share * steady,
        raised_m=raised,
        length_m=pipe["length_m"],
        inside_m=0.05,
        left_m_s=start * steady,
        loss_coefficient=loss,
    )
    back = recoiling(start * steady, inside_m=0.05, **pipe)
    time, way = integrated("driven", start * steady, until=share * steady, pipe=pipe)
    assert (time, way * area) == pytest.approx((float(gaining.time_s), float(gaining.volume_m3)))
    held = {**pipe, "raised_m": raised}
    time, way = integrated("held", share * steady, until=start * steady, pipe=held, loss=loss)
    assert (time, way * area) == pytest.approx((float(losing.time_s), float(losing.volume_m3)))
    time, way = integrated("driven", -start * steady, until=0.0, pipe=pipe)
    assert (time, -way * area) == pytest.approx((float(back.time_s), float(back.volume_m3)))


@given(shares, st.floats(0.0, 0.9), pipes())
def test_the_ideal_efficiency_knows_no_fall_lift_length_or_bore(
    share: float, start: float, pipe: dict[str, float]
) -> None:
    one = beat(share, start_share=start * share, **pipe)
    heads = {"lift_m": pipe["head_m"], "fall_m": pipe["fall_m"]}
    found = rankine_efficiency(one.delivered_m3_s, one.drive_m3_s, **heads)
    assert float(ideal_efficiency(share, start_share=start * share)) == pytest.approx(float(found))


@given(shares, pipes(), st.floats(1.01, 4.0))
def test_a_longer_drive_pipe_beats_slower_and_moves_as_much_water_a_minute(
    share: float, pipe: dict[str, float], longer: float
) -> None:
    short = beat(share, **pipe)
    long = beat(share, **{**pipe, "length_m": longer * pipe["length_m"]})
    assert long.time_s == pytest.approx(longer * float(short.time_s))
    assert long.drive_m3_s == pytest.approx(float(short.drive_m3_s))


@given(shares, pipes(), st.floats(0.0, 100.0), st.floats(0.0, 0.9))
def test_no_water_is_lost(share: float, pipe: dict[str, float], loss: float, start: float) -> None:
    """What the column carries forward is what is wasted and what is delivered."""
    one = beat(share, start_share=start * share, loss_coefficient=loss, **pipe)
    assert one.drive_m3_s == pytest.approx(float(one.wasted_m3_s + one.delivered_m3_s))


def test_a_recoil_slows_the_beat_and_gives_its_water_back() -> None:
    stiff = beat(0.6, head_m=30.0, **RAM)
    back = recoiling(-0.2, **RAM)
    swung = Beat(accelerating=stiff.accelerating, delivering=stiff.delivering, recoiling=back)
    assert swung.time_s > stiff.time_s
    wasted = float((swung.wasted_m3_s + swung.delivered_m3_s) * swung.time_s - back.volume_m3)
    assert wasted == pytest.approx(float(swung.drive_m3_s * swung.time_s))
    assert float(recoiling(0.0, **RAM).time_s) == 0.0


@given(shares, pipes())
def test_a_loss_at_the_delivery_valve_takes_water(share: float, pipe: dict[str, float]) -> None:
    free = beat(share, **pipe).delivering
    choked = beat(share, loss_coefficient=50.0, **pipe).delivering
    assert choked.volume_m3 < free.volume_m3
    assert choked.time_s < free.time_s


@given(shares, pipes())
def test_mean_velocity_and_quickness_are_those_of_the_beat(
    share: float, pipe: dict[str, float]
) -> None:
    one = beat(share, **pipe)
    heads = {"fall_m": pipe["fall_m"], "head_m": pipe["head_m"]}
    steady, mean = pipe["steady_m_s"], float(one.drive_m3_s) / (np.pi / 4 * pipe["inside_m"] ** 2)
    assert mean == pytest.approx(steady * float(mean_by_steady(share, **heads)))
    assert share * steady <= 2 * mean * (1 + 1e-12)
    number = pipe["length_m"] * mean / (STANDARD_GRAVITY_M_S2 * pipe["fall_m"] * one.time_s)
    assert float(number) == pytest.approx(float(quickness(share, **heads)))


@given(ratios, falls, st.floats(0.01, 0.97), st.floats(1.001, 1.02))
def test_slower_beats_mean_a_later_closing(
    ratio: float, fall: float, share: float, later: float
) -> None:
    soon, late = quickness([share, share * later], fall_m=fall, head_m=ratio * fall)
    assert late < soon < 0.5 * (1 - 1 / ratio) * (1 + 1e-12)


def test_a_valve_that_shuts_at_once_stands_at_the_limits() -> None:
    assert float(quickness(0.0, fall_m=3.0, head_m=30.0)) == pytest.approx(0.45)
    assert float(mean_by_steady(0.0, fall_m=3.0, head_m=30.0)) == 0.0


@given(falls, st.floats(1.0, 400.0))
def test_a_pipe_that_resists_more_runs_slower(fall: float, loss: float) -> None:
    free, bound = steady_velocity_m_s(fall, loss_coefficient=[loss, 2 * loss])
    assert free == pytest.approx(np.sqrt(2) * bound)


def test_draws_go_through_whole() -> None:
    one = beat(np.array([0.5, 0.6, 0.7]), head_m=np.array([20.0, 30.0, 40.0]), **RAM)
    assert one.time_s.shape == one.delivered_m3_s.shape == one.drive_m3_s.shape == (3,)
