"""docs/pipes.md is what the table holds."""

import re

from terrain_head.files.pipe_spec import parse_spec
from terrain_head.scheme.pipe_table import PIPE_TABLE
from tests.scheme.pipes_page import PAGE, page_text


def test_the_page_of_pipes_is_made_from_the_table() -> None:
    assert page_text() == PAGE.read_text(encoding="utf-8"), "run: python -m tests.scheme.pipes_page"


def test_every_standard_of_the_table_stands_on_the_page() -> None:
    page = PAGE.read_text(encoding="utf-8")
    for row in PIPE_TABLE:
        assert f"`{row.name} {row.standard} SIZE {row.grade}`" in page


def test_every_pipe_that_the_page_reads_is_read() -> None:
    labels = re.findall(r"\| `([^`]*\d[^`]*)` \|$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert labels
    for label in labels:
        assert label == parse_spec(label, where="x")[0].label
