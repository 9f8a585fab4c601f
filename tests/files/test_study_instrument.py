"""``[ground.instrument]``: from what stands on the box to the error of each sight."""

from pathlib import Path

import pytest

from terrain_head.base.units import to_si
from terrain_head.errors import InputError
from terrain_head.files.study_file import open_study_file
from terrain_head.files.study_record import GroundFiles
from terrain_head.formulas.collimation import level_reading_m
from tests.formulas.test_collimation import FIFTY_METRES, HUNDRED_METRES
from tests.worked_examples import WorkedExample

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
    assert ground.instrument is not None
    assert ground.instrument.accuracy == pytest.approx(slope)
    assert ground.instrument.slope_std(0.001) == pytest.approx(slope)
    assert (ground.reading_std_m, ground.farthest_m) == (None, None)


def test_the_whole_table_is_read(tmp_path: Path) -> None:
    text = 'accuracy = "4 mm at 100 m"\nhalf_turn = "6 mm at 100 m"\nread_to = "2 mm"\n'
    ground = _ground(f'{LASER}{text}farthest_sight = "40 m"', tmp_path)
    assert ground.instrument is not None
    assert ground.instrument.tilt_std == pytest.approx(5e-5)
    assert ground.instrument.slope_std(0.001) == pytest.approx(4e-5)
    assert ground.reading_std_m == pytest.approx(0.002)
    assert ground.farthest_m == 40.0


def test_without_anything_said_nothing_is_known(tmp_path: Path) -> None:
    instrument = _ground(LEVEL, tmp_path).instrument
    assert instrument is not None
    assert (instrument.slope_std(0.001), instrument.tilt_std, instrument.slope) == (0.0, 0.0, 0.0)


def test_a_blank_is_left_out(tmp_path: Path) -> None:
    instrument = _ground(f'{LASER}accuracy = "?"\nhalf_turn = "?"', tmp_path).instrument
    assert instrument is not None
    assert instrument.tilt_std == 0.0


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


PEGS = """[ground.instrument.two_peg]
apart = "{apart}"
middle = ["{middle}"]
beyond = ["{beyond}"]
beyond_sights = ["{sights}"]
"""


def _pegs(
    *,
    apart: str = "50 m",
    middle: str = '1.283 m", "0.860 m',
    beyond: str = '1.612 m", "1.219 m',
    sights: str = '55 m", "5 m',
) -> str:
    return PEGS.format(apart=apart, middle=middle, beyond=beyond, sights=sights)


def test_a_two_peg_test_gives_the_slope_and_how_sure_it_is(tmp_path: Path) -> None:
    instrument = _ground(f'{LEVEL}read_to = "1 mm"\n{_pegs()}', tmp_path).instrument
    assert instrument is not None
    assert instrument.slope == pytest.approx(-0.030 / 50)
    assert instrument.slope_std(0.001) == pytest.approx(2 * 0.001 / 50)


@pytest.mark.parametrize(("example", "apart"), [(FIFTY_METRES, 50), (HUNDRED_METRES, 100)])
def test_printed_two_peg_tests_come_through_the_study(
    example: WorkedExample, apart: int, tmp_path: Path
) -> None:
    text = _pegs(
        apart=f"{apart} m",
        middle=f'{example.inputs["middle A"]} m", "{example.inputs["middle B"]} m',
        beyond=f'{example.inputs["beyond A"]} m", "{example.inputs["beyond B"]} m',
        sights=f'{example.inputs["to A"]} m", "{example.inputs["to B"]} m',
    )
    instrument = _ground(LEVEL + text, tmp_path).instrument
    assert instrument is not None
    for peg in "AB":
        far = level_reading_m(
            example.given(f"beyond {peg}"),
            distance_m=example.given(f"to {peg}"),
            slope=instrument.slope,
        )
        example.assert_result(f"true {peg}", float(far))


def test_an_open_two_peg_test_is_left_out(tmp_path: Path) -> None:
    for text in (_pegs(apart="?"), _pegs(middle='?", "0.860 m'), _pegs(sights='?", "?')):
        instrument = _ground(LEVEL + text, tmp_path).instrument
        assert instrument is not None
        assert instrument.two_peg is None


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (f"{LASER}{_pegs()}", "A laser has its half-turn check"),
        (f'{LEVEL}two_peg = "good"', "a table of readings and distances is wanted"),
        (f"{LEVEL}{_pegs(middle='1.283 m')}", "a list of two lengths is wanted"),
        (LEVEL + _pegs(beyond='1.612", "1.219 kg'), "has no unit"),
        (LEVEL + _pegs(sights='90 m", "5 m'), "no spot is so far from two pegs"),
        (LEVEL + _pegs(sights='30 m", "25 m'), "the test tells little"),
        (f"{LEVEL}[ground.instrument.two_peg]\napart = '50 m'", "middle is missing"),
    ],
)
def test_a_wrong_two_peg_test_is_refused_with_its_cure(
    text: str, says: str, tmp_path: Path
) -> None:
    with pytest.raises(InputError) as raised:
        _ground(text, tmp_path)
    assert any(says in f"{one.what} {one.write}" for one in raised.value.troubles)
