"""The four-number answer agrees with printed examples and keeps its invariants."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.assessment.limits import ENCYCLOPEDIA
from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.drive_pipe import GREATEST_DRIVE_VELOCITY_M_S, MEAN_DRIVE_VELOCITY_M_S
from terrain_head.formulas.ram_tables import table_efficiency
from terrain_head.scheme.estimate import Estimate, estimate
from terrain_head.scheme.rough_ram import HEIGHT_DOUBT_M, Spread
from tests.formulas.test_ram_efficiency import LAB_SHEET
from tests.worked_examples import WorkedExample

EXAMPLES = (
    WorkedExample(
        name="two metres to ten",
        kind="published",
        source=ENCYCLOPEDIA.at("2 m fall, 10 m above the ram, 70 %: 14 % of the supply"),
        inputs={"fall": "2", "lift": "10", "efficiency": "0.70", "flow": "100"},
        printed={"delivered": "14"},
    ),
    WorkedExample(
        name="twice the fall",
        kind="published",
        source=ENCYCLOPEDIA.at("ratio 2 to 1 at 70 %: 35 % of the supply"),
        inputs={"fall": "5", "lift": "10", "efficiency": "0.70", "flow": "100"},
        printed={"delivered": "35"},
    ),
    WorkedExample(
        name="ten metres to twenty-two",
        kind="published",
        source=LAB_SHEET.at("65 L/min, 10 m to 22 m, 60 %"),
        inputs={"fall": "10", "lift": "22", "efficiency": "0.60", "flow": "65"},
        printed={"delivered": "17.73"},
    ),
)


def _wide(**changes: Any) -> Estimate:
    """Return an estimate whose delivery pipe is so wide and short that it loses nothing."""
    numbers: dict[str, Any] = {
        "fall_m": 2.4,
        "lift_m": 23.0,
        "flow_m3_s": to_si(40.0, "L/min"),
        "length_m": 1.0,
    }
    return estimate(**(numbers | {"inside_m": 1.0} | changes))


def _spread(found: Estimate) -> Spread:
    assert found.delivered_m3_s is not None
    return found.delivered_m3_s


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda one: one.name)
def test_printed_examples_come_out_where_the_pipe_loses_nothing(example: WorkedExample) -> None:
    found = _wide(
        fall_m=example.given("fall"),
        lift_m=example.given("lift"),
        flow_m3_s=to_si(example.given("flow"), "L/min"),
        efficiency=example.given("efficiency"),
    )
    example.assert_result("delivered", _spread(found).middle / to_si(1.0, "L/min"))


def test_a_measured_efficiency_has_no_spread_and_no_source() -> None:
    found = _wide(efficiency=0.58)
    assert found.efficiency == Spread(low=0.58, middle=0.58, high=0.58)
    assert _spread(found).low == _spread(found).middle == _spread(found).high
    assert found.efficiency_citations == ()
    assert found.built is None


def test_the_efficiency_is_that_of_the_table_at_the_ratio_with_the_losses() -> None:
    found = estimate(fall_m=2.4, lift_m=23.0, flow_m3_s=to_si(40.0, "L/min"), length_m=180.0)
    assert found.head_ratio is not None
    assert found.efficiency is not None
    table = table_efficiency(found.head_ratio, built="bought", fall_m=2.4)
    assert found.efficiency.middle == pytest.approx(float(table.middle), rel=1e-9)
    paid = found.efficiency.middle * found.flow_m3_s * found.fall_m
    assert found.delivery_loss_m is not None
    head = found.lift_m + found.delivery_loss_m
    assert _spread(found).middle * head == pytest.approx(paid, rel=1e-9)


def test_friction_costs_water() -> None:
    short = estimate(fall_m=3.0, lift_m=20.0, flow_m3_s=1e-3, length_m=50.0, inside_m=0.02)
    long = estimate(fall_m=3.0, lift_m=20.0, flow_m3_s=1e-3, length_m=900.0, inside_m=0.02)
    assert _spread(long).middle < _spread(short).middle


def test_what_is_taken_is_listed() -> None:
    found = estimate(fall_m=3.0, lift_m=20.0, flow_m3_s=1e-3, length_m=50.0)
    assert [one.key for one in found.taken] == [
        "built",
        "delivery inside diameter",
        "roughness",
        "water.temperature",
    ]
    stated = _wide(built="home", inside_m=0.03)
    assert [one.key for one in stated.taken] == ["roughness", "water.temperature"]


def test_a_home_built_ram_lifts_less() -> None:
    home = _wide(built="home")
    assert _spread(home).middle < _spread(_wide()).middle


@pytest.mark.parametrize(
    ("fall_m", "lift_m", "worth", "reason"),
    [
        (-1.0, 20.0, "no", "fall-negative"),
        (0.0, 20.0, "no", "fall-negative"),
        (2.0, -1.0, "no", "lift-negative"),
        (0.4, 8.0, "no", "fall-too-small"),
        (3.0, 2.0, "no", "ram-not-needed"),
        (2.0, 90.0, "no", "beyond-table"),
        (0.8, 20.0, "perhaps", "fall-under-table"),
        (2.0, 66.0, "perhaps", "ratio-high"),
        (2.0, 54.0, "perhaps", "maybe-nothing"),
    ],
)
def test_what_speaks_against_a_survey_is_said(
    fall_m: float, lift_m: float, worth: str, reason: str
) -> None:
    found = _wide(fall_m=fall_m, lift_m=lift_m)
    assert worth == found.worth
    assert reason in found.reasons
    assert set(found.reasons) == set(found.reason_citations)


def test_beyond_the_table_no_water_is_told_unless_the_efficiency_was_measured() -> None:
    assert _wide(fall_m=2.0, lift_m=90.0).delivered_m3_s is None
    assert _wide(fall_m=2.0, lift_m=90.0).fall_effect is None
    assert _wide(fall_m=2.0, lift_m=90.0, efficiency=0.3).delivered_m3_s is not None


def test_a_great_flow_takes_the_widest_published_delivery() -> None:
    found = estimate(fall_m=10.0, lift_m=20.0, flow_m3_s=0.1, length_m=50.0)
    assert found.inside_m == pytest.approx(0.1)


def test_rules_of_length_scale_with_the_fall_and_one_does_not() -> None:
    rules = {one.rule: one for one in _wide(fall_m=3.0).drive_lengths}
    assert rules["length 5 to 10 falls"].low_m == pytest.approx(15.0)
    assert rules["length 5 to 10 falls"].high_m == pytest.approx(30.0)
    assert rules["length 25 to 50 ft"].high_m == pytest.approx(to_si(50.0, "ft"))
    usual = _wide(fall_m=3.0).usual_drive_length_m
    assert usual is not None
    assert usual.low_m == pytest.approx(21.0)
    assert _wide(fall_m=-1.0).usual_drive_length_m is None
    assert _wide(fall_m=-1.0).drive_lengths == ()


def test_without_table_the_same_error_matters_as_its_share_of_the_height() -> None:
    # At a fixed efficiency the water goes as fall / lift, so 0.3 m counts as 0.3 / height.
    found = _wide(fall_m=3.0, lift_m=30.0, efficiency=0.6)
    assert found.fall_effect == pytest.approx(HEIGHT_DOUBT_M / 3.0, rel=1e-4)
    assert found.lift_effect == pytest.approx(HEIGHT_DOUBT_M / (30.0 - HEIGHT_DOUBT_M), rel=1e-4)
    assert found.level_first == "fall"


def test_a_lift_hardly_above_the_fall_is_levelled_first() -> None:
    # With the efficiency known, the smaller step down in lift counts a little more.
    found = _wide(fall_m=10.0, lift_m=10.1, efficiency=0.6)
    assert found.level_first == "lift"


@pytest.mark.parametrize(
    "wrong",
    [
        {"flow_m3_s": 0.0},
        {"length_m": -1.0},
        {"fall_m": math.nan},
        {"lift_m": math.inf},
        {"efficiency": 1.2},
    ],
)
def test_senseless_numbers_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"finite|more than 0|between"):
        _wide(**wrong)


@given(
    fall=st.floats(1.0, 12.0),
    ratio=st.floats(1.5, 35.0),
    flow=st.floats(5.0, 200.0),
    length=st.floats(10.0, 1000.0),
)
def test_low_middle_and_high_stand_in_order_and_no_water_is_made(
    fall: float, ratio: float, flow: float, length: float
) -> None:
    found = estimate(
        fall_m=fall, lift_m=fall * ratio, flow_m3_s=to_si(flow, "L/min"), length_m=length
    )
    if found.delivered_m3_s is not None:
        spread = found.delivered_m3_s
        assert 0 <= spread.low <= spread.middle * (1 + 1e-9)
        assert spread.middle <= spread.high * (1 + 1e-9)
        assert spread.high < found.flow_m3_s


@given(fall=st.floats(1.0, 10.0), more=st.floats(0.05, 3.0), ratio=st.floats(2.0, 20.0))
def test_more_fall_never_brings_less_water(fall: float, more: float, ratio: float) -> None:
    lift = fall * ratio + 3.0
    less = _wide(fall_m=fall, lift_m=lift)
    greater = _wide(fall_m=fall + more, lift_m=lift)
    assert _spread(greater).middle >= _spread(less).middle * (1 - 1e-9)


@given(st.floats(0.3, 0.8))
def test_water_grows_with_efficiency(efficiency: float) -> None:
    assert (
        _spread(_wide(efficiency=efficiency)).middle
        < _spread(_wide(efficiency=efficiency + 0.05)).middle
    )


def test_a_small_ram_of_the_trade() -> None:
    """A 1-1/4 in drive pipe under 13 to 14 ft can put about 1 gal/min 80 ft up.

    Through some 600 ft of 3/4 in pipe; common practice, no source. At an efficiency of 60 %
    the drive flows of the published mean velocities lie to either side of it.
    """
    bore = to_si(1.25, "in")
    area = math.pi / 4 * bore**2
    delivered = []
    for velocity in (MEAN_DRIVE_VELOCITY_M_S[0], GREATEST_DRIVE_VELOCITY_M_S):
        rough = estimate(
            fall_m=to_si(13.5, "ft"),
            lift_m=to_si(80.0, "ft"),
            flow_m3_s=velocity * area,
            length_m=to_si(600.0, "ft"),
            inside_m=to_si(0.824, "in"),
            efficiency=0.60,
        )
        assert rough.delivered_m3_s is not None
        delivered.append(from_si(rough.delivered_m3_s.middle, "gal/min"))
    assert delivered[0] < 1.0 < delivered[1]
