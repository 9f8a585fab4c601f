"""The JSON of a study holds every key of the contract, metric, and never a nan."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from terrain_head.base.middle import middle_of
from terrain_head.base.units import US
from terrain_head.report.measurement import bare_list, measurement
from terrain_head.report.study_document import dumps, study_document
from tests.report.builders import answer

TOP = {
    "title",
    "choice",
    "plane",
    "datum",
    "places",
    "fall",
    "lift",
    "drive_pipe_length",
    "delivery_pipe_length",
    "ram",
    "tanks",
    "outlets",
    "stand_sweep",
    "pipes",
    "findings",
    "taken",
    "not_asked",
    "doubt",
    "budget",
}
MEASURED = {
    ("fall",): "m",
    ("lift",): "m",
    ("drive_pipe_length",): "m",
    ("delivery_pipe_length",): "m",
    ("places", "spring", "elevation"): "m",
    ("places", "spring", "east"): "m",
    ("places", "spring", "north"): "m",
    ("ram", "used"): "L/min",
    ("ram", "delivered"): "L/min",
    ("ram", "wasted"): "L/min",
    ("ram", "efficiency"): "1",
    ("ram", "delivery_head"): "m",
    ("ram", "per_day"): "m3/d",
    ("ram", "breakeven", "flow"): "L/min",
    ("ram", "breakeven", "efficiency"): "1",
    ("ram", "breakeven", "fall"): "m",
    ("tanks", "tank", "deck"): "m",
    ("tanks", "tank", "full_level"): "m",
    ("tanks", "tank", "lowest_level"): "m",
    ("tanks", "tank", "inlet_level"): "m",
    ("tanks", "tank", "inflow"): "L/min",
    ("tanks", "tank", "fill_time"): "s",
    ("tanks", "tank", "weight_full"): "kg",
    ("outlets", "beds", "static_full"): "kPa",
    ("outlets", "beds", "static_low"): "kPa",
    ("outlets", "beds", "running_full"): "kPa",
    ("outlets", "beds", "running_low"): "kPa",
    ("outlets", "beds", "flow"): "L/min",
    ("outlets", "beds", "needs"): "kPa",
    ("outlets", "beds", "stand_needed", "middle"): "m",
    ("pipes", "delivery", "length"): "m",
    ("pipes", "delivery", "plan_length"): "m",
    ("pipes", "delivery", "flow"): "L/min",
    ("pipes", "delivery", "velocity"): "m/s",
    ("pipes", "delivery", "head_loss"): "m",
    ("pipes", "delivery", "max_static"): "kPa",
    ("pipes", "delivery", "rating"): "kPa",
    ("pipes", "delivery", "min_clearance"): "m",
}
ALONG = (
    "stations",
    "ground",
    "ground_std",
    "origin",
    "pipe",
    "static",
    "head",
    "hydraulic_grade_line",
)


def _at(document: Any, path: tuple[str, ...]) -> Any:
    for key in path:
        document = document[key]
    return document


def test_the_document_holds_every_key_of_the_contract() -> None:
    assert set(study_document(answer())) >= TOP
    assert set(study_document(answer(ram=False, tank=False, outlets=0))) >= TOP


@pytest.mark.parametrize("path", MEASURED, ids=".".join)
def test_a_measurement_has_value_unit_and_std(path: tuple[str, ...]) -> None:
    found = _at(study_document(answer()), path)
    assert {"value", "unit", "std"} <= set(found)
    assert MEASURED[path] == found["unit"]
    assert isinstance(found["value"], float)


def test_lists_along_a_pipe_have_one_bare_number_a_station() -> None:
    pipe = study_document(answer())["pipes"]["delivery"]
    assert {len(pipe["stations"])} == {len(pipe[key]) for key in ALONG}
    assert pipe["origin"][0] == "leveled"
    assert pipe["ground_std"][2] is None
    assert pipe["static"] == [121.7] * 5
    assert pipe["low_points"] == []


def test_the_drive_pipe_has_a_static_line_and_no_grade_line() -> None:
    pipe = study_document(answer())["pipes"]["drive"]
    assert pipe["head"] is None
    assert pipe["hydraulic_grade_line"] is None
    assert pipe["flow"] is None
    assert pipe["static"] == [100.0] * 5


def test_what_the_data_do_not_reach_is_null() -> None:
    document = study_document(answer(flow=False, tank=True))
    assert document["ram"]["delivered"] is None
    assert document["ram"]["breakeven"] is None
    assert document["tanks"]["tank"]["inflow"] is None
    assert document["outlets"]["beds"]["enough"] is None
    assert document["outlets"]["beds"]["stand_needed"] is None
    assert document["stand_sweep"] is None
    assert study_document(answer(ram=False))["ram"] is None
    assert study_document(answer(ram=False))["fall"] is None
    assert study_document(answer(ram=False))["drive_pipe_length"] is None


def test_a_site_without_coordinates_has_no_plane_and_null_positions() -> None:
    document = study_document(answer(coordinates=False))
    assert document["plane"] is None
    assert document["places"]["spring"]["east"] is None
    assert pytest.approx(document["places"]["spring"]["elevation"]["std"]) == 0.004


def test_doubt_not_computed_is_null_and_never_nought() -> None:
    sure = study_document(answer())
    assert sure["fall"]["std"] == 0.012
    assert sure["ram"]["delivered"]["std"] is None
    assert study_document(answer(fall_std_m=None))["fall"]["std"] is None
    assert sure["doubt"] is None
    assert sure["budget"] is None
    assert sure["outlets"]["beds"]["chance"] is None


def test_the_document_is_metric_whatever_the_study_shows() -> None:
    assert study_document(answer()) == study_document(answer(units=US))


def test_findings_taken_and_not_asked_are_listed() -> None:
    document = study_document(answer())
    first, second = document["findings"]
    assert {"kind", "severity", "text", "where", "value", "limit", "source"} == set(first)
    assert {"pipe", "station", "place", "outlet"} == set(first["where"])
    assert first["value"] == {"value": 87.6, "unit": "kPa", "std": None}
    assert second["limit"] is None
    assert second["source"].startswith("A. Nother")
    taken, word = document["taken"]
    assert taken["value"] == {"value": 10.0, "unit": "C", "std": None}
    assert word["value"] == "bought"
    assert document["not_asked"] == []


def test_the_text_is_json_that_reads_back_to_the_document() -> None:
    document = study_document(answer())
    assert document == json.loads(dumps(document))


def test_a_nan_never_reaches_the_text() -> None:
    with pytest.raises(ValueError, match="JSON"):
        dumps({"value": float("nan")})


def test_the_sweep_lists_stands_pressures_and_water() -> None:
    sweep = study_document(answer())["stand_sweep"]
    assert sweep["stand"] == [0.0, 2.0, 4.0, 6.0]
    assert sweep["running_low"]["beds"][0] == 70.0
    assert pytest.approx(sweep["per_day"][0]) == 4.0


def test_of_draws_the_middle_is_told() -> None:
    assert middle_of([1.0, 2.0, 9.0]) == 2.0
    assert bare_list([[1.0, 4.0], [2.0, 5.0], [3.0, 6.0]]) == [2.0, 5.0]
    assert bare_list(None) is None
    assert measurement(float("nan"), "m") is None


def test_a_temperature_s_spread_is_not_moved_by_the_zero_of_its_scale() -> None:
    assert measurement(10.0, "C", std_si=2.0) == {"value": 10.0, "unit": "C", "std": 2.0}
    assert measurement(0.6, "1", std_si=0.1) == {"value": 0.6, "unit": "1", "std": 0.1}


def test_high_and_low_points_are_stations_between_the_ends() -> None:
    pipe = study_document(answer())["pipes"]["house"]
    for spot in (*pipe["high_points"], *pipe["low_points"]):
        assert pipe["stations"][0] < spot < pipe["stations"][-1]


def test_high_points_are_null_where_the_ground_between_is_not_known() -> None:
    whole = answer()
    pipe = whole.layout.pipes["house"]
    bare = replace(pipe, profile=replace(pipe.profile, between_known=False))
    layout = replace(whole.layout, pipes=dict(whole.layout.pipes) | {"house": bare})
    found = study_document(replace(whole, layout=layout))["pipes"]["house"]
    assert found["high_points"] is None
    assert found["low_points"] is None
