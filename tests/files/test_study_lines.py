"""Where everything of a study file stands."""

from __future__ import annotations

import tomllib

import pytest

from terrain_head.files.study_lines import StudyLines, marked

TEXT = """\
# a comment with [brackets] and = signs
title = "a # in a text"   # and one behind
[ground]   # files
book = [
  "a.csv",  # first
  'b.csv',
]
level_error = { reading = "1 mm", angle = "10 arcsec" }
[outlet."goat shed"]
place='x'
flow.jan = "3 L/min"
"odd key" = \"\"\"
many
lines\"\"\"
note = '''one '' two'''
raw = 'C:\\x'
esc = "say \\"hi\\""
empty = ""
date = 2024-05-01 07:32:00
[[list]]
a = 1
[ spaced . name ]
b.c.d = true
last = \"\"\"ends in a quote\"\"\"\"
"""


@pytest.mark.parametrize(
    ("path", "line", "text"),
    [
        (("title",), 2, '"a # in a text"'),
        (("ground", "book"), 4, "["),
        (("ground", "book", "0"), 5, '"a.csv"'),
        (("ground", "book", "1"), 6, "'b.csv'"),
        (("ground", "level_error", "angle"), 8, '"10 arcsec"'),
        (("outlet", "goat shed", "place"), 10, "'x'"),
        (("outlet", "goat shed", "flow", "jan"), 11, '"3 L/min"'),
        (("outlet", "goat shed", "odd key"), 12, '"""'),
        (("outlet", "goat shed", "note"), 15, "'''one '' two'''"),
        (("outlet", "goat shed", "esc"), 17, '"say \\"hi\\""'),
        (("outlet", "goat shed", "empty"), 18, '""'),
        (("outlet", "goat shed", "date"), 19, "2024-05-01 07:32:00"),
        (("list", "a"), 21, "1"),
        (("spaced", "name", "b", "c", "d"), 23, "true"),
        (("spaced", "name", "last"), 24, '"""ends in a quote""""'),
    ],
)
def test_the_spot_of_a_value(path: tuple[str, ...], line: int, text: str) -> None:
    lines = StudyLines(TEXT)
    spot = lines.spot(path)
    assert spot is not None
    assert spot.value is not None
    start, width = spot.value
    assert spot.value_line == line
    assert lines.lines[line - 1][start : start + width] == text


def test_every_key_of_the_text_has_a_spot() -> None:
    spots = StudyLines(TEXT).spots

    def keys(table: dict[str, object], path: tuple[str, ...]) -> list[tuple[str, ...]]:
        found = []
        for key, value in table.items():
            found.append((*path, key))
            if isinstance(value, dict):
                found += keys(value, (*path, key))
        return found

    assert set(keys(tomllib.loads(TEXT), ())) <= set(spots)


def test_a_path_that_is_not_there_has_the_spot_of_its_table() -> None:
    lines = StudyLines(TEXT)
    assert lines.spot(("ground", "dem")) == lines.spot(("ground",))
    assert lines.spot(("nothing",)) is None
    assert lines.trouble(("nothing",), "x").line is None


def test_a_mark_stands_under_the_value_or_the_key() -> None:
    lines = StudyLines(TEXT)
    assert lines.trouble(("title",), "x").mark == (8, 15)
    assert lines.trouble(("title",), "x", mark_key=True).mark == (0, 5)
    assert lines.trouble(("ground", "dem"), "x").line == 3


@pytest.mark.parametrize("column", [0, 60, 150, 290])
def test_a_long_line_is_shortened_around_its_mark(column: int) -> None:
    text = "".join(str(i % 10) for i in range(300))
    trouble = marked([text], 1, mark=(column, 5), what="x")
    assert trouble.excerpt is not None
    assert trouble.mark is not None
    assert len(trouble.excerpt) <= 68
    start, width = trouble.mark
    assert trouble.excerpt[start : start + width] == text[column : column + 5]


def test_of_a_long_line_the_comment_goes_first() -> None:
    text = 'stand = "3"   # ' + "words " * 20
    trouble = marked([text], 1, mark=(8, 3), what="x")
    assert trouble.excerpt == 'stand = "3"'
