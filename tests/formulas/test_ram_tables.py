"""The two published tables of a ram's efficiency, cell by cell, and what is made of them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Citation
from terrain_head.formulas.ram_efficiency import delivered_flow_m3_s
from terrain_head.formulas.ram_tables import (
    EFFICIENCY_BY_RATIO,
    MISPRINTED,
    OUTPUT_TABLE,
    POCKETBOOK_RATIOS,
    TABLE_FALLS_M,
    TABLE_LIFTS_M,
    TABLE_LITRES_A_DAY,
    Built,
    implied_efficiencies,
    output_table_efficiency,
    pocketbook_efficiency,
    table_efficiency,
)
from tests.worked_examples import WorkedExample

# Rows by fall, columns by lift 5, 7.5, 10, 15, 20, 30, 40, 50, 60, 80, 100, 125 m; litres in 24 h
# for a drive flow of 1 L/min. Typed from the page a second time, in its own digits.
PRINTED = {
    "1.0": "144 77 65 33 29 19.5 12.5 - - - - -",
    "1.5": "- 135 96.5 70 54 36 19 15 - - - -",
    "2.0": "- 220 156 105 79 53 33 25 19.5 12.5 - -",
    "2.5": "- 280 200 125 100 66 40.5 32.5 24 15.5 12 -",
    "3.0": "- - 260 180 130 87 65 51 40 27 17.5 12",
    "3.5": "- - - 215 150 100 75 60 46 31.5 20 14",
    "4.0": "- - - 255 173 115 86 69 43 36 23 16",
    "5.0": "- - - 310 236 155 118 94 71.5 50 36 23",
    "6.0": "- - - - 282 185 140 112 93.5 64.5 47.5 34.5",
    "7.0": "- - - - - 216 163 130 109 82 60 48",
    "9.0": "- - - - - - 212 168 140 105 84 62",
    "10.0": "- - - - - - 245 187 156 117 93 69",
    "12.0": "- - - - - - 295 225 187 140 113 83",
}
LIFTS = ("5", "7.5", "10", "15", "20", "30", "40", "50", "60", "80", "100", "125")
ERRATA = {("4.0", "60"): "53"}
CELLS = [
    (fall, lift, litres)
    for fall, row in PRINTED.items()
    for lift, litres in zip(LIFTS, row.split(), strict=True)
    if litres != "-"
]
# The efficiencies on whose steps the page was made, in per cent.
STEPS = np.array([35, 40, 45, 50, 55, 60, 65]) / 100


@pytest.mark.parametrize(("fall", "lift", "litres"), CELLS)
def test_every_cell_of_the_table_of_outputs(fall: str, lift: str, litres: str) -> None:
    """The curve drawn through the table gives back each cell within its own spread."""
    example = WorkedExample(
        name=f"fall {fall} m, lift {lift} m",
        kind="published",
        source=OUTPUT_TABLE,
        inputs={"fall": fall, "lift": lift, "drive": "1"},
        printed={"litres": litres},
        errata={"litres": ERRATA[fall, lift]} if (fall, lift) in ERRATA else {},
    )
    ratio = example.given("lift") / example.given("fall")
    ram = output_table_efficiency(min(ratio, 40.0), fall_m=example.given("fall"))
    low, high = (
        1440
        * float(
            delivered_flow_m3_s(
                example.given("drive"),
                efficiency,
                fall_m=example.given("fall"),
                lift_m=example.given("lift"),
            )
        )
        for efficiency in (ram.low, ram.high)
    )
    half = example.tolerance("litres")
    assert low - half <= example.result("litres") <= high + half
    assert high - low <= 0.19 * 1440 / ratio


def test_the_table_in_the_program_is_the_page() -> None:
    typed = {
        (str(fall), f"{lift:g}"): f"{litres:g}"
        for fall, row in zip(TABLE_FALLS_M, TABLE_LITRES_A_DAY, strict=True)
        for lift, litres in zip(TABLE_LIFTS_M, row, strict=True)
        if not np.isnan(litres)
    }
    assert {(fall, lift): f"{float(litres):g}" for fall, lift, litres in CELLS} == typed


def test_cells_from_three_metres_stand_on_whole_steps_and_the_misprint_does_not() -> None:
    """The page was made from efficiencies in steps of 5 %: the rest is its rounding."""
    falls, ratios, found = implied_efficiencies()
    away = np.abs(found[:, None] - STEPS).min(axis=1)
    steady = (falls >= 3) & (ratios >= 5.1)
    assert away[steady].max() < 0.011
    fall, lift = MISPRINTED
    assert np.abs(43 * lift / (1440 * fall) - STEPS).min() < 0.011
    misprint, corrected = (litres * lift / (1440 * fall) for litres in (43, 53))
    neighbours = [69 * 50 / (1440 * fall), 36 * 80 / (1440 * fall)]
    assert misprint < min(neighbours)
    assert min(neighbours) < corrected < max(neighbours)


@pytest.mark.parametrize(
    ("ratio", "per_cent"),
    [("4", "72"), ("6", "61"), ("8", "52"), ("10", "44"), ("12", "37"), ("14", "31"),
     ("16", "10"), ("18", "19"), ("20", "14"), ("22", "9"), ("24", "4"), ("26", "0")],
)  # fmt: skip
def test_every_row_of_the_second_table(ratio: str, per_cent: str) -> None:
    example = WorkedExample(
        name=f"lift/fall {ratio}",
        kind="published",
        source=EFFICIENCY_BY_RATIO,
        inputs={"ratio": ratio},
        printed={"efficiency": per_cent},
        errata={"efficiency": "25"} if ratio == "16" else {},
    )
    example.assert_result("efficiency", 100 * float(pocketbook_efficiency(example.given("ratio"))))


def test_the_second_table_follows_a_line_in_the_root_of_the_ratio() -> None:
    """1.178 - 0.2322 sqrt(h/H), a least-squares line: no row is off by more than 0.6 point."""
    ratios = np.array(POCKETBOOK_RATIOS)
    line = 1.178 - 0.2322 * np.sqrt(ratios)
    assert np.max(np.abs(pocketbook_efficiency(ratios) - line)) < 0.0065


ratios = st.floats(1.0, 40.0)
falls = st.floats(1.0, 20.0)
BUILT: tuple[Built, ...] = ("bought", "home")
kinds = st.sampled_from(BUILT)


@given(ratios, st.floats(0.0, 5.0), falls, kinds)
def test_no_efficiency_rises_with_the_ratio(
    ratio: float, more: float, fall: float, built: Built
) -> None:
    here = table_efficiency([ratio, min(ratio + more, 40.0)], built=built, fall_m=fall)
    for values in (here.middle, here.low, here.high):
        assert values[1] <= values[0] + 1e-12


@given(st.floats(1.0, 39.999), falls, kinds)
def test_no_efficiency_steps(ratio: float, fall: float, built: Built) -> None:
    here = table_efficiency([ratio, ratio + 1e-6], built=built, fall_m=fall)
    for values in (here.middle, here.low, here.high):
        assert abs(values[1] - values[0]) < 1e-6


@given(ratios, falls, kinds)
def test_the_middle_stands_in_its_range_and_no_ram_gives_more_than_it_takes(
    ratio: float, fall: float, built: Built
) -> None:
    ram = table_efficiency(ratio, built=built, fall_m=fall)
    assert 0 <= ram.low <= ram.middle <= ram.high < 1
    assert ram.within_range


@given(ratios, falls)
def test_a_home_built_ram_never_stands_above_a_bought_one_of_the_first_table(
    ratio: float, fall: float
) -> None:
    home = table_efficiency(ratio, built="home", fall_m=fall)
    bought = output_table_efficiency(ratio, fall_m=fall)
    assert float(home.middle) == pytest.approx(float(bought.middle) / 2)


@given(ratios, falls)
def test_no_home_built_ram_is_surer_of_its_water_than_a_bought_one(
    ratio: float, fall: float
) -> None:
    home = table_efficiency(ratio, built="home", fall_m=fall)
    bought = table_efficiency(ratio, built="bought", fall_m=fall)
    for less, more in ((home.low, bought.low), (home.middle, bought.middle)):
        assert float(less) <= float(more) + 1e-12
    assert float(home.high) <= float(bought.high) + 1e-12


@given(ratios, st.floats(1.0, 12.0), st.floats(0.0, 3.0))
def test_a_greater_fall_never_lowers_the_table_of_outputs_much(
    ratio: float, fall: float, more: float
) -> None:
    """The rows of the page themselves cross by a point or two at great ratios."""
    less, greater = output_table_efficiency(ratio, fall_m=[fall, fall + more]).middle
    assert greater >= less - 0.04


@pytest.mark.parametrize(
    ("ratio", "fall"), [(0.9, 3.0), (40.1, 3.0), (10.0, 0.9), (np.nan, 3.0), (10.0, np.nan)]
)
@pytest.mark.parametrize("built", BUILT)
def test_nothing_is_given_beyond_the_published_range(
    ratio: float, fall: float, built: Built
) -> None:
    ram = table_efficiency(ratio, built=built, fall_m=fall)
    assert np.isnan([ram.middle, ram.low, ram.high]).all()
    assert not ram.within_range
    assert not ram.sources_disagree


def test_where_the_two_tables_disagree_is_said() -> None:
    ram = table_efficiency([6.0, 20.0, 30.0], built="bought", fall_m=4.0)
    assert ram.sources_disagree.tolist() == [False, True, True]
    assert ram.low[1] == float(pocketbook_efficiency(20.0))
    assert ram.low[2] == 0.0


def test_the_sources_are_named() -> None:
    bought = table_efficiency(8.0, built="bought", fall_m=4.0).citations
    home = table_efficiency(8.0, built="home", fall_m=4.0).citations
    assert OUTPUT_TABLE in bought
    assert EFFICIENCY_BY_RATIO in bought
    assert {OUTPUT_TABLE, EFFICIENCY_BY_RATIO} <= set(home)
    assert all(isinstance(each, Citation) for each in (*bought, *home))


def test_ratio_and_fall_broadcast() -> None:
    ram = table_efficiency(np.full((3, 1), 9.0), built="bought", fall_m=[2.0, 4.0])
    assert ram.middle.shape == ram.within_range.shape == ram.sources_disagree.shape == (3, 2)
