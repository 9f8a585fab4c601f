"""What must hold of friction, whatever the pipe."""

import warnings

import fluids.friction
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.formulas.friction import (
    flow_from_head_loss,
    hazen_williams_loss_per_metre,
    head_loss_and_slope_per_metre,
    head_loss_m,
    head_loss_per_metre,
    minor_loss_m,
    reynolds,
    velocity_head_m,
    velocity_m_s,
)
from terrain_head.formulas.friction_factor import friction_factor

WATER = 1.307e-6
flows = st.floats(1e-7, 5e-2)
bores = st.floats(0.01, 0.3)
roughnesses = st.floats(0.0, 2.5e-4)
lengths = st.floats(0.1, 2000.0)


def moody_plane() -> tuple[np.ndarray, np.ndarray]:
    reynolds_numbers = np.logspace(np.log10(4000), 8, 60)
    roughness = np.concatenate([[0.0], np.logspace(-8, np.log10(0.05), 40)])
    across, down = np.meshgrid(reynolds_numbers, roughness)
    return across.ravel(), down.ravel()


def test_agrees_with_an_independent_library_over_the_whole_moody_plane() -> None:
    """Within 1e-10 of `fluids`, whose own root is by the Lambert function where it can be."""
    re, rough = moody_plane()
    with warnings.catch_warnings():
        # fluids overflows on the way to its fallback at rough, fast corners.
        warnings.simplefilter("ignore", RuntimeWarning)
        theirs = [
            fluids.friction.Colebrook(float(a), float(b)) for a, b in zip(re, rough, strict=True)
        ]
    np.testing.assert_allclose(friction_factor(re, rough), theirs, rtol=1e-10)


def test_the_root_satisfies_the_equation_to_the_last_digits() -> None:
    re, rough = moody_plane()
    x = 1 / np.sqrt(friction_factor(re, rough))
    np.testing.assert_allclose(-2 * np.log10(rough / 3.7 + 2.51 * x / re), x, rtol=1e-13)


def test_limits_of_the_smooth_and_of_the_fully_rough_pipe() -> None:
    rough = 0.01
    fully = 1 / (2 * np.log10(3.7 / rough)) ** 2
    assert float(friction_factor(1e12, rough)) == pytest.approx(fully, rel=1e-8)
    blasius = 0.3164 / 1e5**0.25
    assert float(friction_factor(1e5, 0.0)) == pytest.approx(blasius, rel=0.02)


def test_laminar_factor_is_64_by_reynolds() -> None:
    assert float(friction_factor(500.0, 0.05)) == 64 / 500
    assert float(friction_factor(0.0, 0.0)) == np.inf


@pytest.mark.parametrize("edge", [2000.0, 4000.0])
@pytest.mark.parametrize("rough", [0.0, 1e-4, 0.05])
def test_no_step_where_the_regime_changes(edge: float, rough: float) -> None:
    below, at, above = friction_factor([edge * (1 - 1e-12), edge, edge * (1 + 1e-12)], rough)
    assert below == pytest.approx(at, rel=1e-10)
    assert above == pytest.approx(at, rel=1e-10)


def test_the_factor_rises_between_the_regimes() -> None:
    assert np.all(np.diff(friction_factor(np.linspace(2000, 4000, 200), 1e-3)) > 0)


def test_arrays_of_any_size_and_shape_broadcast() -> None:
    re = np.logspace(2, 7, 40_000)
    whole = friction_factor(re, 1e-4)
    assert whole.shape == (40_000,)
    np.testing.assert_array_equal(whole[[5, 39_999]], friction_factor(re[[5, 39_999]], 1e-4))
    assert friction_factor(re[:6].reshape(2, 3, 1), [0.0, 0.01]).shape == (2, 3, 2)
    assert friction_factor([], 0.0).shape == (0,)
    assert friction_factor(1e5, 0.0).shape == ()


@pytest.mark.parametrize(("re", "rough"), [(np.nan, 0.0), (1e5, np.nan), (100.0, np.nan)])
def test_nan_in_nan_out(re: float, rough: float) -> None:
    assert np.isnan(friction_factor(re, rough))
    assert np.isnan(friction_factor([re, 1e5], [rough, 0.0])).tolist() == [True, False]


@given(bores, roughnesses)
def test_still_water_loses_nothing(bore: float, rough: float) -> None:
    loss = head_loss_per_metre(0.0, inside_m=bore, roughness_m=rough, viscosity_m2_s=WATER)
    assert float(loss) == 0.0


