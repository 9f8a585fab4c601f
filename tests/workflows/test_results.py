"""The results folder: its names, its count, and each file whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.assessment.answer import Answer
from terrain_head.errors import InputError
from terrain_head.report.measurement import dumps
from terrain_head.report.study_document import study_document
from terrain_head.workflows.compare import compare_study
from terrain_head.workflows.results import (
    count_of_results,
    file_name,
    file_names,
    results_folder,
    write_results,
)
from terrain_head.workflows.study import answer_choice, open_study
from tests.journeys.answers import SAMPLES


@pytest.fixture(scope="module")
def answer() -> Answer:
    """Return the orchard, solved and judged."""
    return answer_choice(open_study(SAMPLES / "orchard_rod"))


def test_every_file_is_told_once_it_stands(answer: Answer, tmp_path: Path) -> None:
    told: list[str] = []

    def stands(name: str) -> None:
        assert (tmp_path / "out" / name).stat().st_size > 0
        told.append(name)

    written = write_results(answer, tmp_path / "out", told=stands)
    assert told == [path.name for path in written]
    assert sorted(told) == sorted(path.name for path in (tmp_path / "out").iterdir())
    assert len(told) <= count_of_results(answer) <= len(told) + 2


def test_the_json_is_the_document_of_the_answer(answer: Answer, tmp_path: Path) -> None:
    write_results(answer, tmp_path)
    found = (tmp_path / "results.json").read_text(encoding="utf-8")
    assert dumps(study_document(answer)) == found


def test_the_same_answer_gives_the_same_files(answer: Answer, tmp_path: Path) -> None:
    first = [path.read_bytes() for path in write_results(answer, tmp_path / "a")]
    second = [path.read_bytes() for path in write_results(answer, tmp_path / "b")]
    assert first == second


def test_where_the_first_file_cannot_be_written_none_is(answer: Answer, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("as it was", encoding="utf-8")
    with pytest.raises(InputError, match="Can't write") as told:
        write_results(answer, tmp_path / "taken")
    assert "Choose another place" in str(told.value)
    assert ["taken"] == [path.name for path in tmp_path.iterdir()]
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "as it was"


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("delivery", "delivery"),
        ("bed line / lower", "bed-line-lower"),
        ("../../away", "away"),
        ("C:\\away", "C-away"),
        ("...", "unnamed"),
        ("Wei\u00dfe Wiese", "Wei\u00dfe-Wiese"),
    ],
)
def test_a_name_never_leads_out_of_the_folder(name: str, file: str) -> None:
    assert file == file_name(name)
    inside = results_folder(Path("hill/study.toml"), choice=name)
    assert inside.parent == Path("hill/study-results")


def test_comparing_keeps_the_order_of_the_study() -> None:
    compared = compare_study(SAMPLES / "orchard_rod")
    assert ["main", "taller stand", "wider line"] == [each.choice for each in compared.answers]
    assert compared.path.name == "study.toml"


def test_pipes_whose_names_are_alike_keep_a_file_each() -> None:
    names = file_names(["bed line", "bed-line", "Bed line", "drive"])
    assert len({name.casefold() for name in names.values()}) == 4
