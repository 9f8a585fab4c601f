"""The samples, from their files to the printed numbers."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest
import rasterio
from fluids.friction import friction_factor as reference_friction_factor

from terrain_head.base.units import to_si
from tests import invented_hill
from tests.journeys.answers import SAMPLES, answer, assert_same, assert_same_study, copy_of, judged


def test_the_orchards_fall_is_what_the_hand_gets_from_the_two_readings() -> None:
    """Spring 5.15 and ram 13.74 were read from one set-up; the valve is 0.6 ft above the stone."""
    fall = answer(SAMPLES / "orchard_rod")["fall"]
    assert fall["value"] == pytest.approx(to_si(13.74 - 5.15 - 0.6, "ft"), abs=1e-4)
    # Two readings of 0.01 ft each.
    assert fall["std"] == pytest.approx(to_si(0.01, "ft") * 2**0.5, rel=0.02)


def test_the_orchards_house_tap_agrees_with_a_sum_on_paper() -> None:
    """Level, less friction by an independent friction factor, less the velocity head at the tap."""
    document = answer(SAMPLES / "orchard_rod")
    pipe = document["pipes"]["house line"]
    flow = to_si(9.0, "gal/min")
    bore = to_si(1.380, "in")
    velocity = flow / (np.pi * bore**2 / 4)
    assert pipe["velocity"]["value"] == pytest.approx(velocity, rel=1e-6)
    viscosity = 1.27e-6  # water of 52 F, between the printed rows for 10 and 15 degrees C
    friction = reference_friction_factor(Re=velocity * bore / viscosity, eD=1.5e-6 / bore)
    loss = friction * pipe["length"]["value"] / bore * velocity**2 / (2 * 9.80665)
    assert pipe["head_loss"]["value"] == pytest.approx(loss, rel=0.06)  # fittings and entrance
    tap, tank = document["outlets"]["house tap"], document["tanks"]["tank"]
    rest = tank["lowest_level"]["value"] - tap["level"]["value"] - pipe["head_loss"]["value"]
    assert tap["running_low"]["value"] == pytest.approx(9.80665 * rest, rel=0.002, abs=0.3)
    assert tap["enough"] is False
    assert document["outlets"]["beds"]["enough"] is True


def test_the_ram_lifts_what_its_efficiency_says() -> None:
    """The work q (h + losses) is times Q times H, with the printed 52 % of the hill farm's ram."""
    document = answer(SAMPLES / "hill_farm_both")
    ram = document["ram"]
    work = ram["delivered"]["value"] * ram["delivery_head"]["value"]
    paid = ram["used"]["value"] * document["fall"]["value"]
    assert work / paid == pytest.approx(0.52, rel=1e-9)
    assert ram["used"]["value"] + ram["passed_by"]["value"] == pytest.approx(46 * 0.8, rel=1e-9)
    assert ram["delivered"]["value"] + ram["wasted"]["value"] == pytest.approx(ram["used"]["value"])


def test_the_route_over_the_hump_has_the_hump_and_the_other_has_not() -> None:
    over = answer(SAMPLES / "valley_raster")["pipes"]["delivery"]
    round_it = answer(SAMPLES / "valley_raster", "--choice", "round")["pipes"]["delivery"]
    assert len(over["high_points"]) == 1
    assert len(round_it["high_points"]) == 0
    assert round_it["length"]["value"] < over["length"]["value"]


def test_a_constant_on_the_book_changes_no_result(tmp_path: Path) -> None:
    farm = copy_of("hill_farm_both", tmp_path)
    before = answer(farm)
    book = farm / "book.csv"
    lines = book.read_text("utf-8").splitlines()
    raised = [
        lines[0] + ";elevation [m]",
        lines[1] + ";537,25",
        *(line + ";" for line in lines[2:]),
    ]
    book.write_text("\n".join(raised) + "\n", "utf-8")
    after = answer(farm)
    assert after["places"]["nail"]["elevation"]["value"] == pytest.approx(537.25)
    assert_same_study(before, after, within=1e-7)


