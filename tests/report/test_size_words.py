"""Chosen sizes and ways to pressure, as people read them, on the screen and on docs/sizes.md."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.assessment.size_trials import Short
from terrain_head.base.units import METRIC, US
from terrain_head.report.report_html import report_html
from terrain_head.report.size_words import (
    chosen_words,
    short_words,
    sizes_document,
    sizes_table,
    why_words,
)
from terrain_head.report.study_document import dumps, study_document
from terrain_head.report.study_screen import study_screen
from terrain_head.report.ways_words import ways_document, ways_table
from terrain_head.workflows.study import answer_choice, open_study

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "sizes.md").read_text("utf-8")
SAMPLE = ROOT / "sample_surveys" / "orchard_rod"
EXAMPLE = PAGE.split("## An example", 1)[1].split("```toml\n", 1)[1].split("```", 1)[0]


def answered(folder: Path, text: str, *, draws: int = 0) -> Answer:
    (folder / "study.toml").write_text(text, encoding="utf-8")
    return answer_choice(open_study(folder / "study.toml"), draws=draws)


def test_the_example_of_the_page_gives_what_the_page_prints(tmp_path: Path) -> None:
    whole = answered(tmp_path, EXAMPLE)
    printed = PAGE.split("```text\n", 1)[1].split("\n```", 1)[0]
    assert printed in study_screen(whole, results_folder=None)
    for row in sizes_table(whole).rows:
        assert f"| {' | '.join(row[:3])} |" in PAGE
    assert {one.how for one in whole.sizes} == {"proven"}


def test_every_key_of_the_json_stands_on_the_page(tmp_path: Path) -> None:
    dear = answered(tmp_path, EXAMPLE.replace("110 kPa", "180 kPa"), draws=64)
    document = json.loads(dumps(study_document(dear)))
    told = PAGE.split("## In the JSON", 1)[1]
    for one in (*document["sizes"].values(), *document["ways_to_pressure"].values()):
        for key in one:
            assert f"`{key}`" in told
    assert set(document["sizes"]) == {"main", "house", "beds"}
    assert set(document["ways_to_pressure"]) == {"tap"}


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_screen_names_the_chosen_pipes_in_few_narrow_lines(tmp_path: Path, units: str) -> None:
    whole = answered(tmp_path, f'units = "{units}"\n{EXAMPLE}')
    screen = study_screen(whole, results_folder=None)
    assert "Pipe chosen    main 40 mm, house 32 mm and beds 25 mm" in screen
    assert max(map(len, screen.splitlines())) <= 79
    html = report_html(whole, pictures={})
    assert "Pipes chosen" in html
    if units == "us":
        assert re.search(r"\d (kPa|bar)\b", html) is None


def test_a_size_that_is_not_enough_is_told_on_the_screen(tmp_path: Path) -> None:
    whole = answered(tmp_path, EXAMPLE.replace("110 kPa", "180 kPa"))
    text = chosen_words(whole)
    assert "No size of this kind does: tap is" in text
    assert all(why_words(one, METRIC).startswith("No size") for one in whole.sizes)
    cells = [cell for row in ways_table(whole).rows for cell in row]
    assert "no wider pipe of its kind is known" in cells


def test_prices_and_kinds_are_shown(tmp_path: Path) -> None:
    costs = (
        '[costs]\npipe = { "PE100 ISO 4427 40 mm SDR 11" = 3, "PE100 ISO 4427 32 mm SDR 11" = 2,'
        ' "PE100 ISO 4427 50 mm SDR 17" = 2.5 }\nstand = 100\n'
        "trench = 4\n"
    )
    text = EXAMPLE.replace(
        '"smallest PE100 ISO 4427 SDR 11"\n\n[pipe.house]',
        '{ choose = ["PE100 SDR 11", "PE100 SDR 17"] }\ncover = "0.5 m"\n\n[pipe.house]',
    )
    whole = answered(tmp_path, f"{text}\n{costs}")
    main = whole.sizes[0]
    # 140 m; the 40 mm pipe would do at 3 a metre, the wider one costs 2.5.
    assert main.spec.label == "PE100 ISO 4427 50 mm SDR 17"
    assert main.price == pytest.approx(350.0)
    assert sizes_table(whole).rows[0][-1] == "350"
    assert sizes_table(whole).rows[-1][:2] == ("trenches", "140 m")
    assert sizes_table(whole).rows[-1][-1] == "560"
    assert "each as the report says" in chosen_words(whole)
    assert sizes_document(whole)["main"]["price"] == pytest.approx(350.0)
    assert why_words(main, METRIC) == "With 40 mm the whole would cost more."


@pytest.mark.parametrize(
    ("short", "metric", "us"),
    [
        (Short(kind="pressure", name="tap", by=2e4, unit="kPa"), "tap is 0.20 bar (20 kPa) short",
         "tap is 2.9 psi short"),
        (Short(kind="velocity", name="a", by=0.5, unit="m/s"),
         "the water in the pipe 'a' is 0.5 m/s too fast",
         "the water in the pipe 'a' is 1.6 ft/s too fast"),
        (Short(kind="rating", name="a", by=1e5, unit="kPa"),
         "the pipe 'a' bears 1.00 bar (100 kPa) too little",
         "the pipe 'a' bears 14.5 psi too little"),
    ],
)  # fmt: skip
def test_what_is_short_is_said_in_the_reader_s_units(short: Short, metric: str, us: str) -> None:
    assert metric == short_words(short, METRIC)
    assert us == short_words(short, US)


def test_water_and_bore_are_said_too() -> None:
    water = Short(kind="water", name="tank", by=1e-5, unit="L/min")
    assert "tank gets 860 litres a day too little" == short_words(water, METRIC)
    bore = Short(kind="bore", name="drive", by=0.005, unit="m")
    assert "off what the rules agree on" in short_words(bore, METRIC)


def test_a_drive_pipe_tells_the_rules_and_which_differ(tmp_path: Path) -> None:
    for file in SAMPLE.glob("*.*"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    text = (SAMPLE / "study.toml").read_text("utf-8")
    old = '{ standard = "steel ASME B36.10 2 in Sch 40", rating = "500 psi" }'
    assert old in text
    text = text.replace(old, '{ choose = "steel ASME B36.10 Sch 40", rating = "500 psi" }')
    (one,) = answered(tmp_path, text).sizes
    assert why_words(one, US) == "The published rules agree on 1.888 in to 2.308 in inside."
    delivery = '"PE ASTM D2239 1 in SIDR 15", rating = "100 psi" }\nfittings = { "elbow 90" = 2 }'
    assert delivery in text
    text = text.replace(delivery, delivery.replace("1 in", "1/2 in"))
    whole = answered(tmp_path, text)
    words = why_words(whole.sizes[0], US)
    assert words.startswith("Most rules agree on")
    assert "Apart: about twice the delivery pipe's bore." in words
    assert "drive 1-1/2 in (steel ASME B36.10 Sch 40)." in chosen_words(whole)


def test_the_three_ways_stand_side_by_side_and_the_screen_names_the_wider_pipe() -> None:
    whole = answer_choice(open_study(SAMPLE), draws=64)
    rows = ways_table(whole).rows
    assert ["higher ground", "higher stand", "wider pipe"] == [row[1] for row in rows]
    assert rows[2][3] == "none"
    assert all("gallons a day" in row[3] for row in rows[:2])
    screen = " ".join(study_screen(whole, results_folder=None).split())
    wanted = "Or lay PE ASTM D2239 1-1/2 in SIDR 15 for the pipe 'house line': that costs no water."
    assert wanted in screen
    document = ways_document(whole)["house tap"]
    # The choice "wider line" of the sample does just this, and its house tap has enough.
    wider = answer_choice(open_study(SAMPLE), choice="wider line", draws=0)
    got = wider.solution.outlets["house tap"].running_low_pa
    assert got is not None
    assert document["wider_pipe"]["running_low"]["value"] == pytest.approx(float(got) / 1000)


def test_an_outlet_on_the_spring_is_told_which_pipe_to_widen(tmp_path: Path) -> None:
    text = """
[place.spring]
elevation = "118 +- 0.01 m"
[place.house]
elevation = "100 +- 0.01 m"
[source]
place = "spring"
flow = "60 L/min"
[pipe.line]
from = "source"
to = "house"
length = "150 m"
spec = "PE100 ISO 4427 25 mm SDR 11"
[outlet.tap]
place = "house"
flow = "20 L/min"
pressure = "120 kPa"
"""
    screen = " ".join(study_screen(answered(tmp_path, text), results_folder=None).split())
    assert "Lay PE100 ISO 4427 32 mm SDR 11 for the pipe 'line': that costs no water." in screen
    whole = answered(tmp_path, text)
    ways = ways_table(whole).rows
    assert "the intake" in ways[0][2]
    assert len(ways) == 2
    dear = answered(tmp_path, text.replace("120 kPa", "220 kPa"))
    assert "one size wider" in {row[1] for row in ways_table(dear).rows}
    assert "no size of the same kind was found enough" in {row[2] for row in ways_table(dear).rows}
