"""The ram's beat and the rules for its drive pipe in the report and in the JSON document."""

from __future__ import annotations

from dataclasses import replace

import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.evidence import Evidence
from terrain_head.base.measured import Measured
from terrain_head.base.units import US, from_si
from terrain_head.formulas.drive_sizing import agreed, lengths_allowed
from terrain_head.report.cycle_document import cycle_document
from terrain_head.report.cycle_tables import cycle_table, variants_table
from terrain_head.report.drive_tables import bores_table, lengths_table
from terrain_head.report.report_html import report_html
from terrain_head.report.study_document import study_document
from terrain_head.scheme.ram_cycle import cycle_of
from terrain_head.scheme.ram_variants import variants_of
from tests.assessment.builders import (
    answer_of,
    evidence_of,
    with_ram,
    with_ram_result,
    with_run,
    with_spec,
)

TABLES = (cycle_table, variants_table, lengths_table, bores_table)


@pytest.fixture
def steel() -> Answer:
    return answer_of(with_spec(evidence_of(), "drive", wall_m=3.9e-3))


def of(evidence: Evidence) -> dict[str, str]:
    rows = cycle_table(answer_of(evidence)).rows
    return {row[0]: row[1] for row in rows}


def test_the_beat_is_told_in_both_units(steel: Answer) -> None:
    found = cycle_of(steel.solution)
    assert found is not None
    rows = {row[0]: row[1] for row in cycle_table(steel).rows}
    beats = from_si(1 / float(found.cycle.beat.time_s), "/min")
    assert rows["beats a minute, ideal"] == f"{beats:.0f}"
    assert rows["lifted a beat"] == f"{from_si(float(found.delivered_m3), 'mL'):.0f} mL"
    assert rows["speed of a pressure wave"] == "1340 m/s"
    assert "0.70 of the steady velocity (taken)" in rows["waste valve shuts at"]
    assert "measured; not checked on rams" in rows["what the ram makes of the ideal"]
    us = {row[0]: row[1] for row in cycle_table(replace(steel, units=US)).rows}
    assert us["speed of a pressure wave"] == "4390 ft/s"
    assert us["lifted a beat"].endswith("gal")
    assert us["rating of the drive pipe"].endswith("psi")


def test_what_gave_the_closing_and_the_efficiency_is_told() -> None:
    counted = of(with_ram(evidence_of(), beats_hz=Measured(value=1.0)))
    assert counted["beats a minute, ideal"] == "60"
    assert "(from the counted beats)" in counted["waste valve shuts at"]
    table = of(with_ram_result(evidence_of(), efficiency_origin="table"))
    assert "by the published table" in table["what the ram makes of the ideal"]
    none = of(with_ram_result(evidence_of(), rankine=None, delivered_m3_s=None))
    assert "what the ram makes of the ideal" not in none
    assert "lifted a beat" not in none


def test_what_is_not_known_of_the_wall_is_told() -> None:
    stiff = of(evidence_of())
    assert stiff["speed of a pressure wave"] == "1420 m/s, the pipe taken as stiff"
    soft = with_spec(evidence_of(), "drive", rigid=False, material="PE", rating_pa=None)
    assert "not known" in of(soft)["full blow, delivery valve stuck"]
    assert variants_table(answer_of(soft)).rows[0][4] == "-"
    assert variants_table(answer_of(soft)).rows[0][5] == "-"
    assert "rating of the drive pipe" not in of(with_spec(evidence_of(), "drive", rating_pa=None))


