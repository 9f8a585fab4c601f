"""Every finding is told in plain words, in the reader's own units."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from terrain_head.assessment.finding import Finding, Where
from terrain_head.assessment.kinds import KINDS
from terrain_head.base.citation import OURS, Source
from terrain_head.base.units import METRIC, US, UnitSystem, to_si
from terrain_head.report.not_asked import not_asked_text, not_asked_texts
from terrain_head.report.speech import Speech, duration, plain_ascii, spread_number, wrapped
from terrain_head.report.told import amount, limit_of
from terrain_head.report.words import (
    FINDING_WORDS,
    finding_source_text,
    finding_text,
    taken_text,
    told,
    value_text,
)
from terrain_head.scheme.parts import Taken
from tests.report.sample_findings import SAMPLES

INCHES = UnitSystem(name="us", feet="inches")
NAMED = [pytest.param(one, id=f"{i}-{one.kind}") for i, one in enumerate(SAMPLES)]
METRIC_UNITS = re.compile(r"\d (m|mm|cm|L/min|bar|kPa|kg|litres|m/s|C)\b")
US_UNITS = re.compile(r"\d (ft|in|gal/min|psi|lb|gallons|ft/s|F)\b")


def test_every_kind_has_words_and_no_words_lack_a_kind() -> None:
    assert set(KINDS) == set(FINDING_WORDS)
    assert set(KINDS) == {one.kind for one in SAMPLES}


@pytest.mark.parametrize("finding", NAMED)
@pytest.mark.parametrize("units", [METRIC, US, INCHES], ids=["metric", "us", "inches"])
def test_a_finding_is_told_in_plain_sentences(finding: Finding, units: UnitSystem) -> None:
    text = finding_text(finding, units=units)
    assert text.isascii()
    assert text[0].isupper() or text[0].isdigit()
    assert text.endswith(".")
    for leftover in ("None", "nan", "{", "}", "_m ", "  ", " ,", "..", " inf"):
        assert leftover not in text.replace("dem_error or dem_kind", "it")


@pytest.mark.parametrize("finding", NAMED)
def test_no_metric_unit_leaks_into_us_words_nor_the_reverse(finding: Finding) -> None:
    assert METRIC_UNITS.search(finding_text(finding, units=US)) is None
    if finding.kind == "looks-like-feet-inches":
        return  # it asks about a book that is in feet
    us_words = finding_text(finding, units=METRIC)
    for name in finding.texts.values():
        us_words = us_words.replace(name, "")
    assert US_UNITS.search(us_words) is None


@pytest.mark.parametrize("finding", [one for one in SAMPLES if one.value is not None])
def test_the_number_of_a_finding_stands_in_its_words_or_is_counted(finding: Finding) -> None:
    silent = {"inlet-below-full"}
    has_digit = any(ch.isdigit() for ch in told(finding, units=METRIC).fact)
    counted = {"rod-seems-direct", "unknown-column", "leg-taken-level"}
    tolerated = {"outlet-dry", "hangs-on-one-reading", "ram-drain"} | silent | counted
    assert has_digit or finding.kind in tolerated


def test_a_stop_or_a_care_says_what_to_do() -> None:
    for finding in SAMPLES:
        if finding.severity in {"stop", "care"}:
            assert told(finding, units=METRIC).cure


def test_pressure_is_said_as_bar_with_kilopascals_or_psi() -> None:
    assert Speech(units=METRIC).pressure(87_600.0) == "0.88 bar (88 kPa)"
    assert Speech(units=METRIC).pressure(11e5) == "11.0 bar (1 100 kPa)"
    assert Speech(units=US).pressure(87_600.0) == "12.7 psi"
    assert Speech(units=US).pressure(11e5) == "160 psi"


def test_a_stand_is_rounded_up_so_that_it_suffices() -> None:
    assert Speech(units=METRIC).stand(3.52) == "3.6 m"
    assert Speech(units=METRIC).stand(2.0) == "2.0 m"
    assert Speech(units=US).stand(to_si(11.6, "ft")) == "12 ft"
    assert Speech(units=US).stand(to_si(11.5, "ft")) == "11.5 ft"
    assert Speech(units=INCHES).stand(to_si(11.2, "ft")) == "11 ft 3 in"


def test_a_spread_keeps_two_digits_where_the_first_is_a_one() -> None:
    assert spread_number(1.48, "height", units=METRIC) == "1.5"
    assert spread_number(0.0197, "height", units=METRIC) == "0.02"
    assert spread_number(0.0124, "height", units=METRIC) == "0.012"
    assert spread_number(to_si(1.0, "in"), "height", units=INCHES) == "1 in"
    assert spread_number(to_si(0.4375, "in"), "height", units=INCHES) == "7/16 in"
    assert spread_number(to_si(1.25, "ft"), "height", units=INCHES) == "1 ft 3 in"
    assert spread_number(to_si(2.1, "ft"), "height", units=INCHES) == "2 ft"
    assert spread_number(to_si(8.3, "ft"), "height", units=INCHES) == "8 ft"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(10.0, "1 min"), (1800.0, "30 min"), (7200.0, "2 h"), (41_400.0, "11 h 30 min")],
)
def test_a_time_is_said_as_a_person_says_it(seconds: float, words: str) -> None:
    assert words == duration(seconds)


@pytest.mark.parametrize(
    ("unit", "value", "key", "metric", "us"),
    [
        ("m", 2.5, "tank.stand", "2.50 m", "8.20 ft"),
        ("m", 0.05, "source.water_above", "50 mm", "0.16 ft"),
        ("m", 0.0262, "pipe.beds.inside", "26.2 mm", "1.031 in"),
        ("m", 1.5e-6, "pipe.beds.roughness", "0.0015 mm", "0.000059 in"),
        ("kPa", 60e3, "outlet.beds.pressure", "0.60 bar (60 kPa)", "8.7 psi"),
        ("L/min", to_si(12.0, "L/min"), "outlet.beds.flow", "12 L/min", "3.17 gal/min"),
        ("C", 10.0, "water.temperature", "10 C", "50 F"),
        ("1", 0.8, "source.share", "80 %", "80 %"),
        ("1", 140.0, "pipe.beds.c", "140", "140"),
        ("s", 3600.0, "time", "1 h", "1 h"),
        ("kg", 2308.0, "weight", "2 300 kg", "5,100 lb"),
        ("m3", 2.0, "tank.volume", "2 000 litres", "530 gallons"),
        ("m/s", 1.5, "speed", "1.50 m/s", "4.9 ft/s"),
        ("m3/d", to_si(2.6, "m3/d"), "needed", "2 600 litres a day", "690 gallons a day"),
    ],
)
def test_a_taken_value_is_shown_in_the_reader_s_units(
    unit: str, value: float, key: str, metric: str, us: str
) -> None:
    assert metric == value_text(value, unit, units=METRIC, key=key)
    assert us == value_text(value, unit, units=US, key=key)


def test_a_taken_word_is_shown_as_it_is() -> None:
    built = Taken(key="ram.built", word="bought", citation=OURS.at("bought"))
    assert taken_text(built, METRIC) == "ram.built: bought"
    rough = Taken(key="x.share", value_si=0.5, unit="1", word="half", citation=OURS.at("half"))
    assert taken_text(rough, US) == "x.share: 50 % (half)"


def test_the_source_of_a_finding_is_its_citation() -> None:
    book = Source(key="made-up", author="A. Nother", title="Rams", year="1911")
    sourced = Finding(kind="trench", severity="fine", source=book.at("p. 3"))
    assert finding_source_text(sourced) == "A. Nother, Rams, 1911, p. 3"
    assert finding_source_text(Finding(kind="trench", severity="fine")) == ""


@pytest.mark.parametrize("read", [amount, limit_of])
def test_a_finding_without_its_number_is_a_fault_that_names_the_kind(
    read: Callable[[Finding], float],
) -> None:
    with pytest.raises(ValueError, match="misclosure"):
        read(Finding(kind="misclosure", severity="care"))


def test_words_are_said_of_a_pipe_without_a_station() -> None:
    finding = Finding(kind="air-high-point", severity="care", value=0.4, where=Where(pipe="beds"))
    assert "on the pipe 'beds'" in finding_text(finding, units=METRIC)


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("flow", "The spring's flow is not given, so the water a day can't be told."),
        ("pipe.beds.spec", "No pipe is chosen for 'beds'."),
        ("pipe.delivery", "There is no pipe 'delivery', so nothing arrives by it."),
        ("pipe.a.b.outlet", "The pipe 'a.b' leads to no outlet."),
        ("tank.volume", "Neither the diameter nor the volume of the tank is given."),
        ("tank.upper.volume", "Neither the diameter nor the volume of the tank 'upper' is given."),
        ("outlet.beds.pressure", "What pressure beds needs is not given."),
        ("odd.thing", "Not worked out for want of data: odd.thing."),
    ],
)
def test_a_question_not_asked_says_what_is_wanting(key: str, words: str) -> None:
    assert words == not_asked_text(key)


def test_several_pipes_without_a_choice_are_said_once() -> None:
    texts = not_asked_texts(("pipe.a.spec", "flow", "pipe.b.spec", "pipe.c.spec"))
    assert texts[0] == "No pipe is chosen for 'a', 'b' and 'c'."
    assert len(texts) == 2


def test_letters_beyond_ascii_become_their_nearest() -> None:
    assert plain_ascii("Frühlings Quelle \u2013 5\u00b0") == "Fruhlings Quelle - 5 deg"


def test_a_label_stands_before_the_first_line_only() -> None:
    lines = wrapped("word " * 30, label="Take care", indent=14)
    assert lines[0].startswith("Take care     word")
    assert lines[1].startswith(" " * 14 + "word")
    assert max(len(line) for line in lines) <= 79


def test_a_raster_is_not_told_how_to_read_a_rod() -> None:
    negative = Finding(
        kind="fall-negative", severity="stop", value=-1.2, texts={"origin": "raster"}
    )
    assert "direct" not in told(negative, units=METRIC).cure
    leveled = replace(negative, texts={"origin": "leveled"})
    assert 'rod = "direct"' in told(leveled, units=METRIC).cure


@pytest.mark.parametrize(("units", "bore"), [(METRIC, "38 mm bore"), (US, "1-1/2 in bore")])
def test_a_drive_pipe_is_called_by_its_nominal_bore(units: UnitSystem, bore: str) -> None:
    flow = Finding(
        kind="drive-flow",
        severity="care",
        value=1e-3,
        limit=5e-4,
        values={"bore_m": 0.0381},
    )
    assert bore in told(flow, units=units).fact


def test_the_head_of_a_pipe_is_its_beginning() -> None:
    air = Finding(
        kind="air-high-point", severity="care", value=0.3, where=Where(pipe="main", station_m=0.0)
    )
    assert "Air will gather at the beginning of the pipe 'main'" in told(air, units=METRIC).fact
