"""Published rules for drive and delivery pipes."""

import numpy as np
import pytest

from terrain_head.base.units import from_si, to_si
from terrain_head.formulas.drive_pipe import (
    DELIVERY_SIZES,
    DRIVE_RULES,
    DRIVE_SIZES,
    GREATEST_DELIVERY_VELOCITY_M_S,
    GREATEST_DRIVE_VELOCITY_M_S,
    LEAST_BACK_PRESSURE_PA,
    MEAN_DRIVE_VELOCITY_M_S,
    OGDEN,
    check_drive_pipe,
    delivery_size_for,
    drive_size_for,
    drive_size_of,
)
from terrain_head.formulas.friction import velocity_m_s
from terrain_head.formulas.hydrostatics import head_from_pressure_m
from tests.worked_examples import WorkedExample


def rules_met(**pipe: float) -> set[str]:
    return {check.rule.key for check in check_drive_pipe(**pipe) if check.holds.all()}


def test_a_short_pipe_under_a_small_fall_is_inside_by_fall_and_too_short_by_bore() -> None:
    """H = 1 m, 50 mm, 5 H = 5 m: 100 bores; 3 m and 7 H = 21 m: 420 bores, inside."""
    short = rules_met(length_m=5.0, fall_m=1.0, inside_m=0.05)
    assert "length 5 to 10 falls" in short
    assert "length 150 to 1000 bores" not in short
    usual = rules_met(length_m=21.0, fall_m=3.0, inside_m=0.05)
    assert {"length 5 to 10 falls", "length 3 to 7 falls", "length 150 to 1000 bores"} <= usual


def test_rules_that_lack_a_value_are_left_out() -> None:
    about = [{check.rule.about for check in check_drive_pipe(**known)} for known in (
        {"length_m": 12.0, "fall_m": 2.0},
        {"length_m": 12.0, "fall_m": 2.0, "flow_m3_s": 1e-3},
        {"length_m": 12.0, "fall_m": 2.0, "inside_m": 0.05},
        {"length_m": 12.0, "fall_m": 2.0, "inside_m": 0.05, "flow_m3_s": 1e-3},
    )]  # fmt: skip
    assert about == [
        {"length/fall", "length"},
        {"length/fall", "length"},
        {"length/fall", "length", "length/bore"},
        {"length/fall", "length", "length/bore", "velocity"},
    ]


def test_draws_are_judged_one_by_one() -> None:
    checks = check_drive_pipe(length_m=20.0, fall_m=np.array([1.0, 3.0]))
    first = next(check for check in checks if check.rule.key == "length 5 to 10 falls")
    assert first.holds.tolist() == [False, True]
    assert first.value.tolist() == [20.0, 20 / 3]


def test_every_rule_has_a_source_and_bounds_in_order() -> None:
    for rule in DRIVE_RULES:
        assert rule.citation.where
        assert rule.low is not None or rule.high is not None
        assert (rule.low or 0.0) < (rule.high or np.inf)
    assert len({rule.key for rule in DRIVE_RULES}) == len(DRIVE_RULES)


@pytest.mark.parametrize(
    ("bore", "least", "greatest"),
    [("3/4", 9.4, 62.5), ("1", 12.5, 83), ("1-1/4", 15.6, 104), ("1-1/2", 18.8, 125),
     ("2", 25, 167), ("3", 37.5, 250), ("4", 50, 333)],
)  # fmt: skip
def test_bores_in_feet_of_length(bore: str, least: float, greatest: float) -> None:
    """150 to 1000 bores by hand, feet."""
    whole, _, part = bore.rpartition("-")
    over, _, under = part.partition("/")
    inches = float(whole or 0) + float(over) / float(under or 1)
    rule = next(rule for rule in DRIVE_RULES if rule.about == "length/bore")
    assert rule.low is not None
    assert rule.high is not None
    assert rule.low * inches / 12 == pytest.approx(least, abs=0.06)
    assert rule.high * inches / 12 == pytest.approx(greatest, abs=0.6)


# Drive bore in mm, flow in L/min and mean velocity as computed by hand from the printed list.
BY_HAND = [
    ("32", "9.5", "22.7", "0.20", "0.48"),
    ("38", "22.7", "45.4", "0.33", "0.66"),
    ("51", "30", "68", "0.25", "0.56"),
    ("64", "42", "91", "0.22", "0.48"),
    ("76", "57", "132", "0.21", "0.48"),
    ("102", "114", "284", "0.23", "0.58"),
    ("203", "568", "1325", "0.29", "0.68"),
    ("305", "1420", "2650", "0.32", "0.61"),
]


@pytest.mark.parametrize("row", range(len(BY_HAND)))
def test_ogdens_list_in_metric(row: int) -> None:
    bore, least, greatest, slow, fast = BY_HAND[row]
    size = DRIVE_SIZES[row]
    example = WorkedExample(
        name=f"{bore} mm",
        kind="by hand",
        source=OGDEN.at("table XI"),
        inputs={},
        printed={"bore": bore, "least": least, "greatest": greatest, "slow": slow, "fast": fast},
        looser_because={
            "least": (f"{0.01 * float(least)}", "rounded to three figures"),
            "greatest": (f"{0.01 * float(greatest)}", "rounded to three figures"),
        },
    )
    example.assert_result("bore", from_si(size.drive_m, "mm"))
    example.assert_result("least", from_si(size.least_flow_m3_s, "L/min"))
    example.assert_result("greatest", from_si(size.greatest_flow_m3_s, "L/min"))
    example.assert_result("slow", float(velocity_m_s(size.least_flow_m3_s, inside_m=size.drive_m)))
    fastest = float(velocity_m_s(size.greatest_flow_m3_s, inside_m=size.drive_m))
    example.assert_result("fast", fastest)
    assert MEAN_DRIVE_VELOCITY_M_S[0] - 0.005 <= fastest <= MEAN_DRIVE_VELOCITY_M_S[1] + 0.035


def test_the_two_schools_on_drive_velocity_disagree() -> None:
    worksheet = [float(velocity_m_s(to_si(f, "L/min"), inside_m=0.038)) for f in (70.0, 80.0)]
    assert worksheet[0] < GREATEST_DRIVE_VELOCITY_M_S < worksheet[1]
    met = rules_met(length_m=14.0, fall_m=2.0, inside_m=0.038, flow_m3_s=to_si(70.0, "L/min"))
    assert "velocity of the worksheet" in met
    assert "mean velocity of a maker's list" not in met


def test_delivery_bores_end_near_one_velocity() -> None:
    for size in DELIVERY_SIZES:
        velocity = float(velocity_m_s(size.greatest_flow_m3_s, inside_m=size.inside_m))
        assert 0.755 < velocity <= GREATEST_DELIVERY_VELOCITY_M_S + 0.005


def test_a_size_is_found_by_its_flow_or_its_bore() -> None:
    ten = to_si(10.0, "gal/min")
    found = drive_size_for(ten)
    assert found is not None
    assert from_si(found.drive_m, "in") == pytest.approx(1.5)
    assert drive_size_for(to_si(0.1, "gal/min")) is None
    assert from_si(drive_size_of(0.0525).drive_m, "in") == pytest.approx(2.0)
    small = delivery_size_for(to_si(3.0, "L/min"))
    assert small is not None
    assert small.inside_m == pytest.approx(0.03)
    assert delivery_size_for(to_si(361.0, "L/min")) is None


def test_ten_psi_are_23_feet_of_water() -> None:
    head = head_from_pressure_m(LEAST_BACK_PRESSURE_PA, density_kg_m3=999.7)
    assert round(from_si(float(head), "ft")) == 23
