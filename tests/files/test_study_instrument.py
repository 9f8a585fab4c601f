"""``[ground.instrument]``: from what stands on the box to the error of each sight."""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.units import to_si
from terrain_head.errors import InputError
from terrain_head.files.study_file import open_study_file
from terrain_head.files.study_record import GroundFiles
from terrain_head.formulas.rotating_laser import tilt_rise_std_m
from terrain_head.leveling.book import LevelBook, Reading
from terrain_head.leveling.instrument import Instrument
from terrain_head.leveling.weights import weights_of

LASER = '[ground.instrument]\nkind = "rotating laser"\n'
LEVEL = '[ground.instrument]\nkind = "optical level"\n'


def _ground(text: str, folder: Path) -> GroundFiles:
    file = folder / "study.toml"
    file.write_text(text, encoding="utf-8")
    return open_study_file(file).study().ground


@pytest.mark.parametrize(
    ("accuracy", "slope"),
    [
        ("10 arcsec", to_si(10.0, "arcsec")),
        ("1.5 mm at 30 m", 5e-5),
        ("+-1.5 mm at 30 m", 5e-5),
        ("1/16 in at 100 ft", 1 / 16 / 1200),
    ],
)
def test_an_accuracy_is_an_angle_or_a_length_at_a_distance(
    accuracy: str, slope: float, tmp_path: Path
) -> None:
    ground = _ground(f'{LEVEL}accuracy = "{accuracy}"', tmp_path)
    assert ground.angle_std_rad == pytest.approx(slope)
    assert (ground.reading_std_m, ground.farthest_m) == (None, None)


def test_the_whole_table_is_read(tmp_path: Path) -> None:
    text = 'accuracy = "4 mm at 100 m"\nhalf_turn = "6 mm at 100 m"\nread_to = "2 mm"\n'
    ground = _ground(f'{LASER}{text}farthest_sight = "40 m"', tmp_path)
    assert ground.angle_std_rad == pytest.approx(5e-5)
    assert ground.reading_std_m == pytest.approx(0.002)
    assert ground.farthest_m == 40.0


def test_without_anything_said_nothing_is_known(tmp_path: Path) -> None:
    assert _ground(LEVEL, tmp_path).angle_std_rad is None


def test_a_blank_is_left_out(tmp_path: Path) -> None:
    assert _ground(f'{LASER}accuracy = "?"\nhalf_turn = "?"', tmp_path).angle_std_rad is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (f'{LEVEL}half_turn = "2 mm at 30 m"', "the half-turn check is one of a rotating laser"),
        (f'{LASER}accuracy = "1 mm at 30 m at 20 m"', "one length at one distance is wanted"),
        (f'{LASER}accuracy = "1 mm at 0 m"', "accuracy"),
        (f'{LASER}accuracy = "1 mm"', "an angle is wanted"),
        (f'{LASER}accuracy = "1 arcsec at 30 m"', "a length is wanted"),
        (f'{LASER}acuracy = "10 arcsec"', "accuracy"),
        ('[ground.instrument]\nread_to = "1 mm"', "kind is missing"),
        ('[ground.instrument]\nkind = "theodolite"', '"optical level" or "rotating laser"'),
        ('[ground]\ninstrument = "a level"', "what is known of the instrument"),
        (f'[ground]\nlevel_error = {{ reading = "1 mm" }}\n{LASER}', "Keep one of the two"),
    ],
)
def test_what_is_wrong_is_said(text: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as raised:
        _ground(text, tmp_path)
    troubles = raised.value.troubles
    assert any(says in f"{one.what} {one.write}" for one in troubles)


def _book(*distances: float | None, farthest: float | None, angle: float) -> LevelBook:
    readings = tuple(
        Reading(setup=0, point=str(n), kind="is", written="1", reading_m=1.0, distance_m=distance)
        for n, distance in enumerate(distances)
    )
    return LevelBook(
        readings=readings, reading_std_m=0.001, angle_std_rad=angle, farthest_m=farthest
    )


def test_a_sight_without_a_distance_counts_as_the_farthest() -> None:
    weights = weights_of(_book(0.0, 10.0, None, farthest=40.0, angle=1e-4))
    np.testing.assert_allclose(weights.reading_m**2 - 1e-6, [0.0, 1e-6, 16e-6], atol=1e-12)
    assert not weights.facts
    (fact,) = weights_of(_book(10.0, None, farthest=None, angle=1e-4)).facts
    assert fact.kind == "sights-without-distance"


@given(st.floats(1.0, 100.0), st.floats(1.0, 100.0), st.floats(1e-6, 1e-3))
def test_sights_taken_by_themselves_are_never_too_sure_of_one_set_up(
    back: float, ahead: float, tilt: float
) -> None:
    """Against a tilt of unknown direction at its worst, and against a slope that is the same."""
    angle = Instrument(kind="rotating laser", accuracy=tilt).angle_std_rad
    assert angle is not None
    alone = math.hypot(angle * back, angle * ahead)
    assert float(tilt_rise_std_m(back, ahead, tilt=tilt)) <= alone * (1 + 1e-12)
    assert tilt * abs(back - ahead) <= alone * (1 + 1e-12)
