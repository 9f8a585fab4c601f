"""Which drive pipes the published rules would take, and where they agree."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.formulas.drive_pipe import DRIVE_SIZES, check_drive_pipe
from terrain_head.formulas.drive_sizing import (
    agreed,
    bores_allowed,
    drive_flow_range_m3_s,
    lengths_allowed,
)

falls = st.floats(0.5, 12.0)
bores = st.floats(0.02, 0.3)
lengths = st.floats(1.0, 300.0)


@given(falls, bores, lengths)
def test_a_length_is_allowed_where_the_pipe_meets_the_rule(
    fall: float, bore: float, length: float
) -> None:
    allowed = {one.key: one for one in lengths_allowed(fall_m=fall, inside_m=bore)}
    checks = check_drive_pipe(length_m=length, fall_m=fall, inside_m=bore)
    assert set(allowed) == {check.rule.key for check in checks}
    for check in checks:
        one = allowed[check.rule.key]
        ends = np.array([one.low_m, one.high_m])
        if np.abs(length / ends - 1).min() > 1e-9:
            assert bool(check.holds) == (one.low_m <= length <= one.high_m)


@given(falls, bores)
def test_no_length_is_allowed_by_more_rules_than_those_agreed_on(fall: float, bore: float) -> None:
    allowed = lengths_allowed(fall_m=fall, inside_m=bore)
    both = agreed(allowed)
    assert both.low_m <= both.high_m
    assert {one.key for one in allowed} == {*both.agree, *both.differ}
    assert len(both.agree) + len(both.differ) == len(allowed)
    tried = np.geomspace(0.2, 1000.0, 400)
    counts = sum(((one.low_m <= tried) & (tried <= one.high_m)).astype(int) for one in allowed)
    assert np.max(counts) <= len(both.agree)


@given(st.floats(1e-5, 0.1), st.floats(0.01, 0.2))
def test_a_bore_is_allowed_where_the_velocity_is(flow: float, delivery: float) -> None:
    listed, worksheet, twice = bores_allowed(flow_m3_s=flow, delivery_inside_m=delivery)
    assert (twice.low_m + twice.high_m) / 2 == pytest.approx(2 * delivery)
    assert twice.low_m < 2 * delivery < twice.high_m
    for bore, velocity in ((listed.low_m, 0.65), (listed.high_m, 0.2), (worksheet.low_m, 1.1)):
        assert 4 * flow / (np.pi * bore**2) == pytest.approx(velocity)
    assert worksheet.high_m == np.inf
    assert "velocity of the worksheet" in agreed((listed, worksheet)).agree


def test_schools_that_never_meet_are_both_kept() -> None:
    """Two to four falls and five to ten: no length meets both."""
    both = agreed(lengths_allowed(fall_m=3.0, inside_m=0.05))
    assert both.differ == ("length 2 to 4 falls",)
    assert (both.low_m, both.high_m) == pytest.approx((15.0, 15.24))


def test_of_two_ranges_as_well_allowed_that_of_the_first_rule_is_told() -> None:
    listed, worksheet, twice = bores_allowed(flow_m3_s=5e-4, delivery_inside_m=0.2)
    assert agreed((listed, worksheet, twice)).agree == (listed.key, worksheet.key)
    assert agreed((twice, listed, worksheet)).agree == (twice.key, worksheet.key)
    assert agreed((worksheet,)).high_m == np.inf


@pytest.mark.parametrize("size", DRIVE_SIZES, ids=lambda size: f"{1000 * size.drive_m:.0f} mm")
def test_the_range_of_flows_holds_the_list_it_was_made_from(size: object) -> None:
    """Within a twelfth: each row ends at a velocity of its own."""
    row = next(one for one in DRIVE_SIZES if one is size)
    least, most = drive_flow_range_m3_s(row.drive_m)
    assert least / 1.01 <= row.least_flow_m3_s
    assert row.greatest_flow_m3_s <= most * 13 / 12