@given(flows, st.floats(1.0001, 3.0), bores, roughnesses)
def test_loss_grows_with_flow(flow: float, more: float, bore: float, rough: float) -> None:
    pipe = {"inside_m": bore, "roughness_m": rough, "viscosity_m2_s": WATER}
    assert head_loss_per_metre(flow * more, **pipe) > head_loss_per_metre(flow, **pipe)


@given(flows, bores, st.floats(1.001, 2.0), roughnesses)
def test_loss_falls_with_bore(flow: float, bore: float, wider: float, rough: float) -> None:
    narrow, wide = head_loss_per_metre(
        flow, inside_m=[bore, bore * wider], roughness_m=rough, viscosity_m2_s=WATER
    )
    assert wide < narrow


@given(flows, bores, roughnesses, st.floats(1e-7, 1e-4))
def test_loss_never_falls_with_roughness(
    flow: float, bore: float, rough: float, more: float
) -> None:
    less, rougher = head_loss_per_metre(
        flow, inside_m=bore, roughness_m=[rough, rough + more], viscosity_m2_s=WATER
    )
    assert rougher >= less * (1 - 1e-12)


@given(flows, bores, roughnesses, lengths, st.floats(0.0, 20.0))
def test_loss_grows_with_length_and_cutting_a_pipe_changes_nothing(
    flow: float, bore: float, rough: float, length: float, minor: float
) -> None:
    def loss(part: float, coefficient: float) -> float:
        return float(
            head_loss_m(
                flow,
                length_m=part,
                inside_m=bore,
                roughness_m=rough,
                viscosity_m2_s=WATER,
                loss_coefficient=coefficient,
            )
        )

    assert loss(1.5 * length, minor) > loss(length, minor)
    in_two = loss(0.3 * length, minor) + loss(0.7 * length, 0.0)
    assert in_two == pytest.approx(loss(length, minor), rel=1e-12)


@given(flows, bores, roughnesses)
def test_turning_the_flow_round_turns_the_loss_round(
    flow: float, bore: float, rough: float
) -> None:
    pipe = {"inside_m": bore, "roughness_m": rough, "viscosity_m2_s": WATER}
    assert head_loss_per_metre(-flow, **pipe) == -head_loss_per_metre(flow, **pipe)
    forth = hazen_williams_loss_per_metre(flow, inside_m=bore, coefficient=140.0)
    assert hazen_williams_loss_per_metre(-flow, inside_m=bore, coefficient=140.0) == -forth


@given(flows, bores, roughnesses, lengths, st.one_of(st.just(0.0), st.floats(0.01, 500.0)))
def test_the_flow_found_from_a_head_carries_that_head(
    flow: float, bore: float, rough: float, length: float, minor: float
) -> None:
    """The inverse agrees with the loss in all three regimes, with fittings and without."""
    pipe = {
        "length_m": length,
        "inside_m": bore,
        "roughness_m": rough,
        "viscosity_m2_s": WATER,
        "loss_coefficient": minor,
    }
    loss = head_loss_m(flow, **pipe)
    assert float(flow_from_head_loss(loss, **pipe)) == pytest.approx(flow, rel=1e-10)


@pytest.mark.parametrize("re", [10.0, 1999.9, 2000.0, 2000.1, 3000.0, 3999.9, 4000.0, 4000.1, 1e6])
@pytest.mark.parametrize("minor", [0.0, 2.5, 400.0])
@pytest.mark.parametrize("length", [0.0, 0.5, 300.0])
def test_the_inverse_near_the_changes_of_regime(re: float, minor: float, length: float) -> None:
    pipe = {
        "length_m": length,
        "inside_m": 0.026,
        "roughness_m": 7e-6,
        "viscosity_m2_s": WATER,
        "loss_coefficient": minor,
    }
    flow = re * np.pi * 0.026 * WATER / 4
    found = flow_from_head_loss(head_loss_m(flow, **pipe), **pipe)
    if length == minor == 0:
        assert found == 0
    else:
        assert float(found) == pytest.approx(flow, rel=1e-10)


