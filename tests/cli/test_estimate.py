"""``terrain-head estimate`` says its answer, its sources and what is wrong."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from terrain_head.cli.main import run
from terrain_head.report.estimate_document import estimate_document
from terrain_head.report.estimate_screen import REASON_WORDS
from terrain_head.workflows.estimate import estimate_from_texts

METRIC = ["--fall", "2.4 m", "--lift", "23 m", "--flow", "40 L/min", "--length", "180 m"]
US = ["--fall", "8 ft", "--lift", "75 ft", "--flow", "5 gal in 30 s", "--length", "600 ft"]


def _say(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = run(["estimate", *words])
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize("words", [METRIC, US, [*METRIC, "--built", "home"]])
def test_the_screen_fits_and_is_ascii(capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    code, out, err = _say(capsys, *words)
    assert (code, err) == (0, "")
    assert out.isascii()
    assert max(len(line) for line in out.splitlines()) <= 79
    assert len(out.splitlines()) <= 26
    assert out.startswith("Worth surveying: about ")
    assert "Level the fall first" in out


def test_results_follow_the_units_written(capsys: pytest.CaptureFixture[str]) -> None:
    _, metric, _ = _say(capsys, *METRIC)
    assert "litres a day" in metric
    assert re.search(r"\d (ft|gal)", metric) is None
    _, us, _ = _say(capsys, *US)
    assert "gallons a day" in us
    _, asked, _ = _say(capsys, *US, "--units", "metric")
    assert "litres a day" in asked


def test_one_number_in_feet_among_metres_leaves_the_answer_metric() -> None:
    texts = {"fall": "8 ft", "lift": "23 m", "flow": "40 L/min", "length": "180 m"}
    assert estimate_from_texts(texts).units.name == "metric"


def test_all_troubles_are_told_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--fall", "2", "--lift", "9 kg", "--flow", "0 L/min", "--length", "180 m"]
    code, out, err = _say(capsys, *words, "--efficiency", "120 %", "--json")
    assert (code, out) == (2, "")
    assert "4 things to put right" in err
    for name in ("--fall", "--lift", "--flow", "--efficiency"):
        assert name in err
    assert "Nothing was computed." in err


def test_one_trouble_is_one_thing(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--fall", "?", "--lift", "9 m", "--flow", "2 L/min", "--length", "180 m"]
    code, _, err = _say(capsys, *words)
    assert code == 2
    assert "1 thing to put right" in err


def test_a_missing_number_is_a_usage_error(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = _say(capsys, "--fall", "2 m")
    assert code == 2
    assert "--lift" in err


def _document(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    code, out, _ = _say(capsys, *words, "--json")
    assert code == 0
    return json.loads(out)


def test_the_document_agrees_with_the_answer(capsys: pytest.CaptureFixture[str]) -> None:
    found = _document(capsys, *METRIC)
    rough = estimate_from_texts(
        {"fall": "2.4 m", "lift": "23 m", "flow": "40 L/min", "length": "180 m"}
    ).estimate
    assert estimate_document(rough) == found
    assert found["worth"] == "yes"
    assert found["fall"] == {"value": 2.4, "unit": "m", "std": None}
    ram = found["ram"]
    assert ram["used"]["value"] == pytest.approx(ram["delivered"]["value"] + ram["wasted"]["value"])
    assert ram["per_day"]["value"] == pytest.approx(ram["delivered"]["value"] * 1.44)
    assert ram["per_day"]["unit"] == "m3/d"
    assert ram["per_day_by_tables"]["low"]["value"] < ram["per_day"]["value"]
    assert ram["efficiency_origin"] == "table"
    assert all(one["source"] for one in found["drive_pipe"]["rules"])
    assert found["level_first"]["height"] == "fall"
    assert 0 < found["level_first"]["share_of_water"]["lift"] < 0.1


def test_beyond_the_table_the_figures_are_null_and_the_reason_has_a_source(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = ["--fall", "2 m", "--lift", "90 m", "--flow", "40 L/min", "--length", "180 m"]
    found = _document(capsys, *words)
    assert found["worth"] == "no"
    assert found["ram"]["delivered"] is None
    assert found["ram"]["per_day_by_tables"] is None
    assert [one["reason"] for one in found["reasons"]] == ["beyond-table"]
    assert "RWS.4.D.5" in found["reasons"][0]["source"]
    _, out, _ = _say(capsys, *words)
    assert out.startswith("Not worth surveying as it stands.")
    assert "Look for more fall" in out


def test_a_measured_efficiency_has_no_range(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = _say(capsys, *METRIC, "--efficiency", "55 %", "--inside", "26 mm")
    assert "published efficiencies" not in out
    assert "efficiency 55 %" in out
    assert (
        _document(capsys, *METRIC, "--efficiency", "55 %")["ram"]["efficiency_origin"] == "measured"
    )


@pytest.mark.parametrize(
    ("fall", "lift", "words"),
    [
        ("-1 m", "20 m", "Look for a spot for the ram lower down"),
        ("3 m", "2 m", "Lay a pipe straight from the spring"),
        ("2 m", "-2 m", "Lay a pipe straight from the spring"),
        ("0.8 m", "20 m", "Perhaps worth surveying; how much water would arrive no published"),
        ("2 m", "66 m", "Perhaps worth surveying: about"),
    ],
)
def test_each_state_says_what_to_do(
    capsys: pytest.CaptureFixture[str], fall: str, lift: str, words: str
) -> None:
    texts = ["--fall", fall, "--lift", lift, "--flow", "40 L/min", "--length", "180 m"]
    code, out, _ = _say(capsys, *texts)
    assert code == 0
    assert words in " ".join(out.split())
    assert "nan" not in out


def test_a_great_effect_is_all_of_the_water(capsys: pytest.CaptureFixture[str]) -> None:
    texts = ["--fall", "1.1 m", "--lift", "8 m", "--flow", "900 L/min", "--length", "10 m"]
    _, out, _ = _say(capsys, *texts)
    assert "by all of it" in " ".join(out.split())


def test_every_reason_has_a_sentence() -> None:
    assert all(text.endswith(".") and text.isascii() for text in REASON_WORDS.values())
