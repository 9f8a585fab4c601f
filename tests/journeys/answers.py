"""Studies answered through the command, and what in them knows no datum."""

from __future__ import annotations

import io
import json
import shutil
from collections.abc import Iterator
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from terrain_head.cli.main import run

SAMPLES = Path(__file__).parents[2] / "sample_surveys"


def copy_of(sample: str, folder: Path) -> Path:
    """Return a copy of a sample that a test may change."""
    target = folder / sample
    shutil.copytree(SAMPLES / sample, target, ignore=shutil.ignore_patterns("*-results"))
    return target


def answer(study: Path, *options: str) -> dict[str, Any]:
    """Return the JSON of a study, as the command prints it."""
    heard = io.StringIO()
    with redirect_stdout(heard):
        code = run(["study", str(study), "--json", *options])
    assert 0 == code
    found = json.loads(heard.getvalue())
    assert isinstance(found, dict)
    return found


LEVELS = {
    "elevation", "deck", "full_level", "lowest_level", "inlet_level", "level", "ground", "pipe",
    "static", "head", "hydraulic_grade_line", "datum", "text", "origin", "findings", "taken",
    "source", "places", "high_points", "low_points",
}  # fmt: skip
"""Keys that a datum, or the wording of its source, may change."""
STATIONS_M = 0.01
"""Two high points nearer than this are one: a book in feet rounds its stations [m]."""


def datum_free(document: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield every number, word and flag of a document that no datum changes, by its path."""
    if isinstance(document, dict):
        for key, value in document.items():
            if key not in LEVELS:
                yield from datum_free(value, f"{path}/{key}")
    elif isinstance(document, list):
        for number, value in enumerate(document):
            yield from datum_free(value, f"{path}/{number}")
    else:
        yield path, document


def judged(document: dict[str, Any]) -> list[tuple[str, str]]:
    """Return kind and severity of every finding but the word on the datum, sorted."""
    return sorted(
        (finding["kind"], finding["severity"])
        for finding in document["findings"]
        if finding["kind"] != "assumed-datum"
    )


def assert_same(first: dict[str, Any], second: dict[str, Any], *, within: float) -> None:
    """Fail unless two documents agree in all that knows no datum."""
    left, right = dict(datum_free(first)), dict(datum_free(second))
    assert left.keys() == right.keys()
    wrong = [
        (path, value, right[path])
        for path, value in left.items()
        if not (
            abs(value - right[path]) <= within * max(1.0, abs(value))
            if isinstance(value, float) and isinstance(right[path], float)
            else value == right[path]
        )
    ]
    assert wrong == []


def assert_same_study(first: dict[str, Any], second: dict[str, Any], *, within: float) -> None:
    """Fail unless two whole documents agree, in what they judge, take and find along pipes too."""
    assert_same(first, second, within=within)
    assert judged(first) == judged(second)
    assert {one["key"] for one in first["taken"]} == {one["key"] for one in second["taken"]}
    for name, pipe in first["pipes"].items():
        for key in ("high_points", "low_points"):
            assert pipe[key] == pytest.approx(second["pipes"][name][key], abs=STATIONS_M)