def test_the_same_book_in_metres_gives_the_same_study(tmp_path: Path) -> None:
    orchard = copy_of("orchard_rod", tmp_path)
    before = answer(orchard)
    book = orchard / "lower.csv"
    lines = book.read_text("utf-8").splitlines()
    rows = list(csv.reader(lines[1:]))
    rows[0] = [name.replace("[ft]", "[m]") for name in rows[0]]
    for row in rows[1:]:
        for column in (1, 2, 3, 4):
            if row[column]:
                row[column] = f"{to_si(float(row[column]), 'ft'):.9f}"
        if row[6]:
            hundreds, rest = row[6].split("+")
            row[6] = f"{to_si(100 * float(hundreds) + float(rest), 'ft'):.9f}"
    with book.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    assert_same_study(before, answer(orchard), within=1e-6)


def test_either_form_of_the_book_gives_the_same_study(tmp_path: Path) -> None:
    orchard = copy_of("orchard_rod", tmp_path)
    before = answer(orchard)
    rows = list(csv.DictReader((orchard / "lower.csv").read_text("utf-8").splitlines()[1:]))
    setup = 0
    readings, stations = [], []
    for row in rows:
        if row["fs [ft]"]:
            readings.append([f"L{setup}", row["point"], row["fs [ft]"]])
        if row["bs [ft]"]:
            setup += 1
            readings.append([f"L{setup}", row["point"], row["bs [ft]"]])
        if row["is [ft]"]:
            readings.append([f"L{setup}", row["point"], row["is [ft]"]])
        if row["route"]:
            stations.append([row["point"], "", "", "", "", row["route"], row["station [ft]"]])
    head = ["setup", "point", "rod [ft]"]
    with (orchard / "readings.csv").open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([head, *readings])
    with (orchard / "lower.csv").open("w", encoding="utf-8", newline="") as stream:
        names = [
            "point",
            "bs [ft]",
            "is [ft]",
            "fs [ft]",
            "elevation [ft]",
            "route",
            "station [ft]",
        ]
        csv.writer(stream).writerows([names, ["nail", "", "", "", "1000.00", "", ""], *stations])
    study = orchard / "study.toml"
    text = study.read_text("utf-8")
    study.write_text(text.replace('["lower.csv",', '["lower.csv", "readings.csv",'), "utf-8")
    assert_same_study(before, answer(orchard), within=1e-6)


def test_a_route_and_a_pipe_written_the_other_way_round_give_the_same_study(tmp_path: Path) -> None:
    valley = copy_of("valley_raster", tmp_path)
    before = answer(valley)
    study = valley / "study.toml"
    text = study.read_text("utf-8")
    text = text.replace('from = "ram"\nto = "tank"', 'from = "tank"\nto = "ram"')
    study.write_text(text.replace('from = "gate"\nto = "beds"', 'from = "beds"\nto = "gate"'))
    drawn = json.loads((valley / "map.geojson").read_text("utf-8"))
    for feature in drawn["features"]:
        if feature["geometry"]["type"] == "LineString":
            feature["geometry"]["coordinates"].reverse()
    (valley / "map.geojson").write_text(json.dumps(drawn), "utf-8")
    after = answer(valley)
    assert judged(before) == judged(after)
    assert_same(
        {key: before[key] for key in ("fall", "lift", "ram", "outlets")},
        {key: after[key] for key in ("fall", "lift", "ram", "outlets")},
        within=1e-9,
    )
    for pipe in ("delivery", "bed line"):
        assert_same(before["pipes"][pipe], after["pipes"][pipe], within=1e-9)


def test_the_invented_hill_is_the_file_in_the_sample() -> None:
    with rasterio.open(SAMPLES / "hill_farm_both" / "hill.tif") as raster:
        assert np.array_equal(np.round(invented_hill.raster(), 2), raster.read(1))


@pytest.mark.parametrize("place", ["seep", "ram", "shelf", "barn"])
def test_the_hill_farms_book_finds_the_invented_ground(place: str) -> None:
    """The book was read off the formulas with errors of about a millimetre a reading."""
    document = answer(SAMPLES / "hill_farm_both")
    spot = np.array(invented_hill.PLACES[place])
    nail = invented_hill.true_elevation_m(np.array(104.0), np.array(66.0))
    true = 100.0 + float(invented_hill.true_elevation_m(spot[0], spot[1]) - nail)
    above = 0.02 if place == "seep" else 0.0  # the rod stood on the water
    found = document["places"][place]["elevation"]
    assert found["value"] == pytest.approx(true + above, abs=4 * found["std"] + 0.002)
