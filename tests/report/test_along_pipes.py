"""What happens along a pipe, in the report and in the JSON document."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.evidence import Evidence
from terrain_head.assessment.surge_findings import surge_in
from terrain_head.assessment.truck import filling_of
from terrain_head.base.units import METRIC, US, UnitSystem, from_si
from terrain_head.report.outlet_table import outlet_lines
from terrain_head.report.report_html import report_html
from terrain_head.report.study_document import dumps, study_document
from terrain_head.report.surge_table import filling_table, surge_table
from terrain_head.report.words import finding_text
from terrain_head.scheme.joining import lay_out
from terrain_head.scheme.parts import Opening, Parts, PipeSpec, Source
from terrain_head.scheme.pipe_flow import Water
from terrain_head.scheme.solver import solve
from tests.assessment.builders import answer_of
from tests.scheme.hills import hill, m, outlet, run, tank

METRE_PA = float(Water.at(10.0).pressure_pa(1.0))
HEIGHTS = {"spring": 205.0, "knoll": 200.0, "road": 100.0}


def pipe(*, bears_m: float, wall_m: float | None = 5e-3) -> PipeSpec:
    return PipeSpec(
        label="PE 63 mm",
        inside_m=m(0.05),
        roughness_m=m(7e-6),
        wall_m=wall_m,
        rating_pa=bears_m * METRE_PA,
        material="PE",
    )


def answer(
    *, bears_m: float = 60.0, fills_m3: float | None = 1.0, wall_m: float | None = 5e-3
) -> Answer:
    """Return a spring that fills a tank, from which a line goes down to a road over a hump."""
    truck = outlet("truck", place="road", flow_m3_s=None, needs_pa=None)
    parts = Parts(
        source=Source(place="spring", flow_m3_s=m(2e-4)),
        tanks=(tank(diameter_m=2.0, depth_m=1.0, lowest_m=0.0, inlet_m=1.0),),
        pipes=(
            replace(run("fill", "source", "tank"), spec=pipe(bears_m=60.0)),
            replace(run("line", "tank", "road"), spec=pipe(bears_m=bears_m, wall_m=wall_m)),
        ),
        outlets=(
            replace(truck, opens=Opening(), fills_m3=None if fills_m3 is None else m(fills_m3)),
        ),
    )
    ground = hill(
        parts,
        HEIGHTS,
        between={"line": [150.0, 160.0, 130.0]},
        plan_m={"line": 400.0, "fill": 50.0},
    )
    layout = lay_out(parts, ground=ground)
    return answer_of(
        Evidence(
            ground=ground,
            layout=layout,
            solution=solve(layout),
            elevations=None,
            grid=None,
            spread={},
        )
    )


def test_the_document_tells_surge_tanks_turns_and_the_largest_flow() -> None:
    one = answer()
    document = study_document(one)
    line, fill = document["pipes"]["line"], document["pipes"]["fill"]
    surge = surge_in(one.solution, one.layout.pipes["line"])
    assert surge is not None
    assert line["surge"]["wave_speed"] == {"value": surge.wave_m_s, "unit": "m/s", "std": None}
    assert line["surge"]["hammer"]["value"] == pytest.approx(from_si(surge.hammer_pa, "kPa"))
    assert line["surge"]["allowed"]["value"] == pytest.approx(from_si(1.5 * 60.0 * METRE_PA, "kPa"))
    assert line["break_pressure"]["over_from"]["pipe"] == "line"
    assert [200.0] == line["high_points"]
    assert len(line["at_high_points"]) == 1
    assert ["drain"] == line["at_low_points"]
    assert line["largest_flow"] is None
    assert fill["largest_flow"]["limit"] == "source"
    assert fill["largest_flow"]["flow"]["value"] == pytest.approx(12.0)
    assert fill["break_pressure"] is None
    assert json.loads(dumps(document)) == document


def test_the_document_tells_how_a_truck_is_filled() -> None:
    one = answer(bears_m=110.0)
    found = filling_of(one.solution, one.layout.outlets[0])
    assert found is not None
    truck = study_document(one)["outlets"]["truck"]
    assert truck["fills"]["value"] == 1.0
    assert truck["fill_time"]["value"] == found.time_s
    assert truck["fill_flow"]["first"]["value"] > truck["fill_flow"]["last"]["value"]
    assert truck["slammed"]["closing_time"]["value"] == found.closing_s
    short = study_document(answer(fills_m3=9.0))["outlets"]["truck"]
    assert short["fill_time"] is None
    plain = study_document(answer(fills_m3=None))["outlets"]["truck"]
    assert [plain[key] for key in ("fills", "fill_time", "fill_flow", "slammed")] == [None] * 4
    stiff = study_document(answer(wall_m=None))
    assert stiff["outlets"]["truck"]["slammed"] is None
    assert stiff["pipes"]["line"]["surge"] is None


def test_the_report_tells_both_in_both_units() -> None:
    metric, us = answer(bears_m=110.0), replace(answer(bears_m=110.0), units=US)
    (fill, line) = surge_table(metric).rows
    assert (fill[0], line[0]) == ("fill", "line")
    assert line[4].endswith("kPa)")
    (truck,) = filling_table(metric).rows
    assert truck[:2] == ("truck", "1 000 litres")
    assert filling_table(us).rows[0][1] == "260 gallons"
    assert surge_table(us).rows[1][4].endswith("psi")
    page = report_html(metric, pictures={})
    assert "If a valve is slammed" in page
    assert "Filling so much at a time" in page
    assert "Filling so much at a time" not in report_html(answer(fills_m3=None), pictures={})


def test_a_table_says_what_is_not_known_and_what_is_too_much() -> None:
    (short,) = filling_table(answer(fills_m3=9.0)).rows
    assert short[2] == "not enough water"
    # Still water alone is more than the pipe bears with blows: no closing is slow enough.
    assert surge_table(answer(bears_m=60.0)).rows[1][7] == "-"
    assert surge_table(answer(bears_m=500.0)).rows[1][7] == "any time"


def said(one: Answer, kind: str) -> str:
    (finding,) = [each for each in one.findings if each.kind == kind]
    return finding_text(finding, units=METRIC)


def test_a_weak_line_says_where_a_tank_belongs_and_a_hard_stop_how_slowly_to_shut() -> None:
    weak = said(answer(bears_m=60.0), "pressure-over-rating")
    assert "Take a stronger pipe from" in weak
    assert "along the pipe 'line'" in weak
    slow = said(answer(bears_m=110.0), "outlet-fills")
    assert "Filling 1 000 litres at truck takes" in slow
    assert "or more to shut it." in slow


@pytest.mark.parametrize(("units", "full"), [(METRIC, "1 000 litres in"), (US, "260 gallons in")])
def test_the_screen_says_how_long_the_full_tank_takes(units: UnitSystem, full: str) -> None:
    one = replace(answer(bears_m=110.0), units=units)
    (line,) = [line for line in outlet_lines(one) if line.startswith("  truck")]
    assert "runs out free" in line
    assert full in line
    assert len(line) <= 79
    (plain,) = [line for line in outlet_lines(answer(fills_m3=None)) if line.startswith("  truck")]
    assert " in " not in plain
