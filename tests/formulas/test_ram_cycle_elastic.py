"""Delivery in steps against figures worked apart, the stiff column, and a sum over its waves."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import OURS
from terrain_head.base.units import from_si
from terrain_head.formulas.ram_cycle import delivering
from terrain_head.formulas.ram_cycle_elastic import delivering_in_steps, velocity_step_m_s
from terrain_head.formulas.surge import joukowsky_head_m
from tests.worked_examples import WorkedExample

HAND = OURS.at("worked out apart from the program", obtained="computed")
PIPE = {"length_m": 15.0, "inside_m": 0.05}
VECTORS = (
    WorkedExample(
        name="steel, 30 m",
        kind="by hand",
        source=HAND,
        inputs={"raised": "27", "wave": "1200"},
        printed={"step": "0.22065", "steps": "3", "delivered L": "0.07923", "left": "-0.1239"},
    ),
    WorkedExample(
        name="polyethylene, 30 m",
        kind="by hand",
        source=HAND,
        inputs={"raised": "27", "wave": "300"},
        printed={"steps": "1", "delivered L": "0.06232"},
    ),
    WorkedExample(
        name="steel, 60 m",
        kind="by hand",
        source=HAND,
        inputs={"raised": "57", "wave": "1200"},
        printed={"delivered L": "0.03604"},
    ),
    WorkedExample(
        name="PVC, 60 m: nothing",
        kind="by hand",
        source=HAND,
        inputs={"raised": "57", "wave": "400"},
        printed={"step": "1.397", "steps": "0", "delivered L": "0", "left": "1.2"},
    ),
)


@pytest.mark.parametrize("example", VECTORS, ids=lambda example: example.name)
def test_delivery_at_1_2_metres_a_second(example: WorkedExample) -> None:
    raised, wave = example.given("raised"), example.given("wave")
    found = delivering_in_steps(1.2, raised_m=raised, wave_speed_m_s=wave, **PIPE)
    figures = {
        "step": float(velocity_step_m_s(raised, wave_speed_m_s=wave)),
        "steps": float(found.steps),
        "delivered L": from_si(float(found.volume_m3), "L"),
        "left": float(found.left_m_s),
    }
    for key in example.printed:
        example.assert_result(key, figures[key])


closings = st.floats(0.1, 5.0)
heads = st.floats(1.0, 100.0)
waves = st.floats(200.0, 1425.0)
lengths = st.floats(3.0, 60.0)


@given(closings, heads, waves, lengths)
def test_steps_never_bring_more_than_a_stiff_column(
    closing: float, raised: float, wave: float, length: float
) -> None:
    pipe = {"raised_m": raised, "length_m": length, "inside_m": 0.05}
    stiff = delivering(closing, **pipe)
    stepped = delivering_in_steps(closing, wave_speed_m_s=wave, **pipe)
    assert stepped.volume_m3 <= stiff.volume_m3 * (1 + 1e-12)
    step = float(velocity_step_m_s(raised, wave_speed_m_s=wave))
    assert abs(float(stepped.left_m_s)) <= step * (1 + 1e-9)


@given(st.integers(1, 40), heads, waves, lengths)
def test_an_even_number_of_steps_brings_as_much(
    pairs: int, raised: float, wave: float, length: float
) -> None:
    closing = 2 * pairs * velocity_step_m_s(raised, wave_speed_m_s=wave)
    pipe = {"raised_m": raised, "length_m": length, "inside_m": 0.05}
    stiff = delivering(closing, **pipe)
    stepped = delivering_in_steps(closing, wave_speed_m_s=wave, **pipe)
    assert stepped.volume_m3 == pytest.approx(float(stiff.volume_m3))
    assert stepped.time_s == pytest.approx(float(stiff.time_s))


@given(closings, heads, waves)
def test_the_sum_over_the_waves_is_the_closed_form(
    closing: float, raised: float, wave: float
) -> None:
    """Each return delivers while the velocity at the valve is forward."""
    step = float(velocity_step_m_s(raised, wave_speed_m_s=wave))
    velocities = closing - (2 * np.arange(1, 5000) - 1) * step
    summed = np.pi / 4 * 0.05**2 * 2 * 15.0 / wave * velocities[velocities > 0].sum()
    found = delivering_in_steps(closing, raised_m=raised, wave_speed_m_s=wave, **PIPE)
    assert summed == pytest.approx(float(found.volume_m3), abs=1e-15)


@given(closings, heads, waves)
def test_below_the_hammers_head_nothing_is_delivered(
    closing: float, raised: float, wave: float
) -> None:
    found = delivering_in_steps(closing, raised_m=raised, wave_speed_m_s=wave, **PIPE)
    hammer = float(joukowsky_head_m(closing, wave_speed_m_s=wave))
    if abs(hammer - raised) > 1e-9 * raised:
        assert (hammer > raised) == (float(found.volume_m3) > 0)
