"""The usual slips of writing are named where the standard parser would only stop."""

from __future__ import annotations

from pathlib import Path

import pytest

from terrain_head.errors import InputError
from terrain_head.files.study_syntax import parse, read_text

FILE = Path("study.toml")


def message(text: str) -> str:
    """Return the message that a text makes, blanks run together."""
    with pytest.raises(InputError) as caught:
        parse(text, file=FILE)
    return " ".join(str(caught.value).split())


@pytest.mark.parametrize(
    ("text", "what", "write"),
    [
        ('legs = ["4\' 2"", "x"]', "inch mark", 'legs = ["4 ft 2 in", "x"]'),
        ('e = { reading = "1/8"" }', "inch mark", 'e = { reading = "1/8 in" }'),
        ('s = "9\' 6-3/8""  # as built', "inch mark", 's = "9 ft 6-3/8 in"'),
        ('a.b = "9\' 6""', "inch mark", 'a.b = "9 ft 6 in"'),
        ('s = "9 ft 6" +- 1 cm"', "inch mark", 's = "9 ft 6 in +- 1 cm"'),
        ("s = '9' 6-3/8'", "foot mark", 's = "9 ft 6-3/8 in"'),
        ('p."goat shed".length = 62 ft', "wants quotes", 'p."goat shed".length = "62 ft"'),
        ('p."goat shed".my way = "x"', "holds a blank", 'p."goat shed"."my way" = "x"'),
        ("[a.Bächlein]", "more than plain letters", '[a."Bächlein"]'),
        ('[a."b c".d e]', "holds a blank", '[a."b c"."d e"]'),
        ('x = [\u201ca\u201d, "b"]', "curly quotes", 'x = ["a", "b"]'),
        ("x = \u201c9\u2032 6\u2033\u201d", "curly quotes", 'x = "9 ft 6 in"'),
        ("x = \u2018a\u2019", "curly quotes", "x = 'a'"),
        ("x = \u201ca", "curly quotes", 'x = "a"'),
        ("\u201codd\u201d", "curly quotes", '"odd"'),
        ("s = 3 m # tall", "wants quotes", 's = "3 m"'),
        ("s = 9' 6\"", "begins the text is missing", 's = "9 ft 6 in"'),
        ("s = 9' 6", "wants quotes", 's = "9 ft 6 in"'),
        ("x = 'it's'", "a quote inside", 'x = "it\'s"'),
        ('x = "it"s"', "a quote inside", "x = 'it\"s'"),
        ("y == 3", "wants quotes", 'y = "3"'),
        ("b = D:\\data\\b.csv", "backslash", 'b = "D:/data/b.csv"'),
        ('b = ["\\data\\b.csv"]', "backslash", 'b = ["/data/b.csv"]'),
        ("x = 1,5", "decimal comma", "x = 1.5"),
        ("a-b: 3 m", "a key wants =", 'a-b = "3 m"'),
        ('x = """abc', "it can't be read here: a text was opened with a quote", ""),
        ("[ground", "a heading that is opened with [", ""),
        ("= 3", "a key or a [heading] is wanted", ""),
        ("[]", "a name is wanted", ""),
        ("just words", "a key wants = and a value", ""),
        ("y = {a = 1\nb = 2}", "closed with } on the same line", ""),
        ('x = ["a"', "opened with [ and not closed", ""),
        ('x = ["a"\n\n\n', "opened with [ and not closed", ""),
        ("x = 1 2 3 = [", "wants quotes", ""),
        ("a = 1\na = 2", "a is written twice; it stands on line 1 already", ""),
        ("a.b = 1\na = 2", "a is written twice; it stands above already", ""),
        ("[a]\n[a] # again", "[a] is written twice; it stands on line 1 already", ""),
        ("[a]\nb = 1\n[[a]]\nb = 2", "1 thing to put right", ""),
        ("x = \x07", "x", ""),
    ],
)
def test_a_slip_and_its_cure(text: str, what: str, write: str) -> None:
    said = message(text)
    assert what in said
    assert f"Write {write}" in said or not write


def test_a_right_line_before_a_broken_one_is_not_blamed() -> None:
    said = message('[tank]\ncount = 1\nlegs = ["a" "b"]')
    assert "line 3" in said
    assert "line 2" not in said


def test_a_quote_left_open_is_found_on_the_line_where_it_was_opened() -> None:
    assert "line 1 the quote that ends the text is missing" in message('s = "3 m\nplace = "x"')


def test_no_more_than_twenty_slips_are_told_at_once() -> None:
    said = message("\n".join(f"k{i} = {i} m" for i in range(30)))
    assert "20 things to put right" in said


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"can't\s+be\s+read"):
        read_text(tmp_path)


def test_what_is_right_is_read() -> None:
    assert parse('a."b c" = "x"\n', file=FILE) == {"a": {"b c": "x"}}
