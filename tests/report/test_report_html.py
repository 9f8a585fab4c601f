"""The report is one file without script or outside address, and says all that is known."""

from __future__ import annotations

import base64
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import product
from typing import Any

import pytest

from terrain_head.assessment.choices import compare
from terrain_head.base.units import METRIC, US, UnitSystem, to_si
from terrain_head.report.doubt_tables import doubt_table, legs_table
from terrain_head.report.finding_words_safety import CAUTIONS, RAM_PARTS, STAND, cautions_of
from terrain_head.report.not_asked import not_asked_of
from terrain_head.report.ram_tables import ram_table, round_stands, stand_table
from terrain_head.report.report_html import Picture, comparison_html, report_html
from terrain_head.report.study_screen import study_screen
from terrain_head.report.table import Table
from terrain_head.report.tables import (
    filled,
    outlets_table,
    pipes_table,
    places_table,
    tanks_table,
)
from tests.report.builders import a, answer, drawn
from tests.report.sample_findings import SAMPLES

PICTURE = Picture(data=b"<svg/>", kind="svg", alternative="Ground and pipes", caption="A sheet")
CASES: list[dict[str, Any]] = [
    {},
    {"ram": False},
    {"tank": False, "ram": False, "outlets": 0},
    {"flow": False},
    {"findings": SAMPLES},
    {"choice": "ridge"},
    {"coordinates": False},
]


