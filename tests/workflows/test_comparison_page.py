"""The choices of a study stand on one page that carries its own pictures."""

from __future__ import annotations

from pathlib import Path

from terrain_head.workflows.compare import compare_study
from terrain_head.workflows.results import write_comparison
from tests.journeys.answers import SAMPLES


def test_the_page_holds_every_choice_and_needs_no_other_file(tmp_path: Path) -> None:
    compared = compare_study(SAMPLES / "orchard_rod")
    written = write_comparison(compared.answers, compared.comparison, folder=tmp_path)
    names = {path.name for path in written}
    assert {"choices-profile.png", "choices-profile.svg", "choices.html"} <= names
    page = (tmp_path / "choices.html").read_text(encoding="utf-8")
    for name in ("main", "taller stand", "wider line"):
        assert f"<h2>{name}</h2>" in page
    pictures = sum(name.endswith(".svg") for name in names)
    assert page.count('src="data:image/svg+xml;base64,') == pictures
    assert "://" not in page
