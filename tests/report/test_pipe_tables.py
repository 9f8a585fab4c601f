"""The table along a pipe reads back to the figures of the answer."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest

from terrain_head.base.display import LIKELY
from terrain_head.base.units import METRIC, US, UnitSystem, to_si
from terrain_head.report.pipe_tables import pipe_csv
from tests.report.builders import answer


def _rows(units: UnitSystem, pipe: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(pipe_csv(answer(units=units), pipe))))


@pytest.mark.parametrize(("units", "unit"), [(METRIC, "m"), (US, "ft")], ids=["metric", "us"])
def test_each_station_has_its_row_in_the_units_shown(units: UnitSystem, unit: str) -> None:
    pipe = answer().layout.pipes["house"]
    rows = _rows(units, "house")
    assert len(rows) == pipe.profile.station_m.size
    for column, values in (
        ("station", pipe.profile.station_m),
        ("ground", pipe.profile.elevation_m),
        ("pipe", pipe.pipe_m),
    ):
        read = [to_si(float(row[f"{column} [{unit}]"]), unit) for row in rows]
        assert read == pytest.approx(values.tolist(), abs=6e-4)


def test_what_is_not_known_is_an_empty_cell() -> None:
    rows = _rows(METRIC, "drive")
    assert rows[0]["hydraulic grade line [m]"] == ""
    assert rows[0]["pressure [bar]"] == ""
    assert rows[2]["give or take [m]"] == ""
    assert rows[0]["static level [m]"] == "100.000"
    assert rows[0]["origin"] == "leveled"


def test_pressure_is_the_grade_line_over_the_pipe() -> None:
    # 999.7 kg/m3 and 9.80665 m/s2: 9.8037 kPa for each metre of water.
    for row in _rows(METRIC, "house"):
        head = float(row["hydraulic grade line [m]"]) - float(row["pipe [m]"])
        assert float(row["pressure [bar]"]) == pytest.approx(head * 0.098037, abs=2e-3)


def test_give_or_take_holds_nine_in_ten() -> None:
    std = answer().layout.pipes["house"].profile.std_m
    read = _rows(METRIC, "house")
    assert float(read[1]["give or take [m]"]) == pytest.approx(LIKELY * float(std[1]), abs=6e-4)
    assert np.isnan(std[2])


def test_an_unknown_pipe_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        pipe_csv(answer(), "nowhere")
