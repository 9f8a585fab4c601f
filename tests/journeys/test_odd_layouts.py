"""Seeps, a floating tank and two tanks, from a study file to its answer in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.errors import InputError
from terrain_head.plots.pegs import pegs_of
from terrain_head.plots.plan_sheet import plan_figure
from terrain_head.plots.system_sheet import system_figure
from terrain_head.report.study_document import study_document
from terrain_head.report.verdict import verdict
from terrain_head.workflows.study import answer_choice, open_study
from tests.plots.readable import texts_of, troubles

PIPE = 'spec = "PE100 ISO 4427 32 mm SDR 11"'
HEIGHTS = {
    "box": 100.0, "left": 103.0, "right": 101.5, "pit": 97.0, "hill": 118.0, "house": 108.0,
    "knoll": 128.0, "shelf": 125.0, "fork": 110.0,
}  # fmt: skip
RAM = """
[ram]
place = "pit"
drive = "drive"
delivery = "delivery"
efficiency = "55 +- 5 %"

[pipe.drive]
from = "source"
to = "ram"
length = "14 m"
spec = { standard = "steel ASME B36.10 2 in Sch 40", rating = "40 bar" }
"""
HOUSE = """
[outlet.house]
place = "house"
flow = "8 L/min"
pressure = "60 kPa"
"""


def tank(heading: str, place: str, *, inlet: str = "1.6 m") -> str:
    return f"""
[{heading}]
place = "{place}"
stand = "1 m"
water_depth = "1.5 m"
lowest = "0.2 m"
inlet = "{inlet}"
volume = "3 m3"
"""


def pipe(name: str, start: str, end: str, length_m: float, *, more: str = "") -> str:
    return f"""
[pipe.{name}]
from = "{start}"
to = "{end}"
length = "{length_m} m"
{PIPE}
{more}
"""


def answered(folder: Path, *tables: str) -> Answer:
    places = [
        f'[place.{name}]\nelevation = "{height} +- 0.05 m"\n'
        f'lat_lon = "46.{5000 + 3 * number}, 7.{2 * (number % 4):04d}"\n'
        for number, (name, height) in enumerate(HEIGHTS.items())
    ]
    path = folder / "study.toml"
    path.write_text("\n".join(['title = "Odd"', *places, *tables]), encoding="utf-8")
    return answer_choice(open_study(path))


SEEPS = (
    '[source]\nplace = "box"\nshare = "90 %"\n',
    '[seep.left]\nplace = "Left"\nflow = "14 +- 1 L/min"\n',
    '[seep.right]\nplace = "right"\nflow = "9 L/min"\n',
    pipe("left", "seep.left", "source", 35),
    pipe("right", "seep.right", "source", 40),
    RAM,
    pipe("delivery", "ram", "tank", 160),
    pipe("house", "tank", "house", 110),
    tank("tank", "hill"),
    HOUSE,
)


def test_two_seeps_feed_the_box_of_a_ram(tmp_path: Path) -> None:
    """14 and 9 L/min come, nine tenths are taken; their places are found in capitals too."""
    found = answered(tmp_path, *SEEPS)
    document = study_document(found)
    assert document["ram"]["used"]["value"] == pytest.approx(0.9 * 23)
    kinds = {one.kind for one in found.findings}
    assert "pressure-negative" not in kinds
    assert "intake-shallow" in kinds
    assert "House gets the pressure it needs" in verdict(found).sentence


def test_seeps_are_drawn_as_springs_by_their_word(tmp_path: Path) -> None:
    found = answered(tmp_path, *SEEPS)
    pegs = pegs_of(found.layout)
    assert [pegs[f"seep.{name}"].word for name in ("left", "right")] == [
        "seep (left)",
        "seep (right)",
    ]
    for figure in (system_figure(found), plan_figure(found)):
        assert figure is not None
        assert troubles(figure) == []
        assert "seep (left)" in {text for text, _ in texts_of(figure)}


def test_a_seep_whose_place_is_nowhere_is_told_by_its_line(tmp_path: Path) -> None:
    lost = [table.replace('"right"', '"rigth"') for table in SEEPS]
    with pytest.raises(InputError, match="A name in it is no place") as told:
        answered(tmp_path, *lost)
    said = " ".join(str(told.value).split())
    assert '"rigth" is no place of this site' in said
    assert 'Write place = "right"' in said


def test_a_house_on_the_rams_delivery_lives_on_a_floating_tank(tmp_path: Path) -> None:
    found = answered(
        tmp_path,
        '[source]\nplace = "box"\nflow = "40 +- 3 L/min"\n',
        RAM,
        pipe("delivery", "ram", "house", 60),
        pipe("up", "house", "tank", 90),
        tank("tank", "hill", inlet="0.1 m"),
        HOUSE,
    )
    document = study_document(found)
    pushed, back = (document["pipes"][name]["flow"]["value"] for name in ("delivery", "up"))
    assert 0 < pushed < 8
    # What the ram does not bring while the tap runs comes back from the tank.
    assert pushed - back == pytest.approx(8.0)
    # It pushes the less high while the tank is low, so it brings more than when it fills the tank.
    assert pushed > document["ram"]["delivered"]["value"]
    assert document["outlets"]["house"]["enough"] is True
    kinds = {one.kind for one in found.findings}
    assert "delivery-tapped" in kinds
    assert "inlet-below-full" not in kinds
    assert troubles(system_figure(found)) == []


@pytest.mark.parametrize("held", [True, False], ids=["check valve", "loose"])
def test_the_higher_of_two_tanks_runs_over_the_lower_unless_held(
    tmp_path: Path, *, held: bool
) -> None:
    fittings = 'fittings = { "check valve swing" = 1 }' if held else ""
    found = answered(
        tmp_path,
        tank("tank.upper", "knoll"),
        tank("tank.lower", "shelf"),
        pipe("a", "tank.upper", "fork", 70),
        pipe("b", "tank.lower", "fork", 50, more=fittings),
        pipe("c", "fork", "house", 50),
        HOUSE,
    )
    kinds = [one.kind for one in found.findings]
    assert kinds.count("tank-runs-over") == (0 if held else 1)
    weights = [one["text"] for one in study_document(found)["findings"] if "weight" in one["kind"]]
    assert ["'upper'" in weights[0], "'lower'" in weights[1]] == [True, True]
    flow = study_document(found)["pipes"]["b"]["flow"]
    assert flow is None if held else flow["value"] < 0
    figure = system_figure(found)
    assert troubles(figure) == []


def test_the_tank_that_takes_too_much_is_throttled_for_the_other(tmp_path: Path) -> None:
    found = answered(
        tmp_path,
        '[source]\nplace = "peak"\nflow = "15 +- 1 L/min"\n',
        '[place.peak]\nelevation = "140 +- 0.05 m"\nlat_lon = "46.5040, 7.0001"\n',
        tank("tank.upper", "knoll") + 'needed = "1000 L/day"\n',
        tank("tank.lower", "shelf") + 'needed = "1000 L/day"\n',
        pipe("head", "source", "crotch", 60),
        '[place.crotch]\nelevation = "132 +- 0.05 m"\nlat_lon = "46.5045, 7.0003"\n',
        pipe("up", "crotch", "tank.upper", 40),
        pipe("low", "crotch", "tank.lower", 50),
    )
    said = verdict(found)
    assert "No water reaches the tank 'upper'" in said.sentence
    assert said.to_do == "Close a valve part way on the pipe 'low': it leaves more to 'upper'."
