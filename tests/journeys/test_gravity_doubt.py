"""A spring that feeds a tank by itself: its doubt, its advice, and outlets that get no water."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.measure_next import measure_next
from terrain_head.plots.alternative import text_alternative
from terrain_head.report.outlet_table import outlet_rows
from terrain_head.report.study_document import study_document
from terrain_head.report.study_screen import study_screen
from terrain_head.workflows.study import answer_choice, open_study

VALLEY = Path(__file__).parents[2] / "sample_surveys" / "valley_raster"

STUDY = """
title = "By itself"
[ground]
map = "map.geojson"
map_error = "0.5 m"
dem = "valley.tif"
dem_unit = "m"
dem_error = "{error}"
dem_range = "60 m"
[source]
place = "{spring}"
flow = "10 +- 1 L/min"
share = "80 %"
[tank]
place = "{tank}"
stand = "0 m"
water_depth = "1.2 m"
lowest = "0.2 m"
diameter = "1.6 m"
needed = "9000 L/day"
[pipe.feed]
from = "source"
to = "tank"
route = "straight"
cover = "0.6 m"
spec = "PE100 ISO 4427 32 mm SDR 11"
[pipe.line]
from = "tank"
to = "beds"
route = "straight"
spec = "PE100 ISO 4427 32 mm SDR 11"
[outlet.tap]
place = "beds"
height = "1.0 m"
flow = "12 L/min"
pressure = "0.5 bar"
"""


def answer(tmp_path: Path, *, spring: str, tank: str, error: str) -> Answer:
    for name in ("map.geojson", "valley.tif"):
        shutil.copy(VALLEY / name, tmp_path)
    text = STUDY.format(spring=spring, tank=tank, error=error)
    (tmp_path / "study.toml").write_text(text, encoding="utf-8")
    return answer_choice(open_study(tmp_path))


def tap(found: Answer) -> dict[str, Any]:
    one: dict[str, Any] = study_document(found)["outlets"]["tap"]
    return one


def test_the_drop_to_the_tank_has_its_doubt_on_the_screen(tmp_path: Path) -> None:
    found = answer(tmp_path, spring="knoll", tank="gate", error="0.15 m")
    assert found.drawn is not None
    std = found.drawn.std("tank.tank.drop")
    assert std == pytest.approx(found.spread["tank.tank.drop"].std, rel=1e-6)
    line = next(
        one for one in study_screen(found, results_folder=None).splitlines() if "inlet" in one
    )
    assert "+- " in line
    assert tap(found)["enough"] is True
    assert tap(found)["chance"] == 1.0


def test_a_tap_below_a_tank_without_water_is_not_served(tmp_path: Path) -> None:
    found = answer(tmp_path, spring="gate", tank="knoll", error="0.15 m")
    assert ["no water"] == [row.enough for row in outlet_rows(found)]
    assert tap(found)["running_low"]["value"] > tap(found)["needs"]["value"]
    assert tap(found)["enough"] is False
    assert tap(found)["chance"] == 0.0
    assert "pressure" not in {one.kind for one in measure_next(found)}
    assert "No water gets to tap." in text_alternative(found, picture="system")


def test_what_would_tell_whether_water_arrives_is_leveled_first(tmp_path: Path) -> None:
    """A tank some decimetres over the spring by a raster that may be metres off."""
    found = answer(tmp_path, spring="house", tank="trough", error="1.5 m")
    assert tap(found)["enough"] is False
    assert 0.1 < tap(found)["chance"] < 0.5
    (question,) = measure_next(found)
    assert ("water", "tank") == (question.kind, question.name)
    first = question.measurements[0]
    assert first.kind == "level a tank"
    assert first.foreseen is not None
    assert first.foreseen.known > 0.5
    screen = " ".join(study_screen(found, results_folder=None).split())
    assert "Measure next Level from the spring to the tank" in screen


def test_a_pipe_that_sucks_leaves_the_outlet_open(tmp_path: Path) -> None:
    found = answer(tmp_path, spring="knoll", tank="gate", error="0.15 m")
    text = (tmp_path / "study.toml").read_text(encoding="utf-8")
    dry = text[: text.index("[tank]")] + text[text.index("[pipe.line]") :].replace(
        'from = "tank"', 'from = "source"'
    )
    (tmp_path / "study.toml").write_text(dry, encoding="utf-8")
    found = answer_choice(open_study(tmp_path))
    assert "pressure-negative" in {one.kind for one in found.findings}
    assert ["can't tell"] == [row.enough for row in outlet_rows(found)]
    assert tap(found)["enough"] is None
    assert tap(found)["chance"] is None


def test_every_value_taken_is_counted(tmp_path: Path) -> None:
    found = answer(tmp_path, spring="knoll", tank="gate", error="0.15 m")
    counted = next(one for one in found.findings if one.kind == "values-taken")
    assert counted.value == len(found.taken)
    assert {"pipe.inside", "pipe.roughness"} <= {one.key for one in found.taken}
