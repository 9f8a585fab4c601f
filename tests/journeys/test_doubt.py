"""The doubt of the samples, from their files to the document."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from terrain_head.assessment.differences import difference_doubt
from terrain_head.cli.main import run
from terrain_head.workflows.study import answer_choice, open_study
from tests.journeys.answers import SAMPLES, answer, copy_of


def compared(sample: str, capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    assert run(["compare", str(SAMPLES / sample), "--json"]) == 0
    document: dict[str, Any] = json.loads(capsys.readouterr().out)
    return document


def test_the_same_study_gives_the_same_digits_every_time() -> None:
    assert answer(SAMPLES / "hill_farm_both") == answer(SAMPLES / "hill_farm_both")


def test_a_choice_has_the_same_figures_alone_and_beside_the_others() -> None:
    valley = open_study(SAMPLES / "valley_raster")
    alone = answer_choice(valley, choice="round")
    beside = {
        name: answer_choice(open_study(SAMPLES / "valley_raster"), choice=name)
        for name in ("main", "round")
    }
    assert alone.drawn is not None
    again = beside["round"].drawn
    assert again is not None
    assert alone.drawn.samples.keys() == again.samples.keys()
    for name, samples in alone.drawn.samples.items():
        assert np.array_equal(samples, again.samples[name])
    doubt = difference_doubt(beside["round"], beside["main"], result="delivered")
    assert doubt is not None
    assert doubt.std is not None
    of_main = beside["main"].drawn
    assert of_main is not None
    first, second = (np.std(one.samples["delivered"]) for one in (again, of_main))
    independent = np.hypot(first, second)
    # The same ground, spring and ram stand under both ways: what is left is the pipe's own loss.
    assert doubt.std < 0.05 * independent
    assert doubt.chance_more > 0.9


def test_every_measurement_that_was_drawn_has_its_ends() -> None:
    document = answer(SAMPLES / "valley_raster")
    per_day = document["ram"]["per_day"]
    assert per_day["low"] < per_day["value"] < per_day["high"]
    assert per_day["std"] > 0
    assert set(document["doubt"]) == {
        "fall",
        "lift",
        "delivered",
        *(f"outlet.{name}.running_low" for name in document["outlets"]),
    }
    for shares in document["doubt"].values():
        assert sum(shares.values()) == pytest.approx(1.0, abs=1e-12)
    fall = document["doubt"]["fall"]
    assert fall["raster"] + fall["marks"] == pytest.approx(1.0, abs=1e-12)
    assert fall["marks"] > 0.1
    assert {name for name, share in fall.items() if not share} == {
        "source flow", "efficiency", "inside diameter", "roughness"
    }  # fmt: skip
    tap = document["outlets"]["house tap"]
    assert 0.9 < tap["chance"] <= 1.0
    assert tap["stand_needed"]["sure"]["value"] >= tap["stand_needed"]["middle"]["value"]
    assert 0.0 < document["tanks"]["tank"]["chance"] <= 1.0
    assert {"source.flow", "pipe.inside"} & {one["key"] for one in document["taken"]} == {
        "pipe.inside"
    }


def test_the_doubt_of_a_leveled_fall_is_that_of_its_two_readings() -> None:
    fall = answer(SAMPLES / "orchard_rod")["fall"]
    assert fall["high"] - fall["low"] == pytest.approx(2 * 1.645 * fall["std"], rel=0.05)


def test_without_an_error_of_the_raster_what_hangs_on_it_has_none(tmp_path: Path) -> None:
    site = copy_of("valley_raster", tmp_path)
    study = site / "study.toml"
    text = study.read_text("utf-8")
    for line in ('dem_error = "0.15 m"\n', 'dem_range = "60 m"\n'):
        assert line in text
        text = text.replace(line, "")
    study.write_text(text, "utf-8")
    document = answer(site)
    for figure in (document["fall"], document["lift"], document["ram"]["per_day"]):
        assert figure["std"] is None
        assert "low" not in figure
    assert document["outlets"]["beds"]["chance"] is None
    assert document["doubt"] == {}


def test_the_choices_document_holds_the_doubt_of_each_difference(
    capsys: pytest.CaptureFixture[str],
) -> None:
    document = compared("orchard_rod", capsys)
    wider = {one["result"]: one for one in document["differences"] if one["name"] == "wider line"}
    tap = wider["running.house tap"]
    assert tap["value"]["low"] < tap["value"]["value"] < tap["value"]["high"]
    assert tap["chance_better"] == 1.0
    assert wider["fall"]["chance_better"] is None