def test_one_thing_is_changed_at_a_time(steel: Answer) -> None:
    variants = variants_of(steel.solution)
    assert [(one.changed, one.times) for one in variants] == [
        ("nothing", 1.0), ("length", 0.5), ("length", 2.0), ("bore", 0.8), ("bore", 1.25),
        ("wall", 0.5), ("material", 1.0), ("closing", 0.5), ("closing", 0.9),
    ]  # fmt: skip
    now = variants[0].cycle
    by = {(one.changed, one.times): one.cycle for one in variants}
    assert by["length", 2.0].beat.time_s == pytest.approx(2 * float(now.beat.time_s))
    assert by["length", 0.5].hammer_m == pytest.approx(float(now.hammer_m))
    assert by["bore", 0.8].hammer_m > now.hammer_m > by["bore", 1.25].hammer_m
    assert by["wall", 0.5].hammer_m < now.hammer_m
    assert by["material", 1.0].hammer_m < by["wall", 0.5].hammer_m
    assert by["closing", 0.5].ideal_efficiency > now.ideal_efficiency
    assert by["closing", 0.9].ideal_efficiency < now.ideal_efficiency
    rows = variants_table(steel).rows
    assert [row[0] for row in rows][:2] == ["as it is", "0.5 times the length"]
    assert "drive pipe of PE, SDR 11" in {row[0] for row in rows}


def test_a_plastic_or_unknown_pipe_is_not_compared_with_what_it_is() -> None:
    plastic = with_spec(evidence_of(), "drive", rigid=False, material="PE", wall_m=5e-3)
    kinds = [one.changed for one in variants_of(plastic.solution)]
    assert "wall" in kinds
    assert "material" not in kinds
    stiff = [one.changed for one in variants_of(evidence_of().solution)]
    assert "wall" not in stiff
    assert "material" in stiff


def test_the_rules_and_where_they_agree(steel: Answer) -> None:
    """5 m of fall, 25 m of 52.5 mm."""
    table = lengths_table(steel)
    both = agreed(lengths_allowed(fall_m=5.0, inside_m=0.0525))
    assert {row[0] for row in table.rows} == {*both.agree, *both.differ}
    verdicts = {row[0]: row[3] for row in table.rows}
    assert verdicts["length 5 to 10 falls"].endswith("meets it")
    assert verdicts["length 2 to 4 falls"].endswith("does not")
    assert "; ".join(both.differ) in table.note
    bores = bores_table(steel)
    assert [row[0] for row in bores.rows][-1] == "flow that such a bore is listed for"
    assert any("twice the delivery" in row[0] for row in bores.rows)
    assert "Where all agree" in bores.note


def test_the_bore_of_a_delivery_that_several_rams_share_is_no_measure_of_one() -> None:
    two = with_ram(evidence_of(), count=2)
    assert not any("twice" in row[0] for row in bores_table(answer_of(two)).rows)
    bare = with_run(evidence_of(), "delivery", spec=None)
    assert bores_table(answer_of(bare)).rows


def test_without_ram_flow_or_pipe_the_tables_are_empty() -> None:
    dry = answer_of(with_ram_result(evidence_of(), used_m3_s=None))
    assert [bool(table(dry).rows) for table in TABLES] == [False, False, True, False]
    gone = evidence_of()
    layout = replace(gone.layout, parts=replace(gone.layout.parts, ram=None))
    bare = replace(gone, layout=layout, solution=replace(gone.solution, layout=layout, ram=None))
    answer = answer_of(bare)
    assert [table(answer).rows for table in TABLES] == [(), (), (), ()]
    assert cycle_document(answer) is None


def test_the_document_holds_the_beat(steel: Answer) -> None:
    ram = study_document(steel)["ram"]
    cycle = ram["cycle"]
    found = cycle_of(steel.solution)
    assert found is not None
    assert cycle["beats"] == pytest.approx(60 / cycle["beat_time"]["value"])
    assert cycle["beat_time"]["value"] == float(found.cycle.beat.time_s)
    assert cycle["hammer"]["unit"] == "kPa"
    assert cycle["hammer"]["value"] > cycle["hammer_likely"]["value"]
    assert (cycle["closing_share"], cycle["closing_share_origin"]) == (0.7, "taken")
    assert "seven tenths" in cycle["closing_share_source"]
    counted = answer_of(with_ram(evidence_of(), beats_hz=Measured(value=1.0)))
    assert study_document(counted)["ram"]["cycle"]["closing_share_source"] is None
    assert study_document(counted)["ram"]["cycle"]["beats"] == pytest.approx(60.0)


def test_the_report_shows_the_beat_and_the_rules(steel: Answer) -> None:
    page = report_html(steel, pictures={})
    for title in (table(steel).title for table in TABLES):
        assert title in page
