"""The page that lists the findings, the list of kinds and the code say the same."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest

import terrain_head.assessment
from terrain_head.assessment.book_facts import FACT_SEVERITY
from terrain_head.assessment.kinds import KINDS

PAGE = Path(__file__).parents[2] / "docs" / "findings.md"
FOLDER = Path(terrain_head.assessment.__file__).parent


def rows_of_the_page() -> dict[str, tuple[str, ...]]:
    """Return the severities that the page gives for each key, in its order."""
    rows: dict[str, tuple[str, ...]] = {}
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        if line.startswith("| `"):
            key, severity, *_ = (cell.strip() for cell in line.strip("| ").split(" | "))
            assert key.strip("`") not in rows, f"{key} stands twice"
            rows[key.strip("`")] = tuple(severity.split(", "))
    return rows


def words_of(node: ast.expr) -> Iterator[str]:
    """Return the texts an expression may come to."""
    if isinstance(node, ast.IfExp):
        yield from words_of(node.body)
        yield from words_of(node.orelse)
    else:
        assert isinstance(node, ast.Constant), ast.dump(node)
        yield str(node.value)


def raised_in_the_code() -> dict[str, set[str]]:
    """Return the severities with which each kind is raised."""
    raised: dict[str, set[str]] = defaultdict(set)
    for kind, severity in FACT_SEVERITY.items():
        raised[kind].add(severity)
    for path in FOLDER.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
                continue
            if node.func.id != "Finding":
                continue
            given = {word.arg: word.value for word in node.keywords}
            if isinstance(given["kind"], ast.Attribute):
                continue  # a fact of the level book keeps its kind
            for kind in words_of(given["kind"]):
                raised[kind] |= set(words_of(given["severity"]))
    return raised


def test_every_kind_raised_is_listed_and_every_kind_listed_is_raised() -> None:
    assert set(KINDS) == set(raised_in_the_code())


def test_the_page_lists_the_kinds_in_the_order_in_which_they_are_told() -> None:
    assert list(KINDS) == list(rows_of_the_page())


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_gives_the_severities_of_the_code(kind: str) -> None:
    """A call that raises one of two kinds may give each its own severity."""
    listed = set(rows_of_the_page()[kind])
    assert listed
    assert listed <= raised_in_the_code()[kind]
