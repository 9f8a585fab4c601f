"""Valves shut slowly."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import OURS
from terrain_head.base.units import to_si
from terrain_head.formulas.slow_closing import least_closing_s, slow_surge_pa
from terrain_head.formulas.surge import (
    surge_pressure_pa,
    wave_return_s,
    wave_speed_by_ratio_m_s,
)
from tests.worked_examples import WorkedExample

PRESSURES = st.floats(1.0, 1e7)
TIMES = st.floats(1e-3, 1e3)


def test_a_quarter_turn_valve_at_the_end_of_600_m_of_plastic() -> None:
    """326 m/s: 3.68 s to the tank and back, 184 kPa at 0.565 m/s; Michaud's two lengths."""
    case = WorkedExample(
        name="600 m of DR 11",
        kind="independent code",
        source=OURS.at("the surge of the synthetic profile's case A"),
        inputs={"length": "600", "speed": "0.565", "density": "998.2"},
        printed={"wave": "326", "return": "3.68", "kPa": "184"},
    )
    wave = wave_speed_by_ratio_m_s(11.0, modulus_pa=to_si(150_000.0, "psi"))
    case.assert_result("wave", float(wave))
    back = wave_return_s(case.given("length"), wave_speed_m_s=wave)
    case.assert_result("return", float(back))
    speed, density = case.given("speed"), case.given("density")
    full = surge_pressure_pa(speed, wave_speed_m_s=wave, density_kg_m3=density)
    case.assert_result("kPa", float(full) / 1000)
    slow = slow_surge_pa(full, wave_return_s=back, closing_s=10.0)
    assert math.isclose(float(slow), 2 * density * case.given("length") * speed / 10.0)


@given(full=PRESSURES, back=TIMES, first=TIMES, more=TIMES)
def test_the_slower_the_softer_and_never_more_than_full(
    full: float, back: float, first: float, more: float
) -> None:
    quick, slow = slow_surge_pa(full, wave_return_s=back, closing_s=[first, first + more])
    assert 0 <= slow <= quick <= full


@given(full=PRESSURES, back=TIMES, spare=PRESSURES)
def test_the_least_closing_uses_up_what_is_spare(full: float, back: float, spare: float) -> None:
    closing = float(least_closing_s(full, wave_return_s=back, spare_pa=spare))
    raised = float(slow_surge_pa(full, wave_return_s=back, closing_s=closing))
    assert math.isclose(raised, min(full, spare), rel_tol=1e-9)


def test_nothing_to_wait_for_and_nothing_spare() -> None:
    assert float(slow_surge_pa(5.0, wave_return_s=0.0, closing_s=0.0)) == 5.0
    assert np.isinf(least_closing_s(5.0, wave_return_s=1.0, spare_pa=-3.0))
