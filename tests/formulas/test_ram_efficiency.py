"""Efficiency and delivered flow of a ram against printed examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.assessment.limits import ENCYCLOPEDIA
from terrain_head.base.citation import Source
from terrain_head.formulas.ram_efficiency import (
    daubuisson_efficiency,
    delivered_flow_m3_s,
    drive_flow_m3_s,
    rankine_efficiency,
    rankine_from_daubuisson,
)
from terrain_head.formulas.ram_tables import WATER_FOR_THE_WORLD
from tests.worked_examples import WorkedExample

TEACHING_PAGE = Source(
    key="ram-efficiencies-page",
    author="a teaching page of civil engineering",
    title="Determine D'Aubuisson's and Rankine's efficiencies",
    year="2025",
)
LAB_SHEET = Source(
    key="ram-delivery-sheet",
    author="unnamed",
    title="Worksheet on the yield of a ram",
    year="no year",
)


def test_both_efficiencies_of_one_ram() -> None:
    example = WorkedExample(
        name="T1",
        kind="published",
        source=TEACHING_PAGE.at("worked example, L/s and m"),
        inputs={"drive": "30", "fall": "4", "delivered": "3", "lift": "18"},
        printed={"daubuisson": "0.45", "rankine": "0.3889"},
        looser_because={"daubuisson": ("0.001", "exact")},
    )
    given_ = {"lift_m": example.given("lift"), "fall_m": example.given("fall")}
    flows = example.given("delivered"), example.given("drive")
    daubuisson = daubuisson_efficiency(*flows, **given_)
    example.assert_result("daubuisson", float(daubuisson))
    example.assert_result("rankine", float(rankine_efficiency(*flows, **given_)))
    linked = rankine_from_daubuisson(daubuisson, delivered_share=3 / 30)
    example.assert_result("rankine", float(linked))


DELIVERED = [
    WorkedExample(
        name=name,
        kind="published",
        source=source.at("worked example"),
        inputs={"fall": fall, "lift": lift, "efficiency": efficiency, "drive": drive},
        printed={"delivered": delivered},
    )
    for name, source, fall, lift, efficiency, drive, delivered in (
        ("T2", ENCYCLOPEDIA, "2", "10", "0.70", "1", "0.14"),
        ("T3", ENCYCLOPEDIA, "1", "2", "0.70", "1", "0.35"),
        ("T4", LAB_SHEET, "10", "22", "0.60", "65", "17.73"),
    )
]


@pytest.mark.parametrize("example", DELIVERED, ids=lambda example: example.name)
def test_delivered_flow(example: WorkedExample) -> None:
    found = delivered_flow_m3_s(
        example.given("drive"),
        example.given("efficiency"),
        fall_m=example.given("fall"),
        lift_m=example.given("lift"),
    )
    example.assert_result("delivered", float(found))


def test_the_formula_beside_the_table_with_its_missing_minutes() -> None:
    """Printed without the 1440 minutes of a day; with them it gives the table's own cell."""
    example = WorkedExample(
        name="T5 and T6",
        kind="published",
        source=WATER_FOR_THE_WORLD.at("sizing example"),
        inputs={"fall": "10", "lift": "80", "drive": "1", "efficiency": "0.66", "needed": "2400"},
        printed={"litres": "117", "drive needed": "20.5"},
        looser_because={
            "litres": ("2.34", "2 %: the table holds 65 %, the formula 66 %"),
            "drive needed": ("0.1", "as rounded on the page"),
        },
    )
    a_minute = delivered_flow_m3_s(
        example.given("drive"),
        example.given("efficiency"),
        fall_m=example.given("fall"),
        lift_m=example.given("lift"),
    )
    example.assert_result("litres", 1440 * float(a_minute))
    example.assert_result("drive needed", example.given("needed") / example.result("litres"))
    formula = drive_flow_m3_s(
        example.given("needed") / 1440, 0.65, fall_m=10.0, lift_m=example.given("lift")
    )
    example.assert_result("drive needed", float(formula))


flows = st.floats(1e-6, 1e-2)
falls = st.floats(0.5, 12.0)
lifts = st.floats(1.0, 125.0)


@given(flows, falls, lifts, st.floats(0.05, 0.95))
def test_delivered_flow_turns_back_into_efficiency_and_drive_flow(
    drive: float, fall: float, lift: float, efficiency: float
) -> None:
    heads = {"fall_m": fall, "lift_m": lift}
    delivered = delivered_flow_m3_s(drive, efficiency, **heads)
    assert float(daubuisson_efficiency(delivered, drive, **heads)) == pytest.approx(efficiency)
    assert float(drive_flow_m3_s(delivered, efficiency, **heads)) == pytest.approx(drive)


@given(flows, falls, st.floats(1.5, 40.0), st.floats(0.05, 0.9))
def test_rankines_figure_is_the_lower_one_and_the_link_holds(
    drive: float, fall: float, ratio: float, efficiency: float
) -> None:
    heads = {"fall_m": fall, "lift_m": ratio * fall}
    delivered = delivered_flow_m3_s(drive, efficiency, **heads)
    rankine = rankine_efficiency(delivered, drive, **heads)
    linked = rankine_from_daubuisson(efficiency, delivered_share=delivered / drive)
    assert float(rankine) == pytest.approx(float(linked), rel=1e-9, abs=1e-12)
    assert rankine < efficiency