def test_the_inverse_keeps_signs_nan_still_water_and_shapes() -> None:
    pipe = {"length_m": 100.0, "inside_m": 0.026, "roughness_m": 1e-6, "viscosity_m2_s": WATER}
    flow = flow_from_head_loss([2.0, -2.0, 0.0, np.nan], **pipe)
    assert flow[0] > 0
    assert flow[1] == -flow[0]
    assert flow[2] == 0
    assert np.isnan(flow[3])
    for key in pipe:
        assert np.isnan(flow_from_head_loss(2.0, **{**pipe, key: np.nan}))
    many = flow_from_head_loss(
        np.ones((2, 1)),
        length_m=[1.0, 2.0, 3.0],
        inside_m=0.026,
        roughness_m=1e-6,
        viscosity_m2_s=WATER,
    )
    assert many.shape == (2, 3)


def test_nothing_that_resists_lets_any_flow_through() -> None:
    flow = flow_from_head_loss(
        1.0, length_m=0.0, inside_m=0.026, roughness_m=1e-6, viscosity_m2_s=WATER
    )
    assert float(flow) == np.inf


@given(flows, bores)
def test_velocity_reynolds_and_velocity_head_agree(flow: float, bore: float) -> None:
    velocity = float(velocity_m_s(flow, inside_m=bore))
    assert velocity * bore / WATER == pytest.approx(
        float(reynolds(flow, inside_m=bore, viscosity_m2_s=WATER))
    )
    head = float(velocity_head_m(flow, inside_m=bore))
    assert head == pytest.approx(velocity**2 / (2 * 9.80665))
    assert float(minor_loss_m(-flow, inside_m=bore, loss_coefficient=2.0)) == -2 * head


@given(flows, bores, st.floats(80.0, 150.0))
def test_hazen_williams_loss_grows_with_flow_and_falls_with_the_coefficient(
    flow: float, bore: float, coefficient: float
) -> None:
    def loss(q: float, c: float) -> float:
        return float(hazen_williams_loss_per_metre(q, inside_m=bore, coefficient=c))

    assert loss(0.0, coefficient) == 0
    assert loss(1.01 * flow, coefficient) > loss(flow, coefficient) > loss(flow, coefficient + 1)


@given(st.floats(1.0, 1e8), bores, roughnesses)
def test_the_slope_of_the_loss_is_that_of_finite_differences(
    number: float, bore: float, rough: float
) -> None:
    """Through all three regimes; a step across a corner lies between the slopes on its sides."""
    flow = number * np.pi * bore * WATER / 4
    pipe = {"inside_m": bore, "roughness_m": rough, "viscosity_m2_s": WATER}
    step = 1e-5 * flow
    loss, slope = head_loss_and_slope_per_metre(flow + step * np.array([-1, 0, 1]), **pipe)
    assert loss[1] == pytest.approx(float(head_loss_per_metre(flow, **pipe)), rel=1e-12)
    rise = (loss[2] - loss[0]) / (2 * step)
    assert slope.min() * (1 - 1e-6) <= rise <= slope.max() * (1 + 1e-6)
    assert slope[1] > 0


@given(st.floats(-1e-2, 1e-2), bores, roughnesses)
def test_the_slope_is_the_same_both_ways_and_never_nothing(
    flow: float, bore: float, rough: float
) -> None:
    pipe = {"inside_m": bore, "roughness_m": rough, "viscosity_m2_s": WATER}
    loss, slope = head_loss_and_slope_per_metre([flow, -flow], **pipe)
    assert loss[0] == -loss[1]
    assert slope[0] == slope[1]
    assert slope[0] > 0


def test_the_slope_in_still_water_is_that_of_laminar_flow() -> None:
    """128 viscosity / (pi g D4), the law of Hagen and Poiseuille."""
    loss, slope = head_loss_and_slope_per_metre(
        [0.0, 1e-300], inside_m=0.026, roughness_m=7e-6, viscosity_m2_s=WATER
    )
    assert loss[0] == 0
    wanted = 128 * WATER / (np.pi * 9.80665 * 0.026**4)
    assert slope == pytest.approx([wanted, wanted], rel=1e-12)


@pytest.mark.parametrize("edge", [2000.0, 4000.0])
def test_the_loss_with_its_slope_has_no_step_where_the_regime_changes(edge: float) -> None:
    flow = edge * np.pi * 0.026 * WATER / 4 * np.array([1 - 1e-12, 1.0, 1 + 1e-12])
    loss, slope = head_loss_and_slope_per_metre(
        flow, inside_m=0.026, roughness_m=7e-6, viscosity_m2_s=WATER
    )
    np.testing.assert_allclose(loss, loss[1], rtol=1e-10)
    assert np.all(slope > 0)
