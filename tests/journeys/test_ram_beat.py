"""From the study file to the beat of the ram, through the command."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.journeys.answers import answer, copy_of

RAM = '[ram]\nplace = "ram"\n'


def with_ram(folder: Path, keys: str) -> dict[str, Any]:
    """Return the answer of the raster sample with further keys of its ram."""
    study = copy_of("valley_raster", folder)
    file = study / "study.toml"
    text = file.read_text(encoding="utf-8")
    assert RAM in text
    file.write_text(text.replace(RAM, f"{RAM}{keys}\n"), encoding="utf-8")
    return answer(study)


def litres(measurement: dict[str, Any]) -> float:
    assert measurement["unit"] == "m3"
    return 1000 * float(measurement["value"])


def test_the_water_of_the_beats_is_the_water_of_the_minute(tmp_path: Path) -> None:
    ram = answer(copy_of("valley_raster", tmp_path))["ram"]
    cycle = ram["cycle"]
    for each, whole in (("lifted_per_beat", "delivered"), ("wasted_per_beat", "wasted")):
        assert cycle["beats"] * litres(cycle[each]) == pytest.approx(ram[whole]["value"])
    ideal, part = cycle["ideal_efficiency"]["value"], cycle["part_of_ideal"]["value"]
    assert ideal * part == pytest.approx(ram["rankine"]["value"])
    assert cycle["closing_share_origin"] == "taken"


def test_counted_beats_come_back_and_are_taken_no_more(tmp_path: Path) -> None:
    found = with_ram(tmp_path, 'beats = "70 +- 3 /min"')
    cycle = found["ram"]["cycle"]
    assert cycle["beats"] == pytest.approx(70.0)
    assert cycle["closing_share_origin"] == "beats"
    assert cycle["closing_share"] > 0.7
    assert "ram.beats" not in {one["key"] for one in found["taken"]}
    told = answer(copy_of("valley_raster", tmp_path / "as it was"))
    assert "ram.beats" in {one["key"] for one in told["taken"]}
    assert found["ram"]["delivered"] == told["ram"]["delivered"]


def test_beats_that_no_ram_makes_there_are_told_and_left_aside(tmp_path: Path) -> None:
    found = with_ram(tmp_path, 'beats = "300 /min"')
    (finding,) = [one for one in found["findings"] if one["kind"] == "beats-do-not-fit"]
    assert finding["severity"] == "care"
    assert finding["value"] == {"value": pytest.approx(0.2), "unit": "s", "std": None}
    assert found["ram"]["cycle"]["closing_share_origin"] == "taken"


def test_two_rams_have_each_the_beat_of_half_the_water(tmp_path: Path) -> None:
    ram = with_ram(tmp_path, "count = 2")["ram"]
    cycle = ram["cycle"]
    assert 2 * cycle["beats"] * litres(cycle["lifted_per_beat"]) == pytest.approx(
        ram["delivered"]["value"]
    )
