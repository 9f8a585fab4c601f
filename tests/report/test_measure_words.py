"""What to measure next, as it is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from terrain_head.assessment.foreseen import Foreseen
from terrain_head.assessment.measure_next import Question
from terrain_head.assessment.measurements import Kind, Measurement
from terrain_head.base.citation import OURS
from terrain_head.base.units import METRIC
from terrain_head.report import measure_words
from terrain_head.report.measure_words import measure_lines
from terrain_head.report.study_document import study_document
from tests.assessment.test_measure_next import ram_answer, wanting
from tests.report.builders import answer


def measured(
    kind: Kind, known: float | None, *, narrower: float = 0.5, of: str = ""
) -> Measurement:
    return Measurement(
        kind=kind,
        of=of,
        station_m=42.0 if kind == "shoot a stake" else None,
        std=0.01,
        unit="m",
        minutes=90.0,
        foreseen=None if known is None else Foreseen(narrower=narrower, known=known),
        citation=OURS.at("invented"),
    )


TIMED = measured("time the spring", 0.6)
RAM = measured("time the ram", 0.3)
WATER = Question(kind="water", name="tank", chance=0.5, measurements=(TIMED, RAM))


def said(monkeypatch: pytest.MonkeyPatch, *questions: Question) -> list[str]:
    monkeypatch.setattr(measure_words, "measure_next", lambda _answer: questions)
    lines = measure_lines(replace(answer(), units=METRIC))
    assert all(len(line) <= 79 and line.isascii() for line in lines)
    return lines


def text_of(lines: list[str]) -> str:
    return " ".join(" ".join(lines).split())


def test_the_best_comes_first_with_its_work_and_what_it_tells(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    whole = replace(WATER, together=Foreseen(narrower=0.9, known=0.97))
    assert said(monkeypatch, whole) == [
        "To know whether enough water reaches the tank (now five chances in ten):",
        "- time the spring 10 times more (1 1/2 hours): tells in six cases of ten, range",
        "  narrower by half",
        "- let the ram run a day, and time what it takes and gives (1 1/2 hours): tells",
        "  in three cases of ten, range narrower by half",
        "- both together: tells in nearly every case, hardly any doubt left",
    ]


def test_the_best_of_all_is_one_sentence_and_nothing_is_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(measure_words, "measure_next", lambda _answer: (WATER,))
    given = replace(answer(), units=METRIC)
    assert measure_words.measure_first(given) == (
        "Time the spring 10 times more (1 1/2 hours): tells in six cases of ten, range narrower "
        "by half."
    )
    monkeypatch.setattr(measure_words, "measure_next", lambda _answer: ())
    assert measure_words.measure_first(given) == ""


def test_together_is_left_out_where_it_adds_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = said(monkeypatch, replace(WATER, together=Foreseen(narrower=0.5, known=0.62)))
    assert not any("together" in line for line in lines)


def test_what_tells_next_to_nothing_alone_stands_only_beside_all_together(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    weak = measured("caliper the pipes", 0.0, narrower=0.06)
    question = replace(WATER, measurements=(TIMED, RAM, weak))
    assert "caliper" not in text_of(said(monkeypatch, question))
    all_three = replace(question, together=Foreseen(narrower=0.9, known=0.9))
    text = text_of(said(monkeypatch, all_three))
    assert "caliper (1 1/2 hours): seldom tells by itself" in text
    assert "all together" in text


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("level the fall", "level from the spring to the ram"),
        ("level the lift", "level from the ram to the tank"),
        ("level an outlet", "level from the tank to beds"),
        ("shoot a stake", "level to pipe beds at 42 m"),
    ],
)
def test_every_measurement_is_said(kind: Kind, words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    question = replace(WATER, measurements=(measured(kind, 0.5, of="beds"),))
    assert words in text_of(said(monkeypatch, question))


def test_a_height_that_nobody_knows_comes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    question = Question(
        kind="pressure",
        name="beds",
        chance=None,
        measurements=(measured("level an outlet", None, of="beds"),),
    )
    text = text_of(said(monkeypatch, question))
    assert "whether the pressure at beds is enough (now not known)" in text
    assert "comes first, its height is not known" in text


def test_a_need_on_heights_that_no_one_measurement_mends_names_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    question = replace(WATER, chance=None, measurements=())
    assert "level the places on its way" in text_of(said(monkeypatch, question))


def test_a_need_that_nothing_settles_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    question = Question(kind="clearance", name="main", chance=0.5, measurements=())
    assert said(monkeypatch, question) == [
        "To know whether pipe main stays full at its highest stretch (now five chances",
        "in ten):",
        "- nothing that is measured soon would tell",
    ]


def test_the_document_has_every_question_with_its_measurements() -> None:
    (question,) = study_document(wanting("tank.tank.inflow"))["measure_next"]
    assert question["need"] == {"kind": "water", "name": "tank"}
    assert question["chance"] == pytest.approx(0.5, abs=0.01)
    first = question["measurements"][0]
    assert set(first) == {
        "kind", "of", "station", "std", "unit", "minutes", "narrower", "known", "source",
    }  # fmt: skip
    assert 0 <= first["known"] <= 1
    spring = next(one for one in question["measurements"] if one["kind"] == "time the spring")
    # 46 L/min, 10 timings of 5 % each and a bucket good to 1 %.
    assert spring["unit"] == "L/min"
    assert spring["std"] == pytest.approx(46 * (0.05**2 / 10 + 0.01**2) ** 0.5)
    assert question["together"]["known"] >= first["known"]


def test_a_document_without_draws_does_not_know_what_to_measure() -> None:
    assert study_document(replace(ram_answer(), drawn=None))["measure_next"] is None