class _Page(HTMLParser):
    """Collects tags that are open, addresses, and images without words."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.addresses: list[str] = []
        self.tags: list[str] = []
        self.wordless = 0
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        found = dict(attrs)
        self.addresses += [found[key] or "" for key in ("src", "href", "action") if key in found]
        if tag == "img" and not found.get("alt"):
            self.wordless += 1
        if tag not in {"meta", "img", "hr", "br", "input"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text.append(data)


def _read(page: str) -> _Page:
    parser = _Page()
    parser.feed(page)
    parser.close()
    return parser


@pytest.mark.parametrize(
    ("case", "units"), list(product(CASES, [METRIC, US])), ids=lambda one: str(one)[:30]
)
def test_the_page_is_whole_and_holds_no_script_and_no_outside_address(
    case: dict[str, Any], units: UnitSystem
) -> None:
    page = _read(report_html(answer(**case, units=units), pictures={"profile": PICTURE}))
    assert page.open == []
    assert "script" not in page.tags
    assert all(one.startswith("data:") for one in page.addresses)
    assert page.wordless == 0
    text = " ".join(page.text)
    for leftover in ("None", "nan ", "{{", "}}"):
        assert leftover not in text


def test_us_readers_see_no_metric_unit_in_the_tables() -> None:
    page = _read(report_html(answer(units=US, findings=SAMPLES), pictures={}))
    assert re.search(r"\d (m|L/min|bar|kPa|kg|litres)\b", " ".join(page.text)) is None


def test_every_finding_and_every_caution_is_told() -> None:
    page = " ".join(
        " ".join(_read(report_html(answer(findings=SAMPLES), pictures={})).text).split()
    )
    for heading in ("Stop: as it stands", "Take care", "Good to know"):
        assert heading in page
    sure = [one for one in SAMPLES if one.kind == "air-high-point" and one.texts["sure"] == "sure"]
    assert page.count("will gather") == len(sure)
    for caution in CAUTIONS:
        assert caution in page
    assert "A. Nother, A Book on Rams, 1911, table 1" in page


def test_without_tank_and_ram_nothing_is_said_of_them() -> None:
    whole = answer()
    parts = replace(whole.layout.parts, tanks=(), ram=None)
    bare = replace(
        whole,
        layout=replace(whole.layout, parts=parts),
        solution=replace(whole.solution, tanks={}),
    )
    heads = outlets_table(bare).heads
    assert "running" in heads
    assert not any("tank" in head or "stand" in head for head in heads)
    assert all(len(row) == len(heads) for row in outlets_table(bare).rows)
    told = cautions_of(parts)
    assert set(CAUTIONS) - set(told) == {STAND, RAM_PARTS}
    assert cautions_of(whole.layout.parts) == CAUTIONS


def test_a_picture_fits_a_phone_and_can_be_made_larger() -> None:
    picture = Picture(data=b"<svg/>", kind="svg", alternative="a hill")
    page = report_html(answer(), pictures={"profile": picture})
    assert page.count('<label class="larger"><input type="checkbox">') == 1
    assert "<script" not in page


def test_what_was_not_asked_is_listed() -> None:
    open_question = replace(answer(), not_asked=("outlets",))
    assert "No outlets are named" in report_html(open_question, pictures={})
    assert "Not asked" not in report_html(answer(), pictures={})


def test_names_are_escaped() -> None:
    page = report_html(answer(title="<script>alert(1)</script>"), pictures={})
    assert "<script>" not in page


def test_a_picture_carries_its_own_bytes() -> None:
    picture = Picture(data=b"\x89PNG", kind="png", alternative="x")
    assert picture.address.startswith("data:image/png;base64,")
    assert base64.b64decode(picture.address.split(",")[1]) == b"\x89PNG"
    page = report_html(answer(), pictures={"profile": PICTURE})
    assert "A sheet" in page
    assert 'alt="Ground and pipes"' in page


@pytest.mark.parametrize("units", [METRIC, US])
def test_every_row_is_as_long_as_its_heads(units: UnitSystem) -> None:
    whole = answer(units=units)
    for make in (
        places_table,
        pipes_table,
        tanks_table,
        outlets_table,
        ram_table,
        stand_table,
        doubt_table,
    ):
        table = make(whole)
        assert table.rows
        assert {len(table.heads)} == {len(row) for row in table.rows}


def _cell(table: Table, row: str, head: str) -> str:
    column = table.heads.index(head)
    return next(one[column] for one in table.rows if one[0] == row)


def test_tables_show_the_figures_of_the_answer() -> None:
    whole = answer()
    assert _cell(outlets_table(whole), "beds", "tank low") == "1.29 bar (129 kPa)"
    assert _cell(outlets_table(whole), "house tap", "enough") == "NO"
    assert _cell(outlets_table(whole), "house tap", "stand it would need") == "3.6 m"
    assert _cell(pipes_table(whole), "drive", "flow") == "-"
    assert _cell(pipes_table(whole), "house", "rated") == "16.0 bar (1 600 kPa)"
    assert _cell(tanks_table(whole), "tank", "water when full") == "2 300 kg"
    assert _cell(places_table(whole), "house", "from") == "stated"
    assert ("takes", "42.4 L/min") in ram_table(whole).rows
    assert not any(row[0] == "passes by" for row in ram_table(whole).rows)


def test_a_measured_efficiency_is_called_so() -> None:
    whole = answer()
    assert whole.solution.ram is not None
    ram = replace(
        whole.solution.ram,
        efficiency_origin="measured",
        efficiency_citations=(),
        passed_by_m3_s=a(to_si(5.0, "L/min")),
    )
    table = ram_table(replace(whole, solution=replace(whole.solution, ram=ram)))
    rows = {row[0]: row[1] for row in table.rows}
    assert rows["efficiency (lift by fall)"] == "60 %, measured"
    assert "read in" not in rows
    assert rows["passes by"] == "5 L/min"


def test_an_outlet_that_needs_no_stand_says_none() -> None:
    whole = answer()
    flat = replace(whole.solution.outlets["beds"], stand_needed_m=a(-0.4))
    outlets = dict(whole.solution.outlets) | {"beds": flat}
    table = outlets_table(replace(whole, solution=replace(whole.solution, outlets=outlets)))
    assert _cell(table, "beds", "stand it would need") == "none needed"


def test_tables_without_rows_are_left_out() -> None:
    bare = answer(ram=False, tank=False, outlets=0)
    assert filled([ram_table(bare), stand_table(bare), tanks_table(bare)]) == []


def test_stands_go_up_in_round_steps() -> None:
    metric = round_stands(a([0.0, 6.0]), METRIC)
    assert pytest.approx(list(metric)) == [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    feet = round_stands(a([0.0, to_si(7.0, "ft")]), US)
    assert list(feet) == pytest.approx([to_si(float(n), "ft") for n in range(8)])
    assert round_stands(a([0.0, 100.0]), METRIC).size == 9


def test_the_stand_table_is_straight_between_the_heights_computed() -> None:
    # 4 000 litres a day less 150 for each metre; pressure 70 kPa and 9.8 kPa a metre.
    table = stand_table(answer())
    assert _cell(table, "2.0 m", "water a day") == "3 700 litres a day"
    assert _cell(table, "2.0 m", "beds") == "0.90 bar (90 kPa)"


def test_range_chance_and_cause_stand_beside_each_figure() -> None:
    name = "outlet.beds.running_low"
    whole = drawn(
        answer(),
        middles={"fall": 2.41, name: 62e3, "tank.tank.inflow": to_si(3_680.0, "L/d")},
        stds={"fall": 0.012, name: 3e3, "tank.tank.inflow": to_si(300.0, "L/d")},
        shares={
            name: {"raster": 0.9, "inside diameter": 0.08, "roughness": 0.02},
            "delivered": {"efficiency": 1.0},
        },
    )
    table = doubt_table(whole)
    assert ("fall", "2.41 m", "2.39 to 2.43 m", "", "", "-") == table.rows[0]
    assert "2 600 litres a day" == _cell(table, "into the tank", "needed")
    assert "yes" == _cell(table, "into the tank", "met")
    assert "the ram's efficiency all" == table.rows[1][-1]
    assert "seven chances in ten" == _cell(table, "beds, running, tank low", "met")
    assert "the height map nearly all, the pipes' inside diameters a tenth" == table.rows[2][-1]


def test_a_stand_says_the_sure_height_and_its_middle() -> None:
    name = "outlet.house tap.stand_needed"
    whole = drawn(answer(), middles={name: 3.6}, stds={name: 0.3})
    table = outlets_table(whole)
    assert "4.0 m, middle 3.6 m" == _cell(table, "house tap", "stand it would need")


def test_the_legs_of_a_stand_are_compared_with_the_highest() -> None:
    whole = answer()
    tank = replace(whole.layout.tanks[0], legs=("house", "beds"))
    parts = replace(whole.layout.parts, tanks=(tank,))
    table = legs_table(replace(whole, layout=replace(whole.layout, parts=parts)))
    assert ("house", "tank", "106.10 m", "the highest", "-") == table.rows[0]
    assert ("beds", "tank", "101.40 m", "4.70 m") == table.rows[1][:4]
    assert () == legs_table(whole).rows


def test_what_was_not_asked_has_its_real_reason() -> None:
    beyond = replace(answer(), not_asked=("ram.efficiency",))
    assert "beyond the published efficiencies" in not_asked_of(beyond)[0]
    straight = replace(answer(ram=False, tank=False), not_asked=("tank",))
    assert [] == not_asked_of(straight)
    assert "Not asked" not in study_screen(straight, results_folder=None)


def test_a_tank_without_water_shows_what_is_known() -> None:
    assert _cell(tanks_table(answer(flow=False)), "tank", "filled in") == "-"


@pytest.mark.parametrize("units", [METRIC, US])
def test_the_page_of_choices_is_whole_and_names_each(units: UnitSystem) -> None:
    answers = [
        answer(units=units),
        answer(units=units, choice="ridge", per_day_l=4100.0),
    ]
    page = _read(comparison_html(answers, compare(answers), pictures={"plan": PICTURE}))
    assert [] == page.open
    assert all(one.startswith("data:") for one in page.addresses)
    text = " ".join(" ".join(page.text).split())
    assert "'ridge' brings the most water" in text
    assert "better by more water" in text
    assert "House tap gets" in text
    assert "water a day" in text
